"""Virtual boards as they might be: what lies at each place of the band, and how far apart, is drawn."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from coldpin.errors import OutsideRange
from coldpin.simulator.board import VirtualBoard
from coldpin.simulator.board_layout import CrossingPlan, lay_out


def draw_board(rng: np.random.Generator, *, crossings: int = 4) -> VirtualBoard:
    """Return a board as it might be: each place of its band of another kind, the distances drawn.

    Parameters
    ----------
    rng : numpy.random.Generator
        Where kinds and distances come from.
    crossings : int
        How many places where both sides come near, at least two. [1]

    Returns
    -------
    VirtualBoard
        At least one crossing each to the pilot and to the low-voltage side.

    Raises
    ------
    OutsideRange
        Fewer than two crossings.

    Examples
    --------
    >>> from coldpin.simulator.board_layout import FAR
    >>> board = draw_board(np.random.default_rng(3))
    >>> 1.0 < board.clearance_mm("mains", "pilot") <= board.creepage_mm("mains", "pilot", groove_x_mm=1.0) < FAR
    True
    """
    if crossings < 2:
        raise OutsideRange(f"{crossings} crossings; a board is drawn with two or more, for pilot and low voltage")
    rights = [
        "pilot CP",
        "low-voltage GND",
        *rng.choice(["pilot CP", "low-voltage GND", "low-voltage 12V"], crossings - 2),
    ]
    rng.shuffle(rights)
    lefts = ["mains L", "mains N", *rng.choice(["mains L", "mains N"], crossings - 2)]
    rng.shuffle(lefts)
    plans = [
        replace(_DRAWN[str(rng.choice(KINDS))](rng), left_net=str(left), right_net=str(right))
        for left, right in zip(lefts, rights, strict=True)
    ]
    return lay_out(plans, earth_mm=float(rng.uniform(1.5, 5.0)))


def _tracks(rng: np.random.Generator) -> CrossingPlan:
    return CrossingPlan(
        gap_mm=float(rng.uniform(2.0, 8.5)),
        left_half_mm=float(rng.uniform(0.4, 2.0)),
        right_half_mm=float(rng.uniform(0.4, 2.0)),
        shift_mm=float(rng.uniform(-0.3, 0.3)),
        aside_mm=float(rng.uniform(-1.0, 1.0)),
        nearer_mm=float(rng.uniform(1.5, 4.0)),
    )


def _parted(rng: np.random.Generator) -> CrossingPlan:
    return replace(
        _tracks(rng),
        gap_mm=float(rng.uniform(4.5, 6.5)),
        slot_mm=float(rng.choice([0.8, 1.2, 2.0])),
        beyond_mm=float(rng.uniform(1.5, 3.0)),
        round_ends=bool(rng.random() < 0.7),
    )


def _optocoupler(rng: np.random.Generator) -> CrossingPlan:
    return replace(_parted(rng), part="optocoupler", left_half_mm=2.2, right_half_mm=2.2, shift_mm=0.0, beyond_mm=1.5)


def _relay(rng: np.random.Generator) -> CrossingPlan:
    return replace(_tracks(rng), part="relay", gap_mm=float(rng.uniform(6.0, 8.5)), joints=True)


def _unused_pad(rng: np.random.Generator) -> CrossingPlan:
    pads = (float(rng.uniform(1.2, 2.2)),)
    return replace(
        _tracks(rng),
        part="connector",
        gap_mm=float(rng.uniform(6.0, 8.5)),
        floats=pads,
        uneven=float(rng.uniform(0.0, 0.8)),
        joints=True,
    )


def _resistors(rng: np.random.Generator) -> CrossingPlan:
    return replace(
        _tracks(rng),
        part="resistors",
        gap_mm=float(rng.uniform(8.0, 9.5)),
        floats=(1.6, 1.6),
        shift_mm=0.0,
        aside_mm=0.0,
    )


_DRAWN = {
    "tracks": _tracks,
    "slot": _parted,
    "optocoupler": _optocoupler,
    "relay": _relay,
    "unused pad": _unused_pad,
    "resistors": _resistors,
}

KINDS = tuple(_DRAWN)
"""What can lie at a crossing of a board that is drawn."""
