"""What was published: numbered issues, frozen, each with what changed since the last."""

from __future__ import annotations

import contextlib
import hashlib
import html
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from coldpin.casefile.changes import changes_since
from coldpin.casefile.storage import make_folder, place_folder
from coldpin.casefile.untrusted import MAXIMUM_TEXT, names_in, parse_json, problem, read_regular, require_folder, walk
from coldpin.errors import CaseError
from coldpin.records.assessment import Assessment, Problem
from coldpin.records.entry import Entry
from coldpin.records.plain import from_json, from_plain, to_json, to_plain

ASSESSMENT = "assessment.json"
MANIFEST = "manifest.json"
CHANGES = "changes.json"

MAXIMUM_PUBLISHED = 1 << 30
"""Largest file of an issue that is read back. [bytes]"""

_NUMBER = re.compile(r"[0-9]{2,}")
_PLAIN_NAME = re.compile(r"\w[\w.+-]{0,99}")
_TELLING = 8
"""Characters from which a text of a private entry is looked for in what is to be published."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuedFile:
    """One file of an issue."""

    name: str
    size: int
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What an issue consists of; ``previous_manifest`` is the sha256 of the manifest before it, which ties the row."""

    schema: str
    number: str
    issued_on: str
    title: str
    program_version: str
    files: tuple[IssuedFile, ...]
    previous: str = ""
    previous_manifest: str = ""


MANIFEST_SCHEMA = "coldpin.issue/1"
CHANGES_SCHEMA = "coldpin.changes/1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Issue:
    """One published issue: its number, where it stands, its date, what changed since the last.

    ``problems`` are those of the assessment that was just published: what was given and could not be used. ``remarks``
    say what whoever publishes should know of it.
    """

    number: str
    folder: Path
    issued_on: str
    changes: tuple[str, ...]
    problems: tuple[Problem, ...] = ()
    remarks: tuple[str, ...] = ()


def publish_issue(
    issued: Path,
    assessment: Assessment,
    files: Mapping[str, bytes],
    *,
    issued_on: str,
    private: Iterable[Entry],
    number: int | None = None,
) -> Issue:
    """Freeze an issue. The caller holds the case's edit lock.

    Parameters
    ----------
    issued : Path
        The case's ``issued``.
    assessment : Assessment
        What is published; written as ``assessment.json``.
    files : mapping of str to bytes
        The reports made from it, by file name.
    issued_on : str
        Day, as 2026-03-14.
    private : iterable of Entry
        The private entries of the case, none of which may show.
    number : int, optional
        The number printed in the reports; it must be the next.

    Returns
    -------
    Issue
        The issue, on the disk to stay.

    Raises
    ------
    CaseError
        It says the same as the last issue, shows something private, or a name, number or date is not right.
    StorageError
        The disk refused; nothing was published.
    """
    _check_date(issued_on)
    contents = _contents(assessment, files)
    _refuse_private(assessment, contents, tuple(private))
    make_folder(issued, what="the folder 'issued'")
    last = last_issue(issued)
    _refuse_repetition(issued, last, assessment, contents)
    following = int(last or 0) + 1
    if number is not None and number != following:
        raise CaseError(
            f"the reports are printed as issue {number:02}, but the next is {following:02}: make them again"
        )
    label = f"{following:02}"
    changes = changes_in(issued, assessment)
    contents[CHANGES] = _json({"schema": CHANGES_SCHEMA, "since": last, "changes": list(changes)})
    manifest = Manifest(
        schema=MANIFEST_SCHEMA,
        number=label,
        issued_on=issued_on,
        title=assessment.title,
        program_version=assessment.program_version,
        files=tuple(
            IssuedFile(name=name, size=len(data), sha256=hashlib.sha256(data).hexdigest())
            for name, data in sorted(contents.items())
        ),
        previous=last or "",
        previous_manifest=_sha256_of(issued / last / MANIFEST) if last else "",
    )
    contents[MANIFEST] = to_json(manifest).encode()
    if not place_folder(issued / label, contents, what=f"issue {label}"):
        raise CaseError(
            f"{issued / label} is there already; an issue is never changed: publish again for the next number"
        )
    return Issue(
        number=label, folder=issued / label, issued_on=issued_on, changes=changes, problems=assessment.problems
    )


def refuse_no_news(issued: Path, assessment: Assessment, names: Iterable[str], *, issued_on: str) -> None:
    """Refuse an issue that would tell its reader nothing new, before anything is drawn for it.

    Parameters
    ----------
    issued : Path
        The case's ``issued``; it need not be there.
    assessment : Assessment
        What is to be published.
    names : iterable of str
        The files that are to go with it.
    issued_on : str
        Day, as 2026-03-14.

    Raises
    ------
    CaseError
        It says the same as the last issue with the same files, or the day is none.
    """
    _check_date(issued_on)
    _refuse_repetition(issued, last_issue(issued), assessment, names)


def changes_in(issued: Path, assessment: Assessment) -> tuple[str, ...]:
    """Say what changed since the last issue, before this one is published, so that the report can print it.

    Parameters
    ----------
    issued : Path
        The case's ``issued``; it need not be there.
    assessment : Assessment
        What is to be published.

    Returns
    -------
    tuple of str
        Sentences; where the last issue cannot be read back, one that says so.
    """
    last = last_issue(issued)
    if last is None:
        return changes_since(None, assessment)
    try:
        data = read_regular(issued / last / ASSESSMENT, limit=MAXIMUM_PUBLISHED)
        previous = from_json(Assessment, data, where=f"issued/{last}/{ASSESSMENT}")
    except CaseError as error:
        why = problem(last, error, root=issued.parent).what
        return (f"Issue {last} cannot be compared with this one: {why}.",)
    return changes_since(previous, assessment)


def last_issue(issued: Path) -> str | None:
    """Return the number of the last issue.

    Parameters
    ----------
    issued : Path
        The case's ``issued``; it need not be there.

    Returns
    -------
    str or None
        Such as ``"02"``; None where nothing was published.
    """
    return max((name for name in names_in(issued) if _NUMBER.fullmatch(name)), key=int, default=None)


def issues(issued: Path) -> tuple[Issue, ...]:
    """Return all issues, first to last.

    Parameters
    ----------
    issued : Path
        The case's ``issued``; it need not be there.

    Returns
    -------
    tuple of Issue
        Those whose manifest can be read; :func:`check_issues` tells of the others.
    """
    found = []
    for number in sorted((name for name in names_in(issued) if _NUMBER.fullmatch(name)), key=int):
        try:
            manifest = _manifest(issued / number)
            said = parse_json(read_regular(issued / number / CHANGES, limit=MAXIMUM_TEXT), where=CHANGES)
        except CaseError:
            continue
        changes = tuple(str(line) for line in said.get("changes", ()))
        found.append(Issue(number=number, folder=issued / number, issued_on=manifest.issued_on, changes=changes))
    return tuple(found)


def check_issues(issued: Path) -> tuple[Problem, ...]:
    """Compare every issue with its manifest, and each manifest with the one before it.

    Parameters
    ----------
    issued : Path
        The case's ``issued``; it need not be there.

    Returns
    -------
    tuple of Problem
        What was changed, is missing, or was added since it was published.
    """
    problems = []
    numbers = sorted((name for name in names_in(issued) if _NUMBER.fullmatch(name)), key=int)
    for number in numbers:
        try:
            problems += _check_issue(issued, number)
        except CaseError as error:
            problems.append(problem(f"issued/{number}", error, root=issued.parent))
    return tuple(problems)


def _check_issue(issued: Path, number: str) -> list[Problem]:
    folder = issued / number
    require_folder(folder, what="the issue")
    manifest = _manifest(folder)
    said = []
    for file in manifest.files:
        if not _PLAIN_NAME.fullmatch(file.name):
            raise CaseError(f"its manifest names {file.name[:80]!r}, which is no plain file name")
        if _sha256_of(folder / file.name) != file.sha256:
            said.append((f"/{file.name}", "was changed since it was published: put the original back"))
    named = {MANIFEST, *(file.name for file in manifest.files)}
    said += [(f"/{name}", "was added after publishing: take it out") for name in names_in(folder) if name not in named]
    if manifest.previous and _sha256_of(issued / manifest.previous / MANIFEST) != manifest.previous_manifest:
        said.append(("", f"issue {manifest.previous}, which came before it, was changed since: put the original back"))
    return [Problem(where=f"issued/{number}{place}", what=what) for place, what in said]


def _manifest(folder: Path) -> Manifest:
    where = f"issued/{folder.name}/{MANIFEST}"
    manifest = from_plain(
        Manifest, parse_json(read_regular(folder / MANIFEST, limit=MAXIMUM_TEXT), where=where), where=where
    )
    if manifest.schema != MANIFEST_SCHEMA:
        raise CaseError(f"{where}: is of schema {manifest.schema[:60]!r}; this program reads {MANIFEST_SCHEMA!r}")
    if manifest.previous and not _NUMBER.fullmatch(manifest.previous):
        raise CaseError(f"{where}: previous {manifest.previous[:60]!r} is no number of an issue")
    return manifest


def _sha256_of(path: Path) -> str:
    return hashlib.sha256(read_regular(path, limit=MAXIMUM_PUBLISHED)).hexdigest()


def _contents(assessment: Assessment, files: Mapping[str, bytes]) -> dict[str, bytes]:
    own = to_json(assessment).encode()
    for name, data in files.items():
        if not _PLAIN_NAME.fullmatch(name) or name in (MANIFEST, CHANGES):
            raise CaseError(f"{name[:80]!r} cannot be a file of an issue: give report.html or report.pdf")
        if name == ASSESSMENT and data != own:
            raise CaseError(f"{ASSESSMENT} is not what the assessment says: make it from the same assessment")
        if not data:
            raise CaseError(f"{name!r} is empty: make the report again")
    return {**files, ASSESSMENT: own}


def _check_date(text: str) -> None:
    try:
        date.fromisoformat(text)
    except ValueError as error:
        raise CaseError(f"day of issue {text!r} is not a date: write it as 2026-03-14") from error


def _refuse_repetition(issued: Path, last: str | None, assessment: Assessment, names: Iterable[str]) -> None:
    """Refuse an issue that would tell its reader nothing but another date."""
    if last is None or not set(names) <= set(names_in(issued / last)):
        return
    try:
        where = f"issued/{last}/{ASSESSMENT}"
        before = parse_json(read_regular(issued / last / ASSESSMENT, limit=MAXIMUM_PUBLISHED), where=where)
    except CaseError:
        return
    now = to_plain(assessment)
    if {**before, "assessed_on": ""} == {**json.loads(json.dumps(now)), "assessed_on": ""}:
        raise CaseError(f"issue {last} says the same already: there is nothing new to publish")


def _refuse_private(assessment: Assessment, contents: Mapping[str, bytes], private: tuple[Entry, ...]) -> None:
    ids = {entry.id for entry in private}
    shown = [entry.id for entry in assessment.entries if entry.private or entry.id in ids]
    if shown:
        raise CaseError(f"entry {shown[0]} is private and would be published: assess without private entries")
    public = "\n".join(str(value) for value in (*_strings(assessment.case), *_strings(assessment.entries)))
    texts = {name: _readable(data) for name, data in contents.items()}
    for entry in private:
        for secret in (entry.id, *_telling(entry)):
            where = next((name for name, text in texts.items() if secret in text), None)
            if where is not None and secret not in public:
                raise CaseError(
                    f"{where} shows {secret!r} of the private entry {entry.id}: take it out and publish again"
                )


def _telling(entry: Entry) -> list[str]:
    own = (entry.note, entry.reason, *entry.conditions.values(), *entry.readings)
    pieces = [entry.evidence, entry.evidence.companion] if entry.evidence else []
    filed = [name for piece in pieces if piece for name in (piece.original_name, piece.file, piece.address)]
    lines = [line.strip() for text in (*own, *filed) for line in text.splitlines()]
    return [line for line in lines if len(line) >= _TELLING]


def _strings(record: object) -> list[str]:
    return [value for _, value in walk(record) if isinstance(value, str)]


def _readable(data: bytes) -> str:
    """Return what a person reads in a file; a PDF shows nothing here, but is made from the same record."""
    text = data.decode("utf-8", "ignore")
    with contextlib.suppress(ValueError, RecursionError):
        return "\n".join(_strings(json.loads(text)))
    return html.unescape(text)


def _json(plain: Mapping[str, object]) -> bytes:
    return (json.dumps(plain, ensure_ascii=False, indent=2) + "\n").encode()
