"""From a quantity and a limit to a finding: the one place where both meet."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from coldpin.quantity import Quantity, budget_shares, decide, format_figures, format_quantity, format_value
from coldpin.records.finding import BudgetLine, Finding, Limit, Outcome
from coldpin.standards.wording import limit_value


def judged(finding: Finding, quantity: Quantity, limit: Limit, *, rule: str = "confidence") -> Finding:
    """Complete a finding with the decision of a quantity against a limit, its probability and its budget.

    Parameters
    ----------
    finding : Finding
        Everything else about it; its outcome is replaced.
    quantity : Quantity
        What was measured, in the unit of the limit.
    limit : Limit
        The limit.
    rule : str
        The decision rule, by name.

    Returns
    -------
    Finding
        The finding with quantity, limit, probability, outcome, rule and budget.

    Sources
    -------
    JCGM 106:2012 clauses 7 and 8 (standing: memory, recomputed).
    """
    decision = decide(quantity, minimum=limit.minimum, maximum=limit.maximum, rule=rule)
    return replace(
        finding,
        quantity=quantity,
        limit=limit,
        outcome=Outcome(decision.outcome),
        probability=decision.probability,
        rule=decision.rule,
        budget=budget_lines(quantity),
    )


def budget_lines(quantity: Quantity) -> tuple[BudgetLine, ...]:
    """Return the budget of a quantity, largest share first.

    Parameters
    ----------
    quantity : Quantity
        With its components.

    Returns
    -------
    tuple of BudgetLine
        One line per component; empty where the uncertainty is unknown.
    """
    return tuple(
        BudgetLine(
            label=share.label,
            contribution=share.contribution,
            dof=None if share.dof == float("inf") else share.dof,
            shape=str(share.shape),
            percent=share.percent,
        )
        for share in budget_shares(quantity)
    )


def placed(subject: str, finding: Finding) -> Finding:
    """Write the plain sentence of a finding that has a quantity, a limit and an outcome.

    Parameters
    ----------
    subject : str
        What was measured, as the beginning of a sentence.
    finding : Finding
        A finding completed by :func:`judged`.

    Returns
    -------
    Finding
        The same with its statement.
    """
    assert finding.quantity is not None, "only a finding with a quantity can be placed"
    assert finding.limit is not None, "only a finding with a limit can be placed"
    where = {
        Outcome.WITHIN: "within",
        Outcome.BEYOND: "beyond",
        Outcome.UNDECIDED: "too close to",
    }.get(finding.outcome, "beside")
    tail = " to say" if finding.outcome is Outcome.UNDECIDED else ""
    known = as_known(finding.limit)
    statement = f"{subject} is {format_quantity(finding.quantity)}: {where} {known}{tail}."
    if finding.quantity.u is None:
        reads = format_figures(finding.quantity.value, finding.quantity.unit)
        statement = (
            f"{subject} reads {reads}; without the accuracy of the instrument it cannot be placed against {known}."
        )
    return replace(finding, statement=statement)


def told_time(seconds: float) -> str:
    """Return a time as it is told beside others: to three figures, without an uncertainty of its own.

    Parameters
    ----------
    seconds : float
        The time. [s]

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> told_time(0.0371203), told_time(2.92969e-05)
    ('0.0371 s', '29.3 µs')
    """
    return format_value(float(f"{seconds:.3g}"), "s")


OURS = "us"
"""Who asserts a threshold that no text sets for what it is used for here."""


def as_known(limit: Limit) -> str:
    """Return how a limit is named in a sentence: its value, where it is from, and how well it is known.

    Parameters
    ----------
    limit : Limit
        The limit.

    Returns
    -------
    str
        Such as "the limit as known (at most 50 V, ..., standing: read)".
    """
    if limit.asserted_by == OURS:
        return f"our threshold for live ({limit_value(limit)}, {limit.source}, standing: {limit.standing})"
    if limit.asserted_by:
        return f"what {limit.asserted_by} says ({limit_value(limit)})"
    return f"the limit as known ({limit_value(limit)}, {limit.source}, standing: {limit.standing})"


def worst(findings: Iterable[Finding]) -> Finding:
    """Return the finding that is least likely to conform, saying from how many it was taken.

    Of those that are alike in that, far from a limit as they may be, it is the one farthest beyond it or nearest to it.

    Parameters
    ----------
    findings : iterable of Finding
        At least one, all of the same thing.

    Returns
    -------
    Finding
        The worst; its ``worst_of`` is the number of findings.
    """
    listed = list(findings)
    chosen = min(
        listed,
        key=lambda f: (_RANK[f.outcome], f.probability if f.probability is not None else 0.5, -_excess(f)),
    )
    return replace(chosen, worst_of=len(listed))


def _excess(finding: Finding) -> float:
    """Return how far a value lies beyond its nearer limit, below nought where it keeps both; minus infinity without."""
    quantity, limit = finding.quantity, finding.limit
    if quantity is None or limit is None:
        return -math.inf
    over = -math.inf if limit.maximum is None else quantity.value - limit.maximum
    under = -math.inf if limit.minimum is None else limit.minimum - quantity.value
    return max(over, under)


def worst_entry(findings: Iterable[Finding]) -> Finding:
    """Return the worst of findings that rest each on an entry of its own: a later reading does not undo an earlier one.

    What was mistaken is corrected in the case, and then is no entry any more.

    Parameters
    ----------
    findings : iterable of Finding
        At least one, all of the same thing, in the order of their entries.

    Returns
    -------
    Finding
        The worst, with its own entry first among the evidence of all; its ``worst_of`` is the number of readings.
    """
    listed = list(findings)
    chosen = worst(listed)
    evidence = (*chosen.evidence, *(entry for finding in listed for entry in finding.evidence))
    readings = sum(finding.worst_of for finding in listed)
    return replace(chosen, worst_of=readings, evidence=tuple(dict.fromkeys(evidence)))


_RANK = {
    Outcome.BEYOND: 0,
    Outcome.UNDECIDED: 1,
    Outcome.WITHIN: 2,
    Outcome.NOT_TESTED: 3,
    Outcome.NOT_APPLICABLE: 4,
}
