"""What a condition of use is judged by: the specimen as found, and the circumstances with measures taken."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from coldpin.conclusion.use_risks import RiskGrounds
from coldpin.records.case import CaseDescription
from coldpin.records.finding import Finding
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.scenario import Circumstances
from coldpin.records.use import Coiled, Use, UseReason
from coldpin.standards.book import Book
from coldpin.standards.findings_in_use import FindingInUse, findings_in_use
from coldpin.standards.uses import WORDS, Terms, UseMeasure, UseNeed, use_measures, use_needs

SETTING = "current-setting"
"""Id of the function that a measure of the user's own takes the place of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UseGrounds:
    """What every use of one specimen is judged by.

    ``plug`` is the id of its plug and ``plug_title`` its name, empty where there is none or none is claimed.
    ``lowest_a`` is the lowest current that a car can be told. [A] ``rain`` is what speaks against rain of what is
    claimed and was seen, ``beside`` where findings bear on which no function hangs.
    """

    case: CaseDescription
    functions: tuple[ProtectiveFunction, ...]
    findings: tuple[Finding, ...]
    risks: RiskGrounds
    needs: tuple[UseNeed, ...]
    measures: tuple[UseMeasure, ...]
    plug: str = ""
    plug_title: str = ""
    lowest_a: float
    rain: tuple[UseReason, ...] = ()
    beside: tuple[FindingInUse, ...] = ()

    def title(self, name: str) -> str:
        """Return the title of a function.

        Parameters
        ----------
        name : str
            Its id.

        Returns
        -------
        str
            As the report has it.
        """
        return next((one.title for one in self.functions if one.id == name), name.replace("-", " "))

    def shown(self, name: str) -> bool:
        """Say whether a function is shown.

        Parameters
        ----------
        name : str
            Its id.

        Returns
        -------
        bool
            Whether it is.
        """
        return self.risks.known.state(name) is FunctionState.SHOWN


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A use with some measures taken."""

    circumstances: Circumstances
    coiled: Coiled
    covered: frozenset[str]
    waived: frozenset[str]
    lowered: bool

    def hold(self, terms: Terms) -> bool:
        """Say whether circumstances hold there.

        Parameters
        ----------
        terms : Terms
            Circumstances.

        Returns
        -------
        bool
            Whether every one of them does.
        """
        return terms.hold(self.circumstances, self.coiled)

    def arises(self, need: UseNeed) -> bool:
        """Say whether a function must have been shown there.

        Parameters
        ----------
        need : UseNeed
            The function, and where.

        Returns
        -------
        bool
            Whether it must.
        """
        return not need.when or any(map(self.hold, need.when))


def grounds_of(
    book: Book,
    case: CaseDescription,
    functions: Iterable[ProtectiveFunction],
    findings: Iterable[Finding],
    risks: RiskGrounds,
    *,
    plug: str,
    plug_title: str,
    lowest_a: float,
    rain: tuple[UseReason, ...] = (),
) -> UseGrounds:
    """Gather what every use of one specimen is judged by.

    Parameters
    ----------
    book : Book
        The constants.
    case : CaseDescription
        Class of unit and claims.
    functions : iterable of ProtectiveFunction
        As judged.
    findings : iterable of Finding
        All findings.
    risks : RiskGrounds
        For the injury scenarios.
    plug : str
        Id of its plug; empty where there is none or none is claimed.
    plug_title : str
        Its name.
    lowest_a : float
        Lowest current that a car can be told. [A]
    rain : tuple of UseReason
        What of claim and look speaks against rain.

    Returns
    -------
    UseGrounds
        With the rows of the table.

    Raises
    ------
    InputError
        A word of the table is none of its kind.
    """
    return UseGrounds(
        case=case,
        functions=tuple(functions),
        findings=tuple(findings),
        risks=risks,
        needs=use_needs(book),
        measures=use_measures(book),
        plug=plug,
        plug_title=plug_title,
        lowest_a=lowest_a,
        rain=rain,
        beside=findings_in_use(book),
    )


def taking(use: Use, measures: Iterable[UseMeasure]) -> Taken:
    """Return a use with measures taken: each sets a circumstance where it is milder than what is there.

    Parameters
    ----------
    use : Use
        The condition, as understood.
    measures : iterable of UseMeasure
        Those taken.

    Returns
    -------
    Taken
        What holds then.
    """
    circumstances, coiled = use.circumstances, use.coiled
    covered: set[str] = set()
    waived: set[str] = set()
    for measure in measures:
        covered |= set(measure.covers)
        waived |= set(measure.waives)
        for name, value in measure.sets:
            kind = WORDS[name]
            if name == "coiled":
                coiled = Coiled(_milder(kind, coiled, value))
            else:
                milder = {name: _milder(kind, getattr(circumstances, name), value)}
                circumstances = replace(circumstances, **milder)  # type: ignore[arg-type]  # of its field's own kind
    return Taken(
        circumstances=circumstances,
        coiled=coiled,
        covered=frozenset(covered),
        waived=frozenset(waived),
        lowered=SETTING in covered,
    )


def _milder(kind: type[StrEnum], one: StrEnum, other: str) -> StrEnum:
    order = list(kind)
    return min(one, kind(other), key=order.index)
