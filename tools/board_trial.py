"""The part of a trial that is about the board inside: a drawing on its photograph, and gaps by calliper."""

from __future__ import annotations

from itertools import pairwise
from typing import Protocol

import numpy as np

from coldpin.checks import BoardEvidence
from coldpin.records.board import BoardModel
from coldpin.records.board_words import BOARD_DRAWING, CALLIPER_GAP
from coldpin.records.distance_words import LAYOUT, OVER_FLAT, OVER_SLOT, UNDER_PARTS, UNUSED_PINS
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.instrument import Instrument
from coldpin.simulator.board import VirtualBoard
from coldpin.simulator.board_camera import draw_camera
from coldpin.simulator.board_card import LyingCard, yard_card
from coldpin.simulator.board_crossing import Crossing
from coldpin.simulator.board_fault import BoardSpecimen
from coldpin.simulator.board_hand import draw_by_hand, find_card, read_gap

BOARD_INSTRUMENTS = {
    "calliper": Instrument(
        name="calliper", kind="calliper", statements={"length": "3 digits on 150 mm, resolution 0.01 mm"}
    ),
}

HAND, SAID = 0.45, 0.7
"""Deviation of the hand that draws on an enlarged picture, and what a careful tester says of it. [px]"""

PICTURE = (4000, 2600)
"""Size of the picture. [px]"""


class Notebook(Protocol):
    """Where a trial is written down."""

    rng: np.random.Generator
    boards: list[BoardEvidence]

    def record(self, shows: str, *, kind: EntryKind = EntryKind.READING, **more: object) -> Entry:
        """Write an entry down."""


def record_board(book: Notebook, specimen: BoardSpecimen) -> None:
    """Write down what a careful tester finds on a board: a drawing of one face, and each narrow place by calliper.

    Parameters
    ----------
    book : Notebook
        Where it is written.
    specimen : BoardSpecimen
        The board.
    """
    board = specimen.board
    entry = book.record(BOARD_DRAWING, kind=EntryKind.EVIDENCE, conditions={"drawn from": "photograph"})
    book.boards.append(BoardEvidence(entry=entry, board=_drawing(board, book.rng)))
    for crossing in board.crossings:
        if any(net.startswith("mains") for net in crossing.nets):
            _gap(book, board, crossing)
    left = "yes" if any(crossing.floating for crossing in board.crossings) else "no"
    book.record(UNUSED_PINS, kind=EntryKind.OBSERVATION, answer=left, conditions={"of": "all that cross"})


def _drawing(board: VirtualBoard, rng: np.random.Generator) -> BoardModel:
    """Return the board as drawn over a photograph with the scale card beside it."""
    print_scale = (float(rng.uniform(0.997, 1.003)), float(rng.uniform(0.997, 1.003)))
    lying = LyingCard(
        card=yard_card(),
        at=(board.width + 14.0, 16.0, float(rng.uniform(-0.3, 0.3))),
        turn_deg=float(rng.uniform(-4.0, 4.0)),
        print_scale=print_scale,
    )
    camera = draw_camera(rng, over=(0.0, 0.0, board.width + 124.0, 90.0), size=PICTURE, tilt_deg=6.0, bend=0.006)
    return BoardModel(
        features=draw_by_hand(board, camera, pick_px=HAND, seed=rng),
        calibration=find_card(lying, camera, seed=rng, pick_u_px=SAID, face_above_mm=0.0),
    )


def _gap(book: Notebook, board: VirtualBoard, crossing: Crossing) -> None:
    ends, further = _ends(board, crossing)
    stated = {
        "from": ends[0],
        "to": ends[1],
        "over": OVER_FLAT if crossing.slot is None else OVER_SLOT,
        "searched": UNDER_PARTS,
        "made by": LAYOUT,
    }
    beside = {"optocoupler": "optocoupler", "relay": "relay", "connector": "unused pin"}.get(crossing.part)
    if beside is not None:
        stated["beside"] = beside
    if further:
        read = [read_gap(board, pair, seed=book.rng)[0] for pair in further]
        stated["further gaps"] = ", ".join(read)
    shown = read_gap(board, ends, seed=book.rng, repeats=3)
    book.record(CALLIPER_GAP, readings=shown, instrument="calliper", conditions=stated)


def _ends(board: VirtualBoard, crossing: Crossing) -> tuple[tuple[str, str], list[tuple[str, str]]]:
    """Return the shapes that face each other at a crossing, and the pairs behind what floats between them."""
    names = [board.shape_of(block).name for block in (crossing.left, *crossing.floating, crossing.right)]
    return (names[0], names[-1]), list(pairwise(names[1:]))
