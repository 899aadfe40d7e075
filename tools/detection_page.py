"""The page of detection rates, made from the table that was measured with the simulator."""

from __future__ import annotations

from scipy.stats import binomtest

from coldpin.checks import CHECKS
from coldpin.checks.check import Check
from coldpin.checks.detection import FEWEST_SOUND, FEWEST_UNITS, SOUND, Detection, load_detection
from tools.fault_functions import FROM_TRUTH
from tools.measured_page import table

LEVEL = 0.95
"""Of the intervals on the page."""


def rate(found: int, units: int) -> str:
    """Return a count with its interval, as the page prints it.

    Parameters
    ----------
    found : int
        How many.
    units : int
        Of how many, above 0.

    Returns
    -------
    str
        Such as "8 of 8 (63 % to 100 %)".

    Examples
    --------
    >>> rate(8, 8)
    '8 of 8 (63 % to 100 %)'

    Sources
    -------
    Clopper and Pearson's exact interval, by `scipy.stats.binomtest`.
    """
    interval = binomtest(found, units).proportion_ci(confidence_level=LEVEL, method="exact")
    return f"{found} of {units} ({100 * interval.low:.0f} % to {100 * interval.high:.0f} %)"


def detection_page() -> str:
    """Return the page.

    Returns
    -------
    str
        Markdown.
    """
    data = load_detection()
    return "\n".join((_head(data), _by_fault(data), _by_check(data)))


def _head(data: Detection) -> str:
    return (
        "# What the checks find\n\n"
        f"Each fault of the simulator was built into {data.units} virtual units, drawn within the tolerances of their "
        f"parts, beside {data.sound_units} without a fault; each unit went through one virtual trial at the bench, and "
        "every check judged what was recorded. A fault counts as found by a check where a finding of it is beyond. The "
        f"intervals are those of Clopper and Pearson at {100 * LEVEL:.0f} %: they say how far so many units carry. The "
        "virtual bench is not the real one: a rate here is an upper end of what a careful tester can expect.\n\n"
        f"Measured with coldpin {data.program_version}, seed {data.seed}, by `python -m tools.detection`; this page is "
        "made from the stored table by `make docs`, never edited by hand. What the table says of a function replaces "
        f"the judgement in the check's record only where {FEWEST_SOUND} sound units and {FEWEST_UNITS} of each fault "
        "that enters were decided: by (k + 1/2) / (n + 1) of those within among the decided, all faults weighted "
        "alike; else the counts stand here alone.\n\n"
        "Checks marked † judge times or answers that the trial takes from the true course of the output: their rate is "
        "that of the rule, not of a tester's eye.\n"
    )


def _by_fault(data: Detection) -> str:
    titles = {check.id: _title(check) for check in CHECKS}
    rows = []
    for fault, meaning in data.meanings.items():
        found = [
            f"{titles.get(check, check)}: {rate(count, data.units)}"
            for check in data.counts[fault]
            if (count := data.count(fault, check, "beyond"))
        ]
        rows.append([fault, meaning, ", ".join(data.functions[fault]) or "–", "; ".join(found) or "none"])
    return "## By fault\n\n" + table(["fault", "what it is", "takes away", "found by"], rows)


def _by_check(data: Detection) -> str:
    rows = []
    for check in CHECKS:
        if not data.tested(check.id):
            rows.append([_title(check), "not covered by the trials", "–", "–", "–"])
            continue
        sound, unsure, alarms = (
            rate(data.count(SOUND, check.id, outcome), data.sound_units)
            for outcome in ("within", "undecided", "beyond")
        )
        found = sum(1 for fault in data.meanings if data.count(fault, check.id, "beyond"))
        rows.append([_title(check), sound, unsure, alarms, f"{found} of {len(data.meanings)}"])
    return "## By check\n\n" + table(
        [
            "check",
            "within on sound units",
            "undecided on sound units",
            "beyond on sound units",
            "kinds of fault found at least once",
        ],
        rows,
    )


def _title(check: Check) -> str:
    return f"{check.title} †" if check.id in FROM_TRUTH else check.title
