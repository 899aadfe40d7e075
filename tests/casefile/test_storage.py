"""Whatever the disk refuses and wherever a process stops: whole files or none, and what was acknowledged stays."""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from coldpin.casefile import Case, create_case, evidence, open_case, storage
from coldpin.casefile.leftovers import clear_leftover_folders, clear_leftovers
from coldpin.casefile.storage import TEMPORARY, Unfinished, place_folder, write_new, write_over
from coldpin.errors import CaseError, StorageError
from coldpin.records.assessment import Assessment
from coldpin.records.case import CaseDescription
from coldpin.records.dialect import Dialect
from coldpin.records.entry import Entry
from tests.casefile.conftest import NOW
from tests.casefile.faulty_disk import FaultyOs, NoTidying, Stopped

REFUSALS = (errno.ENOSPC, errno.EIO)
STOP = 0
PHOTO = bytes(range(256)) * 400
FILES = {"report.html": b"<p>Skerrow 16</p>", "report.pdf": b"%PDF-"}


@dataclass
class Bench:
    """A case with one entry that was acknowledged, and what is to be done to it next."""

    template: Path
    first: Entry
    second: Entry
    photo: Path
    assessment: Assessment

    def fresh(self, name: str) -> Case:
        folder = self.template.with_name(name)
        shutil.copytree(self.template, folder)
        return open_case(folder)


@pytest.fixture
def bench(case: Case, make: Callable[..., Entry], tmp_path: Path, assessment: Assessment) -> Bench:
    photo = tmp_path / "plug face.jpg"
    photo.write_bytes(PHOTO)
    case.store_dialect("0" * 64, Dialect(delimiter=","))
    return Bench(case.folder, case.append(make("0.123 Ω")), make("0.124 Ω"), photo, assessment)


DOINGS = ("append", "edit", "file", "draw", "dialect", "publish", "report")


def do(name: str, bench: Bench, case: Case) -> None:
    match name:
        case "append":
            case.append(bench.second)
        case "edit":
            case.edit("specimen.serial", "", "B 17", who="Ada", now=NOW)
        case "file":
            case.file_evidence(bench.photo, "photograph")
        case "draw":
            case.file_board(PHOTO, board="main board", original_name="b.geojson")
        case "dialect":
            case.store_dialect("0" * 64, Dialect(delimiter=";"))
        case "publish":
            case.publish(bench.assessment, FILES, issued_on="2026-03-14")
        case _:
            case.write_report("report.html", FILES["report.html"])


def is_done(name: str, bench: Bench, case: Case) -> bool:
    """Say whether a doing took effect; fail where it took effect by half."""
    match name:
        case "append":
            return bench.second in case.entries().entries
        case "edit":
            return case.description().specimen.serial == "B 17"
        case "file":
            (found,) = [path.read_bytes() for path in (case.folder / "evidence").glob("[!.]*")] or [b""]
            assert found in (b"", PHOTO)
            return found == PHOTO
        case "draw":
            drawn = {path.name[:14]: path.read_bytes() for path in (case.folder / "boards").glob("[!.]*")}
            assert drawn in ({}, {"main_board-v01": PHOTO})
            return bool(drawn)
        case "dialect":
            dialect = case.dialect_for("0" * 64)
            assert dialect is not None
            return dialect.delimiter == ";"
        case "publish":
            assert case.check_issues() == ()
            return len(case.issues()) == 1
        case _:
            path = case.folder / "report" / "report.html"
            return path.exists() and path.read_bytes() == FILES["report.html"]


@contextmanager
def disk(fault: FaultyOs) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(storage, "os", fault)
        patch.setattr(evidence, "os", fault)
        if fault.refusal == STOP:
            patch.setattr(storage, "shutil", NoTidying())
        try:
            yield
        finally:
            fault.end()


def check_untouched(bench: Bench, case: Case) -> None:
    """What was acknowledged before is there, and no half-written file shows."""
    loaded = case.entries()
    assert loaded.problems == ()
    assert bench.first in loaded.entries
    assert case.description().title == "Skerrow 16"


@pytest.mark.parametrize("doing", DOINGS)
@pytest.mark.parametrize("refusal", REFUSALS, ids=errno.errorcode.get)
def test_a_refusal_at_any_call_leaves_whole_files_and_says_so(
    bench: Bench, doing: str, refusal: int, proving: bool
) -> None:
    """A disk that is full or breaks at any call: one StorageError, nothing lost, and doing it again works."""
    counting = FaultyOs()
    with disk(counting):
        do(doing, bench, bench.fresh("counted"))
    refused, step = 0, 1 if proving or refusal == errno.ENOSPC else 4
    for at in range(0, counting.calls, step):
        case = bench.fresh(f"refused-{at}")
        fault = FaultyOs(at=at, refusal=refusal)
        with disk(fault):
            try:
                do(doing, bench, case)
            except StorageError as error:
                refused += 1
                told = str(error)
                assert "everything acknowledged before is still there" in told
                assert ("the disk is full" if refusal == errno.ENOSPC else "the disk reports an error") in told
                acknowledged = False
            else:
                acknowledged = True
        check_untouched(bench, case)
        if acknowledged:
            assert is_done(doing, bench, case)
        elif doing in ("append", "file", "draw", "publish"):
            assert not is_done(doing, bench, case)
        if not is_done(doing, bench, case):
            do(doing, bench, case)
        assert is_done(doing, bench, case)
        check_untouched(bench, case)
        shutil.rmtree(case.folder)
    assert refused > counting.calls / step / 3


@pytest.mark.parametrize("doing", DOINGS)
def test_a_stop_at_any_call_leaves_whole_files(bench: Bench, doing: str) -> None:
    """A process that ends at any call, with nothing in it able to tidy up: whole files or none."""
    counting = FaultyOs()
    with disk(counting):
        do(doing, bench, bench.fresh("counted"))
    for at in range(counting.calls):
        case = bench.fresh(f"stopped-{at}")
        with disk(FaultyOs(at=at, refusal=STOP)), pytest.raises(Stopped):
            do(doing, bench, case)
        check_untouched(bench, case)
        if not is_done(doing, bench, case):
            do(doing, bench, case)
        assert is_done(doing, bench, case)
        check_untouched(bench, case)
        shutil.rmtree(case.folder)


def test_a_case_whose_making_was_stopped_can_be_made_again(tmp_path: Path, description: CaseDescription) -> None:
    """Until case.toml stands there is no case, and what there is does not hinder making it."""
    counting = FaultyOs()
    with disk(counting):
        create_case(tmp_path / "counted", description)
    for at in range(counting.calls):
        folder = tmp_path / f"stopped-{at}"
        with disk(FaultyOs(at=at, refusal=STOP)), pytest.raises(Stopped):
            create_case(folder, description)
        if not (folder / "case.toml").exists():
            create_case(folder, description)
        assert open_case(folder).description() == description


@pytest.mark.parametrize("doing", DOINGS)
def test_a_disk_that_writes_little_at_a_time_gets_all(bench: Bench, doing: str) -> None:
    """A write that takes fewer bytes than given is gone on with."""
    case = bench.fresh("slow")

    with disk(FaultyOs(torn=499)):
        do(doing, bench, case)

    assert is_done(doing, bench, case)


@pytest.mark.parametrize("doing", DOINGS)
def test_power_can_go_at_any_moment(bench: Bench, doing: str) -> None:
    """A name is given only to flushed bytes, and the name is flushed before the acknowledgement."""
    recorder = FaultyOs()

    with disk(recorder):
        do(doing, bench, bench.fresh("recorded"))

    assert unflushed(recorder.trace) == []


def test_the_check_for_power_cuts_sees_what_is_not_flushed(bench: Bench) -> None:
    """The check above is no empty one: it finds fault with a file that is not flushed."""
    recorder = FaultyOs()

    with disk(recorder):
        write_over(bench.template / "quick.txt", b"quick", what="a note", durable=False)

    assert unflushed(recorder.trace) == ["bytes of quick.txt", "name quick.txt"]


def unflushed(trace: list[tuple[str, tuple[Any, ...], Any]]) -> list[str]:
    """Return what a power cut could take away although it was named, or named and acknowledged."""
    paths: dict[int, str] = {}
    dirty: set[str] = set()
    names: dict[str, str] = {}
    said = []
    for call, args, result in trace:
        match call:
            case "open":
                paths[result] = str(args[0])
            case "write":
                dirty.add(paths[args[0]])
            case "fsync":
                flushed = paths[args[0]]
                dirty.discard(flushed)
                names = {name: folder for name, folder in names.items() if folder != flushed}
            case "link" | "replace" | "rename" | "mkdir":
                target = str(args[-1])
                if call != "mkdir" and str(args[0]) in dirty:
                    said.append(f"bytes of {Path(target).name}")
                if not Path(target).name.startswith(TEMPORARY):
                    names[target] = str(Path(target).parent)
            case _:
                pass
    return said + [f"name {Path(name).name}" for name in names]


def test_a_disk_without_hard_links_still_replaces_nothing(tmp_path: Path) -> None:
    """Sticks and shares that know no second name for a file are written by turns, under a lock."""
    fault = NoLinks()
    with disk(fault):
        assert write_new(tmp_path / "one.json", b"first", what="entry")
        assert not write_new(tmp_path / "one.json", b"second", what="entry")

    assert (tmp_path / "one.json").read_bytes() == b"first"
    assert fault.asked == 2
    assert not list(tmp_path.glob(f"{TEMPORARY}*"))


def test_without_hard_links_two_at_once_take_turns(tmp_path: Path) -> None:
    """Both find the name free at first; one of them gets it."""
    path = tmp_path / "one.json"
    with disk(NoLinks(dawdle=0.1)), ThreadPoolExecutor(2) as hands:
        got = list(hands.map(lambda data: write_new(path, data, what="entry"), (b"first", b"other")))

    assert sorted(got) == [False, True]
    assert path.read_bytes() == (b"first", b"other")[got.index(True)]


@dataclass
class NoLinks(FaultyOs):
    """A disk that refuses second names, and takes its time to give a first one."""

    dawdle: float = 0.0
    asked: int = 0

    def rename(self, source: Path, target: Path) -> None:
        time.sleep(self.dawdle)
        source.rename(target)

    def link(self, *names: object) -> None:
        assert len(names) == 2
        self.asked += 1
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))


def test_a_file_larger_than_may_be_written_is_refused(tmp_path: Path) -> None:
    """A limit set by the system on file sizes (RLIMIT_FSIZE) is told like a full disk, and leaves nothing."""
    resource = pytest.importorskip("resource")
    assert resource is not None
    script = (
        "import resource, sys\n"
        "from pathlib import Path\n"
        "from coldpin.casefile.storage import write_new\n"
        "from coldpin.errors import StorageError\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "try:\n"
        "    write_new(Path(sys.argv[1]) / 'large.json', bytes(5000), what='entry')\n"
        "except StorageError as error:\n"
        "    print(error)\n"
    )

    run = subprocess.run([sys.executable, "-c", script, str(tmp_path)], capture_output=True, text=True, check=True)

    assert "entry was not written" in run.stdout
    assert "the file is larger than may be written here" in run.stdout
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("refusal", "told"),
    [
        (errno.EROFS, "the disk is read-only (Read-only file system)"),
        (errno.EACCES, "permission is refused (Permission denied)"),
        (errno.EDQUOT, "the disk quota is used up"),
        (errno.ENAMETOOLONG, "the name is too long for this disk"),
        (errno.EBUSY, "the system refuses"),
    ],
    ids=errno.errorcode.get,
)
def test_the_message_says_what_was_refused_and_what_to_do(tmp_path: Path, refusal: int, told: str) -> None:
    """What was to be written, where, why not, that nothing is lost, what next."""
    with disk(FaultyOs(at=0, refusal=refusal)), pytest.raises(StorageError) as caught:
        write_new(tmp_path / "one.json", b"", what="entry 'remark'")

    message = str(caught.value)
    assert message.startswith(f"entry 'remark' was not written to {tmp_path}: {told}")
    assert "; everything acknowledged before is still there: " in message


def test_a_folder_that_is_gone_is_a_refusal(tmp_path: Path) -> None:
    """A stick pulled out is told in words."""
    with pytest.raises(StorageError, match="the folder is gone"):
        write_new(tmp_path / "stick" / "one.json", b"", what="entry")


def test_an_edited_file_keeps_its_permissions(tmp_path: Path) -> None:
    """Who could read the description before can read it afterwards, and nobody else."""
    path = tmp_path / "case.toml"
    path.write_bytes(b"old")
    path.chmod(0o640)

    write_over(path, b"new", what="edit")

    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640


def test_only_old_leftovers_of_dead_writers_are_cleared(tmp_path: Path) -> None:
    """A file that is old but still held stays, and so does one that is new."""
    dead, new, plain = tmp_path / f"{TEMPORARY}dead", tmp_path / f"{TEMPORARY}new", tmp_path / "kept.json"
    for path in (dead, new, plain):
        path.write_bytes(b"half")
    os.utime(dead, (1000.0, 1000.0))
    os.utime(plain, (1000.0, 1000.0))
    with Unfinished(tmp_path) as living:
        (held,) = set(tmp_path.glob(f"{TEMPORARY}*")) - {dead, new}
        os.utime(held, (1000.0, 1000.0))

        removed = clear_leftovers(tmp_path, older_than=2000.0)

        assert removed == (dead,)
        assert held.exists()
        living.write(b"whole")
        assert living.place_new(tmp_path / "one.json")
    assert sorted(path.name for path in tmp_path.iterdir()) == [new.name, "kept.json", "one.json"]


def test_leftovers_are_not_cleared_through_links(tmp_path: Path) -> None:
    """A link with a temporary name is nobody's half-written file."""
    outside = tmp_path / "outside"
    outside.write_bytes(b"somebody's")
    inside = tmp_path / "case"
    inside.mkdir()
    (inside / f"{TEMPORARY}x").symlink_to(outside)

    assert clear_leftovers(inside, older_than=1e12) == ()
    assert outside.exists()


def test_a_case_clears_its_leftovers_by_the_clock_it_is_given(case: Case) -> None:
    """A day old, in any of its folders; half-made issues too."""
    half = case.folder / "issued" / f"{TEMPORARY}half"
    half.mkdir()
    (half / "report.html").write_bytes(b"half")
    stale = case.folder / "entries" / f"{TEMPORARY}stale"
    stale.write_bytes(b"half")
    fresh = case.folder / "entries" / f"{TEMPORARY}fresh"
    fresh.write_bytes(b"half")
    for path, age in ((stale, 90_000), (half, 90_000), (fresh, 80_000)):
        os.utime(path, (NOW.timestamp() - age,) * 2)

    assert case.clear_leftovers(now=NOW) == (half, stale)
    assert fresh.exists()
    assert clear_leftover_folders(case.folder / "nowhere", older_than=1e12) == ()


def test_a_folder_of_files_never_replaces_another(tmp_path: Path) -> None:
    """The second of one name is told apart, and the first stays as it is."""
    assert place_folder(tmp_path / "01", {"report.html": b"first"}, what="issue 01")
    assert not place_folder(tmp_path / "01", {"report.html": b"second"}, what="issue 01")

    assert (tmp_path / "01" / "report.html").read_bytes() == b"first"
    assert (tmp_path / "01" / "report.html").stat().st_mode & 0o222 == 0
    assert [path.name for path in tmp_path.iterdir()] == ["01"]


def test_nothing_is_written_through_a_linked_folder(case: Case, make: Callable[..., Entry], tmp_path: Path) -> None:
    """A case that came from elsewhere cannot make us write outside of it."""
    outside = tmp_path / "outside"
    outside.mkdir()
    (case.folder / "entries").rmdir()
    (case.folder / "entries").symlink_to(outside)

    with pytest.raises(CaseError, match="is a link; a case holds plain folders"):
        case.append(make("0.1 Ω"))
    assert list(outside.iterdir()) == []


def test_waiting_for_an_edit_has_an_end(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    """A program that holds the case for ever is told of, and nothing is changed."""
    monkeypatch.setattr(storage, "LOCK_PATIENCE", 0.05)
    with storage.locked(case.folder), pytest.raises(StorageError, match=r"held by another program for 0\.05 s"):
        case.edit("specimen.serial", "", "B 17", who="Ada", now=NOW)

    assert case.description().specimen.serial == ""
