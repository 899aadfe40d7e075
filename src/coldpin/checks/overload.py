"""Whether the device before the socket protects the lead's cable from too much current."""

from __future__ import annotations

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Check, Level, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.supply_path import carrying_size, known_feed
from coldpin.copper.current_path import LOADED_CORES
from coldpin.copper.fault_withstand import overload, overload_statement
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.standards.cable_ratings import cable_ratings

CHECK_ID = "overload"

NOT_ASKED = (
    "The standard for installations leaves flexible cables on plugs out of its scope: a lead need not be protected by "
    "the device before the socket, and the unit's own limit of the current protects it as long as it works."
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the current at which the device acts against what the cable may carry.

    Parameters
    ----------
    bench : BenchEvidence
        With a marked size or a reading of the line conductor, and a device that was recorded or follows from the plug.

    Returns
    -------
    tuple of Finding
        One finding; none where size or device are not known to the tables.

    Raises
    ------
    EntryError
        The recorded device or a reading cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    size, known = carrying_size(bench), known_feed(bench)
    if size is None or known is None:
        return ()
    cores = LOADED_CORES.get(bench.case.unit.phases, LOADED_CORES[1])
    rows = cable_ratings(bench.book, cross_section_mm2=size.size_mm2, loaded_cores=cores)
    if not rows:
        return ()
    told = overload(known.feed.device, rows[0].limit, bench.book)
    if told is None:
        return ()
    seen = () if known.seen else (f"Nobody looked which device feeds the socket: {known.feed.device.name}.",)
    return (
        Finding(
            id=f"{CHECK_ID}.cable",
            check=CHECK_ID,
            title="Cable protected from overload by the device before the socket",
            statement=overload_statement(told, known.feed.device),
            outcome=told.outcome,
            reach=Reach.SPECIMEN,
            functions=(),
            limit=told.cable,
            answer="yes" if told.outcome is Outcome.WITHIN else "no",
            evidence=(*size.entries, *known.entries),
            duty=False,
            remarks=(*seen, size.why, NOT_ASKED),
        ),
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
