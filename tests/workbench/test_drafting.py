"""What is remembered of a case: the same to the byte, dropped at the least change, never believed when damaged."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from coldpin.casefile import open_case, open_shelf
from coldpin.casefile.storage import LOCK
from coldpin.errors import InputError
from coldpin.records.assessment import Assessment
from coldpin.records.plain import to_json
from coldpin.workbench import assess, assessing, assessment_of, drafting, record, render, write_report
from coldpin.workbench.environment import environment
from tests.workbench.quay import at, fill, make_case, make_shelf


@pytest.fixture(scope="module")
def pattern(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shelf with a filled case, made once."""
    table = tmp_path_factory.mktemp("pattern")
    fill(make_case(make_shelf(table / "shelf")), table)
    return table / "shelf"


@pytest.fixture
def case(tmp_path: Path, pattern: Path) -> Path:
    """A filled case on a shelf, for a test to do with as it likes."""
    return shutil.copytree(pattern, tmp_path / "shelf") / "skerrow-16"


def forget_how(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let everything fail that is not taken from the cache."""

    def refuse(*_: object, **__: object) -> Assessment:
        raise AssertionError("assessed anew")

    monkeypatch.setattr(assessing, "assess", refuse)


def files_of(case: Path) -> dict[str, bytes]:
    return {name: (case / "report" / name).read_bytes() for name in drafting.REPORT}


def test_the_second_report_is_the_first_to_the_byte(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Record, page and sheet, though nothing is computed."""
    first = write_report(case)
    files = files_of(case)
    for path in (case / "report").iterdir():
        path.unlink()
    forget_how(monkeypatch)

    second = write_report(case)

    assert files_of(case) == files
    assert to_json(second.assessment) == to_json(first.assessment)


def test_a_remembered_assessment_is_the_one_that_would_be_made(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And it makes the same report."""
    anew = assess(case)
    assessment_of(case)
    forget_how(monkeypatch)

    kept = assessment_of(case)

    assert to_json(kept) == to_json(anew)
    assert render(kept) == render(anew)


def _comment(case: Path) -> None:
    with (case / "case.toml").open("a", encoding="utf-8") as lines:
        lines.write("# later\n")


def _entry(case: Path) -> None:
    record(case, shows="remark", who="Ines", note="later", made=at(20), now=at(21))


def _evidence(case: Path) -> None:
    (path,) = (case / "evidence").iterdir()
    path.chmod(0o644)
    data = path.read_bytes()
    path.write_bytes(data[:-5] + bytes([data[-5] ^ 1]) + data[-4:])


def _dialect(case: Path) -> None:
    (path,) = (case / "dialects").glob("*.json")
    path.write_bytes(path.read_bytes() + b"\n")


def _without_dialect(case: Path) -> None:
    next((case / "dialects").glob("*.json")).unlink()


def _added(case: Path) -> None:
    (case / "evidence" / "stray.csv").write_bytes(b"1")


def _broken_entry(case: Path) -> None:
    (case / "entries" / "x.json").write_bytes(b"{")


def _issue(case: Path) -> None:
    (case / "issued" / "01").mkdir(parents=True)


def _shelf(case: Path) -> None:
    held = open_shelf(case.parent).instrument("meter")
    open_shelf(case.parent).add_instrument("second", replace(held, note="another"))


def _shelf_gone(case: Path) -> None:
    (case.parent / "shelf.toml").unlink()


def _shelf_dialect(case: Path) -> None:
    folder = case.parent / "dialects"
    folder.mkdir(exist_ok=True)
    (folder / "meter.json").write_bytes(b"{}")


def _moved(case: Path) -> None:
    (path,) = (case / "evidence").iterdir()
    path.rename(path.with_name("other.csv"))


def _linked(case: Path) -> None:
    (path,) = (case / "evidence").iterdir()
    elsewhere = case.parent / "elsewhere.csv"
    path.rename(elsewhere)
    path.symlink_to(elsewhere)


CHANGES = (
    _comment,
    _entry,
    _evidence,
    _dialect,
    _without_dialect,
    _added,
    _broken_entry,
    _issue,
    _shelf,
    _shelf_gone,
    _shelf_dialect,
    _moved,
    _linked,
)


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__.strip("_"))
def test_whatever_changes_is_computed_anew(case: Path, change: Callable[[Path], None]) -> None:
    """A byte anywhere in the case or on its shelf gives another name in the cache."""
    before = drafting.case_key(open_case(case), "record")

    change(case)

    assert drafting.case_key(open_case(case), "record") != before


def test_what_the_program_writes_itself_changes_nothing(case: Path) -> None:
    """Drafts, the cache, locks and unfinished files are no part of a case."""
    before = drafting.case_key(open_case(case), "record")
    for name in ("report/report.html", "cache/x.npz", LOCK, "entries/.unfinished-00"):
        (case / name).write_bytes(b"x")

    assert drafting.case_key(open_case(case), "record") == before


@pytest.mark.parametrize("member", ["program_version", "source", "python", "libraries"])
def test_another_program_computes_anew(case: Path, monkeypatch: pytest.MonkeyPatch, member: str) -> None:
    """Version, own files, interpreter, libraries."""
    before = drafting.case_key(open_case(case), "record")
    held = environment()
    others = {
        "program_version": replace(held, program_version="another"),
        "source": replace(held, source="another"),
        "python": replace(held, python="another"),
        "libraries": replace(held, libraries=()),
    }
    monkeypatch.setattr(drafting, "environment", lambda: others[member])

    assert drafting.case_key(open_case(case), "record") != before


def remembered(case: Path) -> list[str]:
    """What is kept of an assessment; what a file holds, in short, is kept when it is filed."""
    return [one.name for one in (case / "cache").iterdir() if one.suffix != ".content"]


def test_where_checks_of_others_take_part_nothing_is_remembered(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Their files may change unseen."""
    monkeypatch.setattr(drafting, "entry_points", lambda **_: ("a check of others",))

    assert drafting.case_key(open_case(case), "record") is None
    assessment_of(case)
    assert remembered(case) == []


def test_a_case_that_changes_while_it_is_assessed_is_not_remembered(
    case: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The next assessment sees what is there by then."""
    real = assess

    def slow(folder: Path, **given: object) -> Assessment:
        made = real(folder)
        _comment(case)
        return made

    monkeypatch.setattr(assessing, "assess", slow)
    assessment_of(case)

    assert remembered(case) == []


def test_a_damaged_cache_costs_time_and_nothing_else(case: Path) -> None:
    """Cut, changed at any place, emptied, another archive: the result is the one computed anew."""
    wanted = to_json(assessment_of(case))
    (path,) = (case / "cache").glob("*.npz")
    whole = path.read_bytes()
    draw = np.random.default_rng(5)
    places = [int(place) for place in draw.integers(0, len(whole), 60)]
    spoiled = [whole[:place] + bytes([whole[place] ^ 4]) + whole[place + 1 :] for place in places]
    key = path.stem
    for data in (*spoiled, whole[:-1000], b"", b"PK"):
        path.write_bytes(data)
        held = drafting._loaded(open_case(case).cache, key, drafting.REPORT[:1])
        assert held is None or to_json(held[0]) == wanted

    path.unlink()
    assert to_json(assessment_of(case)) == wanted


def test_a_forged_result_under_the_right_name_is_not_believed(case: Path) -> None:
    """Its own hash must fit."""
    assessment_of(case)
    (path,) = (case / "cache").glob("*.npz")
    forged = to_json(assess(case)).replace("Skerrow", "Pellwick").encode()
    held = {drafting.REPORT[0]: np.frombuffer(forged, dtype=np.uint8), "sha256": np.array(hashlib.sha256().hexdigest())}
    open_case(case).cache.store(path.stem, held)

    assert "Pellwick" not in to_json(assessment_of(case))


def test_what_may_be_said_is_told_before_the_report_is_made(case: Path) -> None:
    """Once, while there is no page and no sheet yet; and once where both are remembered."""
    told: list[tuple[Assessment, bool]] = []

    def tell(assessment: Assessment) -> None:
        told.append((assessment, (case / "report" / "report.html").exists()))

    written = write_report(case, told=tell)
    assert told == [(written.assessment, False)]
    again = write_report(case, told=tell)
    assert told[1:] == [(again.assessment, True)]


def test_fresh_takes_nothing_from_the_cache(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As asked for."""
    assessment_of(case)
    forget_how(monkeypatch)

    with pytest.raises(AssertionError, match="assessed anew"):
        assessment_of(case, fresh=True)


def test_a_case_that_cannot_be_read_is_told_as_before(case: Path) -> None:
    """No cache hides that."""
    assessment_of(case)
    (case / "case.toml").write_text("format = 1\n", encoding="utf-8")

    with pytest.raises(InputError, match=r"case\.toml"):
        assessment_of(case)


def test_the_draft_is_the_assessment_too(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was written is not made again to be looked at, and an entry more is seen."""
    written = write_report(case)
    with monkeypatch.context() as patch:
        forget_how(patch)
        assert to_json(assessment_of(case)) == to_json(written.assessment)

    record(case, shows="earth resistance", who="Ines", readings=("0.2 Ω",))
    assert assessment_of(case) == assess(case) != written.assessment
