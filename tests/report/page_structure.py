"""What a page consists of, read with the standard library's parser: enough to say whether it hangs together."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"br", "col", "meta", "link", "img", "input", "hr"}
"""Elements without an end tag (HTML living standard, 13.1.2); those of a drawing close themselves."""

LOADING = {"src", "srcset", "data", "poster", "background", "action", "formaction"}
"""Attributes by which a page fetches something."""


@dataclass
class Page:
    """Elements in the order met, with what is wrong in how they nest."""

    elements: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    words: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        """All text that is shown, in order."""
        return " ".join("".join(self.words).split())

    def of(self, *tags: str) -> list[tuple[str, dict[str, str]]]:
        """Return the elements with one of these names."""
        return [element for element in self.elements if element[0] in tags]

    def ids(self) -> list[str]:
        """Return every id in the page."""
        return [attributes["id"] for _, attributes in self.elements if "id" in attributes]

    def references(self) -> list[str]:
        """Return everything an ``href`` names."""
        return [value for _, attributes in self.elements for key, value in attributes.items() if key.endswith("href")]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.page = Page()
        self._open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        if len(names) != len(set(names)):
            self.page.faults.append(f"<{tag}> has an attribute twice: {names}")
        self.page.elements.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.page.elements.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        if not self._open or self._open[-1] != tag:
            self.page.faults.append(f"</{tag}> at {self.getpos()} closes {self._open[-1:]}")
            return
        self._open.pop()

    def handle_data(self, data: str) -> None:
        if not {"style", "title"} & set(self._open):
            self.page.words.append(data)

    def left_open(self) -> list[str]:
        return self._open


def read_page(html: str) -> Page:
    """Read a page and note what does not nest."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    reader.page.faults += [f"<{tag}> is never closed" for tag in reader.left_open()]
    return reader.page
