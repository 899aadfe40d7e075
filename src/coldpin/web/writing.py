"""What the pages share that write into a case: a form taken in, an entry written or files filed, the answer."""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus
from typing import Any
from urllib.parse import quote

from fastapi import Request, Response
from starlette.concurrency import run_in_threadpool

from coldpin.casefile import Case
from coldpin.casefile.arrivals import Arrival, new_arrival
from coldpin.errors import CaseError, InputError
from coldpin.records.vocabulary import showing
from coldpin.web.answering import done
from coldpin.web.filing import Filing, Filings, Recorded, large, recorded_of
from coldpin.web.forms import Typed, read_form
from coldpin.web.receiving import MULTIPART, URLENCODED, receive
from coldpin.web.sections import SECTIONS
from coldpin.workbench.arriving import file_arrived
from coldpin.workbench.entries import add_evidence, record
from coldpin.workbench.shelving import at_bench_of
from coldpin.workbench.trial import entry_remarks

FILED = ("capture", "log", "board")
"""How a word is recorded that asks for a file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """Files that were brought and are held until somebody says what they show; ``why`` they were not filed at once."""

    token: str
    files: tuple[str, ...]
    why: str = ""


def form_of(*fields: str, files: bool = False) -> dict[str, Any]:
    """Describe the body of a form for the description of the interface.

    Parameters
    ----------
    *fields : str
        Names of fields that must be there.
    files : bool
        Whether it takes files.

    Returns
    -------
    dict
        To be merged into the description of a route.
    """
    several = {"type": "array", "items": {"type": "string", "format": "binary"}}
    schema = {
        "type": "object",
        "properties": {name: {"type": "string"} for name in fields} | ({"file": several} if files else {}),
        "required": list(fields),
        "additionalProperties": {"type": "string"},
    }
    kinds = (URLENCODED, MULTIPART) if files else (URLENCODED,)
    return {"requestBody": {"required": True, "content": {kind: {"schema": schema} for kind in kinds}}}


def entry_fields(typed: Typed) -> dict[str, Any]:
    """Return what reading, filing and saying back have in common, as the workbench takes it.

    Parameters
    ----------
    typed : Typed
        What was typed.

    Returns
    -------
    dict
        Keyword arguments.
    """
    return {
        "conditions": typed.conditions,
        "instrument": typed.get("instrument"),
        "supply_voltage": typed.get("supply_voltage"),
        "ambient": typed.get("ambient"),
        "humidity": typed.get("humidity"),
        "note": typed.get("note"),
    }


def filing_fields(case: Case, typed: Typed) -> dict[str, Any]:
    """Return what filing takes beside a file.

    Parameters
    ----------
    case : Case
        The case.
    typed : Typed
        What was typed.

    Returns
    -------
    dict
        Keyword arguments of :func:`coldpin.workbench.entries.add_evidence`.
    """
    choices = {name: texts if len(texts) > 1 else texts[0] for name, texts in typed.choices.items()}
    return entry_fields(typed) | {
        "made": at_bench_of(case.folder, typed.get("made")),
        "address": typed.get("address"),
        "time_code": typed.get("time_code"),
        "private": bool(typed.get("private")),
        "choices": choices or None,
        "remember": not typed.get("forget"),
    }


def write_down(case: Case, word: str, typed: Typed, arrival: Arrival | None) -> Recorded:
    """Write what a form says: an entry, or one for each of its files.

    Parameters
    ----------
    case : Case
        The case.
    word : str
        A word of the vocabulary.
    typed : Typed
        What was typed.
    arrival : Arrival or None
        The files that came with it.

    Returns
    -------
    Recorded
        What was written.

    Raises
    ------
    UnknownName
        The word is not in the vocabulary.
    CaseError
        A file cannot be filed; the message says which and why.
    InputError
        It is not as an entry must be, or a file cannot be read.
    StorageError
        The disk refused.
    """
    known = showing(word)
    if arrival is not None:
        filed = file_arrived(case.folder, arrival, shows=word, who=typed.get("who"), **filing_fields(case, typed))
        if filed.left:
            raise CaseError("; ".join(f"{one.where}: {one.what}" for one in filed.left))
        return recorded_of(filed)
    if known.recorded_as in FILED or typed.get("address"):
        added = add_evidence(case.folder, None, shows=word, who=typed.get("who"), **filing_fields(case, typed))
        return Recorded(entries=(added.entry,), remarks=added.remarks)
    entry = record(
        case.folder,
        shows=word,
        who=typed.get("who"),
        made=at_bench_of(case.folder, typed.get("made")),
        readings=typed.readings,
        answer=typed.get("answer"),
        pairs=typed.pairs,
        private=bool(typed.get("private")),
        **entry_fields(typed),
    )
    return Recorded(entries=(entry,), remarks=entry_remarks(case.folder, entry))


def file_or_hold(case: Case, word: str, typed: Typed, arrival: Arrival | None) -> Recorded | Waiting:
    """File what a form brings; hold it where it cannot be read as it stands and the form asks to have it held.

    Parameters
    ----------
    case : Case
        The case.
    word : str
        A word of the vocabulary; empty where nobody said yet what the files show.
    typed : Typed
        What was typed; with ``hold`` what cannot be filed is held.
    arrival : Arrival or None
        The files.

    Returns
    -------
    Recorded or Waiting
        What was filed, or where it waits.

    Raises
    ------
    CaseError
        Nothing was brought.
    InputError
        It cannot be filed, and is not to be held.
    StorageError
        The disk refused.
    """
    if not word:
        if arrival is None:
            raise CaseError("no file was brought: choose one, drop it, or paste it")
        arrival.say({field: texts for field, texts in typed.fields().items() if field != "hold"})
        return Waiting(token=arrival.token, files=arrival.names())
    try:
        recorded = write_down(case, word, typed, arrival)
    except InputError as error:
        if arrival is None or not typed.get("hold") or not arrival.folder.exists():
            raise
        kept = {field: texts for field, texts in typed.fields().items() if field != "hold"}
        arrival.say(kept | {"shows": (word,)})
        return Waiting(token=arrival.token, files=arrival.names(), why=str(error))
    return recorded


def place_after(name: str, typed: Typed, recorded: Recorded) -> str:
    """Return where a browser goes once something is written.

    Parameters
    ----------
    name : str
        The case's folder.
    typed : Typed
        Its ``then`` is the path of a section, or a stroke for the case's own page; anything else leads to the entry.
    recorded : Recorded
        What was written.

    Returns
    -------
    str
        An address of this case.
    """
    then = typed.get("then")
    if then == "/":
        return f"/case/{quote(name)}"
    if then in {section.path for section in SECTIONS if section.path}:
        return f"/case/{quote(name)}{then}"
    return f"/case/{quote(name)}/evidence#entry-{recorded.entries[-1].id}"


def file_beside(
    filings: Filings, case: Case, arrival: Arrival, typed: Typed, *, names: tuple[str, ...], shows: str
) -> Filing:
    """Begin to file beside the page what waits and is large; what was said of it is kept until it is filed.

    Parameters
    ----------
    filings : Filings
        What is being filed.
    case : Case
        The case.
    arrival : Arrival
        The files.
    typed : Typed
        What was said of them.
    names : tuple of str
        Which of them.
    shows : str
        A word of the vocabulary.

    Returns
    -------
    Filing
        Under way.

    Raises
    ------
    UnknownName
        The word is not in the vocabulary.
    InputError
        What was typed cannot be used.
    StorageError
        The disk refused.
    """
    showing(shows)
    stated = filing_fields(case, typed)
    kept = {field: texts for field, texts in typed.fields().items() if field not in ("hold", "file")}
    arrival.say(kept | {"shows": (shows,)})
    return filings.begin(
        case.folder,
        arrival,
        names=names,
        shows=shows,
        who=typed.get("who"),
        stated=stated,
        after=lambda recorded: place_after(case.folder.name, typed, recorded),
    )


def answer_brought(request: Request, name: str, typed: Typed, made: Recorded | Waiting | Filing) -> Response:
    """Answer once files are filed or held.

    Parameters
    ----------
    request : Request
        The request.
    name : str
        The case's folder.
    typed : Typed
        What was typed.
    made : Recorded, Waiting or Filing
        What became of it.

    Returns
    -------
    Response
        Leads to the entry, to where the files wait, or to how far they are filed.
    """
    if not isinstance(made, Recorded):
        place = f"/case/{quote(name)}/add/{made.token}" + ("/filing" if isinstance(made, Filing) else "")
        return done(request, made, place=place, status=HTTPStatus.ACCEPTED)
    return done(request, made, place=place_after(name, typed, made))


async def read_typed(request: Request, case: Case) -> Typed:
    """Take in a form that brings no files; those it brings all the same are dropped.

    Parameters
    ----------
    request : Request
        The request.
    case : Case
        The case.

    Returns
    -------
    Typed
        What was typed.

    Raises
    ------
    InputError
        It is no form of ours.
    """
    received = await receive(request, lambda: new_arrival(case.folder))
    if received.arrival is not None:
        received.arrival.drop()
    return read_form(received.items)


async def take(request: Request, filings: Filings, case: Case, word: str = "") -> Response:
    """Take in a form with what it brings, write it down, and answer.

    Parameters
    ----------
    request : Request
        The request.
    filings : Filings
        Where large files are filed.
    case : Case
        The case.
    word : str
        What it is recorded as; where empty, what the form says, and held where it says nothing.

    Returns
    -------
    Response
        Leads to the entry, or to where the files wait.

    Raises
    ------
    InputError
        It cannot be written as it is; nothing was written.
    StorageError
        The disk refused.
    """
    received = await receive(request, lambda: new_arrival(case.folder))
    arrival = received.arrival
    made: Recorded | Waiting | Filing | None = None

    def write(typed: Typed, shows: str) -> Recorded | Waiting | Filing:
        names = arrival.names() if arrival is not None and shows else ()
        if arrival is not None and names and large(arrival, names):
            return file_beside(filings, case, arrival, typed, names=names, shows=shows)
        return file_or_hold(case, shows, typed, arrival)

    try:
        typed = read_form(received.items)
        made = await run_in_threadpool(write, typed, word or typed.get("shows"))
    finally:
        if arrival is not None and not isinstance(made, Waiting | Filing):
            arrival.drop()
    return answer_brought(request, case.folder.name, typed, made)
