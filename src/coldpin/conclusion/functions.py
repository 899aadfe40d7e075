"""From findings to protective functions: the worst finding decides, and what was not tested stays open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from coldpin.records.case import UnitClass
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.function import FunctionState, ProtectiveFunction


@dataclass(frozen=True, slots=True, kw_only=True)
class FunctionPlan:
    """What must be found for a function to be called shown.

    ``asks`` are ids of findings that must all be within. ``parent`` is a function without which this one cannot be
    there: where the parent is absent by construction, so is this one (a welded contact says nothing of it), and while
    the parent is not shown, this one is not either. ``awaits`` says what would still have to be shown and no check
    covers yet: while there is such a thing the function stays open. ``duty`` is false for good practice that no text
    known to us asks for: it is said whether it is there, and its absence breaks nothing.
    """

    id: str
    title: str
    question: str
    asks: tuple[str, ...]
    parent: str = ""
    awaits: tuple[str, ...] = ()
    with_pilot: bool = True
    duty: bool = True


PLANS: tuple[FunctionPlan, ...] = (
    FunctionPlan(
        id="supply-switching",
        title="Supply switched only for a vehicle",
        question="Are the connector's pins dead until a vehicle asks for power?",
        asks=("wiring.switched", "live-pins.uncoupled", "live-pins.state-b", "live-pins.state-c"),
        with_pilot=False,
    ),
    FunctionPlan(
        id="timely-opening",
        title="Supply switched off in time",
        question="Do the pins go dead in time when the vehicle stops asking, leaves, or the pilot is shorted?",
        asks=("opening.time", "opening-unplugged.time", "pilot-short.time"),
        parent="supply-switching",
    ),
    FunctionPlan(
        id="restart",
        title="Start after an interruption",
        question="Do the pins stay dead when the supply returns, until a vehicle asks?",
        asks=("supply-return.uncoupled",),
        parent="supply-switching",
        with_pilot=False,
    ),
    FunctionPlan(
        id="contact-monitoring",
        title="Welded contact noticed",
        question="Does it notice a contact that stays closed?",
        asks=("held-contact.refusal",),
        parent="supply-switching",
        duty=False,
    ),
    FunctionPlan(
        id="vehicle-recognition",
        title="Vehicle told apart by its diode",
        question="Is a vehicle told apart from any load, or from water, by its diode?",
        asks=("diode-before-closing.output", "live-pins.state-c"),
        parent="supply-switching",
    ),
    FunctionPlan(
        id="diode-monitoring",
        title="Diode watched while charging",
        question="Does it switch off when the vehicle's diode is lost while charging?",
        asks=("diode-loss.opening",),
        parent="supply-switching",
        duty=False,
    ),
    FunctionPlan(
        id="state-recognition",
        title="Edges of the tolerance recognised",
        question="Is every vehicle whose resistors lie within their tolerance taken for what it is?",
        asks=tuple(f"recognition-boundaries.{edge}" for edge in ("b-lowest", "b-highest", "c-lowest", "c-highest")),
        parent="supply-switching",
    ),
    FunctionPlan(
        id="pilot-signal",
        title="Pilot signal",
        question="Are the pilot's levels and frequency those that a car expects?",
        asks=(
            "wiring.pilot-earth",
            "pilot-levels.high-open",
            "pilot-levels.low",
            "pilot-levels.state-b",
            "pilot-levels.state-c",
            "pilot-frequency.value",
            "pilot-diode.sign",
            "idle-oscillator.rest",
        ),
    ),
    FunctionPlan(
        id="orderly-stop",
        title="Vehicle given time to stop",
        question="Where it withdraws its offer, does it wait until the vehicle stopped drawing before it opens?",
        asks=("offer-withdrawal.time",),
        parent="supply-switching",
    ),
    FunctionPlan(
        id="stopping",
        title="Charge stopped by its user",
        question="Can a user end a charge, and is the current gone before the coupler comes free?",
        asks=("session-stop.ways", "session-stop.release"),
        with_pilot=False,
        duty=False,
    ),
    FunctionPlan(
        id="residual-current",
        title="Residual current protection",
        question="Does it switch off in time when alternating current flows to earth, and hold at half of that?",
        asks=tuple(f"residual-alternating.{row}" for row in ("held", "threshold", "raised", "high")),
        parent="supply-switching",
        with_pilot=False,
    ),
    FunctionPlan(
        id="residual-pulsating",
        title="Pulsating residual current noticed",
        question="Does it switch off when the current to earth comes in half waves, as behind a rectifier?",
        asks=tuple(f"residual-pulsating.{row}" for row in ("threshold", "raised", "high")),
        parent="supply-switching",
        with_pilot=False,
    ),
    FunctionPlan(
        id="residual-smooth",
        title="Smooth direct residual current noticed",
        question="Does it switch off at a smooth direct current that would blind the device in the house?",
        asks=tuple(f"residual-smooth.{row}" for row in ("held", "threshold", "raised", "high")),
        parent="supply-switching",
        with_pilot=False,
    ),
    FunctionPlan(
        id="protective-earth",
        title="Earth through the lead",
        question="Does the earth reach the car's body through a low resistance?",
        asks=(
            "wiring.earth-through",
            "wiring.neutral-earth",
            "wiring.live-earth",
            "earth-resistance.value",
            "earth-continuity.joints",
        ),
        with_pilot=False,
    ),
    FunctionPlan(
        id="earth-monitoring",
        title="Earth monitoring",
        question="Does it switch off when the earth to the vehicle is lost?",
        asks=("earth-loss.time",),
        parent="supply-switching",
        with_pilot=False,
    ),
    FunctionPlan(
        id="supply-earth-monitoring",
        title="Earth of the supply watched",
        question="Does it stay off, or switch off, where its supply has no earth?",
        asks=("earth-missing.refusal",),
        parent="supply-switching",
        with_pilot=False,
        duty=False,
    ),
    FunctionPlan(
        id="fault-withstand",
        title="Survives a fault until the fuse acts",
        question="When line meets earth in the car, does the device before the socket act, and does the cable bear it?",
        asks=("fault-loop.disconnection", "fault-withstand.line", "fault-withstand.earth"),
        with_pilot=False,
    ),
    FunctionPlan(
        id="current-offer",
        title="Offered current",
        question="Is the car told a current that plug, cable and plate can bear?",
        asks=("pilot-duty.value", "pilot-meaning.zone", "offer-plug.value", "offer-rating.value", "coding.offer"),
    ),
    FunctionPlan(
        id="current-setting",
        title="Current setting",
        question="Can the current be set lower, and is the setting kept?",
        asks=("current-setting.follows", "current-setting.kept"),
    ),
    FunctionPlan(
        id="conductor",
        title="Conductor as its mark says",
        question="Has each conductor of the cable the cross-section that is marked on it?",
        asks=(
            "conductor-resistance.line",
            "conductor-resistance.neutral",
            "conductor-resistance.earth",
            "conductor-metal.copper",
        ),
        with_pilot=False,
    ),
    FunctionPlan(
        id="heating",
        title="Cable and plug stay cool",
        question="Do cable, plug and connector bear the current that is marked and offered, for hours?",
        asks=("cable-rating.reference", "temperature-rise.sheath", "plug-heating.plug"),
        with_pilot=False,
    ),
    FunctionPlan(
        id="pilot-separation",
        title="Mains kept off the pilot",
        question="Can the mains get onto the pilot wire, which goes to the car and to a hand?",
        asks=(
            "wiring.pilot-alone",
            "pilot-insulation.value",
            "pilot-distance.clearance",
            "pilot-distance.creepage",
            "low-voltage-distance.clearance",
            "low-voltage-distance.creepage",
            "bridging-parts.clearance",
            "bridging-parts.creepage",
            "unused-pins.left",
        ),
    ),
    FunctionPlan(
        id="touch-separation",
        title="Mains kept off what can be touched",
        question="Is the mains inside far enough from every surface that a finger reaches?",
        asks=("surface-distance.clearance", "surface-distance.creepage"),
        with_pilot=False,
    ),
    FunctionPlan(
        id="pole-separation",
        title="Line, neutral and earth kept apart inside",
        question="Are line, neutral and earth far enough from each other that nothing tracks and burns between them?",
        asks=(
            "pole-distance.before-clearance",
            "pole-distance.before-creepage",
            "earth-distance.clearance",
            "earth-distance.creepage",
        ),
        with_pilot=False,
    ),
    FunctionPlan(
        id="touch-protection",
        title="Current and charge kept off the hand",
        question="Does current reach a hand through the housing or a lost earth, or charge from a drawn plug?",
        asks=("housing-insulation.value", "touch-current.metal", "touch-current.housing", "plug-discharge.left"),
        with_pilot=False,
    ),
    FunctionPlan(
        id="access-protection",
        title="Live parts out of reach",
        question="Is every part that is live out of reach of a finger, and of a wire where that is asked?",
        asks=("live-access.finger", "live-access.wire"),
        with_pilot=False,
    ),
    FunctionPlan(
        id="ingress-protection",
        title="Water and dust kept out",
        question="Does it keep out the water and dust that is claimed of it?",
        asks=(),
        awaits=("a test of the claimed degree of protection by a laboratory, on a specimen that is dead",),
        with_pilot=False,
    ),
    FunctionPlan(
        id="wiring",
        title="Poles where they belong",
        question="Does each pole lead to the pin of its name?",
        asks=("wiring.crossed", "wiring.order"),
        with_pilot=False,
    ),
)
"""The protective functions in the order in which they are read: supply and vehicle, residual current, earth, current,
insulation, reach; each after the one it depends on."""


WITHOUT_PARENT = "It cannot be there without its parent: "
"""How the reason begins for a function that is absent with the one it depends on."""

NOT_APPLICABLE = "not-applicable"
"""Name of the finding by which a whole check is set aside; one question set aside leaves the others of its check."""

MISSING = {
    "wiring.order": "a wiring map with the contacts held closed",
    "earth-resistance.value": "the earth resistance",
    "earth-continuity.joints": "the earth resistance at 10 A or more, with the length of the cable and its marked size",
    "live-access.finger": "whether a test finger reaches a live part",
    "live-access.wire": "whether a test wire reaches a live part at the connector",
    "fault-loop.disconnection": "the loop at the socket, with line and earth conductor",
    "fault-withstand.line": "the resistance of the line conductor, and the device before the socket",
    "fault-withstand.earth": "the resistance of the earth conductor, and the device before the socket",
    "temperature-rise.sheath": "where the sheath's temperature comes in a heating test",
    "plug-heating.plug": "where the plug's temperature comes in a heating test",
    "cable-rating.reference": "the size of the cable, and the current marked and offered",
    "conductor-resistance.line": "the resistance of the line conductor and its marked size",
    "conductor-resistance.neutral": "the resistance of the neutral conductor and its marked size",
    "conductor-resistance.earth": "the resistance of the earth conductor and its marked size",
    "conductor-metal.copper": "what the wires are made of: resistance and mass of one core, or the look of a cut",
    "live-pins.uncoupled": "the output with nothing connected",
    "live-pins.state-b": "the output in state B",
    "live-pins.state-c": "the output in state C",
    "diode-before-closing.output": "the output with the vehicle simulator's diode shorted",
    "pilot-diode.sign": "a capture in state B or C",
    "pilot-levels.high-open": "a capture with nothing connected",
    "pilot-levels.low": "a capture with the oscillator running",
    "pilot-levels.state-b": "a capture in state B",
    "pilot-levels.state-c": "a capture in state C",
    "pilot-frequency.value": "a capture with the oscillator running",
    "pilot-duty.value": "a capture and the declared current",
    "pilot-meaning.zone": "a capture with the oscillator running",
    "offer-plug.value": "a capture and the plug's kind",
    "offer-rating.value": "a capture and the rated current",
    "coding.offer": "the coding resistance",
    "pilot-insulation.value": "the insulation from mains to pilot",
    **dict.fromkeys(
        ("pilot-distance.clearance", "pilot-distance.creepage"),
        "the distances between mains and pilot on the opened board",
    ),
    **dict.fromkeys(
        ("low-voltage-distance.clearance", "low-voltage-distance.creepage"),
        "the distances between mains and low voltage on the opened board",
    ),
    **dict.fromkeys(
        ("bridging-parts.clearance", "bridging-parts.creepage"),
        "the distances under and beside transformer, optocoupler and relay",
    ),
    "unused-pins.left": "whether unused pins were left in at the barrier",
    **dict.fromkeys(
        ("surface-distance.clearance", "surface-distance.creepage"),
        "the distances between mains and what can be touched",
    ),
    **dict.fromkeys(
        ("pole-distance.before-clearance", "pole-distance.before-creepage"),
        "the distances between line and neutral before the fuse",
    ),
    **dict.fromkeys(
        ("earth-distance.clearance", "earth-distance.creepage"),
        "the distances between mains and earth inside",
    ),
    "housing-insulation.value": "the insulation from mains to foil on the housing",
    "touch-current.metal": "the touch current at the earth pin with the earth open",
    "touch-current.housing": "the touch current at foil on the housing",
    "plug-discharge.left": "what is left on the plug a second after it was drawn",
    "idle-oscillator.rest": "a capture with nothing connected",
    "opening.time": "five openings when the vehicle stops asking",
    "opening-unplugged.time": "five openings when unplugged",
    "pilot-short.time": "five openings with the pilot shorted",
    "diode-loss.opening": "the output when the diode is lost while charging",
    "recognition-boundaries.b-lowest": "the output at the boundary resistances",
    "recognition-boundaries.b-highest": "the output at the boundary resistances",
    "recognition-boundaries.c-lowest": "the output at the boundary resistances",
    "recognition-boundaries.c-highest": "the output at the boundary resistances",
    "offer-withdrawal.time": "five withdrawals of the offer while charging",
    "session-stop.ways": "how a user stops a charge on a car",
    "session-stop.release": "the current when the coupler is released on a car",
    "supply-return.uncoupled": "the output when the supply returns with nothing connected",
    "held-contact.refusal": "what it does with a contact held closed",
    **dict.fromkeys(
        tuple(f"residual-alternating.{row}" for row in ("threshold", "raised", "high")),
        "trip times with alternating residual current at once, twice and five times the rated one, from both phases",
    ),
    "residual-pulsating.rise": "the current at which it trips while half waves of either polarity rise slowly",
    "residual-smooth.rise": "the current at which it trips while smooth direct current of either polarity rises slowly",
    "residual-alternating.held": "that half the rated residual current does not trip it",
    **dict.fromkeys(
        tuple(f"residual-pulsating.{row}" for row in ("threshold", "raised", "high")),
        "trip times with pulsating residual current of both polarities",
    ),
    **dict.fromkeys(
        tuple(f"residual-smooth.{row}" for row in ("threshold", "raised", "high")),
        "trip times with smooth direct residual current of 6 mA, 60 mA and 200 mA, both polarities",
    ),
    "residual-smooth.held": "that half of the smooth direct current does not trip it",
    "earth-loss.time": "five openings when the earth to the vehicle is lost",
    "earth-missing.refusal": "what it does on a supply without earth",
    "current-setting.follows": "captures at each setting",
    "current-setting.kept": "a capture after an interruption of the supply, with its setting",
}
"""What would have to be recorded for a finding that is missing; every other one needs the dead wiring map."""


ASKED_OF_A_PILOT = ("live-pins.state-b", "live-pins.state-c")
"""A lead of charging mode 1 has no pilot and so no states: these are not asked of it."""


def judge_functions(unit: UnitClass, findings: Iterable[Finding]) -> tuple[ProtectiveFunction, ...]:
    """Give every protective function its state, from its findings alone.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen: mode 1 has no pilot and none of its functions.
    findings : iterable of Finding
        All findings of the case.

    Returns
    -------
    tuple of ProtectiveFunction
        In the order of :data:`PLANS`.
    """
    listed = tuple(findings)
    states: dict[str, ProtectiveFunction] = {}
    for plan in PLANS:
        if unit.charging_mode == 1:
            if plan.with_pilot:
                continue
            plan = replace(plan, asks=tuple(name for name in plan.asks if name not in ASKED_OF_A_PILOT))
        states[plan.id] = _protecting(plan, _judge(plan, listed, states), listed, states)
    return tuple(states.values())


def _protecting(
    plan: FunctionPlan,
    judged: ProtectiveFunction,
    findings: tuple[Finding, ...],
    before: Mapping[str, ProtectiveFunction],
) -> ProtectiveFunction:
    """Say how a function that acts too soon stands for what it protects from: as with all that held where it should."""
    if judged.state is not FunctionState.FAULTY or not any(plan.id in one.functions and one.early for one in findings):
        return judged
    eased = tuple(replace(one, outcome=Outcome.WITHIN) if one.early else one for one in findings)
    state = _judge(plan, eased, before).state
    if state is judged.state:
        return judged
    return replace(judged, protects=state, because=f"{judged.because} {_TOO_SOON[state is FunctionState.SHOWN]}")


_TOO_SOON = (
    "Acting too soon takes no protection away; whether it protects was not shown.",
    "Acting too soon takes no protection away, and what it protects from is shown.",
)
"""What is said of a function that acts too soon, where its protection is not shown and where it is."""


def _judge(
    plan: FunctionPlan, findings: tuple[Finding, ...], before: Mapping[str, ProtectiveFunction]
) -> ProtectiveFunction:
    bearing = tuple(f for f in findings if plan.id in f.functions and f.outcome is not Outcome.NOT_APPLICABLE)
    beyond = [finding for finding in bearing if finding.outcome is Outcome.BEYOND and finding.transfers]
    absent = [finding for finding in beyond if finding.absence]
    parent = before.get(plan.parent)
    missing = _missing(plan, findings)
    if absent:
        ground = _leading(absent)
        return _state(plan, FunctionState.SHOWN_ABSENT, bearing, ground.statement, (ground,), missing)
    if parent and parent.state is FunctionState.SHOWN_ABSENT and parent.reach is Reach.CONSTRUCTION:
        because = f"{WITHOUT_PARENT}'{parent.title}' is absent."
        return _state(plan, FunctionState.SHOWN_ABSENT, bearing, because, (), missing, reach=parent.reach)
    if beyond:
        ground = _leading(beyond)
        return _state(plan, FunctionState.FAULTY, bearing, ground.statement, (ground,), missing)
    asked = [finding for finding in bearing if finding.id in plan.asks]
    whole = asked and not missing and all(finding.outcome is Outcome.WITHIN for finding in asked)
    if whole and parent and parent.state is not FunctionState.SHOWN:
        because = f"Nothing was found against it, but it hangs on '{parent.title}', which is not shown."
        return _state(plan, FunctionState.NOT_SHOWN, bearing, because, (), missing)
    if whole:
        because = "Everything that was asked of it in these tests was found."
        return _state(plan, FunctionState.SHOWN, bearing, because, bearing, missing)
    elsewhere = [finding for finding in bearing if finding.outcome is Outcome.BEYOND]
    if elsewhere:
        because = f"{elsewhere[0].statement} That was on {elsewhere[0].supply}, and does not hold for the closed unit."
        return _state(plan, FunctionState.NOT_SHOWN, bearing, because, (), missing)
    undecided = [finding for finding in bearing if finding.outcome is Outcome.UNDECIDED]
    if undecided:
        return _state(plan, FunctionState.NOT_SHOWN, bearing, undecided[0].statement, (), missing)
    so_far = "Nothing was found against it, but not everything was tested." if bearing else "Not tested."
    return _state(plan, FunctionState.NOT_SHOWN, bearing, so_far, (), missing)


def _leading(grounds: list[Finding]) -> Finding:
    """Return the ground that is given as the reason, for one is enough.

    What fails to protect comes before what acts too soon. Then that which reaches furthest, as a second on the specimen
    takes nothing from it; among such of one reach what was measured comes before what was reckoned, and of equals the
    first.
    """
    return min(grounds, key=lambda one: (one.early, one.reach is not Reach.CONSTRUCTION, one.reckoned))


def _missing(plan: FunctionPlan, findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Name what is asked and not answered; an answer that does not hold for the closed unit is none."""
    answered = {finding.id for finding in findings if finding.transfers}
    elsewhere = {finding.id for finding in findings} - answered
    set_aside = {finding.check for finding in findings if finding.id == f"{finding.check}.{NOT_APPLICABLE}"}
    asked = (name for name in plan.asks if name not in answered and name.split(".")[0] not in set_aside)
    wanted = (MISSING.get(name, MAP) + (CLOSED if name in elsewhere else "") for name in asked)
    return (*dict.fromkeys(wanted), *plan.awaits)


MAP = "the dead wiring map"
CLOSED = ", on the closed unit"


def _state(
    plan: FunctionPlan,
    state: FunctionState,
    bearing: Iterable[Finding],
    because: str,
    grounds: Iterable[Finding],
    missing: tuple[str, ...],
    *,
    reach: Reach | None = None,
) -> ProtectiveFunction:
    reaches = [finding.reach for finding in grounds]
    if reach is None and reaches:
        reach = Reach.CONSTRUCTION if Reach.CONSTRUCTION in reaches and len(set(reaches)) == 1 else Reach.SPECIMEN
    return ProtectiveFunction(
        id=plan.id,
        title=plan.title,
        question=plan.question,
        state=state,
        reach=reach,
        findings=tuple(finding.id for finding in bearing),
        because=because,
        missing=missing,
        duty=plan.duty,
    )
