"""Nothing acknowledged is lost: writers killed at random moments, and several at once."""

from __future__ import annotations

import hashlib
import random
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from coldpin.casefile import Case, create_case, open_case
from coldpin.casefile.storage import TEMPORARY
from coldpin.records.case import CaseDescription

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs POSIX processes and signals")

HAND = Path(__file__).with_name("bench_hand.py")
KILLS_PER_CASE = 20


def start(*job: str) -> subprocess.Popen[str]:
    command = [sys.executable, str(HAND), *job]
    return subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8")


def finish(*hands: subprocess.Popen[str]) -> list[str]:
    outputs = [hand.communicate(timeout=120)[0] for hand in hands]
    assert [hand.returncode for hand in hands] == [0] * len(hands)
    return outputs


@pytest.fixture
def nursery(case: Case) -> Iterator[subprocess.Popen[str]]:
    hand = start("nursery", str(case.folder))
    yield hand
    finish(hand)


def test_a_killed_writer_loses_nothing_that_was_acknowledged(
    tmp_path: Path,
    description: CaseDescription,
    nursery: subprocess.Popen[str],
    proving: bool,
    measured: Callable[[str, float, str, str], None],
) -> None:
    """After every kill the case loads without a problem and holds each entry, edit and file its writer was told of."""
    kills = 10_000 if proving else 200
    chance = random.Random(1612)
    acknowledged = interrupted = 0
    lost: list[str] = []
    assert nursery.stdin is not None
    assert nursery.stdout is not None
    for kill in range(kills):
        if kill % KILLS_PER_CASE == 0:
            folder = tmp_path / f"case-{kill}"
            told = tmp_path / f"told-{kill}"
            create_case(folder, description)
        nursery.stdin.write(f"{folder}\t{told}\t{chance.randrange(5)}\t{chance.uniform(0.0, 0.012):.6f}\n")
        nursery.stdin.flush()
        assert nursery.stdout.readline() == "9\n"
        lost += missing(open_case(folder), told)
        if kill % KILLS_PER_CASE == KILLS_PER_CASE - 1:
            interrupted += sum(1 for _ in folder.rglob(f"{TEMPORARY}*"))
            acknowledged += len(told.read_text(encoding="utf-8").splitlines())
            shutil.rmtree(folder)

    assert lost == []
    # Otherwise no writer was ever caught in the middle and the test would say nothing.
    assert interrupted > kills / 50
    assert acknowledged > 1.5 * kills
    measured("writers killed at random moments", kills, "1", "10000 in prove")
    measured("acknowledgements before the kills", acknowledged, "1", "none lost")
    measured("acknowledgements lost to kills", len(lost), "1", "0")


def missing(case: Case, told: Path) -> list[str]:
    """Return what was acknowledged and is not there; fail where the case does not load without a problem."""
    lines = told.read_text(encoding="utf-8").splitlines() if told.exists() else []
    loaded = case.entries()
    assert loaded.problems == ()
    ids = {entry.id for entry in loaded.entries}
    serial = int(case.description().specimen.serial or 0)
    lost = []
    for line in lines:
        match line.split():
            case ["entry", name]:
                is_there = name in ids
            case ["serial", number]:
                is_there = serial >= int(number)
            case ["filed", name, sha256]:
                path = case.folder / "evidence" / name
                is_there = path.exists() and hashlib.sha256(path.read_bytes()).hexdigest() == sha256
            case _:
                is_there = False
        if not is_there:
            lost.append(line)
    return lost


def test_two_who_append_at_once_keep_every_entry(case: Case) -> None:
    """Appending needs no lock: what each process was told of is there, once."""
    hands = [start("append", str(case.folder), "60", who) for who in ("Ada", "Bo")]

    ids = [line for output in finish(*hands) for line in output.splitlines()]

    loaded = case.entries()
    assert loaded.problems == ()
    assert len(ids) == len(set(ids)) == 120
    assert sorted(entry.id for entry in loaded.entries) == sorted(ids)


def test_two_who_edit_different_keys_at_once_keep_both(case: Case) -> None:
    """Each edit is applied to the file as it is then, so neither undoes the other's."""
    hands = [start("edit", str(case.folder), "25", key) for key in ("specimen.serial", "specimen.batch")]

    finish(*hands)

    specimen = case.description().specimen
    assert (specimen.serial, specimen.batch) == ("25", "25")


def test_two_who_edit_one_key_at_once_keep_both_values(case: Case) -> None:
    """One value stands in the file; the other is in an entry, and its editor is told of both."""
    hands = [start("edit once", str(case.folder), "specimen.serial", new) for new in ("B 17", "B 71")]

    outputs = finish(*hands)

    serial = case.description().specimen.serial
    other = {"B 17": "B 71", "B 71": "B 17"}[serial]
    assert sorted(output.split()[0] for output in outputs) == ["conflict", "done"]
    (remark,) = case.entries().entries
    assert remark.who == other
    assert remark.private
    assert serial in remark.note
    assert other in remark.note


def test_two_who_file_the_same_photograph_at_once_share_it(case: Case, tmp_path: Path) -> None:
    """The same bytes are kept once, whoever comes first."""
    photo = tmp_path / "plug face.jpg"
    photo.write_bytes(bytes(range(256)) * 20_000)
    hands = [start("file", str(case.folder), str(photo)) for _ in range(3)]

    names = {output.strip() for output in finish(*hands)}

    assert {path.name for path in (case.folder / "evidence").iterdir()} == names
    assert len(names) == 1
