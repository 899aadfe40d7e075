"""Evidence: byte for byte, known by its hash, never rewritten, never outside the case."""

from __future__ import annotations

import dataclasses
import hashlib
import os
import shutil
import socket
from collections import namedtuple
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.casefile import Case
from coldpin.casefile.evidence import name_for
from coldpin.casefile.storage import TEMPORARY
from coldpin.errors import CaseError, Interrupted, StorageError
from coldpin.records.entry import Entry, EntryKind, EvidenceFile


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "Plug face №3.JPG"
    path.write_bytes(bytes(range(256)) * 9000)
    return path


@pytest.fixture
def filed(case: Case, photo: Path, make: Callable[..., Entry]) -> EvidenceFile:
    """A photograph that an entry names."""
    file = case.file_evidence(photo, "photograph")
    case.append(make(kind=EntryKind.EVIDENCE, shows="photograph", evidence=file))
    return file


@pytest.mark.independent("sha256 by hashlib over the original file")
def test_a_file_is_kept_byte_for_byte(case: Case, photo: Path) -> None:
    """With the name it came with, its hash and size; nobody has permission to write it."""
    file = case.file_evidence(photo, "photograph")

    kept = case.evidence_path(file)
    digest = hashlib.sha256(photo.read_bytes()).hexdigest()
    assert kept.read_bytes() == photo.read_bytes()
    assert file == EvidenceFile(
        media="photograph",
        file=f"Plug_face_3-{digest[:16]}.JPG",
        original_name="Plug face №3.JPG",
        sha256=digest,
        size=photo.stat().st_size,
    )
    assert kept.stat().st_mode & 0o222 == 0


@pytest.mark.published("sha256 of 'abc': FIPS 180-4 example, NIST CSRC 'SHA256.pdf', one-block message")
def test_the_hash_is_that_of_the_standard(case: Case, tmp_path: Path) -> None:
    """The published digest of the three letters abc."""
    path = tmp_path / "abc"
    path.write_bytes(b"abc")

    file = case.file_evidence(path, "document")

    assert file.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert file.file == "abc-ba7816bf8f01cfea"


def test_the_same_bytes_are_filed_once(case: Case, photo: Path) -> None:
    """Under whatever name they come again; the new name is remembered with the new entry."""
    first = case.file_evidence(photo, "photograph")
    again = photo.rename(photo.with_name("copy.jpg"))

    second = case.file_evidence(again, "document")

    assert (second.file, second.sha256) == (first.file, first.sha256)
    assert (second.media, second.original_name) == ("document", "copy.jpg")
    assert len(list((case.folder / "evidence").iterdir())) == 1


def test_other_bytes_of_the_same_name_are_another_file(case: Case, photo: Path) -> None:
    """Nothing is replaced."""
    first = case.file_evidence(photo, "photograph")
    photo.write_bytes(b"another")

    second = case.file_evidence(photo, "photograph")

    assert first.file != second.file
    assert case.evidence_path(first).stat().st_size == first.size


def test_a_damaged_file_is_not_taken_for_the_same(case: Case, photo: Path) -> None:
    """Filing the original again neither trusts the damaged one nor overwrites it: it is told."""
    first = case.file_evidence(photo, "photograph")
    damaged = case.folder / "evidence" / first.file
    damaged.chmod(0o644)
    damaged.write_bytes(b"x" * first.size)

    with pytest.raises(CaseError, match="is not what was filed"):
        case.file_evidence(photo, "photograph")
    again = photo.rename(photo.with_name("copy.jpg"))
    second = case.file_evidence(again, "photograph")

    assert case.evidence_path(second).read_bytes() == again.read_bytes()
    assert damaged.read_bytes() == b"x" * first.size


@given(st.text(max_size=300), st.binary(max_size=8))
def test_any_name_becomes_one_that_every_disk_takes(original: str, content: bytes) -> None:
    """Short, without separators or signs that shells, disks or other systems dislike, and not hidden."""
    name = name_for(original, hashlib.sha256(content).hexdigest())

    assert len(name.encode()) <= 120
    assert not set(name) & set('/\\:*?"<>|\0\n ')
    assert name[0] not in ".-"
    assert name[-1] not in ". "


@pytest.mark.parametrize(
    ("original", "expected"),
    [
        ("pilot_03.csv", "pilot_03-0000000000000000.csv"),
        ("../../etc/passwd", "passwd-0000000000000000"),
        ("..\\..\\boot.ini", "boot-0000000000000000.ini"),
        ("CON", "CON-0000000000000000"),
        (".bashrc", "bashrc-0000000000000000"),
        ("..", "file-0000000000000000"),
        ("---", "file-0000000000000000"),
        ("Prüfung 雨.PDF", "Prüfung_雨-0000000000000000.PDF"),
        ("a\udcff.csv", "a-0000000000000000.csv"),
        ("a" * 300 + ".csv", "a" * 80 + "-0000000000000000.csv"),
        ("x." + "y" * 300, "x-0000000000000000." + "y" * 16),
    ],
)
def test_the_name_stays_readable(original: str, expected: str) -> None:
    """So that a person finds the photograph."""
    assert name_for(original, "0" * 64) == expected


def test_what_is_no_plain_file_is_not_filed(case: Case, tmp_path: Path, photo: Path) -> None:
    """Links, folders, pipes, sockets, devices, what is not there, what is empty."""
    link = tmp_path / "link.jpg"
    link.symlink_to(photo)
    empty = tmp_path / "empty.csv"
    empty.touch()
    refused: dict[Path | str, str] = {
        link: "is a link; only plain files are read: give the file itself",
        tmp_path: "is a folder; only plain files are read: give the file itself",
        tmp_path / "nowhere": "is not there: check the name",
        empty: r"is empty \(0 bytes\): copy it again",
        "a\0b": "is no file name",
    }
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe")
        refused[tmp_path / "pipe"] = "is a named pipe; only plain files are read"
    if Path("/dev/null").exists():
        refused["/dev/null"] = "is a device; only plain files are read"
    for path, told in refused.items():
        with pytest.raises(CaseError, match=told):
            case.file_evidence(path, "photograph")
    assert list((case.folder / "evidence").iterdir()) == []


def test_a_socket_is_not_filed(case: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor anything else that only looks like a file."""
    if not hasattr(socket, "AF_UNIX"):
        pytest.skip("no such sockets here")
    monkeypatch.chdir(tmp_path)
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind("s")
        with pytest.raises(CaseError, match=r"cannot be opened|is a socket"):
            case.file_evidence(tmp_path / "s", "photograph")


def test_an_unknown_sort_lists_the_known(case: Case, photo: Path) -> None:
    """The closed list is in the message."""
    with pytest.raises(CaseError, match="known: capture, log, photograph, video, document, listing"):
        case.file_evidence(photo, "sound")


def test_a_file_that_grows_while_it_is_copied_is_refused(case: Case, photo: Path) -> None:
    """A capture still being written would be filed by half."""

    def meanwhile(fraction: float) -> None:
        with photo.open("ab") as writer:
            writer.write(bytes(2 << 20))

    with pytest.raises(CaseError, match="changed while it was copied: wait until its writer has finished"):
        case.file_evidence(photo, "capture", progress=meanwhile)
    assert list((case.folder / "evidence").iterdir()) == []


def test_copying_tells_how_far_it_is_and_can_be_stopped(case: Case, photo: Path) -> None:
    """What was begun is taken away."""
    told: list[float] = []

    def stop(fraction: float) -> None:
        raise Interrupted("stopped by hand")

    with pytest.raises(Interrupted):
        case.file_evidence(photo, "capture", progress=stop)
    assert list((case.folder / "evidence").iterdir()) == []
    case.file_evidence(photo, "capture", progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) > 1


def test_room_is_asked_for_before_copying(case: Case, photo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Entries must still fit afterwards, so the last megabytes are not given to a video."""
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage(10**9, 10**9 - 10**7, 10**7))

    with pytest.raises(StorageError, match=r"has 2304000 bytes and 10000000 are free .* nothing was filed"):
        case.file_evidence(photo, "video")
    assert list((case.folder / "evidence").iterdir()) == []


def test_evidence_that_is_unchanged_is_not_mentioned(case: Case, filed: EvidenceFile) -> None:
    """No problems; progress is told."""
    told: list[float] = []

    assert case.check_evidence(progress=told.append) == ()
    assert told == [1.0]


def test_evidence_that_changed_is_told(case: Case, filed: EvidenceFile) -> None:
    """Another size, the same size, gone, a link in its place, one that nobody names."""
    path = case.folder / "evidence" / filed.file
    original = path.read_bytes()
    path.chmod(0o644)

    path.write_bytes(original[:-1] + b"!")
    (changed,) = case.check_evidence()
    assert "is not what was filed" in changed.what
    assert "it was changed since; put the original back" in changed.what

    path.write_bytes(original + b"!")
    (larger,) = case.check_evidence()
    assert f"has {filed.size + 1} bytes; {filed.size} were filed" in larger.what

    path.rename(path.with_name("other.jpg"))
    gone, unnamed = case.check_evidence()
    assert "is not there" in gone.what
    assert (unnamed.where, unnamed.what) == (
        "evidence/other.jpg",
        "is named by no entry: add it to the case, or move it out",
    )

    path.symlink_to(path.with_name("other.jpg"))
    assert "is a link" in case.check_evidence()[0].what


@pytest.mark.parametrize(
    "name", ["../case.toml", "/etc/hostname", "..", ".", "a/b", "a\\b", "c:a", "a\0", f"{TEMPORARY}x"]
)
def test_a_name_never_leads_out_of_the_case(case: Case, filed: EvidenceFile, name: str) -> None:
    """Whatever an entry from elsewhere names."""
    with pytest.raises(CaseError, match=r"is not the name of a file in the folder of evidence|is not there"):
        case.evidence_path(dataclasses.replace(filed, file=name))


def test_an_address_has_no_path(case: Case) -> None:
    """Nothing of it is in the case."""
    with pytest.raises(CaseError, match=r"at 'https://example.org/v' is an address"):
        case.evidence_path(EvidenceFile(media="video", address="https://example.org/v"))


def test_a_hostile_entry_shows_as_a_problem_only(case: Case, filed: EvidenceFile, tmp_path: Path) -> None:
    """An entry that names a file outside the case is set aside, and its file is not opened."""
    (entry,) = case.entries().entries
    path = case.folder / "entries" / f"{entry.id}.json"
    path.write_text(path.read_text(encoding="utf-8").replace(filed.file, "../../secret"), encoding="utf-8")

    assert case.entries().entries == ()
    told = [problem.what for problem in case.check_evidence()]
    assert any("is not the name of a file in the folder of evidence" in what for what in told)


def test_evidence_is_not_written_through_a_link(case: Case, photo: Path, tmp_path: Path) -> None:
    """Nor read through one."""
    (case.folder / "evidence").rmdir()
    (case.folder / "evidence").symlink_to(tmp_path)
    file: Any = EvidenceFile(media="photograph", file=photo.name, sha256="0" * 64, size=photo.stat().st_size)

    with pytest.raises(CaseError, match="is a link; a case holds plain folders"):
        case.file_evidence(photo, "photograph")
    with pytest.raises(CaseError, match="is a link; a case holds plain folders"):
        case.evidence_path(file)
