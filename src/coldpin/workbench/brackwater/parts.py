"""Insulation of the three leads before they are opened, and what was found inside: parts and construction."""

from __future__ import annotations

from collections.abc import Mapping

from coldpin.records.distance_words import MAINS_EARTH, MAINS_PILOT
from coldpin.records.insulation_words import (
    BOTH_WAYS,
    CHAIN,
    EARTH_PIN,
    HOUSING,
    NETWORK,
    NOTHING,
    OPEN,
    PIN_CAPACITANCE,
    PIN_RESISTANCE,
    SURFACE_INSULATION,
    TO_EARTH,
    TOUCH_CURRENT,
    Y_CAPACITOR,
)
from coldpin.records.part_words import (
    ALL_POLES,
    ANCHORAGE,
    AS_ISOLATION,
    BUILT,
    CORD,
    CRIMPS,
    EARTH_LAST,
    EARTH_SENSING,
    EVERY_PATH,
    FUSE,
    OPENING,
    PART,
    PILOT_CIRCUIT,
    RELAY,
    RESIDUAL_SENSOR,
    SEALS,
    SLEEVES,
    SUPPLY,
    VARISTOR,
    Y2,
)
from coldpin.workbench.brackwater.step import SUNDAY, Answered, Read, Step

TRACED = {"traced": EVERY_PATH}
ISOLATES = {"used as isolation": AS_ISOLATION, "marked": "yes"}


def _read(at: str, shows: str, *, note: str = "", repeats: int = 1, instrument: str = "", **said: str) -> Read:
    conditions = {name.rstrip("_").replace("_", " "): value for name, value in said.items()}
    return Read(
        at=at, day=SUNDAY, shows=shows, note=note, repeats=repeats, instrument=instrument, conditions=conditions
    )


def _part(at: str, role: str, *, note: str = "", said: Mapping[str, str] | None = None) -> Answered:
    return Answered(at=at, day=SUNDAY, shows=PART, note=note, conditions={"role": role, **TRACED, **(said or {})})


def _built(at: str, of: str, *, note: str = "", where: str = "") -> Answered:
    conditions = {"of": of} | ({"at": where} if where else {})
    return Answered(at=at, day=SUNDAY, shows=BUILT, note=note, conditions=conditions)


def _housing(at: str, *, path: str) -> Read:
    return _read(
        at,
        SURFACE_INSULATION,
        note="Foil pressed into every seam; 250 V first, then 500 V for a minute.",
        instrument="insulation tester",
        test_voltage="500 V",
        in_the_path=path,
    )


def _touched(at: str, where: str, volts: str) -> Read:
    return _read(
        at,
        TOUCH_CURRENT,
        note="Earth opened in the adapter's box; the larger of both ways of the plug.",
        at_=where,
        earth=OPEN,
        polarity=BOTH_WAYS,
        network=NETWORK,
        voltage=volts,
    )


def _supply(at: str) -> tuple[Step, ...]:
    """Write down a supply with a transformer, and what stands over the barrier beside it."""
    made = {"topology": "switching with transformer", "feeds": PILOT_CIRCUIT, "used as isolation": AS_ISOLATION}
    return (
        _part(at, SUPPLY, note="Small switching supply; its output buzzes to neither pole.", said=made),
        _part(at, "transformer", note="Triple insulated wire, as its papers say.", said=OVER),
        _part(at, "optocoupler", note="The mark for reinforced insulation is on it.", said=OVER),
    )


OVER = {"crosses": MAINS_PILOT, **ISOLATES}
TO_PE = {"crosses": MAINS_EARTH, **ISOLATES}

SKERROW_CLOSED: tuple[Step, ...] = (
    _read("14:04", PIN_CAPACITANCE, note="Dead, contacts open."),
    _read("14:06", PIN_RESISTANCE, note="Dead, contacts open."),
    _housing("14:11", path=NOTHING),
    _touched("14:18", EARTH_PIN, "231.4 V ± 2.2 V"),
    _touched("14:22", HOUSING, "231.4 V ± 2.2 V"),
    _read("14:27", CORD, note="At the plug, from a mark on the sheath.", at_="plug", force="60 N", pulls="25"),
)
"""While it is still closed: dead readings first, then what reaches a hand, then the pull."""

SKERROW_PARTS: tuple[Step, ...] = (
    *_supply("17:02"),
    _part("17:05", RELAY, said={"switches": ALL_POLES, **OVER}, note="Coil beside the contacts, marked."),
    _part("17:07", RESIDUAL_SENSOR, note="Both poles go through its ring in their own insulation."),
    _part("17:08", FUSE),
    _part("17:09", VARISTOR, note="Between the poles."),
    _part("17:10", Y2, said=TO_PE, note="One from each pole."),
    _read("17:12", TO_EARTH, pole="L", all_found="yes"),
    _read("17:13", TO_EARTH, pole="N", all_found="yes"),
    _part("17:15", EARTH_SENSING, note="Two resistors from L to earth, in series."),
    _read("17:16", CHAIN, note="One end free.", to="earth"),
    _built("17:20", ANCHORAGE),
    _built("17:21", CRIMPS),
    _built("17:22", EARTH_LAST),
    _built("17:23", SEALS, note="Ring in its groove, dry inside."),
    _built("17:24", OPENING, note="Six screws under paint."),
    _built("17:25", SLEEVES),
)
"""What a sound unit looks like inside."""

PELLWICK_CLOSED: tuple[Step, ...] = (
    _read("11:06", PIN_CAPACITANCE, note="Dead: that of the cable."),
    _housing("11:10", path=NOTHING),
    _read("11:14", CORD, note="The cord slid out by half a finger.", at_="plug", force="60 N", pulls="25"),
)
"""The bare lead before it was cut up."""

PELLWICK_PARTS: tuple[Step, ...] = (
    *_supply("13:02"),
    _part("13:04", RELAY, note="None: L and N go straight through."),
    _part("13:05", RESIDUAL_SENSOR, note="None."),
    _part("13:06", FUSE, note="None."),
    _part("13:07", VARISTOR, note="None."),
    _built("13:12", ANCHORAGE, note="A knot in the cord in place of a clamp.", where="plug"),
    _built("13:13", CRIMPS),
    _built("13:14", EARTH_LAST, where="plug"),
    _built("13:15", SEALS, note="No seal at the connector's halves.", where="connector"),
    _built("13:16", OPENING, note="Two screws."),
)
"""A board the size of a matchbox, and a knot."""

DUNMARR_CLOSED: tuple[Step, ...] = (_housing("13:22", path=Y_CAPACITOR),)
"""The wall unit on the bench, closed."""

DUNMARR_PARTS: tuple[Step, ...] = (
    *_supply("15:55"),
    _part("15:57", RELAY, said={"switches": ALL_POLES}, note="The contactor."),
    _part("15:58", RESIDUAL_SENSOR),
    _part("15:59", FUSE),
    _part("16:00", VARISTOR),
    _part("16:01", EARTH_SENSING, note="Nothing leads from a pole to earth but the Y capacitors."),
    _part("16:02", Y2, said=TO_PE),
    _read("16:03", TO_EARTH, pole="L", all_found="yes"),
    _read("16:04", TO_EARTH, pole="N", all_found="yes"),
    _built("16:06", CRIMPS, note="N turns in its crimp in the vehicle connector.", where="vehicle connector, N"),
    _built("16:07", ANCHORAGE),
    _built("16:08", SEALS),
    _built("16:09", OPENING, note="Four screws, a key for the lid."),
)
"""A wall unit with a loose crimp."""
