"""Above which voltage we call an output live: our threshold, beside a duty that names no voltage."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import OURS
from coldpin.records.finding import Finding, Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """What a text asks of the unit: in words, and the id of the constant that cites it."""

    asked: str
    limit: str


def dead_limit(bench: BenchEvidence) -> Limit:
    """Return the voltage up to which we call an output dead.

    Parameters
    ----------
    bench : BenchEvidence
        With the book of constants.

    Returns
    -------
    Limit
        The conventional touch voltage, taken by us as the threshold. [V]

    Sources
    -------
    The value is that of ``touch.ac``; that an output above it counts as live is ours: no text known to us names a
    voltage for what a unit must switch off or on.
    """
    touch = bench.book.limit("touch.ac")
    return replace(
        touch,
        title=f"up to this we call an output dead, above it live: the {touch.title}",
        note="The text sets a voltage that may be touched; it asks nothing of a charging unit.",
        asserted_by=touch.asserted_by or OURS,
    )


def energised_limit(bench: BenchEvidence) -> Limit:
    """Return the voltage above which we call an output switched on.

    Parameters
    ----------
    bench : BenchEvidence
        With the book of constants.

    Returns
    -------
    Limit
        A minimum. [V]
    """
    dead = dead_limit(bench)
    return replace(dead, minimum=dead.maximum, nominal=None, maximum=None)


def with_duty(bench: BenchEvidence, finding: Finding, duty: Duty | None) -> Finding:
    """Say in a finding what is asked of the unit, by whom, and how well that is known.

    Parameters
    ----------
    bench : BenchEvidence
        With the book of constants.
    finding : Finding
        A finding with its statement.
    duty : Duty or None
        None where no text known to us asks anything: the finding stays as it is.

    Returns
    -------
    Finding
        With the duty behind its statement.
    """
    if duty is None:
        return finding
    known = bench.book.limit(duty.limit)
    cited = " ".join(part for part in (known.source, known.place) if part)
    return replace(
        finding,
        statement=f"{finding.statement} The duty as known: {duty.asked} ({cited}, standing: {known.standing}).",
    )
