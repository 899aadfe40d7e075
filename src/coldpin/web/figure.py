"""Figures of a page: drawn by the report's own functions, served beside the page, drawn once for each assessment.

A figure is no part of the page's text: an SVG's own styles would ask for a weaker policy of the whole page, and a page
is there before its figures are: it is drawn when it is asked for, and what it shows in words comes from the record that
it is drawn from. One is drawn at a time; what was drawn before is given out meanwhile.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass

from fastapi import Response

from coldpin.report.document import Figure
from coldpin.report.html import figure_alone
from coldpin.web.answering import TOLD, Pages
from coldpin.web.lately import Lately

KEPT = 60
"""Ours: so many drawn figures are kept, a few megabytes."""

POLICY = "default-src 'none'; style-src 'unsafe-inline'; font-src data:"
"""Of an SVG by itself: its styles are its own, and it can do nothing else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A figure of a page: where it is, and what it shows in words."""

    address: str
    alt: str


class Figures:
    """The figures that were drawn lately."""

    def __init__(self) -> None:
        self._pencil = threading.Lock()
        self._drawn: Lately[tuple[int, str], tuple[object, Figure]] = Lately(KEPT)

    def draw(self, of: object, what: str, make: Callable[[], Figure]) -> Figure:
        """Return a figure, drawn where it was not yet.

        Parameters
        ----------
        of : object
            The record it is drawn from; the same record gives the same figure.
        what : str
            Which figure of it.
        make : callable
            Draws it.

        Returns
        -------
        Figure
            The figure.
        """
        key = (id(of), what)
        if (found := self._drawn.get(key)) is not None:
            return found[1]
        with self._pencil:  # the settings with which figures are drawn are those of the whole process
            # the record is kept beside, so that no other comes to have its number
            return (self._drawn.get(key) or self._drawn.keep(key, (of, make())))[1]


def serve(pages: Pages, address: str, draw: Callable[[str, str], Figure]) -> None:
    """Add the route of a figure.

    Parameters
    ----------
    pages : Pages
        Where it goes.
    address : str
        With ``{name}`` of the case and ``{entry}``.
    draw : callable
        Takes both and returns the figure.
    """

    @pages.router.get(address, response_class=Response, responses=dict(TOLD), summary="A figure.")
    def figure(name: str, entry: str) -> Response:
        return svg(draw(name, entry))


def svg(drawn: Figure) -> Response:
    """Return a figure as an answer of its own.

    Parameters
    ----------
    drawn : Figure
        The figure.

    Returns
    -------
    Response
        Its drawing, under a policy of its own.
    """
    headers = {"content-security-policy": POLICY, "cache-control": "no-store"}
    return Response(figure_alone(drawn), media_type="image/svg+xml", headers=headers)
