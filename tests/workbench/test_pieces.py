"""Parts that were kept: whatever happened to a case since, an assessment with them is the one made anew."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coldpin.casefile import open_case
from coldpin.records.assessment import Assessment
from coldpin.records.plain import to_json
from coldpin.workbench import add_evidence, assess, assessment_of, correct, drafting, pilot_evidence, record
from tests.workbench.quay import at, capture_text, fill, make_case, make_shelf

EXAMPLES = 4
"""Each assesses a case three times."""


@pytest.fixture(scope="module")
def pattern(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shelf with a filled case, assessed once, so that its parts are kept."""
    table = tmp_path_factory.mktemp("pattern")
    case = make_case(make_shelf(table / "shelf"))
    fill(case, table)
    with_parts(case)
    return case


def with_parts(case: Path) -> Assessment:
    return assess(case, keep=drafting.keeping(open_case(case), fresh=False))


def test_one_recording_filed_twice_counts_once(tmp_path: Path) -> None:
    """The second entry is told and adds nothing; withdrawn, it is not told either. Another channel or file counts."""
    case = make_case(make_shelf(tmp_path / "shelf"))
    first = fill(case, tmp_path)["capture"]
    once = assess(case)
    again = add_evidence(
        case,
        tmp_path / "steps.csv",
        shows="pilot capture",
        who="Ines",
        conditions={"load": "steps"},
        instrument="scope",
        made=at(10),
        now=at(11),
    ).entry

    twice = assess(case)

    (told,) = twice.problems
    assert told.where == f"entry {again.id}"
    assert f"same recording as entry {first.id}" in told.what
    assert twice.findings == once.findings
    correct(case, again.id, reason="filed twice", who="Ines", withdraw=True, now=at(12))
    assert assess(case).problems == ()


def _changed(path: Path, before: str, after: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after), encoding="utf-8")


def _entry(case: Path) -> None:
    number = len(list((case / "entries").iterdir()))
    record(
        case,
        shows="earth resistance",
        who="Ines",
        readings=(f"{505 + number} mΩ",),
        instrument="meter",
        made=at(20 + number),
        now=at(21 + number),
    )


def _constant(case: Path) -> None:
    with (case / "case.toml").open("a", encoding="utf-8") as lines:
        lines.write('\n[[constants]]\nid = "touch.ac"\nmaximum = 20.0\nsource = "a text of ours"\n')


def _edition(case: Path) -> None:
    _changed(case / "case.toml", "charging_mode = 2", "charging_mode = 3")


def _instrument(case: Path) -> None:
    _changed(case.parent / "shelf.toml", "1 % + 0.05 V", "3 % + 0.1 V")


def _capture(case: Path) -> None:
    """Another capture under the name of the one that was filed."""
    (path,) = (case / "evidence").iterdir()
    path.chmod(0o644)
    path.write_bytes(capture_text(duty=40.0))


def _dialect(case: Path) -> None:
    (path,) = (case / "dialects").glob("*.json")
    _changed(path, '"scale": 1.0', '"scale": 2.0')


def _mixed(case: Path) -> None:
    """Every part under the name of another."""
    paths = sorted((case / "cache").glob("*.piece"))
    held = [path.read_bytes() for path in paths]
    for path, data in zip(paths, held[1:] + held[:1], strict=True):
        path.write_bytes(data)


CHANGES = (_constant, _edition, _instrument, _capture, _dialect, _mixed)


@pytest.fixture
def case(pattern: Path, tmp_path: Path) -> Path:
    return shutil.copytree(pattern.parent, tmp_path / "shelf") / pattern.name


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__.strip("_"))
def test_no_part_outlives_what_it_was_made_of(case: Path, change: Callable[[Path], None]) -> None:
    """After each change alone."""
    change(case)

    assert to_json(with_parts(case)) == to_json(assess(case))


@given(
    st.lists(
        st.sampled_from([_entry, _constant, _instrument, _dialect, _capture, _mixed]),
        min_size=2,
        max_size=3,
        unique=True,
    )
)
@settings(max_examples=EXAMPLES)
def test_a_cache_of_any_age_changes_nothing(pattern: Path, changes: list[Callable[[Path], None]]) -> None:
    """After several, with parts kept in between."""
    with tempfile.TemporaryDirectory() as folder:
        case = shutil.copytree(pattern.parent, Path(folder) / "shelf") / pattern.name
        for change in changes:
            change(case)
            kept = with_parts(case)

        assert to_json(kept) == to_json(assess(case))


def test_one_more_entry_reads_no_capture(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor is one read whose parts are there."""
    before = assessment_of(case)
    _entry(case)

    def refuse(*_: object, **__: object) -> Iterator[object]:
        raise AssertionError("read anew")

    monkeypatch.setattr(pilot_evidence, "read_capture", refuse)
    after = assessment_of(case)

    assert after.pilot == before.pilot
    assert len(after.entries) == len(before.entries) + 1
    with pytest.raises(AssertionError, match="read anew"):
        assessment_of(case, fresh=True)
