"""The steps that injury scenarios are made of: what a step rests on, how a chain ends without it, and those shared.

Steps of one name are the same step wherever they stand: they share their estimate and their draws.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from coldpin.records.scenario import Circumstances


class StepKind(StrEnum):
    """How the estimate of a step is found: from its row, from the device before the socket, or from the zone."""

    ROW = "row"
    UPSTREAM = "upstream"
    ZONE = "zone"


class Ends(StrEnum):
    """How a chain ends where one of its steps does not happen."""

    UNHURT = "nobody is hurt"
    STARTLED = "first aid at most"
    JOLTED = "a shock that is cut off"
    CUT_BY_UNIT = "a shock that the unit cuts off"
    SHOCKED = "a shock without fibrillation"
    CHOKED = "smoke"


@dataclass(frozen=True, slots=True, kw_only=True)
class StepPlan:
    """One step: what happens, given all before it.

    Its row is ``injury.`` and its id; ``by`` names the circumstances whose values follow it. Where it rests on
    ``functions`` the row's id ends with "works" or "lost": with any of them absent or faulty it is lost, with all shown
    it works, else both hold. A finding of ``sure`` that is beyond makes it certain; where all of ``kept`` are within,
    it stands as with its functions working, whatever else of them was not tested. ``form`` is a finding that is this
    step itself: where it holds by construction the step stands as with its functions working, whatever else of them is
    not so; where it holds for this specimen alone, by a contact whose failure the chain presumes, as without.
    ``elsewhere`` names findings of its functions that speak of another place than this step is about: a function that
    is not so by these alone is open here. ``common_with`` is an earlier step that may share its cause. ``blind`` names
    the rows of a current that a device before the socket may not see, by its type. ``on_wall`` are its words for a unit
    that is fixed there, where those with plug and socket do not suit it.
    """

    id: str
    text: str
    by: tuple[str, ...] = ()
    functions: tuple[str, ...] = ()
    sure: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    form: str = ""
    elsewhere: tuple[str, ...] = ()
    otherwise: Ends = Ends.UNHURT
    common_with: str = ""
    blind: str = ""
    kind: StepKind = StepKind.ROW
    on_wall: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioPlan:
    """A scenario: its steps, the injury at its end with its severity, and when it arises at all.

    ``given`` are circumstances that the scenario itself fixes. It does not arise where a function of ``needs`` is
    absent (no contact welds where there is none), where no device before the socket is there to be blinded
    (``needs_device``), on a fixed unit where it presumes a plug in the supply's socket (``plugged``), on one with its
    cable attached where it presumes any plug in any socket (``mated``), or where only a fixed unit has what it is about
    (``fixed``). ``on_wall`` is its title for a fixed unit, where it is another.
    """

    id: str
    title: str
    injury: str
    severity: int
    steps: tuple[StepPlan, ...]
    given: Mapping[str, StrEnum] = field(default_factory=dict)
    needs: tuple[str, ...] = ()
    needs_device: bool = False
    plugged: bool = False
    mated: bool = False
    fixed: bool = False
    on_wall: str = ""

    def worded(self, *, fixed: bool) -> ScenarioPlan:
        """Return the scenario in the words of a kind of unit.

        Parameters
        ----------
        fixed : bool
            Whether the unit is fixed to the wall.

        Returns
        -------
        ScenarioPlan
            Itself for a portable one.
        """
        if not fixed:
            return self
        steps = tuple(replace(step, text=step.on_wall or step.text) for step in self.steps)
        return replace(self, title=self.on_wall or self.title, steps=steps)

    def under(self, circumstances: Circumstances) -> Circumstances:
        """Return the circumstances with those that the scenario fixes.

        Parameters
        ----------
        circumstances : Circumstances
            Those of the use.

        Returns
        -------
        Circumstances
            Those of the scenario.
        """
        return replace(circumstances, **self.given)  # type: ignore[arg-type]  # each is of its field's own kind

    def suits(self, *, fixed: bool, outlet: bool) -> bool:
        """Say whether a kind of unit has the plug, socket or terminals that the scenario is about.

        Parameters
        ----------
        fixed : bool
            Whether the unit is fixed to the wall.
        outlet : bool
            Whether a cable is plugged into it that leads to the vehicle.

        Returns
        -------
        bool
            Whether it has.
        """
        if not fixed:
            return not self.fixed
        return not self.plugged and (outlet or not self.mated)


UNCOUPLED = StepPlan(
    id="uncoupled",
    text="The connector lies or hangs uncoupled while the plug is in a live socket.",
    on_wall="The connector lies or hangs uncoupled while the unit's supply is on.",
)
PINS_LIVE = StepPlan(
    id="pins-live",
    text="Its power pins are live although no car asks.",
    functions=("supply-switching",),
    sure=("live-pins.uncoupled", "wiring.switched"),
)
FINGER = StepPlan(
    id="finger-reaches",
    text="A finger reaches a live pin.",
    by=("person",),
    functions=("access-protection",),
    form="live-access.finger",
)
DAMAGE = StepPlan(
    id="cable-damaged",
    text="Cable or connector is cut, crushed or takes in water.",
    by=("place",),
    functions=("ingress-protection",),
)
WAY = StepPlan(id="way-to-earth", text="The current finds a way through the body to earth.", by=("weather",))
BARE = StepPlan(id="bare-part-touched", text="A part that became live is touched.", by=("weather",))
OWN_RESIDUAL = StepPlan(
    id="own-residual",
    text="The unit's own residual current protection does not switch off.",
    functions=("residual-current",),
    otherwise=Ends.CUT_BY_UNIT,
)
UPSTREAM = StepPlan(
    id="upstream",
    text="No residual-current device before the socket switches off: there is none, or it does not act.",
    on_wall="No residual-current device before the unit switches off: there is none, or it does not act.",
    otherwise=Ends.JOLTED,
    kind=StepKind.UPSTREAM,
)
UPSTREAM_AFTER_OWN = StepPlan(
    id="upstream",
    text="Nor does one before the socket: there is none, or it does not act (a common cause included).",
    on_wall="Nor does one before the unit: there is none, or it does not act (a common cause included).",
    otherwise=Ends.JOLTED,
    kind=StepKind.UPSTREAM,
    common_with="own-residual",
)
LASTS = StepPlan(id="shock-lasts", text="The hand does not come free at once: the shock lasts.", otherwise=Ends.JOLTED)
HEART = StepPlan(id="heart-stops", text="The heart fibrillates.", otherwise=Ends.SHOCKED, kind=StepKind.ZONE)
SHOCK = (WAY, UPSTREAM, LASTS, HEART)
SHOCK_BEHIND_UNIT = (WAY, OWN_RESIDUAL, UPSTREAM_AFTER_OWN, LASTS, HEART)

FULL_CURRENT = StepPlan(id="full-current-for-hours", text="It carries its full current for hours.")
IGNITES = StepPlan(id="ignites", text="What chars sets fire to something beside it.")
UNNOTICED = StepPlan(
    id="fire-unnoticed", text="Nobody notices in time to put it out.", by=("watch",), otherwise=Ends.STARTLED
)
INSIDE = StepPlan(
    id="somebody-inside",
    text="Somebody is in the building that burns.",
    by=("place",),
    otherwise=Ends.STARTLED,
)
FATAL = StepPlan(id="fire-fatal", text="Who is inside does not come out alive.", otherwise=Ends.CHOKED)
FIRE = (IGNITES, UNNOTICED, INSIDE, FATAL)
