"""An assessment made by hand for these tests: the invented Pellwick 20 of the Brackwater Boatyard."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from functools import cache

from coldpin.quantity.model import Quantity
from coldpin.records.assessment import (
    Assessment,
    Basis,
    Conclusion,
    CyclePicture,
    Method,
    NotTested,
    PilotEvidence,
    Problem,
    Sentence,
    Trace,
)
from coldpin.records.case import (
    CASE_FORMAT,
    Alternative,
    Build,
    Cable,
    CaseDescription,
    Claims,
    Electronics,
    OwnConstant,
    Specimen,
    UnitClass,
)
from coldpin.records.entry import Entry, EntryKind, EvidenceFile
from coldpin.records.finding import BudgetLine, Finding, Joint, Limit, Outcome, PilotLevels, Reach, Standing
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.instrument import Instrument
from coldpin.records.pilot import Diode, Meaning, OfferedCurrent, PilotReading, Run, Source, State
from coldpin.records.use import UseAnswer, UseJudgement
from coldpin.report import Document, build_document, render_html, render_pdf

SECRET = "order 99-7731-AX"
"""Stands in a private entry and must never be printed."""

_DIGEST = "9f2b7c0d41e85a6630fd12ab98c4e7715d3c0b9a86f1e24477a05be3c9d812f6"
_OTHER_DIGEST = "17ac5509ee3d2f81b6470c9a5be8d3f200417d8e6bc935fa1d02e6b74889c053"


def volts(value: float, u: float = 0.03) -> Quantity:
    return Quantity(value, u, "V")


PILOT_LEVEL_C = Limit(
    id="PILOT_LEVEL_C_HIGH",
    title="High level of the pilot in state C",
    unit="V",
    minimum=5.47,
    nominal=6.0,
    maximum=6.53,
    source="IEC 61851-1",
    edition="3.0 (2017)",
    place="Table A.4",
    standing=Standing.READ,
    read_in=("a public handout on the pilot circuit, https://example.org/pilot",),
    other="5.5 V to 6.5 V in an application note",
)
PILOT_LEVEL_B = replace(
    PILOT_LEVEL_C,
    id="PILOT_LEVEL_B_HIGH",
    title="High level of the pilot in state B",
    minimum=8.37,
    nominal=9.0,
    maximum=9.59,
    other="",
)
PILOT_LOW = replace(
    PILOT_LEVEL_C, id="PILOT_LOW", title="Low level of the pilot", minimum=-12.6, nominal=-12.0, maximum=-11.4, other=""
)
PLUG = Limit(
    id="PLUG_CEE_16",
    title="Current of the plug",
    unit="A",
    maximum=16.0,
    source="marking on the plug",
    standing=Standing.READ,
    asserted_by="the plate of the specimen",
)
EARTH = Limit(
    id="EARTH_RESISTANCE",
    title="Resistance of the protective conductor, plug to connector",
    unit="Ω",
    maximum=0.5,
    source="custom of portable-appliance testers",
    standing=Standing.COMMON_PRACTICE,
)
INSULATION = Limit(
    id="INSULATION_MAINS_PILOT",
    title="Insulation from mains to pilot",
    unit="MΩ",
    minimum=1.0,
    source="EN 50699",
    edition="2020",
    place="5.4",
    standing=Standing.STANDARD,
)
EXTRA_LOW = Limit(
    id="EXTRA_LOW_VOLTAGE",
    title="Voltage that may stand on an open contact",
    unit="V",
    maximum=50.0,
    source="IEC 61140",
    edition="2016",
    standing=Standing.MEMORY,
)


LIMITS = (PILOT_LEVEL_B, PILOT_LEVEL_C, PILOT_LOW, PLUG, EARTH, INSULATION, EXTRA_LOW)


def _budget(scale: float) -> tuple[BudgetLine, ...]:
    return (
        BudgetLine(
            label="scope, vertical: 2 % of reading", contribution=scale, dof=None, shape="rectangular", percent=91.8
        ),
        BudgetLine(label="noise of the plateau", contribution=0.27 * scale, dof=48.0, shape="normal", percent=6.7),
        BudgetLine(
            label="resolution of 8 bits", contribution=-0.127 * scale, dof=None, shape="rectangular", percent=1.5
        ),
    )


def _joints() -> tuple[Joint, ...]:
    plug, connector = ("L1", "L2", "L3", "N", "PE"), ("L1", "L2", "L3", "N", "PE", "CP", "PP")
    crossed = {("L2", "L3"), ("L3", "L2")}
    made = []
    for a in plug:
        for b in connector:
            wanted = "joined" if a == b else "open"
            found = "joined" if (a, b) in crossed else "open" if a in ("L2", "L3") else wanted
            made.append(Joint(plug_pin=a, connector_pin=b, found=found, wanted=wanted, right=found == wanted))
    return tuple(made)


FINDINGS = (
    Finding(
        id="output.nothing-connected",
        check="output-at-rest",
        title="Voltage at the pins with nothing connected",
        statement="With nothing connected to it, 231 V stand on the open pins of the connector.",
        outcome=Outcome.BEYOND,
        reach=Reach.CONSTRUCTION,
        functions=("switching",),
        quantity=Quantity(231.2, 0.9, "V"),
        limit=EXTRA_LOW,
        probability=1e-12,
        rule="confidence",
        decisive=True,
        evidence=("20260314-1105-a", "20260314-1120-a"),
        worst_of=6,
        budget=(
            BudgetLine(label="meter: 0.5 % + 2 digits", contribution=0.84, dof=None, shape="rectangular", percent=87.0),
            BudgetLine(label="scatter of six readings", contribution=0.32, dof=5.0, shape="normal", percent=13.0),
        ),
        remarks=("Read on an extra-low voltage supply first, then on the mains behind a 30 mA RCD.",),
    ),
    Finding(
        id="offer.plug",
        check="offer-above-plug",
        title="Current offered against the plug",
        statement="The lead tells the car to draw 20.1 A through a plug marked 16 A.",
        outcome=Outcome.BEYOND,
        reach=Reach.SPECIMEN,
        functions=("offer",),
        quantity=Quantity(20.1, 0.12, "A"),
        limit=PLUG,
        probability=2e-7,
        rule="confidence",
        decisive=True,
        evidence=("20260314-1010-a",),
        budget=_budget(0.11),
        levels=(PilotLevels(evidence="20260314-1010-a", state="C2", start_s=6.2, end_s=10.4),),
    ),
    Finding(
        id="pilot.high.C2",
        check="pilot-levels",
        title="High level of the pilot in state C2",
        statement="In state C2 the high level is 6.44 V; this scope cannot decide whether that is inside its window.",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=("pilot",),
        quantity=volts(6.44, 0.06),
        limit=PILOT_LEVEL_C,
        probability=0.93,
        rule="confidence",
        evidence=("20260314-1010-a",),
        budget=_budget(0.058),
        levels=(PilotLevels(evidence="20260314-1010-a", state="C2", start_s=6.2, end_s=10.4),),
    ),
    Finding(
        id="pilot.high.B2",
        check="pilot-levels",
        title="High level of the pilot in state B2",
        statement="In state B2 the high level is 8.96 V, inside its window.",
        outcome=Outcome.WITHIN,
        reach=Reach.SPECIMEN,
        functions=("pilot",),
        quantity=volts(8.96),
        limit=PILOT_LEVEL_B,
        probability=0.99999,
        rule="confidence",
        evidence=("20260314-1010-a",),
        budget=_budget(0.029),
    ),
    Finding(
        id="pilot.low.B2",
        check="pilot-levels",
        title="Low level of the pilot in state B2",
        statement="In state B2 the low level is −9.7 V, outside its window as known.",
        outcome=Outcome.BEYOND,
        reach=Reach.SPECIMEN,
        functions=("pilot", "diode"),
        quantity=volts(-9.7, 0.05),
        limit=PILOT_LOW,
        probability=0.0001,
        rule="confidence",
        evidence=("20260314-1010-a",),
        budget=_budget(0.049),
    ),
    Finding(
        id="earth.resistance",
        check="earth-resistance",
        title="Resistance of the protective conductor",
        statement="Earth goes through with 0.081 Ω.",
        outcome=Outcome.WITHIN,
        reach=Reach.SPECIMEN,
        functions=("earth",),
        quantity=Quantity(0.081, 0.004, "Ω"),
        limit=EARTH,
        probability=1.0,
        rule="confidence",
        evidence=("20260314-0930-c",),
    ),
    Finding(
        id="insulation.pilot",
        check="insulation",
        title="Insulation from mains to pilot",
        statement="At 250 V the insulation from mains to pilot is 212 MΩ.",
        outcome=Outcome.WITHIN,
        reach=Reach.SPECIMEN,
        functions=("pilot",),
        quantity=Quantity(212.0, 6.0, "MΩ"),
        limit=INSULATION,
        probability=1.0,
        rule="confidence",
        evidence=("20260314-0950-a",),
    ),
    Finding(
        id="wiring.map",
        check="wiring-map",
        title="Dead wiring map",
        statement="L2 and L3 are crossed between plug and connector; line, neutral and earth go where they should.",
        outcome=Outcome.BEYOND,
        reach=Reach.SPECIMEN,
        functions=("earth",),
        answer="no",
        evidence=("20260314-0900-a",),
        joints=_joints(),
    ),
    Finding(
        id="diode.check",
        check="diode-check",
        title="Refusal of a vehicle without diode",
        statement="There is no switching element, so there is nothing that could refuse a vehicle without diode.",
        outcome=Outcome.NOT_APPLICABLE,
        reach=Reach.CONSTRUCTION,
        functions=("diode",),
        evidence=("20260314-1310-a", "20260313-1800-z"),
    ),
    Finding(
        id="sheath.thickness",
        check="sheath",
        title="Thickness of the sheath",
        statement="The sheath measures 1.4 mm; no limit is known to us.",
        outcome=Outcome.NOT_TESTED,
        reach=Reach.SPECIMEN,
        functions=(),
        quantity=Quantity(1.4, None, "mm", why="calliper without statement"),
        evidence=("20260314-1310-a",),
    ),
)

FUNCTIONS = (
    ProtectiveFunction(
        id="switching",
        title="Pins dead until a car asks",
        question="Are the connector's power pins dead while no car asks for power?",
        state=FunctionState.SHOWN_ABSENT,
        reach=Reach.CONSTRUCTION,
        findings=("output.nothing-connected",),
        because="No switching element sits between plug and connector, and the open pins were live.",
    ),
    ProtectiveFunction(
        id="earth",
        title="Earth through",
        question="Does protective earth reach the car?",
        state=FunctionState.SHOWN,
        reach=Reach.SPECIMEN,
        findings=("earth.resistance", "wiring.map"),
        because="Earth goes through with low resistance.",
    ),
    ProtectiveFunction(
        id="offer",
        title="Offer no more than the weakest part",
        question="Does the unit offer no more current than plug, cable and declaration allow?",
        state=FunctionState.FAULTY,
        reach=Reach.SPECIMEN,
        findings=("offer.plug",),
        because="It offers 20.1 A through a plug marked 16 A.",
    ),
    ProtectiveFunction(
        id="pilot",
        title="Pilot as a car expects it",
        question="Are level, frequency and duty cycle as a car expects them?",
        state=FunctionState.FAULTY,
        reach=Reach.SPECIMEN,
        findings=("pilot.high.C2", "pilot.high.B2", "pilot.low.B2", "insulation.pilot"),
        because="The low level is weak.",
    ),
    ProtectiveFunction(
        id="diode",
        title="Refuses a vehicle without diode",
        question="Does it stay off where the vehicle's diode is missing or shorted?",
        state=FunctionState.SHOWN_ABSENT,
        reach=Reach.CONSTRUCTION,
        findings=("diode.check",),
        because="Nothing switches, so nothing can refuse.",
    ),
    ProtectiveFunction(
        id="residual",
        title="Residual current cut off",
        question="Does it cut off when current leaks to earth?",
        state=FunctionState.NOT_SHOWN,
        reach=None,
        findings=(),
        because="Not tested.",
        missing=("residual-current",),
    ),
)


def _entry(id: str, kind: EntryKind, shows: str, **more: object) -> Entry:  # noqa: A002  # the records call it id
    day = f"{id[:4]}-{id[4:6]}-{id[6:8]}T{id[9:11]}:{id[11:13]}:00+01:00"
    given: dict[str, object] = {"made": day, "recorded": day, "who": "R. Okafor"} | more
    return Entry(id=id, kind=kind, shows=shows, **given)  # type: ignore[arg-type]  # a shorthand of this file


ENTRIES = (
    _entry(
        "20260302-1200-a",
        EntryKind.CUSTODY,
        "purchase",
        note="Donated to the boatyard, bought as any customer",
        conditions={"price": "89.90 EUR", "seller": "an online market, seller “harbour-volt”", "batch": "2509"},
    ),
    _entry("20260302-1205-z", EntryKind.CUSTODY, "purchase", note=SECRET, private=True),
    _entry(
        "20260309-1610-a",
        EntryKind.CUSTODY,
        "contents received",
        note="one lead, one leaflet",
        conditions={"condition": "seal unbroken"},
    ),
    _entry(
        "20260309-1620-a",
        EntryKind.EVIDENCE,
        "photograph before opening",
        evidence=EvidenceFile(
            media="image/jpeg",
            file="photo-plug.jpg",
            original_name="IMG_2041.JPG",
            sha256=_OTHER_DIGEST,
            size=3_482_113,
        ),
    ),
    _entry("20260313-1800-z", EntryKind.OBSERVATION, "remark", note=f"{SECRET} again", private=True),
    _entry(
        "20260314-0900-a",
        EntryKind.READING,
        "wiring map",
        pairs={"L1 > L1": "joined", "L2 > L3": "joined", "L3 > L2": "joined", "N > N": "joined", "PE > PE": "joined"},
        conditions={"joined below": "2 Ω"},
        instrument="dmm-1",
    ),
    _entry(
        "20260314-0930-a",
        EntryKind.READING,
        "earth resistance",
        readings=("0.81 Ω", "0.80 Ω"),
        instrument="dmm-1",
    ),
    _entry(
        "20260314-0930-c",
        EntryKind.CORRECTION,
        "earth resistance",
        readings=("0.081 Ω", "0.080 Ω"),
        conditions={"test current": "10 A"},
        instrument="dmm-1",
        ambient="18 °C",
        humidity="55 %",
        replaces="20260314-0930-a",
        reason="a digit was lost when it was written down",
        recorded="2026-03-14T12:00:00+01:00",
    ),
    _entry(
        "20260314-0950-a",
        EntryKind.READING,
        "mains to pilot insulation",
        readings=("212 MΩ",),
        conditions={"test voltage": "250 V"},
        instrument="mega",
    ),
    _entry(
        "20260314-1010-a",
        EntryKind.EVIDENCE,
        "pilot capture",
        conditions={"load": "steps", "full scale": "32 V"},
        instrument="scope",
        evidence=EvidenceFile(
            media="text/csv", file="pilot-steps.csv", original_name="NewFile7.csv", sha256=_DIGEST, size=48_120_551
        ),
    ),
    _entry(
        "20260314-1105-a",
        EntryKind.READING,
        "output with nothing connected",
        readings=("231.0 V", "231.2 V", "230.8 V", "231.1 V", "230.9 V", "231.2 V"),
        conditions={"supply": "mains"},
        instrument="dmm-1",
        supply_voltage="231 V",
        ambient="18 °C",
    ),
    _entry(
        "20260314-1120-a",
        EntryKind.EVIDENCE,
        "video",
        evidence=EvidenceFile(media="video", address="https://example.org/watch/abc", time_code="00:02:41"),
        conditions={"of": "the meter while the plug goes in"},
    ),
    _entry(
        "20260314-1310-a",
        EntryKind.CUSTODY,
        "opened",
        note="nothing but wires inside",
        conditions={"how": "four screws"},
    ),
    _entry(
        "20260314-1500-a", EntryKind.CUSTODY, "where it is", conditions={"place": "sealed box 3, kept by A. Lindqvist"}
    ),
    _entry(
        "20260314-1510-a", EntryKind.OBSERVATION, "remark", note="额定 20 A <b>is printed</b> #strong[here] $x$ *y*"
    ),
)


def _trace() -> Trace:
    wander = random.Random(7)
    spans = (
        (0.0, 2.1, 12.0, False),
        (2.1, 3.0, 9.0, False),
        (3.0, 6.2, 8.96, True),
        (6.2, 10.4, 6.44, True),
        (10.4, 12.0, 12.0, False),
    )
    time, low, high = [], [], []
    for step in range(1200):
        at = (step + 0.5) * 0.01
        _, _, level, pulsed = next(span for span in spans if span[0] <= at < span[1])
        time.append(at)
        high.append(level + 0.05 + 0.03 * wander.random())
        low.append((-9.7 if pulsed else level) - 0.05 - 0.03 * wander.random())
    return Trace(time_s=tuple(time), low_v=tuple(low), high_v=tuple(high), every_sample=False)


def _cycle(start: float, level: float, low: float, duty: float) -> Trace:
    wander = random.Random(3)
    time = [start + step * 5e-6 for step in range(241)]
    values = []
    for at in time:
        phase = at - start - 1e-4
        up = 1.0 - math.exp(-phase / 4e-6) if 0.0 <= phase < duty * 1e-3 else 0.0
        down = math.exp(-(phase - duty * 1e-3) / 4e-6) if phase >= duty * 1e-3 else 0.0
        part = up if up else down
        values.append(low + (level - low) * part + 0.04 * (wander.random() - 0.5))
    return Trace(time_s=tuple(time), low_v=tuple(values), high_v=tuple(values), every_sample=True)


def _run(state: State, start: float, end: float, high: float, low: float | None, offer: OfferedCurrent | None) -> Run:
    pulsed = low is not None
    return Run(
        state=state,
        start_s=start,
        end_s=end,
        cycles=round((end - start) * 1000) if pulsed else 0,
        high_v=volts(high),
        low_v=None if low is None else volts(low, 0.05),
        frequency_hz=Quantity(999.6, 0.2, "Hz") if pulsed else None,
        duty_percent=Quantity(33.51, 0.03, "%") if pulsed else None,
        offered_current_a=offer,
        diode=Diode.PRESENT if pulsed else Diode.UNKNOWN,
    )


_OFFER = OfferedCurrent(current=Quantity(20.1, 0.12, "A"), meaning=Meaning.CURRENT)

PILOT = PilotEvidence(
    entry="20260314-1010-a",
    file="pilot-steps.csv",
    sha256=_DIGEST,
    conditions=(("load", "steps"), ("full scale", "32 V")),
    edition="iec-3",
    dialect=(("separator", ";"), ("decimal", ","), ("time", "column 1, s"), ("voltage", "column 2, V")),
    reading=PilotReading(
        schema="coldpin.pilot/1",
        source=Source(samples=1_200_000, sample_interval_s=1e-5, duration_s=12.0),
        runs=(
            _run(State.A1, 0.0, 2.1, 12.02, None, None),
            _run(State.B1, 2.1, 3.0, 9.01, None, None),
            _run(State.B2, 3.0, 6.2, 8.96, -9.7, _OFFER),
            _run(State.C2, 6.2, 10.4, 6.44, -9.71, _OFFER),
            _run(State.UNDEFINED, 10.4, 10.42, 7.6, None, None),
            _run(State.A1, 10.42, 12.0, 12.02, None, None),
        ),
    ),
    trace=_trace(),
    cycles=(
        CyclePicture(
            state="B2",
            trace=_cycle(4.0, 8.96, -9.7, 0.3351),
            high_window_v=(8.37, 9.59),
            low_window_v=(-12.6, -11.4),
            windows_source="IEC 61851-1, edition 3.0 (2017), Table A.4",
        ),
        CyclePicture(
            state="C2",
            trace=_cycle(8.0, 6.44, -9.71, 0.3351),
            high_window_v=(5.47, 6.53),
            low_window_v=(-12.6, -11.4),
            windows_source="IEC 61851-1, edition 3.0 (2017), Table A.4",
        ),
        CyclePicture(
            state="A1",
            trace=Trace(
                time_s=tuple(step * 1e-5 for step in range(100)),
                low_v=tuple(12.02 + 0.02 * math.sin(step) for step in range(100)),
                high_v=tuple(12.02 + 0.02 * math.sin(step) for step in range(100)),
                every_sample=True,
            ),
            high_window_v=(11.4, 12.6),
            low_window_v=(None, None),
            windows_source="IEC 61851-1, edition 3.0 (2017), Table A.4",
        ),
    ),
    remarks=("Separator and decimal sign were stated by the tester.",),
)

METHODS = (
    Method(
        check="wiring-map",
        title="Dead wiring map",
        level="dead",
        instrument="resistance meter with test leads zeroed",
        steps=("Pull the plug.", "Measure each plug pin against each connector pin.", "Write down every pair."),
        cautions=("Prove that both ends are dead before touching a pin.",),
        hold_points=("Earth goes through: no power before it does.",),
        transfers="holds for the closed unit as well",
    ),
    Method(
        check="output-at-rest",
        title="Pins live with nothing connected",
        level="live",
        instrument="voltmeter, category III, fused leads",
        steps=("Connector in a closed, insulated jig.", "Power on.", "Read each pair of pins."),
        cautions=(
            "Competent persons only, never alone.",
            "RCD-protected supply; test its button first.",
            "One hand while probing.",
        ),
        hold_points=("Earth continuity and wiring map were done and are right.",),
        transfers="not judged on an isolated supply",
    ),
    *(
        Method(
            check=check,
            title=title,
            level="extra-low voltage",
            instrument="",
            steps=("Read.",),
            cautions=(),
            hold_points=(),
            transfers="",
        )
        for check, title in (
            ("offer-above-plug", "Offer against the plug"),
            ("pilot-levels", "Levels of the pilot"),
            ("earth-resistance", "Resistance of the protective conductor"),
            ("insulation", "Insulation from mains to pilot"),
            ("diode-check", "Vehicle without diode"),
        )
    ),
)

SAMPLE = Assessment(
    schema="coldpin.assessment/1",
    program_version="0.1.0",
    title="Pellwick 20, a charging lead without a box",
    assessed_on="2026-03-15",
    case=CaseDescription(
        format=CASE_FORMAT,
        title="Pellwick 20, a charging lead without a box",
        specimen=Specimen(
            make="Pellwick",
            model="20",
            description="5 m lead, red plug, no box in the cable",
            serial="none",
            batch="2509",
            seller="harbour-volt",
            where_now="boatyard",
        ),
        unit=UnitClass(
            charging_mode=2, build=Build.PORTABLE, cable=Cable.ATTACHED, electronics=Electronics.IN_CONNECTOR, phases=3
        ),
        claims=Claims(
            plug="CEE 16",
            plug_rating="16 A",
            rated_current="20 A",
            rated_voltage="400 V",
            declared_current="20 A",
            cable_print="H07BZ5-F 5G2.5",
            standards_claimed=("IEC 61851",),
            words=("fully certified", "安全 100 %"),
        ),
        tester="Brackwater Boatyard, R. Okafor",
        question="May the volunteers lend this lead to visitors?",
        constants=(OwnConstant(id="EARTH_RESISTANCE", source="boatyard rule 4", maximum=0.5),),
        alternatives=(Alternative(name="Skerrow 16", price="240 EUR", claims=("switches off without a car",)),),
        assumptions=("The plug on the specimen is the one it was sold with.",),
    ),
    edition="iec-3",
    conclusion=Conclusion(
        headline=Sentence(
            text="The open pins of this lead carry mains voltage whenever it is plugged in, and it offers a car 20 A "
            "through a 16 A plug.",
            basis=Basis.MEASURED,
            findings=("output.nothing-connected", "offer.plug"),
        ),
        may_say=(
            Sentence(
                text="No switching element sits between plug and connector.",
                basis=Basis.OBSERVED,
                findings=("diode.check",),
            ),
            Sentence(
                text="Any lead built like this one has live pins.",
                basis=Basis.INFERRED,
                findings=("output.nothing-connected",),
            ),
            Sentence(text="We would not lend it to anyone.", basis=Basis.OPINION),
        ),
        may_not_say=(
            "That every lead of this make is built so.",
            "That it does not cut off on residual current: this was not tested.",
        ),
        decisive=("output.nothing-connected", "offer.plug"),
        done_well=(
            Sentence(
                text="Earth goes through with low resistance.", basis=Basis.MEASURED, findings=("earth.resistance",)
            ),
        ),
    ),
    functions=FUNCTIONS,
    findings=FINDINGS,
    not_tested=(
        NotTested(
            check="residual-current",
            title="Residual current",
            why="no evidence was filed",
            needs=("residual current ramp on the mains", "d.c. residual current ramp"),
        ),
    ),
    pilot=(PILOT,),
    entries=ENTRIES,
    instruments=(
        (
            "dmm-1",
            Instrument(
                name="Bench meter",
                kind="multimeter",
                statements={"voltage": "0.5 % + 2 digits"},
                calibrated="2025-11-02",
            ),
        ),
        (
            "scope",
            Instrument(name="Scope", kind="oscilloscope", serial="0042", statements={"voltage": "2 % of reading"}),
        ),
    ),
    methods=METHODS,
    limits=LIMITS,
    scenarios=(),
    conditions_of_use=(
        UseJudgement(
            name="Quay, wet weather", answer=UseAnswer.ADVISED_AGAINST, because="The pins are live uncoupled."
        ),
    ),
    cautions=(
        "Competent persons only, never alone.",
        "Local codes and licensed practice come first.",
        "The car is the last instrument, never the first.",
    ),
    limits_of_the_work=("Temperature rise, residual current and the cable's cross-section were not looked at.",),
    problems=(Problem(where="entries/20260314-1400-a.json", what="readings: unit V was expected, kg was given"),),
)


@cache
def sample_document() -> Document:
    """The report of the sample, made once."""
    return build_document(SAMPLE)


@cache
def sample_page() -> str:
    """Its page, made once."""
    return render_html(sample_document())


@cache
def sample_pdf() -> bytes:
    """Its PDF, made once."""
    return render_pdf(sample_document())
