"""Distances with uncertainty: budgets by hand, unknowns that stay unknown, grooves near X, and coverage."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from scipy.stats import binom

from coldpin.errors import InputError
from coldpin.insulation.corner_scatter import in_millimetres
from coldpin.insulation.distances import find_distances
from coldpin.insulation.path_uncertainty import DRAWS, measure_distances
from coldpin.quantity import Quantity
from coldpin.records.board import BoardModel, Calibration, View
from coldpin.records.distance import MeasuredDistance
from coldpin.simulator.board_camera import draw_camera
from coldpin.simulator.board_card import COLUMNS, ROWS, SQUARE, LyingCard, yard_card
from coldpin.simulator.board_hand import draw_by_hand
from coldpin.simulator.random_board import draw_board
from tests.board_drawing import drawn, floating, outline, pad, rectangle, slot

Array = NDArray[np.float64]
NETS = ("mains", "pilot")
ABOUT = 4.0 / math.sqrt(2.0 * DRAWS)
"""Four standard errors of a standard deviation from the draws. [1]"""

MILLIMETRE_PX = 50.0
HEADER = Calibration(
    method="pitch",
    picture_px=np.array([[1400.0, 1500.0], [2543.0, 1500.0]]),
    plane_mm=np.array([[0.0, 0.0], [22.86, 0.0]]),
    found_u_px=1.0,
    pick_u_px=1.0,
    length_u_relative=0.0,
    picture_size_px=(4000, 3000),
)


def card(**more: object) -> Calibration:
    """Return a scale card all round the gap, in the same place of the picture as the header."""
    known = np.array([(x, y) for y in np.linspace(-20.0, 20.0, 5) for x in np.linspace(-10.0, 34.0, 7)])
    seen = HEADER.picture_px[0] + MILLIMETRE_PX * known * [1.0, -1.0]
    whole = replace(HEADER, method="card", picture_px=seen, plane_mm=known, found_u_px=0.1, face_above_mm=0.0)
    return replace(whole, **more)  # type: ignore[arg-type]  # members by name


def diamond(x: float, y: float, size: float = 1.0) -> Array:
    """Return a square on its tip, whose right and left tips are its nearest corners."""
    return np.array([[x - size, y], [x, y - size], [x + size, y], [x, y + size]])


def tips(gap: float, **more: object) -> BoardModel:
    """Return two diamonds whose tips face each other over a gap. [mm]"""
    return drawn(pad("pad 1", "mains L", diamond(0.0, 0.0)), pad("pad 2", "pilot", diamond(2.0 + gap, 0.0)), **more)


def in_pixels(board: BoardModel, calibration: Calibration) -> BoardModel:
    """Return a drawing as a picture square to it shows it, with 50 pixels to the millimetre."""
    at = HEADER.picture_px[0]
    features = tuple(
        replace(shape, outline=at + MILLIMETRE_PX * shape.outline * [1.0, -1.0]) for shape in board.features
    )
    return BoardModel(features=features, calibration=calibration)


def share(measured: MeasuredDistance | None, label: str) -> float:
    assert measured is not None
    return math.hypot(*(part.contribution for part in measured.length_mm.components if part.label == label))


def u_of(measured: MeasuredDistance | None) -> float:
    assert measured is not None
    assert measured.length_mm.u is not None
    return measured.length_mm.u


@pytest.mark.hand(
    "half of the variance is one outward shift of the rim, which moves a right-angled tip by √2 of it: of two tips "
    "u√(2 (½ + 2·½)) = u√3; of a tip and the middle of a rim u√(½ + 2·½ + ½·½ + ½) = u·1.5"
)
@pytest.mark.parametrize("gap", [1.5, 6.4])
def test_picking_of_two_corners_and_of_a_corner_and_a_rim(gap: float) -> None:
    """What the hand adds is the root of the squares of the corners that the path hangs on."""
    facing = drawn(
        pad("pad 1", "mains L", diamond(0.0, 0.0)), pad("pad 2", "pilot", rectangle(1.0 + gap, -4.0, 9.0 + gap, 4.0))
    )
    of_tips = measure_distances(tips(gap, pick_u_mm=0.02), NETS, groove_x_mm=1.0).clearance
    of_rim = measure_distances(replace(facing, pick_u_mm=0.02), NETS, groove_x_mm=1.0).clearance

    assert of_tips is not None
    assert of_tips.length_mm.value == pytest.approx(gap)
    assert u_of(of_tips) == pytest.approx(0.02 * math.sqrt(3.0), rel=ABOUT)
    assert u_of(of_rim) == pytest.approx(0.02 * 1.5, rel=ABOUT)
    assert of_tips.dominated_by == "picking of the corners"


@pytest.mark.hand("s·√2·u_px = 0.028284 and d·√2·u_px/N = 0.007919 at 6.4 mm, 22.86 mm over 1143 px")
def test_a_scale_from_a_header_has_the_shares_of_the_formula(monkeypatch: pytest.MonkeyPatch) -> None:
    """Picking and scale have the shares that error propagation gives, and the unseen tilt has one of its own."""
    monkeypatch.setattr("coldpin.insulation.corner_scatter.SHARED", 0.0)
    measured = measure_distances(in_pixels(tips(6.4), HEADER), NETS, groove_x_mm=1.0).clearance

    assert measured is not None
    assert measured.length_mm.value == pytest.approx(6.4)
    assert share(measured, "picking of the corners") == pytest.approx(0.028284, rel=ABOUT)
    assert share(measured, "the points of the scale") == pytest.approx(0.007919, rel=2.0 * ABOUT)
    assert share(measured, "a tilt that the scale does not show") > 0.01
    assert share(measured, "the level of the scale against the face") == 0.0


def test_what_is_not_known_is_none_with_the_reason_and_never_zero() -> None:
    """Each thing that nobody stated is named, and leaves the length without an uncertainty."""
    picture = in_pixels(tips(6.4), HEADER)
    cases = [
        (tips(6.4), "corners were picked"),
        (replace(picture, calibration=replace(HEADER, pick_u_px=None)), "corners were picked"),
        (replace(picture, calibration=replace(HEADER, found_u_px=None)), "points of the scale were found"),
        (replace(picture, calibration=replace(HEADER, length_u_relative=None)), "known length of the scale"),
        (replace(picture, calibration=replace(HEADER, picture_size_px=None)), "size of the picture is not stated"),
        (tips(6.4, pick_u_mm=1e-6), "is the unit right"),
    ]
    for board, why in cases:
        found = measure_distances(board, NETS, groove_x_mm=1.0)
        for measured in (found.clearance, found.creepage):
            assert measured is not None
            assert measured.length_mm.u is None
            assert measured.length_mm.value == pytest.approx(6.4)
            assert why in measured.length_mm.why
            assert measured.reduced_by.startswith("state what is not known")


def test_the_length_of_a_card_is_one_thing_for_all_that_is_measured_by_it() -> None:
    """What the print of a card adds is shared by every distance, and the largest of them names it."""
    board = in_pixels(tips(6.4), card(length_u_relative=0.02))
    found = measure_distances(board, NETS, groove_x_mm=1.0)

    assert found.clearance is not None
    assert share(found.clearance, "the known length of the scale") == pytest.approx(0.02 * 6.4, rel=ABOUT)
    assert found.clearance.dominated_by == "the known length of the scale"
    assert "bar of the printed card" in found.clearance.reduced_by
    shared = {part.id for part in found.clearance.length_mm.components}
    assert found.creepage is not None
    assert len(shared & {part.id for part in found.creepage.length_mm.components}) == 1


def test_a_stated_height_is_a_doubt_that_leans_to_the_shorter_side() -> None:
    """What stands high was drawn at its top or at its foot: the value stays, the interval reaches lower."""
    high = in_pixels(tips(6.4), card(camera_height_mm=250.0))
    features = tuple(replace(shape, height_mm=12.0) for shape in high.features)
    found = measure_distances(replace(high, features=features), NETS, groove_x_mm=1.0).clearance

    assert found is not None
    length = found.length_mm
    assert found.dominated_by == "heights above the face"
    assert "calliper" in found.reduced_by
    assert length.low is not None
    assert length.high is not None
    assert length.low < length.value < 6.3
    assert 6.4 - length.low > 1.3 * (length.high - 6.4)
    assert found.path.length_mm == pytest.approx(6.4)


def test_what_stands_as_high_as_the_camera_is_refused() -> None:
    """A part cannot be taller than the lens that saw it from above."""
    board = in_pixels(tips(6.4), card(camera_height_mm=250.0))
    tall = replace(board, features=tuple(replace(shape, height_mm=300.0) for shape in board.features))

    with pytest.raises(InputError, match="'pad 1' is said to stand 300 mm high, and the camera 250 mm"):
        measure_distances(tall, NETS, groove_x_mm=1.0)


@pytest.mark.hand("a raised part of unknown lens height: 9.0 as drawn, and no value above its own interval")
@pytest.mark.parametrize("camera", [None, 250.0])
def test_no_value_lies_outside_its_own_interval(camera: float | None) -> None:
    """One conductor that stands high reads long in a picture: the value comes down with what may be."""
    board = in_pixels(tips(9.0), card(camera_height_mm=camera))
    raised = tuple(replace(shape, height_mm=15.0 if shape.name == "pad 1" else 0.0) for shape in board.features)
    found = measure_distances(replace(board, features=raised), NETS, groove_x_mm=1.0)

    for measured in (found.clearance, found.creepage):
        assert measured is not None
        assert measured.length_mm.low is not None
        assert measured.length_mm.high is not None
        assert measured.length_mm.low < measured.length_mm.value < measured.length_mm.high
        assert measured.length_mm.value <= measured.path.length_mm


@pytest.mark.hand("both edges half of u off together, in the worst direction: 5.0 − 2·0.03·√½, and corners besides")
def test_a_person_who_takes_every_rim_too_far_out_is_in_the_interval() -> None:
    """Parallel rims that one person picked: the low end is not lifted by what the minimum of corners does."""
    board = drawn(
        pad("pad 1", "mains L", rectangle(-4.0, -3.0, 0.0, 3.0)),
        pad("pad 2", "pilot", rectangle(5.0, -3.0, 9.0, 3.0)),
        pick_u_mm=0.03,
    )
    found = measure_distances(board, NETS, groove_x_mm=1.0).clearance

    assert found is not None
    length = found.length_mm
    assert length.low is not None
    assert length.high is not None
    assert length.low < 5.0 - 1.96 * 0.03
    assert length.high - 5.0 >= 5.0 - length.low


def test_a_path_of_no_length_has_no_uncertainty_and_not_zero() -> None:
    """Where copper touches nothing is counted: there is no figure to be sure of."""
    board = drawn(
        pad("pad 1", "mains L", rectangle(0.0, 0.0, 2.0, 2.0)),
        pad("pad 2", "pilot", rectangle(1.0, 1.0, 3.0, 3.0)),
        pick_u_mm=0.02,
    )
    for given in (board, in_pixels(board, card())):
        found = measure_distances(given, NETS, groove_x_mm=1.0).clearance
        assert found is not None
        assert found.length_mm.value == 0.0
        assert found.length_mm.u is None
        assert "nothing of its length is counted" in found.length_mm.why


def test_a_card_whose_height_beside_the_face_is_not_stated_adds_its_doubt() -> None:
    """A board that may stand on spacers adds a part of the length; less where its height is stated, which corrects."""
    at = {"camera_height_mm": 250.0}
    unstated = measure_distances(in_pixels(tips(6.4), card(**at, face_above_mm=None)), NETS, groove_x_mm=1.0)
    stated = measure_distances(in_pixels(tips(6.4), card(**at, face_above_mm=5.0)), NETS, groove_x_mm=1.0)
    level = "the level of the scale against the face"

    # evenly from 1 mm below to 10 mm above, about none
    spread = math.sqrt((10.0**3 + 1.0**3) / 3.0 / 11.0)
    assert share(unstated.clearance, level) == pytest.approx(6.4 / 250.0 * spread, rel=ABOUT)
    assert any("how far the face lies above the card is not said" in remark for remark in unstated.remarks)
    assert not any("how far the face lies above" in remark for remark in stated.remarks)
    by_hand = 6.4 / 250.0 * math.hypot(0.3, 5.0 * 0.05)
    assert share(stated.clearance, level) == pytest.approx(by_hand, rel=ABOUT)
    assert stated.clearance is not None
    assert stated.clearance.length_mm.value == pytest.approx(6.4 * (1.0 - 5.0 / 250.0), rel=1e-6)


def test_heights_that_were_not_said_are_asked_for() -> None:
    """Over a picture a conductor without a height counts as flat; the ends of what was measured are named."""
    flat = in_pixels(tips(6.4), card(camera_height_mm=250.0))
    said = replace(flat, features=tuple(replace(shape, height_mm=0.0) for shape in flat.features))
    asked, not_asked, in_mm = (
        [remark for remark in measure_distances(board, NETS, groove_x_mm=1.0).remarks if "no height is said" in remark]
        for board in (flat, said, replace(tips(6.4), pick_u_mm=0.02))
    )

    assert len(asked) == 1
    assert asked[0].startswith("no height is said of pad 1, pad 2: taken as copper that lies flat within 0.3 mm")
    assert not_asked == in_mm == []


@pytest.mark.hand("pinhole: on spacers of 5 mm under a lens at 170 mm, what reads 5.000 mm is 5 · 165 / 170 = 4.853 mm")
def test_a_board_on_spacers_beside_a_card_on_the_table_is_in_the_interval() -> None:
    """Where nobody said that the board stands on something, the interval reaches down to what it then is."""
    board = in_pixels(tips(5.0), card(camera_height_mm=170.0, face_above_mm=None))
    found = measure_distances(board, NETS, groove_x_mm=1.0).clearance

    assert found is not None
    assert found.path.length_mm == pytest.approx(5.0)
    assert found.length_mm.low is not None
    assert found.length_mm.high is not None
    # the value comes down to the middle of what may be
    assert found.length_mm.value == pytest.approx(5.0 * 165.0 / 170.0, abs=0.03)
    assert found.length_mm.low < 5.0 * 165.0 / 170.0
    assert found.length_mm.high < 5.2


def slotted(width: float, **more: object) -> BoardModel:
    return drawn(
        outline(rectangle(-20.0, -20.0, 30.0, 20.0)),
        pad("pad 1", "mains L", rectangle(-1, -0.5, 0, 0.5)),
        pad("pad 2", "pilot", rectangle(5, -0.5, 6, 0.5)),
        slot("slot 1", rectangle(2, -4, 2 + width, 4)),
        **more,
    )


@pytest.mark.parametrize(("width", "value"), [(1.0, 9.062), (0.97, 5.0)])
def test_a_slot_that_may_be_narrower_than_x_leaves_both_ways_open(width: float, value: float) -> None:
    """Where picking cannot tell on which side of X a slot is, the interval spans both ways, and says what decides."""
    found = measure_distances(slotted(width, pick_u_mm=0.02), NETS, groove_x_mm=1.0).creepage

    assert found is not None
    length = found.length_mm
    assert length.value == pytest.approx(value, abs=5e-4 if width == 1.0 else 0.0)
    assert length.low is not None
    assert length.high is not None
    assert length.low < 5.05
    assert length.high > 9.0
    assert found.dominated_by == "whether slot 1 is narrower than X"
    assert found.reduced_by == "measure by calliper whether slot 1 is narrower than X"
    below = length.probability_below(7.0)
    assert below is not None
    assert 0.025 < below < 0.975


@pytest.mark.parametrize("width", [0.7, 1.3])
def test_a_slot_far_from_x_leaves_no_doubt(width: float) -> None:
    """A slot that is clearly narrower or wider than X has one way, whose spread is that of its corners."""
    found = measure_distances(slotted(width, pick_u_mm=0.02), NETS, groove_x_mm=1.0).creepage

    assert u_of(found) < 0.06


def across(*surface: tuple[float, float]) -> BoardModel:
    """Return a section whose surface runs from a conductor at its first corner to one at its last."""
    line = np.array(surface)
    (left, first), (right, last) = line[0], line[-1]
    low = float(line[:, 1].min()) - 3.0
    under = [(right + 2.0, last), (right + 2.0, low), (left - 2.0, low), (left - 2.0, first)]
    return drawn(
        outline(np.concatenate([line, under])),
        pad("A", "mains L", rectangle(left - 1.0, first, left, first + 0.3)),
        pad("B", "pilot", rectangle(right, last, right + 1.0, last + 0.3)),
        view=View.SECTION,
        pick_u_mm=0.02,
    )


@pytest.mark.hand("the link of a recess lies where this is X wide: corners move it, X does not")
@pytest.mark.parametrize(
    ("surface", "value"),
    [
        (((0.0, 0.0), (1.5, 0.0), (2.5, -3.0), (3.5, 0.0), (5.0, 0.0)), 7.162),
        (((0.0, 0.0), (2.0, 0.0), (3.5, -1.5), (5.0, 0.0), (7.0, 0.0)), 7.8284),
        (((0.0, 0.0), (2.0, 0.0), (2.0, -2.0), (3.2, -2.0), (3.2, 0.0), (5.0, 0.0)), 9.0),
    ],
    ids=["narrow V", "wide V", "wide groove"],
)
def test_a_link_in_a_recess_is_no_doubt_about_its_width(surface: tuple[tuple[float, float], ...], value: float) -> None:
    """In a V there is always a place that is X wide: only the corners are in doubt."""
    found = measure_distances(across(*surface), NETS, groove_x_mm=1.0).creepage

    assert found is not None
    assert found.length_mm.value == pytest.approx(value, abs=6e-4)
    assert 0.02 < u_of(found) < 0.08
    assert found.dominated_by == "picking of the corners"
    assert _held(found.length_mm, value)


def test_a_gap_beside_a_floating_part_near_x_may_count_or_not() -> None:
    """By the reading that leaves out gaps under X, one that is nearly X wide is in doubt."""
    board = drawn(
        pad("pad 1", "mains L", rectangle(-1, -0.5, 0, 0.5)),
        pad("pad 2", "pilot", rectangle(7, -0.5, 8, 0.5)),
        floating("pad 3", rectangle(0.98, -0.5, 4.0, 0.5)),
        pick_u_mm=0.02,
    )
    found = measure_distances(board, NETS, groove_x_mm=1.0).creepage

    assert found is not None
    assert found.length_mm.value == pytest.approx(3.0)
    assert found.dominated_by == "whether the gap beside pad 3 is narrower than X"
    assert found.length_mm.high is not None
    assert found.length_mm.high > 3.9


def test_a_path_that_is_nearly_as_short_takes_part() -> None:
    """Beside many equal gaps the shortest as drawn reads short, and the interval says so."""
    left = [pad(f"pad {k}", "mains L", diamond(0.0, 5.0 * k)) for k in range(4)]
    right = [pad(f"pin {k}", "pilot", diamond(7.0, 5.0 * k)) for k in range(4)]
    one = measure_distances(drawn(left[0], right[0], pick_u_mm=0.05), NETS, groove_x_mm=1.0).clearance
    four = measure_distances(drawn(*left, *right, pick_u_mm=0.05), NETS, groove_x_mm=1.0).clearance

    assert one is not None
    assert four is not None
    low, high = (four.length_mm.low or 0.0), (four.length_mm.high or 0.0)
    assert 0.5 * (low + high) > 5.0 + 0.5 * u_of(one)
    assert four.length_mm.value == pytest.approx(5.0)


def test_a_path_that_hangs_on_nothing_drawn_has_no_uncertainty(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where it cannot be followed what moves a path, its length stays and its uncertainty is not known."""

    def lost(*_: object) -> None:
        raise InputError("nothing is drawn there")

    monkeypatch.setattr("coldpin.insulation.path_uncertainty.pin_path", lost)
    found = measure_distances(slotted(1.3, pick_u_mm=0.02), NETS, groove_x_mm=1.0)

    assert found.creepage is not None
    assert found.creepage.length_mm.u is None
    assert "no corner of the drawing holds it" in found.creepage.length_mm.why
    assert "calliper" in found.creepage.reduced_by


def test_the_same_drawing_gives_the_same_figures() -> None:
    """Nothing depends on chance from one run to the next."""
    first, again = (measure_distances(slotted(1.0, pick_u_mm=0.02), NETS, groove_x_mm=1.0) for _ in range(2))

    assert first.creepage == again.creepage


def test_a_drawing_in_pixels_becomes_one_in_millimetres_with_y_up() -> None:
    """The search sees the same shapes as in the drawing in millimetres."""
    board = in_millimetres(in_pixels(slotted(1.2), HEADER))

    assert board.calibration is None
    assert board.pick_u_mm == pytest.approx(0.02)
    for shape, known in zip(board.features, slotted(1.2).features, strict=True):
        assert shape.outline == pytest.approx(known.outline, abs=1e-9)


def unsteady(corners: Array, u: float, random: np.random.Generator) -> Array:
    """Return corners as a hand draws them that errs by half of its variance all round, by half at each corner."""
    middle = shapely.Polygon(corners).buffer(math.sqrt(0.5) * u * float(random.standard_normal()), join_style="mitre")
    moved = shapely.get_coordinates(middle.exterior)[:-1]
    nearest = [moved[np.argmin(np.hypot(*(moved - corner).T))] for corner in corners]
    return np.asarray(nearest + math.sqrt(0.5) * u * random.standard_normal(corners.shape))


def _random_board(random: np.random.Generator) -> BoardModel:
    half = random.uniform(0.5, 3.0, size=2)
    gap = float(random.uniform(2.0, 8.0))
    up = float(random.uniform(-2.0, 2.0))
    shapes = [
        outline(rectangle(-30.0, -30.0, 40.0, 30.0)),
        pad("pad 1", "mains L", rectangle(-2.0, -half[0], 0.0, half[0])),
        pad("pad 2", "pilot", rectangle(gap, up - half[1], gap + 2.0, up + half[1])),
    ]
    if random.random() < 0.5:
        shapes.append(slot("slot 1", rectangle(0.4 * gap, -5.0, 0.4 * gap + 0.5, 4.0)))
    if random.random() < 0.3:
        shapes.append(floating("pad 3", rectangle(0.65 * gap, -3.0, 0.8 * gap, 3.0)))
    return drawn(*shapes)


def _held(length: Quantity, truth: float) -> bool:
    assert length.low is not None
    assert length.high is not None
    return length.low <= truth <= length.high


PAIRS = (("mains", "pilot"), ("mains", "earth"), ("mains L", "mains N"), ("mains", "low-voltage"))
INNER = np.array([(x, y) for y in np.arange(1, ROWS) * SQUARE for x in np.arange(1, COLUMNS) * SQUARE])


@pytest.mark.independent("virtual boards, camera, card and hand; binomial band")
def test_intervals_hold_what_a_camera_saw(proving: bool, measured: Callable[[str, float, str, str], None]) -> None:
    """Through a tilted camera that bends lines, by a card that is printed and laid a little off."""
    boards, held, errors = (150 if proving else 3), [], []
    for seed in range(boards):
        rng = np.random.default_rng([seed, 77])
        board = draw_board(rng, crossings=2 + seed % 3)
        camera = draw_camera(rng, over=(0.0, 0.0, board.width, board.height + 95.0), size=(4000, 3000))
        card_mm = LyingCard(
            card=yard_card(),
            at=(0.0, board.height + 20.0, float(rng.uniform(-0.6, 0.6))),
            print_scale=(1.0 + 0.001 * float(rng.standard_normal()),) * 2,
        )
        pick = float(rng.uniform(0.5, 1.5))
        calibration = Calibration(
            method="card",
            picture_px=camera.project(card_mm.place(INNER)) + 0.1 * rng.standard_normal(INNER.shape),
            plane_mm=INNER,
            found_u_px=0.1,
            pick_u_px=pick,
            length_u_relative=0.001,
            picture_size_px=(4000, 3000),
        )
        exact = draw_by_hand(board, camera, pick_px=0.0, seed=rng)
        by_hand = tuple(replace(shape, outline=unsteady(shape.outline, pick, rng)) for shape in exact)
        for pair in PAIRS if proving else PAIRS[:2]:
            seen = measure_distances(BoardModel(features=by_hand, calibration=calibration), pair, groove_x_mm=1.0)
            assert seen.clearance is not None
            assert seen.creepage is not None
            truth = board.clearance_mm(*pair), board.creepage_mm(*pair, groove_x_mm=1.0)
            for length, true in zip((seen.clearance.length_mm, seen.creepage.length_mm), truth, strict=True):
                held.append(_held(length, true))
                errors.append(length.value - true)
    measured("coverage of distances drawn on pictures", 100.0 * float(np.mean(held)), "%", "95 %, binomial band")
    measured("distances drawn on pictures: mean less the truth", float(np.mean(errors)), "mm", "below 0: the safe side")
    low, high = (float(binom.ppf(level, boards, 0.95)) / boards for level in (0.001, 0.999))
    assert low <= np.mean(held) <= high


@pytest.mark.independent("boards known exactly, drawn by an unsteady hand; binomial band")
def test_intervals_hold_the_true_distance(proving: bool, measured: Callable[[str, float, str, str], None]) -> None:
    """Of boards drawn with a known scatter, 95 % of the intervals hold the true distance."""
    random = np.random.default_rng(17)
    boards, held, looked = (400 if proving else 30), 0, 0
    for _ in range(boards):
        true, u = _random_board(random), float(random.uniform(0.01, 0.06))
        by_hand = tuple(replace(shape, outline=unsteady(shape.outline, u, random)) for shape in true.features)
        # X far below the slot's width, so that only the corners are in doubt
        known = find_distances(true, NETS, groove_x_mm=0.1, next_count=0)
        seen = measure_distances(
            drawn(*by_hand, pick_u_mm=u), NETS, groove_x_mm=0.1, next_count=2, draws=1000 if proving else 400
        )
        for truth, found in ((known.clearance, seen.clearance), (known.creepage, seen.creepage)):
            assert truth is not None
            assert found is not None
            held += _held(found.length_mm, truth.length_mm)
            looked += 1
    measured("coverage of 95 % intervals of drawn distances", 100.0 * held / looked, "%", "95 %, binomial band")
    # clearance and creepage of a board share corners: the band is that of the boards, not of the intervals
    low, high = (float(binom.ppf(level, boards, 0.95)) / boards for level in (0.001, 0.999))
    assert low <= held / looked <= high
