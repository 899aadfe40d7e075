"""A quick look at a heating log: where the part comes in the end, with nothing written anywhere."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from coldpin.capture.log_header import read_log_heading
from coldpin.checks.heating_evidence import ACCESSORIES, named_after
from coldpin.checks.hot_plug import reach_of_hot_end
from coldpin.copper.conductor_log import resistance_error, resistances_of, temperature_by_resistance
from coldpin.copper.heating_limits import limit_for
from coldpin.copper.heating_log import AskedUse, HeatingTest
from coldpin.copper.stops_told import with_stops
from coldpin.copper.temperature_rise import rise_of_log
from coldpin.errors import CaptureError, ColdpinError, InputError, OutsideRange, UnknownName
from coldpin.quantity import Quantity, parse_quantity
from coldpin.records.finding import Limit, Standing
from coldpin.records.heating import HeatedPart, TemperatureRise
from coldpin.records.heating_words import PARTS
from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.standards.accessories import accessory_rise
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.book import Book, load_book
from coldpin.standards.metals import temperature_coefficient
from coldpin.workbench.look_log import channel_of, open_log

AMBIENT_NAMES = ("ambient", "room", "air", "umgebung", "raum", "luft")
"""Ours: words in the name of a column that say that it holds the ambient."""

Choices = Mapping[str, str | float | int | Sequence[str]]


def look_at_heating(
    path: Path | str,
    *,
    current: str = "",
    rated_current: str = "",
    max_ambient: str = "",
    part: str = "sheath",
    ambient: str = "",
    start: str = "",
    limit: str = "",
    accessory: str = "household",
    insulation: str = "pvc",
    arrangement: str = "",
    accuracy: str = "",
    cold_resistance: str = "",
    cold_temperature: str = "",
    resistance_accuracy: str = "",
    choices: Choices | None = None,
) -> TemperatureRise:
    """Say from a log where a heated part comes in the end, and what that is at rated current in the hottest air.

    Parameters
    ----------
    path : Path or str
        The log.
    current : str
        Through the lead, "16 A ± 0.1 A"; where it is left out, the log's own column.
    rated_current : str
        At which the temperature is asked for.
    max_ambient : str
        The hottest air it is to be used in.
    part : str
        What was measured: "sheath", "plug", "connector", "pin", or "conductor" (by its resistance).
    ambient : str
        The air around, "21 °C ± 0.5 °C", or the name of a column that holds it.
    start : str
        When the current came, from the first row: "60 s"; where it is left out, by the current or the temperature.
    limit : str
        Highest temperature of the part, in the place of the published one for it.
    accessory : str
        Kind of plug or coupler, for the published rise: "household", "13 A", "industrial", "coupler".
    insulation : str
        Of the cores, for the limit of a conductor: "pvc", "rubber", "charging".
    arrangement : str
        How the cable lay: kept in the record.
    accuracy : str
        Of the thermometers, as their maker writes it, and of a logged current as "current=1 %" beside it; where it is
        left out nothing is decided.
    cold_resistance, cold_temperature : str
        Of the conductor before the current, where its resistance was logged.
    resistance_accuracy : str
        Of the meter that read it, such as "0.1 % + 0.02 mΩ"; a thermometer's accuracy says nothing of it.
    choices : mapping, optional
        How to read the log, as for :func:`coldpin.capture.log.read_log`.

    Returns
    -------
    TemperatureRise
        End temperature, time constant, temperature at rated current, outcome.

    Raises
    ------
    CaptureError
        The log cannot be read, or has no column that is needed.
    QuantityTextError
        A text cannot be read, or has no unit.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        A current is not above zero.
    InputError
        The log has too few rows under current, or something that is needed is not told.
    UnknownName
        There is no such part, accessory or insulation.

    Examples
    --------
    >>> look_at_heating("missing.csv", current="16 A")
    Traceback (most recent call last):
    ...
    coldpin.errors.CaptureError: ...
    """
    if part not in set(HeatedPart):
        raise UnknownName.among("part", part, HeatedPart)
    heated, book = HeatedPart(part), load_book()
    use = AskedUse(
        rated_current=_amperes(rated_current, "rated current"),
        max_ambient=parse_quantity(max_ambient, "°C") if max_ambient else None,
        limit=_limit(limit, heated, book, accessory=accessory, insulation=insulation, max_ambient=max_ambient),
    )
    thermometers, ammeter = _stated(accuracy)
    log = open_log(path, choices=choices).log
    name = Path(path).name
    by_resistance = heated is HeatedPart.CONDUCTOR and bool(resistances_of(log))
    around = _ambient(log, ambient, alone=by_resistance)
    error = None
    if by_resistance:
        read = channel_of(replace(log, channels=resistances_of(log)), LogQuantity.RESISTANCE, where=name)
        cold, at = _cold(cold_resistance, cold_temperature)
        coefficient = temperature_coefficient(book)
        channel = temperature_by_resistance(read, cold=cold, cold_temperature=at, coefficient=coefficient)
        error = resistance_error(
            read,
            cold=cold,
            cold_temperature=at,
            meter=parse_accuracy(resistance_accuracy) if resistance_accuracy else None,
            thermometer=parse_accuracy(thermometers) if thermometers else None,
            coefficient=coefficient,
        )
    else:
        channel = _temperature(log, around, heated, name)
    test = HeatingTest(
        part=heated,
        time_s=log.time_s,
        channel=channel,
        ambient=around,
        current=_amperes(current, "current"),
        logged=log.channel(LogQuantity.CURRENT),
        start_s=parse_quantity(start, "s").value if start else None,
        accuracy=parse_accuracy(thermometers) if thermometers else None,
        ammeter=parse_accuracy(ammeter) if ammeter else None,
        arrangement=arrangement,
        by_resistance=by_resistance,
        resistance_error=error,
    )
    try:
        told = rise_of_log(test, use, book)
    except ColdpinError as error:
        raise InputError(f"{name}: {error}") from error
    felt = (reach_of_hot_end(book),) if heated in ACCESSORIES else ()
    told = with_stops(told, test, book, accessory=accessory_rise(book, accessory), insulation=insulation)
    return replace(told, remarks=(*log.remarks, *told.remarks, *felt))


NAMED = ("temperature", "current")
"""What an accuracy may be stated for by name; without one it is the thermometers'."""


def _stated(text: str) -> tuple[str, str]:
    """Return what is stated of the thermometers and what of the ammeter."""
    found: dict[str, list[str]] = {name: [] for name in NAMED}
    for part in text.split(";"):
        name, sign, statement = part.partition("=")
        named = name.strip() if sign and name.strip() in NAMED else ""
        found[named or NAMED[0]].append(statement if named else part)
    thermometers, ammeter = ("; ".join(one.strip() for one in found[name] if one.strip()) for name in NAMED)
    return thermometers, ammeter


def _amperes(text: str, what: str) -> Quantity | None:
    if not text:
        return None
    found = parse_quantity(text, "A", id=what)
    if not found.value > 0.0:
        raise OutsideRange(f"the {what} {text!r} is not above zero: give it without sign")
    # a current that is asked about is exact, one that was measured is not
    return found if found.u is not None else replace(found, why=f"no limits of the {what} are stated: say them, with ±")


def _temperature(log: Log, around: LogChannel | Quantity | None, part: HeatedPart, where: str) -> LogChannel:
    """Return the column with the temperature of the part: one that is not the ambient's, nor called after another."""
    others = tuple(channel for channel in log.channels if channel is not around)
    warm = [one for one in others if one.quantity is LogQuantity.TEMPERATURE]
    named = [one for one in warm if named_after(one.name) == part]
    if len(named) == 1 and not any(one.meant for one in warm):
        return named[0]
    found = channel_of(replace(log, channels=others) if warm else log, LogQuantity.TEMPERATURE, where=where)
    after = named_after(found.name)
    if after and after != part and not found.meant:
        other = f"--sensor {after}, or " if after in PARTS else ""
        raise InputError(
            f"{where}: column {found.name!r} is called after the {after}, and what was measured is told as the {part}: "
            f"say {other}--column 'temperature={found.name}' where it is the {part}"
        )
    return found


def _ambient(log: Log, text: str, *, alone: bool) -> LogChannel | Quantity | None:
    """Return the air as told or logged; a single column of temperature is the air's only where it may stand alone."""
    temperatures = log.all_of(LogQuantity.TEMPERATURE)
    if text:
        named = _called(log, text)
        if named and named[0].quantity is not LogQuantity.TEMPERATURE:
            raise CaptureError(f"column {named[0].name!r} holds a {named[0].quantity}, not the ambient's temperature")
        return named[0] if named else _told_ambient(text, temperatures)
    if len(temperatures) < 2 and not alone:
        return None
    like = [one for one in temperatures if not one.meant and any(word in one.name.casefold() for word in AMBIENT_NAMES)]
    return like[0] if len(like) == 1 else None


def _told_ambient(text: str, columns: Sequence[LogChannel]) -> Quantity:
    try:
        return parse_quantity(text, "°C", id="ambient", label="ambient as told")
    except InputError as error:
        names = ", ".join(repr(channel.name) for channel in columns)
        raise InputError(
            f"ambient {text!r} is neither a temperature, such as '21 °C', nor a column with one"
            f"{f' (columns: {names})' if names else ''}: {error}"
        ) from error


def _called(log: Log, text: str) -> list[LogChannel]:
    """Return the columns of a name, without its unit or as it stands in the header with it."""
    wanted = text.strip().casefold()
    names = {wanted}
    with_unit = read_log_heading(text)
    if with_unit.unit is not None:
        names.add(with_unit.name.casefold())
    return [channel for channel in log.channels if channel.name.casefold() in names]


def _cold(resistance: str, temperature: str) -> tuple[Quantity, Quantity]:
    """Return what was told of the conductor before the current."""
    if not resistance or not temperature:
        raise InputError(
            "a conductor's temperature follows from its resistance against the cold one: say --cold-resistance and "
            "--cold-temperature"
        )
    return parse_quantity(resistance, "Ω"), parse_quantity(temperature, "°C")


def _limit(
    text: str, part: HeatedPart, book: Book, *, accessory: str, insulation: str, max_ambient: str
) -> Limit | None:
    if text:
        return Limit(
            id="temperature-rise.limit",
            title=f"highest temperature of the {part}",
            unit="°C",
            maximum=parse_quantity(text, "°C").value,
            source="as given on the command line",
            standing=Standing.COMMON_PRACTICE,
            asserted_by="the tester",
        )
    hottest = parse_quantity(max_ambient, "°C").value if max_ambient else None
    return limit_for(part, book, accessory=accessory, insulation=insulation, ambient=hottest)
