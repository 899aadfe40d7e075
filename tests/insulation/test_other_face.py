"""The photograph of the other face lies where its marks say, and as well as they say."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from coldpin.errors import InputError
from coldpin.insulation.other_face import lay_other_face, mirrored
from coldpin.records.board import Calibration, OtherFace

TOP = Calibration(
    method="rectangle",
    picture_px=np.array([[50.0, 50.0], [550.0, 50.0], [550.0, 350.0], [50.0, 350.0]]),
    plane_mm=np.array([[0.0, 30.0], [50.0, 30.0], [50.0, 0.0], [0.0, 0.0]]),
    found_u_px=0.5,
    pick_u_px=0.5,
    length_u_relative=0.0005,
    picture_size_px=(600, 400),
)
SIZE = (700, 520)
BETWEEN = np.array([[-1.05, 0.06, 660.0], [-0.04, -1.1, 500.0], [5e-5, 8e-5, 1.0]])
"""From the first picture to the second, mirrored."""
MARKS = np.array([[60.0, 60.0], [540.0, 60.0], [540.0, 340.0], [60.0, 340.0], [300.0, 200.0], [420.0, 90.0]])
PLACES = np.array([[100.0, 300.0], [300.0, 100.0], [500.0, 250.0]])


def seen(places: np.ndarray) -> np.ndarray:
    """Where places of the first picture are in the second, by the projection alone."""
    raised = np.column_stack([places, np.ones(len(places))]) @ BETWEEN.T
    flat = raised[:, :2] / raised[:, 2:]
    return np.column_stack([SIZE[0] - 1.0 - flat[:, 0], flat[:, 1]])


def other(marks: np.ndarray, at: np.ndarray | None = None) -> OtherFace:
    """The other face with marks put exactly, or as given."""
    return OtherFace(picture="", picture_size_px=SIZE, drawn=marks, seen_px=seen(marks) if at is None else at)


@pytest.mark.independent("a projection of the plane, written out in the test")
@pytest.mark.parametrize("count", [4, 6])
def test_marks_put_exactly_lay_it_exactly(count: int) -> None:
    """Turned upside down, nearer and aslant; a tenth of a pixel is what the usual lens may take."""
    laid = lay_other_face(TOP, other(MARKS[:count]))
    assert laid.to_other_px(PLACES) == pytest.approx(seen(PLACES), abs=0.1)
    assert laid.misses_mm.max() < 0.005


@pytest.mark.independent("marks drawn with the stated scatter, many times")
def test_it_lies_within_what_is_told_in_nineteen_cases_of_twenty() -> None:
    """Each mark is picked twice with half a pixel, and what is told is at the worst of the places."""
    generator = np.random.default_rng(3)
    held, tries = 0, 60
    for _ in range(tries):
        marks = MARKS + generator.normal(0.0, 0.5, MARKS.shape)
        at = seen(MARKS) + generator.normal(0.0, 0.5, MARKS.shape)
        laid = lay_other_face(TOP, other(marks, at))
        away_mm = 0.1 * np.hypot(*(laid.to_other_px(PLACES) - seen(PLACES)).T) / 1.1
        told = laid.spread_mm(MARKS[:4])
        assert told is not None
        held += bool(away_mm.max() <= told[1])
    assert held >= 0.9 * tries


def test_fewer_marks_and_wrong_ones_are_known_less_well() -> None:
    """Three cannot show the tilt; one far out widens all of it and is the one that misses most."""
    spreads = {}
    for count in (3, 4, 6):
        found = lay_other_face(TOP, other(MARKS[:count])).spread_mm(MARKS[:4])
        assert found is not None
        spreads[count] = found[1]
    assert spreads[3] > 2.0 * spreads[4] > spreads[6]
    at = seen(MARKS)
    at[5] += (9.0, -9.0)
    laid = lay_other_face(TOP, other(MARKS, at))
    assert laid.wider is not None
    assert laid.wider > 2.0
    worse = laid.spread_mm(MARKS[:4])
    assert worse is not None
    assert worse[1] > 2.0 * spreads[6]
    assert lay_other_face(replace(TOP, pick_u_px=None), other(MARKS)).spread_mm(MARKS) is None


def test_a_picture_that_is_not_of_the_other_face_is_refused() -> None:
    """Seen from the same side nothing is mirrored."""
    with pytest.raises(InputError, match=r"see whether each is the same place in both.*not mirrored"):
        lay_other_face(TOP, other(MARKS, mirrored(seen(MARKS), SIZE[0])))
