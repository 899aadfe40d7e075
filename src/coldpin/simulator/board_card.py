"""A printed scale card that lies in a virtual scene: what is black on it, how true the printer was, how it lies."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from coldpin.simulator.board_crossing import Block

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedCard:
    """A card as it was meant to be: its paper, and what is black on it. [mm]"""

    paper: Block
    black: tuple[Block, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LyingCard:
    """A card as it was printed and as it lies.

    ``at`` is where its zero lies, with the height above the board's face [mm], ``turn_deg`` how it is turned.
    ``print_scale`` is what the printer made of a millimetre, along and across [1]. ``rise`` is how much it rises, along
    and across, over one millimetre [1]: a card that does not lie level. ``bow_mm`` is how far the middle of a card that
    is not stiff stands above its ends; below zero its ends stand up. Its lowest part lies where a flat card would.
    ``bow_toward_deg`` is in which direction it bows: 0 along, 90 across. ``bow_skew`` is how much more it bends at its
    far end than in the middle, as part of that [1]: 0 for the arc of a circle.
    """

    card: PrintedCard
    at: tuple[float, float, float] = (0.0, 0.0, 0.0)
    turn_deg: float = 0.0
    print_scale: tuple[float, float] = (1.0, 1.0)
    rise: tuple[float, float] = (0.0, 0.0)
    bow_mm: float = 0.0
    bow_toward_deg: float = 0.0
    bow_skew: float = 0.0

    def place(self, points: Array) -> Array:
        """Return where points of the card are in the scene.

        Parameters
        ----------
        points : NDArray[np.float64]
            Array of shape (n, 2), from the card's zero, as it was meant to be. [mm]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (n, 3). [mm]

        Examples
        --------
        >>> lying = LyingCard(card=yard_card(), at=(5.0, 0.0, 1.0), turn_deg=90.0)
        >>> lying.place(np.array([[10.0, 0.0]])).round(9).tolist()
        [[5.0, 10.0, 1.0]]
        """
        bowed, heights = self._bowed(points)
        along, across = (bowed * np.array(self.print_scale)).T
        turn, slopes = math.radians(self.turn_deg), [math.atan(rise) for rise in self.rise]
        flat = along * math.cos(slopes[0]), across * math.cos(slopes[1])
        return np.column_stack(
            [
                self.at[0] + flat[0] * math.cos(turn) - flat[1] * math.sin(turn),
                self.at[1] + flat[0] * math.sin(turn) + flat[1] * math.cos(turn),
                self.at[2] + along * math.sin(slopes[0]) + across * math.sin(slopes[1]) + heights,
            ]
        )

    def _bowed(self, points: Array) -> tuple[Array, Array]:
        """Return where points of the sheet come to lie when it bows, and how high: paper bends, it does not stretch."""
        if self.bow_mm == 0.0:
            return points, np.zeros(len(points))
        paper, toward = self.card.paper, math.radians(self.bow_toward_deg)
        direction = np.array([math.cos(toward), math.sin(toward)])
        size = np.array([paper.right - paper.left, paper.high - paper.low])
        half = 0.5 * float(np.abs(direction) @ size)
        middle = np.array([paper.left, paper.low]) + 0.5 * size
        steps = np.linspace(-1.0, 1.0, STEPS)

        def curve(end_slope: float) -> Array:
            """Walk along the sheet in short straight steps; then turn it so that its ends lie level."""
            between = 0.5 * (steps[1:] + steps[:-1])
            slope = -end_slope * (between + 0.5 * self.bow_skew * between**2)
            walked = np.concatenate([[0.0], np.cumsum(np.exp(1j * slope))]) * half * (steps[1] - steps[0])
            level = walked * np.exp(-1j * np.angle(walked[-1] - walked[0]))
            level = level - 0.5 * (level[0] + level[-1])
            return np.array([level.real, level.imag])

        def short_of(end_slope: float) -> float:
            return float(np.max(curve(end_slope)[1])) - abs(self.bow_mm)

        along, height = curve(brentq(short_of, 0.0, STEEPEST))
        height = height if self.bow_mm > 0.0 else -self.bow_mm - height
        part = (points - middle) @ direction / half
        moved = np.interp(part, steps, along) - part * half
        return points + moved[:, None] * direction, np.interp(part, steps, height)


STEPS = 801
"""Straight steps that a bowed sheet is made of. [1]"""

STEEPEST = 2.0
"""Slope at the ends of a sheet that is rolled up. [rad]"""

COLUMNS, ROWS, SQUARE, MARK = 12, 8, 7.5, 5.5
"""The card at the yard: squares across and down, side of a square and of the mark in a light one. [mm]"""

MARKS = (
    "B532 0F9A 332D 9946 549E 79CD 9E2E C4F2 FEDA CF56 F991 11A7 "
    "0EB7 2A0F 24B1 263E 4665 6600 6C5E 76AF 868B B02B CCD5 DD82 "
    "FE47 9471 ACE4 A554 2123 346F 4415 57B2 9ECF F0CB 08AE 0929 "
    "1875 04FF 0DF6 1C5A 1718 2A28 328C 38B2 24E8 2EEB 2D3F 4B64"
)
"""Cells of the marks by number, row by row from the upper left, a one for white: read off a printed card."""


def yard_card() -> PrintedCard:
    """Return the scale card of the yard: a chessboard whose light squares hold marks; two bars beside it.

    Its zero is the lower left corner of the chessboard, its upper left square is dark.

    Returns
    -------
    PrintedCard
        As it was meant to be.

    Examples
    --------
    >>> card = yard_card()
    >>> card.paper.right - card.paper.left, sum(block.right - block.left == SQUARE for block in card.black)
    (116.0, 48)
    """
    black, cells = [], iter(MARKS.split())
    for row in range(ROWS):
        for column in range(COLUMNS):
            left, low = column * SQUARE, (ROWS - 1 - row) * SQUARE
            if (row + column) % 2 == 0:
                black.append(Block(left=left, low=low, right=left + SQUARE, high=low + SQUARE))
            else:
                rim = 0.5 * (SQUARE - MARK)
                black += _mark(left + rim, low + rim, int(next(cells), 16))
    across, up = COLUMNS * SQUARE, ROWS * SQUARE
    bars = (
        Block(left=0.0, low=-7.5, right=across, high=-4.5),
        Block(left=across + 4.5, low=0.0, right=across + 7.5, high=up),
    )
    return PrintedCard(paper=Block(left=-10.0, low=-14.0, right=across + 16.0, high=up + 9.0), black=(*black, *bars))


def _mark(left: float, low: float, cells: int) -> list[Block]:
    """Return a mark as black runs: six by six cells, the outer ones black."""
    cell, runs = MARK / 6.0, []
    for row in range(6):
        inner = format(cells, "016b")[4 * (row - 1) : 4 * row] if 0 < row < 5 else "0000"
        line = f"0{inner}0"
        column = 0
        for light, run in groupby(line):
            length = len(list(run))
            if light == "0":
                start, foot = left + column * cell, low + (5 - row) * cell
                runs.append(Block(left=start, low=foot, right=start + length * cell, high=foot + cell))
            column += length
    return runs
