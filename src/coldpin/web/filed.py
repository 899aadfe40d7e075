"""What was filed with an entry, given out as it came or as a picture in small."""

from __future__ import annotations

from fastapi import Response
from fastapi.responses import FileResponse

from coldpin.capture.thumbnail import thumbnail
from coldpin.casefile import Case
from coldpin.errors import CaptureError, MissingExtra, UnknownName
from coldpin.records.entry import Entry, EvidenceFile
from coldpin.web.desk import Desk
from coldpin.web.lately import Lately

SHOWN = {"png": "image/png", "jpg": "image/jpeg", "jpeg": "image/jpeg", "webp": "image/webp", "gif": "image/gif"}
"""Endings of files that a browser shows as pictures; any other is given out to be kept."""

SMALLS = 300
"""Ours: so many small pictures are kept, some six megabytes."""


def is_picture(entry: Entry) -> bool:
    """Say whether a browser can show what was filed with an entry.

    Parameters
    ----------
    entry : Entry
        The entry.

    Returns
    -------
    bool
        By the ending of the file's name.
    """
    return entry.evidence is not None and _ending(entry.evidence.file) in SHOWN


class Smalls:
    """Pictures in small that were shown lately: what was filed never changes."""

    def __init__(self) -> None:
        self._held: Lately[str, bytes] = Lately(SMALLS)

    def small(self, desk: Desk, name: str, entry: str) -> Response:
        """Give out a picture in small, or as it came where it cannot be made small.

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
        Response
            A JPEG, to be kept by the browser: what was filed never changes.

        Raises
        ------
        UnknownName
            There is no such case or entry, or nothing was filed with it.
        CaseError
            The file is gone or was changed.
        """
        case, evidence = _found(desk, name, entry)
        made = self._held.get(evidence.sha256)
        if made is None:
            try:
                made = self._held.keep(evidence.sha256, thumbnail(case.evidence_path(evidence)))
            except (CaptureError, MissingExtra):
                return filed(desk, name, entry)
        return Response(made, media_type="image/jpeg", headers={"cache-control": "private, max-age=86400"})


def filed(desk: Desk, name: str, entry: str) -> FileResponse:
    """Give out what was filed with an entry, as it came.

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
    FileResponse
        To be seen where it is a picture, else to be kept; never run.

    Raises
    ------
    UnknownName
        There is no such case or entry, or nothing was filed with it.
    CaseError
        The file is gone or was changed.
    """
    case, evidence = _found(desk, name, entry)
    path = case.evidence_path(evidence)
    kind = SHOWN.get(_ending(path.name))
    return FileResponse(
        path,
        media_type=kind or "application/octet-stream",
        filename=evidence.original_name or path.name,
        content_disposition_type="inline" if kind else "attachment",
        headers={"content-security-policy": "default-src 'none'; sandbox"},
    )


def _found(desk: Desk, name: str, entry: str) -> tuple[Case, EvidenceFile]:
    case = desk.case(name)
    found = case.find_entry(entry)
    if found.evidence is None or not found.evidence.file:
        raise UnknownName(f"nothing was filed with entry {found.id}")
    return case, found.evidence


def _ending(file: str) -> str:
    return file.rpartition(".")[2].casefold()
