"""A quick look at a charge by its log, and at what an idle unit draws, with nothing written anywhere."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from coldpin.capture.log import LogCapture
from coldpin.checks.event_marks import parse_mark, parse_offset, parse_price
from coldpin.errors import CaptureError, ColdpinError, InputError, UnitError, UnknownName
from coldpin.quantity import Quantity, parse_quantity, step_written
from coldpin.records.log import LOG_UNITS, Log, LogQuantity
from coldpin.records.measured import METERED
from coldpin.records.session import EventMark, SessionReading, SessionTrace, StandbyReading
from coldpin.session.meter import Meter
from coldpin.session.reading import Asked, read_session
from coldpin.session.standby import (
    SmallLoadAccuracy,
    power_from_counter,
    power_from_log,
    refuse_unstated,
    standby_reading,
)
from coldpin.session.trace import trace_of
from coldpin.standards.accuracy import AccuracyStatement, parse_accuracy
from coldpin.standards.book import load_book
from coldpin.standards.session import follow_time
from coldpin.standards.table import needed
from coldpin.workbench.look_log import open_log


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionLook:
    """A charge as read, how its file was read, and what is drawn of it."""

    reading: SessionReading
    capture: LogCapture
    trace: SessionTrace


def look_at_session(
    path: Path | str,
    *,
    choices: Mapping[str, str | float | int | Sequence[str]] | None = None,
    voltage: str = "",
    offer: str = "",
    accuracy: Sequence[str] = (),
    marks: Sequence[str] = (),
    offsets: Sequence[str] = (),
    price: str = "",
    gap: str = "",
    progress: Callable[[float], None] | None = None,
) -> SessionLook:
    """Say what a log of power or current shows of a charge.

    Parameters
    ----------
    path : Path or str
        The log.
    choices : mapping, optional
        How to read it, as for :func:`coldpin.capture.log.read_log`.
    voltage : str
        The supply's, for a log without one: "230 V ± 5 V".
    offer : str
        The current offered at the beginning: "16 A ± 0.3 A".
    accuracy : sequence of str
        Of the meter, for each quantity: "power=1 % + 2 W"; without a name it holds for every quantity whose unit fits.
    marks : sequence of str
        Event marks as :func:`coldpin.checks.event_marks.parse_mark` reads them, or files with one in each line.
    offsets : sequence of str
        What is to be added to another clock: "watch=12 s ± 1 s".
    price : str
        Of energy: "0.35 EUR/kWh".
    gap : str
        The time without a row from which on it is a gap: "5 min".
    progress : callable, optional
        Told the fraction done.

    Returns
    -------
    SessionLook
        Phases, energy, outages, what followed the marks; the log as read; what is drawn.

    Raises
    ------
    CaptureError
        The file cannot be read, or only in more than one way.
    InputError
        It has neither power nor current, or something given cannot be used.
    UnknownName
        A choice, an event or a quantity is not known.

    Examples
    --------
    >>> look_at_session("missing.csv")
    Traceback (most recent call last):
    ...
    coldpin.errors.CaptureError: ...
    """
    capture = open_log(path, choices=choices, progress=progress)
    log = capture.log
    amount, currency = parse_price(price) if price else (None, "")
    asked = Asked(
        voltage=parse_quantity(voltage, "V", id="stated voltage", label="voltage as stated") if voltage else None,
        offer=parse_quantity(offer, "A", id="offer", label="offer") if offer else None,
        marks=tuple(mark for text in marks for mark in _marks(text, log)),
        offsets=tuple(parse_offset(text) for text in offsets),
        price=amount,
        currency=currency,
        gap_from_s=parse_quantity(gap, "s").value if gap else None,
        follow_s=needed(follow_time(load_book()), "maximum"),
        meter=meter_of(accuracy),
    )
    return SessionLook(reading=read_session(log, asked), capture=capture, trace=trace_of(log))


def _marks(text: str, log: Log) -> tuple[EventMark, ...]:
    """Return one mark as typed, or those of a file."""
    path = Path(text)
    if "=" in text and not path.is_file():
        return (_mark(text, log),)
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(
            f"marks {text!r}: neither TIME=EVENT nor a file that can be read: write such as '905 s=unlock'"
        ) from error
    found = []
    for number, line in enumerate(lines, start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        try:
            found.append(_mark(line, log))
        except ColdpinError as error:
            raise InputError(f"{path.name}, line {number}: {error}") from error
    return tuple(found)


def _mark(text: str, log: Log) -> EventMark:
    steps = [(float(log.time_s[step.row]), step.seconds) for step in log.clock_steps]
    return parse_mark(text, began=log.began, clock_steps=steps)


def meter_of(accuracy: Sequence[str], name: str = "meter") -> Meter:
    """Return a meter from what its maker states, quantity by quantity.

    Parameters
    ----------
    accuracy : sequence of str
        Such as "power=1 % + 2 W"; without a name the statement holds for every quantity whose unit fits.
    name : str
        What the meter is called.

    Returns
    -------
    Meter
        The meter.

    Raises
    ------
    QuantityTextError
        A statement is not understood.
    UnitError
        A unit of it is unknown, or fits nothing that is metered.
    UnknownName
        A quantity is not one that is metered.

    Examples
    --------
    >>> meter = meter_of(["1 %", "current=0.5 % + 0.01 A"])
    >>> sorted(quantity.value for quantity in meter.statements)
    ['current', 'energy', 'power', 'power factor', 'voltage']
    """
    statements: dict[LogQuantity, AccuracyStatement] = {}
    for text in sorted(accuracy, key=_is_named):
        if not _is_named(text):
            fitting = [quantity for quantity in METERED if _fits(parse_accuracy(text), quantity)]
            if not fitting:
                raise UnitError(f"accuracy {text!r}: its unit is of nothing that a meter logs of a charge")
            statements |= dict.fromkeys(fitting, parse_accuracy(text))
            continue
        quantity, _, statement = text.partition("=")
        known = {metered.value: metered for metered in METERED}
        if quantity.strip() not in known:
            raise UnknownName.among("quantity of a meter", quantity.strip(), known)
        statements[known[quantity.strip()]] = parse_accuracy(statement.strip())
    return Meter(id=name, statements=statements)


def _is_named(text: str) -> bool:
    """Whether a statement names its quantity; "U = 0.2 V, k = 2" is one that does not."""
    head = text.partition("=")[0].strip()
    return "=" in text and len(head) > 1


def _fits(statement: AccuracyStatement, quantity: LogQuantity) -> bool:
    try:
        statement.components(1.0, LOG_UNITS[quantity], id="", label="")
    except InputError:
        return False
    return True


def look_at_standby(
    *,
    power: str = "",
    energy: str = "",
    over: str = "",
    log: Path | str | None = None,
    choices: Mapping[str, str | float | int | Sequence[str]] | None = None,
    power_factor: str = "",
    accuracy: str = "",
    holds_from: str = "",
    holds_from_power_factor: str = "",
    price: str = "",
) -> StandbyReading:
    """Say what an idle unit draws and what that comes to in a year, or refuse where the meter is not known to tell.

    Parameters
    ----------
    power : str
        As read off: "0.82 W". One of power, energy with over, and log.
    energy : str
        What an energy counter rose by: "0.06 kWh".
    over : str
        In how long: "72 h".
    log : Path or str, optional
        A log of power that holds many ticks of the load.
    choices : mapping, optional
        How to read the log.
    power_factor : str
        Of the load: "0.12".
    accuracy : str
        Of the meter, for a power: "1 % + 0.02 W".
    holds_from : str
        The power from which on that is stated: "0.1 W".
    holds_from_power_factor : str
        The power factor from which on that is stated: "0.1".
    price : str
        Of energy: "0.35 EUR/kWh".

    Returns
    -------
    StandbyReading
        Power, a year's energy and cost, where it lies beside common practice.

    Raises
    ------
    InputError
        Not exactly one of the three is given, or the accuracy is not stated, or not for such a load.
    OutsideRange
        Power or power factor lies below what the accuracy is stated for, or a counter hardly rose.
    CaptureError
        The log cannot be read.

    Examples
    --------
    >>> told = look_at_standby(
    ...     power="0.82 W", power_factor="0.12", accuracy="1 % + 0.005 W", holds_from="0.1 W",
    ...     holds_from_power_factor="0.1", price="0.35 EUR/kWh",
    ... )
    >>> round(told.yearly_wh.value), told.outcome
    (7183, 'within')
    >>> look_at_standby(power="0.82 W")
    Traceback (most recent call last):
    ...
    coldpin.errors.InputError: a standby power of 0.82 W without the meter's accuracy is refused: ...
    """
    ways = [bool(power), bool(energy), log is not None]
    if sum(ways) != 1 or bool(energy) != bool(over):
        raise InputError(
            "give one of --power, --energy with --over, or --log: the mean of a load that ticks needs time"
        )
    stated = SmallLoadAccuracy(
        statement=parse_accuracy(accuracy) if accuracy else None,
        from_power=parse_quantity(holds_from, "W").value if holds_from else None,
        from_power_factor=parse_quantity(holds_from_power_factor, "1").value if holds_from_power_factor else None,
    )
    factor = parse_quantity(power_factor, "1").value if power_factor else None
    found, method = _idle_power(power, energy, over, log, choices, stated)
    refuse_unstated(stated, found.value, factor)
    assert factor is not None, "refused without a power factor"
    amount, currency = parse_price(price) if price else (None, "")
    return standby_reading(found, load_book(), power_factor=factor, method=method, price=amount, currency=currency)


def at_price(told: StandbyReading, price: str) -> StandbyReading:
    """Return what an idle unit draws with what a year of it costs at another price.

    Parameters
    ----------
    told : StandbyReading
        As read.
    price : str
        Of energy: "0.35 EUR/kWh".

    Returns
    -------
    StandbyReading
        The same power, the other cost.

    Raises
    ------
    InputError
        The price cannot be read.
    """
    amount, currency = parse_price(price)
    return standby_reading(
        told.power_w,
        load_book(),
        power_factor=told.power_factor,
        method=told.method,
        price=amount,
        currency=currency,
    )


def _idle_power(
    power: str,
    energy: str,
    over: str,
    log: Path | str | None,
    choices: Mapping[str, str | float | int | Sequence[str]] | None,
    stated: SmallLoadAccuracy,
) -> tuple[Quantity, str]:
    statement = stated.statement
    if power:
        read = parse_quantity(power, "W")
        if read.u is None and statement is not None:
            exact = replace(read, u=0.0, low=None, high=None, why="")
            read = statement.apply(exact, id="meter:power", label="standby power")
        return read, "read off"
    if energy:
        rise, hours = parse_quantity(energy, "Wh").value, parse_quantity(over, "h").value
        step = step_written(energy, "Wh")
        return power_from_counter(rise, hours, statement, step=step), f"energy counted over {over}"
    assert log is not None, "one of the three is given"
    capture = open_log(log, choices=choices)
    if capture.log.channel(LogQuantity.POWER) is None:
        raise CaptureError(f"{log}: no column is known to hold a power: say --column 'power=COLUMN:W'")
    found = power_from_log(capture.log, statement, from_power=stated.from_power)
    return found, f"mean of a log of {capture.log.rows} rows"
