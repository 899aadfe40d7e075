"""What could happen with the specimen of a case, with nothing written but what the cache remembers."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from coldpin.records.assessment import Problem
from coldpin.records.scenario import CaseRisk
from coldpin.workbench.drafting import assessment_of


def rate_case(
    folder: Path | str, *, progress: Callable[[float], None] | None = None
) -> tuple[CaseRisk, tuple[Problem, ...]]:
    """Return what could happen with the specimen of a case.

    Parameters
    ----------
    folder : Path or str
        The case.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    tuple
        The scenarios, worst first, with the specimen's risk; and what was given and could not be used.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    """
    assessment = assessment_of(folder, progress=progress)
    assert assessment.risk is not None, "a case that was assessed has its scenarios judged"
    rated = CaseRisk(
        schema="coldpin.case_risk/1",
        title=assessment.title,
        risk=assessment.risk,
        scenarios=assessment.scenarios,
    )
    return rated, assessment.problems
