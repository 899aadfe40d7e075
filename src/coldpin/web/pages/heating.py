"""Heating: what the cable of a lead is, how warm it became and would become, and what it does when asked otherwise."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from fastapi import Response

from coldpin.copper.air_film import ARRANGEMENTS
from coldpin.errors import InputError, UnknownName
from coldpin.records.assessment import Assessment, Problem
from coldpin.records.cable import CableEvidence, CoreEvidence, HeatingEvidence
from coldpin.records.conductor_words import CONDUCTOR
from coldpin.records.current_map import CurrentChart
from coldpin.records.finding import Finding
from coldpin.records.heating_words import HEATING
from coldpin.records.lead_at import LeadAt
from coldpin.records.plain import to_json
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.current_map import current_map, current_map_told
from coldpin.report.figures.heating_curve import heating_curve, heating_curve_told
from coldpin.report.figures.metal import metal, metal_told
from coldpin.report.heating_lines import heating_lines
from coldpin.web.answering import JSON, TOLD, Pages
from coldpin.web.desk import Desk
from coldpin.web.entry_words import names_of_files
from coldpin.web.figure import Picture, serve
from coldpin.web.works import Work
from coldpin.workbench.lead_at import lead_at, lead_map_lying

CHECKS = (
    "temperature-rise",
    "plug-heating",
    "conductor-hot-resistance",
    "cable-comparison",
    "conductor-resistance",
    "conductor-metal",
    "conductor-joints",
    "voltage-drop",
    "fault-withstand",
    "fault-loop",
    "overload",
    "length-variants",
    "cable-rating",
    "current-path",
    "plug-practice",
)
"""The checks whose findings are about cable and heat, in the order in which the page tells them."""


WORDS = tuple(one.word for one in (*CONDUCTOR, *HEATING))
"""What is recorded of cable and heat."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One heated part of one run.

    Parameters
    ----------
    key : str
        Its name in addresses: the entry of the log, and which part of it.
    heated : HeatingEvidence
        The run as assessed.
    file : str
        What its log was called where it came from.
    lines : tuple of tuple of str
        What it showed, line by line, as the report tells it.
    figure : Picture
        The curve.
    """

    key: str
    heated: HeatingEvidence
    file: str
    lines: tuple[tuple[str, str], ...]
    figure: Picture


@dataclass(frozen=True, slots=True, kw_only=True)
class Core:
    """What one core is made of, with the figure of it."""

    told: CoreEvidence
    figure: Picture


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatingPage:
    """The cable of a case and its heat.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    fresh : bool
        True where all this is of the case as it stands.
    work : Work or None
        What makes the next assessment, while it is made; or the one that failed.
    cable : CableEvidence or None
        What was found out of the cable; None where the case was never assessed.
    runs : tuple of Run
        Every heated part of every run.
    cores : tuple of Core
        Metal and area of each core.
    map : Picture or None
        Current and ambient; None where too little is known.
    at : LeadAt or None
        What follows at what was asked, or for the lead as it is.
    at_why : str
        Why there is none.
    findings : tuple of Finding
        Those about cable and heat.
    problems : tuple of Problem
        What was recorded of them and could not be used.
    arrangements : tuple of str
        How a lead may lie.
    """

    name: str
    title: str
    fresh: bool
    work: Work | None
    cable: CableEvidence | None = None
    runs: tuple[Run, ...] = ()
    cores: tuple[Core, ...] = ()
    map: Picture | None = None
    at: LeadAt | None = None
    at_why: str = ""
    findings: tuple[Finding, ...] = ()
    problems: tuple[Problem, ...] = ()
    arrangements: tuple[str, ...] = ARRANGEMENTS


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPage:
    """One heated part of one run, whole."""

    name: str
    title: str
    run: Run


@dataclass(frozen=True, slots=True, kw_only=True)
class AtPage:
    """What the lead of a case does at what was asked."""

    name: str
    title: str
    at: LeadAt


def heating_page(
    desk: Desk, name: str, *, current: str = "", ambient: str = "", length: str = "", lies: str = ""
) -> HeatingPage:
    """Return the cable of a case and its heat.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    current, ambient, length, lies : str
        What is asked of the lead, as :func:`coldpin.workbench.lead_at.lead_at` takes it; as it is where left out.

    Returns
    -------
    HeatingPage
        At once, of the last assessment.

    Raises
    ------
    UnknownName
        There is no such case on the shelf, or no lead lies like that.
    CaseError
        Its ``case.toml`` cannot be read.
    InputError
        What is asked cannot be read.
    """
    case = desk.case(name)
    standing = desk.standings.of(case.folder)
    made = standing.assessment
    if made is None:
        return HeatingPage(name=name, title=case.description().title, fresh=False, work=standing.work)
    asked = any((current, ambient, length, lies))
    try:
        at = lead_at(made, current=current, ambient=ambient, length=length, lies=lies)
        why = ""
    except InputError as error:
        if asked:
            raise
        at, why = None, str(error)
    drawn = made.cable.heat
    return HeatingPage(
        name=name,
        title=made.title,
        fresh=standing.fresh,
        work=standing.work,
        cable=made.cable,
        runs=_runs(name, made),
        cores=tuple(
            Core(
                told=told,
                figure=Picture(address=f"{_place(name)}/core/{number}.svg", alt=metal_told(told.estimate)),
            )
            for number, told in enumerate(made.cable.cores, start=1)
        ),
        map=None
        if drawn is None
        else Picture(address=f"{_place(name)}/picture/map.svg", alt=current_map_told(lead_map_lying(made))),
        at=at,
        at_why=why,
        findings=tuple(
            sorted(
                (found for found in made.findings if found.check in CHECKS),
                key=lambda found: CHECKS.index(found.check),
            )
        ),
        problems=desk.problems(made, case.folder, WORDS),
    )


def _place(name: str) -> str:
    return f"/case/{quote(name)}/heating"


def _runs(name: str, made: Assessment) -> tuple[Run, ...]:
    runs, named = [], names_of_files(made.entries)
    for key, heated in _keyed(made).items():
        picture = Picture(address=f"{_place(name)}/run/{quote(key)}.svg", alt=heating_curve_told(heated.rise))
        file = named.get(heated.entry, heated.file)
        runs.append(Run(key=key, heated=heated, file=file, lines=heating_lines(heated.rise), figure=picture))
    return tuple(runs)


def _keyed(made: Assessment) -> dict[str, HeatingEvidence]:
    """Return every heated part by entry, part and column: what it is called does not move when others are added."""
    found: dict[str, HeatingEvidence] = {}
    for heated in made.cable.heating:
        again = sum(key.startswith(f"{heated.entry}.{heated.rise.part}") for key in found)
        found[f"{heated.entry}.{heated.rise.part}" + (f".{again + 1}" if again else "")] = heated
    return found


def run_page(desk: Desk, name: str, key: str) -> RunPage:
    """Return one heated part of one run.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    key : str
        As :class:`Run` names it.

    Returns
    -------
    RunPage
        As it was assessed last.

    Raises
    ------
    UnknownName
        There is no such case or run.
    CaseError
        The case cannot be read.
    """
    made = desk.assessment(name)
    runs = {run.key: run for run in _runs(name, made)}
    if key not in runs:
        raise UnknownName.among("heating run", key, runs)
    return RunPage(name=name, title=made.title, run=runs[key])


def _core(desk: Desk, name: str, number: str) -> Figure:
    cores = {str(place): core for place, core in enumerate(desk.assessment(name).cable.cores, start=1)}
    if number not in cores:
        raise UnknownName.among("core", number, cores)
    told = cores[number]
    subject = f"the core {told.conductor}" if told.conductor else "the core"
    return desk.figures.draw(told, "metal", lambda: metal(told.estimate, Anchors(), subject=subject))


def _curve(desk: Desk, name: str, key: str) -> Figure:
    keyed = _keyed(desk.assessment(name))
    if key not in keyed:
        raise UnknownName.among("heating run", key, keyed)
    heated = keyed[key]
    return desk.figures.draw(heated, "heating", lambda: heating_curve(heated.rise, Anchors()))


def _map(desk: Desk, name: str, what: str) -> Figure:
    if what != "map":
        raise UnknownName.among("picture", what, ("map",))
    made = desk.assessment(name)
    chart = lead_map_lying(made)
    return desk.figures.draw(made.cable, "map", lambda: current_map(chart, Anchors()))


def map_chart(desk: Desk, name: str, lies: str = "") -> CurrentChart:
    """Return the map of current and ambient, for a script that draws it.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    lies : str
        How the lead lies.

    Returns
    -------
    CurrentChart
        The map.

    Raises
    ------
    UnknownName
        There is no such case, or no lead lies like that.
    CaseError
        The case cannot be read.
    InputError
        Too little is known of the lead.
    """
    return lead_map_lying(desk.assessment(name), lies)


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """
    # before the pages, whose addresses would take the ending for part of a name
    serve(pages, "/case/{name}/heating/run/{entry}.svg", lambda name, entry: _curve(desk, name, entry))
    serve(pages, "/case/{name}/heating/core/{entry}.svg", lambda name, entry: _core(desk, name, entry))
    serve(pages, "/case/{name}/heating/picture/{entry}.svg", lambda name, entry: _map(desk, name, entry))

    @pages.router.get("/case/{name}/heating/map.json", response_class=Response, responses=dict(TOLD))
    def chart(name: str, lies: str = "") -> Response:
        """Tell the map of current and ambient of the lead, however it lies."""
        return Response(to_json(map_chart(desk, name, lies)), media_type=JSON, headers={"cache-control": "no-store"})

    @pages.show("/case/{name}/heating/at", "heating_at.html")
    def at(name: str, current: str = "", ambient: str = "", length: str = "", lies: str = "") -> AtPage:
        """Tell what the lead does at another current, in other air, at another length."""
        made = desk.assessment(name)
        told = lead_at(made, current=current, ambient=ambient, length=length, lies=lies)
        return AtPage(name=name, title=made.title, at=told)

    @pages.show("/case/{name}/heating/run/{key}", "heating_run.html")
    def run(name: str, key: str) -> RunPage:
        """One heated part of one run."""
        return run_page(desk, name, key)

    @pages.show("/case/{name}/heating", "heating.html")
    def heating(name: str, current: str = "", ambient: str = "", length: str = "", lies: str = "") -> HeatingPage:
        """Show the cable of a case: conductors, metal, heat, drop, faults, ratings."""
        return heating_page(desk, name, current=current, ambient=ambient, length=length, lies=lies)
