"""Gaps by calliper widen what a drawing says by what it reads long or short as a whole."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from coldpin.insulation.calliper_bias import beside_calliper, drawing_bias
from coldpin.insulation.calliper_gaps import reconcile_gap, why_undecided
from coldpin.insulation.path_uncertainty import measure_distances
from coldpin.quantity import Quantity, normal
from coldpin.records.board import BoardModel, Calibration
from coldpin.records.calliper_gap import Agreement, CalliperGap
from coldpin.records.distance import PathKind
from tests.board_drawing import drawn, pad, rectangle


def gap(
    end: str, read: Quantity, there: Quantity, agreement: Agreement = Agreement.AGREES, direction: float | None = None
) -> CalliperGap:
    return CalliperGap(
        entry="",
        ends=("mains", end),
        kind=PathKind.CLEARANCE,
        reading_mm=read,
        drawn_mm=there,
        difference_mm=None,
        agreement=agreement,
        told="",
        direction_deg=direction,
    )


def gaps(*lengths: float, off: float = 0.0, u: float = 0.02) -> list[CalliperGap]:
    return [
        gap(f"R{number}", Quantity(length, u, "mm"), Quantity(length + off, u, "mm"), direction=90.0 * (number % 2))
        for number, length in enumerate(lengths)
    ]


def board() -> BoardModel:
    """Return four pads of mains opposite one of the pilot, 5.00, 5.50, 6.00 and 7.00 mm away."""
    gaps_mm = (5.0, 5.5, 6.0, 7.0)
    left = [pad(f"R{k}", "mains L", rectangle(-1.0 - g, 4.0 * k, -g, 4.0 * k + 1.0)) for k, g in enumerate(gaps_mm)]
    return drawn(*left, pad("J1", "pilot", rectangle(0.0, -5.0, 2.0, 20.0)), pick_u_mm=0.02)


@pytest.mark.hand("mean of three differences, each u√2: offset with u√2/√3; left in, it adds as a square")
def test_an_offset_of_all_gaps_is_found_and_left_in() -> None:
    """What all gaps differ by widens a length by as much, beside what the readings leave open."""
    bias = drawing_bias(gaps(4.0, 5.0, 6.0, off=0.03))

    assert bias is not None
    assert bias.offset_mm == pytest.approx(0.03)
    assert bias.stretch == 0.0
    assert bias.u_at(5.0) == pytest.approx(math.hypot(0.03, 0.02 * math.sqrt(2.0 / 3.0)))


@pytest.mark.hand("what every reading shares does not average out")
def test_what_the_calliper_shares_does_not_shrink_with_the_number_of_gaps() -> None:
    """An error of the calliper itself stays, however many gaps are read with it."""
    read = [normal(float(length), 0.02, "mm", id="calliper", label="calliper") for length in range(4, 44)]
    bias = drawing_bias([gap(f"R{one.value}", one, Quantity(one.value, 0.001, "mm")) for one in read])

    assert bias is not None
    assert bias.u_at(5.0) == pytest.approx(0.02, rel=0.01)


@pytest.mark.parametrize(
    "few",
    [
        gaps(4.0, 5.0),
        [*gaps(4.0, 5.0), gaps(4.0)[0]],
        [*gaps(4.0, 5.0), replace(gaps(1.0, 2.0, 6.0)[2], agreement=Agreement.DIFFERS)],
        [*gaps(4.0, 5.0), replace(gaps(1.0, 2.0, 6.0)[2], reading_mm=Quantity(6.0, None, "mm", why="not stated"))],
    ],
    ids=["two", "twice the same", "one differs", "one without accuracy"],
)
def test_too_few_gaps_say_nothing_of_the_whole(few: list[CalliperGap]) -> None:
    """Fewer than three, the same twice, one that differs, one of unknown accuracy: the distances stay as they are."""
    found = measure_distances(board(), ("mains", "pilot"), groove_x_mm=1.0)

    assert drawing_bias(few) is None
    assert beside_calliper(found, few) is found


def test_readings_that_agree_with_everything_open_no_picture() -> None:
    """Three gaps within 3 mm agree with any drawing: they are told apart from those that show something."""
    over_picture = BoardModel(
        features=(), calibration=Calibration(method="card", picture_px=np.zeros((0, 2)), plane_mm=np.zeros((0, 2)))
    )
    vague = [replace(one, reading_mm=Quantity(one.reading_mm.value, 1.5, "mm")) for one in gaps(4.0, 5.0, 6.0)]

    assert why_undecided(over_picture, gaps(4.0, 5.0, 6.0)) == ""
    assert "(0 so far)" in why_undecided(over_picture, vague)
    assert drawing_bias(vague) is None


@pytest.mark.parametrize("off", [0.0, 0.04])
def test_distances_are_widened_and_never_moved(off: float) -> None:
    """With three gaps that agree every distance is wider than before, by more where the drawing reads long."""
    drawing = board()
    read = [
        reconcile_gap(drawing, Quantity(length - off, 0.02, "mm"), (name, "J1"), PathKind.CLEARANCE, groove_x_mm=1.0)
        for name, length in (("R1", 5.5), ("R2", 6.0), ("R3", 7.0))
    ]
    before = measure_distances(drawing, ("mains", "pilot"), groove_x_mm=1.0)
    after = beside_calliper(before, read)

    assert [one.agreement for one in read] == [Agreement.AGREES] * 3
    for plain, wide in ((before.clearance, after.clearance), (before.creepage, after.creepage)):
        assert plain is not None
        assert wide is not None
        first, second = plain.length_mm, wide.length_mm
        assert second.value == first.value == 5.0
        assert first.u is not None
        assert second.u is not None
        assert math.sqrt(second.u**2 - first.u**2) == pytest.approx(math.hypot(off, 0.018), abs=0.01)
        assert first.low is not None
        assert second.low is not None
        assert second.low < first.low
        assert (wide.dominated_by == "the drawing against the calliper") == (off > 0.0)
    assert len(after.next_clearance) == len(before.next_clearance) > 0
