"""What is connected for how long: schedules, and the words in which their steps are written.

A step is a letter, perhaps with a resistance of its own, and then what is out of the ordinary, after commas::

    [(0.3, "A"), (0.5, "B"), (1.0, "C"), (0.5, "C, diode shorted"), (0.5, "C 909"), (1.0, "C, supply off")]
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from coldpin.errors import OutsideRange, UnknownName

VehicleDiode = Literal["present", "shorted", "absent", "open"]
"""How the series diode is.

"shorted" is a part that broke, "absent" one that was never fitted and is bridged by a wire: the pilot cannot tell
them apart, so both give the same waveform; they differ in what may be said of the vehicle. "open" is a part that broke
the other way: the pilot then never sees the vehicle.
"""

Schedule = Sequence[tuple[float, str]]
"""What is connected for how long: pairs of seconds and words as :func:`read_load` reads them."""

LOADS = {
    "A": "nothing connected",
    "B": "connected, R2 alone",
    "C": "asks for power, R3 for C in parallel",
    "D": "asks for power with ventilation, R3 for D in parallel",
    "E": "pilot shorted to earth through the box's short",
}
"""The letters with which a step begins."""

BESIDES = {
    "diode present": "the box's diode is in place, whatever the vehicle's own is",
    "diode shorted": "the box's diode is bridged by a switch",
    "diode absent": "the same to the pilot: a wire in the diode's place",
    "diode open": "the diode no longer conducts",
    "behind the diode": "the short of E sits behind the box's diode and leaves the low level alone",
    "PE open": "an enclosed switch opens the earth between unit and vehicle simulator",
    "supply off": "the unit has no supply",
    "supply earth open": "the earth of the supply is missing upstream of the unit",
    "offer withdrawn": "the unit was told to stop: by its button, its clock or from afar",
}
"""What may stand after the letter; also ``duty 16.7``, to which the unit was told to change its offer [%], and
``R2 1870``, which takes the place of R2 in C and D [Ω]."""

_WORD = re.compile(r"([A-Z])(?: (\d+(?:\.\d+)?))?")
_R2 = re.compile(r"R2 (\d+(?:\.\d+)?)")
_DUTY = re.compile(r"duty (\d+(?:\.\d+)?)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One step of a schedule, read.

    ``resistance`` takes the place of R2 in B, of R3 in C and D, and of the short in E, ``r2`` that of R2 [Ω]; None
    leaves the vehicle's own, as it does for ``diode``. ``earth`` is the conductor between unit and vehicle simulator,
    ``supply_earth`` the one upstream. ``behind_diode`` is where the short of E sits. ``duty`` is a change of the offer
    that the unit was asked for [%].
    """

    letter: str
    resistance: float | None = None
    r2: float | None = None
    diode: VehicleDiode | None = None
    earth: bool = True
    supply: bool = True
    supply_earth: bool = True
    withdrawn: bool = False
    behind_diode: bool = False
    duty: float | None = None

    @property
    def state(self) -> str:
        """The letter of what is set up at the connector: without earth or diode nothing reaches it."""
        return "A" if not self.earth or self.diode == "open" else self.letter


@lru_cache(maxsize=1024)
def read_load(word: str) -> Load:
    """Read the words of a step.

    Parameters
    ----------
    word : str
        A letter of :data:`LOADS`, perhaps a resistance [Ω], then any of :data:`BESIDES` after commas.

    Returns
    -------
    Load
        What they say.

    Raises
    ------
    UnknownName
        A letter or something beside it is not known; the message lists what is.
    OutsideRange
        A resistance is zero, or stands beside A; a duty cycle is not between 0 and 100 %.

    Examples
    --------
    >>> read_load("C 909, diode shorted").resistance, read_load("C, PE open").state
    (909.0, 'A')
    """
    first, *besides = (part.strip() for part in word.split(","))
    found = _WORD.fullmatch(first)
    if found is None or found[1] not in LOADS:
        raise UnknownName.among("load", first, LOADS)
    resistance = None if found[2] is None else float(found[2])
    if resistance is not None and (found[1] == "A" or resistance == 0.0):
        raise OutsideRange(f"virtual schedule: load {first!r}; only B, C, D and E have a resistance, and above 0 Ω")
    load = Load(letter=found[1], resistance=resistance)
    for beside in besides:
        load = _with(load, beside)
    return load


def _with(load: Load, beside: str) -> Load:
    duty, r2 = _DUTY.fullmatch(beside), _R2.fullmatch(beside)
    if duty is not None:
        if not 0.0 < float(duty[1]) < 100.0:
            raise OutsideRange(f"virtual schedule: {beside!r}; an offer lies between 0 and 100 %")
        return replace(load, duty=float(duty[1]))
    if r2 is not None:
        if load.letter == "A" or float(r2[1]) == 0.0:
            raise OutsideRange(f"virtual schedule: {beside!r} beside {load.letter}; R2 is above 0 Ω, and not in A")
        return replace(load, r2=float(r2[1]))
    if beside not in _CHANGES:
        raise UnknownName.among("thing beside a load", beside, [*BESIDES, "duty 16.7", "R2 1870"])
    return _CHANGES[beside](load)


_CHANGES: dict[str, Callable[[Load], Load]] = {
    "diode present": lambda load: replace(load, diode="present"),
    "diode shorted": lambda load: replace(load, diode="shorted"),
    "diode absent": lambda load: replace(load, diode="absent"),
    "diode open": lambda load: replace(load, diode="open"),
    "behind the diode": lambda load: replace(load, behind_diode=True),
    "PE open": lambda load: replace(load, earth=False),
    "supply off": lambda load: replace(load, supply=False),
    "supply earth open": lambda load: replace(load, supply_earth=False),
    "offer withdrawn": lambda load: replace(load, withdrawn=True),
}


def check_schedule(schedule: Schedule) -> None:
    """Refuse a schedule that cannot be.

    Parameters
    ----------
    schedule : sequence of (float, str)
        Seconds and words.

    Raises
    ------
    OutsideRange
        It is empty, one of its times is not above zero, or a word is out of range.
    UnknownName
        A word is not known.
    """
    if not schedule or not min(seconds for seconds, _ in schedule) > 0.0:
        raise OutsideRange(
            "virtual schedule: give at least one load, each for more than 0 s, such as [(0.3, 'A'), (0.5, 'B')]"
        )
    for _, word in schedule:
        read_load(word)


def repeated(times: int, *steps: tuple[float, str]) -> Schedule:
    """Return steps that are gone through several times.

    Parameters
    ----------
    times : int
        How often. [1]
    *steps : tuple of float and str
        Seconds and words.

    Returns
    -------
    sequence of (float, str)
        A schedule.

    Examples
    --------
    >>> repeated(2, (0.3, "B"), (0.5, "C"))
    ((0.3, 'B'), (0.5, 'C'), (0.3, 'B'), (0.5, 'C'))
    """
    return steps * times
