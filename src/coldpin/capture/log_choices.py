"""What a person says by hand about a log: which column is what and in which unit, how its time is written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from coldpin.capture.choices import Choices, parse_choices
from coldpin.capture.header import unit_kind
from coldpin.capture.log_header import KIND_OF_QUANTITY
from coldpin.capture.number import read_number
from coldpin.errors import CaptureError, UnitError, UnknownName
from coldpin.quantity.units import find_unit, symbols_of
from coldpin.records.file_words import DATE_ORDERS
from coldpin.records.log import LOG_UNITS, LogQuantity

LOG_CHOICES = (
    *("column", "time", "date", "date_order", "clock_step", "missing"),
    *("separator", "decimal", "encoding", "skip_rows", "step"),
)
"""The options by hand; on the command line ``--skip-rows`` and so on."""

Value = str | float | int | Sequence[str]

EPOCH_UNITS = {"epoch": "s", "epoch s": "s", "epoch ms": "ms", "epoch us": "µs", "epoch µs": "µs"}
"""How a count since 1970 is said in the place of a unit of time, and the unit it counts in."""

_OF_TABLE = ("separator", "decimal", "encoding", "skip_rows", "step")


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """A column said by hand to hold a quantity; ``unit`` is empty where the header is to tell it."""

    quantity: LogQuantity
    column: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LogChoices:
    """Options by hand, understood: empty or None where nothing was said.

    ``table`` holds what is said of any table. ``columns`` keep the order in which they were said. ``time_unit`` is a
    unit of time, ``epoch`` true where it counts since 1970. ``date_order`` is a form of a date, ``clock_steps`` lines
    of rows and the seconds by which the clock was put forward before them. [s]
    """

    table: Choices = field(default_factory=Choices)
    columns: tuple[Said, ...] = ()
    time: str = ""
    time_unit: str = ""
    epoch: bool = False
    date: str = ""
    date_order: str = ""
    clock_steps: Mapping[int, float] = field(default_factory=dict)
    missing: tuple[str, ...] | None = None

    def __bool__(self) -> bool:
        return self != LogChoices()


def parse_log_choices(given: Mapping[str, Value]) -> LogChoices:
    """Return options by hand, understood and checked.

    Parameters
    ----------
    given : mapping of str to str, float, int or sequence of str
        The options; the keys are those of ``LOG_CHOICES``. ``column`` is one text or several such as
        ``"power=3:kW"``, ``clock_step`` such as ``"1204=1 h"``, ``missing`` such as ``"99999"``.

    Returns
    -------
    LogChoices
        The options.

    Raises
    ------
    UnknownName
        A key or a quantity is not known.
    CaptureError
        A value cannot be meant.

    Examples
    --------
    >>> said = parse_log_choices({"column": ["power=3:kW", "temperature=Plug"], "time": "1:min"})
    >>> said.columns[0].unit, said.columns[1].column, said.time_unit
    ('kW', 'Plug', 'min')
    """
    for key in given:
        if key not in LOG_CHOICES:
            raise UnknownName.among("option of a log", str(key), LOG_CHOICES)
    table: dict[str, str | float | int] = {}
    for key in _OF_TABLE:
        value = given.get(key, "")
        if isinstance(value, str | float | int):
            table[key] = value
    time, unit, epoch = _time(str(given.get("time", "")).strip())
    order = str(given.get("date_order", "")).strip().casefold()
    if order and order not in DATE_ORDERS:
        raise CaptureError(f"--date-order {order!r} is not known; allowed: {', '.join(DATE_ORDERS)}")
    missing = _texts(given.get("missing"))
    return LogChoices(
        table=parse_choices(table),
        columns=tuple(_column(text) for text in _texts(given.get("column"))),
        time=time,
        time_unit=unit,
        epoch=epoch,
        date=str(given.get("date", "")).strip(),
        date_order=DATE_ORDERS.get(order, ""),
        clock_steps=dict(_clock_step(text) for text in _texts(given.get("clock_step"))),
        missing=tuple(text.strip() for text in missing) or None,
    )


def _texts(value: Value | None) -> tuple[str, ...]:
    if value is None or value == "":
        return ()
    if isinstance(value, str | float | int):
        return (str(value),)
    return tuple(str(text) for text in value)


def _column(text: str) -> Said:
    name, sign, rest = text.partition("=")
    word = name.strip().casefold().replace("-", " ").replace("_", " ")
    if not sign or not rest.strip():
        raise CaptureError(
            f"--column {text!r} cannot be meant; write QUANTITY=COLUMN:UNIT, such as power=3:kW or 'temperature=Plug'"
        )
    if word not in list(LogQuantity):
        raise UnknownName.among("quantity of a log", word, list(LogQuantity))
    quantity = LogQuantity(word)
    column, colon, unit = rest.strip().rpartition(":")
    if not colon:
        return Said(quantity=quantity, column=rest.strip(), unit="")
    if quantity is not LogQuantity.OTHER:
        check_log_unit(unit.strip(), quantity, f"--column {text!r}", "")
    return Said(quantity=quantity, column=column.strip(), unit=unit.strip())


def check_log_unit(unit: str, quantity: LogQuantity, where: str, remedy: str) -> None:
    """Refuse a unit that is not known, or that does not measure a quantity.

    Parameters
    ----------
    unit : str
        The unit as written.
    quantity : LogQuantity
        What the column is to hold.
    where : str
        Where the unit stands, for the message.
    remedy : str
        What to do, for the message.

    Raises
    ------
    CaptureError
        It cannot be meant; the message says what is allowed.
    """
    kind = KIND_OF_QUANTITY[quantity]
    allowed = f"allowed for a {quantity} are {', '.join(symbols_of(kind))}{remedy}"
    given = unit_kind(unit)
    if not given:
        try:
            find_unit(unit)
        except UnitError as error:
            said = str(error).partition("; known: ")[0].rstrip(";")
            raise CaptureError(f"{where}: {said}; {allowed}") from None
    if given != kind:
        raise CaptureError(f"{where}: {unit!r} is a unit of {given}, not of {LOG_UNITS[quantity]!r}; {allowed}")


def _time(text: str) -> tuple[str, str, bool]:
    column, colon, unit = text.rpartition(":")
    word = unit.strip().casefold()
    if colon and word in EPOCH_UNITS:
        return column.strip(), EPOCH_UNITS[word], True
    if colon and unit_kind(unit.strip()) == "time":
        return column.strip(), unit.strip(), False
    if colon and column.strip().isdecimal():
        raise CaptureError(
            f"--time {text!r}: {unit.strip()!r} is no unit of time; allowed: {', '.join(symbols_of('time'))}, or "
            "'epoch s', 'epoch ms' for a count since 1970"
        )
    return text, "", False


def _clock_step(text: str) -> tuple[int, float]:
    line, sign, amount = text.partition("=")
    number = read_number(line.strip())
    step = amount.strip()
    for end in range(len(step), 0, -1):
        value = read_number(step[:end].rstrip())
        if value is None:
            continue
        unit = step[end:].strip() or "s"
        if sign and number is not None and number == int(number) and number > 0 and unit_kind(unit) == "time":
            return int(number), value * float(find_unit(unit).factor)
        break
    raise CaptureError(
        f"--clock-step {text!r} cannot be meant; write the line of the first row after it and by how much the clock "
        "was put forward, such as 1204=1 h"
    )
