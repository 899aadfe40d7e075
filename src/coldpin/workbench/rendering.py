"""From an assessment record to the files of its report."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from typing import TYPE_CHECKING, TypeVar

from coldpin.records.assessment import Assessment
from coldpin.records.plain import to_json

if TYPE_CHECKING:
    from coldpin.report import Issue
    from coldpin.report.figures.drawing import Pencil

T = TypeVar("T")


def render(assessment: Assessment, *, stamp: Issue | None = None) -> tuple[bytes, bytes, bytes]:
    """Return the record, the page and the PDF of an assessment.

    Parameters
    ----------
    assessment : Assessment
        The record.
    stamp : Issue, optional
        Number, day and changes of the issue to be published; a draft where left out.

    Returns
    -------
    tuple of bytes
        JSON, HTML, PDF.
    """
    return render_and(assessment, lambda: None, stamp=stamp)[0]


def render_and(
    assessment: Assessment,
    meanwhile: Callable[[], T],
    *,
    stamp: Issue | None = None,
    pencil: Pencil | None = None,
    progress: Callable[[float], None] | None = None,
) -> tuple[tuple[bytes, bytes, bytes], T]:
    """Return what :func:`render` does, and what else is made while the typesetter works.

    Parameters
    ----------
    assessment : Assessment
        The record.
    meanwhile : callable
        Makes something else of it.
    stamp : Issue, optional
        Number, day and changes of the issue to be published; a draft where left out.
    pencil : callable, optional
        Draws the figures; each is drawn at once where left out.
    progress : callable, optional
        Told the fraction of the chapters written, before they are set in type; what it raises stops the work.

    Returns
    -------
    tuple of bytes
        JSON, HTML, PDF.
    object
        What ``meanwhile`` returned.
    """
    # drawing takes long to load, and advice on the next test draws nothing
    from coldpin.report import build_document, render_html, render_pdf
    from coldpin.report.figures.drawing import drawn_by

    with drawn_by(pencil) if pencil else nullcontext():
        document = build_document(assessment, issue=stamp, progress=progress)
    with ThreadPoolExecutor(max_workers=1) as beside:
        # the typesetter needs no Python meanwhile
        sheet = beside.submit(render_pdf, document)
        record, page, other = to_json(assessment).encode(), render_html(document).encode(), meanwhile()
        return (record, page, sheet.result()), other
