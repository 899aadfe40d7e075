"""A document written where a person asks for it: as a page or as a sheet, over nothing that is there."""

from __future__ import annotations

import os
from pathlib import Path

from coldpin.casefile.storage import write_new
from coldpin.errors import CaseError
from coldpin.report.document import Document


def write_document(document: Document, path: Path, *, what: str) -> Path:
    """Write a document as a page or as a sheet, by the end of its name.

    Parameters
    ----------
    document : Document
        What is written.
    path : Path
        Where, ending in ``.html`` or ``.pdf``.
    what : str
        How a message calls it, as "the comparison".

    Returns
    -------
    Path
        The file.

    Raises
    ------
    CaseError
        The name ends otherwise, the file is there already, or its folder is not.
    StorageError
        The disk refused.
    """
    from coldpin.report import render_html, render_pdf

    check_place(path)
    data = render_pdf(document) if path.suffix == ".pdf" else render_html(document).encode()
    if not write_new(path, data, what=what):
        raise CaseError(f"{path} is there already: give another name, or move it away")
    return path


def check_place(path: Path) -> None:
    """Refuse a place where no document can be written, before the work that would be lost.

    Parameters
    ----------
    path : Path
        Where it is to be written.

    Raises
    ------
    CaseError
        The name ends otherwise than in ``.html`` or ``.pdf``, the file is there already, or its folder is not.
    """
    if path.suffix not in (".html", ".pdf"):
        raise CaseError(f"{path.name!r} is neither a page nor a sheet: end the name in .html or .pdf")
    if os.path.lexists(path):
        raise CaseError(f"{path} is there already: give another name, or move it away")
    if not path.absolute().parent.is_dir():
        raise CaseError(f"{path.parent} is no folder: make it, or give another name")
