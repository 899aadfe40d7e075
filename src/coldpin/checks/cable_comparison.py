"""The lead beside a known cable in one loop: what its sheath says of the size of its conductors, nothing opened."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Bearing, Check, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.heated_metal import KNOWN, MetalByHeat, metal_by_heat
from coldpin.checks.heating import ALIKE, HEATING_BENCH
from coldpin.checks.heating_evidence import END_NEED, LOG_NEED
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.checks.marked_size import marked_size
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.standards.conductors import cross_sections, resistance_limit

CHECK_ID = "cable-comparison"
FUNCTION = "conductor"


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the resistance that a known cable in the same loop tells against the limit of the marked size.

    Parameters
    ----------
    bench : BenchEvidence
        With a heating test of the sheath and a known cable in its loop.

    Returns
    -------
    tuple of Finding
        One finding; none where no size is marked, the entry does not say how the lead lay, or no test is of one loop
        with the known cable.

    Raises
    ------
    EntryError
        A log, reading or condition cannot be used.
    CaseError
        A claim cannot be read.
    """
    found = [one for one in metal_by_heat(bench) if one.beside_known]
    return (worst_entry(_judge(bench, one) for one in found),) if found else ()


def _judge(bench: BenchEvidence, told: MetalByHeat) -> Finding:
    marked = marked_size(bench)
    assert marked is not None, "the layers are those of the marked size"
    bare = Finding(
        id=f"{CHECK_ID}.conductor",
        check=CHECK_ID,
        title="Conductors beside a known cable",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(FUNCTION,),
        evidence=told.entries,
        quantity=told.per_kilometre,
        remarks=(
            f"{marked.size_mm2:g} mm² is what {marked.said_by} says.",
            "The mean of the cores that carry the current; one thin core among them is not told apart.",
        ),
    )
    subject = "The resistance of a core that explains how warm the lead became beside the known cable"
    if marked.size_mm2 not in cross_sections(bench.book):
        return bare
    plain, tinned = (
        judged(
            bare,
            told.per_kilometre,
            resistance_limit(bench.book, coating=coating, cross_section_mm2=marked.size_mm2),
        )
        for coating in ("plain", "tinned")
    )
    # beyond counts against the higher of both limits, within against the lower: nobody saw the wires
    if tinned.outcome is Outcome.BEYOND:
        return placed(subject, tinned)
    within = plain.outcome is Outcome.WITHIN
    return placed(subject, replace(plain, outcome=Outcome.WITHIN if within else Outcome.UNDECIDED))


CHECK = Check(
    id=CHECK_ID,
    title="Beside a known cable",
    question="Does the lead become no warmer than a known cable in its loop says of its marked size?",
    needs=(Need(shows=KNOWN),),
    any_of=(LOG_NEED, END_NEED),
    bench=Procedure(
        level=HEATING_BENCH.level,
        instrument=f"{HEATING_BENCH.instrument}; a cable of known resistance and like diameter; calliper",
        minutes=HEATING_BENCH.minutes,
        cautions=HEATING_BENCH.cautions,
        steps=(
            "Measure both cables across, by calliper, at several places.",
            (
                "Lay the known cable a hand's breadth beside the lead, on the same support, and join both in one loop: "
                "the same current flows through both."
            ),
            *HEATING_BENCH.steps,
            "Read both sheaths in mid-cable, within one minute, when neither rises by more than 1 K in an hour.",
        ),
        hold_points=HEATING_BENCH.hold_points,
        stop_values=HEATING_BENCH.stop_values,
        stop_limits=HEATING_BENCH.stop_limits,
        transfers="Holds for this cable; nothing of it was opened.",
    ),
    limits=("conductor.", "film.spread", "cable.thermal-resistivity", "cable.core-thickness", "metal.copper"),
    run=run,
    transfer=ALIKE,
    bears=(Bearing(function=FUNCTION, within_if_works=0.9, within_if_not=0.4),),
    applies=always,
)
