"""What is inside the boatyard's three specimens beside their copper: parts, insulation, how they are put together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from coldpin.errors import UnknownName
from coldpin.simulator.brackwater import METERS
from coldpin.simulator.brackwater_specimens import VirtualSpecimen

_PERSON = 2000.0
"""A person as the touch current meter has it. [Ω]"""

_PERIOD = 0.02
_OWN_ACCURACY = 0.03
"""What the makers of the meters used here state, of the reading. [1]"""

_HOUSING, _TOUCH, _TO_EARTH, _CHAIN, _PIN_OHMS, _PIN_FARADS, _CORD = (
    "mains to housing insulation",
    "touch current",
    "capacitor to earth",
    "resistors from mains to touch",
    "resistance between the plug's pins",
    "capacitance between the plug's pins",
    "cord displacement",
)
INSIDE_WORDS = (_HOUSING, _TOUCH, _TO_EARTH, _CHAIN, _PIN_OHMS, _PIN_FARADS, _CORD)
"""What is read here, in the words that entries use."""

INSIDE_ANSWERS = ("part inside", "construction", "access by a probe", "ingress protection as looked at")
"""What is looked at or pushed at here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualInside:
    """The inside of a specimen.

    ``to_earth`` is the capacitance from line and from neutral to earth, ``across`` and ``bleeder`` what lies between
    the pins of the plug [F], [Ω]; ``housing`` is the insulation of its housing [Ω] and ``near`` the capacitance from
    the mains to foil on it [F]; ``chain`` are the resistors that look for the supply's earth [Ω]. ``there`` are the
    roles of its parts, ``wrong`` the things of its construction that are not as they should be. ``slip`` is
    how far its cord comes when it is pulled. [m] ``reached`` are the places at which a thin wire meets a part that
    carries the mains; a finger meets one nowhere. ``open_seam`` is true where something can be seen that lets water in.
    """

    to_earth: tuple[float, float]
    across: float
    bleeder: float
    housing: float
    near: float
    chain: tuple[float, ...] = ()
    there: frozenset[str] = frozenset()
    wrong: frozenset[str] = frozenset()
    slip: float = 0.3e-3
    reached: frozenset[str] = frozenset({"vehicle connector"})
    open_seam: bool = False


_ISOLATED = frozenset({"supply", "transformer", "optocoupler", "controller"})

INSIDES: Mapping[str, VirtualInside] = MappingProxyType(
    {
        "Skerrow 16": VirtualInside(
            to_earth=(2.21e-9, 2.16e-9),
            across=222e-9,
            bleeder=0.997e6,
            housing=871e6,
            near=41e-12,
            chain=(0.998e6, 1.003e6),
            there=_ISOLATED | {"relay", "residual current sensor", "fuse", "varistor", "earth sensing", "Y2 capacitor"},
        ),
        "Pellwick 20": VirtualInside(
            to_earth=(0.0, 0.0),
            across=0.44e-9,
            bleeder=1e9,
            housing=412e6,
            near=18e-12,
            there=_ISOLATED,
            wrong=frozenset({"cord anchorage", "earth core the longest", "seals and lid"}),
            slip=5.6e-3,
            open_seam=True,
        ),
        "Dunmarr 32": VirtualInside(
            to_earth=(4.65e-9, 4.72e-9),
            across=470e-9,
            bleeder=0.68e6,
            housing=640e6,
            near=85e-12,
            there=_ISOLATED | {"relay", "residual current sensor", "fuse", "varistor", "Y2 capacitor"},
            wrong=frozenset({"crimps and terminals"}),
        ),
    }
)
"""By the name of the unit."""


def inside_of(specimen: VirtualSpecimen) -> VirtualInside:
    """Return the inside of a specimen.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.

    Returns
    -------
    VirtualInside
        Its parts, its insulation, how it is put together.

    Raises
    ------
    UnknownName
        Nobody opened it.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import PELLWICK_20
    >>> "fuse" in inside_of(PELLWICK_20).there
    False
    """
    if specimen.unit.name not in INSIDES:
        raise UnknownName.among("specimen that the boatyard opened", specimen.unit.name, INSIDES)
    return INSIDES[specimen.unit.name]


def look_inside(specimen: VirtualSpecimen, word: str, conditions: Mapping[str, str]) -> str:
    """Return what a person answers who looks for a part or at the construction, or pushes a probe.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    word : str
        One of ``INSIDE_ANSWERS``.
    conditions : mapping of str to str
        What the entry states: "role" of a part, "of" of the construction, "probe" and "at" of a reach.

    Returns
    -------
    str
        "yes" or "no".

    Raises
    ------
    UnknownName
        Nobody looks at that, or nobody opened the specimen.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> look_inside(SKERROW_16, "part inside", {"role": "fuse"})
    'yes'
    """
    inside = inside_of(specimen)
    if word == "part inside":
        return "yes" if conditions["role"] in inside.there else "no"
    if word == "construction":
        return "no" if conditions["of"] in inside.wrong else "yes"
    if word == "access by a probe":
        return "yes" if conditions["probe"] == "XXD wire" and conditions["at"] in inside.reached else "no"
    if word == "ingress protection as looked at":
        return "yes" if inside.open_seam else "no"
    raise UnknownName.among("thing that is looked at inside", word, INSIDE_ANSWERS)


def read_inside(
    specimen: VirtualSpecimen, word: str, conditions: Mapping[str, str], *, repeats: int = 1
) -> tuple[str, ...]:
    """Read insulation, touch current, or what lies between the pins of a plug.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    word : str
        One of ``INSIDE_WORDS``.
    conditions : mapping of str to str
        What the entry states: "at" of a touch current, "pole" of a capacitor.
    repeats : int
        How many readings; a chain has one for each part. [1]

    Returns
    -------
    tuple of str
        As a person writes them down, each with the limits of its meter.

    Raises
    ------
    UnknownName
        Nobody reads that here, or nobody opened the specimen.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> read_inside(SKERROW_16, "mains to housing insulation", {})[0].endswith(" MΩ")
    True
    """
    inside = inside_of(specimen)
    rng = np.random.default_rng([specimen.seed, *word.encode(), *"".join(conditions.values()).encode()])
    if word == _HOUSING:
        tester = next(meter for meter in METERS if meter.name == "insulation tester")
        part, scattered = rng.uniform(-1.0, 1.0, 2)
        return (tester.show(inside.housing, part=float(part), scattered=float(scattered)),) * repeats
    if word == _CHAIN:
        return tuple(_written(ohms, 1e6, "MΩ", rng) for ohms in inside.chain)
    truths = {
        _TOUCH: (touch_current(specimen, conditions.get("at", "")), 1e-3, "mA"),
        _TO_EARTH: (inside.to_earth[conditions.get("pole") == "N"], 1e-9, "nF"),
        _PIN_OHMS: (inside.bleeder, 1e6, "MΩ"),
        _PIN_FARADS: (inside.across, 1e-9, "nF"),
        _CORD: (inside.slip, 1e-3, "mm"),
    }
    if word not in truths:
        raise UnknownName.among("thing the boatyard reads inside", word, INSIDE_WORDS)
    truth, scale, unit = truths[word]
    return tuple(_written(truth, scale, unit, rng) for _ in range(repeats))


def touch_current(specimen: VirtualSpecimen, at: str) -> float:
    """Return the current through a person who touches the open earth, or the housing, the plug put in the worse way.

    The circuit is solved for the voltage of what is touched: sources behind their capacitors, a person to earth.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    at : str
        "earth pin" or "housing".

    Returns
    -------
    float
        r.m.s. current. [A]

    Raises
    ------
    UnknownName
        Nobody opened the specimen.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> 0.1e-3 < touch_current(SKERROW_16, "earth pin") < 0.2e-3
    True
    """
    inside, volts = inside_of(specimen), specimen.unit.mains
    line, neutral = inside.to_earth if at == "earth pin" else (inside.near, inside.near)
    found = []
    for sources in ((volts, 0.0), (0.0, volts)):
        admittances = [2j * np.pi / _PERIOD * farads for farads in (line, neutral)]
        total = sum(admittances) + 1.0 / _PERSON
        touched = sum(y * source for y, source in zip(admittances, sources, strict=True)) / total
        found.append(abs(touched) / _PERSON)
    return float(max(found))


def _written(truth: float, scale: float, unit: str, rng: np.random.Generator) -> str:
    """Write a reading with the limits of its meter, which it is drawn within."""
    shown = truth / scale * (1.0 + _OWN_ACCURACY * float(rng.uniform(-1.0, 1.0)))
    digits = max(0, 3 - int(np.floor(np.log10(abs(shown)))) - 1)
    limit = _OWN_ACCURACY * shown + 0.5 * 10.0**-digits
    return f"{shown:.{digits}f} {unit} ± {limit:.{digits + 1}f} {unit}"
