"""A chain rated by the matrix: printed examples, sensitivity by a factor of ten, what is told."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.conclusion.event_tree import Ending, Fork, chain
from coldpin.conclusion.rating import one_in, rate_chain, sensitivity, tree_level
from coldpin.errors import InputError, OutsideRange
from coldpin.records.scenario import RiskLevel, Span
from coldpin.standards.book import load_book
from coldpin.standards.risk import LEVELS
from coldpin.workbench import rate_steps

BOOK = load_book()


@pytest.mark.published("EU guideline, worked examples: folding chair (read for 1/500, else memory), hammer (memory)")
@pytest.mark.parametrize(
    ("steps", "severity", "overall", "band", "level"),
    [
        ("1,1/50,1/10,1", 1, "1/500", "> 1/1 000", "low"),
        ("1,1/1000,1/50,1/10,1", 2, "1/500 000", "> 1/1 000 000", "low"),
        ("1,1/2,1/2,1/3,1/5,1/10,1/10", 3, "1/6 000", "> 1/10 000", "high"),
        ("1/10,1/10,1/3,1/20", 3, "1/6 000", "> 1/10 000", "high"),
    ],
)
def test_the_guidelines_examples(steps: str, severity: int, overall: str, band: str, level: str) -> None:
    """Chair and hammer come out as printed."""
    told = rate_steps(steps, severity=severity)

    assert (told.fraction, told.band, told.level.value) == (overall, band, level)
    assert told.interval is None


@pytest.mark.hand("hammer: 1/6 000 at severity 3; 1/600 is serious, 1/60 000 medium")
def test_a_factor_of_ten_in_any_guess_moves_the_hammer_one_row() -> None:
    """Rows are decades: each step up or down moves the level, and all are named."""
    told = rate_steps("1/10,1/10,1/3,1/20", severity=3).sensitivity

    assert [(step.ten_times.value, step.tenth.value) for step in told.steps] == [
        ("serious", "medium"),
        ("serious", "medium"),
        ("high", "medium"),  # a third can be three times as likely at most: 1/2 000 is in the same row
        ("serious", "medium"),
    ]
    assert (told.ten_times.value, told.tenth.value) == ("serious", "medium")
    assert (told.milder, told.graver) == (RiskLevel.MEDIUM, RiskLevel.SERIOUS)
    assert not told.robust


@pytest.mark.hand("1/1 000 000 000 at severity 2 is low, and so are its neighbours")
def test_a_rating_that_nothing_moves_says_so() -> None:
    """No guess, no severity moves it."""
    told = rate_steps("1/1000,1/1000,1/1000", severity=2).sensitivity

    assert told.robust
    assert told.moved_by == ()
    assert told.statement.startswith("No single step")


@pytest.mark.hand("a chain of two endings: 1/2 with severity 1 is high, 1/2 000 000 with severity 4 is medium")
def test_the_worst_ending_gives_the_level_of_a_tree() -> None:
    """Endings are counted as at least so grave, and the worst of them is the tree's."""
    tree = Fork(
        step="a",
        happens=Fork(step="b", happens=Ending(severity=4), otherwise=Ending(severity=1)),
        otherwise=Ending(severity=0),
    )
    chances = {"a": Fraction(1, 2), "b": Fraction(1, 10**6)}

    assert tree_level(BOOK, tree, chances) is RiskLevel.HIGH


chances = st.lists(st.fractions(min_value=Fraction(1, 10**4), max_value=1), min_size=1, max_size=5)


@given(chances, st.integers(1, 4))
def test_a_likelier_step_never_lowers_the_level(steps: list[Fraction], severity: int) -> None:
    """Ten times as likely is no lower, a tenth no higher, a graver severity no lower, a milder one no higher."""
    named = {f"s{place}": step for place, step in enumerate(steps)}
    tree = chain([(name, 0) for name in named], severity)
    level = LEVELS.index(tree_level(BOOK, tree, named))
    told = sensitivity(BOOK, tree, named)

    for one in told.steps:
        assert LEVELS.index(one.tenth) <= level <= LEVELS.index(one.ten_times)
        assert LEVELS.index(told.tenth) <= LEVELS.index(one.tenth)
        assert LEVELS.index(one.ten_times) <= LEVELS.index(told.ten_times)
    if told.milder is not None:
        assert LEVELS.index(told.milder) <= level
    if told.graver is not None:
        assert level <= LEVELS.index(told.graver)


@pytest.mark.hand("a tenth of a factor of three each way")
def test_an_uncertain_step_gives_an_interval_and_the_rows_it_reaches() -> None:
    """The best stays the product of the bests; the levels at both ends are told."""
    told = rate_steps("1/10, pins live=0.001..0.01..0.1, 1/10", severity=3)

    assert told.probability == pytest.approx(1e-4, rel=1e-12)
    assert told.band == "> 1/10 000"
    assert told.interval is not None
    low, high = told.interval
    assert low < 1.2e-5 < 0.8e-3 < high
    assert [level.value for level in told.levels] == [
        "low" if low < 1e-5 else "medium",
        "serious" if high >= 1e-3 else "high",
    ]
    assert [step.id for step in told.steps] == ["step 1", "pins live", "step 3"]


@pytest.mark.hand("texts of the messages")
@pytest.mark.parametrize(
    ("steps", "message"),
    [
        ("", "no step is given"),
        ("1/10,oft", r"step 2, 'oft': cannot read 'oft'"),
        ("1/10,1/0", "nothing is divided by zero"),
        ("1/10,3/2", r"step 2: low 1\.5"),
        ("0,1", "semicolons"),
        ("0.1..0.2", r"low\.\.best\.\.high"),
        ("0.3..0.2..0.1", "rise from low to high"),
        ("a=1/2,a=1/3", "two steps are called 'a'"),
    ],
)
def test_steps_that_cannot_be_read(steps: str, message: str) -> None:
    """Each says which step, what was given and what would do."""
    with pytest.raises(InputError, match=message):
        rate_steps(steps, severity=3)


@pytest.mark.hand("ways to write the same chain")
@pytest.mark.parametrize(
    "steps", ["1/10,0.5,2 %", "0.1 , 50%, 1/50", "0,1; 0,5; 2%", "1e-1,5e-1,2e−2", "1/10, 1/2, 1/50"]
)
def test_probabilities_are_read_as_people_write_them(steps: str) -> None:
    """Fractions, decimals, per cent, powers; a decimal comma between semicolons."""
    assert rate_steps(steps, severity=2).fraction == "1/1 000"


@pytest.mark.hand("text")
def test_a_severity_or_chain_that_is_none_is_refused() -> None:
    """By name."""
    with pytest.raises(OutsideRange, match="severity is 0"):
        rate_steps("1/10", severity=0)
    with pytest.raises(InputError, match="at least one step"):
        rate_chain(BOOK, [], 3)
    with pytest.raises(InputError, match="a name of its own"):
        rate_chain(BOOK, [("a", Span(low=0.1, best=0.1, high=0.1))] * 2, 3)


@pytest.mark.hand("as one reads a probability")
@pytest.mark.parametrize(
    ("chance", "text"),
    [
        (Fraction(1, 12500), "1/12 500"),
        (Fraction(3, 1000), "about 1/330"),
        (0.8, "0.8"),
        (0.3448, "0.34"),
        (0.3, "0.3"),
        (1.0 / 3.0, "1/3"),
        (0.0951, "about 1/11"),
        (0.0, "0"),
        (1.0, "1"),
        (2.345e-8, "about 1/43 000 000"),
    ],
)
def test_a_probability_in_words(chance: float | Fraction, text: str) -> None:
    """One in so many, to two figures."""
    assert one_in(chance) == text
