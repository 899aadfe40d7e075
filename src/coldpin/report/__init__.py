"""One assessment record becomes one document tree, and that a page and a PDF; no file is opened, no clock is read.

The functions are imported when they are first asked for: what needs one sheet of paper does not wait for the figures.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coldpin.report.build import Issue, build_document
    from coldpin.report.document import Document
    from coldpin.report.html import render_html
    from coldpin.report.pdf import render_pdf
    from coldpin.report.schema import schemas, write_schemas

__all__ = ["Document", "Issue", "build_document", "render_html", "render_pdf", "schemas", "write_schemas"]

_HOME = {
    "Document": "document",
    "Issue": "build",
    "build_document": "build",
    "render_html": "html",
    "render_pdf": "pdf",
    "schemas": "schema",
    "write_schemas": "schema",
}
"""The module each name lives in; none bears the name of a function, which it would hide."""


def __getattr__(name: str) -> object:
    if name in _HOME:
        return getattr(import_module(f"{__name__}.{_HOME[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
