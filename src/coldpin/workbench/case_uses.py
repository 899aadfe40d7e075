"""Where and how the specimen of a case may be used, with nothing written but what the cache remembers."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from coldpin.records.assessment import Problem
from coldpin.records.use import CaseUses
from coldpin.workbench.drafting import assessment_of


def uses_of_case(
    folder: Path | str, *, progress: Callable[[float], None] | None = None
) -> tuple[CaseUses, tuple[Problem, ...]]:
    """Return the conditions of use of a case as judged.

    Parameters
    ----------
    folder : Path or str
        The case.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    tuple
        The usual places and the case's own, each with its answer; and what was given and could not be used.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    """
    assessment = assessment_of(folder, progress=progress)
    told = CaseUses(schema="coldpin.uses/1", title=assessment.title, uses=assessment.conditions_of_use)
    return told, assessment.problems
