"""Names of nets: one rule, whoever asks; and corners in whole numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import UnknownName
from coldpin.insulation.path_uncertainty import measure_distances
from coldpin.insulation.surfaces import nets_named
from coldpin.records.board import BoardFeature, BoardModel, Role
from coldpin.records.distance_words import across
from coldpin.records.nets import GROUPS, group_of, one_spelling, stands_for, unasked


def pad(name: str, net: str, x: int) -> BoardFeature:
    """A pad one millimetre wide, its corners whole numbers."""
    return BoardFeature(
        name=name, role=Role.CONDUCTOR, net=net, outline=np.array([[x, 0], [x + 1, 0], [x + 1, 1], [x, 1]])
    )


@pytest.mark.hand("the pad of the other spelling ends at 8 mm, the pilot begins at 9 mm; mains L ends at 1 mm")
@pytest.mark.parametrize("net", ["Mains N", "mains_N", "MAINS-N", " mains  N", "Mains"])
def test_every_spelling_of_a_group_is_in_it(net: str) -> None:
    """The nearer conductor is left out by nobody."""
    board = BoardModel(features=(pad("L", "mains L", 0), pad("N", net, 7), pad("P", "Pilot CP", 9)), pick_u_mm=0.03)

    assert [shape.name for shape in board.of_net("mains")] == ["L", "N"]
    assert nets_named(board, "MAINS") == ("mains L", net)
    assert across(net, "pilot") == "mains to pilot"
    found = measure_distances(board, ("mains", "pilot"), groove_x_mm=1.0).clearance
    assert found is not None
    assert found.path.length_mm == pytest.approx(1.0)


def test_a_net_asked_for_by_its_whole_name_is_that_net_alone() -> None:
    """What lies behind the fuse is another net."""
    board = BoardModel(features=(pad("L", "mains L", 0), pad("F", "mains L fused", 3), pad("P", "pilot", 9)))

    assert nets_named(board, "Mains_L") == ("mains L",)
    with pytest.raises(UnknownName, match="mains"):
        nets_named(board, "main")


@pytest.mark.parametrize("net", ["L", "N", "main N", "GND", "12V", "live", "mainsL", "low-side"])
def test_what_belongs_to_no_group_is_told(net: str) -> None:
    """It may be mains."""
    assert unasked(["mains L", net, "pilot", ""]) == (net,)


@given(st.sampled_from(GROUPS), st.sampled_from("LN5x"), st.sampled_from([" ", "  ", "_"]), st.booleans())
def test_spelling_changes_nothing(group: str, rest: str, between: str, loud: bool) -> None:
    """Case and what separates words are no part of a name."""
    written = f"{group}{between}{rest}"
    net = written.upper() if loud else written

    assert group_of(net) == group
    assert one_spelling(net) == f"{group} {rest.casefold()}"
    assert stands_for(group, net)
    assert stands_for(one_spelling(net), net)


@pytest.mark.hand("two edges 4 mm apart, each within u 0.03 mm: some 0.04 mm, in whole numbers as in decimals")
def test_corners_in_whole_numbers_are_drawn_anew_as_any_others() -> None:
    """Cut to whole numbers they would scatter by a millimetre."""
    whole = BoardModel(features=(pad("L", "mains L", 0), pad("P", "pilot", 5)), pick_u_mm=0.03)
    found = measure_distances(whole, ("mains", "pilot"), groove_x_mm=1.0).clearance

    assert whole.features[0].outline.dtype == np.float64
    assert found is not None
    assert found.length_mm.u is not None
    assert found.length_mm.u < 0.1
