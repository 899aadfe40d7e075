"""The pages of a PDF as pictures: what a reader of the PDF sees, to be looked through without another program."""

from __future__ import annotations

import threading
from io import BytesIO

from coldpin.errors import MissingExtra, UnknownName

INSTALL = "the pages of a PDF are drawn by an optional part: install it with: pip install 'coldpin[page]'"

_ONE_AT_A_TIME = threading.Lock()
"""The library that draws pages serves one caller at a time."""


def page_count(pdf: bytes) -> int:
    """Return how many pages a PDF has.

    Parameters
    ----------
    pdf : bytes
        The PDF, one of ours.

    Returns
    -------
    int
        At least one. [1]

    Raises
    ------
    MissingExtra
        The library that reads it is not installed.
    """
    with _ONE_AT_A_TIME:
        document = _opened(pdf)
        try:
            return len(document)
        finally:
            document.close()


def draw_page(pdf: bytes, number: int, *, width_px: int) -> bytes:
    """Draw one page of a PDF.

    Parameters
    ----------
    pdf : bytes
        The PDF, one of ours.
    number : int
        Which page, from 1.
    width_px : int
        How wide the picture is. [1]

    Returns
    -------
    bytes
        A PNG.

    Raises
    ------
    UnknownName
        It has no such page.
    MissingExtra
        The library that reads it is not installed.
    """
    with _ONE_AT_A_TIME:
        document = _opened(pdf)
        try:
            if not 1 <= number <= len(document):
                raise UnknownName(f"there is no page {number}: the report has {len(document)}")
            page = document[number - 1]
            drawn = page.render(scale=width_px / page.get_width()).to_pil()
        finally:
            document.close()
    written = BytesIO()
    drawn.save(written, format="PNG")
    return written.getvalue()


def _opened(pdf: bytes):  # type: ignore[no-untyped-def]  # the library ships no types
    try:
        import pypdfium2  # type: ignore[import-untyped]  # the library ships no types
    except ModuleNotFoundError as error:
        raise MissingExtra(INSTALL) from error
    return pypdfium2.PdfDocument(pdf)
