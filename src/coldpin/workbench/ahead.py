"""What a second process makes ahead of the first when a case is assessed: parts of the assessment, then figures.

The first goes through captures and checks in their order, the second begins with the last check; what one has made,
the other finds in the case's cache (:mod:`coldpin.casefile.pieces`). Then the first gives the assessment over, and both
make the same document of it: the first draws its figures from the first on, the second from the last.
:mod:`coldpin.workbench.beside` holds the two together. Nothing is imported here before the process is started, so that
both load the program at the same time.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

from coldpin.workbench.beside import Helper, Line, line_to_the_first, more_than_one_core

if TYPE_CHECKING:
    from coldpin.records.assessment import Assessment
    from coldpin.report.figures.drawing import Pencil

_MODULE = "coldpin.workbench.ahead"
_TO_DRAW = "assessment"


@contextlib.contextmanager
def second_process(folder: Path, *, wanted: bool = True) -> Iterator[Callable[[], Line | None]]:
    """Have a second process at hand within the block, which assesses and draws ahead.

    It starts at once where nothing is kept of the case yet, else when the line to it is asked for.

    Parameters
    ----------
    folder : Path
        The case.
    wanted : bool
        False for none.

    Yields
    ------
    callable
        Returns the line to it; None where there is none, or it would have no core to work on.
    """
    if not (wanted and more_than_one_core()):
        yield lambda: None
        return
    with Helper(_MODULE, (str(folder.absolute()),)) as helper:
        if (folder / "case.toml").is_file() and not any((folder / "cache").glob("*")):
            helper.start()
        yield helper.start


def begin_check(line: Line, check: str) -> None:
    """Say in the first process that a check is begun, which the second then leaves.

    Parameters
    ----------
    line : Line
        To the other process.
    check : str
        Its id.
    """
    line.begin(f"check {check}")


@contextlib.contextmanager
def turn(line: Line, piece: str) -> Iterator[None]:
    """Make a piece in turns with the other process: where that is at it, wait until it is kept.

    Parameters
    ----------
    line : Line
        To the other process.
    piece : str
        The key of the piece.

    Yields
    ------
    None
        Nothing; the block takes the piece from the cache, or makes it.
    """
    line.take(piece)
    line.begin(piece)
    try:
        yield
    finally:
        line.give(piece)


def give_to_draw(line: Line, assessment: Assessment) -> Pencil:
    """Give an assessment to the second process to draw its figures.

    Parameters
    ----------
    line : Line
        To the other process.
    assessment : Assessment
        The record.

    Returns
    -------
    callable
        Draws the figures of its document in their order, and takes those that were drawn by the other.
    """
    from coldpin.workbench.environment import source_hash

    line.give(_TO_DRAW, (source_hash(), assessment))
    numbers = count()

    def pencil(make: Callable[[], str]) -> str:
        name = _figure(next(numbers))
        drawn = line.take(name)
        if isinstance(drawn, str):
            return drawn
        line.begin(name)
        return make()

    return pencil


def _figure(number: int) -> str:
    return f"figure {number}"


def _make_parts(line: Line, folder: str) -> None:
    """Make parts of the assessment until the first process has begun the rest."""
    from coldpin.casefile.case import open_case
    from coldpin.casefile.pieces import Pieces
    from coldpin.errors import ColdpinError
    from coldpin.workbench.assessing import make_parts
    from coldpin.workbench.drafting import keeping
    from coldpin.workbench.opening import open_to_assess

    with contextlib.suppress(ColdpinError):  # the first process meets it too, and tells it
        keep = keeping(open_case(folder))
        if isinstance(keep, Pieces):
            opened = open_to_assess(folder, replace(keep, turn=partial(turn, line)))
            make_parts(opened, lambda check: not line.is_begun(f"check {check}"))


def _draw(line: Line) -> None:
    """Draw the figures of the assessment that the first process gives, from the last to the first."""
    from coldpin.report import build_document
    from coldpin.report.figures.drawing import drawn_by
    from coldpin.workbench.environment import source_hash

    source, assessment = line.expect(_TO_DRAW)
    if source != source_hash():
        return
    figures: list[Callable[[], str]] = []

    def collecting(make: Callable[[], str]) -> str:
        figures.append(make)
        return ""

    with drawn_by(collecting):
        build_document(assessment)
    for number, make in reversed(list(enumerate(figures))):
        name = _figure(number)
        if line.is_begun(name):
            return
        line.begin(name)
        line.give(name, make())


def main() -> None:
    """Do in the second process what it is for, and wait for its end."""
    line, (folder,) = line_to_the_first()
    _make_parts(line, folder)
    _draw(line)
    line.close()
    os._exit(0)  # its reader waits for the first process, and need not be waited for


if __name__ == "__main__":
    main()
