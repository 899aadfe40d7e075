"""Figures beside a page: drawn once for a record, one at a time, and nobody waits for one that is there."""

from __future__ import annotations

import threading

from coldpin.report.document import Figure
from coldpin.web.figure import KEPT, Figures

PATIENCE = 30.0
"""Seconds after which a thread that hangs is given up."""


def figure(alt: str) -> Figure:
    """A figure that is hardly one."""
    return Figure(anchor="x", svg="<svg/>", alt=alt, caption="", width_mm=10.0)


def test_a_figure_is_drawn_once_for_its_record() -> None:
    """Of another record it is drawn anew, and of all only the last are kept."""
    figures, drawn = Figures(), list[str]()

    def draw(of: object, alt: str) -> Figure:
        def make() -> Figure:
            drawn.append(alt)
            return figure(alt)

        return figures.draw(of, "curve", make)

    records = [[number] for number in range(KEPT + 1)]
    assert draw(records[0], "first") is draw(records[0], "again")
    for number, record in enumerate(records[1:], start=1):
        draw(record, str(number))
    draw(records[0], "after many")
    assert drawn == ["first", *map(str, range(1, KEPT + 1)), "after many"]


def test_what_was_drawn_is_given_out_while_another_is_drawn() -> None:
    """And two who ask for one that is being drawn get the same."""
    figures, there, other = Figures(), object(), object()
    first = figures.draw(there, "curve", lambda: figure("there"))
    begun, go_on, taken = threading.Event(), threading.Event(), list[Figure]()

    def slowly() -> Figure:
        begun.set()
        go_on.wait(PATIENCE)
        return figure("slow")

    hands = [
        threading.Thread(target=lambda: taken.append(figures.draw(other, "curve", slowly)), daemon=True)
        for _ in range(2)
    ]
    for hand in hands:
        hand.start()
    assert begun.wait(PATIENCE)
    assert figures.draw(there, "curve", lambda: figure("never")) is first
    go_on.set()
    for hand in hands:
        hand.join(PATIENCE)
    assert taken[0] is taken[1]
