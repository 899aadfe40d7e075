"""The bench plan on the page: what to do next, what was ticked off, and what waits for a hold point."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from http import HTTPStatus
from pathlib import Path
from typing import Annotated
from urllib.parse import quote, urlencode

from fastapi import Form, Query, Request, Response

from coldpin.errors import CaseError, InputError
from coldpin.records.assessment import Problem
from coldpin.records.tick import BenchProgress, TestAtBench
from coldpin.web.answering import TOLD, Pages, done, wants_piece
from coldpin.web.desk import Desk
from coldpin.web.making import Itself, Made, Makings
from coldpin.web.standing import Standing
from coldpin.web.works import Work
from coldpin.workbench.advising import ids_of_tests
from coldpin.workbench.bench_plan import sheet_of, shortened
from coldpin.workbench.listing import list_entries
from coldpin.workbench.ticking import BenchDay, bench_day, bench_progress, tick

KEPT = 16
"""Ours: so many plans are kept, of the cases and choices looked at last."""

PDF = "application/pdf"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanChoices:
    """What a person wants of a plan: the time there is, as typed; to stay in one place; tests that are left out."""

    minutes: str = ""
    one_place: bool = False
    without: tuple[str, ...] = ()

    @property
    def asked(self) -> str:
        """The choices as they stand behind an address; empty where there are none."""
        pairs = [("minutes", self.minutes)] if self.minutes else []
        pairs += [("one_place", "true")] if self.one_place else []
        pairs += [("without", name) for name in self.without]
        return f"?{urlencode(pairs)}" if pairs else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A test that is not to be done; ``back`` are the choices without that."""

    test: str
    back: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPage:
    """The plan of a case as it stands at the bench.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    who : str
        Who tests, as the case says.
    choices : PlanChoices
        What is wanted of the plan.
    left_out : tuple of LeftOut
        The tests that are not to be done.
    fresh : bool
        True where the plan is of the case as it stands.
    work : Work or None
        What assesses the case, or makes the plan, while it does.
    progress : BenchProgress or None
        The plan; None where none was made yet.
    problems : tuple of Problem
        Ticks that cannot be read.
    """

    name: str
    title: str
    who: str
    choices: PlanChoices
    left_out: tuple[LeftOut, ...]
    fresh: bool
    work: Work | None
    progress: BenchProgress | None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TestPiece:
    """One test of the plan, made anew by itself; ``told`` is why a tick was not taken."""

    __test__ = False

    name: str
    choices: PlanChoices
    one: TestAtBench
    told: str = ""


class Plans:
    """The plans of a shelf's cases, made beside the page.

    Parameters
    ----------
    desk : Desk
        The shelf.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._made: Makings[BenchDay] = Makings(desk.works, "Planning", what="planned", keep=KEPT)

    def of(self, folder: Path, standing: Standing, without: tuple[str, ...], *, again: bool = False) -> Made[BenchDay]:
        """Return the plan after the last assessment, and begin to make it where it is another's.

        Parameters
        ----------
        folder : Path
            The case.
        standing : Standing
            What is known of it.
        without : tuple of str
            Ids of tests that are left out.
        again : bool
            True to try once more what was stopped.

        Returns
        -------
        Made
            At once.
        """
        if standing.assessment is None:
            return Made()
        given = {"assessment": standing.assessment, "folder": folder.name, "without": without}
        of = Itself(standing.assessment)
        anew = f"{place_of_plan(folder.name)}/make{PlanChoices(without=without).asked}"
        return self._made.begin((folder, without), of, bench_day, given, case=folder.name, anew=anew, again=again)

    def need(self, name: str, without: tuple[str, ...]) -> tuple[BenchDay, bool]:
        """Return the plan of a case; nobody waits for it here.

        Parameters
        ----------
        name : str
            The case's folder on the shelf.
        without : tuple of str
            Ids of tests that are left out.

        Returns
        -------
        BenchDay and bool
            The plan after the last assessment, and whether that is of the case as it stands.

        Raises
        ------
        UnknownName
            There is no such case.
        BeingAssessed
            The case is being assessed for the first time, or being planned.
        CaseError
            It cannot be assessed, or its plan was stopped.
        """
        self._desk.assessment(name)
        folder = self._desk.case(name).folder
        standing = self._desk.standings.of(folder)
        self.of(folder, standing, without)
        day = self._made.need((folder, without), Itself(standing.assessment), case=name)
        return day, standing.fresh


def plan_page(desk: Desk, plans: Plans, name: str, choices: PlanChoices) -> PlanPage:
    """Return the plan of a case as it stands at the bench.

    Parameters
    ----------
    desk : Desk
        The shelf.
    plans : Plans
        Its plans.
    name : str
        The case's folder on it.
    choices : PlanChoices
        What is wanted of the plan.

    Returns
    -------
    PlanPage
        At once, with the last plan made.

    Raises
    ------
    UnknownName
        There is no such case, or no such test.
    CaseError
        Its ``case.toml`` cannot be read.
    InputError
        The minutes are no whole number.
    """
    without = ids_of_tests(choices.without)
    minutes = minutes_of(choices.minutes)
    case = desk.case(name)
    description = case.description()
    standing = desk.standings.of(case.folder)
    made = plans.of(case.folder, standing, without)
    progress = None
    if made.value is not None:
        wanted = shortened(made.value.plan, minutes=minutes, one_place=choices.one_place)
        progress = bench_progress(case.folder, made.value, plan=wanted, fresh=standing.fresh and made.fresh)
    return PlanPage(
        name=name,
        title=description.title,
        who=description.tester,
        choices=PlanChoices(minutes=choices.minutes, one_place=choices.one_place, without=without),
        left_out=tuple(LeftOut(test=one, back=_without(choices, without, one).asked) for one in without),
        fresh=standing.fresh and made.fresh,
        work=standing.work or made.work,
        progress=progress,
        problems=case.ticks().problems,
    )


def _without(choices: PlanChoices, without: tuple[str, ...], one: str) -> PlanChoices:
    kept = tuple(name for name in without if name != one)
    return PlanChoices(minutes=choices.minutes, one_place=choices.one_place, without=kept)


def place_of_plan(name: str) -> str:
    """Return the address of a plan.

    Parameters
    ----------
    name : str
        The case's folder.

    Returns
    -------
    str
        Of the page.

    Examples
    --------
    >>> place_of_plan("a & b")
    '/case/a%20%26%20b/plan'
    """
    return f"/case/{quote(name, safe='')}/plan"


def minutes_of(text: str) -> int | None:
    """Read the minutes there are, as a person types them.

    Parameters
    ----------
    text : str
        Empty for all the time there is.

    Returns
    -------
    int or None
        At least one. [min]

    Raises
    ------
    InputError
        It is no whole number above nought.

    Examples
    --------
    >>> minutes_of(" 90 "), minutes_of("")
    (90, None)
    """
    wanted = text.strip()
    if not wanted:
        return None
    if not (wanted.isascii() and wanted.isdecimal() and len(wanted) < len(str(PATIENT)) and int(wanted)):
        raise InputError(f"minutes {text[:40]!r}: write a whole number such as 120, or nothing for all tests")
    return int(wanted)


PATIENT = 10**6
"""A plan of so many minutes is a slip of the key. [min]"""


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """
    plans = Plans(desk)
    ticked = partial(_tick, pages, desk, plans)

    @pages.show("/case/{name}/plan", "plan.html")
    def plan(
        name: str,
        minutes: str = "",
        one_place: bool = False,
        without: Annotated[list[str] | None, Query()] = None,
    ) -> PlanPage:
        """Show the bench plan: tests in their order, what was ticked off, what waits."""
        choices = PlanChoices(minutes=minutes, one_place=one_place, without=tuple(without or ()))
        return plan_page(desk, plans, name, choices)

    @pages.router.get("/case/{name}/plan/sheet.pdf", response_class=Response, responses=dict(TOLD))
    def sheet(
        name: str,
        minutes: str = "",
        one_place: bool = False,
        without: Annotated[list[str] | None, Query()] = None,
    ) -> Response:
        """Give the plan as sheets to be printed and written on."""
        day, _ = plans.need(name, ids_of_tests(without or ()))
        wanted = shortened(day.plan, minutes=minutes_of(minutes), one_place=one_place)
        headers = {"content-disposition": 'inline; filename="bench-plan.pdf"', "cache-control": "no-store"}
        return Response(sheet_of(wanted), media_type=PDF, headers=headers)

    @pages.router.post("/case/{name}/plan/make", response_class=Response, responses=dict(TOLD))
    def make(request: Request, name: str, without: Annotated[list[str] | None, Query()] = None) -> Response:
        """Make the plan once more, where it was stopped."""
        chosen = PlanChoices(without=ids_of_tests(without or ()))
        case = desk.case(name)
        made = plans.of(case.folder, desk.standings.of(case.folder), chosen.without, again=True)
        if wants_piece(request) and made.work is not None:
            return pages.render("pieces/work.html", made.work)
        return done(request, made.work, place=f"{place_of_plan(name)}{chosen.asked}", status=HTTPStatus.ACCEPTED)

    @pages.router.post("/case/{name}/plan/tick", response_class=Response, responses=dict(TOLD))
    def tick_off(
        request: Request,
        name: str,
        line: Annotated[str, Form()],
        who: Annotated[str, Form()],
        without: Annotated[list[str] | None, Form()] = None,
    ) -> Response:
        """Tick a line of the plan off: a reminder, which switches nothing."""
        return ticked(request, name, _Ticked(line=line, who=who, without=tuple(without or ())))

    @pages.router.post("/case/{name}/plan/untick", response_class=Response, responses=dict(TOLD))
    def take_back(
        request: Request,
        name: str,
        line: Annotated[str, Form()],
        who: Annotated[str, Form()],
        without: Annotated[list[str] | None, Form()] = None,
    ) -> Response:
        """Take a tick back; that it was there stays on record."""
        return ticked(request, name, _Ticked(line=line, who=who, without=tuple(without or ()), taken_back=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ticked:
    line: str
    who: str
    without: tuple[str, ...]
    taken_back: bool = False

    @property
    def test(self) -> str:
        return self.line.partition(".")[0]


def _tick(pages: Pages, desk: Desk, plans: Plans, request: Request, name: str, asked: _Ticked) -> Response:
    """Tick a line, or take its tick back; a script gets its test anew, also where the tick was not taken."""
    chosen = PlanChoices(without=ids_of_tests(asked.without))
    day, fresh = plans.need(name, chosen.without)
    folder = desk.case(name).folder
    listed = list_entries(folder)
    progress = bench_progress(folder, day, fresh=fresh, listed=listed)
    try:
        made = tick(folder, progress, asked.line, who=asked.who.strip(), taken_back=asked.taken_back)
        told, status = "", HTTPStatus.OK
    except CaseError as error:
        if not wants_piece(request):
            raise
        told, status = str(error), HTTPStatus.UNPROCESSABLE_ENTITY
    if not wants_piece(request):
        place = f"{place_of_plan(name)}{chosen.asked}#test-{asked.test}"
        return done(request, made, place=place, status=HTTPStatus.OK)
    after = bench_progress(folder, day, fresh=fresh, listed=listed)
    one = next(one for one in after.tests if one.test.test == asked.test)
    return pages.render("pieces/test.html", TestPiece(name=name, choices=chosen, one=one, told=told), status)
