"""How warm sheath, plug, connector and conductor become at rated current in the hottest air."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import COMPETENT, DEAD_CAUTIONS, EARTH_FIRST, NO_CAR, SUPPLY
from coldpin.checks.check import Bearing, Check, Level, Procedure, Transfer, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.heated_metal import metal_under_sheath, of_one_loop, settled_sheaths
from coldpin.checks.heating_evidence import (
    AFTER_NEED,
    CONDUCTOR_LOG_NEED,
    END_NEED,
    HOT_NEED,
    LOG_NEED,
    HeatedInUse,
    heated_parts,
    hot_conductor,
)
from coldpin.checks.hot_plug import beside_cable
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.copper.hot_metal import cross_check
from coldpin.copper.temperature_rise import RADIATED_MORE, surely_beyond
from coldpin.quantity import format_quantity, format_value, propagate
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.heating import HeatedPart

FUNCTION = "heating"

ALIKE = Transfer(within=("extra-low voltage",), beyond=("extra-low voltage",))
"""A current warms cable and joints alike at any voltage: the recommended test counts as one at the mains does."""

BODIES = (HeatedPart.PLUG, HeatedPart.CONNECTOR, HeatedPart.PIN)


def run_sheath(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the sheath's temperature in use against what a hand may meet: the worst test is told.

    Parameters
    ----------
    bench : BenchEvidence
        With a heating log or readings in the end.

    Returns
    -------
    tuple of Finding
        One finding; none where no test was made of the sheath.

    Raises
    ------
    EntryError
        A log, reading or condition cannot be used.
    CaseError
        The claimed current cannot be read.
    """
    found = heated_parts(bench, HeatedPart.SHEATH)
    return _worst(found, "temperature-rise", "sheath", "Temperature of the sheath in use")


def run_plug(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place plug, pins and connector in use against hand and published rise, and beside the cable's own.

    Parameters
    ----------
    bench : BenchEvidence
        With a heating log or readings in the end.

    Returns
    -------
    tuple of Finding
        One finding for each part that was read.

    Raises
    ------
    EntryError
        A log, reading or condition cannot be used.
    CaseError
        The claimed current cannot be read.
    """
    sheath = heated_parts(bench, HeatedPart.SHEATH)
    findings: list[Finding] = []
    for part in BODIES:
        found = tuple(
            replace(one, remarks=(*one.remarks, *beside_cable(bench, one, sheath))) for one in heated_parts(bench, part)
        )
        findings += _worst(found, "plug-heating", part.value, f"Temperature of the {part} in use")
    return tuple(findings)


def run_conductor(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the conductor's temperature in use, by its resistance hot and cold, against what insulation bears.

    Parameters
    ----------
    bench : BenchEvidence
        With a conductor's resistance, logged, hot or after switching off.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    EntryError
        A reading or condition cannot be read, or is missing.
    CaseError
        The claimed current cannot be read.
    """
    entries = [entry for need in (HOT_NEED, AFTER_NEED) for entry in bench.matching(need)]
    heated = (*heated_parts(bench, HeatedPart.CONDUCTOR), *(hot_conductor(bench, entry) for entry in entries))
    found = tuple(_beside_sheath(bench, one) for one in heated)
    findings = _worst(found, "conductor-hot-resistance", "temperature", "Temperature of the conductor in use")
    said = "The limit is that of ordinary PVC, the lowest; a print that names a better insulation bears more."
    return tuple(replace(one, remarks=(*one.remarks, said)) for one in findings)


def _worst(found: tuple[HeatedInUse, ...], check: str, question: str, title: str) -> tuple[Finding, ...]:
    return (worst_entry(_judge(one, check, question, title) for one in found),) if found else ()


def _judge(heated: HeatedInUse, check: str, question: str, title: str) -> Finding:
    bare = Finding(
        id=f"{check}.{question}",
        check=check,
        title=title,
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(FUNCTION,),
        evidence=(heated.entry.id,),
        remarks=heated.remarks,
        limit=heated.use.limit,
        quantity=heated.in_use,
        reckoned=heated.in_use is not None,
    )
    asked = heated.use.rated_current or heated.current
    subject = f"The temperature of the {heated.part} at {format_value(asked.value, 'A')}"
    if heated.use.max_ambient is not None:
        subject += f", reckoned for air of {format_value(heated.use.max_ambient.value, '°C')},"
    if heated.told is not None and heated.told.open_above:
        # of a run without an end only what was read already can be beyond
        told = heated.told
        if heated.doubts:
            return replace(bare, statement=told.statement)
        return replace(bare, outcome=told.outcome, probability=told.probability, statement=told.statement)
    if heated.in_use is None or heated.use.limit is None:
        rise = f"The {heated.part} rose by {format_quantity(heated.rise)} in the end"
        why = "" if heated.use.rated_current is not None else f": {NO_CURRENT}"
        return replace(bare, statement=f"{rise}; what that is in use does not follow{why}.")
    return _doubted(subject, placed(subject, judged(bare, heated.in_use, heated.use.limit)), heated)


def _doubted(subject: str, finding: Finding, heated: HeatedInUse) -> Finding:
    """Let a value that is asked about decide nothing, and one that still changed be no more than a lower end."""
    if heated.doubts:
        why = "nothing is decided by it: " + "; ".join(heated.doubts)
    elif heated.unsettled and finding.outcome is Outcome.WITHIN:
        why = f"it is a lower end, for {heated.unsettled}"
    elif finding.outcome is Outcome.BEYOND and not _surely(heated):
        why = RADIATED_MORE
    else:
        return finding
    assert finding.quantity is not None, "a placed finding has a quantity"
    value = format_value(round(finding.quantity.value, 1), finding.quantity.unit)
    said = f"{subject} comes out at {value}; {why}{'' if why.endswith('?') else '.'}"
    return replace(finding, outcome=Outcome.UNDECIDED, probability=None, statement=said)


def _surely(heated: HeatedInUse) -> bool:
    return heated.in_use is None or surely_beyond(heated.in_use, heated.use, heated.in_test_air)


NO_CURRENT = "no current is claimed for the lead, and none was seen offered"
"""Why nothing follows for use."""


def _beside_sheath(bench: BenchEvidence, heated: HeatedInUse) -> HeatedInUse:
    """Hold the conductor's temperature in the test against what the sheath of the same test makes of it."""
    sheath = next((one for one in settled_sheaths(bench) if of_one_loop(one, heated)), None)
    by_sheath = None if sheath is None else metal_under_sheath(bench, sheath)
    if by_sheath is None:
        return heated
    by_resistance = propagate(lambda rise, air: rise + air, {"rise": heated.rise, "air": heated.in_test_air}, "°C")
    told = cross_check(by_resistance=by_resistance, by_sheath=by_sheath.metal)
    doubts = heated.doubts if told.agree is not False else (*heated.doubts, "resistance and sheath do not agree")
    return replace(heated, doubts=doubts, remarks=(told.statement, *heated.remarks))


LOGGER = (
    "No thermocouple on a live terminal with a logger that is not isolated: it puts the logger, its housing and its "
    "computer at mains. On the mains measure outside only, or with an isolated logger and insulated junctions, or "
    "infrared on a spot of known emissivity."
)
UNATTENDED = "A heating test is never left alone, and its stop values are set before the current is."

SOURCE = (
    (
        "it is of extra-low voltage and isolated from the mains, and its current is set before the lead is joined; it "
        "heats metal red where a clip is bad: clips in sight, nothing that burns below."
    ),
    (
        "read its voltage with nothing joined first: a welding set or a charger of batteries is not of extra-low "
        "voltage by its name; a fuse or a limit of its own ends a short circuit."
    ),
    "control electronics and a module for residual current stay out of the loop: parts are heated apart from them.",
    "the lead is laid out uncoiled before the current comes, where it is not to be judged coiled.",
)
"""What binds with the isolated source, the recommended way."""

MAINS_LOAD = (
    "a resistive load with its own thermostat, fan and breaker, on metal; a smoke alarm and an extinguisher.",
    "every clamp, tap and join of the other way is off before anything is plugged in, and the unit's earth is joined.",
    COMPETENT,
    SUPPLY,
    EARTH_FIRST,
    NO_CAR,
)
"""What binds with a load on the mains in the source's place, and only then."""

HEATING_CAUTIONS = (
    *DEAD_CAUTIONS,
    UNATTENDED,
    *(f"Isolated source: {one}" for one in SOURCE),
    *(f"Load on the mains instead: {one}" for one in (*MAINS_LOAD, LOGGER)),
)

STEPS = (
    "Lay the lead as it is to be judged: straight and free, on the floor, or coiled; write down which, and the air.",
    (
        "Join line and neutral at the far end. Of a unit with contacts heat plug and cable, and cable and connector, "
        "apart from its contacts: an unpowered contactor is open, and is never held closed for this under mains."
    ),
    (
        "Still air, as where it is used at worst: doors and windows shut, no fan. What blows all the time is not seen "
        "in the readings, and makes everything cooler than it will be."
    ),
    (
        "Put thermometers on the sheath in mid-cable, on plug and connector, and one in the air a metre away; those on "
        "the cable stand 0.6 m or more from either end, where a hot plug no longer warms it."
    ),
    (
        "Start the logger a minute before the current, set the current, and let both run: five time constants, some "
        "25 to 50 minutes for a cord in air, until nothing rises by more than 1 K in an hour. Stopped earlier, the end "
        "is told with the interval that is left."
    ),
    (
        "Read voltage and current between the same two taps at the start and at the end: the resistance is the "
        "conductor's own thermometer. At the end switch off and see that all cools."
    ),
)

STOPS = (
    (
        "Stop at the lowest of the limits named here, each less the thermometer's uncertainty; the metal is warmer "
        "than the sheath."
    ),
    "Stop at any smell, softening or smoke.",
)

STOP_LIMITS = ("touch-temperature.sheath", "insulation-temperature.pvc", "accessory.rise.household")
"""What hand, insulation and plug bear: the least of each kind."""

HEATING_BENCH = Procedure(
    level=Level.EXTRA_LOW_VOLTAGE,
    instrument="isolated extra-low-voltage current source, logger with three thermometers or more, ammeter",
    minutes=60,
    cautions=HEATING_CAUTIONS,
    steps=STEPS,
    hold_points=("No heating test before the earth's resistance and the dead wiring map are as they should be.",),
    stop_values=STOPS,
    stop_limits=STOP_LIMITS,
    after=("wiring.earth-through", "earth-resistance.value"),
    transfers="Holds for this lead lying as it lay; coiled, covered or in the sun it becomes warmer.",
)

LIMITS = ("touch-temperature.sheath", "heating.hottest-air", "film.rise-exponent", "accessory.steady")

TEMPERATURE_RISE = Check(
    id="temperature-rise",
    title="Warmth of the cable",
    question="Does the sheath stay cool enough for a hand at rated current in the hottest air?",
    needs=(),
    any_of=(LOG_NEED, END_NEED),
    bench=HEATING_BENCH,
    limits=LIMITS,
    run=run_sheath,
    bears=(Bearing(function=FUNCTION, within_if_works=0.95, within_if_not=0.3),),
    transfer=ALIKE,
    applies=always,
)

PLUG_HEATING = Check(
    id="plug-heating",
    title="Warmth of plug and connector",
    question="Do plug, pins and connector stay within hand and published rise at rated current in the hottest air?",
    needs=(),
    any_of=(LOG_NEED, END_NEED),
    bench=replace(HEATING_BENCH, transfers="Holds for this plug in this socket; a worn socket makes it warmer."),
    limits=("accessory.rise", "touch-temperature.grasped.plastic", *LIMITS),
    run=run_plug,
    bears=(Bearing(function=FUNCTION, within_if_works=0.95, within_if_not=0.3),),
    transfer=ALIKE,
    applies=always,
)

CONDUCTOR_HOT = Check(
    id="conductor-hot-resistance",
    title="Warmth of the conductor",
    question="Does the conductor stay within what its insulation bears at rated current in the hottest air?",
    needs=(),
    any_of=(HOT_NEED, AFTER_NEED, CONDUCTOR_LOG_NEED),
    bench=HEATING_BENCH,
    limits=("insulation-temperature", "metal.copper", *LIMITS),
    run=run_conductor,
    bears=(Bearing(function=FUNCTION, within_if_works=0.95, within_if_not=0.3),),
    transfer=ALIKE,
    applies=always,
)
