"""Distances in drawings of boards, as the checks judge them beside gaps by calliper."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from coldpin.checks import BoardEvidence, find_check
from coldpin.checks.distance_drawings import drawn_distances, gaps_beside, pairs_of_nets
from coldpin.checks.distances import found_distances
from coldpin.checks.evidence import BenchEvidence
from coldpin.insulation.calliper_gaps import why_undecided
from coldpin.records.board import BoardFeature, BoardModel, Calibration, Face, Role
from coldpin.records.calliper_gap import Agreement
from coldpin.records.distance import PathKind
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Outcome, Reach
from tests.checks.bench import entry, found_in
from tests.checks.test_distances import gap, indoors

W, B, U = Outcome.WITHIN, Outcome.BEYOND, Outcome.UNDECIDED

DRAWING = entry("board drawing", name="d1", kind=EntryKind.EVIDENCE)
CHECKS = (
    "pilot-distance",
    "low-voltage-distance",
    "bridging-parts",
    "floating-parts",
    "pole-distance",
    "earth-distance",
)
PIXELS = 50.0
"""Of the picture, in each millimetre."""


def shape(name: str, role: Role, x: float, y: float, width: float, height: float, **more: object) -> BoardFeature:
    """An upright rectangle by its lower left corner. [mm]"""
    outline = np.array([[x, y], [x + width, y], [x + width, y + height], [x, y + height]])
    return BoardFeature(name=name, role=role, outline=outline, **more)  # type: ignore[arg-type]  # fields by name


def conductor(name: str, net: str, x: float, *, y: float = 10.0, height: float = 2.0) -> BoardFeature:
    """A pad two millimetres wide."""
    return shape(name, Role.CONDUCTOR, x, y, 2.0, height, net=net)


BARE = shape("outline", Role.BOARD, 0.0, 0.0, 40.0, 30.0)
LINE = conductor("L pad", "mains L", 4.0)


def board(*shapes: BoardFeature, pick: float | None = 0.02, thickness: float | None = None) -> BoardModel:
    """A drawing in millimetres with one pad of the mains, whose right edge is at 6 mm; thick ones show both faces."""
    below = (shape("mark below", Role.FLOATING, 37.0, 27.0, 1.0, 1.0, face=Face.BOTTOM),) if thickness else ()
    return BoardModel(features=(BARE, LINE, *shapes, *below), pick_u_mm=pick, thickness_mm=thickness)


def drawn(model: BoardModel, *entries: Entry) -> BenchEvidence:
    """The evidence of a unit used indoors with one drawing."""
    bench = indoors(DRAWING, *entries)
    return replace(bench, boards=(BoardEvidence(entry=DRAWING, board=model),))


def judged(model: BoardModel, *entries: Entry) -> dict[str, Finding]:
    """The findings on distances of a drawing and what stands beside it."""
    bench = drawn(model, *entries)
    return {finding.id: finding for name in CHECKS for finding in find_check(name).run(bench)}


def in_picture(model: BoardModel) -> BoardModel:
    """The same drawing over a picture seen squarely, its scale known by four points far apart."""
    corners = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]])

    def px(points: np.ndarray) -> np.ndarray:
        return np.column_stack([PIXELS * points[:, 0] + 100.0, 2000.0 - PIXELS * points[:, 1]])

    features = tuple(replace(one, outline=px(one.outline)) for one in model.features)
    calibration = Calibration(
        method="rectangle",
        picture_px=px(corners),
        plane_mm=corners,
        found_u_px=0.3,
        pick_u_px=0.5,
        length_u_relative=1e-4,
        camera_height_mm=500.0,
        picture_size_px=(2400, 2200),
    )
    return BoardModel(features=features, calibration=calibration, pick_u_mm=None)


LOOKED = gap(
    "8.00 mm ± 0.05 mm", name="looked", _from="mains", to="pilot", across="mains to pilot", searched="under the parts"
)
"""Both faces were searched, and the gauge went under what stands on the board."""
PILOT_FAR, PILOT_NEAR = conductor("CP pad", "pilot CP", 14.0), conductor("CP pad", "pilot CP", 7.2)


@pytest.mark.hand("from the pad's edge at 6 mm to 14 mm and to 7.2 mm: 8.0 mm and 1.2 mm; 5.0 mm asked, 2.5 mm basic")
def test_a_drawing_in_millimetres_decides_and_reaches_every_unit_built_like_it() -> None:
    """Copper is laid out once for all units."""
    far = judged(board(PILOT_FAR, thickness=1.6))["pilot-distance.creepage"]
    near = judged(board(PILOT_NEAR))["pilot-distance.creepage"]

    assert far.quantity is not None
    assert far.quantity.value == pytest.approx(8.0)
    assert (far.outcome, near.outcome, near.decisive, near.reach) == (W, B, True, Reach.CONSTRUCTION)
    assert "straight from L pad to CP pad" in near.statement


def test_one_face_shows_no_distance_kept_until_the_other_was_looked_at() -> None:
    """The shorter way may lie behind; a gap read there says that somebody looked."""
    assert judged(board(PILOT_FAR))["pilot-distance.creepage"].outcome is U
    assert judged(board(PILOT_FAR), LOOKED)["pilot-distance.creepage"].outcome is W


def test_a_board_without_an_outline_keeps_no_distance() -> None:
    """What lies over its edge, on the other face or behind, is not in the drawing, whoever looked at both faces."""
    whole = board(PILOT_FAR)
    bare = replace(whole, features=tuple(one for one in whole.features if one.role is not Role.BOARD))
    near = replace(bare, features=(LINE, PILOT_NEAR))

    for kind in PathKind:
        found = judged(bare, LOOKED)[f"pilot-distance.{kind}"]
        assert judged(whole, LOOKED)[f"pilot-distance.{kind}"].outcome is W
        assert found.outcome is U
        assert "no outline of the board is drawn, and a way over its edge" in found.statement
        assert any("the edge of the board" in remark for remark in found.remarks)
        assert judged(near)[f"pilot-distance.{kind}"].outcome is B


def test_a_thickness_alone_shows_no_other_face() -> None:
    """Somebody measured the board's edge, and drew nothing of what is below."""
    thick = replace(board(PILOT_FAR), thickness_mm=1.6)

    found = judged(thick)["pilot-distance.creepage"]
    assert found.outcome is U
    assert "the other face was not looked at" in found.statement


@pytest.mark.hand("9 mm: 1 mm, a body of 3 mm, 1 mm, a body of 3 mm, 1 mm; copper under both leaves 3 mm")
def test_two_bodies_in_a_row_hide_as_much_as_one() -> None:
    """Each alone would leave enough."""
    pilot = conductor("CP pad", "pilot CP", 15.0)
    bodies = (
        shape("U1", Role.COMPONENT, 7.0, 9.0, 3.0, 4.0),
        shape("U2", Role.COMPONENT, 11.0, 9.0, 3.0, 4.0),
    )

    assert judged(board(pilot, bodies[0], thickness=1.6))["pilot-distance.creepage"].outcome is W
    found = judged(board(pilot, *bodies, thickness=1.6))["pilot-distance.creepage"]
    assert found.outcome is U
    assert "the space under U1, U2 was not looked at" in found.statement


class TestGapsThatContradict:
    """A drawing claims that no way across its sides is shorter; any gap read there may show that one is."""

    MODEL = board(PILOT_FAR, thickness=1.6)

    @pytest.mark.parametrize(
        "read",
        [
            gap(
                "6.00 mm ± 0.05 mm", name="g1", _from="a wire", to="a screw", across="mains to pilot", over="flat board"
            ),
            gap("6.00 mm", name="g1", _from="a wire", to="a screw", across="mains to pilot", over="flat board"),
            gap("< 6.00 mm ± 0.05 mm", name="g1", _from="mains", to="pilot", over="flat board"),
        ],
        ids=["other names", "no accuracy", "less than"],
    )
    def test_a_shorter_one_keeps_the_drawing_from_showing_enough(self, read: Entry) -> None:
        """Whatever its ends are called, however well it was read."""
        bench = drawn(self.MODEL, read)
        (whole,) = [one for one in found_distances(bench) if one.board and one.kind is PathKind.CREEPAGE]

        assert any("is shorter" in doubt for doubt in whole.doubts)
        assert found_in(bench)["pilot-distance.creepage"].outcome is not W

    def test_a_longer_one_does_not(self) -> None:
        """Somebody measured at another place."""
        read = gap("9.00 mm ± 0.05 mm", name="g1", _from="a wire", to="a screw", across="mains to pilot")

        assert judged(self.MODEL, read)["pilot-distance.creepage"].outcome is W

    def test_a_gap_of_another_part_is_told_to_stand_alone(self) -> None:
        """Its part may be misspelt."""
        read = gap(
            "6.00 mm ± 0.05 mm",
            name="g1",
            _from="mains",
            to="pilot",
            over="flat board",
            part="Board",
            searched="both faces",
        )
        found = judged(self.MODEL, read)["pilot-distance.clearance"]

        assert "It stands beside no drawing" in " ".join(found.remarks) or found.evidence[0] == "d1"
        assert any("no drawing" in note for one in found_distances(drawn(self.MODEL, read)) for note in one.remarks)


def test_a_drawing_takes_no_doubt_that_it_does_not_answer() -> None:
    """What was not looked under stays so; and a drawing with a doubt of its own answers none."""
    low = conductor("GND pad", "low-voltage GND", 16.0)
    under = gap(
        "9.00 mm ± 0.05 mm",
        name="g1",
        _from="mains",
        to="low-voltage",
        over="flat board",
        beside="optocoupler",
        searched="one face",
    )

    found = judged(board(low, thickness=1.6), under)["bridging-parts.creepage"]
    assert found.outcome is U
    assert "the space under the part" in found.statement
    one_face = gap(
        "12.0 mm ± 0.05 mm", name="g1", _from="a", to="b", across="mains to low voltage", searched="one face"
    )
    assert judged(board(low), one_face)["low-voltage-distance.creepage"].outcome is U
    assert judged(board(low, thickness=1.6), one_face)["low-voltage-distance.creepage"].outcome is W


@pytest.mark.hand("8.0 mm are drawn; a straight gap of 4.0 mm at a place that is not in the drawing: 3.0 and 5.0 asked")
def test_a_straight_gap_that_the_drawing_lacks_keeps_its_creepage_open() -> None:
    """Where the drawing misses a place, its way along the surface is not the shortest either."""
    elsewhere = gap(
        "4.00 mm ± 0.05 mm",
        name="g1",
        _from="a wire",
        to="the foil",
        across="mains to pilot",
        searched="both faces",
        over="slot or rib",
    )
    model = board(PILOT_FAR, thickness=1.6)

    assert judged(model)["pilot-distance.creepage"].outcome is W
    found = judged(model, elsewhere)["pilot-distance.creepage"]
    assert found.outcome is U
    assert "a gap by calliper (entry g1) is shorter" in found.statement


@pytest.mark.parametrize("name", ["U3", "PC817", "L1 choke", "CT1"])
def test_any_body_on_pads_of_both_sides_bridges_them(name: str) -> None:
    """Whatever it is called."""
    low = conductor("GND pad", "low-voltage GND", 10.0)
    body = shape(name, Role.COMPONENT, 5.0, 10.2, 6.0, 1.6)

    assert judged(board(low, body, thickness=1.6))["bridging-parts.creepage"].outcome is B


def test_the_space_under_a_part_shows_nothing_until_it_was_looked_at() -> None:
    """A part whose body leaves less than is asked for beside it may hide copper."""
    body = shape("U1", Role.COMPONENT, 6.5, 9.0, 6.0, 4.0)
    aside = shape("U1", Role.COMPONENT, 6.5, 20.0, 6.0, 4.0)

    hidden = judged(board(PILOT_FAR, body, thickness=1.6))["pilot-distance.creepage"]
    assert hidden.outcome is U
    assert "the space under U1 was not looked at" in hidden.statement
    assert judged(board(PILOT_FAR, aside, thickness=1.6))["pilot-distance.creepage"].outcome is W
    assert judged(board(PILOT_FAR, body, thickness=1.6), LOOKED)["pilot-distance.creepage"].outcome is W


def test_a_drawing_whose_corners_have_no_uncertainty_decides_nothing() -> None:
    """Unknown is not zero."""
    for pad in (PILOT_FAR, PILOT_NEAR):
        found = judged(board(pad, pick=None, thickness=1.6))["pilot-distance.clearance"]
        assert found.outcome is U
        assert found.quantity is not None
        assert found.quantity.u is None
        assert "instrument" not in found.statement
        assert "in the drawing; it cannot be placed" in found.statement


@pytest.mark.hand("a slot of 2 mm, 10 mm long beside each pad, lengthens 4.0 mm of surface and no air")
def test_a_slot_lengthens_the_way_along_the_surface_alone() -> None:
    """Air goes over it."""
    pilot = conductor("CP pad", "pilot CP", 10.0)
    slot = shape("slot", Role.SLOT, 7.0, 6.0, 2.0, 10.0)

    plain, milled = (judged(board(pilot, *more)) for more in ((), (slot,)))
    lengths = [
        found[f"pilot-distance.{kind}"].quantity.value  # type: ignore[union-attr]  # it was measured
        for found in (plain, milled)
        for kind in ("clearance", "creepage")
    ]
    assert lengths[:3] == pytest.approx([4.0, 4.0, 4.0])
    assert lengths[3] > 5.0
    assert plain["pilot-distance.creepage"].outcome is B
    assert milled["pilot-distance.creepage"].outcome is not B


@pytest.mark.hand("6 mm to 9 mm, and 10 mm to 13 mm: 3.0 + 3.0 mm; without the pad 7.0 mm")
def test_a_part_that_floats_counts_nothing_and_is_told() -> None:
    """The check on ways over such parts judges the same way."""
    pilot = conductor("CP pad", "pilot CP", 13.0)
    loose = shape("loose pad", Role.FLOATING, 9.0, 10.0, 1.0, 2.0)

    found = judged(board(pilot, loose, thickness=1.6))
    for name in ("pilot-distance.creepage", "floating-parts.creepage"):
        quantity = found[name].quantity
        assert quantity is not None
        assert quantity.value == pytest.approx(6.0)
        assert "across loose pad" in found[name].statement
    assert "floating-parts.creepage" not in judged(board(pilot, thickness=1.6))


def test_a_conductor_of_another_circuit_is_no_part_that_floats() -> None:
    """It shortens the way, and belongs to a circuit."""
    between = conductor("CP pad", "pilot CP", 9.0)
    low = conductor("GND pad", "low-voltage GND", 14.0)

    found = judged(board(between, low, thickness=1.6))
    assert "across CP pad" in found["low-voltage-distance.clearance"].statement
    assert "floating-parts.clearance" not in found


def test_beside_a_part_that_bridges_its_own_pads_are_judged() -> None:
    """An optocoupler's body stands on one pad of each side."""
    low = conductor("GND pad", "low-voltage GND", 10.0)
    body = shape("optocoupler U2", Role.COMPONENT, 5.0, 10.2, 6.0, 1.6)

    found = judged(board(low, body, thickness=1.6))["bridging-parts.creepage"]
    assert found.quantity is not None
    assert found.quantity.value == pytest.approx(4.0)
    assert found.outcome is B


class TestPhotograph:
    """A drawing over a picture decides beside three gaps by calliper that agree with it."""

    AGREEING = (
        gap("1.20 mm ± 0.05 mm", name="g1", _from="L pad", to="CP pad", over="flat board"),
        gap("2.02 mm ± 0.05 mm", name="g2", _from="L pad", to="PE pad", over="flat board"),
        gap("3.00 mm ± 0.05 mm", name="g3", _from="L pad", to="N pad", over="flat board"),
    )
    MODEL = in_picture(
        board(
            PILOT_NEAR,
            shape("PE pad", Role.CONDUCTOR, 4.0, 14.0, 2.0, 2.0, net="earth"),
            shape("N pad", Role.CONDUCTOR, 4.0, 5.0, 2.0, 2.0, net="mains N"),
        )
    )

    def test_alone_it_decides_nothing(self) -> None:
        """Neither kept nor missed, and the reason is given."""
        found = judged(self.MODEL)["pilot-distance.clearance"]

        assert found.outcome is U
        assert found.decisive is False
        assert "gaps between other ends each" in found.statement

    def test_beside_three_that_agree_it_decides(self) -> None:
        """Each between other ends."""
        bench = drawn(self.MODEL, *self.AGREEING)

        assert [one.agreement for one in gaps_beside(bench, bench.boards[0])] == [Agreement.AGREES] * 3
        found = found_in(bench)["pilot-distance.clearance"]
        assert found.outcome is B
        assert "d1" in found.evidence

    def test_three_of_one_direction_leave_it_open_and_the_missing_one_is_told(self) -> None:
        """A picture stretched across them would agree as well."""
        along = in_picture(board(PILOT_NEAR, conductor("PE pad", "earth", 12.0), conductor("N pad", "mains N", 30.0)))
        gaps = (
            self.AGREEING[0],
            gap("6.00 mm ± 0.05 mm", name="g2", _from="L pad", to="PE pad", over="flat board"),
            gap("24.00 mm ± 0.05 mm", name="g3", _from="L pad", to="N pad", over="flat board"),
        )
        bench = drawn(along, *gaps)

        assert [one.agreement for one in gaps_beside(bench, bench.boards[0])] == [Agreement.AGREES] * 3
        found = found_in(bench)["earth-distance.clearance"]
        assert found.outcome is U
        assert "read one that runs up and down, at least 60° from one of these" in found.statement

    def test_vague_ones_show_nothing(self) -> None:
        """They agree with any scale."""
        vague = tuple(
            replace(one, readings=(text,))
            for one, text in zip(self.AGREEING, ("1.5 mm ± 0.8 mm", "2.0 mm ± 0.8 mm", "3.0 mm ± 0.8 mm"), strict=True)
        )
        bench = drawn(self.MODEL, *vague)
        gaps = gaps_beside(bench, bench.boards[0])

        assert [one.agreement for one in gaps] == [Agreement.AGREES] * 3
        assert "(0 so far)" in why_undecided(self.MODEL, gaps)

    def test_one_that_differs_takes_the_drawing_its_say(self) -> None:
        """Until it is known which is wrong; what the calliper says still stands."""
        wrong = gap("2.60 mm ± 0.05 mm", name="g2", _from="L pad", to="PE pad", over="flat board")
        found = judged(self.MODEL, self.AGREEING[0], wrong, self.AGREEING[2])

        assert found["pilot-distance.clearance"].outcome is B
        assert found["pilot-distance.clearance"].evidence[0] == "g1"
        assert found["earth-distance.clearance"].outcome is U
        assert "differs from the drawing" in found["earth-distance.clearance"].statement


def test_a_picture_of_unknown_size_shows_nothing_kept() -> None:
    """What its lens bends is in no uncertainty then."""
    model = in_picture(board(PILOT_FAR, conductor("PE pad", "earth", 24.0), conductor("N pad", "mains N", 4.0, y=18.0)))
    assert model.calibration is not None
    blind = replace(model, calibration=replace(model.calibration, picture_size_px=None))
    gaps = (
        gap("8.00 mm ± 0.05 mm", name="g1", _from="L pad", to="CP pad", searched="under the parts"),
        gap("18.00 mm ± 0.05 mm", name="g2", _from="L pad", to="PE pad", searched="under the parts"),
        gap("6.00 mm ± 0.05 mm", name="g3", _from="L pad", to="N pad", searched="under the parts"),
    )

    assert judged(model, *gaps)["pilot-distance.creepage"].outcome is W
    assert judged(blind, *gaps)["pilot-distance.creepage"].outcome is U


@pytest.mark.hand(
    "a terminal of 20 mm, 20 mm aside of the foot of a lens at 500 mm: its top lies 20·20/480 = 0.83 mm aside"
)
@pytest.mark.parametrize(
    ("called", "height", "wanted"),
    [("CP pad", None, W), ("CP terminal", None, U), ("pin 3", None, U), ("CP terminal", 0.0, W), ("spinner", None, W)],
)
def test_what_stands_up_in_a_picture_keeps_nothing_until_its_height_is_said(
    called: str, height: float | None, wanted: Outcome
) -> None:
    """Its top was drawn, which lies nearer or farther than its foot; a height of 0 says that the copper was drawn."""
    pilot = replace(PILOT_FAR, name=called, height_mm=height)
    gaps = (
        gap("8.00 mm ± 0.05 mm", name="g1", _from="L pad", to=called, searched="under the parts"),
        gap("18.00 mm ± 0.05 mm", name="g2", _from="L pad", to="PE pad", searched="under the parts"),
        gap("6.00 mm ± 0.05 mm", name="g3", _from="L pad", to="N pad", searched="under the parts"),
    )
    model = board(pilot, conductor("PE pad", "earth", 24.0), conductor("N pad", "mains N", 4.0, y=18.0))
    over_picture = judged(in_picture(model), *gaps)["pilot-distance.creepage"]

    assert over_picture.outcome is wanted
    assert (f"how high {called} stands is not said" in over_picture.statement) == (wanted is U)
    assert judged(model, *gaps)["pilot-distance.creepage"].outcome is W


def test_nets_face_each_other_by_group_and_the_poles_one_by_one() -> None:
    """What nothing is asked of is not measured."""
    model = board(conductor("N pad", "mains N", 20.0), PILOT_FAR, conductor("x", "logic 1", 30.0))

    assert dict(pairs_of_nets(model)) == {
        ("mains", "pilot"): "mains to pilot",
        ("mains L", "mains N"): "line to neutral before the fuse",
    }


def test_a_drawing_that_cannot_be_measured_in_costs_its_own_entry() -> None:
    """Gaps by calliper are judged without it."""
    crossed = replace(LINE, outline=np.array([[4.0, 10.0], [6.0, 12.0], [6.0, 10.0], [4.0, 12.0]]))
    model = BoardModel(features=(BARE, crossed, PILOT_FAR), pick_u_mm=0.02)

    assert found_in(drawn(model, LOOKED))["pilot-distance.clearance"].evidence == ("looked",)


@pytest.mark.hand("the pad of the other spelling ends at 14.5 mm, the pilot's begins at 15.5 mm; 22 mm from the other")
@pytest.mark.parametrize("net", ["Mains N", "mains-N", "MAINS_N"])
def test_a_conductor_of_the_mains_is_one_however_it_is_written(net: str) -> None:
    """The nearer one decides."""
    found = judged(board(conductor("N", net, 12.5), conductor("CP", "pilot", 15.5)))

    for kind in ("clearance", "creepage"):
        quantity = found[f"pilot-distance.{kind}"].quantity
        assert quantity is not None
        assert quantity.value == pytest.approx(1.0)
        assert found[f"pilot-distance.{kind}"].outcome is B


@pytest.mark.parametrize("net", ["N", "L", "main N", "GND"])
def test_a_net_of_which_nothing_is_asked_keeps_every_distance_open(net: str) -> None:
    """It may be mains, nearer than any that is drawn as such."""
    aside = conductor("other", net, 12.0, y=16.0)
    found = judged(board(PILOT_FAR, aside))["pilot-distance.clearance"]

    assert found.outcome is U
    assert f"{net!r} is of none of the groups" in found.statement
    assert judged(board(PILOT_NEAR, aside))["pilot-distance.clearance"].outcome is B


def in_mils(model: BoardModel) -> BoardModel:
    """The same drawing with mils taken for millimetres."""
    features = tuple(replace(one, outline=one.outline / 0.0254) for one in model.features)
    return replace(model, features=features)


@pytest.mark.hand("1.2 mm are 47.2 mil: within any limit in millimetres; the board is 40 mm, 1575 mil")
def test_a_drawing_of_unlikely_size_decides_nothing() -> None:
    """Neither that it is kept nor that it is not."""
    mils = in_mils(board(PILOT_NEAR))
    inches = replace(mils, features=tuple(replace(one, outline=one.outline / 1000.0) for one in mils.features))
    for model in (mils, inches):
        found = judged(model)
        assert found["pilot-distance.clearance"].outcome is U
        assert "look whether it is in millimetres" in found["pilot-distance.clearance"].statement


@pytest.mark.parametrize("which", ["CP pad", "outline", "mark below"])
def test_a_shape_that_nobody_confirmed_lets_nothing_be_concluded(which: str) -> None:
    """Whatever it is: neither that a distance is kept nor that it is not; it is named, and how it is confirmed."""
    for pad in (PILOT_FAR, PILOT_NEAR):
        model = board(pad, thickness=1.6)
        features = tuple(replace(one, proposed=one.name == which) for one in model.features)
        sure, found = judged(model), judged(replace(model, features=features))
        for name in ("pilot-distance.clearance", "pilot-distance.creepage"):
            assert sure[name].outcome is not U
            assert found[name].outcome is U
            assert f"'{which}' is a proposal that nobody has confirmed" in found[name].statement
            assert "take its property proposed out" in found[name].statement


def test_gaps_by_calliper_confirm_no_proposal() -> None:
    """They show the scale of a drawing, not that its shapes are there."""
    sure = board(PILOT_FAR, thickness=1.6)
    model = replace(sure, features=tuple(replace(one, proposed=one.name == "CP pad") for one in sure.features))
    beside = gap("8.00 mm ± 0.03 mm", across="mains to pilot", _from="L pad", to="CP pad", over="flat board")
    outcomes = [judged(one, beside)["pilot-distance.creepage"].outcome for one in (sure, model)]

    assert outcomes == [W, U]


def test_a_long_gap_in_a_small_drawing_is_asked_about_until_a_calliper_agrees() -> None:
    """The rule of the calliper holds for what is drawn; a gap that agrees tells the unit."""
    wide = replace(BARE, outline=BARE.outline * [6.0, 1.0])
    model = BoardModel(features=(wide, LINE, conductor("CP pad", "pilot CP", 70.0)), pick_u_mm=0.02)
    beside = gap("64.00 mm ± 0.05 mm", name="same", _from="L pad", to="CP pad", across="mains to pilot")
    vague = gap("70 mm ± 20 mm", name="vague", _from="L pad", to="CP pad", across="mains to pilot")

    for alone in (judged(model), judged(model, vague)):
        assert alone["pilot-distance.clearance"].outcome is U
        assert "a gap of " in alone["pilot-distance.clearance"].statement
    agreed = drawn(model, beside)
    assert [gap.agreement for gap in gaps_beside(agreed, agreed.boards[0])] == [Agreement.AGREES]
    (of_drawing,) = (
        one for one in drawn_distances(agreed) if one.across == "mains to pilot" and one.kind is PathKind.CLEARANCE
    )
    assert of_drawing.questions == ()


@pytest.mark.parametrize("parted", [False, True])
def test_where_no_surface_leads_across_creepage_is_open_and_says_why(parted: bool) -> None:
    """A conductor off the outline, or a board in two parts: no way along the surface is no distance kept."""
    other = shape("second board", Role.BOARD, 50.0, 0.0, 20.0, 30.0)
    model = board(conductor("CP", "pilot", 52.0), *([other] if parted else []))
    near = judged(board(conductor("CP", "pilot", 42.0)))
    found = near if not parted else judged(model)

    creepage, clearance = (found[f"pilot-distance.{kind}"] for kind in ("creepage", "clearance"))
    assert creepage.outcome is U
    if parted:
        assert "look whether anything joins the two parts of the board" in creepage.statement
    else:
        assert "CP lies off the board as drawn, and no surface leads there" in creepage.statement
        assert clearance.outcome is U
        assert "CP lies off the board as drawn" in clearance.statement
