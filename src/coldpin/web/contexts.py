"""What each page shows, as a frozen record: the page renders it, its JSON twin is the same record."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from coldpin.errors import InputError, UnknownName
from coldpin.records.assessment import Assessment, Basis, PilotEvidence, Problem
from coldpin.records.charge import ChargeEvidence
from coldpin.records.finding import Finding
from coldpin.records.function import ProtectiveFunction
from coldpin.workbench.drafting import assessment_to_look_at
from coldpin.workbench.shelving import open_shelf


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseLine:
    """One case on the shelf: its address, its title, what may be said, its functions."""

    name: str
    title: str
    headline: str
    basis: Basis
    functions: tuple[ProtectiveFunction, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfPage:
    """The shelf."""

    title: str
    cases: tuple[CaseLine, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CasePage:
    """A case as assessed now."""

    name: str
    assessment: Assessment


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingPage:
    """One finding of a case."""

    name: str
    title: str
    finding: Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargePage:
    """One charge of a case, by its log."""

    name: str
    title: str
    charge: ChargeEvidence


@dataclass(frozen=True, slots=True, kw_only=True)
class WavePage:
    """One capture of a case, as decoded."""

    name: str
    title: str
    capture: PilotEvidence


def shelf_page(folder: Path) -> ShelfPage:
    """Return the shelf with every case that can be assessed, and the problems of the others.

    Parameters
    ----------
    folder : Path
        The shelf.

    Returns
    -------
    ShelfPage
        The page's record.

    Raises
    ------
    CaseError
        The folder is not a shelf.
    """
    shelf = open_shelf(folder)
    held = shelf.cases()
    lines: list[CaseLine] = []
    problems = list(held.problems)
    for case in held.cases:
        try:
            assessment = assessment_to_look_at(case.folder)
        except InputError as error:
            problems.append(Problem(where=case.folder.name, what=str(error)))
            continue
        lines.append(
            CaseLine(
                name=case.folder.name,
                title=assessment.title,
                headline=assessment.conclusion.headline.text,
                basis=assessment.conclusion.headline.basis,
                functions=assessment.functions,
            )
        )
    return ShelfPage(title=shelf.description().title, cases=tuple(lines), problems=tuple(problems))


def case_page(folder: Path, name: str) -> CasePage:
    """Return a case of the shelf, assessed.

    Parameters
    ----------
    folder : Path
        The shelf.
    name : str
        The case's folder on it.

    Returns
    -------
    CasePage
        The page's record.

    Raises
    ------
    UnknownName
        There is no such case on the shelf.
    CaseError
        The case cannot be read.
    """
    by_name = {case.folder.name: case for case in open_shelf(folder).cases().cases}
    if name not in by_name:
        raise UnknownName.among("case", name, by_name)
    return CasePage(name=name, assessment=assessment_to_look_at(by_name[name].folder))


def finding_page(folder: Path, name: str, finding: str) -> FindingPage:
    """Return one finding of a case.

    Parameters
    ----------
    folder : Path
        The shelf.
    name : str
        The case's folder on it.
    finding : str
        Id of the finding.

    Returns
    -------
    FindingPage
        The page's record.

    Raises
    ------
    UnknownName
        There is no such case or finding.
    CaseError
        The case cannot be read.
    """
    page = case_page(folder, name)
    by_id = {found.id: found for found in page.assessment.findings}
    if finding not in by_id:
        raise UnknownName.among("finding", finding, by_id)
    return FindingPage(name=name, title=page.assessment.title, finding=by_id[finding])


def wave_page(folder: Path, name: str, entry: str) -> WavePage:
    """Return one capture of a case, as decoded.

    Parameters
    ----------
    folder : Path
        The shelf.
    name : str
        The case's folder on it.
    entry : str
        Id of the entry that filed the capture.

    Returns
    -------
    WavePage
        The page's record.

    Raises
    ------
    UnknownName
        There is no such case or capture.
    CaseError
        The case cannot be read.
    """
    page = case_page(folder, name)
    by_id = {capture.entry: capture for capture in page.assessment.pilot}
    if entry not in by_id:
        raise UnknownName.among("capture", entry, by_id)
    return WavePage(name=name, title=page.assessment.title, capture=by_id[entry])


def charge_page(folder: Path, name: str, entry: str) -> ChargePage:
    """Return one charge of a case, as its log shows it.

    Parameters
    ----------
    folder : Path
        The shelf.
    name : str
        The case's folder on it.
    entry : str
        Id of the entry that filed the log.

    Returns
    -------
    ChargePage
        The page's record.

    Raises
    ------
    UnknownName
        There is no such case or charge.
    CaseError
        The case cannot be read.
    """
    page = case_page(folder, name)
    by_id = {charge.entry: charge for charge in page.assessment.charges}
    if entry not in by_id:
        raise UnknownName.among("charge", entry, by_id)
    return ChargePage(name=name, title=page.assessment.title, charge=by_id[entry])
