"""The current that the user sets: whether the offer follows it."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Bearing, Check, Need, with_pilot
from coldpin.checks.duty import PRINTED_DECIMALS, TRANSFER
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed, worst
from coldpin.checks.pilot_runs import OSCILLATING, PILOT_BENCH, STEADY, bare, nothing_seen, runs
from coldpin.checks.readings import condition
from coldpin.pilot.duty_cycle import duty_for_current
from coldpin.records.finding import Finding
from coldpin.standards.pilot import duty_segments, generator
from coldpin.standards.table import needed

CHECK_ID = "current-setting"
TITLE = "Offer follows the setting"
KEPT = "Setting kept through an interruption"
NEED = Need(
    shows="pilot capture",
    conditions={"diode": ("present", ""), "event": STEADY, "boundary": ("",)},
    stated=("setting",),
)
AFTER = Need(
    shows="pilot capture",
    conditions={"diode": ("present", ""), "event": ("supply interruption",)},
    stated=("setting",),
)


def run_setting(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the duty cycle at every setting captured, the worst of all; and after an interruption of the supply.

    Parameters
    ----------
    bench : BenchEvidence
        With captures that state their setting.

    Returns
    -------
    tuple of Finding
        One finding, two where a capture after an interruption states the setting from before.

    Raises
    ------
    CaseError
        A setting or a supply voltage cannot be read.
    OutsideRange
        No duty cycle stands for a setting.
    """
    found = [_worst(bench, NEED, "follows", TITLE)]
    if any(capture for capture in bench.captures if bench.matching(AFTER) and capture.entry in bench.matching(AFTER)):
        found.append(_worst(bench, AFTER, "kept", KEPT))
    return tuple(found)


def _worst(bench: BenchEvidence, need: Need, name: str, title: str) -> Finding:
    tolerance = generator(bench.book, bench.edition).duty_tolerance
    judged_runs, settings = [], set()
    for seen in runs(bench, OSCILLATING, need=need):
        setting, duty = condition(seen.capture.entry, "setting", "A"), seen.run.duty_percent
        if setting is None or duty is None:
            continue
        nominal = round(duty_for_current(setting.value, duty_segments(bench.book)), PRINTED_DECIMALS)
        limit = replace(
            tolerance,
            title=f"duty cycle for {setting.value:g} A",
            unit="%",
            minimum=nominal + needed(tolerance, "minimum"),
            nominal=nominal,
            maximum=nominal + needed(tolerance, "maximum"),
        )
        settings.add(setting.value)
        finding = judged(bare(CHECK_ID, name, title, "current-setting", seen), duty, limit)
        subject = f"The duty cycle at the setting of {setting.value:g} A, for which {nominal:.2f} % stands,"
        judged_runs.append(placed(subject, finding))
    if not judged_runs:
        return nothing_seen(bench, CHECK_ID, name, title, "current-setting", need=need)
    tried = ", ".join(f"{setting:g} A" for setting in sorted(settings))
    finding = worst(judged_runs)
    return replace(finding, remarks=(*finding.remarks, f"Settings tried: {tried}."))


CHECK = Check(
    id=CHECK_ID,
    title=TITLE,
    question="Is the car told the current that the user sets, at every setting, and after an interruption?",
    needs=(NEED,),
    bench=replace(
        PILOT_BENCH,
        steps=(
            *PILOT_BENCH.steps,
            "Once for each setting the unit has, the setting stated as condition of the capture.",
            (
                "At the lowest setting, interrupt the supply for ten seconds and capture again, with the condition "
                "'event' 'supply interruption': a lead that comes back at its full current has forgotten what its "
                "socket bears."
            ),
        ),
        minutes=30,
    ),
    limits=("pilot.duty-tolerance", "pilot.duty-segment"),
    run=run_setting,
    bears=(Bearing(function="current-setting", within_if_works=0.97, within_if_not=0.3),),
    figures=("state ribbon",),
    transfer=TRANSFER,
    applies=with_pilot,
)
