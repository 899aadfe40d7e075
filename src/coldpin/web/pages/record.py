"""Writing down what was read or seen: the form of every word of the vocabulary, and what was understood so far."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from urllib.parse import quote

from fastapi import Request, Response
from starlette.concurrency import run_in_threadpool

from coldpin.errors import UnknownName
from coldpin.records.entry_form import EntryForm, SaidBack
from coldpin.records.showing import Showing
from coldpin.records.vocabulary import showing
from coldpin.web.answering import TOLD, Pages, done, wants_json
from coldpin.web.desk import Desk
from coldpin.web.forms import Typed, read_form
from coldpin.web.writing import entry_fields, form_of, read_typed, take
from coldpin.workbench.entry_form import Before, before_it, entry_form, say_back, words_like

PLACE = "/case/{name}/record"


@dataclass(frozen=True, slots=True, kw_only=True)
class WordsPage:
    """The words of the vocabulary that hold a part, or tell of it; all where ``part`` is empty."""

    name: str
    title: str
    part: str
    words: tuple[Showing, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordPage:
    """The form of one word, with what the address says of it already.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What the case is called.
    form : EntryForm
        What is asked.
    typed : mapping of str to tuple of str
        What the fields hold at first, by their names.
    before : Before
        What is to be read before: of the test it is recorded for, else of all that record it.
    """

    name: str
    title: str
    form: EntryForm
    typed: Mapping[str, tuple[str, ...]]
    before: Before


def words_page(desk: Desk, name: str, part: str = "") -> WordsPage:
    """Return the words that can be recorded.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    part : str
        Part of a word, or of what it means; empty for all.

    Returns
    -------
    WordsPage
        None where no word holds it.

    Raises
    ------
    UnknownName
        There is no such case on the shelf.
    CaseError
        Its ``case.toml`` cannot be read.
    """
    case = desk.case(name)
    try:
        words = words_like(part)
    except UnknownName:
        words = ()
    return WordsPage(name=name, title=case.description().title, part=part, words=words)


def record_page(desk: Desk, name: str, word: str, typed: Typed | None = None) -> RecordPage:
    """Return the form of a word.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    word : str
        A word of the vocabulary.
    typed : Typed, optional
        What the fields hold at first.

    Returns
    -------
    RecordPage
        Whoever is named as tester in ``case.toml`` is named where nobody else is.

    Raises
    ------
    UnknownName
        There is no such case, or no such word.
    CaseError
        Its ``case.toml`` cannot be read.
    """
    case = desk.case(name)
    description = case.description()
    held = typed or Typed()
    who = {"who": (description.tester,)} if description.tester else {}
    asked = entry_form(case.folder, word)
    return RecordPage(
        name=name,
        title=description.title,
        form=asked,
        typed=who | held.fields(),
        before=before_it(asked, held.get("test")),
    )


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """

    @pages.show(PLACE, "words.html")
    def words(name: str, part: str = "") -> WordsPage:
        """Show what can be recorded, all or what holds some words."""
        return words_page(desk, name, part)

    @pages.show(f"{PLACE}/{{word}}", "record.html")
    def form(request: Request, name: str, word: str) -> RecordPage:
        """Show the form of a word; the query may fill its fields."""
        return record_page(desk, name, word, read_form(request.query_params.multi_items()))

    @pages.router.post(
        f"{PLACE}/{{word}}",
        response_class=Response,
        responses=dict(TOLD),
        status_code=HTTPStatus.CREATED,
        openapi_extra=form_of("who", files=True),
    )
    async def write(request: Request, name: str, word: str) -> Response:
        """Write down a reading, an answer, a map, a note, or file what comes with it."""
        case = await run_in_threadpool(desk.case, name)
        showing(word)
        return await take(request, desk.filings, case, word)

    @pages.router.post(
        f"{PLACE}/{{word}}/understood",
        response_class=Response,
        responses=dict(TOLD),
        openapi_extra=form_of(),
    )
    async def understood(request: Request, name: str, word: str) -> Response:
        """Say what would be understood of a form as it is filled in so far; nothing is written."""
        case = await run_in_threadpool(desk.case, name)
        typed = await read_typed(request, case)

        def say() -> SaidBack:
            return say_back(
                case.folder,
                shows=word,
                who=typed.get("who"),
                readings=typed.readings,
                answer=typed.get("answer"),
                pairs=typed.pairs,
                **entry_fields(typed),
            )

        said = await run_in_threadpool(say)
        if wants_json(request):
            return done(request, said, place=f"/case/{quote(name)}", status=HTTPStatus.OK)
        return pages.render("pieces/understood.html", said)
