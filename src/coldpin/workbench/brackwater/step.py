"""What the story of a case is made of: steps, in the order in which they were written down."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from coldpin.records.case import Alternative, Claims, ConditionOfUse, Letter, Opinion, QuotedClaim, Specimen, UnitClass
from coldpin.records.market import Listing, Survey
from coldpin.records.withheld import ToWithhold
from coldpin.simulator.brackwater_specimens import VirtualSpecimen

SATURDAY, SUNDAY = "2026-03-14", "2026-03-15"
MARTA, PIET = "Marta Lund", "Piet Harrow"
RCD = "Own socket behind a 30 mA residual-current device, its button pressed today; Piet at the switch."
DEAD = "Plug on the bench before us, no socket within reach."
FULL_SCALE: Mapping[str, str] = {"full scale": "40 V"}
"""What the screen of either scope was set to."""
SENSOR: Mapping[str, str] = {"output delay": "1.2 ms ± 0.3 ms"}
"""What the maker of the isolated sensor on the second channel says."""
BOX: Mapping[str, str] = {
    "resistance B": "2740 Ω ± 20 Ω",
    "resistance C": "882 Ω ± 7 Ω",
    "diode drop": "0.65 V ± 0.02 V",
}
"""What the multimeter said of the vehicle simulator, its diode bridged and then alone."""
AS_LAID: Mapping[str, str] = {
    "cores in series": "1",
    "temperature": "12.2 °C ± 0.5 °C",
    "test current": "1 A",
    "time since switch-on": "10 s",
}
"""What readings along a conductor have in common: one core each time; the cable lay in the workshop overnight."""
TIMED: Mapping[str, str] = {"load": "steps", "diode": "present", "supply": "mains", **SENSOR, **FULL_SCALE}
"""What the captures of the logger have in common."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """Something that was written down.

    ``at`` is the time of writing on the ``day``, ``made`` when it happened if that was earlier, ``who`` did it.
    """

    at: str
    day: str = SATURDAY
    shows: str
    note: str = ""
    conditions: Mapping[str, str] = field(default_factory=dict)
    made: str = ""
    who: str = MARTA
    instrument: str = ""
    supply: str = ""
    private: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Told(Step):
    """Words, and nothing else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mapped(Step):
    """The wiring map of the specimen as found."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered(Step):
    """Yes or no to whether the specimen does something, as it was seen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen(Step):
    """Yes or no to what was looked for with the eye alone: the story knows it, no virtual unit does."""

    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Read(Step):
    """Readings of a meter. ``slip`` is true where the first was typed with its point one place too far right."""

    repeats: int = 1
    slip: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Captured(Step):
    """A capture of the pilot while something is done with the test box, saved in the manner of its instrument."""

    act: str = "steps"
    file: str
    choices: Mapping[str, str | float | int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaked(Step):
    """A capture of residual currents and the output, as the logger saved it."""

    file: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Warmed(Step):
    """The log of a heating test with the current source, as the temperature logger wrote it.

    ``of`` names the part that was warmed by itself; empty for the cable.
    """

    file: str
    of: str = ""
    choices: Mapping[str, str | float | int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Charged(Step):
    """The log of a charge on a car, as the power meter wrote it."""

    file: str
    choices: Mapping[str, str | float | int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn(Step):
    """A picture: the face of a plug or connector, or a plate with its lines."""

    file: str
    title: str
    face: str = ""
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Photographed(Step):
    """A picture of the opened board with the scale card beside it."""

    file: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlined(Step):
    """The shapes of the board, drawn on the last picture of it."""

    file: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved(Step):
    """A page or paper saved as text."""

    file: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Linked(Step):
    """Something to be seen elsewhere, at an address and a time of the film."""

    address: str
    time_code: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrected(Step):
    """The last entry that shows the same, put right: its readings as the display had them, or its conditions."""

    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseStory:
    """One specimen: what is written in ``case.toml`` and ``private.toml``, and the steps in the order of writing."""

    folder: str
    virtual: VirtualSpecimen
    unit: UnitClass
    specimen: Specimen
    claims: Claims
    uses: tuple[ConditionOfUse, ...]
    alternatives: tuple[Alternative, ...] = ()
    listings: tuple[Listing, ...] = ()
    surveys: tuple[Survey, ...] = ()
    quoted: tuple[QuotedClaim, ...] = ()
    assumptions: tuple[str, ...] = ()
    opinions: tuple[Opinion, ...] = ()
    letters: tuple[Letter, ...] = ()
    withhold: tuple[ToWithhold, ...] = ()
    steps: tuple[Step, ...]
