"""Worlds: drawn once, re-weighted by an answer as Bayes has it, never drawn again."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.conclusion.event_tree import DRAWS
from coldpin.conclusion.scenarios import known, set_scenarios
from coldpin.conclusion.worlds import Worlds, draw_worlds
from coldpin.errors import InputError, OutsideRange
from coldpin.records.function import FunctionState
from coldpin.standards.risk import LEVELS
from tests.conclusion.test_scenarios import BOOK, GUARDS, ZONES, function

OPEN = ("residual-current", "supply-switching")


def worlds(*open_: str, beliefs: dict[str, float] | None = None, parents: dict[str, str] | None = None) -> Worlds:
    """Worlds with all functions shown but some."""
    functions = [function(name, FunctionState.NOT_SHOWN if name in open_ else FunctionState.SHOWN) for name in GUARDS]
    return draw_worlds(BOOK, set_scenarios(BOOK, known(functions, []), zones=ZONES), beliefs=beliefs, parents=parents)


@pytest.mark.hand("Bayes: 1/2 x 0.9 against 1/2 x 0.1 gives 0.9")
def test_an_answer_reweights_as_bayes_has_it() -> None:
    """Within what the share of worlds drawn is off one half; the draws are the same arrays."""
    before = worlds(*OPEN)
    drawn = before.belief("residual-current")
    after = before.answered({"residual-current": (0.9, 0.1)})

    assert drawn == pytest.approx(0.5, abs=3 * np.sqrt(0.25 / DRAWS))
    assert after.belief("residual-current") == pytest.approx(0.9 * drawn / (0.9 * drawn + 0.1 * (1 - drawn)), rel=1e-12)
    assert after.evidence == pytest.approx(0.9 * drawn + 0.1 * (1 - drawn), rel=1e-12)
    assert after.ranks is before.ranks
    assert after.belief("supply-switching") == pytest.approx(0.5, abs=0.06)


@pytest.mark.hand("an answer that settles a function leaves its worlds alone")
def test_a_sure_answer_settles_a_function() -> None:
    """The level falls to that with the function, and rises to that without."""
    before = worlds("residual-current")
    works, lost = before.answered({"residual-current": (1.0, 0.0)}), before.answered({"residual-current": (0.0, 1.0)})

    assert works.belief("residual-current") == pytest.approx(1.0)
    assert lost.belief("residual-current") == 0.0
    serious = LEVELS.index(LEVELS[-1])
    assert works.shares("damage-without-device")[serious] < lost.shares("damage-without-device")[serious]
    assert before.shares().sum() == pytest.approx(1.0)


@given(st.floats(0.05, 1.0), st.floats(0.05, 1.0), st.floats(0.05, 1.0), st.floats(0.05, 1.0))
def test_the_order_of_answers_is_of_no_matter(a: float, b: float, c: float, d: float) -> None:
    """Two answers give the same weights in either order, and together; the evidence is the product."""
    start = worlds(*OPEN)
    one, other = {"residual-current": (a, b)}, {"supply-switching": (c, d)}
    first, second = start.answered(one).answered(other), start.answered(other).answered(one)

    assert np.allclose(first.weights, second.weights, rtol=1e-12)
    assert np.allclose(first.weights, start.answered(one | other).weights, rtol=1e-12)
    assert first.evidence == pytest.approx(second.evidence, rel=1e-12)


@pytest.mark.hand("no child works in a world without its parent")
def test_a_function_does_not_work_without_its_parent() -> None:
    """Its belief is then the product of the two."""
    drawn = worlds(*OPEN, parents={"residual-current": "supply-switching"})

    assert not (drawn.works["residual-current"] & ~drawn.works["supply-switching"]).any()
    assert drawn.belief("residual-current") == pytest.approx(0.25, abs=3 * np.sqrt(0.19 / DRAWS))
    assert worlds(*OPEN, beliefs={"residual-current": 1.0}).belief("residual-current") == pytest.approx(1.0)


@pytest.mark.hand("nothing open: an answer on a shown function changes nothing")
def test_an_answer_on_what_is_not_open_is_left_aside() -> None:
    """Weights and levels stay."""
    drawn = worlds("residual-current")

    assert np.allclose(drawn.answered({"supply-switching": (0.1, 0.9)}).weights, drawn.weights, rtol=1e-12)


@pytest.mark.hand("texts of the messages")
def test_what_cannot_be_is_refused() -> None:
    """A likelihood or belief that is none, an answer no world allows, no scenario."""
    drawn = worlds("residual-current")
    with pytest.raises(OutsideRange, match=r"likelihoods 1\.2 and 0"):
        drawn.answered({"residual-current": (1.2, 0.0)})
    with pytest.raises(InputError, match="cannot come about"):
        drawn.answered({"residual-current": (0.0, 0.0)})
    with pytest.raises(OutsideRange, match="the belief that residual-current works is -1"):
        worlds("residual-current", beliefs={"residual-current": -1.0})
    with pytest.raises(InputError, match="no scenario"):
        draw_worlds(BOOK, [])
