"""Where a measured distance falls beside what is asked for."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.insulation.dimensioning import distance_row
from coldpin.insulation.placing import place_distance, placements_told
from coldpin.quantity import Quantity, rectangular
from coldpin.records.distance import PathKind
from coldpin.records.finding import Outcome
from coldpin.records.required_distances import (
    InsulationKind,
    InsulationSituation,
    MaterialGroup,
    OvervoltageCategory,
)
from coldpin.standards.book import load_book

BOARD = InsulationSituation(
    nominal_voltage_v=230.0,
    overvoltage_category=OvervoltageCategory.II,
    pollution_degree=2,
    material_group=MaterialGroup.IIIA,
)
ROW = distance_row(load_book(), BOARD, InsulationKind.REINFORCED)
DOUBTED = replace(ROW, clearance_up_to_mm=3.8)


@pytest.mark.hand("4.4 mm ± 0.1 mm lies wholly above 3.0 mm and wholly below 5.0 mm")
def test_a_reading_between_clearance_and_creepage() -> None:
    """Enough through air, too little along the surface."""
    gap = rectangular(4.4, 0.1, "mm", id="gap", label="gap")
    placed = {kind: place_distance(gap, ROW, kind) for kind in PathKind}

    assert placed[PathKind.CLEARANCE].outcome is Outcome.WITHIN
    assert placed[PathKind.CREEPAGE].outcome is Outcome.BEYOND
    assert placed[PathKind.CLEARANCE].probability == pytest.approx(1.0)
    assert placed[PathKind.CREEPAGE].probability == pytest.approx(0.0)


def test_too_close_to_say() -> None:
    """An interval that holds the limit decides nothing, in either direction."""
    for value in (4.95, 5.0, 5.05):
        placed = place_distance(Quantity(value, 0.06, "mm"), ROW, PathKind.CREEPAGE)
        assert placed.outcome is Outcome.UNDECIDED
        assert placed.probability is not None


def test_without_accuracy_nothing_is_decided() -> None:
    """However large the reading is."""
    placed = place_distance(
        Quantity(40.0, None, "mm", why="no uncertainty was written with it"), ROW, PathKind.CREEPAGE
    )

    assert (placed.outcome, placed.probability) == (Outcome.UNDECIDED, None)


def test_between_two_readings_of_the_texts_nothing_is_decided() -> None:
    """3.4 mm keeps 3.0 mm and misses 3.8 mm; below both it is beyond, above both within."""
    found = [
        place_distance(Quantity(value, 0.02, "mm"), DOUBTED, PathKind.CLEARANCE).outcome for value in (2.8, 3.4, 4.0)
    ]

    assert found == [Outcome.BEYOND, Outcome.UNDECIDED, Outcome.WITHIN]


def test_it_is_said_in_words() -> None:
    """One sentence for each kind of path, with every row."""
    gap = Quantity(3.4, 0.02, "mm")
    placements = (
        place_distance(gap, DOUBTED, PathKind.CLEARANCE),
        place_distance(gap, ROW, PathKind.CREEPAGE),
        place_distance(Quantity(5.0, 0.02, "mm"), ROW, PathKind.CREEPAGE),
        place_distance(Quantity(5.0, None, "mm", why="?"), ROW, PathKind.CREEPAGE),
    )

    through_air, along = placements_told(gap, placements, degree=2)

    assert through_air == (
        "3.400 mm ± 0.039 mm as a clearance, pollution degree 2: beside the 3.0 mm of reinforced insulation undecided: "
        "another reading of the texts asks for 3.8 mm."
    )
    assert along == (
        "3.400 mm ± 0.039 mm as a creepage, pollution degree 2: less than the 5.0 mm of reinforced insulation; "
        "too close to the 5.0 mm of reinforced insulation to say; "
        "beside the 5.0 mm of reinforced insulation undecided, for its accuracy is not known."
    )


@given(value=st.floats(0.1, 20.0), u=st.floats(0.001, 0.5), more=st.floats(0.0, 5.0))
def test_a_larger_gap_is_never_judged_worse(value: float, u: float, more: float) -> None:
    """Beyond, undecided, within: in this order as the gap grows."""
    order = [Outcome.BEYOND, Outcome.UNDECIDED, Outcome.WITHIN]
    for row in (ROW, DOUBTED):
        for kind in PathKind:
            small, large = (place_distance(Quantity(gap, u, "mm"), row, kind) for gap in (value, value + more))
            assert order.index(large.outcome) >= order.index(small.outcome)
