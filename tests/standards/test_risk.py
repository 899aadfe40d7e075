"""The published matrix: every cell, its order, its bounds, and the examples that the guideline prints."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import InputError, OutsideRange
from coldpin.records.case import OwnConstant
from coldpin.records.finding import Standing
from coldpin.records.scenario import RiskLevel
from coldpin.standards.book import load_book
from coldpin.standards.risk import (
    LEVELS,
    SEVERITIES,
    band_of,
    exactly,
    level_meaning,
    risk_bands,
    risk_level,
    severity_meaning,
    worst,
)

BOOK = load_book()
PRINTED = ("HSSS", "MSSS", "MSSS", "LHSS", "LMHS", "LLMH", "LLLM", "LLLL")
"""The matrix row by row, severity 1 to 4, from above 50 % down to below one in a million."""
LETTERS = {"L": RiskLevel.LOW, "M": RiskLevel.MEDIUM, "H": RiskLevel.HIGH, "S": RiskLevel.SERIOUS}
BOUNDS = (Fraction(1, 2), *(Fraction(1, 10**power) for power in range(1, 7)), Fraction(0))


@pytest.mark.published("EU guideline, Implementing Decision (EU) 2019/417, Annex, Table 4; from memory")
@pytest.mark.parametrize("row", range(8))
@pytest.mark.parametrize("severity", SEVERITIES)
def test_each_cell_of_the_matrix(row: int, severity: int) -> None:
    """A probability just above a row's bound, and one just below the row above, have the level of the cell."""
    above = BOUNDS[row] + Fraction(1, 10**9)
    below = (BOUNDS[row - 1] if row else Fraction(1)) - Fraction(1, 10**9)

    for probability in (above, below):
        assert band_of(BOOK, probability).row == row + 1
        assert risk_level(BOOK, probability, severity) is LETTERS[PRINTED[row][severity - 1]]


@pytest.mark.published("EU guideline, Table 4: the graver or the likelier, the higher the level")
def test_the_matrix_rises_along_every_row_and_column() -> None:
    """Neither a graver severity nor a likelier row ever has a lower level."""
    rows = [[LEVELS.index(level) for level in band.levels] for band in risk_bands(BOOK)]

    assert all(left <= right for row in rows for left, right in pairwise(row))
    assert all(upper[at] >= lower[at] for upper, lower in pairwise(rows) for at in range(4))


@pytest.mark.hand("the bounds of the rows")
@pytest.mark.parametrize("row", range(7))
def test_a_probability_on_a_bound_is_judged_by_the_graver_row(row: int) -> None:
    """The text leaves it open, and one part in a thousand million below is the next row."""
    assert band_of(BOOK, BOUNDS[row]).row == row + 1
    assert band_of(BOOK, float(BOUNDS[row])).row == row + 1
    assert band_of(BOOK, BOUNDS[row] * (1 - Fraction(1, 10**9))).row == row + 2


@pytest.mark.hand("1/10 three times is 1/1 000, which floats miss")
def test_decimals_are_taken_as_written() -> None:
    """A product of tenths lies on the bound and not a rounding beside it."""
    assert exactly(0.1) ** 3 == Fraction(1, 1000)
    assert band_of(BOOK, exactly(0.3) * exactly(1e-5) / 3).row == 7


@given(st.floats(min_value=0.0, max_value=1.0), st.floats(min_value=0.0, max_value=1.0))
def test_a_likelier_injury_never_has_a_lower_level(one: float, other: float) -> None:
    """At each severity, and a graver one never a lower one at the same probability."""
    low, high = sorted((one, other))
    for severity in SEVERITIES:
        here = LEVELS.index(risk_level(BOOK, low, severity))
        assert here <= LEVELS.index(risk_level(BOOK, high, severity))
        if severity > 1:
            assert here >= LEVELS.index(risk_level(BOOK, low, severity - 1))


@pytest.mark.hand("text")
def test_every_row_says_how_well_it_is_known() -> None:
    """The matrix is from memory and says so; what was read says where."""
    assert {band.limit.standing for band in risk_bands(BOOK)} == {Standing.MEMORY}
    assert {severity_meaning(BOOK, severity).standing for severity in SEVERITIES} == {Standing.READ}
    assert len({level_meaning(BOOK, level).title for level in LEVELS}) == len(LEVELS)


@pytest.mark.hand("one product has one risk")
def test_the_worst_of_several_levels_counts() -> None:
    """In any order; nothing at all is low."""
    assert worst([RiskLevel.MEDIUM, RiskLevel.SERIOUS, RiskLevel.LOW]) is RiskLevel.SERIOUS
    assert worst([]) is RiskLevel.LOW


@pytest.mark.hand("texts of the messages")
def test_what_is_no_probability_or_severity_is_refused() -> None:
    """The message says what is allowed."""
    with pytest.raises(OutsideRange, match="between 0 and 1"):
        band_of(BOOK, 1.2)
    with pytest.raises(OutsideRange, match="severity is 5"):
        risk_level(BOOK, 0.1, 5)


@pytest.mark.hand("text of the message")
def test_own_bounds_must_fall() -> None:
    """A case may put its own bound in the place of ours, not a matrix out of order."""
    own = OwnConstant(id="risk.band.3", source="my copy of the decision", minimum=0.2)

    with pytest.raises(InputError, match=r"lower bounds of risk\.band\.\* must fall"):
        risk_bands(BOOK.with_own([own]))
