"""Cases side by side: given one by one, or a whole shelf."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from coldpin import __version__
from coldpin.casefile.case import Case, open_case
from coldpin.casefile.description import CASE_FILE
from coldpin.casefile.instrument_checks import instrument_problems
from coldpin.casefile.private import read_mapping, read_private
from coldpin.casefile.shelf import open_shelf
from coldpin.casefile.untrusted import problem, walk
from coldpin.conclusion.comparison import compare_cases, summarise
from coldpin.errors import CaseError, ColdpinError, StorageError
from coldpin.records.assessment import Problem
from coldpin.records.comparison import CaseSummary, Comparison
from coldpin.records.plain import from_json, to_json
from coldpin.workbench.drafting import assessment_of, case_key
from coldpin.workbench.several_withheld import of_each, without_any
from coldpin.workbench.withholding import withheld_in

_HELD = "summary"


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A comparison, and the files it was written to."""

    comparison: Comparison
    files: tuple[Path, ...] = ()


def compare(
    folders: Iterable[Path | str],
    *,
    write_to: Path | str | None = None,
    progress: Callable[[float], None] | None = None,
) -> Compared:
    """Lay cases beside each other; what has not changed since it was last assessed is not assessed again.

    Parameters
    ----------
    folders : iterable of Path or str
        Cases; a shelf stands for all cases on it.
    write_to : Path or str, optional
        A page (``.html``) or a sheet (``.pdf``) to write, without what the cases withhold; nothing is written where
        left out.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    Compared
        The cases in the order given; one that cannot be read is a problem and hides no other.

    Raises
    ------
    CaseError
        No case is given, or none of them can be read, or the file is there already, or what a case withholds cannot be
        read or taken out.
    StorageError
        The disk refused.
    """
    found, problems, title = _cases(folders)
    held: list[CaseSummary] = []
    read: list[Case] = []
    for place, case in enumerate(found):
        if progress:
            progress(place / len(found))
        try:
            held.append(_summary(case))
            read.append(case)
        except StorageError:
            raise
        except ColdpinError as error:
            problems.append(problem(case.folder.name, error, root=case.folder))
    if not held:
        told = f": {problems[0].where}: {problems[0].what}" if problems else ": give cases, or a shelf that holds some"
        raise CaseError(f"there is no case that can be compared{told}")
    comparison = compare_cases(held, title=title, program_version=__version__, problems=problems)
    if write_to is None:
        return Compared(comparison=comparison)
    return Compared(comparison=comparison, files=(_written(_to_be_read(comparison, read), Path(write_to)),))


def _to_be_read(comparison: Comparison, cases: Iterable[Case]) -> Comparison:
    """Return it without what any of the cases withholds: a page or a sheet goes from hand to hand."""
    texts = [
        text
        for number, (case, summary) in enumerate(zip(cases, comparison.cases, strict=True), start=1)
        for text in of_each(
            withheld_in(
                (value for _, value in walk(summary) if isinstance(value, str)),
                read_private(case.folder),
                read_mapping(case.folder),
            ),
            f"case {number}",
        )
    ]
    return without_any(Comparison, comparison, texts, where="the comparison")


def _cases(folders: Iterable[Path | str]) -> tuple[list[Case], list[Problem], str]:
    cases: list[Case] = []
    problems: list[Problem] = []
    titles = []
    for folder in folders:
        place = Path(folder).absolute()
        if place.is_dir() and not os.path.lexists(place / CASE_FILE):
            shelf = open_shelf(place)
            on_it = shelf.cases()
            cases += on_it.cases
            problems += on_it.problems
            described = shelf.description()
            titles.append(described.title)
            problems += instrument_problems(described.instruments)
        else:
            try:
                cases.append(open_case(place))
            except CaseError as error:
                problems.append(problem(place.name, error, root=place.parent))
    return cases, problems, titles[0] if len(titles) == 1 else "Cases side by side"


def _summary(case: Case) -> CaseSummary:
    key = case_key(case, _HELD)
    stored = case.cache.load(key) if key is not None else None
    if stored is not None and _HELD in stored:
        try:
            return from_json(CaseSummary, stored[_HELD].tobytes(), where="the cache")
        except CaseError:
            pass  # what cannot be read is made again
    summary = summarise(assessment_of(case.folder), case=case.folder.name)
    if key is not None and case_key(case, _HELD) == key:
        case.cache.store(key, {_HELD: np.frombuffer(to_json(summary).encode(), dtype=np.uint8)})
    return summary


def _written(comparison: Comparison, path: Path) -> Path:
    from coldpin.report.comparison import build_comparison
    from coldpin.workbench.page_writing import write_document

    return write_document(build_comparison(comparison), path, what="the comparison")
