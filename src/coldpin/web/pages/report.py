"""The report on the page: its draft, what of it would go public, publishing it, and all that can be taken along."""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated

from fastapi import Form, Request, Response
from fastapi.responses import FileResponse, HTMLResponse

from coldpin.casefile import Issue
from coldpin.casefile.untrusted import names_in
from coldpin.errors import CaseError, MissingExtra
from coldpin.records.case import Letter
from coldpin.records.notice import Addressee, Notification, Sender
from coldpin.records.publication import Publication
from coldpin.report.pdf_pages import page_count
from coldpin.web.answering import TOLD, Pages, done, wants_json, wants_piece
from coldpin.web.desk import Desk
from coldpin.web.downloads import handed_out, headers_of
from coldpin.web.reporting import (
    Reports,
    draft_file,
    draft_picture,
    is_issue,
    issued_file,
    place_of_report,
    published,
    since_issue,
    state_of,
)
from coldpin.web.works import Work
from coldpin.workbench.bundling import public_name
from coldpin.workbench.drafting import REPORT
from coldpin.workbench.notices import notification
from coldpin.workbench.publishing import DraftIssue
from coldpin.workbench.readings import MARK, all_readings, readings_table

PAGE_PX = 900
"""Ours: so wide is the picture of a page, enough to read its small print. [px]"""

SMALL_PX = 450
"""Ours: so wide is that of a page among others, twice what it takes on most screens. [px]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueLine:
    """One published issue: its number and day, what changed with it, its files."""

    number: str
    issued_on: str
    changes: tuple[str, ...]
    files: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BundleLine:
    """The bundle that was made last: what is withheld, changed or left out in it, and what may tell too much."""

    withheld: tuple[str, ...]
    changed: tuple[str, ...]
    left_out: tuple[str, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportPage:
    """The report of a case.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    draft : Publication or None
        What would be published after the last draft; None where none is, or another issue was published since.
    pages : int
        How many pages its PDF has; nought where that cannot be told.
    fresh : bool
        True where the draft is of the case as it stands.
    since : tuple of str or None
        What has changed since the last issue was published; None where none was, that is not known, or a draft of the
        next is there.
    work : Work or None
        What makes the next draft, while it does; the one that broke off.
    publishing : Work or None
        What publishes an issue, while it does; the one that broke off.
    told : tuple of str
        What is to be known of the issue that was published last.
    letters : tuple of Letter
        Who was asked to answer, until when, and what they said.
    issues : tuple of IssueLine
        What was published, newest first.
    packing : Work or None
        What makes a bundle, while it does; the one that broke off.
    bundle : BundleLine or None
        The last bundle that was made from here, of the case as it stands.
    """

    name: str
    title: str
    draft: Publication | None
    pages: int
    fresh: bool
    since: tuple[str, ...] | None
    work: Work | None
    publishing: Work | None
    told: tuple[str, ...]
    letters: tuple[Letter, ...]
    issues: tuple[IssueLine, ...]
    packing: Work | None
    bundle: BundleLine | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NoticePage:
    """A notice or letter, drafted for a person to read, change and send."""

    name: str
    title: str
    sender: Sender
    notice: Notification


def report_page(desk: Desk, reports: Reports, name: str) -> ReportPage:
    """Return the report of a case, as far as it is made.

    Parameters
    ----------
    desk : Desk
        The shelf.
    reports : Reports
        What was made lately.
    name : str
        The case's folder on it.

    Returns
    -------
    ReportPage
        At once; nothing is begun.

    Raises
    ------
    UnknownName
        There is no such case.
    CaseError
        Its ``case.toml`` cannot be read.
    """
    case = desk.case(name)
    description = case.description()
    state = state_of(case)
    draft, packed = reports.drafts.last(case.folder, state), reports.bundles.last(case.folder, state)
    issues = case.issues()
    last = issues[-1] if issues else None
    publishing, told = reports.published(case, last)
    since = since_issue(case, last, draft)
    if last is not None and since is not None and not told and publishing is None:
        told = (published(last),)
    shown = draft.value
    if shown is not None and since is not None and last is not None and not is_issue(shown, last):
        shown = None
    about = packed.value.about if packed.value is not None and packed.fresh else None
    return ReportPage(
        name=name,
        title=description.title,
        draft=shown.publication if shown else None,
        pages=_pages(shown),
        fresh=draft.fresh,
        since=since,
        work=draft.work,
        publishing=publishing,
        told=told,
        letters=description.letters,
        issues=tuple(_issue_line(issue) for issue in reversed(issues)),
        packing=packed.work,
        bundle=BundleLine(
            withheld=about.withheld, changed=about.changed, left_out=about.left_out, remarks=packed.value.remarks
        )
        if about is not None and packed.value is not None
        else None,
    )


def _pages(draft: DraftIssue | None) -> int:
    """Count the pages of the draft's PDF; where what draws them is not installed, the PDF is read as a whole."""
    try:
        return page_count(draft.files[REPORT[2]]) if draft is not None else 0
    except MissingExtra:
        return 0


def _issue_line(issue: Issue) -> IssueLine:
    files = tuple(names_in(issue.folder))
    return IssueLine(number=issue.number, issued_on=issue.issued_on, changes=issue.changes, files=files)


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """
    reports = Reports(desk=desk)

    @pages.show("/case/{name}/report", "report.html")
    def report(name: str) -> ReportPage:
        """Show the draft of the report, what of it would go public, and what was published."""
        return report_page(desk, reports, name)

    _add_making(pages, desk, reports)
    _add_looking(pages, desk, reports)
    _add_taking(pages, desk, reports)


def _add_making(pages: Pages, desk: Desk, reports: Reports) -> None:
    """Add what makes something: the draft, an issue, a bundle."""

    def begun(request: Request, name: str, work: Work | None) -> Response:
        if wants_piece(request) and work is not None:
            return pages.render("pieces/work.html", work)
        return done(request, work, place=place_of_report(name), status=HTTPStatus.ACCEPTED)

    @pages.router.post("/case/{name}/report/draft", response_class=Response, responses=dict(TOLD))
    def make(request: Request, name: str) -> Response:
        """Make the draft of the case as it stands."""
        return begun(request, name, reports.draft(desk.case(name), again=True).work)

    @pages.router.post("/case/{name}/report/pack", response_class=Response, responses=dict(TOLD))
    def pack(request: Request, name: str) -> Response:
        """Pack the case as anybody may have it."""
        return begun(request, name, reports.bundle(desk.case(name), again=True).work)

    @pages.router.post("/case/{name}/report/publish", response_class=Response, responses=dict(TOLD))
    def freeze(
        request: Request, name: str, seen: Annotated[str, Form()], confirmed: Annotated[str, Form()] = ""
    ) -> Response:
        """Publish what the draft showed as the next issue; whoever asks says that they have looked at it."""
        if confirmed != "yes":
            raise CaseError("nothing was published: say first that you have looked at what goes public")
        return begun(request, name, reports.publish(desk.case(name), seen))


def _add_looking(pages: Pages, desk: Desk, reports: Reports) -> None:
    """Add what is looked at in a browser: page, PDF, pictures of its pages, notices."""

    @pages.router.get("/case/{name}/report/look/{file}", response_class=Response, responses=dict(TOLD))
    def look(name: str, file: str, of: str = "") -> Response:
        """Look at a file of the draft: it can do nothing in the browser but show itself."""
        data, called = draft_file(desk, reports, name, file, of)
        return handed_out(data, called, keep=False)

    @pages.router.get("/case/{name}/report/page/{number}.png", response_class=Response, responses=dict(TOLD))
    def page(name: str, number: int, of: str = "", small: bool = False) -> Response:
        """Look at one page of the draft's PDF, to be read or small beside others."""
        width = SMALL_PX if small else PAGE_PX
        data, called = draft_picture(desk, reports, name, number, of, width_px=width)
        return handed_out(data, called, keep=False)

    @pages.router.get("/case/{name}/issue/{number}/{file}", response_class=Response, responses=dict(TOLD))
    def issued(name: str, number: str, file: str, keep: bool = False) -> Response:
        """Give a file as it was published."""
        data, called = issued_file(desk, name, number, file)
        return handed_out(data, called, keep=keep)

    @pages.router.post("/case/{name}/report/notice", response_class=HTMLResponse, responses=dict(TOLD))
    def notice(
        request: Request,
        name: str,
        to: Annotated[Addressee, Form()],
        sender: Annotated[str, Form()] = "",
        contact: Annotated[str, Form()] = "",
        country: Annotated[str, Form()] = "",
        report: Annotated[str, Form()] = "",
    ) -> Response:
        """Draft a notice or a letter; nothing is sent, and who sends it is kept nowhere."""
        who = Sender(name=sender, contact=contact, country=country, report=report)
        made = _notice(desk, name, to, who)
        if wants_json(request):
            return done(request, made, place=place_of_report(name), status=HTTPStatus.OK)
        title = desk.case(name).description().title
        return pages.render("notice.html", NoticePage(name=name, title=title, sender=who, notice=made))


def _add_taking(pages: Pages, desk: Desk, reports: Reports) -> None:
    """Add what is taken along as a file."""

    @pages.router.get("/case/{name}/report/file/{file}", response_class=Response, responses=dict(TOLD))
    def take(name: str, file: str) -> Response:
        """Give a file of the draft of the case as it stands; it is begun to be made where it is not there yet."""
        data, called = draft_file(desk, reports, name, file, "")
        return handed_out(data, called, keep=True)

    @pages.router.get("/case/{name}/report/readings.csv", response_class=Response, responses=dict(TOLD))
    def readings(name: str) -> Response:
        """Give all readings that are not private, one row for each."""
        folder = desk.case(name).folder
        table = f"{MARK}{readings_table(all_readings(folder).readings)}"
        return handed_out(table.encode(), f"{public_name(folder)}-readings.csv", keep=True)

    @pages.router.get("/case/{name}/report/notice-{to}.txt", response_class=Response, responses=dict(TOLD))
    def letter(name: str, to: Addressee) -> Response:
        """Give the draft of a notice or letter, of which who sends it is left open."""
        made = _notice(desk, name, to, Sender())
        return handed_out(made.text.encode(), f"{public_name(desk.case(name).folder)}-{to}.txt", keep=True)

    @pages.router.get("/case/{name}/report/bundle.zip", response_class=FileResponse, responses=dict(TOLD))
    def bundle(name: str) -> Response:
        """Give the case packed as anybody may have it; it is begun to be packed where it is not yet."""
        case = desk.case(name)
        state = state_of(case)
        reports.bundle(case)
        made = reports.bundles.need(case.folder, state, case=name)
        return FileResponse(made.path, headers=headers_of(f"{public_name(case.folder)}.zip", keep=True))


def _notice(desk: Desk, name: str, to: Addressee, sender: Sender) -> Notification:
    return notification(desk.case(name).folder, to, sender, assessment=desk.assessment(name))
