"""Which column of a capture is the time, which the voltage, which the output."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from coldpin.capture.choices import Choices
from coldpin.capture.header import (
    COUNT_WORDS,
    OUTPUT_WORDS,
    PILOT_WORDS,
    TIME_WORDS,
    VOLTAGE_WORDS,
    Heading,
)
from coldpin.capture.layout import Layout
from coldpin.capture.number import read_number
from coldpin.errors import AmbiguousDialect, CaptureError, UnknownName

BY_HAND = "given by hand"
FROM_HEADER = "from the header"
SEEN = "seen in the first rows"
ONLY_ONE = "the only column left"


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """The columns by index from 0 (None where there is none), where each choice came from, and the others."""

    time: int | None
    voltage: int
    output: int | None
    origin: dict[str, str]
    unused: tuple[int, ...] = ()


def column_label(headings: Sequence[Heading], index: int) -> str:
    """Return how a column is called: its name, or its number from 1 where the name is empty or not the only one.

    Parameters
    ----------
    headings : sequence of Heading
        The headings of all columns.
    index : int
        Which column, from 0.

    Returns
    -------
    str
        The name or the number.

    Examples
    --------
    >>> two = (Heading(name="CH", cell="CH"), Heading(name="CH", cell="CH"))
    >>> column_label(two, 1), column_label(two[:1], 0)
    ('2', 'CH')
    """
    name = headings[index].name
    once = sum(heading.name == name for heading in headings) == 1
    number = read_number(name)
    return name if name and once and number is None else str(index + 1)


def find_column(headings: Sequence[Heading], wanted: str, *, role: str, sign: str = " ") -> int:
    """Return the index of the column a person or a dialect names.

    Parameters
    ----------
    headings : sequence of Heading
        The headings of all columns.
    wanted : str
        A name (with or without its unit; capitals count only where they must) or a number from 1.
    role : str
        What the column is for, for the message.
    sign : str
        What stands between the option and the column, for the message.

    Returns
    -------
    int
        The index, from 0.

    Raises
    ------
    UnknownName
        No column has this name; the names are listed.
    AmbiguousDialect
        Several columns have it.
    """
    ways: tuple[Callable[[Heading], bool], ...] = (
        lambda heading: wanted in (heading.name, heading.cell),
        lambda heading: wanted.casefold() in (heading.name.casefold(), heading.cell.casefold()),
    )
    for same in ways:
        found = [index for index, heading in enumerate(headings) if wanted and same(heading)]
        if len(found) == 1:
            return found[0]
        if found:
            numbers = " or ".join(f"--{role}{sign}{index + 1}" for index in found)
            raise AmbiguousDialect(f"{len(found)} columns are named {wanted!r}: say which by number: {numbers}")
    if wanted.isdecimal() and len(wanted) <= len(str(len(headings))) and 1 <= int(wanted) <= len(headings):
        return int(wanted) - 1
    labels = [column_label(headings, index) for index in range(len(headings))]
    raise UnknownName.among(f"column for --{role}", wanted, labels)


def declared_columns(headings: Sequence[Heading], *, time: str, voltage: str, output: str) -> Columns:
    """Return the columns a dialect names, without any guess.

    Parameters
    ----------
    headings : sequence of Heading
        The headings of all columns.
    time, voltage, output : str
        The names of the columns; time and output are empty where there are none.

    Returns
    -------
    Columns
        The columns.

    Raises
    ------
    UnknownName
        No column has this name.
    """
    return Columns(
        time=find_column(headings, time, role="time") if time else None,
        voltage=find_column(headings, voltage, role="voltage"),
        output=find_column(headings, output, role="output") if output else None,
        origin={},
    )


def choose_columns(layout: Layout, choices: Choices, *, step_known: bool) -> Columns:
    """Say which column is what, by hand, by name and unit, else by what the first rows show.

    Parameters
    ----------
    layout : Layout
        The layout of the rows.
    choices : Choices
        What was said by hand.
    step_known : bool
        True if the time between samples is known without a time column.

    Returns
    -------
    Columns
        The columns.

    Raises
    ------
    AmbiguousDialect
        Several columns may be meant; the message lists them with the option to type.
    CaptureError
        No column can be meant.
    """
    headings = layout.headings
    origin: dict[str, str] = {}
    voltage = find_column(headings, choices.voltage, role="voltage") if choices.voltage else None
    output = find_column(headings, choices.output, role="output") if choices.output else None
    taken = {index for index in (voltage, output) if index is not None}
    time, origin["time"] = _time(layout, choices, taken, step_known=step_known)
    free = [
        index
        for index, kind in enumerate(layout.kinds)
        if kind == "number"
        and index != time
        and index not in taken
        and headings[index].kind in ("", "voltage", "unknown")
        and not _is_count(layout, index, time)
    ]
    if voltage is not None:
        origin["voltage"] = BY_HAND
    if output is not None:
        origin["output"] = BY_HAND
    else:
        output = _output(headings, free, voltage)
        origin["output"] = FROM_HEADER if output is not None else ""
    if voltage is None:
        voltage, origin["voltage"] = _voltage(layout, [index for index in free if index != output], output)
    unused = tuple(index for index in free if index not in (voltage, output))
    return Columns(
        time=time, voltage=voltage, output=output, origin={k: v for k, v in origin.items() if v}, unused=unused
    )


def check_roles(layout: Layout, columns: Columns) -> None:
    """Refuse a column that is given two roles, or that holds no numbers.

    Parameters
    ----------
    layout : Layout
        The layout of the rows.
    columns : Columns
        The columns.

    Raises
    ------
    CaptureError
        A column cannot have its role.
    """
    roles = {"time": columns.time, "voltage": columns.voltage, "output": columns.output}
    used: dict[int, str] = {}
    for role, index in roles.items():
        if index is None:
            continue
        if index in used:
            name = column_label(layout.headings, index)
            raise CaptureError(f"column {name!r} is given for --{used[index]} and --{role}: give two columns")
        used[index] = role
        if layout.kinds[index] != "number":
            name = column_label(layout.headings, index)
            holds = "nothing that is a number" if layout.kinds[index] == "empty" else "text, not numbers"
            raise CaptureError(f"column {name!r}, taken for the {role}, holds {holds}: name another with --{role}")


def _time(layout: Layout, choices: Choices, taken: set[int], *, step_known: bool) -> tuple[int | None, str]:
    headings = layout.headings
    if choices.time:
        return find_column(headings, choices.time, role="time"), BY_HAND
    numbers = [index for index, kind in enumerate(layout.kinds) if kind == "number" and index not in taken]
    named = [index for index in numbers if _is_time(headings[index])]
    if len(named) > 1:
        raise AmbiguousDialect(f"{len(named)} columns can be the time: {_options(headings, named, 'time')}")
    if named:
        return named[0], FROM_HEADER
    first = numbers[0] if numbers else None
    if first is None or len(numbers) + len(taken) < 2 or headings[first].kind or not _nameless(headings[first]):
        return None, ""
    if not _rises(layout, first):
        return None, ""
    if _counts(layout, first):
        if step_known:
            return None, ""
        raise AmbiguousDialect(
            f"column {column_label(headings, first)!r} counts by one: it may hold seconds (--time "
            f"{first + 1}) or the numbers of the samples (say --step or --rate)"
        )
    return first, SEEN


def _is_time(heading: Heading) -> bool:
    return heading.kind == "time" or (heading.kind in ("", "unknown") and bool(heading.words & TIME_WORDS))


def _nameless(heading: Heading) -> bool:
    return not heading.words & (VOLTAGE_WORDS | PILOT_WORDS | OUTPUT_WORDS)


def _column(layout: Layout, index: int) -> list[float | None]:
    return [read_number(row[index], layout.decimal_char) for row in layout.rows]


def _rises(layout: Layout, index: int) -> bool:
    values = [value for value in _column(layout, index) if value is not None]
    pairs = list(itertools.pairwise(values))
    return len(values) > 1 and values[0] < values[-1] and all(low <= high for low, high in pairs)


def _counts(layout: Layout, index: int) -> bool:
    if not all(row[index].isdigit() for row in layout.rows):
        return False
    values = _column(layout, index)
    return all(
        low is not None and high is not None and low == int(low) and high - low == 1.0
        for low, high in itertools.pairwise(values)
    )


def _is_count(layout: Layout, index: int, time: int | None) -> bool:
    """Say whether a column numbers the samples: by its name, or as it counts by one where no time column is."""
    heading = layout.headings[index]
    if heading.kind == "voltage" or layout.kinds[index] != "number":
        return False
    named = bool(heading.words & COUNT_WORDS) and not heading.words & (VOLTAGE_WORDS | PILOT_WORDS)
    first = time is None and index == layout.kinds.index("number") and _nameless(heading)
    return len(layout.rows) > 1 and _counts(layout, index) and (named or (first and layout.columns > 1))


def _output(headings: Sequence[Heading], free: Sequence[int], voltage: int | None) -> int | None:
    named = [index for index in free if headings[index].words & OUTPUT_WORDS and index != voltage]
    others = [index for index in free if index not in named]
    return named[0] if len(named) == 1 and (others or voltage is not None) else None


def _voltage(layout: Layout, free: Sequence[int], output: int | None) -> tuple[int, str]:
    headings = layout.headings
    if len(free) == 1:
        return free[0], FROM_HEADER if headings[free[0]].cell else ONLY_ONE
    ways: tuple[Callable[[Heading], bool], ...] = (
        lambda heading: bool(heading.words & PILOT_WORDS),
        lambda heading: heading.kind == "voltage" or bool(heading.words & VOLTAGE_WORDS),
    )
    for means in ways:
        found = [index for index in free if means(headings[index])]
        if len(found) == 1:
            return found[0], FROM_HEADER
        if found:
            break
    if not free:
        cells = ", ".join(_shown(layout, index) for index in range(layout.columns))
        raise CaptureError(f"no column can be the voltage (columns: {cells}): name it with --voltage")
    raise AmbiguousDialect(
        f"{len(free)} columns can be the voltage of the pilot: {_options(headings, free, 'voltage')}"
        + ("" if output is not None else f"; a second one can be named with --output{_both(headings, free)}")
    )


def _both(headings: Sequence[Heading], free: Sequence[int]) -> str:
    if len(free) != 2:
        return ""
    pilot, output = (_options(headings, [index], "voltage").removeprefix("--voltage ") for index in free)
    return f". With the pilot in the first and the output in the second, add: --voltage {pilot} --output {output}"


def _shown(layout: Layout, index: int) -> str:
    name, kind = layout.headings[index].cell or str(index + 1), layout.kinds[index]
    if kind == "number":
        return name
    cell = layout.rows[0][index] if layout.rows else ""
    return f"{name} with no number" if kind == "empty" else f"{name} with text{f' such as {cell!r}' if cell else ''}"


def _options(headings: Sequence[Heading], indices: Sequence[int], role: str) -> str:
    labels = (column_label(headings, index) for index in indices)
    return ", ".join(f"--{role} {label!r}" if " " in label else f"--{role} {label}" for label in labels)
