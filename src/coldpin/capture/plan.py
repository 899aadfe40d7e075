"""How a text capture will be read: decided from its first lines, from options by hand, or from a dialect kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace

from coldpin.capture.ambiguity import only_layout
from coldpin.capture.choices import Choices
from coldpin.capture.columns import (
    BY_HAND,
    FROM_HEADER,
    SEEN,
    Columns,
    check_roles,
    choose_columns,
    column_label,
    declared_columns,
)
from coldpin.capture.encoding import NOT_UTF8
from coldpin.capture.header import unit_kind
from coldpin.capture.layout import Layout, declared_layout, possible_layouts
from coldpin.capture.opening import FIRST_LOOK, LONGEST_PREAMBLE, Opening, no_rows_error, open_lines
from coldpin.capture.preamble import StatedStep, kept_preamble, stated_steps
from coldpin.capture.source import CaptureFile
from coldpin.errors import AmbiguousDialect, CaptureError, UnitError, UnknownName
from coldpin.quantity.units import find_unit, symbols_of
from coldpin.records.dialect import Dialect

REMEMBERED = "remembered for this instrument"
ASSUMED = "assumed, not stated in the file"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """How a text capture will be read: the dialect, the columns by index, the step as known beforehand.

    ``step`` [s] is one given by hand or kept with the evidence, ``stated`` what the file states above its data.
    """

    dialect: Dialect
    line_end: bytes
    layout: Layout
    columns: Columns
    step: float | None
    stated: StatedStep | None
    remarks: tuple[str, ...]
    preamble: tuple[str, ...]


@contextmanager
def naming(file: CaptureFile) -> Iterator[None]:
    """Put the file's name before any error of input that does not have it yet.

    Parameters
    ----------
    file : CaptureFile
        The file.

    Yields
    ------
    None
        Nothing; errors inside come out as errors of this capture.
    """
    place = file.place()
    try:
        yield
    except (CaptureError, UnknownName, UnitError) as error:
        said = str(error)
        if said.startswith(place.rstrip(": ")):
            raise
        kind = type(error) if isinstance(error, CaptureError) else CaptureError
        raise kind(place + said) from None


def make_plan(file: CaptureFile, choices: Choices) -> Plan:
    """Decide from the first lines of a file and from options by hand how it is to be read.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    choices : Choices
        What was said by hand.

    Returns
    -------
    Plan
        The plan.

    Raises
    ------
    CaptureError
        There are no rows of numbers, or no column can be meant.
    AmbiguousDialect
        The file can be read in several ways.
    """
    with naming(file):
        marks = Dialect()
        for size in (FIRST_LOOK, LONGEST_PREAMBLE):
            opening = open_lines(file, choices.encoding, size, choices.skip_rows or 0)
            inside = choices if not opening.offset else replace(choices, skip_rows=0)
            layouts = possible_layouts(opening.lines, inside, marks, whole=opening.whole)
            if layouts or opening.whole:
                break
        if not layouts and choices.separator == choices.decimal == ",":
            raise file.error(
                "--separator and --decimal are both a comma, which no reader can tell apart without quotes: "
                "export the capture again with a semicolon, a tab or a decimal point"
            )
        if not layouts:
            raise no_rows_error(file, opening)
        layout = _moved(only_layout(layouts, choices), opening.offset)
        stated, remarks = _stated(opening, layout, choices)
        columns = choose_columns(layout, choices, step_known=stated is not None or choices.step is not None)
        units, said = settle_units(layout, columns, choices, {}, "")
        origin = {
            **_origin(choices, opening),
            **columns.origin,
            "units": "; ".join(f"{label}: {where}" for label, (_, where) in units.items()),
            "step": BY_HAND if choices.step is not None else FROM_HEADER if stated else "",
            "scale": BY_HAND if choices.scale is not None else ASSUMED,
            "output_scale": BY_HAND if choices.output_scale is not None else "",
        }
        step = choices.step if choices.step is not None else stated.value if stated else None
        base = replace(
            marks,
            scale=1.0 if choices.scale is None else choices.scale,
            output_scale=1.0 if choices.output_scale is None else choices.output_scale,
            step=step,
        )
        dialect = _dialect(base, layout, columns, opening, units, origin)
        unused = [column_label(layout.headings, index) for index in columns.unused]
        left = (f"columns not used: {', '.join(unused)}",) if unused else ()
        above = layout.matching - len(layout.rows)
        numbers = (f"rows of numbers above the header, taken for preamble: {above}",) if above else ()
        return _plan(dialect, layout, columns, opening, choices.step, stated, (*remarks, *said, *left, *numbers))


def keep_plan(file: CaptureFile, dialect: Dialect, choices: Choices) -> Plan:
    """Follow a dialect to the letter, except for what is said by hand.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    dialect : Dialect
        How the file was read before.
    choices : Choices
        What was said by hand.

    Returns
    -------
    Plan
        The plan.

    Raises
    ------
    CaptureError
        The file does not fit the dialect.
    """
    with naming(file):
        changed = _changed(dialect, choices)
        opening = open_lines(
            file, changed.encoding, LONGEST_PREAMBLE if changed.skip_rows else FIRST_LOOK, changed.skip_rows
        )
        inside = replace(changed, skip_rows=changed.skip_rows - opening.offset)
        layout = _moved(declared_layout(opening.lines, inside, whole=opening.whole), opening.offset)
        stated, remarks = _stated(opening, layout, replace(choices, step=changed.step))
        columns = declared_columns(layout.headings, time=changed.time, voltage=changed.voltage, output=changed.output)
        units, said = settle_units(layout, columns, choices, changed.units, changed.origin.get("units", ASSUMED))
        origin = _kept_origin(changed, choices)
        kept = _dialect(changed, layout, columns, opening, units, origin)
        return _plan(kept, layout, columns, opening, changed.step, stated, (*remarks, *said))


def recall_plan(file: CaptureFile, dialect: Dialect, choices: Choices) -> Plan:
    """Try the dialect remembered for an instrument on a new file, or say why it does not fit.

    What belongs to one recording and not to the instrument, the time between samples, is read from this file.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    dialect : Dialect
        How the instrument's files were read before.
    choices : Choices
        What was said by hand.

    Returns
    -------
    Plan
        The plan.

    Raises
    ------
    CaptureError
        The file does not fit.
    """
    with naming(file):
        if dialect.format != Dialect().format:
            raise CaptureError(f"it is for {dialect.format} captures, this is text")
        remembered = replace(dialect, step=None, origin=dict.fromkeys(_INSTRUMENTS_OWN, REMEMBERED))
        plan = keep_plan(file, remembered, choices)
        _check_recalled(plan, dialect, choices)
        return replace(plan, remarks=(*plan.remarks, *_recalled_remarks(plan, choices)))


_INSTRUMENTS_OWN = (
    *("delimiter", "decimal_char", "encoding", "skip_rows", "header_row_count", "time", "voltage", "output"),
    *("units", "scale"),
)


def _check_recalled(plan: Plan, dialect: Dialect, choices: Choices) -> None:
    for index, heading in enumerate(plan.layout.headings):
        label = column_label(plan.layout.headings, index)
        if label in dialect.units and heading.unit is not None and heading.unit != dialect.units[label]:
            raise CaptureError(f"column {label!r} is in {heading.unit!r} here, not in {dialect.units[label]!r}")
    if choices.skip_rows is None and plan.layout.matching > len(plan.layout.rows):
        raise CaptureError("rows of numbers stand above the first row it names")


def _recalled_remarks(plan: Plan, choices: Choices) -> tuple[str, ...]:
    """Say what the numbers owe to an earlier capture: a factor, or a unit this file does not state."""
    dialect, headings = plan.dialect, plan.layout.headings
    labels = [column_label(headings, index) for index in range(len(headings))]
    remarks = [
        f"the unit of column {label!r}, {dialect.units[label]}, is remembered for this instrument; the file has none"
        for label, heading in zip(labels, headings, strict=True)
        if label in dialect.units and heading.unit is None and not (choices.time_unit or choices.voltage_unit)
    ]
    if dialect.scale != 1.0 and choices.scale is None:
        remarks.append(f"the factor on the voltage, {dialect.scale:g}, is remembered for this instrument")
    return tuple(remarks)


def _moved(layout: Layout, offset: int) -> Layout:
    return replace(layout, skip_rows=layout.skip_rows + offset)


def _origin(choices: Choices, opening: Opening) -> dict[str, str]:
    return {
        "delimiter": BY_HAND if choices.separator else SEEN,
        "decimal_char": BY_HAND if choices.decimal else SEEN,
        "encoding": opening.encoding.origin,
        "skip_rows": BY_HAND if choices.skip_rows is not None else SEEN,
        "header_row_count": SEEN,
    }


def _dialect(
    base: Dialect,
    layout: Layout,
    columns: Columns,
    opening: Opening,
    units: Mapping[str, tuple[str, str]],
    origin: Mapping[str, str],
) -> Dialect:
    def label(index: int | None) -> str:
        return "" if index is None else column_label(layout.headings, index)

    return replace(
        base,
        delimiter=layout.delimiter,
        decimal_char=layout.decimal_char,
        encoding=opening.encoding.name,
        skip_rows=layout.skip_rows,
        header_row_count=layout.header_row_count,
        time=label(columns.time),
        voltage=label(columns.voltage),
        output=label(columns.output),
        units={name: unit for name, (unit, _) in units.items()},
        origin={field: where for field, where in origin.items() if where},
    )


def _plan(
    dialect: Dialect,
    layout: Layout,
    columns: Columns,
    opening: Opening,
    step: float | None,
    stated: StatedStep | None,
    remarks: Sequence[str],
) -> Plan:
    check_roles(layout, columns)
    guessed = dialect.encoding == "latin-1" and dialect.origin.get("encoding") != BY_HAND
    encoding = (NOT_UTF8,) if guessed else ()
    return Plan(
        dialect=dialect,
        line_end=opening.encoding.line_end,
        layout=layout,
        columns=columns,
        step=step,
        stated=stated,
        remarks=(*encoding, *remarks),
        preamble=kept_preamble(opening.top[: layout.skip_rows]),
    )


def _stated(opening: Opening, layout: Layout, choices: Choices) -> tuple[StatedStep | None, tuple[str, ...]]:
    if choices.step is not None:
        return None, ()
    above = list(enumerate(opening.top[: layout.first], start=1))
    steps, remarks = stated_steps(above, delimiter=layout.delimiter, decimal_char=layout.decimal_char)
    if not steps and layout.whole_numbers:
        other = "," if layout.decimal_char == "." else "."  # whole numbers do not show which sign marks decimals
        steps, _ = stated_steps(above, delimiter=layout.delimiter, decimal_char=other)
        remarks = () if steps else remarks
    if not steps:
        return None, remarks
    first = steps[0]
    for further in steps[1:]:
        if abs(further.value - first.value) > first.half_width + further.half_width:
            raise AmbiguousDialect(
                f"line {first.line} ({first.text[:60]!r}) and line {further.line} ({further.text[:60]!r}) state "
                f"different times between samples: say --step {first.value:g} or --step {further.value:g}"
            )
    return min(steps, key=lambda step: step.half_width), remarks


def settle_units(
    layout: Layout, columns: Columns, choices: Choices, kept: Mapping[str, str], kept_origin: str
) -> tuple[dict[str, tuple[str, str]], tuple[str, ...]]:
    """Return the unit of each column used and where it came from, and what is to be remarked.

    Parameters
    ----------
    layout : Layout
        The layout of the rows.
    columns : Columns
        Which column is what.
    choices : Choices
        What was said by hand.
    kept : mapping of str to str
        Units by column, from a dialect.
    kept_origin : str
        Where those came from.

    Returns
    -------
    tuple
        Unit and origin by column; remarks.

    Raises
    ------
    CaptureError
        A unit is unknown or of another kind.
    """
    found: dict[str, tuple[str, str]] = {}
    remarks: list[str] = []
    roles = (
        ("time", columns.time, "time", choices.time_unit, "s"),
        ("voltage", columns.voltage, "voltage", choices.voltage_unit, "V"),
        ("output", columns.output, "voltage", choices.voltage_unit, "V"),
    )
    for role, index, kind, by_hand, usual in roles:
        if index is None:
            continue
        heading, label = layout.headings[index], column_label(layout.headings, index)
        if by_hand:
            found[label] = (by_hand, BY_HAND)
        elif label in kept:
            found[label] = (kept[label], FROM_HEADER if heading.unit == kept[label] else kept_origin)
        elif heading.unit is not None:
            found[label] = (heading.unit, FROM_HEADER)
        else:
            found[label] = (usual, ASSUMED)
        if found[label][1] == ASSUMED or (label in kept and f"{label}: {ASSUMED}" in kept_origin):
            remarks.append(
                f"no unit is given for the {role} in column {label!r}; {usual} was taken (--unit says another)"
            )
        _check_unit(found[label][0], kind, role, label)
    return found, tuple(remarks)


def _check_unit(unit: str, kind: str, role: str, label: str) -> None:
    allowed = f"allowed are {', '.join(symbols_of(kind))}: mend the header or say --unit"
    given = unit_kind(unit)
    if not given:
        try:
            find_unit(unit)
        except UnitError as error:
            said = str(error).partition("; did you mean")[0].partition("; known: ")[0]
            raise CaptureError(f"column {label!r}, the {role}: {said}; {allowed}") from None
    if given != kind:
        raise CaptureError(f"column {label!r}, the {role}: {unit!r} is a unit of {given}; {allowed}")


def _changed(dialect: Dialect, choices: Choices) -> Dialect:
    """Put what is said by hand over a dialect."""
    return replace(
        dialect,
        delimiter=choices.separator or dialect.delimiter,
        decimal_char=choices.decimal or dialect.decimal_char,
        encoding=choices.encoding or dialect.encoding,
        skip_rows=dialect.skip_rows if choices.skip_rows is None else choices.skip_rows,
        time=choices.time or dialect.time,
        voltage=choices.voltage or dialect.voltage,
        output=choices.output or dialect.output,
        step=dialect.step if choices.step is None else choices.step,
        scale=dialect.scale if choices.scale is None else choices.scale,
        output_scale=dialect.output_scale if choices.output_scale is None else choices.output_scale,
    )


def _kept_origin(dialect: Dialect, choices: Choices) -> dict[str, str]:
    by_hand = {
        "delimiter": choices.separator,
        "decimal_char": choices.decimal,
        "encoding": choices.encoding,
        "skip_rows": choices.skip_rows is not None,
        "time": choices.time,
        "voltage": choices.voltage,
        "output": choices.output,
        "units": choices.time_unit or choices.voltage_unit,
        "step": choices.step is not None,
        "scale": choices.scale is not None,
        "output_scale": choices.output_scale is not None,
    }
    return {**dialect.origin, **{key: BY_HAND for key, said in by_hand.items() if said}}
