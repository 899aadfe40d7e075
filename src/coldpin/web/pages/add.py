"""Bringing files to a case: held first, shown with what they seem to be, filed once somebody says what they show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any
from urllib.parse import quote

from fastapi import Request, Response
from fastapi.responses import FileResponse, HTMLResponse, RedirectResponse
from starlette.concurrency import run_in_threadpool

from coldpin.casefile import Case
from coldpin.casefile.arrivals import Arrival, arrivals, find_arrival
from coldpin.errors import CaseError, ConflictError, UnknownName
from coldpin.records.entry_form import EntryForm
from coldpin.records.form_field import FormField
from coldpin.records.plain import to_json
from coldpin.records.vocabulary import VOCABULARY
from coldpin.web.answering import FRESH, JSON, TOLD, Pages, done, wants_json
from coldpin.web.desk import Desk
from coldpin.web.filing import Filing, Recorded, large, recorded_of
from coldpin.web.forms import CHOICE, Typed, read_form
from coldpin.web.writing import Waiting, file_beside, filing_fields, form_of, place_after, read_typed, take
from coldpin.workbench.arriving import ArrivedFile, file_arrived, look_at_arrival, reading_choices, try_arrived
from coldpin.workbench.entry_form import entry_form

PLACE = "/case/{name}/add"
WAITING = f"{PLACE}/{{token}}"

PICTURE = "photograph"
"""What many pictures are filed as at once."""

PICTURES = {".png": "image/png", ".webp": "image/webp", ".gif": "image/gif"}
"""Kinds of pictures by the ending of their name; any other is tried as a photograph."""

OVER: Mapping[int | str, dict[str, Any]] = {
    HTTPStatus.SEE_OTHER.value: {"description": "It is over: the entry, or where what was brought waits, is named."}
}

FILED_AS = ("capture", "log", "board", "note")
"""How words are recorded that take a file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AddPage:
    """Where files are brought; ``waiting`` are arrivals that are not filed yet."""

    name: str
    title: str
    tester: str
    waiting: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrivalPage:
    """Files that wait, and the form for one of them.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What the case is called.
    token : str
        Name of the arrival.
    files : tuple of ArrivedFile
        All that wait under it.
    file : ArrivedFile
        The one that the form is for.
    word : str
        What it is to be filed as.
    form : EntryForm
        What is asked of that word.
    choices : tuple of FormField
        How it may be said to be read.
    words : mapping of str to tuple of str
        The words that take a file, by how they are recorded.
    typed : mapping of str to tuple of str
        What the form holds at first.
    read : tuple of tuple of str
        How it would be read, name by name.
    asks : str
        Why it cannot be read as it stands.
    pictures : int
        How many pictures wait.
    why : str
        Why it was not filed when somebody tried; empty where nobody did.
    under_way : bool
        Whether it is being filed.
    """

    name: str
    title: str
    token: str
    files: tuple[ArrivedFile, ...]
    file: ArrivedFile
    word: str
    form: EntryForm
    choices: tuple[FormField, ...]
    words: Mapping[str, tuple[str, ...]]
    typed: Mapping[str, tuple[str, ...]]
    read: tuple[tuple[str, str], ...]
    asks: str
    pictures: int
    why: str = ""
    under_way: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FilingPage:
    """Files that are being filed, and how far that is."""

    name: str
    title: str
    filing: Filing


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """How a file would be read with the choices so far; ``asks`` says why it would not."""

    read: tuple[tuple[str, str], ...]
    asks: str


def arrival_page(desk: Desk, name: str, token: str, typed: Typed) -> ArrivalPage:
    """Return the files that wait, and the form for one of them.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    token : str
        Name of the arrival.
    typed : Typed
        Its ``file`` says which, its ``shows`` as what; the rest fills the form.

    Returns
    -------
    ArrivalPage
        The first file where none is named, filed as it seems to be where nothing is said.

    Raises
    ------
    UnknownName
        There is no such case, arrival, file or word.
    CaseError
        Its ``case.toml`` cannot be read.
    """
    case = desk.case(name)
    arrival = find_arrival(case.folder, token)
    files = look_at_arrival(arrival)
    by_name = {file.name: file for file in files}
    wanted = typed.get("file")
    if wanted and wanted not in by_name:
        raise UnknownName.among("file that waits", wanted, by_name)
    file = by_name[wanted] if wanted else files[0]
    description = case.description()
    said = dict(arrival.said())
    word = typed.get("shows") or next(iter(said.get("shows", ())), "") or file.proposed
    held = ({"who": (description.tester,)} if description.tester else {}) | said | typed.fields()
    chosen = {field: texts for field, texts in held.items() if field.startswith(CHOICE)}
    instrument = next(iter(held.get("instrument", ())), "")
    read, asks = _tried(case, arrival, file.name, word, instrument, chosen)
    filing = desk.filings.of(case.folder, token)
    return ArrivalPage(
        name=name,
        title=description.title,
        token=token,
        files=files,
        file=file,
        word=word,
        form=entry_form(case.folder, word),
        choices=reading_choices(word),
        words={form: tuple(one.word for one in VOCABULARY.values() if one.recorded_as == form) for form in FILED_AS},
        typed=held,
        read=read,
        asks=asks,
        pictures=sum(one.picture for one in files),
        why=filing.why,
        under_way=not filing.place,
    )


def _tried(
    case: Case, arrival: Arrival, file: str, word: str, instrument: str, chosen: Mapping[str, tuple[str, ...]]
) -> tuple[tuple[tuple[str, str], ...], str]:
    known = {field.name for field in reading_choices(word)}
    said = {field.removeprefix(CHOICE): texts for field, texts in chosen.items()}
    choices = {one: texts if len(texts) > 1 else texts[0] for one, texts in said.items() if one in known}
    return try_arrived(case.folder, arrival, file, shows=word, instrument=instrument, choices=choices)


def file_them(
    desk: Desk, case: Case, token: str, typed: Typed, *, names: tuple[str, ...], shows: str
) -> tuple[Recorded | Filing, str]:
    """File files that wait: at once, or beside the page where they are large.

    Parameters
    ----------
    desk : Desk
        The shelf.
    case : Case
        The case.
    token : str
        Name of the arrival.
    typed : Typed
        What was said of them.
    names : tuple of str
        Which of them.
    shows : str
        A word of the vocabulary.

    Returns
    -------
    tuple
        What was written, and where a browser goes: to what still waits, else to the entry; or what is under way, and
        where that is told.

    Raises
    ------
    UnknownName
        There is no such arrival, file or word.
    CaseError
        None of them could be filed; they wait still.
    """
    arrival = find_arrival(case.folder, token)
    with_them = (*names, *(one for file in look_at_arrival(arrival) if file.name in names for one in file.beside))
    if large(arrival, with_them):
        begun = file_beside(desk.filings, case, arrival, typed, names=names, shows=shows)
        return begun, f"/case/{quote(case.folder.name)}/add/{token}/filing"
    filed = file_arrived(
        case.folder, arrival, names=names, shows=shows, who=typed.get("who"), **filing_fields(case, typed)
    )
    if not filed.added:
        raise CaseError("; ".join(one.what for one in filed.left))
    recorded = recorded_of(filed)
    name = case.folder.name
    more = arrival.folder.exists()
    return recorded, f"/case/{quote(name)}/add/{token}" if more else place_after(name, typed, recorded)


def try_waiting(case: Case, token: str, typed: Typed) -> Tried:
    """Say how a file that waits would be read; nothing is written.

    Parameters
    ----------
    case : Case
        The case.
    token : str
        Name of the arrival.
    typed : Typed
        Its ``file``, ``shows`` and the choices so far.

    Returns
    -------
    Tried
        How, or what is asked.

    Raises
    ------
    UnknownName
        There is no such arrival, file or word.
    """
    chosen = {f"{CHOICE}{one}": texts for one, texts in typed.choices.items()}
    arrival = find_arrival(case.folder, token)
    read, asks = _tried(case, arrival, typed.get("file"), typed.get("shows"), typed.get("instrument"), chosen)
    return Tried(read=read, asks=asks)


def put_away(desk: Desk, case: Case, token: str, file: str) -> Waiting:
    """Put away files that wait.

    Parameters
    ----------
    desk : Desk
        The shelf.
    case : Case
        The case.
    token : str
        Name of the arrival.
    file : str
        One of its files; empty for all.

    Returns
    -------
    Waiting
        What waits still.

    Raises
    ------
    UnknownName
        There is no such arrival or file.
    ConflictError
        It is being filed.
    """
    arrival = find_arrival(case.folder, token)
    if desk.filings.under_way(case.folder, token):
        raise ConflictError("nothing was put away: what was brought is being filed; stop that first, or let it end")
    arrival.drop(*((arrival.file(file).name,) if file else ()))
    return Waiting(token=token, files=arrival.names() if arrival.folder.exists() else ())


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show(PLACE, "add.html")
    def bring(name: str) -> AddPage:
        """Show where files are brought to a case."""
        case = desk.case(name)
        description = case.description()
        waiting = tuple(one.token for one in arrivals(case.folder))
        return AddPage(name=name, title=description.title, tester=description.tester, waiting=waiting)

    @pages.router.post(
        PLACE,
        response_class=Response,
        responses=dict(TOLD),
        status_code=HTTPStatus.CREATED,
        openapi_extra=form_of(files=True),
    )
    async def brought(request: Request, name: str) -> Response:
        """Bring files: filed where it is said what they show, else held until somebody says."""
        case = await run_in_threadpool(desk.case, name)
        return await take(request, desk.filings, case)

    @pages.show(WAITING, "arrival.html")
    def waiting(request: Request, name: str, token: str) -> ArrivalPage:
        """Show files that wait, what each seems to be and how it would be read, and the form that files one."""
        return arrival_page(desk, name, token, read_form(request.query_params.multi_items()))

    @pages.router.get(f"{WAITING}/file", response_class=Response, responses=dict(TOLD))
    def seen(name: str, token: str, file: str) -> Response:
        """Give out a file that waits, so that a picture can be seen."""
        path = find_arrival(desk.case(name).folder, token).file(file)
        headers = {"content-security-policy": "default-src 'none'; sandbox", "cache-control": "no-store"}
        kind = PICTURES.get(path.suffix.casefold(), "image/jpeg")
        return FileResponse(path, media_type=kind, headers=headers)

    @pages.router.get(f"{WAITING}/filing.json", response_class=Response, responses=dict(TOLD))
    def how_far(name: str, token: str) -> Response:
        """Tell how far what was brought is filed, and what was written."""
        return Response(to_json(desk.filings.of(desk.case(name).folder, token)), media_type=JSON, headers=FRESH)

    @pages.router.get(f"{WAITING}/filing", response_class=HTMLResponse, responses={**TOLD, **OVER})
    def filing(name: str, token: str) -> Response:
        """Show how far what was brought is filed; once it is over, the entry, or the question where it waits still."""
        case = desk.case(name)
        found = desk.filings.of(case.folder, token)
        if found.place:
            return RedirectResponse(found.place, HTTPStatus.SEE_OTHER, headers=FRESH)
        page = FilingPage(name=name, title=case.description().title, filing=found)
        return pages.render("filing.html", page)

    _add_filing(pages, desk)


def _status(made: Recorded | Filing) -> int:
    return HTTPStatus.ACCEPTED if isinstance(made, Filing) else HTTPStatus.CREATED


def _add_filing(pages: Pages, desk: Desk) -> None:
    """Add the routes that do something with a file that waits."""

    @pages.router.post(
        WAITING,
        response_class=Response,
        responses=dict(TOLD),
        status_code=HTTPStatus.CREATED,
        openapi_extra=form_of("file", "shows", "who"),
    )
    async def file_it(request: Request, name: str, token: str) -> Response:
        """File one of the files that wait."""
        case = await run_in_threadpool(desk.case, name)
        typed = await read_typed(request, case)
        made, place = await run_in_threadpool(
            file_them, desk, case, token, typed, names=(typed.get("file"),), shows=typed.get("shows")
        )
        return done(request, made, place=place, status=_status(made))

    @pages.router.post(
        f"{WAITING}/pictures",
        response_class=Response,
        responses=dict(TOLD),
        status_code=HTTPStatus.CREATED,
        openapi_extra=form_of("who"),
    )
    async def all_pictures(request: Request, name: str, token: str) -> Response:
        """File all pictures that wait as photographs, each by an entry of its own."""
        case = await run_in_threadpool(desk.case, name)
        typed = await read_typed(request, case)
        waiting = await run_in_threadpool(lambda: look_at_arrival(find_arrival(case.folder, token)))
        pictures = tuple(one.name for one in waiting if one.picture)
        if not pictures:
            raise CaseError("no picture waits: file what is there one by one")
        made, place = await run_in_threadpool(
            file_them, desk, case, token, typed, names=pictures, shows=typed.get("shows") or PICTURE
        )
        return done(request, made, place=place, status=_status(made))

    @pages.router.post(
        f"{WAITING}/tried", response_class=Response, responses=dict(TOLD), openapi_extra=form_of("file", "shows")
    )
    async def tried(request: Request, name: str, token: str) -> Response:
        """Say how a file that waits would be read with the choices so far; nothing is written."""
        case = await run_in_threadpool(desk.case, name)
        typed = await read_typed(request, case)
        found = await run_in_threadpool(try_waiting, case, token, typed)
        if wants_json(request):
            return done(request, found, place=f"/case/{quote(name)}/add/{token}", status=HTTPStatus.OK)
        return pages.render("pieces/tried.html", found)

    @pages.router.post(f"{WAITING}/away", response_class=Response, responses=dict(TOLD), openapi_extra=form_of())
    async def away(request: Request, name: str, token: str) -> Response:
        """Put away a file that waits, or all of them where none is named: nothing of them was recorded."""
        case = await run_in_threadpool(desk.case, name)
        typed = await read_typed(request, case)
        left = await run_in_threadpool(put_away, desk, case, token, typed.get("file"))
        place = f"/case/{quote(name)}/" + (f"add/{token}" if left.files else "evidence")
        return done(request, left, place=place, status=HTTPStatus.OK)
