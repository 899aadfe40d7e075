"""Gaps by calliper beside a drawing: judged together, and in two directions before a picture decides."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from coldpin.insulation.calliper_gaps import judge_together, reconcile_gap, why_undecided
from coldpin.insulation.gap_direction import LEAST_ANGLE_DEG, gap_direction, widest_angle
from coldpin.insulation.joint_bound import joint_factor
from coldpin.insulation.path_uncertainty import measure_distances
from coldpin.quantity import Quantity, normal, rectangular
from coldpin.records.board import BoardModel, Calibration
from coldpin.records.calliper_gap import Agreement, CalliperGap
from coldpin.records.distance import IsolationPath, Leg, PathKind, PathLeg
from tests.board_drawing import drawn, pad, rectangle, slot

CALLIPER, HAND = 0.02, 0.03
"""Standard uncertainty of each reading, and of each gap drawn. [mm]"""


def row_of_pads(count: int) -> BoardModel:
    """Pads of mains opposite one of the pilot, 4 to 8 mm from it, in millimetres."""
    pads = [
        pad(f"R{k}", "mains L", rectangle(-5.0 - 4.0 * k / count, 4.0 * k, -4.0 - 4.0 * k / count, 4.0 * k + 1.0))
        for k in range(count)
    ]
    return drawn(*pads, pad("J1", "pilot", rectangle(0.0, -5.0, 2.0, 4.0 * count + 5.0)), pick_u_mm=HAND)


def compared(off: np.ndarray) -> list[Agreement]:
    """What becomes of gaps of 5 mm that were read so far off the drawing. [mm]"""
    board = pads_5_mm()
    gaps = [
        replace(board, reading_mm=Quantity(5.0 + float(one), CALLIPER, "mm"), ends=("J1", f"R{k}"))
        for k, one in enumerate(off)
    ]
    return [one.agreement for one in judge_together([_by_itself(gap) for gap in gaps])]


def pads_5_mm() -> CalliperGap:
    there = Quantity(5.0, HAND, "mm")
    return CalliperGap(
        entry="",
        ends=("J1", "R1"),
        kind=PathKind.CLEARANCE,
        reading_mm=there,
        drawn_mm=there,
        difference_mm=None,
        agreement=Agreement.CANNOT_TELL,
        told="",
    )


def _by_itself(gap: CalliperGap) -> CalliperGap:
    """Return a gap as its own interval of 95 % has it: 1.96 times the root of both variances."""
    off, half = gap.reading_mm.value - 5.0, 1.959964 * float(np.hypot(CALLIPER, HAND))
    agreement = Agreement.AGREES if abs(off) <= half else Agreement.DIFFERS
    return replace(gap, difference_mm=Quantity(off, half / 1.959964, "mm"), agreement=agreement)


def share(shift: np.ndarray, *, shared: float = 0.0, runs: int = 2000, seed: int = 5) -> float:
    """Return in which part of all boards a gap differs; ``shared`` is the part of variance that all have in common."""
    rng = np.random.default_rng(seed)
    u, count = float(np.hypot(CALLIPER, HAND)), len(shift)
    found = 0
    for _ in range(runs):
        errors = np.sqrt(shared) * rng.standard_normal() + np.sqrt(1.0 - shared) * rng.standard_normal(count)
        found += Agreement.DIFFERS in compared(shift + u * errors)
    return found / runs


@pytest.mark.published("Šidák 1967: 0.95 ** (1/5) is 0.98979, whose normal factor is 2.569; 1.960 for one")
def test_the_bound_of_several_gaps_is_that_of_sidak() -> None:
    """One gap has the bound it had alone."""
    assert joint_factor(1) == 1.0
    assert joint_factor(5) == pytest.approx(2.569 / 1.960, abs=5e-4)
    assert joint_factor(5, dof=4.0) > joint_factor(5)


@pytest.mark.hand(
    "by itself each of five is missed in 5 %: 1 - 0.95 ** 5 = 23 %; three standard deviations of 2000 runs"
)
@pytest.mark.parametrize("shared", [0.0, 0.5, 0.9])
def test_a_sound_board_of_five_gaps_stays_decided(shared: float) -> None:
    """At most one in twenty is left open by chance, also where all gaps share an error of scale or calliper."""
    assert share(np.zeros(5), shared=shared) <= 0.05 + 3.0 * np.sqrt(0.05 * 0.95 / 2000)


@pytest.mark.hand(
    "Φ(5 - 2.569) = 99.2 % for one gap 5 u off; five that are each 3 u off: 1 - Φ(2.569 - 3) ** 5 = 99.6 %"
)
@pytest.mark.parametrize(
    ("shift", "least"),
    [
        pytest.param([5.0, 0.0, 0.0, 0.0, 0.0], 0.985, id="one rim drawn 0.18 mm off"),
        pytest.param([4.0, 0.0, 0.0], 0.93, id="one of three 0.14 mm off"),
        pytest.param([3.0] * 5, 0.985, id="every gap 0.11 mm long: a wrong scale"),
    ],
)
def test_a_sharp_fault_is_still_found(shift: list[float], least: float) -> None:
    """The wider bound costs little of what a slip of the hand or a wrong pitch shows."""
    assert share(np.array(shift) * float(np.hypot(CALLIPER, HAND)), runs=1000) >= least


@pytest.mark.parametrize("count", [1, 5])
def test_a_drawing_is_held_against_five_gaps_together(count: int) -> None:
    """Read 0.08 mm long, a gap differs alone, and among five agrees and says why; 0.3 mm differs among any number."""
    board = row_of_pads(5)

    def together(first_off: float) -> tuple[CalliperGap, ...]:
        offs = (first_off, *(0.0,) * (count - 1))
        return judge_together(
            [
                reconcile_gap(
                    board,
                    Quantity(4.0 + 0.8 * k + off, CALLIPER, "mm"),
                    (f"R{k}", "J1"),
                    PathKind.CLEARANCE,
                    groove_x_mm=1.0,
                )
                for k, off in enumerate(offs)
            ]
        )

    single = together(0.0)[0]
    assert single.difference_mm is not None
    assert single.difference_mm.low is not None
    edge = 1.1 * (single.difference_mm.value - single.difference_mm.low)
    assert together(edge)[0].agreement is (Agreement.DIFFERS if count == 1 else Agreement.AGREES)
    assert ("not by more than one of 5 may by chance: they agree." in together(edge)[0].told) == (count == 5)
    assert together(0.3)[0].agreement is Agreement.DIFFERS
    assert "they differ by more than both allow" in together(0.3)[0].told
    assert [one.agreement for one in together(0.3)[1:]] == [Agreement.AGREES] * (count - 1)


def test_readings_of_unknown_accuracy_widen_no_bound() -> None:
    """Only what was compared counts among the others."""
    sound, off = _by_itself(pads_5_mm()), 1.1 * 1.96 * float(np.hypot(CALLIPER, HAND))
    far = _by_itself(replace(pads_5_mm(), reading_mm=Quantity(5.0 + off, CALLIPER, "mm")))
    unknown = replace(pads_5_mm(), reading_mm=Quantity(5.0, None, "mm", why="not stated"))

    assert judge_together([far, unknown, unknown])[0].agreement is Agreement.DIFFERS
    assert judge_together([far, sound, sound])[0].agreement is Agreement.AGREES


def test_few_repeats_widen_by_their_own_distribution() -> None:
    """A reading of few degrees of freedom has longer tails than a normal one."""
    few = replace(_by_itself(pads_5_mm()), reading_mm=Quantity(5.14, 0.02, "mm", dof=2.0), agreement=Agreement.DIFFERS)
    many = replace(few, reading_mm=rectangular(5.14, 0.02, "mm", id="calliper", label="calliper"))
    sound = _by_itself(pads_5_mm())

    assert judge_together([few, sound, sound])[0].agreement is Agreement.AGREES
    assert judge_together([many, sound, sound])[0].agreement is Agreement.DIFFERS


def way(*points: tuple[float, float]) -> IsolationPath:
    legs = tuple(
        PathLeg(leg=Leg.AIR, start=one, end=other, counted_mm=float(np.hypot(other[0] - one[0], other[1] - one[1])))
        for one, other in pairwise(points)
    )
    return IsolationPath(kind=PathKind.CLEARANCE, nets=("a", "b"), between=("a", "b"), length_mm=1.0, legs=legs)


@pytest.mark.hand("angles of straight lines, and of a way round a slot that runs mostly along it")
@pytest.mark.parametrize(
    ("points", "direction"),
    [
        (((0.0, 0.0), (4.0, 0.0)), 0.0),
        (((4.0, 0.0), (0.0, 0.0)), 0.0),
        (((0.0, 0.0), (0.0, -3.0)), 90.0),
        (((0.0, 0.0), (-2.0, 2.0)), 135.0),
        (((0.0, 0.0), (0.0, 4.0), (1.0, 4.0), (1.0, 0.0)), 90.0),
        (((0.0, 0.0), (2.0, 0.0), (2.0, 2.0)), None),
        (((1.0, 1.0), (1.0, 1.0)), None),
    ],
)
def test_the_direction_of_a_way(points: tuple[tuple[float, float], ...], direction: float | None) -> None:
    """Most of it decides; walked the other way it is the same."""
    found = gap_direction(BoardModel(features=()), way(*points))

    assert found == (None if direction is None else pytest.approx(direction))


PIXELS = 50.0


def in_picture(board: BoardModel, *, turned: bool = False, stretched: float = 1.0) -> BoardModel:
    """A drawing over a picture seen squarely, perhaps turned by a quarter, stretched along y where nobody saw it."""
    corners = np.array([[-20.0, -20.0], [20.0, -20.0], [20.0, 20.0], [-20.0, 20.0]])

    def px(points: np.ndarray, up: float) -> np.ndarray:
        x, y = points.T * np.array([[1.0], [up]])
        across, above = (-y, x) if turned else (x, y)
        return np.column_stack([1100.0 + PIXELS * across, 1100.0 - PIXELS * above])

    features = tuple(replace(one, outline=px(one.outline, stretched)) for one in board.features)
    calibration = Calibration(
        method="rectangle",
        picture_px=px(corners, 1.0),
        plane_mm=corners,
        found_u_px=0.3,
        pick_u_px=0.5,
        length_u_relative=1e-4,
        camera_height_mm=500.0,
        picture_size_px=(2200, 2200),
    )
    return replace(board, features=features, calibration=calibration, pick_u_mm=None)


CROSS = drawn(
    pad("L", "mains L", rectangle(-2.0, -2.0, 2.0, 2.0)),
    pad("east", "pilot 1", rectangle(8.0, -2.0, 10.0, 2.0)),
    pad("west", "pilot 2", rectangle(-10.0, -2.0, -8.0, 2.0)),
    pad("far east", "earth", rectangle(14.0, -2.0, 16.0, 2.0)),
    pad("north", "low-voltage", rectangle(-2.0, 8.0, 2.0, 10.0)),
)
TRUE = {("L", "east"): 6.0, ("L", "west"): 6.0, ("east", "far east"): 4.0, ("L", "north"): 6.0}


def read(board: BoardModel, *ends: tuple[str, str]) -> tuple[CalliperGap, ...]:
    """Lay a calliper to the true board, and hold it against the drawing."""
    return judge_together(
        [
            reconcile_gap(board, normal(TRUE[one], CALLIPER, "mm"), one, PathKind.CLEARANCE, groove_x_mm=1.0)
            for one in ends
        ]
    )


ALONG = (("L", "east"), ("L", "west"), ("east", "far east"))


@pytest.mark.hand("three gaps along x agree with a picture 5 % long in y; the one along y is off by 0.3 mm")
def test_a_picture_stretched_across_all_gaps_is_not_believed() -> None:
    """Three gaps of one direction cannot see it; the one across them does."""
    stretched = in_picture(CROSS, stretched=1.05)
    along, cross = read(stretched, *ALONG), read(stretched, *ALONG[:2], ("L", "north"))

    assert [one.agreement for one in along] == [Agreement.AGREES] * 3
    said = why_undecided(stretched, along)
    assert "the 3 gaps by calliper that agree with it run about from left to right in the picture" in said
    assert "read one that runs up and down, at least 60° from one of these" in said
    assert cross[2].agreement is Agreement.DIFFERS


@pytest.mark.parametrize("turned", [False, True])
def test_the_missing_direction_is_told_as_the_picture_shows_it(turned: bool) -> None:
    """However the card lay; with one gap across the others nothing is missing."""
    board = in_picture(CROSS, turned=turned)
    said = why_undecided(board, read(board, *ALONG))

    assert f"run about {'up and down' if turned else 'from left to right'} in the picture" in said
    assert f"one that runs {'from left to right' if turned else 'up and down'}" in said
    assert why_undecided(board, read(board, *ALONG[:2], ("L", "north"))) == ""
    assert why_undecided(CROSS, read(replace(CROSS, pick_u_mm=HAND), *ALONG)) == ""


def test_gaps_without_a_direction_show_none() -> None:
    """What has no direction is not counted as one across the others."""
    board = in_picture(CROSS)
    along = read(board, *ALONG)
    lost = [replace(one, direction_deg=None) for one in along]

    assert "have no direction in it" in why_undecided(board, lost)
    assert "read one that runs up and down" in why_undecided(board, [*lost[:2], along[2]])


@pytest.mark.hand("two gaps at an angle: of the stretch across the middle between them each shows sin² of half of it")
def test_the_least_angle_leaves_a_quarter_of_every_stretch_seen() -> None:
    """The reason that is given with the constant."""
    across = np.radians(np.arange(0.0, 180.0, 0.5))
    seen = [max(np.cos(one) ** 2, np.cos(one - np.radians(LEAST_ANGLE_DEG)) ** 2) for one in across]

    assert min(seen) == pytest.approx(0.25, abs=1e-3)
    assert widest_angle([0.0, 178.0]) == pytest.approx(2.0)
    assert widest_angle([10.0]) == 0.0


def test_a_creepage_runs_where_most_of_it_runs() -> None:
    """Round a long slot that is along it, across the straight gap."""
    board = drawn(
        pad("L", "mains L", rectangle(-2.0, -1.0, 0.0, 1.0)),
        pad("P", "pilot", rectangle(3.0, -1.0, 5.0, 1.0)),
        slot("slot 1", rectangle(0.8, -9.0, 2.2, 9.0)),
        pick_u_mm=HAND,
    )
    found = measure_distances(board, ("mains", "pilot"), groove_x_mm=1.0)

    assert found.creepage is not None
    assert found.clearance is not None
    assert gap_direction(board, found.clearance.path) == pytest.approx(0.0)
    assert gap_direction(board, found.creepage.path) == pytest.approx(90.0, abs=1.0)
