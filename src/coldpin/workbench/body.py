"""A quick look at what a voltage, and mains on the pilot, does to a person, with nothing written anywhere."""

from __future__ import annotations

from dataclasses import replace

from coldpin.protection.body_telling import body_current
from coldpin.protection.mains_on_pilot import mains_on_pilot
from coldpin.quantity import Quantity, format_value
from coldpin.records.body_current import BodyCurrent, Kind
from coldpin.records.mains_on_pilot import MainsOnPilot
from coldpin.records.person import DEFAULT_PERCENTILE, Wetness
from coldpin.standards.book import load_book
from coldpin.standards.voltage_drop import supply_voltage
from coldpin.workbench.lead_voltage import positive


def tell_body_current(
    *,
    voltage: str,
    path: str = "hand-to-feet",
    percentile: float = DEFAULT_PERCENTILE,
    time: str = "",
    skin: str = "dry",
    direct: bool = False,
    series: str = "",
) -> BodyCurrent:
    """Say what current a voltage drives through a person, and in which zone it lies when it is broken.

    Parameters
    ----------
    voltage : str
        That drives, r.m.s. or d.c.: "230 V"; a bare number is in volts.
    path : str
        Way through the body: "hand-to-feet", "hand-to-hand" and others.
    percentile : float
        Per cent of people who have no more impedance than is taken. [%]
    time : str
        After which it is shown to be broken: "0.3 s"; left out where nothing shows that.
    skin : str
        "dry", "fresh-water" or "salt-water".
    direct : bool
        Direct in place of alternating current.
    series : str
        Resistance before the person, such as of shoes or of a fault: "1 kΩ".

    Returns
    -------
    BodyCurrent
        Impedance, current, zone, and what else was published.

    Raises
    ------
    QuantityTextError
        Something cannot be read, or has no unit.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        A value is one that cannot be.
    UnknownName
        There is no such path.

    Examples
    --------
    >>> told = tell_body_current(voltage="230", time="0.3 s", percentile=50.0)
    >>> round(told.current_ma), told.zone.value
    (252, 'AC-4.1')
    """
    volts, took_volts = _worst(positive(_in_unit(voltage, "V"), "V", "voltage"))
    took = [took_volts]
    seconds = None
    if time:
        seconds, took_time = _worst(positive(time, "s", "time"))
        took.append(took_time)
    told = body_current(
        load_book(),
        voltage=volts,
        path=path,
        percentile=percentile,
        wetness=Wetness(skin),
        kind=Kind.DC if direct else Kind.AC,
        time=seconds,
        series=positive(series, "Ω", "series resistance").value if series else 0.0,
    )
    return replace(told, remarks=(*filter(None, took), *told.remarks))


def _in_unit(text: str, unit: str) -> str:
    """Return a text with its unit; a bare number gets it, for the option names the unit."""
    try:
        float(text.strip())
    except ValueError:
        return text
    return f"{text.strip()} {unit}"


def _worst(read: Quantity) -> tuple[float, str]:
    """Return the upper end of what was given, which does most harm, and a remark where it is another than its value."""
    if read.high is None or not read.u:
        return read.value, ""
    return read.high, f"Taken is the upper end of what was given, {format_value(float(f'{read.high:.4g}'), read.unit)}."


def tell_mains_on_pilot(
    *,
    voltage: str = "",
    bridge: str = "",
    state: str = "C",
    earth: str = "",
    time: str = "",
    path: str = "hand-to-feet",
    skin: str = "dry",
) -> MainsOnPilot:
    """Say what mains on the pilot does to a car and to a person.

    Parameters
    ----------
    voltage : str
        Of the line to earth: "230 V"; the nominal one where left out.
    bridge : str
        Resistance of the fault itself: "10 kΩ"; none where left out.
    state : str
        Of the connected car: "B", "C" or "D".
    earth : str
        Of the protective conductor to the car: "0.05 Ω"; the most that is allowed in service where left out.
    time : str
        After which the current is shown to be broken: "0.3 s"; left out where nothing shows that.
    path : str
        Way through the person.
    skin : str
        "dry", "fresh-water" or "salt-water".

    Returns
    -------
    MainsOnPilot
        Through the unit's source resistor, and past it.

    Raises
    ------
    QuantityTextError
        Something cannot be read, or has no unit.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        A value is one that cannot be.
    UnknownName
        There is no such state or path.

    Examples
    --------
    >>> told = tell_mains_on_pilot(state="B")
    >>> [round(one.car.power_w, 1) for one in told.situations]
    [5.2, 9.6]
    """
    book = load_book()
    took = []
    volts, said = _worst(positive(_in_unit(voltage, "V"), "V", "voltage")) if voltage else (supply_voltage(book), "")
    took.append(said)
    seconds = None
    if time:
        seconds, said = _worst(positive(time, "s", "time"))
        took.append(said)
    told = mains_on_pilot(
        book,
        voltage=volts,
        bridge=positive(bridge, "Ω", "resistance of the fault").value if bridge else 0.0,
        state=state,
        earth=positive(earth, "Ω", "protective conductor").value if earth else None,
        time=seconds,
        path=path,
        wetness=Wetness(skin),
    )
    return replace(told, remarks=(*filter(None, took), *told.remarks))
