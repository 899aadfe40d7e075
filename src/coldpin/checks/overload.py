"""Whether the device before the socket protects the lead's cable from too much current."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.carrying_size import CarryingSize, carrying_size
from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Check, Level, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import worst_entry
from coldpin.checks.supply_path import known_feeds
from coldpin.copper.current_path import LOADED_CORES
from coldpin.copper.fault import UNSEEN
from coldpin.copper.overload import overload, overload_statement
from coldpin.records.fault import KnownFeed
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.standards.cable_ratings import LOWEST_COUNTS, cable_ratings, tables_named

CHECK_ID = "overload"

NOT_ASKED = (
    "The standard for installations leaves flexible cables on plugs out of its scope: a lead need not be protected by "
    "the device before the socket, and the unit's own limit of the current protects it as long as it works."
)


ANSWERS = {Outcome.WITHIN: "yes", Outcome.BEYOND: "no", Outcome.UNDECIDED: "cannot tell"}
"""Whether the device protects the cable, in a word."""


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the current at which the device acts against what the cable may carry.

    Parameters
    ----------
    bench : BenchEvidence
        With a marked size or a reading of the line conductor, and a device that was recorded or follows from the plug.

    Returns
    -------
    tuple of Finding
        One finding, by the worst of the devices; none where size or device are not known to the tables.

    Raises
    ------
    EntryError
        The recorded device or a reading cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    size, feeds = carrying_size(bench), known_feeds(bench)
    if size is None or not feeds:
        return ()
    if size.size_mm2 is None:
        return (_bare(size, feeds[0]),)
    cores = LOADED_CORES.get(bench.case.unit.phases, LOADED_CORES[1])
    rows = cable_ratings(bench.book, cross_section_mm2=size.size_mm2, loaded_cores=cores)
    if not rows:
        return ()
    devices = {known.feed.device: known for known in feeds}
    each = [_place(bench, size, known, rows[0].limit) for known in devices.values()]
    differ = tables_named(rows, LOWEST_COUNTS, bench.claim("country"))
    more = (differ,) if differ else ()
    found = [replace(one, remarks=(*one.remarks[:-1], *more, *one.remarks[-1:])) for one in each if one is not None]
    return (worst_entry(found),) if found else ()


def _bare(size: CarryingSize, known: KnownFeed) -> Finding:
    """Leave it open, as where no rating holds; what rests on claims alone holds for every piece."""
    return Finding(
        id=f"{CHECK_ID}.cable",
        check=CHECK_ID,
        title="Cable protected from overload by the device before the socket",
        statement=size.why,
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN if size.entries or known.feed.seen else Reach.CONSTRUCTION,
        functions=(),
        answer="cannot tell",
        evidence=(*size.entries, *known.entries),
        duty=False,
        remarks=(NOT_ASKED,),
    )


def _place(bench: BenchEvidence, size: CarryingSize, known: KnownFeed, rating: Limit) -> Finding | None:
    """Place one device; of one that nobody saw it is said only that it would not protect."""
    told = overload(known.feed.device, rating, bench.book)
    if told is None:
        return None
    unseen = not known.feed.seen and told.outcome is Outcome.WITHIN
    seen = () if known.feed.seen else (UNSEEN.format(device=f"a {known.feed.device.name}"),)
    return replace(
        _bare(size, known),
        statement=overload_statement(told, known.feed.device),
        outcome=Outcome.UNDECIDED if unseen else told.outcome,
        limit=told.cable,
        answer="cannot tell" if unseen else ANSWERS[told.outcome],
        remarks=(*seen, size.why, NOT_ASKED),
    )


CHECK = Check(
    id=CHECK_ID,
    title="Overload of the cable",
    question="Does the device that may feed it protect the lead's cable from too much current?",
    needs=(),
    any_of=(Need(claim="cable_print"), Need(claim="cross_section")),
    bench=Procedure(
        level=Level.DEAD,
        instrument="none: read the print",
        minutes=5,
        cautions=DEAD_CAUTIONS,
        steps=(
            "Write down what is printed on the cable, with a photograph.",
            "Look at the device that feeds the socket for which the lead is sold, and record kind and rating.",
        ),
        transfers="Holds for any lead with this cable and plug.",
    ),
    limits=("overload", "trip.conventional", "cable-rating", "before-socket"),
    run=run,
    bears=(),
    applies=always,
)
