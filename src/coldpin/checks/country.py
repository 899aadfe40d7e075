"""What a country's practice lets a household plug carry for hours, beside what is offered through it."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Check, Need
from coldpin.checks.duty import TRANSFER
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.offered_current import place_offer, with_plug
from coldpin.checks.pilot_runs import NEED as CAPTURE
from coldpin.checks.pilot_runs import PILOT_BENCH
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.standards.connections import plug_practice

CHECK_ID = "offer-country"
TITLE = "Offer against the country's practice"
ASK = "Local codes and the fitter on the spot come first."


def run_country(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the largest offer against what is known of the country's practice for the plug.

    Parameters
    ----------
    bench : BenchEvidence
        With the claims "plug" and "country" and a decoded capture.

    Returns
    -------
    tuple of Finding
        One finding; where no practice is known it says so and judges nothing.

    Raises
    ------
    UnknownName
        The plug is not in the table.
    """
    country, word = bench.claim("country"), bench.claim("plug")
    known = plug_practice(bench.book, word, country)
    if not known:
        return (
            Finding(
                id=f"{CHECK_ID}.value",
                check=CHECK_ID,
                title=TITLE,
                statement=(
                    f"No practice for hours of charging through {word} in {country.upper()} is known to us: ask the "
                    "local codes."
                ),
                outcome=Outcome.NOT_APPLICABLE,
                reach=Reach.SPECIMEN,
                functions=(),
                answer="none known",
                evidence=tuple(capture.entry.id for capture in bench.captures),
            ),
        )
    limit = min(known, key=lambda one: one.maximum if one.maximum is not None else float("inf"))
    finding = place_offer(bench, CHECK_ID, TITLE, limit)
    other = (f"Another text: {limit.other}.",) if limit.other else ()
    return (replace(finding, functions=(), remarks=(*finding.remarks, *other, ASK)),)


CHECK = Check(
    id=CHECK_ID,
    title=TITLE,
    question="Does the unit offer more than the practice of its country lets such a plug carry for hours?",
    needs=(CAPTURE, Need(claim="plug"), Need(claim="country")),
    bench=PILOT_BENCH,
    limits=("plug-practice",),
    run=run_country,
    bears=(),
    transfer=TRANSFER,
    applies=with_plug,
)
