"""An assessment with its look-ups: who points at what, and what is kept private."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from coldpin.records.assessment import Assessment, Method, PilotEvidence
from coldpin.records.cable import CableEvidence
from coldpin.records.charge import ChargeEvidence
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.inside import DrawnBoard, InsideDistance, InsideEvidence
from coldpin.records.shock import ShockEvidence
from coldpin.records.trip_test import ResidualPicture, TripTest
from coldpin.report.anchors import Anchors
from coldpin.report.document import Break, Face, Inline, Line, Text
from coldpin.report.times import instant


@dataclass(frozen=True)
class Index:
    """What every chapter of the report is written from."""

    assessment: Assessment
    anchors: Anchors

    @cached_property
    def findings(self) -> Mapping[str, Finding]:
        """Findings by id."""
        return {finding.id: finding for finding in self.assessment.findings}

    @cached_property
    def functions(self) -> Mapping[str, ProtectiveFunction]:
        """Protective functions by id."""
        return {function.id: function for function in self.assessment.functions}

    @cached_property
    def private(self) -> frozenset[str]:
        """Ids of the entries that are not published."""
        return frozenset(entry.id for entry in self.assessment.entries if entry.private)

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """The entries that are published, in the order in which things happened."""
        shown = (entry for entry in self.assessment.entries if not entry.private)
        return tuple(sorted(shown, key=lambda entry: (instant(entry.made), entry.id)))

    @cached_property
    def corrected_by(self) -> Mapping[str, Entry]:
        """The correction that replaces each entry, private ones among them; of several the last recorded."""
        corrections = (entry for entry in self.assessment.entries if entry.replaces)
        ordered = sorted(corrections, key=lambda entry: (instant(entry.recorded), entry.id))
        return {entry.replaces: entry for entry in ordered}

    @cached_property
    def standing(self) -> tuple[Entry, ...]:
        """The published entries that nothing has replaced or withdrawn."""
        return tuple(entry for entry in self.entries if entry.id not in self.corrected_by and not entry.withdraws)

    @cached_property
    def captures(self) -> tuple[PilotEvidence, ...]:
        """The pilot captures of published entries."""
        return tuple(capture for capture in self.assessment.pilot if capture.entry not in self.private)

    @cached_property
    def cable(self) -> CableEvidence:
        """What was found out about the cable by published entries."""
        held = self.assessment.cable
        return replace(
            held,
            conductors=tuple(seen for seen in held.conductors if seen.entry not in self.private),
            joints=tuple(seen for seen in held.joints if self.private.isdisjoint(seen.entries)),
            cores=tuple(seen for seen in held.cores if self.private.isdisjoint(seen.entries)),
            heating=tuple(seen for seen in held.heating if seen.entry not in self.private),
            heat=held.heat if held.heat is not None and self.private.isdisjoint(held.heat.entries) else None,
        )

    @cached_property
    def charges(self) -> tuple[ChargeEvidence, ...]:
        """The logs of charges of published entries."""
        return tuple(charge for charge in self.assessment.charges if charge.entry not in self.private)

    @cached_property
    def trips(self) -> tuple[TripTest, ...]:
        """The tests with residual currents, by operations of published entries."""

        def public(test: TripTest) -> TripTest:
            return replace(
                test,
                operations=tuple(one for one in test.operations if one.entry not in self.private),
                placements=tuple(
                    placed
                    for placed in test.placements
                    if placed.worst is None or placed.worst.entry not in self.private
                ),
            )

        return tuple(test for test in map(public, self.assessment.trips) if test.operations)

    @cached_property
    def leaks(self) -> tuple[ResidualPicture, ...]:
        """Captured operations with residual currents, of published entries."""
        return tuple(one for one in self.assessment.leaks if one.operation.entry not in self.private)

    @cached_property
    def inside(self) -> InsideEvidence:
        """The distances found inside by published entries."""
        held = self.assessment.inside

        def shown(found: tuple[InsideDistance, ...]) -> tuple[InsideDistance, ...]:
            return tuple(one for one in found if one.entry not in self.private)

        def public(board: DrawnBoard) -> DrawnBoard:
            calliper = tuple(one for one in board.calliper if one.entry not in self.private)
            seen = board.photograph if board.photograph and board.photograph.entry not in self.private else None
            return replace(board, ways=shown(board.ways), calliper=calliper, photograph=seen)

        return replace(
            held,
            distances=shown(held.distances),
            boards=tuple(public(board) for board in held.boards if board.entry not in self.private),
        )

    @cached_property
    def shock(self) -> ShockEvidence:
        """What a person would get, by cases that rest on published entries only."""
        held = self.assessment.shock
        return replace(held, cases=tuple(case for case in held.cases if self.private.isdisjoint(case.entries)))

    @cached_property
    def done(self) -> tuple[Method, ...]:
        """How the checks that gave a finding were done; those without stand under what was not tested."""
        found = {finding.check for finding in self.assessment.findings}
        return tuple(method for method in self.assessment.methods if method.check in found)

    @cached_property
    def titles(self) -> Mapping[str, str]:
        """Titles of checks by id, from wherever a check is told of."""
        methods = {method.check: method.title for method in self.assessment.methods}
        return {missed.check: missed.title for missed in self.assessment.not_tested} | methods

    @cached_property
    def decisive(self) -> tuple[Finding, ...]:
        """The findings that conclude alone: those the conclusion names, and none that was not in fact found."""
        return tuple(self.findings[name] for name in self.assessment.conclusion.decisive if name in self.findings)

    @cached_property
    def not_shown(self) -> tuple[ProtectiveFunction, ...]:
        """The functions of which these tests say neither that they work nor that they do not."""
        return tuple(f for f in self.assessment.functions if f.state is FunctionState.NOT_SHOWN)

    def to_finding(self, name: str) -> Text:
        """Return a link to a finding.

        Parameters
        ----------
        name : str
            Its id.

        Returns
        -------
        Text
            The id, leading to the finding.
        """
        return self.anchors.link("finding", name)

    def to_entry(self, name: str) -> Text:
        """Return a link to an entry.

        Parameters
        ----------
        name : str
            Its id.

        Returns
        -------
        Text
            The id, leading to the entry; words that it is not published where it is private.
        """
        if name in self.private:
            return Text("an entry that is kept private", Face.QUIET)
        return self.anchors.link("entry", name)

    def to_check(self, name: str) -> Text:
        """Return a link to how a check is done.

        Parameters
        ----------
        name : str
            The check's id.

        Returns
        -------
        Text
            Its title, leading to the method or to why it was not done.
        """
        return self.anchors.link("check", name, self.titles.get(name, name))


def index_of(assessment: Assessment) -> Index:
    """Return an assessment with its look-ups, and an anchor for all that can be pointed at.

    Parameters
    ----------
    assessment : Assessment
        The record.

    Returns
    -------
    Index
        Its look-ups.
    """
    anchors = Anchors()
    index = Index(assessment, anchors)
    anchors.assign("function", (function.id for function in assessment.functions))
    anchors.assign("finding", (finding.id for finding in assessment.findings))
    anchors.assign("entry", (entry.id for entry in index.entries))
    anchors.assign("capture", (capture.entry for capture in index.captures))
    anchors.assign("heating", (seen.entry for seen in index.cable.heating))
    anchors.assign("board", (board.entry for board in index.inside.boards))
    anchors.assign("scenario", (scenario.id for scenario in assessment.scenarios))
    anchors.assign("charge", (charge.entry for charge in index.charges))
    anchors.assign("instrument", (name for name, _ in assessment.instruments))
    anchors.assign("limit", (limit.id for limit in assessment.limits))
    anchors.assign("check", (method.check for method in assessment.methods))
    anchors.assign("opinions", ("uses",) if assessment.case.opinions else ())
    anchors.assign("check", (missed.check for missed in assessment.not_tested))
    return index


def joined(pieces: Iterable[Inline], *, by: str = ", ") -> Line:
    """Return pieces of a line with something between them.

    Parameters
    ----------
    pieces : iterable of Inline
        The pieces.
    by : str
        What stands between two.

    Returns
    -------
    tuple of Inline
        The line.

    Examples
    --------
    >>> [piece.text for piece in joined([Text("a"), Text("b")])]
    ['a', ', ', 'b']
    """
    line: list[Inline] = []
    for piece in pieces:
        if line:
            line.append(Text(by))
        line.append(piece)
    return tuple(line)


def stacked(pieces: Iterable[Inline]) -> Line:
    """Return pieces of a line, each below the one before.

    Parameters
    ----------
    pieces : iterable of Inline
        The pieces.

    Returns
    -------
    tuple of Inline
        The line; empty where there is no piece.

    Examples
    --------
    >>> stacked([Text("a"), Text("b")])[1]
    Break()
    """
    return tuple(part for piece in pieces for part in (piece, Break()))[:-1]
