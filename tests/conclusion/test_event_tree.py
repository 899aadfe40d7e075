"""Event trees: equal to what is worked by hand, to the analytic product on draws, and monotone."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.conclusion.event_tree import (
    DRAWS,
    TO_95,
    Ending,
    Fork,
    Tree,
    chain,
    chance_of,
    check_span,
    deviates,
    drawn,
    interval,
    point,
    product_in_logarithms,
    severities,
    shifted,
    together,
)
from coldpin.errors import InputError, OutsideRange
from coldpin.records.scenario import Span

fractions = st.fractions(min_value=Fraction(1, 10**6), max_value=1)


@pytest.mark.published("EU guideline: folding chair, brittle hammer; products of the printed steps")
@pytest.mark.parametrize(
    ("steps", "product"),
    [
        (("1", "1/50", "1/10", "1"), "1/500"),
        (("1", "1/1000", "1/50", "1/10", "1"), "1/500000"),
        (("1", "1/2", "1/2", "1/3", "1/5", "1/10", "1/10"), "1/6000"),
        (("1/10", "1/10", "1/3", "1/20"), "1/6000"),
    ],
)
def test_a_chain_is_the_product_of_its_steps(steps: tuple[str, ...], product: str) -> None:
    """To the last digit, as fractions."""
    chances = {f"s{place}": Fraction(step) for place, step in enumerate(steps)}

    assert chance_of(chain([(name, 0) for name in chances], 3), chances, 3) == Fraction(product)


@pytest.mark.hand("worked on paper: 1/100 damaged; 1/4 no device, else 1/20 it does not act; 1/5 of those shocked die")
def test_a_tree_with_two_ways_to_the_same_end() -> None:
    """No device, or one that does not act, lead on alike; where it acts the injury is milder."""
    rest = Fork(step="dies", happens=Ending(severity=4), otherwise=Ending(severity=2))
    acts = Fork(step="device does not act", happens=rest, otherwise=Ending(severity=1))
    tree = Fork(
        step="damaged", happens=Fork(step="no device", happens=rest, otherwise=acts), otherwise=Ending(severity=0)
    )
    chances = {
        "damaged": Fraction(1, 100),
        "no device": Fraction(1, 4),
        "device does not act": Fraction(1, 20),
        "dies": Fraction(1, 5),
    }
    lasting = Fraction(1, 4) + Fraction(3, 4) * Fraction(1, 20)  # 23/80

    assert chance_of(tree, chances, 4) == Fraction(1, 100) * Fraction(23, 80) / 5 == Fraction(23, 40_000)
    assert chance_of(tree, chances, 2) == Fraction(1, 100) * lasting == Fraction(23, 8000)
    assert chance_of(tree, chances, 1) == Fraction(1, 100)
    in_floats = {name: float(value) for name, value in chances.items()}
    assert chance_of(tree, in_floats, 4) == pytest.approx(23 / 40_000, rel=1e-15)


@pytest.mark.hand("two protections with beta 1/10: 1/10 + 9/10 of 1/100")
def test_a_common_cause_keeps_two_alike_from_being_squared() -> None:
    """Two relays that fail once in a hundred and share a driver are both lost far more often than 1 in 10 000."""
    one = Fraction(1, 100)

    assert together(one, one, Fraction(1, 10)) == Fraction(109, 1000)
    assert one * together(one, one, Fraction(1, 10)) == Fraction(109, 100_000)
    assert together(one, one, Fraction(0)) == one
    assert together(one, one, Fraction(1)) == 1
    never = Fraction(0)
    assert together(never, one, Fraction(1, 10)) == one
    assert together(np.zeros(3), np.full(3, 0.01), np.full(3, 0.1)).tolist() == [0.01] * 3


@pytest.mark.published("IEC 61508-6, 1oo2: the term beta times lambda tau / 2 leads where beta is not small (memory)")
def test_the_common_cause_is_the_leading_term() -> None:
    """The joint probability lies between beta p and beta p plus p squared."""
    p, beta = 0.001, 0.02

    assert beta * p <= p * together(p, p, beta) <= beta * p + p * p


@given(fractions, fractions, fractions)
def test_both_are_lost_no_more_often_than_either_and_no_less_than_independently(
    first: Fraction, second: Fraction, beta: Fraction
) -> None:
    """With any beta, and the more the larger it is."""
    both = first * together(first, second, beta)

    assert first * second <= both <= min(first, second)
    assert both <= first * together(first, second, Fraction(1))


@st.composite
def trees(draw: st.DrawFn, depth: int = 3) -> Tree:
    """Any tree, with endings in any order of severity."""
    if depth == 0:
        return Ending(severity=draw(st.integers(0, 4)))
    otherwise = draw(trees(depth=depth - 1))
    return Fork(
        step=draw(st.sampled_from("abcdef")),
        happens=draw(trees(depth=depth - 1)),
        otherwise=otherwise,
    )


@given(trees(), st.fixed_dictionaries(dict.fromkeys("abcdef", fractions)))
def test_the_endings_of_a_tree_share_all_there_is(tree: Tree, chances: dict[str, Fraction]) -> None:
    """An ending at least unhurt is certain, and each severity takes its part of it."""
    at_least = [chance_of(tree, chances, severity) for severity in range(6)]

    assert at_least[0] == 1
    assert at_least[5] == 0
    assert at_least == sorted(at_least, reverse=True)
    assert all(share == 0 for severity, share in enumerate(at_least) if severity > max(severities(tree), default=0))


def spans() -> st.SearchStrategy[Span]:
    """Spans of a step, none of which reaches one."""

    def make(best: float, below: float, above: float) -> Span:
        return Span(low=best / below, best=best, high=best * above)

    factors = st.floats(min_value=1.0, max_value=20.0)
    return st.builds(make, st.floats(min_value=1e-5, max_value=0.005), factors, factors)


@pytest.mark.independent("the log-normal product in closed form")
@pytest.mark.parametrize(
    "steps",
    [
        [(0.001, 0.01, 0.1), (0.002, 0.01, 0.05), (0.0005, 0.001, 0.002)],
        [(0.001, 0.01, 0.02), (0.0001, 0.003, 0.006)],
        [(0.01, 0.01, 0.01), (0.001, 0.004, 0.03)],
    ],
)
def test_draws_agree_with_the_log_normal_product(steps: list[tuple[float, float, float]], proving: bool) -> None:
    """Mean and spread of the logarithm lie within their standard errors; nothing is tuned: the draws are fixed."""
    count = 400_000 if proving else DRAWS
    rng = np.random.default_rng(7)
    made = [Span(low=low, best=best, high=high) for low, best, high in steps]
    draws = {f"s{n}": drawn(span, rng.standard_normal(count)) for n, span in enumerate(made)}
    logs = np.log(chance_of(chain([(name, 0) for name in draws], 4), draws, 4))
    mean, deviation = product_in_logarithms(made)
    fourth = float(np.mean((logs - logs.mean()) ** 4))
    of_deviation = math.sqrt((fourth - deviation**4) / count) / (2.0 * deviation)

    assert float(logs.mean()) == pytest.approx(mean, abs=3.0 * deviation / math.sqrt(count))
    assert float(logs.std()) == pytest.approx(deviation, abs=3.0 * of_deviation)


@pytest.mark.independent("quantiles of a log-normal product in closed form")
def test_the_interval_of_symmetric_steps_is_that_of_the_log_normal() -> None:
    """Three steps of a factor of three each way: the ends lie at the square root of three times that, within error."""
    made = [Span(low=0.01 / 3, best=0.01, high=0.03)] * 3
    draws = {f"step {n}": drawn(span, deviates(f"step {n}")) for n, span in enumerate(made)}
    low, high = interval(chance_of(chain([(name, 0) for name in draws], 4), draws, 4))
    _, deviation = product_in_logarithms(made)
    density = math.exp(-(TO_95**2) / 2) / math.sqrt(2 * math.pi)
    error = deviation * math.sqrt(0.025 * 0.975 / DRAWS) / density  # of a quantile, in logarithms

    assert math.log(low) == pytest.approx(math.log(1e-6) - TO_95 * deviation, abs=3.0 * error)
    assert math.log(high) == pytest.approx(math.log(1e-6) + TO_95 * deviation, abs=3.0 * error)


@given(spans())
def test_a_span_is_drawn_with_its_ends_where_it_says(span: Span) -> None:
    """Low, best and high are met at −1.96, 0 and 1.96, and a likelier draw is never a smaller one."""
    at = drawn(span, np.array([-TO_95, 0.0, TO_95]))

    assert at == pytest.approx([span.low, span.best, span.high], rel=1e-12)
    assert (np.diff(drawn(span, np.linspace(-4.0, 4.0, 41))) >= 0.0).all()


@pytest.mark.hand("a step has the same draws wherever it stands")
def test_a_step_is_drawn_once() -> None:
    """The same name gives the same array, another name another; none can be written to."""
    assert deviates("touched") is deviates("touched")
    assert abs(float(np.corrcoef(deviates("touched"), deviates("cut"))[0, 1])) < 4.0 / math.sqrt(DRAWS)
    with pytest.raises(ValueError, match="read-only"):
        deviates("touched")[0] = 0.0


@pytest.mark.hand("what is certain stays so")
def test_a_certain_step_has_no_spread() -> None:
    """Also one that cannot happen; and no draw exceeds one."""
    for value in (0.0, 0.3, 1.0):
        assert set(drawn(Span(low=value, best=value, high=value), deviates("a"))) == {value}
    assert drawn(Span(low=0.1, best=0.9, high=1.0), deviates("a")).max() <= 1.0
    assert point({"a": Span(low=0.1, best=0.1, high=0.1)})["a"] == Fraction(1, 10)


@pytest.mark.hand("severities shift as far as there are any")
def test_a_tree_is_shifted_to_the_graver_and_the_milder() -> None:
    """Nobody hurt stays nobody hurt."""
    tree = chain([("a", 0), ("b", 1)], 4)

    assert severities(shifted(tree, 1)) == {2, 4}
    assert severities(shifted(tree, -1)) == {1, 3}


@pytest.mark.hand("texts of the messages")
@pytest.mark.parametrize("numbers", [(0.2, 0.1, 0.3), (0.0, 0.1, 0.3), (0.1, 0.2, 1.1), (0.1, math.nan, 0.3)])
def test_what_is_no_span_is_refused(numbers: tuple[float, float, float]) -> None:
    """The message names the step and the three numbers."""
    low, best, high = numbers

    with pytest.raises(OutsideRange, match=r"the cut: low .* probabilities rise from low to high"):
        check_span(Span(low=low, best=best, high=high), "the cut")


@pytest.mark.hand("text of the message")
def test_a_tree_needs_a_step() -> None:
    """An ending alone has no probability."""
    with pytest.raises(InputError, match="a tree without a step"):
        chance_of(Ending(severity=4), {"a": 0.5}, 4)
