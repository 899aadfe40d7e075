"""Between which values a reading is usual: what lies outside is questioned, never refused and never corrected."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Plausible:
    """Where readings of one thing usually lie, and why.

    ``low`` and ``high`` are in ``unit``, None where nothing bounds that side. ``because`` is a clause that says what
    the bounds rest on, or why there are none. No outcome is judged by them.
    """

    unit: str
    low: float | None = None
    high: float | None = None
    because: str


EARTH = Plausible(unit="Ω", low=0.0, high=100.0, because="an earth through a lead has from milliohms to some ohms")
"""Ours: a torn or corroded earth still lies below; kilohms are another unit or an open earth, as no sign is."""

CONDUCTOR_OHMS = Plausible(unit="Ω", low=0.0, high=10.0, because="a conductor of a lead has from milliohms to an ohm")
"""Ours: fifty metres of the thinnest core, warm and of a poor metal, stay below."""

CODING = Plausible(unit="Ω", low=10.0, high=20e3, because="a coding resistor has some hundred ohms to some kilohms")
"""Ours: beyond every coded value of plug and connector by three times and more."""

SWITCHED_AT = Plausible(unit="Ω", low=50.0, high=20e3, because="states lie between some hundred ohms and some kilohms")
"""Ours: from a fifth of the resistance of state D to seven times that of state B."""

INSULATION = Plausible(unit="Ω", low=1e3, high=1e14, because="insulation has megohms, and a bad one kilohms")
"""Ours: fewer ohms are a short, or megohms written as ohms; no tester shows more than the upper one."""

PARTS_OHMS = Plausible(unit="Ω", low=1.0, high=1e14, because="what joins the mains to another side is no wire")
"""Ours: resistors in a chain, a discharging resistor, the winding of a small transformer, all lie above."""

LOOP = Plausible(unit="Ω", low=0.0, high=2e3, because="a loop has from some hundredths of an ohm to hundreds of ohms")
"""Ours: an earth electrode in dry ground makes the upper end."""

OUTPUT_VOLTS = Plausible(unit="V", low=0.0, high=500.0, because="no supply of a lead has more between two poles")
"""Ours: 400 V, high by a tenth, and room for 480 V; what is read as r.m.s. has no sign."""

SOCKET_VOLTS = Plausible(unit="V", low=80.0, high=300.0, because="a socket has from 100 V to 277 V to neutral")
"""Ours: the lowest and highest usual supplies, with what they lose and gain."""

SUPPLY_VOLTS = Plausible(unit="V", low=1.0, high=500.0, because="a supply is extra-low voltage or the mains")
"""Ours: from a bench supply for low voltage to the mains between two lines."""

PLUG_VOLTS = Plausible(unit="V", low=-700.0, high=700.0, because="a plug keeps at most the peak of the mains")
"""Ours: the peak of 480 V, of either sign."""

RIPPLE = Plausible(unit="V", low=0.0, high=30.0, because="the whole swing of a pilot is 24 V")
"""Ours: the swing of a pilot and a quarter."""

ALONG = Plausible(unit="V", low=-10.0, high=10.0, because="a conductor of a lead takes volts at most, of either sign")
"""Ours: a hundred amperes through a tenth of an ohm."""

DROP = Plausible(unit="V", low=0.0, high=50.0, because="a lead takes some volts, out and back")
"""Ours: a fifth of the mains, with which nothing would charge."""

SWITCHING_TIME = Plausible(unit="s", low=0.0, high=600.0, because="what does not follow in minutes is written as '> …'")
"""Ours: ten minutes; units that wait before they close take one or two."""

WITHIN_A_MINUTE = Plausible(unit="s", low=0.0, high=60.0, because="such a device acts in fractions of a second")
"""Ours: a minute; nobody leaves such a current on longer."""

TRIP_MILLIAMPS = Plausible(unit="mA", low=0.1, high=1e3, because="a residual-current device acts at some milliamperes")
"""Ours: from a sixtieth of the smallest rating to ten times that of a device with a delay's usual 100 mA."""

TOUCH = Plausible(unit="A", low=0.0, high=0.1, because="a touch current is of microamperes to some milliamperes")
"""Ours: no network that stands for a person is made for a tenth of an ampere."""

AMPERES = Plausible(unit="A", low=0.0, high=100.0, because="a charging lead carries some tens of amperes")
"""Ours: above every lead and wall unit that is looked at here."""

FAULT_AMPERES = Plausible(unit="A", low=0.1, high=1e5, because="a fault draws from an ampere to some kiloamperes")
"""Ours: from the poorest earth electrode to the terminals of a large transformer."""

RATED_AMPERES = Plausible(unit="A", low=1.0, high=125.0, because="what protects a socket is rated from some amperes on")
"""Ours: from the smallest fuse of a plug to the largest socket for industry."""

GRAMS = Plausible(unit="g", low=0.01, high=5e3, because="no piece of a core weighs nothing, and none kilograms")
"""Ours: a hair of a wire, and fifty metres of a thick core."""

WIRES = Plausible(unit="1", low=1.0, high=1e3, because="a core has from one wire to some hundred")
"""Ours: the finest class in the largest core of a lead has fewer."""

WIRE_MM = Plausible(unit="mm", low=0.02, high=5.0, because="a wire of a core is tenths of a millimetre thick")
"""Ours: from the finest wire that is drawn for cores to a solid core."""

CABLE_MM = Plausible(unit="mm", low=2.0, high=60.0, because="the cable of a lead is about a centimetre thick")
"""Ours: from a cord for a lamp to a cable for a charging station."""

GAP_MM = Plausible(unit="mm", low=0.01, high=300.0, because="a gap within a unit is of millimetres; none has length 0")
"""Ours: from what no calliper resolves to the length of a housing."""

CORD_MM = Plausible(unit="mm", low=0.0, high=200.0, because="a cord comes out by millimetres, or altogether")
"""Ours: longer than the plug it came out of."""

LEAD_METRES = Plausible(unit="m", low=0.01, high=100.0, because="a lead is some metres long; none has length 0")
"""Ours: from a piece for the balance to ten times the longest lead sold."""

FARADS = Plausible(unit="F", low=1e-12, high=1e-4, because="a capacitor at the mains has nanofarads to microfarads")
"""Ours: from stray capacitance to what no supply as small has."""

WARM = Plausible(unit="°C", low=-40.0, high=200.0, because="the insulation of a lead stands no more than about 160 °C")
"""Ours: the short-circuit limit of the usual sheath and a quarter; frost below −40 °C is no place for a test."""

AIR = Plausible(unit="°C", low=-40.0, high=60.0, because="air at the bench or outdoors lies between frost and heat")
"""Ours: the coldest and the hottest air in which leads are sold for use, and ten kelvin."""

METAL_COLD = Plausible(unit="°C", low=-40.0, high=100.0, because="it was at the temperature of a room before")
"""Ours: metal before a current flows; a sun-hot lead lies below."""

HUMIDITY = Plausible(unit="%", low=0.0, high=100.0, because="relative humidity lies between 0 % and 100 %")
"""By what the word means."""

POWER_FACTOR = Plausible(unit="1", low=-1.0, high=1.0, because="a power factor lies between −1 and 1")
"""By what the word means."""

IDLE_WATTS = Plausible(unit="W", low=0.0, high=100.0, because="an idle unit draws from tenths of a watt to some watts")
"""Ours: a unit that draws so much heats its housing; hundreds of watts are milliwatts, or no idle unit."""

TEST_VOLTS = Plausible(unit="V", low=10.0, high=1e4, because="insulation is tested with some hundred or thousand volts")
"""Ours: below and above every tester of insulation that is used here."""

FORCE = Plausible(unit="N", low=0.1, high=1e3, because="a hand or a probe presses with some newtons")
"""Ours: from a touch to the weight of a person."""

ANY_TIME = Plausible(unit="s", because="a mark may lie anywhere in a log of weeks, by a clock with any zero")
"""No bound: only the log itself shows where a mark cannot lie, and the check of its marks looks."""

CONDITIONS: Mapping[str, Plausible] = {
    "test current": AMPERES,
    "load current": AMPERES,
    "current": AMPERES,
    "offer": AMPERES,
    "setting": AMPERES,
    "length": LEAD_METRES,
    "test voltage": TEST_VOLTS,
    "voltage": SUPPLY_VOLTS,
    "working voltage": PLUG_VOLTS,
    "temperature": METAL_COLD,
    "cold temperature": METAL_COLD,
    "conductor temperature": WARM,
    "air": AIR,
    "hottest air": AIR,
    "cold resistance": CONDUCTOR_OHMS,
    "resistance B": SWITCHED_AT,
    "resistance C": SWITCHED_AT,
    "diameter": CABLE_MM,
    "contact gap": GAP_MM,
    "opening": CORD_MM,
    "capacitance": FARADS,
    "power factor": POWER_FACTOR,
    "force": FORCE,
    "supply voltage": SUPPLY_VOLTS,
    "ambient": AIR,
    "humidity": HUMIDITY,
}
"""Of what is stated around a reading, by its name, which means the same for every word of the vocabulary."""
