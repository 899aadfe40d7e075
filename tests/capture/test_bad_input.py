"""The table of bad input in the documentation is true: every row is carried out."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from coldpin.capture import read_waveform
from coldpin.errors import AmbiguousDialect, InputError

PAGE = Path(__file__).resolve().parent.parent.parent / "docs" / "bad-input.md"
HEADER = "| What | File | Holds | Option | coldpin |"
NAMED_IN_THE_PLAN = (
    *("cut mid-line", "ragged", "NaN", "clipped", "time going back", "wrong extension", "binary as text"),
    *(
        "huge header",
        "unknown key",
        "wrong unit",
        "WAV that claims 2 GiB",
        "NumPy array of objects",
        "Parquet",
        "COMTRADE",
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One row of the table."""

    what: str
    file: str
    holds: bytes
    options: dict[str, str | float | int]
    says: str


def content(cell: str) -> bytes:
    """Return the bytes that a cell of the column "Holds" stands for."""
    data = b""
    for piece, times in re.findall(r"`([^`]*)`(?: × (\d+))?", cell):
        raw = piece.replace("⏎", "\n").encode().replace(rb"\r", b"\r")
        data += re.sub(rb"\\x([0-9a-f]{2})", lambda match: bytes([int(match[1], 16)]), raw) * int(times or 1)
    return data


def one_option(text: str) -> dict[str, str | float | int]:
    """Return an option as it would be given to the reader."""
    key, _, value = text.partition("=")
    return {key: value}


def cases(page: Path = PAGE) -> list[Case]:
    """Read the table."""
    lines = page.read_text(encoding="utf-8").splitlines()
    rows = [
        [cell.strip() for cell in line.strip("|").split(" | ")] for line in lines[lines.index(HEADER) + 2 :] if line
    ]
    return [
        Case(
            what=what,
            file=file.strip("`"),
            holds=content(holds),
            options=one_option(option.strip("`")) if option else {},
            says=says,
        )
        for what, file, holds, option, says in rows
    ]


def answer(path: Path, options: dict[str, str | float | int]) -> str:
    """Return what coldpin says of a file, in the words of the table."""
    try:
        capture = read_waveform(path, choices=options)
    except AmbiguousDialect as error:
        return f"asks: {error}"
    except InputError as error:
        return f"refuses: {error}"
    said = "; ".join(capture.remarks) or "nothing to remark"
    return f"reads {capture.rows_kept} of {capture.rows_read}: {said}"


@pytest.mark.hand("what each row shows is bad is seen by eye; the answer is read for sense when the page is changed")
@pytest.mark.parametrize("case", cases(), ids=lambda case: case.what)
def test_each_row_of_the_page_is_true(tmp_path: Path, case: Case) -> None:
    """The file of the row, read with its option, gets the answer that the page prints."""
    path = tmp_path / case.file
    path.write_bytes(case.holds)

    assert answer(path, case.options) == case.says


def test_the_page_holds_every_kind_of_bad_input() -> None:
    """Kinds that must be on the page are there, and so are refusing, asking and reading."""
    found = cases()

    assert [kind for kind in NAMED_IN_THE_PLAN if not any(case.what.startswith(kind) for case in found)] == []
    assert {case.says.split()[0] for case in found} == {"refuses:", "asks:", "reads"}
    assert len({case.what for case in found}) == len(found) > 40


@pytest.mark.parametrize(
    "case", [case for case in cases() if case.says.startswith("asks:")], ids=lambda case: case.what
)
def test_a_question_names_an_option_to_type(case: Case) -> None:
    """Whoever is asked is told what to type."""
    assert re.search(r"--(separator|decimal|time|voltage|step|skip-rows|segment) \S+", case.says)
