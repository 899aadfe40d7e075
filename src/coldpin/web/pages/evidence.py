"""The evidence of a case: everything that happened, in order, with what was corrected and why; and one entry alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from http import HTTPStatus
from pathlib import Path
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Form, Request, Response
from starlette.concurrency import run_in_threadpool

from coldpin.casefile import Case
from coldpin.casefile.arrivals import arrivals
from coldpin.errors import CorrectedBefore, UnknownName
from coldpin.records.assessment import Problem
from coldpin.records.entry import Entry
from coldpin.records.entry_form import EntryForm
from coldpin.web.answering import TOLD, Pages, done, explain, wants_json, wants_piece
from coldpin.web.desk import Desk
from coldpin.web.filed import Smalls, filed, is_picture
from coldpin.web.forms import CONDITION, PAIR, Typed
from coldpin.web.writing import form_of, read_typed
from coldpin.workbench.entries import correct
from coldpin.workbench.entry_form import entry_form
from coldpin.workbench.listing import EntryList, list_entries
from coldpin.workbench.questioning import questions_of_each
from coldpin.workbench.same_content import held_twice
from coldpin.workbench.shelving import at_bench_of, open_bench

ENTRY = "/case/{name}/entry/{entry}"


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryLine:
    """One thing that happened.

    ``replaced_by`` is the entry that corrects it or takes it back, with its ``reason``. ``picture`` is true where a
    browser can show what was filed with it. ``questions`` are what is hardly so of what holds, as they were told when
    it was recorded: they stay until it is corrected. ``same_as`` is the entry of an earlier recording that seems to be
    the same.
    """

    entry: Entry
    holds: bool
    replaced_by: str = ""
    reason: str = ""
    withdrawn: bool = False
    picture: bool = False
    questions: tuple[str, ...] = ()
    same_as: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidencePage:
    """Everything that happened.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    tester : str
        Who tests, as ``case.toml`` names them.
    words : str
        What an entry must hold to be shown; empty for all.
    days : mapping of str to tuple of EntryLine
        The entries of each day, newest first, the newest day first; also what was corrected and what is private.
    left_out : int
        How many entries are not shown.
    recent : tuple of str
        The words that were recorded last, newest first.
    waiting : tuple of str
        Arrivals whose files are not filed yet.
    problems : tuple of Problem
        Entries that cannot be read.
    """

    name: str
    title: str
    tester: str
    words: str
    days: Mapping[str, tuple[EntryLine, ...]]
    left_out: int
    recent: tuple[str, ...]
    waiting: tuple[str, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryPage:
    """One entry, with those that came before it and after it in its history.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What the case is called.
    line : EntryLine
        The entry.
    history : tuple of EntryLine
        All entries of the same thing, in the order in which they were written.
    form : EntryForm
        By which it is corrected.
    typed : mapping of str to tuple of str
        What the form holds: the entry as it stands.
    """

    name: str
    title: str
    line: EntryLine
    history: tuple[EntryLine, ...]
    form: EntryForm
    typed: Mapping[str, tuple[str, ...]]


def evidence_page(desk: Desk, name: str, words: str = "") -> EvidencePage:
    """Return everything that happened to a specimen.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    words : str
        Words that an entry must hold, in any order; empty for all.

    Returns
    -------
    EvidencePage
        As the case stands now.

    Raises
    ------
    UnknownName
        There is no such case on the shelf.
    CaseError
        Its ``case.toml`` cannot be read.
    """
    case = desk.case(name)
    listed = list_entries(case.folder)
    lines = _lines(case, listed)
    wanted = [line for line in lines if _holds(line.entry, words.casefold().split())]
    days: dict[str, list[EntryLine]] = {}
    for line in reversed(_asked(case.folder, wanted)):
        days.setdefault(line.entry.made[:10], []).append(line)
    description = case.description()
    return EvidencePage(
        name=name,
        title=description.title,
        tester=description.tester,
        words=words,
        days={day: tuple(of_day) for day, of_day in days.items()},
        left_out=len(lines) - len(wanted),
        recent=_recent(listed.all),
        waiting=tuple(one.token for one in arrivals(case.folder)),
        problems=listed.problems,
    )


RECENT = 6
"""Ours: so many words are offered again; what is recorded at a bench comes in rows of a few alike."""


def _recent(entries: tuple[Entry, ...]) -> tuple[str, ...]:
    newest = sorted(entries, key=lambda entry: entry.recorded, reverse=True)
    return tuple(dict.fromkeys(entry.shows for entry in newest))[:RECENT]


def _holds(entry: Entry, words: list[str]) -> bool:
    file = entry.evidence.original_name if entry.evidence is not None else ""
    parts = (entry.shows, entry.note, entry.who, entry.instrument, file, *entry.conditions.values(), *entry.readings)
    told = " ".join(parts).casefold()
    return all(word in told for word in words)


def _lines(case: Case, listed: EntryList) -> tuple[EntryLine, ...]:
    later = {entry.replaces: entry for entry in listed.all if entry.replaces}
    same = held_twice(case, (entry for entry in listed.all if entry.id in listed.holding))
    lines = (_line(entry, later.get(entry.id), holds=entry.id in listed.holding) for entry in listed.all)
    return tuple(replace(line, same_as=same.get(line.entry.id, "")) for line in lines)


def _line(entry: Entry, later: Entry | None, *, holds: bool) -> EntryLine:
    picture = is_picture(entry)
    if later is None:
        return EntryLine(entry=entry, holds=holds, picture=picture)
    return EntryLine(
        entry=entry,
        holds=holds,
        replaced_by=later.id,
        reason=later.reason,
        withdrawn=later.withdraws,
        picture=picture,
    )


def _asked(folder: Path, lines: Sequence[EntryLine]) -> list[EntryLine]:
    """Return lines with what is asked of those that hold."""
    asked = questions_of_each(open_bench(folder), [line.entry for line in lines if line.holds])
    return [replace(line, questions=asked.get(line.entry.id, ())) for line in lines]


def entry_page(desk: Desk, name: str, entry: str) -> EntryPage:
    """Return one entry of a case.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    entry : str
        Id of the entry.

    Returns
    -------
    EntryPage
        The entry, its history, and the form by which it is corrected.

    Raises
    ------
    UnknownName
        There is no such case or entry.
    CaseError
        Its ``case.toml`` cannot be read.
    """
    case = desk.case(name)
    lines = _lines(case, list_entries(case.folder))
    by_id = {line.entry.id: line for line in lines}
    if entry not in by_id:
        raise UnknownName(f"no entry of this case has the id {entry[:60]!r}: the evidence lists them")
    held = case.effective().history_of(entry)
    (line,) = _asked(case.folder, [by_id[entry]])
    return EntryPage(
        name=name,
        title=case.description().title,
        line=line,
        history=tuple(by_id[one.id] for one in held.members if one.id in by_id),
        form=entry_form(case.folder, by_id[entry].entry.shows),
        typed=_as_typed(by_id[entry].entry, case.description().tester),
    )


def _as_typed(entry: Entry, tester: str) -> dict[str, tuple[str, ...]]:
    around = {
        "who": tester,
        "answer": entry.answer,
        "instrument": entry.instrument,
        "supply_voltage": entry.supply_voltage,
        "ambient": entry.ambient,
        "humidity": entry.humidity,
        "note": entry.note,
        "private": "yes" if entry.private else "",
    }
    return (
        {name: (text,) for name, text in around.items() if text}
        | ({"reading": entry.readings} if entry.readings else {})
        | {f"{CONDITION}{name}": (text,) for name, text in entry.conditions.items()}
        | {f"{PAIR}{name}": (text,) for name, text in entry.pairs.items()}
    )


def correct_entry(desk: Desk, name: str, entry: str, typed: Typed) -> Entry:
    """Correct an entry by what a form holds: what the form shows of the entry and was emptied is taken out.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    entry : str
        Id of the entry.
    typed : Typed
        What was typed.

    Returns
    -------
    Entry
        The correction.

    Raises
    ------
    UnknownName
        There is no such case or entry.
    CorrectedBefore
        Somebody corrected it first.
    InputError
        Nothing would change, or it is not as an entry must be.
    StorageError
        The disk refused.
    """
    case = desk.case(name)
    old = case.find_entry(entry)
    changed: dict[str, Any] = {
        field: typed.get(field)
        for field in ("answer", "instrument", "supply_voltage", "ambient", "humidity", "note")
        if typed.get(field) != getattr(old, field)
    }
    conditions = {one: typed.conditions.get(one, "") for one in (*old.conditions, *typed.conditions)}
    pairs = {one: typed.pairs.get(one, "") for one in (*old.pairs, *typed.pairs)}
    return correct(
        case.folder,
        old.id,
        who=typed.get("who"),
        reason=typed.get("reason"),
        readings=typed.readings if typed.readings != old.readings else None,
        conditions=conditions if conditions != dict(old.conditions) else None,
        pairs=pairs if pairs != dict(old.pairs) else None,
        made=at_bench_of(case.folder, typed.get("made")),
        private=bool(typed.get("private")) and not old.private,
        **changed,
    )


def tell_who_was_first(request: Request, pages: Pages, desk: Desk, name: str, error: CorrectedBefore) -> Response:
    """Show the correction that somebody else wrote first, beside what is typed.

    Parameters
    ----------
    request : Request
        The request.
    pages : Pages
        Renders it.
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    error : CorrectedBefore
        Names both entries.

    Returns
    -------
    Response
        With the status of a conflict; a program gets the message.
    """
    if wants_json(request):
        return explain(request, error, pages)
    template = "pieces/corrected_before.html" if wants_piece(request) else "corrected_before.html"
    return pages.render(template, entry_page(desk, name, error.later), HTTPStatus.CONFLICT)


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """
    smalls = Smalls()

    @pages.show("/case/{name}/evidence", "evidence.html")
    def evidence(name: str, words: str = "") -> EvidencePage:
        """Show everything that happened, newest first, also what was corrected."""
        return evidence_page(desk, name, words)

    @pages.router.get(f"{ENTRY}/file", response_class=Response, responses=dict(TOLD), summary="What an entry filed.")
    def file(name: str, entry: str) -> Response:
        """Give out what was filed with an entry, as it came."""
        return filed(desk, name, entry)

    @pages.router.get(f"{ENTRY}/small", response_class=Response, responses=dict(TOLD), summary="A picture in small.")
    def small(name: str, entry: str) -> Response:
        """Give out a picture that an entry filed in small; whole where it cannot be made small."""
        return smalls.small(desk, name, entry)

    @pages.show(ENTRY, "entry.html")
    def one(name: str, entry: str) -> EntryPage:
        """Show one entry, with its history, and the form that corrects it."""
        return entry_page(desk, name, entry)

    @pages.router.post(
        f"{ENTRY}/correct",
        response_class=Response,
        responses=dict(TOLD),
        status_code=HTTPStatus.CREATED,
        openapi_extra=form_of("who", "reason"),
    )
    async def put_right(request: Request, name: str, entry: str) -> Response:
        """Correct an entry; the earlier one stays and can be seen."""
        case = await run_in_threadpool(desk.case, name)
        typed = await read_typed(request, case)
        try:
            made = await run_in_threadpool(correct_entry, desk, name, entry, typed)
        except CorrectedBefore as error:
            return await run_in_threadpool(tell_who_was_first, request, pages, desk, name, error)
        return done(request, made, place=f"/case/{quote(name)}/evidence#entry-{made.id}")

    @pages.router.post(
        f"{ENTRY}/withdraw", response_class=Response, responses=dict(TOLD), status_code=HTTPStatus.CREATED
    )
    def withdraw(
        request: Request, name: str, entry: str, who: Annotated[str, Form()], reason: Annotated[str, Form()]
    ) -> Response:
        """Take an entry back and put nothing in its place; it stays and can be seen."""
        try:
            made = correct(desk.case(name).folder, entry, who=who, reason=reason, withdraw=True)
        except CorrectedBefore as error:
            return tell_who_was_first(request, pages, desk, name, error)
        return done(request, made, place=f"/case/{quote(name)}/evidence#entry-{made.id}")
