"""What all pages share: the shelf they show, the standing of its cases, the long work under way."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Collection
from dataclasses import dataclass, field
from pathlib import Path

from coldpin.casefile import Case
from coldpin.errors import BeingAssessed, CaseError
from coldpin.records.assessment import Assessment, Problem
from coldpin.records.plan import NextTest, PlannedTest
from coldpin.web.charge_rows import ChargeRows
from coldpin.web.figure import Figures
from coldpin.web.filing import Filings
from coldpin.web.opened import OpenWaves
from coldpin.web.standing import Standings
from coldpin.web.supposed import Opened
from coldpin.web.works import Works
from coldpin.workbench.bench_plan import next_after
from coldpin.workbench.listing import list_entries
from coldpin.workbench.privacy import without_place
from coldpin.workbench.shelving import open_shelf
from coldpin.workbench.supposing import Supposing

KEPT = 32
"""Ours: so many pieces of advice are kept, one for each case of a large shelf."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What to test next, and how that is done; None where no test is worth it."""

    told: NextTest
    planned: PlannedTest | None


class Advised:
    """What to test next after each of the assessments that were looked at lately."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._held: OrderedDict[int, tuple[Assessment, Advice]] = OrderedDict()

    def get(self, assessment: Assessment, folder: str) -> Advice:
        """Return the advice, reckoned where it was not yet.

        Parameters
        ----------
        assessment : Assessment
            The very record; an equal one is another.
        folder : str
            The case, as it is typed.

        Returns
        -------
        Advice
            The advice.
        """
        with self._lock:
            if id(assessment) not in self._held:
                told, planned = next_after(assessment, folder=folder)
                self._held[id(assessment)] = assessment, Advice(told=told, planned=planned)
                while len(self._held) > KEPT:
                    self._held.popitem(last=False)
            return self._held[id(assessment)][1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """One shelf as a server shows it.

    Parameters
    ----------
    shelf : Path
        The shelf's folder.
    works : Works
        Long work.
    standings : Standings
        Assessments.
    waves : OpenWaves
        Captures that are looked at.
    filings : Filings
        Large files that are being filed.
    figures : Figures
        Figures drawn lately.
    advised : Advised
        What to test next, of assessments seen lately.
    charge_rows : ChargeRows
        The logs of charges that were drawn lately.
    opened : Opened
        Cases that assumptions were tried on lately.
    """

    shelf: Path
    works: Works = field(init=False)
    figures: Figures = field(default_factory=Figures)
    advised: Advised = field(default_factory=Advised)
    charge_rows: ChargeRows = field(default_factory=ChargeRows)
    opened: Opened = field(default_factory=Opened)
    standings: Standings = field(init=False)
    waves: OpenWaves = field(init=False)
    filings: Filings = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "works", Works(self.told))
        object.__setattr__(self, "standings", Standings(self.works))
        object.__setattr__(self, "waves", OpenWaves(self.works))
        object.__setattr__(self, "filings", Filings(self.works))

    def told(self, message: str) -> str:
        """Put a message into the words in which a page tells it.

        Parameters
        ----------
        message : str
            What went wrong.

        Returns
        -------
        str
            Without where on the disk the shelf lies, which is nobody's who only reads its pages.
        """
        return without_place(message, self.shelf)

    def advice(self, assessment: Assessment, folder: str) -> Advice:
        """Return what to test next after an assessment; asked again of the same, it is not reckoned again.

        Parameters
        ----------
        assessment : Assessment
            As :attr:`standings` holds it.
        folder : str
            The case, as it is typed.

        Returns
        -------
        Advice
            The advice.
        """
        return self.advised.get(assessment, folder)

    def supposing(self, name: str) -> Supposing:
        """Return a case opened to try assumptions on, beside its last assessment.

        Parameters
        ----------
        name : str
            The folder's name.

        Returns
        -------
        Supposing
            The case.

        Raises
        ------
        UnknownName
            There is no such case on the shelf.
        BeingAssessed
            None was made yet; it is being so.
        CaseError
            The case cannot be assessed or read.
        InputError
            An own constant leaves out a number that is needed.
        """
        return self.opened.get(self.case(name).folder, self.assessment(name))

    def problems(self, assessment: Assessment, folder: Path, words: Collection[str]) -> tuple[Problem, ...]:
        """Return what of some kinds of entries an assessment could not use.

        Parameters
        ----------
        assessment : Assessment
            Of the case.
        folder : Path
            The case.
        words : collection of str
            Words of the vocabulary.

        Returns
        -------
        tuple of Problem
            Those that name such an entry.

        Raises
        ------
        CaseError
            The case cannot be read.
        """
        told = {entry.id for entry in list_entries(folder).all if entry.shows in words}
        return tuple(one for one in assessment.problems if any(name in one.where for name in told))

    def case(self, name: str) -> Case:
        """Return a case of the shelf by the name of its folder.

        Parameters
        ----------
        name : str
            The folder's name; never a path.

        Returns
        -------
        Case
            The case.

        Raises
        ------
        UnknownName
            There is no such case on the shelf.
        CaseError
            The folder is not a shelf any more.
        """
        return open_shelf(self.shelf).case(name)

    def assessment(self, name: str) -> Assessment:
        """Return the last assessment of a case.

        Parameters
        ----------
        name : str
            The folder's name.

        Returns
        -------
        Assessment
            Of the case as it stood when it was made.

        Raises
        ------
        UnknownName
            There is no such case on the shelf.
        BeingAssessed
            None was made yet; it is being so.
        CaseError
            The case cannot be assessed; the message says why.
        """
        standing = self.standings.of(self.case(name).folder)
        if standing.assessment is not None:
            return standing.assessment
        assert standing.work is not None, "what is not made is being made"
        if standing.work.course.broke_off:
            why = standing.work.message or "its assessment was stopped"
            raise CaseError(f"{name}: {why}; the page of the case offers to assess it again")
        raise BeingAssessed.by(name, standing.work)
