"""One assessment record becomes one document tree, and that a page and a PDF; no file is opened, no clock is read."""

from coldpin.report.build import Issue, build_document
from coldpin.report.document import Document
from coldpin.report.html import render_html
from coldpin.report.pdf import render_pdf
from coldpin.report.schema import schemas, write_schemas

__all__ = ["Document", "Issue", "build_document", "render_html", "render_pdf", "schemas", "write_schemas"]
