"""How a log in text will be read: which columns hold what, in which units, and how its time is written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from coldpin.capture.ambiguity import only_layout
from coldpin.capture.columns import BY_HAND, FROM_HEADER, SEEN, column_label
from coldpin.capture.encoding import NOT_UTF8
from coldpin.capture.layout import Layout, declared_layout, possible_layouts
from coldpin.capture.log_choices import LogChoices, Said
from coldpin.capture.log_columns import LogColumn, TimeColumn, choose_channels, choose_time, first_rows
from coldpin.capture.log_header import LOGS
from coldpin.capture.opening import FIRST_LOOK, LONGEST_PREAMBLE, Opening, no_rows_error, open_lines
from coldpin.capture.plan import REMEMBERED, naming
from coldpin.capture.preamble import kept_preamble
from coldpin.capture.source import CaptureFile
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect, LogTable
from coldpin.records.file_words import DATE_ORDERS
from coldpin.records.log import LogQuantity

MISSING = (*Dialect().missing, "-", "--", "---", "none", "n.a.", "#N/A")
"""Marks for "missing" that loggers write beside those of other instruments."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LogPlan:
    """How a log in text will be read: the dialect so far, the columns by index, what is to be remarked.

    ``clock_steps`` are by line of the file [s], ``date_order`` is the form of a date as far as it was said.
    """

    dialect: Dialect
    line_end: bytes
    layout: Layout
    time: TimeColumn
    channels: tuple[LogColumn, ...]
    clock_steps: Mapping[int, float]
    date_order: str
    remarks: tuple[str, ...]
    preamble: tuple[str, ...]


def make_log_plan(file: CaptureFile, choices: LogChoices) -> LogPlan:
    """Decide from the first lines of a log and from options by hand how it is to be read.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    choices : LogChoices
        What was said by hand.

    Returns
    -------
    LogPlan
        The plan.

    Raises
    ------
    CaptureError
        There are no rows of numbers, or a unit is not known.
    AmbiguousDialect
        The file can be read in several ways; the message shows the first rows and the options to type.
    """
    with naming(file):
        marks = Dialect(missing=(*MISSING, *(choices.missing or ())))
        table = choices.table
        for size in (FIRST_LOOK, LONGEST_PREAMBLE):
            opening = open_lines(file, table.encoding, size, table.skip_rows or 0)
            inside = table if not opening.offset else replace(table, skip_rows=0)
            layouts = possible_layouts(opening.lines, inside, marks, whole=opening.whole, trade=LOGS)
            if layouts or opening.whole:
                break
        if not layouts:
            raise no_rows_error(file, opening)
        found = _from_first_header(only_layout(layouts, table), opening.lines, inside.skip_rows or 0)
        layout = _moved(found, opening.offset)
        above = found.matching - len(found.rows)
        left = (f"rows of numbers above the header, taken for preamble: {above}",) if above else ()
        where = {
            "delimiter": BY_HAND if table.separator else SEEN,
            "decimal_char": BY_HAND if table.decimal else SEEN,
            "encoding": opening.encoding.origin,
            "skip_rows": BY_HAND if table.skip_rows is not None else SEEN,
            "columns": BY_HAND if choices.columns else FROM_HEADER,
        }
        plan = settle_log_plan(opening, layout, choices, marks, where)
        return replace(plan, remarks=(*plan.remarks, *left))


def keep_log_plan(file: CaptureFile, dialect: Dialect, choices: LogChoices) -> LogPlan:
    """Follow the dialect of a log to the letter, except for what is said by hand.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    dialect : Dialect
        How the log was read before.
    choices : LogChoices
        What was said by hand.

    Returns
    -------
    LogPlan
        The plan.

    Raises
    ------
    CaptureError
        The file does not fit the dialect.
    """
    with naming(file):
        if dialect.log is None:
            raise CaptureError("the dialect is that of a capture, not of a log: say how the log is to be read by hand")
        if dialect.format != Dialect().format:
            raise CaptureError(
                f"it was filed as {dialect.format}, but its content is text: it is not the file that was filed, or it "
                "was changed; put the original back"
            )
        table = choices.table
        followed = replace(
            dialect,
            delimiter=table.separator or dialect.delimiter,
            decimal_char=table.decimal or dialect.decimal_char,
            encoding=table.encoding or dialect.encoding,
            skip_rows=dialect.skip_rows if table.skip_rows is None else table.skip_rows,
            missing=(*dialect.missing, *(choices.missing or ())),
        )
        size = LONGEST_PREAMBLE if followed.skip_rows else FIRST_LOOK
        opening = open_lines(file, followed.encoding, size, followed.skip_rows)
        inside = replace(followed, skip_rows=followed.skip_rows - opening.offset)
        layout = _moved(declared_layout(opening.lines, inside, whole=opening.whole, trade=LOGS), opening.offset)
        said = laid_over(dialect, dialect.log, choices)
        return settle_log_plan(opening, layout, said, followed, dict(dialect.origin), kept=dialect.log)


def recall_log_plan(file: CaptureFile, dialect: Dialect, choices: LogChoices) -> LogPlan:
    """Try the dialect remembered for an instrument on a new log, or say why it does not fit.

    What belongs to one recording, the settings of the clock, is left out.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    dialect : Dialect
        How the instrument's logs were read before.
    choices : LogChoices
        What was said by hand.

    Returns
    -------
    LogPlan
        The plan.

    Raises
    ------
    CaptureError
        The file does not fit.
    """
    with naming(file):
        if dialect.log is None or dialect.format != Dialect().format:
            raise CaptureError("it is not for logs in text")
        origin = dict.fromkeys(("delimiter", "decimal_char", "encoding", "skip_rows", "columns"), REMEMBERED)
        recalled = replace(dialect, origin=origin, log=replace(dialect.log, clock_steps={}))
        plan = keep_log_plan(file, recalled, choices)
        for index, heading in enumerate(plan.layout.headings):
            label = column_label(plan.layout.headings, index)
            if heading.unit is not None and heading.unit != dialect.units.get(label, heading.unit):
                raise CaptureError(f"column {label!r} is in {heading.unit!r} here, not in {dialect.units[label]!r}")
            known = (*dialect.log.columns, dialect.time, dialect.log.date)
            if heading.unit is not None and label not in known and not dialect.log.meant:
                # nobody chose the columns by hand: what was not there then would be left out in silence
                raise CaptureError(f"column {label!r} was not there when it was remembered")
        if plan.layout.matching > len(plan.layout.rows):
            raise CaptureError("rows of numbers stand above the first row it names")
        return plan


def laid_over(dialect: Dialect, log: LogTable, choices: LogChoices) -> LogChoices:
    """Return the options that a kept dialect stands for, those by hand over them.

    Parameters
    ----------
    dialect : Dialect
        The dialect.
    log : LogTable
        What it says of a log.
    choices : LogChoices
        What was said by hand.

    Returns
    -------
    LogChoices
        Both.
    """
    kept = tuple(
        Said(quantity=LogQuantity(quantity), column=column, unit=dialect.units.get(column, ""))
        for column, quantity in log.columns.items()
    )
    return replace(
        choices,
        columns=choices.columns or kept,
        time=choices.time or dialect.time,
        time_unit=choices.time_unit or dialect.units.get(dialect.time, ""),
        epoch=choices.epoch or (not choices.time and log.time_form == "epoch"),
        date=choices.date or log.date,
        date_order=choices.date_order or (log.time_form if log.time_form in DATE_ORDERS.values() else ""),
        clock_steps=choices.clock_steps or {int(line): seconds for line, seconds in log.clock_steps.items()},
        table=replace(choices.table, step=choices.table.step if choices.table.step is not None else dialect.step),
    )


def settle_log_plan(
    opening: Opening | None,
    layout: Layout,
    choices: LogChoices,
    base: Dialect,
    origin: Mapping[str, str],
    kept: LogTable | None = None,
) -> LogPlan:
    """Say which column is what, and write it down as a dialect.

    Parameters
    ----------
    opening : Opening or None
        The first lines of a text; None for a table that is none.
    layout : Layout
        The layout of the rows.
    choices : LogChoices
        What was said by hand, or by a dialect that is followed.
    base : Dialect
        What the dialect begins with.
    origin : mapping of str to str
        Where its fields came from.
    kept : LogTable or None
        The dialect that is followed, where one is.

    Returns
    -------
    LogPlan
        The plan.

    Raises
    ------
    CaptureError
        A column cannot hold what was said, or its unit is not known.
    AmbiguousDialect
        It cannot be told which column is what.
    """
    if layout.headings and not layout.header_row_count and not choices.columns:
        raise first_rows(layout)
    time, time_remarks = choose_time(layout, choices)
    channels, remarks = choose_channels(layout, choices, time, complete=kept is not None)
    if kept is not None:
        channels = tuple(replace(channel, meant=channel.label in kept.meant) for channel in channels)
    units = {channel.label: channel.unit for channel in channels}
    if time.label and time.unit:
        units[time.label] = time.unit
    dialect = replace(
        base,
        delimiter=layout.delimiter,
        decimal_char=layout.decimal_char,
        encoding=base.encoding if opening is None else opening.encoding.name,
        skip_rows=layout.skip_rows,
        header_row_count=layout.header_row_count,
        time=time.label,
        units=units,
        step=choices.table.step if time.index is None else None,
        origin={**origin, "time": time.origin},
        log=LogTable(
            time_form=time.form,
            date=time.date_label,
            columns=_ordered(channels),
            meant=tuple(channel.label for channel in channels if channel.meant),
            clock_steps={str(line): seconds for line, seconds in choices.clock_steps.items()},
        ),
    )
    guessed = dialect.encoding == "latin-1" and not choices.table.encoding
    return LogPlan(
        dialect=dialect,
        line_end=b"\n" if opening is None else opening.encoding.line_end,
        layout=layout,
        time=time,
        channels=channels,
        clock_steps=choices.clock_steps,
        date_order=choices.date_order,
        remarks=(*((NOT_UTF8,) if guessed else ()), *time_remarks, *remarks),
        preamble=() if opening is None else kept_preamble(opening.top[: layout.skip_rows]),
    )


def _ordered(channels: Sequence[LogColumn]) -> dict[str, str]:
    return {channel.label: str(channel.quantity) for channel in channels}


def _from_first_header(layout: Layout, lines: Sequence[str], top: int) -> Layout:
    """Begin at the first of several equal headers: a logger writes its header again when it starts anew."""
    if layout.header_row_count != 1:
        return layout
    header = lines[layout.skip_rows].strip()
    first = next(index for index, line in enumerate(lines) if index >= top and line.strip() == header)
    return layout if first == layout.skip_rows else replace(layout, skip_rows=first, matching=len(layout.rows))


def _moved(layout: Layout, offset: int) -> Layout:
    return replace(layout, skip_rows=layout.skip_rows + offset)
