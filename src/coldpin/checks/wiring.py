"""What the dead wiring map tells: the earth through, nothing joined that must not be, every pole open."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.wiring_map import PILOT_PINS, Pair, partner, read_map
from coldpin.records.case import Build, Electronics
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Joint, Outcome, Reach


def _is_pole_path(pair: Pair) -> bool:
    return partner(pair.plug_pin) == pair.connector_pin and pair.plug_pin != "PE"


def _joint(pair: Pair, wanted: str) -> Joint:
    return Joint(
        plug_pin=pair.plug_pin,
        connector_pin=pair.connector_pin,
        found=pair.said,
        wanted=wanted,
        right=wanted == "either" or pair.said == wanted,
    )


def _outcome(bad: Iterable[Pair], unknown: Iterable[Pair]) -> Outcome:
    if list(bad):
        return Outcome.BEYOND
    return Outcome.UNDECIDED if list(unknown) else Outcome.WITHIN


def _doubtful(pairs: Iterable[Pair]) -> str:
    listed = (f"plug {pair.plug_pin} to connector {pair.connector_pin} ({pair.said})" for pair in pairs)
    return f"Neither joined nor open: {', '.join(listed)}."


def _names(pairs: Iterable[Pair]) -> str:
    return ", ".join(f"plug {pair.plug_pin} to connector {pair.connector_pin}" for pair in pairs)


def _earth_through(entry: Entry, pairs: tuple[Pair, ...]) -> Finding:
    path = next(pair for pair in pairs if pair.plug_pin == "PE" and pair.connector_pin == "PE")
    outcome = {True: Outcome.WITHIN, False: Outcome.BEYOND, None: Outcome.UNDECIDED}[path.joined]
    sentence = {
        True: "The plug's earth pin leads to the connector's earth pin.",
        False: "The plug's earth pin does not lead to the connector's earth pin: the car's body would have no earth.",
        None: "Whether the earth goes through was not recorded.",
    }[path.joined]
    return Finding(
        id="wiring.earth-through",
        check="wiring",
        title="Earth through",
        statement=sentence,
        outcome=outcome,
        reach=Reach.SPECIMEN,
        functions=("protective-earth",),
        answer={True: "yes", False: "no", None: "cannot tell"}[path.joined],
        absence=path.joined is False,
        decisive=path.joined is False,
        evidence=(entry.id,),
        joints=(_joint(path, "joined"),),
    )


def _must_be_open(
    entry: Entry,
    pairs: Iterable[Pair],
    *,
    name: str,
    title: str,
    functions: tuple[str, ...],
    good: str,
    bad: str,
    decisive: bool,
) -> Finding:
    listed = tuple(pairs)
    joined = [pair for pair in listed if pair.joined]
    unknown = [pair for pair in listed if pair.joined is None]
    outcome = _outcome(joined, unknown)
    sentence = {
        Outcome.WITHIN: good,
        Outcome.BEYOND: f"{bad}: {_names(joined)}.",
        Outcome.UNDECIDED: _doubtful(unknown),
    }[outcome]
    return Finding(
        id=f"wiring.{name}",
        check="wiring",
        title=title,
        statement=sentence,
        outcome=outcome,
        reach=Reach.SPECIMEN,
        functions=functions,
        answer={Outcome.WITHIN: "no", Outcome.BEYOND: "yes", Outcome.UNDECIDED: "cannot tell"}[outcome],
        decisive=decisive and outcome is Outcome.BEYOND,
        evidence=(entry.id,),
        joints=tuple(_joint(pair, "open") for pair in listed),
    )


def _switched(bench: BenchEvidence, entry: Entry, pairs: tuple[Pair, ...]) -> Finding:
    poles = [pair for pair in pairs if _is_pole_path(pair)]
    joined = [pair for pair in poles if pair.joined]
    unknown = [pair for pair in poles if pair.joined is None]
    outcome = _outcome(joined, unknown)
    through = len(joined) == len(poles)
    electronics = bench.case.unit.electronics
    boxed = electronics not in (Electronics.NONE, Electronics.IN_CONNECTOR)
    opened = tuple(look.id for look in bench.showing("opened"))
    seen = through and (electronics is Electronics.NONE or (not boxed and bool(opened)))
    remarks = (
        ("Contacts that are closed with no supply may also be welded: the unit has a box that could hold them.",)
        if joined and boxed
        else ("A connector can hold a contact too: open it before this is said of any unit built like it.",)
        if through and not seen
        else ()
    )
    if outcome is Outcome.WITHIN:
        sentence = "With no supply every pole is open between plug and connector: something in the lead can switch it."
    elif outcome is Outcome.UNDECIDED:
        sentence = _doubtful(unknown)
    elif through:
        sentence = (
            "Every pole leads straight from plug to connector: the connector's pins are live whenever it is plugged in."
        )
    else:
        sentence = f"Not every pole is opened: {_names(joined)} stays joined with no supply."
    return Finding(
        id="wiring.switched",
        check="wiring",
        title="Poles open with no supply",
        statement=sentence,
        outcome=outcome,
        reach=Reach.CONSTRUCTION if seen else Reach.SPECIMEN,
        functions=("supply-switching",),
        answer={Outcome.WITHIN: "yes", Outcome.BEYOND: "no", Outcome.UNDECIDED: "cannot tell"}[outcome],
        absence=seen,
        evidence=(entry.id, *(opened if seen else ())),
        joints=tuple(_joint(pair, "open") for pair in poles),
        remarks=remarks,
    )


def _order(entry: Entry, pairs: tuple[Pair, ...], how: str) -> Finding:
    poles = [pair for pair in pairs if _is_pole_path(pair)]
    apart = [pair for pair in poles if pair.joined is False]
    unknown = [pair for pair in poles if pair.joined is None]
    outcome = _outcome(apart, unknown)
    sentence = {
        Outcome.WITHIN: f"{how}, each pole leads to the pin of its name.",
        Outcome.BEYOND: f"{how}, these do not lead to the pin of their name: {_names(apart)}.",
        Outcome.UNDECIDED: _doubtful(unknown),
    }[outcome]
    return Finding(
        id="wiring.order",
        check="wiring",
        title="Line, neutral and phase order",
        statement=sentence,
        outcome=outcome,
        reach=Reach.SPECIMEN,
        functions=("wiring",),
        answer={Outcome.WITHIN: "yes", Outcome.BEYOND: "no", Outcome.UNDECIDED: "cannot tell"}[outcome],
        evidence=(entry.id,),
        joints=tuple(_joint(pair, "joined") for pair in poles),
    )


_CROSSINGS: tuple[tuple[str, str, tuple[str, ...], Callable[[Pair], bool], str, str, bool], ...] = (
    (
        "pilot-alone",
        "Pilot joined to nothing but its electronics",
        ("pilot-separation",),
        lambda pair: pair.connector_pin in PILOT_PINS and pair.plug_pin != "PE",
        "The pilot pin is joined to no pin of the supply.",
        "The pilot pin, which goes to the car and can be touched, is joined to the mains",
        True,
    ),
    (
        "pilot-earth",
        "Pilot not joined to earth",
        ("pilot-signal",),
        lambda pair: pair.connector_pin in PILOT_PINS and pair.plug_pin == "PE",
        "The pilot pin is not joined to earth.",
        "The pilot pin is joined to earth, so that no vehicle can be told apart",
        False,
    ),
    (
        "neutral-earth",
        "Neutral not joined to earth",
        ("protective-earth", "wiring"),
        lambda pair: (
            (pair.plug_pin == "N" and pair.connector_pin == "PE")
            or (pair.plug_pin == "PE" and pair.connector_pin == "N")
        ),
        "Neutral and earth are not joined.",
        "Neutral and earth are joined in the lead",
        True,
    ),
    (
        "live-earth",
        "No line on earth",
        ("protective-earth", "wiring"),
        lambda pair: (
            (pair.plug_pin.startswith("L") and pair.connector_pin == "PE")
            or (pair.plug_pin == "PE" and pair.connector_pin.startswith("L"))
        ),
        "No line is joined to earth.",
        "A line is joined to earth, which is the car's body",
        True,
    ),
    (
        "crossed",
        "No poles crossed",
        ("wiring",),
        lambda pair: (
            "PE" not in (pair.plug_pin, pair.connector_pin)
            and pair.connector_pin not in PILOT_PINS
            and not _is_pole_path(pair)
        ),
        "No pole leads to the pin of another.",
        "Poles are crossed",
        False,
    ),
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the wiring map pair by pair.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one wiring map taken as found.

    Returns
    -------
    tuple of Finding
        Earth through, crossings, pilot alone, poles open; phase order where a map with closed contacts exists.

    Raises
    ------
    CaseError
        A map cannot be read.
    """
    entry = bench.matching(NEED)[-1]
    pairs = read_map(bench, entry)
    findings = [_earth_through(entry, pairs), _switched(bench, entry, pairs)]
    for name, title, functions, belongs, good, bad, decisive in _CROSSINGS:
        chosen = [pair for pair in pairs if belongs(pair)]
        findings.append(
            _must_be_open(
                entry, chosen, name=name, title=title, functions=functions, good=good, bad=bad, decisive=decisive
            )
        )
    closed = bench.matching(Need(shows="wiring map", conditions={"contacts": ("held closed",)}))
    through = next(finding for finding in findings if finding.id == "wiring.switched").answer == "no"
    if closed:
        findings.append(_order(closed[-1], read_map(bench, closed[-1]), "With its contacts closed"))
    elif through:
        findings.append(_order(entry, pairs, "As found, with no supply"))
    if bench.case.unit.build is Build.FIXED:
        return tuple(_without_plug(finding) for finding in findings)
    return tuple(findings)


def _without_plug(finding: Finding) -> Finding:
    """Word a finding for a fixed unit, whose map starts at the terminals of its supply."""
    said = finding.statement
    for portable, fixed in _FIXED_WORDS:
        said = said.replace(portable, fixed)
    return replace(finding, statement=said)


_FIXED_WORDS = (
    ("The plug's earth pin", "The earth terminal of the supply"),
    ("whenever it is plugged in", "whenever it has its supply"),
    ("between plug and", "between the supply's terminals and"),
    ("from plug to", "from the supply's terminals to"),
    ("plug ", "supply terminal "),
)


NEED = Need(shows="wiring map", conditions={"contacts": ("as found", "")})

CHECK = Check(
    id="wiring",
    title="Dead wiring map",
    question="With everything dead: what is joined to what, and is anything joined that must not be?",
    needs=(NEED,),
    bench=Procedure(
        level=Level.DEAD,
        instrument="multimeter, resistance range with buzzer",
        minutes=10,
        cautions=DEAD_CAUTIONS,
        steps=(
            (
                "Leave the plug out of any socket and the connector off any car; touch the meter's leads together "
                "and note what it reads."
            ),
            (
                "Hold one lead to a plug pin (a fixed unit: a terminal of its supply), the other to each "
                "connector pin in turn; write down joined, open or the resistance."
            ),
            "Do so for every plug pin; then once more in the other polarity, as electronics may show a diode.",
            (
                "Where the contacts can be held closed from an isolated bench supply on an opened board, take a "
                "second map of the poles for line, neutral and phase order."
            ),
        ),
        hold_points=(
            "No power if the earth is open.",
            "No power if anything of the mains is joined to earth or to the pilot.",
            (
                "A pole that leads straight through makes the connector's pins live: no mains unless the "
                "connector is in an insulating holder."
            ),
        ),
        repeats=1,
        transfers=(
            "A map of the closed unit holds for it; a map on an opened board holds for the traces, not for the "
            "contacts."
        ),
    ),
    limits=(),
    run=run,
    bears=(
        Bearing(function="protective-earth", within_if_works=0.99, within_if_not=0.05),
        Bearing(function="supply-switching", within_if_works=0.99, within_if_not=0.3),
        Bearing(function="pilot-separation", within_if_works=0.99, within_if_not=0.8),
        Bearing(function="wiring", within_if_works=0.99, within_if_not=0.05),
    ),
    figures=("wiring map",),
    applies=always,
)
