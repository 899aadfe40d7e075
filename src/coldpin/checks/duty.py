"""The duty cycle: whether it stands for the declared current, and what it means to a car."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Bearing, Check, Need, Transfer, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import worst
from coldpin.checks.pilot_runs import (
    NEED,
    OSCILLATING,
    PILOT_BENCH,
    bare,
    nothing_seen,
    runs,
    worst_level,
)
from coldpin.checks.readings import claimed
from coldpin.checks.supply import BOARD, LOW
from coldpin.pilot.duty_cycle import duty_for_current
from coldpin.quantity import Quantity, format_quantity
from coldpin.records.finding import Finding, Outcome
from coldpin.records.pilot import Meaning
from coldpin.standards.pilot import duty_segments, generator

PRINTED_DECIMALS = 3
"""Decimals of a duty cycle in per cent to which a limit is rounded: a hundredth of what any instrument here tells."""


def run_duty(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the duty cycle against the one that stands for the declared current.

    Parameters
    ----------
    bench : BenchEvidence
        With a declared current and at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        One finding, the worst run; undecided where no oscillation was seen.

    Raises
    ------
    CaseError
        The declared current cannot be read.
    """
    declared = claimed(bench, "declared_current", "A")
    assert declared is not None, "the check needs the declared current"
    tolerance = generator(bench.book, bench.edition).duty_tolerance
    assert tolerance.minimum is not None
    assert tolerance.maximum is not None
    nominal = round(duty_for_current(declared, duty_segments(bench.book)), PRINTED_DECIMALS)
    limit = replace(
        tolerance,
        title=f"duty cycle for {declared:g} A",
        unit="%",
        minimum=nominal + tolerance.minimum,
        nominal=nominal,
        maximum=nominal + tolerance.maximum,
    )
    found = [
        (bare("pilot-duty", "value", "Duty cycle against the declared current", "current-offer", seen), duty)
        for seen in runs(bench, OSCILLATING)
        if (duty := seen.run.duty_percent) is not None and not seen.capture.condition("setting")
    ]
    if not found:
        return (nothing_seen(bench, "pilot-duty", "value", "Duty cycle against the declared current", "current-offer"),)
    return tuple(worst_level(f"The duty cycle, {nominal:.2f} % being that of {declared:g} A,", found, limit))


def run_meaning(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say what each duty cycle means to a vehicle, and whether it is one that must not be used.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        One finding, the worst run; undecided where no oscillation was seen.
    """
    check, title = "pilot-meaning", "What the duty cycle means"
    judged_runs = []
    for seen in runs(bench, OSCILLATING):
        offer, duty = seen.run.offered_current_a, seen.run.duty_percent
        if offer is None or duty is None:
            continue
        judged_runs.append(
            replace(
                bare(check, "zone", title, "current-offer", seen),
                quantity=duty,
                outcome=Outcome.BEYOND if offer.meaning is Meaning.FORBIDDEN else Outcome.WITHIN,
                answer=str(offer.meaning),
                statement=_meaning_sentence(offer.meaning, duty, offer.current),
            )
        )
    return (worst(judged_runs),) if judged_runs else (nothing_seen(bench, check, "zone", title, "current-offer"),)


def _meaning_sentence(meaning: Meaning, duty: Quantity, current: Quantity) -> str:
    said = format_quantity(duty)
    return {
        Meaning.CURRENT: f"A duty cycle of {said} tells the vehicle that it may draw {format_quantity(current)}.",
        Meaning.DIGITAL: f"A duty cycle of {said} asks the vehicle to talk digitally before it draws anything.",
        Meaning.NONE: f"A duty cycle of {said} offers no current.",
        Meaning.FORBIDDEN: f"A duty cycle of {said} lies where no unit may be: a vehicle takes it as no offer.",
    }[meaning]


TRANSFER = Transfer(within=(LOW, BOARD), beyond=(LOW, BOARD))
"""The duty cycle comes from the controller's clock, not from the rails."""

DUTY = Check(
    id="pilot-duty",
    title="Duty cycle against declared current",
    question="Does the duty cycle stand for the current that the unit declares?",
    needs=(NEED, Need(claim="declared_current")),
    bench=PILOT_BENCH,
    limits=("pilot.duty-tolerance", "pilot.duty-segment"),
    run=run_duty,
    bears=(Bearing(function="current-offer", within_if_works=0.97, within_if_not=0.4),),
    figures=("state ribbon", "clean cycle"),
    transfer=TRANSFER,
    applies=with_pilot,
)
MEANING = Check(
    id="pilot-meaning",
    title="Forbidden duty cycles",
    question="What does the duty cycle mean to a car, and is it one that must not be used?",
    needs=(NEED,),
    bench=PILOT_BENCH,
    limits=("pilot.duty-zone",),
    run=run_meaning,
    bears=(Bearing(function="current-offer", within_if_works=0.99, within_if_not=0.8),),
    figures=("state ribbon", "clean cycle"),
    transfer=TRANSFER,
    applies=with_pilot,
)
