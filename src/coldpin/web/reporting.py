"""What of a case goes public: its draft, the issue that is published, its bundle; each made beside the page."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar
from urllib.parse import quote

from coldpin.casefile import Case, Issue
from coldpin.casefile.private import PRIVATE_FILE
from coldpin.casefile.publish import MAXIMUM_PUBLISHED
from coldpin.casefile.untrusted import names_in, read_regular
from coldpin.errors import CaseError, ConflictError, UnknownName
from coldpin.report.pdf_pages import draw_page
from coldpin.web.desk import Desk
from coldpin.web.lately import Lately
from coldpin.web.making import Made, Makings
from coldpin.web.standing import mark_of, mark_of_file
from coldpin.web.works import Work
from coldpin.workbench.bundling import Bundled, bundle_for_handing_on, public_name
from coldpin.workbench.clock import now as clock
from coldpin.workbench.drafting import REPORT
from coldpin.workbench.publishing import DraftIssue, draft_issue, publish
from coldpin.workbench.since_issue import changed_since

T = TypeVar("T")

KEPT = 4
"""Ours: of so many cases the last draft is kept in memory, with its photographs some tens of megabytes each."""

PICTURES = 300
"""Ours: so many pictures of pages are kept, those of three long reports, some tens of megabytes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Issuing:
    """What publishes a case, and the issue once it is one."""

    work: Work
    made: list[Issue]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reports:
    """What of the reports of a shelf's cases was made lately.

    Parameters
    ----------
    desk : Desk
        The shelf.
    """

    desk: Desk
    drafts: Makings[DraftIssue] = field(init=False)
    bundles: Makings[Bundled] = field(init=False)
    issued: dict[Path, _Issuing] = field(default_factory=dict)
    pictures: Lately[tuple[str, int, int], bytes] = field(default_factory=lambda: Lately(PICTURES))
    lock: threading.Lock = field(init=False, default_factory=threading.Lock)

    def __post_init__(self) -> None:
        works = self.desk.works
        object.__setattr__(self, "drafts", Makings(works, "Making the draft", what="drafted", keep=KEPT))
        object.__setattr__(self, "bundles", Makings(works, "Packing a bundle", what="packed", keep=KEPT))

    def draft(self, case: Case, *, again: bool = False) -> Made[DraftIssue]:
        """Begin to make the draft of a case, where the last is of another state.

        Parameters
        ----------
        case : Case
            The case.
        again : bool
            True to try once more what broke off.

        Returns
        -------
        Made
            At once.
        """
        return self._begin(self.drafts, case, draft_issue, "draft", again=again)

    def bundle(self, case: Case, *, again: bool = False) -> Made[Bundled]:
        """Begin to pack a case, where the last bundle is of another state.

        Parameters
        ----------
        case : Case
            The case.
        again : bool
            True to try once more what broke off.

        Returns
        -------
        Made
            At once.
        """
        return self._begin(self.bundles, case, bundle_for_handing_on, "pack", again=again)

    def publish(self, case: Case, seen: str) -> Work:
        """Begin to publish a case as its draft shows it; what is being published is not begun twice.

        Parameters
        ----------
        case : Case
            The case.
        seen : str
            The digest of the draft that was looked at.

        Returns
        -------
        Work
            What publishes it.

        Raises
        ------
        ConflictError
            The draft that was looked at is not of the case as it stands, or of another state.
        CaseError
            The case cannot be published as it stands.
        """
        with self.lock:  # a second request finds what the first began
            return self._publish(case, seen)

    def _publish(self, case: Case, seen: str) -> Work:
        last = self.drafts.last(case.folder, state_of(case))
        before = self.issued.get(case.folder)
        under_way = self._now(before.work) if before else None
        if under_way is not None and not under_way.course.ended:
            return under_way
        if not last.fresh or last.value is None or last.value.publication.digest != seen:
            raise ConflictError(
                "nothing was published: the case has changed since this draft was made, or it was published meanwhile; "
                "make the draft anew and look at what would go public now"
            )
        if last.value.publication.refused:
            raise CaseError(last.value.publication.refused)
        made = list[Issue]()
        work = self.desk.works.start(
            publish,
            {"folder": case.folder, "seen": seen},
            title=f"Publishing issue {last.value.publication.number}",
            case=case.folder.name,
            key=("publish", case.folder),
            then=made.append,
        )
        self.issued[case.folder] = _Issuing(work=work, made=made)
        return work

    def published(self, case: Case, last: Issue | None) -> tuple[Work | None, tuple[str, ...]]:
        """Return what publishes a case, and what is to be known of its last issue, where that was published from here.

        Parameters
        ----------
        case : Case
            The case.
        last : Issue or None
            Its last issue.

        Returns
        -------
        Work or None, and tuple of str
            None where nothing is under way and nothing broke off.
        """
        held = self.issued.get(case.folder)
        if held is None:
            return None, ()
        if not held.made:
            return self._now(held.work), ()
        issue = held.made[0]
        if last is None or last.number != issue.number:
            return None, ()
        return None, (published(issue), *(f"{remark}." for remark in issue.remarks))

    def _now(self, work: Work) -> Work | None:
        try:
            return self.desk.works.of(work.id)
        except UnknownName:
            return None

    def _begin(self, kept: Makings[T], case: Case, function: Callable[..., T], path: str, *, again: bool) -> Made[T]:
        name = case.folder.name
        anew = f"{place_of_report(name)}/{path}"
        given = {"folder": case.folder}
        return kept.begin(case.folder, state_of(case), function, given, case=name, anew=anew, again=again)


def state_of(case: Case) -> tuple[object, ...]:
    """Return what tells one state of a case, and of what it keeps private, from another; a new day is another too.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    tuple
        Equal where nothing that is published has changed.
    """
    # what stands for what is not looked at: publishing and packing write it, and it follows from the rest
    return mark_of(case.folder), tuple(mark_of_file(case.folder / PRIVATE_FILE)), clock().date()


def since_issue(case: Case, last: Issue | None, draft: Made[DraftIssue]) -> tuple[str, ...] | None:
    """Say what has changed since an issue, where no draft of the next is there to be shown.

    Parameters
    ----------
    case : Case
        The case.
    last : Issue or None
        Its last issue.
    draft : Made
        Its last draft.

    Returns
    -------
    tuple of str or None
        In words, empty where nothing has; None where nothing is published or that is not known.
    """
    if last is None or draft.fresh:
        return None
    made = draft.value
    if made is not None and made.publication.number > int(last.number) and not is_issue(made, last):
        return None
    return changed_since(case, last.number)


def is_issue(draft: DraftIssue, issue: Issue) -> bool:
    """Say whether what a draft showed is what was published.

    Parameters
    ----------
    draft : DraftIssue
        What was looked at.
    issue : Issue
        What is public.

    Returns
    -------
    bool
        True where their records are the same bytes; False too where the issue's cannot be read.
    """
    try:
        record = read_regular(issue.folder / REPORT[0], limit=MAXIMUM_PUBLISHED)
    except CaseError:
        return False
    return hashlib.sha256(record).hexdigest() == draft.publication.digest


def published(issue: Issue) -> str:
    """Say that an issue is out.

    Parameters
    ----------
    issue : Issue
        The issue.

    Returns
    -------
    str
        A sentence.
    """
    return f"Issue {int(issue.number)} of {issue.issued_on} is published."


def place_of_report(name: str) -> str:
    """Return the address of a report.

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
    >>> place_of_report("a & b")
    '/case/a%20%26%20b/report'
    """
    return f"/case/{quote(name, safe='')}/report"


def draft_file(desk: Desk, reports: Reports, name: str, file: str, of: str) -> tuple[bytes, str]:
    """Return a file of the draft, and what it is called where it is kept.

    Parameters
    ----------
    desk : Desk
        The shelf.
    reports : Reports
        What was made lately.
    name : str
        The case's folder on it.
    file : str
        One of its files.
    of : str
        The digest of the draft that is meant; empty for that of the case as it stands, which is begun to be made.

    Returns
    -------
    bytes and str
        The file, and its name.

    Raises
    ------
    UnknownName
        There is no such case or file.
    BeingAssessed
        The draft is being made.
    CaseError
        It cannot be made.
    ConflictError
        The draft that is meant is gone.
    """
    case = desk.case(name)
    state = state_of(case)
    last = reports.drafts.last(case.folder, state)
    if of and (last.value is None or last.value.publication.digest != of):
        raise ConflictError("this draft is gone, for the case has changed: make it anew")
    if not of or last.value is None:
        reports.draft(case)
        made = reports.drafts.need(case.folder, state, case=name)
    else:
        made = last.value
    if file not in made.files:
        raise UnknownName.among("file of the draft", file, made.files)
    return made.files[file], f"{public_name(case.folder)}-{file}"


def draft_picture(desk: Desk, reports: Reports, name: str, number: int, of: str, *, width_px: int) -> tuple[bytes, str]:
    """Return a picture of one page of the draft's PDF, and what it is called where it is kept.

    Parameters
    ----------
    desk : Desk
        The shelf.
    reports : Reports
        What was made lately.
    name : str
        The case's folder on it.
    number : int
        Which page, from 1.
    of : str
        The digest of the draft that is meant; empty for that of the case as it stands.
    width_px : int
        How wide the picture is. [px]

    Returns
    -------
    bytes and str
        The picture, drawn where it was not yet, and its name.

    Raises
    ------
    UnknownName
        There is no such case or page.
    BeingAssessed
        The draft is being made.
    CaseError
        It cannot be made.
    ConflictError
        The draft that is meant is gone.
    MissingExtra
        What draws pages is not installed.
    """
    pdf, called = draft_file(desk, reports, name, REPORT[2], of)
    key = (of, number, width_px)
    drawn = reports.pictures.get(key) if of else None
    if drawn is None:
        drawn = draw_page(pdf, number, width_px=width_px)
        if of:
            reports.pictures.keep(key, drawn)
    return drawn, f"{called}-{number}.png"


def issued_file(desk: Desk, name: str, number: str, file: str) -> tuple[bytes, str]:
    """Return a file of an issue, and what it is called where it is kept.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    number : str
        Of the issue, as "02".
    file : str
        One of its files.

    Returns
    -------
    bytes and str
        The file as it was published, and its name.

    Raises
    ------
    UnknownName
        There is no such case, issue or file.
    CaseError
        It cannot be read.
    """
    case = desk.case(name)
    by_number = {issue.number: issue for issue in case.issues()}
    if number not in by_number:
        raise UnknownName.among("issue", number, by_number)
    folder = by_number[number].folder
    names = names_in(folder)
    if file not in names:
        raise UnknownName.among("file of the issue", file, names)
    return read_regular(folder / file, limit=MAXIMUM_PUBLISHED), f"{public_name(case.folder)}-{number}-{file}"
