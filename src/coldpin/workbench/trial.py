"""An entry is tried on the checks before it is written, while whoever wrote it still stands at the bench."""

from __future__ import annotations

from pathlib import Path

from coldpin.checks import BenchEvidence, run_checks
from coldpin.checks.output import OUTPUT, read_at_mains
from coldpin.checks.readings import lacks_accuracy
from coldpin.errors import CaseError, EntryError, InputError
from coldpin.records.entry import Entry
from coldpin.standards.book import load_book
from coldpin.workbench.opening import edition_for
from coldpin.workbench.questioning import questions
from coldpin.workbench.shelving import Bench, open_bench


def require_usable(bench: Bench, entry: Entry) -> None:
    """Refuse an entry that a check would have to set aside.

    The checks that need no more than this entry are run on it alone; a voltage at the output is read as every check
    reads it, also where the checks wait for more. A ``case.toml`` or ``shelf.toml`` that cannot be
    read refuses nothing: what was read at the bench is kept, and the assessment tells.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        A reading, an answer or a map, not yet written; a withdrawal always passes.

    Raises
    ------
    CaseError
        A check cannot use it; the message says why and what to give.
    """
    if entry.withdraws or bench.unread:
        return
    try:
        description = bench.case.description()
        trial = BenchEvidence(
            case=description,
            edition=edition_for(description),
            book=load_book().with_own(description.constants),
            entries=(entry,),
            instruments=bench.instruments,
        )
    except InputError:
        return
    told = [problem.what for problem in run_checks(trial).problems if problem.where == f"entry {entry.id}"]
    try:
        if entry.shows.startswith(OUTPUT):
            read_at_mains(trial, entry)
    except EntryError as error:
        told.append(error.problem)
    if told:
        raise CaseError(f"entry {entry.shows!r}: {told[0]}; nothing was written")


def entry_remarks(folder: Path | str, entry: Entry) -> tuple[str, ...]:
    """Say of what was recorded in a case which accuracy it lacks, and question what is hardly so.

    Parameters
    ----------
    folder : Path or str
        The case's folder.
    entry : Entry
        As recorded; a withdrawal has none.

    Returns
    -------
    tuple of str
        Remarks; the entry is kept as it is.

    Raises
    ------
    CaseError
        The folder is not a case.
    """
    bench = open_bench(folder)
    if entry.withdraws:
        return ()
    return tuple(filter(None, (lacks_accuracy(entry, bench.instruments), *questions(bench, entry))))
