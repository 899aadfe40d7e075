"""Entries: ids that sort and never collide, files written once, one bad file costing one entry."""

from __future__ import annotations

import dataclasses
import json
import os
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from coldpin.casefile import Case
from coldpin.casefile.acceptance import ID
from coldpin.casefile.entries import ENTRY_FORMAT, entry_id, new_entry
from coldpin.errors import CaseError, UnknownName
from coldpin.records.entry import Entry, EntryKind
from tests.casefile.conftest import NOW


def test_an_id_tells_the_moment_in_utc() -> None:
    """Where the bench is does not matter, only when."""
    at_the_boatyard = NOW.astimezone(timezone(timedelta(hours=1)))

    assert entry_id(at_the_boatyard, random_bytes=bytes) == "20260314T090501250Z-0000000000"


def test_ids_sort_by_time() -> None:
    """Names in the folder stand in the order in which entries were written down."""
    moments = [NOW + timedelta(milliseconds=n * n) for n in range(1, 200)]

    ids = [entry_id(moment) for moment in moments]

    assert ids == sorted(ids)
    assert all(ID.fullmatch(one) for one in ids)


def test_ids_made_in_one_moment_differ() -> None:
    """Fifty random bits: among 10 000 of one millisecond a collision has probability 5e-8."""
    assert len({entry_id(NOW) for _ in range(10_000)}) == 10_000


def test_a_time_without_zone_is_refused() -> None:
    """Nobody could order it later."""
    with pytest.raises(CaseError, match="does not say its zone"):
        entry_id(datetime(2026, 3, 14))


def test_an_entry_comes_back_as_it_was(case: Case, make: Callable[..., Entry]) -> None:
    """Every field survives the disk, letters of all scripts included."""
    entry = make(
        "0,123 Ω",
        "0.125 Ω U=0.01 Ω k=2",
        made="2026-03-14T10:00+01:00",
        conditions={"test current": "10 A"},
        instrument="meter",
        supply_voltage="231 V",
        ambient="8.5 °C",
        humidity="80 %",
        note="Kälte, Βροχή, 雨\nsecond line",
        private=True,
    )

    assert case.append(entry) == entry

    assert case.entries().entries == (entry,)
    assert case.entries().problems == ()


def test_the_file_of_an_entry_shows_what_was_recorded_and_no_more(case: Case, make: Callable[..., Entry]) -> None:
    """A person who opens it sees their own words."""
    entry = case.append(make("0.123 Ω"))

    plain = json.loads((case.folder / "entries" / f"{entry.id}.json").read_text(encoding="utf-8"))

    assert plain == {
        "format": ENTRY_FORMAT,
        "id": entry.id,
        "kind": "reading",
        "shows": "earth resistance",
        "made": "2026-03-14T09:05:01.250+00:00",
        "recorded": "2026-03-14T09:05:01.250+00:00",
        "who": "Ada",
        "readings": ["0.123 Ω"],
    }


def test_appending_the_same_entry_twice_is_appending_it_once(case: Case, make: Callable[..., Entry]) -> None:
    """Whoever is not sure that it was acknowledged may try again."""
    entry = make("0.123 Ω")
    case.append(entry)

    assert case.append(entry) == entry

    assert case.entries().entries == (entry,)


def test_an_id_in_use_is_never_written_again(case: Case, make: Callable[..., Entry]) -> None:
    """The second entry of one id is refused; the first stays as it is."""
    entry = case.append(make("0.123 Ω"))

    with pytest.raises(CaseError, match=f"another entry has the id {entry.id}"):
        case.append(dataclasses.replace(entry, readings=("9 Ω",)))

    assert case.entries().entries == (entry,)


def test_entries_come_in_the_order_in_which_things_happened(case: Case, make: Callable[..., Entry]) -> None:
    """Not in that of writing down; the zone is heeded."""
    last = case.append(make("1 Ω", made="2026-03-14T09:00Z", recorded=NOW))
    first = case.append(make("2 Ω", made="2026-03-14T09:30+01:00", recorded=NOW + timedelta(hours=1)))

    assert case.entries().entries == (first, last)


def test_an_unknown_kind_lists_the_known() -> None:
    """The closed list is in the message."""
    with pytest.raises(CaseError, match="known: reading, observation, evidence, custody, correction"):
        new_entry("guess", "remark", "Ada", NOW, recorded=NOW, note="x")


def test_an_entry_is_found_by_enough_of_its_id(case: Case, make: Callable[..., Entry]) -> None:
    """The end of an id is quick to type; what is not enough is told."""
    one, other = case.append(make("1 Ω")), case.append(make("2 Ω"))

    assert case.find_entry(one.id) == one
    assert case.find_entry(other.id[-10:]) == other
    with pytest.raises(UnknownName, match="'20260314' fits 2 entries"):
        case.find_entry("20260314")
    with pytest.raises(UnknownName, match="no entry's id is, begins or ends with 'zz'"):
        case.find_entry("zz")
    with pytest.raises(UnknownName, match="no entry's id"):
        case.find_entry("")


BROKEN = {
    "cut in the middle": (b'{"format": "coldpin.entry/1", "id": "2026', "not JSON"),
    "empty": (b"", "not JSON"),
    "not text": (b"\x89PNG\r\n\x1a\n\xff\xfe", "byte 0x89 is not UTF-8 text"),
    "a list": (b"[]", "holds list, not a JSON object"),
    "no format": (b"{}", "its format is 'None'; this program reads 'coldpin.entry/1'"),
    "a later format": (b'{"format": "coldpin.entry/9"}', "written by a newer coldpin"),
    "a key twice": (b'{"format": "coldpin.entry/1", "note": "a", "note": "b"}', "key 'note' is given twice"),
    "NaN": (b'{"format": "coldpin.entry/1", "size": NaN}', "NaN is not a number"),
    "an infinity": (b'{"format": "coldpin.entry/1", "size": -Infinity}', "-Infinity is not a number"),
    "nested deep": (b'{"a":' * 100_000, "not readable as JSON"),
    "nested less deep": (b'{"a":' * 500 + b"1" + b"}" * 500, "nested deeper than 100 levels"),
    "a number of 5000 digits": (b'{"format": ' + b"9" * 5000 + b"}", "not readable as JSON"),
    "an unknown key": (b'{"format": "coldpin.entry/1", "rating": 3}', "unknown key 'rating'"),
    "keys missing": (b'{"format": "coldpin.entry/1"}', "is missing: add it (and 5 more)"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_one_broken_file_costs_one_entry(case: Case, make: Callable[..., Entry], name: str) -> None:
    """It is listed with its name and the reason; the others load."""
    entry = case.append(make("0.123 Ω"))
    data, why = BROKEN[name]
    (case.folder / "entries" / "20260101T000000000Z-0000000000.json").write_bytes(data)

    loaded = case.entries()

    assert loaded.entries == (entry,)
    (problem,) = loaded.problems
    assert problem.where == "entries/20260101T000000000Z-0000000000.json"
    assert why in problem.what
    assert len(problem.what) < 500


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"id": "../../outside"}, "its id '../../outside' is not one of ours"),
        ({"note": "a\u0000b"}, "note holds the character U+0000"),
        ({"kind": "guess"}, "kind: input should be 'reading', 'observation'"),
        ({"readings": "0.1 Ω"}, "readings: input should be a valid"),
        ({"pairs": {"L > L1": 1}}, "pairs.L > L1: input should be a valid string, given 1"),
        ({"note": {"a": "b" * 100_000}}, "note: input should be a valid string"),
    ],
    ids=["id", "control character", "kind", "one text for many", "number for text", "long"],
)
def test_a_field_of_the_wrong_sort_costs_one_entry(
    case: Case, make: Callable[..., Entry], change: dict[str, object], why: str
) -> None:
    """The message names the field and what stands there, shortened."""
    path = case.folder / "entries" / f"{case.append(make('0.123 Ω')).id}.json"
    plain = json.loads(path.read_text(encoding="utf-8")) | change
    path.write_text(json.dumps(plain), encoding="utf-8")

    loaded = case.entries()

    assert loaded.entries == ()
    (problem,) = loaded.problems
    assert why in problem.what
    assert len(problem.what) < 500


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"shows": "earth resistanse"}, "did you mean 'earth resistance'?"),
        ({"readings": ["about half an ohm"]}, "reading 1"),
        ({"readings": ["0.1 V"]}, "reading 1"),
        ({"made": "14/03/2026"}, "made '14/03/2026' is not a date and time"),
        ({"made": "0001-01-01T00:00+14:00", "readings": []}, "no reading is given"),
        ({"conditions": {"moon": "full"}}, "unknown condition"),
    ],
    ids=["word", "text", "unit", "date", "no reading", "condition"],
)
def test_what_today_would_be_refused_is_kept_but_not_used(
    case: Case, make: Callable[..., Entry], change: dict[str, object], why: str
) -> None:
    """An older or a hand-edited entry is not lost: it is shown with the reason, and can be corrected."""
    entry = case.append(make("0.123 Ω"))
    path = case.folder / "entries" / f"{entry.id}.json"
    path.write_text(json.dumps(json.loads(path.read_text(encoding="utf-8")) | change), encoding="utf-8")

    loaded = case.entries()

    assert loaded.entries == ()
    assert [aside.id for aside in loaded.set_aside] == [entry.id]
    (problem,) = loaded.problems
    assert why in problem.what
    assert problem.what.endswith("it is kept but not used: correct it")
    better = make("0.123 Ω", kind=EntryKind.CORRECTION, replaces=entry.id, reason="spelling")
    case.append(better)
    assert case.effective().entries == (better,)


def test_a_copy_of_an_entry_is_told_and_counts_once(case: Case, make: Callable[..., Entry]) -> None:
    """Programs that keep folders alike leave such copies."""
    entry = case.append(make("0.123 Ω"))
    path = case.folder / "entries" / f"{entry.id}.json"
    copy = path.with_name(f"{entry.id} (copy).json")
    copy.write_bytes(path.read_bytes())

    loaded = case.entries()

    assert loaded.entries == (entry,)
    assert [problem.what for problem in loaded.problems if problem.where == f"entries/{copy.name}"] == [
        f"holds entry {entry.id}; its name should be {entry.id}.json: rename it",
        f"is a copy of {path.name}: remove it",
    ]


@pytest.mark.parametrize("name", ["0.json", "z.json"])
def test_of_two_with_one_id_the_one_rightly_named_counts(case: Case, make: Callable[..., Entry], name: str) -> None:
    """Whichever comes first in the folder; the other is told of, not hidden."""
    entry = case.append(make("0.123 Ω"))
    path = case.folder / "entries" / f"{entry.id}.json"
    text = path.read_text(encoding="utf-8")
    path.with_name(name).write_text(text.replace("0.123", "0.321"), encoding="utf-8")

    loaded = case.entries()

    assert loaded.entries == (entry,)
    assert any("says something else" in problem.what for problem in loaded.problems)
    assert all(problem.where == f"entries/{name}" for problem in loaded.problems)


def test_an_entry_under_another_name_counts_and_is_told(case: Case, make: Callable[..., Entry]) -> None:
    """A renamed file is no reason to lose a measurement."""
    entry = case.append(make("0.123 Ω"))
    path = case.folder / "entries" / f"{entry.id}.json"
    path.rename(path.with_name("earth.json"))

    loaded = case.entries()

    assert loaded.entries == (entry,)
    assert [problem.where for problem in loaded.problems] == ["entries/earth.json"]


def test_what_is_no_plain_file_is_told_and_not_read(case: Case, make: Callable[..., Entry], tmp_path: Path) -> None:
    """Links out of the case, folders, pipes, other files, and names that are no text."""
    entry = case.append(make("0.123 Ω"))
    secret = tmp_path / "secret.json"
    secret.write_text('{"format": "coldpin.entry/1"}', encoding="utf-8")
    folder = case.folder / "entries"
    (folder / "a-link.json").symlink_to(secret)
    (folder / "b-folder.json").mkdir()
    (folder / "c-large.json").write_bytes(b" " * ((1 << 20) + 1))
    (folder / "d-notes.txt").write_text("bring the clamp", encoding="utf-8")
    (folder / ".hidden").write_text("left alone", encoding="utf-8")
    if hasattr(os, "mkfifo"):
        os.mkfifo(folder / "e-pipe.json")
    (folder / "f-\udcff.json").write_bytes(b"{}")
    (folder / "g-\udcff.json").symlink_to(secret)

    loaded = case.entries()

    assert loaded.entries == (entry,)
    told = {problem.where: problem.what for problem in loaded.problems}
    assert "is a link; only plain files are read" in told["entries/a-link.json"]
    assert "is a folder" in told["entries/b-folder.json"]
    assert "has 1048577 bytes; at most 1048576 are read" in told["entries/c-large.json"]
    assert "is not an entry" in told["entries/d-notes.txt"]
    if hasattr(os, "mkfifo"):
        assert "is a named pipe" in told["entries/e-pipe.json"]
    assert "f-\\udcff.json" in next(where for where in told if "f-" in where)
    for problem in loaded.problems:
        assert str(tmp_path) not in problem.what
        assert f"{problem.where}: {problem.what}".encode()


def test_a_case_without_its_empty_folders_is_a_case(case: Case, make: Callable[..., Entry]) -> None:
    """Copies that drop empty folders (as version control does) lose nothing."""
    for name in ("entries", "evidence", "boards", "dialects", "cache", "report", "issued"):
        (case.folder / name).rmdir()

    assert case.entries().entries == ()
    assert case.check_evidence() == ()
    assert case.issues() == ()
    assert case.dialect_for("0" * 64) is None
    entry = case.append(make("0.123 Ω"))
    assert case.entries().entries == (entry,)


def test_many_entries_load(case: Case, make: Callable[..., Entry]) -> None:
    """Five hundred, written by another hand in the same format."""
    template = make("0.123 Ω")
    for number in range(500):
        moment = datetime(2026, 3, 14, tzinfo=UTC) + timedelta(seconds=number)
        entry = dataclasses.replace(template, id=entry_id(moment))
        plain: dict[str, object] = {
            "format": ENTRY_FORMAT,
            "id": entry.id,
            "kind": "reading",
            "shows": entry.shows,
            "who": "Ada",
        }
        plain |= {"made": entry.made, "recorded": entry.recorded, "readings": ["0.1 Ω"]}
        (case.folder / "entries" / f"{entry.id}.json").write_text(json.dumps(plain), encoding="utf-8")

    loaded = case.entries()

    assert len(loaded.entries) == 500
    assert loaded.problems == ()


@pytest.mark.parametrize("readings", [("-3 s",), ("5 ms", "-3 s"), ("< -3 s",)])
def test_a_time_below_zero_is_refused(readings: tuple[str, ...]) -> None:
    """A delay counts from what was done: below zero it was mistyped. A voltage may well be below zero."""
    with pytest.raises(CaseError, match=rf"reading {len(readings)}: '.*': a time is not negative"):
        new_entry(EntryKind.READING, "opening time after C to B", "Ines", NOW, recorded=NOW, readings=readings)
    new_entry(EntryKind.READING, "pilot ripple", "Ines", NOW, recorded=NOW, readings=("-0.1 V",))
