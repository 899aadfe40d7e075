"""All readings of a case out, for whoever recomputes or draws them with another program."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from coldpin.casefile.private import read_mapping, read_private
from coldpin.checks import BenchEvidence
from coldpin.checks.readings import Measured, Side
from coldpin.checks.readings import readings as read_entry
from coldpin.errors import InputError
from coldpin.records.assessment import Problem
from coldpin.records.entry import Entry
from coldpin.records.readings import Corrections, IssueChanges, ReadingRow, Readings
from coldpin.records.vocabulary import VOCABULARY
from coldpin.standards.book import load_book
from coldpin.workbench.opening import edition_for
from coldpin.workbench.privacy import public_entries, public_problems
from coldpin.workbench.shelving import open_bench
from coldpin.workbench.withholding import Swap, entry_texts, swapper, withheld_in

MARK = "\ufeff"
"""Put before the table in a file: without it a spreadsheet reads Ω and ° as something else."""

_BEFORE = ("entry", "shows", "what", "repeat", "as written", "side")
_AFTER = (
    "made",
    "recorded",
    "who",
    "instrument",
    "supply voltage",
    "ambient",
    "humidity",
    "conditions",
    "counts",
    "replaced by",
    "reason",
    "note",
)
_FORMULA = re.compile(
    r"[=@\t\r\n＝＠＋－]|[+-](?![0-9]+(?:[.,][0-9]+)*(?:[eE][+-]?[0-9]+)?(?: ?[^\W_]*[°%]?[^\W\d_]*)?$)"
)
"""What a spreadsheet would take for a formula; a number with its sign, and with a unit behind it, is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsOut:
    """The readings, and what could not be used."""

    readings: Readings
    problems: tuple[Problem, ...]


def all_readings(folder: Path | str) -> ReadingsOut:
    """Return every reading of a case that is not private, those that were corrected among them.

    Parameters
    ----------
    folder : Path or str
        The case.

    Returns
    -------
    ReadingsOut
        One row for each; a text that cannot be read has no number, and is told under ``problems`` where it counts.

    Raises
    ------
    CaseError
        The folder is not a case, or its ``private.toml`` cannot be read.
    """
    bench = open_bench(folder)
    description = bench.case.description()
    held = bench.case.effective()
    entries = public_entries(held)
    seen = BenchEvidence(
        case=description,
        edition=edition_for(description),
        book=load_book().with_own(description.constants),
        entries=entries,
        instruments=bench.instruments,
    )
    problems = [*bench.problems, *held.problems]
    swap = swapper(withheld_in(entry_texts(entries), read_private(bench.case.folder), read_mapping(bench.case.folder)))
    counting = {entry.id for entry in held.entries}
    replacing = {entry.replaces: entry for entry in entries if entry.replaces}
    rows: list[ReadingRow] = []
    for entry in entries:
        counts = entry.id in counting
        measured = _measured(seen, entry, problems if counts else [])
        row = _around(entry, counts, replacing.get(entry.id))
        rows += [_masked(one, swap) for one in _rows(entry, row, measured)]
    return ReadingsOut(
        readings=Readings(schema="coldpin.readings/1", title=swap(description.title), rows=tuple(rows)),
        problems=public_problems(problems, held, bench.case.folder),
    )


def _measured(seen: BenchEvidence, entry: Entry, problems: list[Problem]) -> tuple[Measured | None, ...]:
    """Return the readings of an entry as numbers; none where it cannot be read."""
    if not entry.readings or not VOCABULARY[entry.shows].unit:
        return (None,) * len(entry.readings)
    try:
        return read_entry(seen, entry)
    except InputError as error:
        problems.append(Problem(where=f"entry {entry.id}", what=str(error)))
        return (None,) * len(entry.readings)


def _around(entry: Entry, counts: bool, correction: Entry | None) -> ReadingRow:
    return ReadingRow(
        entry=entry.id,
        shows=entry.shows,
        what="",
        repeat=1,
        written="",
        quantity=None,
        side="",
        made=entry.made,
        recorded=entry.recorded,
        who=entry.who,
        instrument=entry.instrument,
        supply_voltage=entry.supply_voltage,
        ambient=entry.ambient,
        humidity=entry.humidity,
        conditions=dict(sorted(entry.conditions.items())),
        counts=counts,
        replaced_by=correction.id if correction is not None else "",
        reason=entry.reason or (correction.reason if correction is not None else ""),
        note=entry.note,
    )


def _rows(entry: Entry, row: ReadingRow, measured: tuple[Measured | None, ...]) -> list[ReadingRow]:
    rows = [
        replace(
            row,
            repeat=place,
            written=text,
            quantity=one.quantity if one is not None else None,
            side=one.side.value if one is not None and one.side is not Side.VALUE else "",
        )
        for place, (text, one) in enumerate(zip(entry.readings, measured, strict=True), start=1)
    ]
    rows += [replace(row, what=pair, written=found) for pair, found in entry.pairs.items()]
    return rows + ([replace(row, written=entry.answer)] if entry.answer else [])


def _masked(row: ReadingRow, swap: Swap) -> ReadingRow:
    return replace(
        row,
        written=swap(row.written),
        who=swap(row.who),
        instrument=swap(row.instrument),
        conditions={name: swap(said) for name, said in row.conditions.items()},
        reason=swap(row.reason),
        note=swap(row.note),
    )


def readings_table(readings: Readings) -> str:
    """Return readings as a table of comma-separated values, units in the heading, one row for each reading.

    Each unit has a column of its own for the value and one for the standard uncertainty; that is empty where it is not
    known. Rows end as RFC 4180 has it. A text that a spreadsheet would take for a formula begins with an apostrophe.
    A file of it begins with :data:`MARK`, by which a spreadsheet knows that it is UTF-8.

    Parameters
    ----------
    readings : Readings
        The readings.

    Returns
    -------
    str
        The table.
    """
    units = tuple(dict.fromkeys(row.quantity.unit for row in readings.rows if row.quantity is not None))
    numbers = [f"{name} ({unit})" for unit in units for name in ("value", "standard uncertainty")]
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow((*_BEFORE, *numbers, *_AFTER))
    for row in readings.rows:
        writer.writerow((*_before(row), *_numbers(row, units), *_after(row)))
    return out.getvalue()


def _before(row: ReadingRow) -> list[str]:
    return [row.entry, _text(row.shows), _text(row.what), str(row.repeat), _text(row.written), row.side]


def _numbers(row: ReadingRow, units: Iterable[str]) -> list[str]:
    cells = []
    for unit in units:
        quantity = row.quantity if row.quantity is not None and row.quantity.unit == unit else None
        cells.append("" if quantity is None else repr(float(quantity.value)))
        cells.append("" if quantity is None or quantity.u is None else repr(float(quantity.u)))
    return cells


def _after(row: ReadingRow) -> list[str]:
    conditions = "; ".join(f"{name}={said}" for name, said in row.conditions.items())
    texts = (
        row.made,
        row.recorded,
        row.who,
        row.instrument,
        row.supply_voltage,
        row.ambient,
        row.humidity,
        conditions,
        "yes" if row.counts else "no",
        row.replaced_by,
        row.reason,
        row.note,
    )
    return [_text(text) for text in texts]


def _text(text: str) -> str:
    return f"'{text}" if _FORMULA.match(text) else text


def public_corrections(folder: Path | str) -> Corrections:
    """Return what changed from issue to issue, newest first: the public list of corrections.

    Parameters
    ----------
    folder : Path or str
        The case.

    Returns
    -------
    Corrections
        Empty where nothing was published.

    Raises
    ------
    CaseError
        The folder is not a case.
    """
    case = open_bench(folder).case
    issues = tuple(
        IssueChanges(number=int(issue.number), issued_on=issue.issued_on, changes=issue.changes)
        for issue in reversed(case.issues())
    )
    return Corrections(schema="coldpin.corrections/1", title=case.description().title, issues=issues)
