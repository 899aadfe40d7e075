"""The table of bad logs in the documentation is true: every row is carried out."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from coldpin.capture.log import read_log
from coldpin.errors import AmbiguousDialect, InputError
from tests.capture.test_bad_input import Case, cases

PAGE = Path(__file__).resolve().parent.parent.parent / "docs" / "bad-logs.md"
CASES = cases(PAGE)
NAMED = ("no header", "no unit", "unknown unit", "milliamps", "kelvin", "day and month", "summer time", "one column")


def answer(path: Path, options: dict[str, str | float | int]) -> str:
    """Return what coldpin says of a log, in the words of the table."""
    try:
        capture = read_log(path, choices=options)
    except AmbiguousDialect as error:
        return f"asks: {error}"
    except InputError as error:
        return f"refuses: {error}"
    said = "; ".join(capture.remarks) or "nothing to remark"
    return f"reads {capture.rows_kept} of {capture.rows_read}: {said}"


@pytest.mark.hand("what each row shows is bad is seen by eye; the answer is read for sense when the page is changed")
@pytest.mark.parametrize("case", CASES, ids=lambda case: case.what)
def test_each_row_of_the_page_is_true(tmp_path: Path, case: Case) -> None:
    """The log of the row, read with its option, gets the answer that the page prints."""
    path = tmp_path / case.file
    path.write_bytes(case.holds)

    assert answer(path, case.options) == case.says


def test_the_page_holds_every_kind_of_bad_log() -> None:
    """Kinds that must be on the page are there, and so are refusing, asking and reading."""
    assert [kind for kind in NAMED if not any(case.what.startswith(kind) for case in CASES)] == []
    assert {case.says.split()[0] for case in CASES} == {"refuses:", "asks:", "reads"}


@pytest.mark.parametrize("case", [case for case in CASES if case.says.startswith("asks:")], ids=lambda case: case.what)
def test_a_question_names_an_option_to_type(case: Case) -> None:
    """Whoever is asked is told what to type."""
    assert re.search(r"--(column|time|date-order|separator|decimal) \S+", case.says)
