"""What every check's record must hold, whoever wrote it."""

import re

import pytest

from coldpin.checks import CHECKS, Check, Level, method
from coldpin.conclusion import PLANS
from coldpin.records.showing import SUPPLIES
from coldpin.records.vocabulary import VOCABULARY
from coldpin.standards.book import load_book


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
class TestRecord:
    def test_needs_are_words_and_conditions_of_the_vocabulary_or_claims(self, check: Check) -> None:
        """A need that nobody can record would leave a check untested for ever."""
        assert check.needs or check.any_of
        for need in (*check.needs, *check.any_of):
            assert bool(need.shows) != bool(need.claim)
            if need.shows:
                assert {*need.conditions, *need.stated} <= set(VOCABULARY[need.shows].conditions)
                assert not need.with_output or VOCABULARY[need.shows].recorded_as == "capture"

    def test_live_work_has_its_cautions_hold_points_and_switch_off(self, check: Check) -> None:
        """Mains kills: competent persons, a residual-current device, the earth proved, before any live step."""
        assert check.bench.steps
        assert check.bench.cautions
        if check.bench.level is Level.LIVE:
            said = " ".join(check.bench.cautions)
            assert "never alone" in said
            assert "residual-current device" in said
            assert "earth path has been proved" in said
            assert check.bench.hold_points

    def test_limits_name_constants_that_exist(self, check: Check) -> None:
        """Each pattern of ids finds something in the book."""
        ids = [limit.id for limit in load_book().search("")]
        for pattern in check.limits:
            assert any(name.startswith(pattern) for name in ids), pattern

    def test_it_bears_on_functions_that_exist_and_speaks_for_them(self, check: Check) -> None:
        """A finding within must be likelier when the function works than when it does not."""
        known = {plan.id for plan in PLANS}
        for bearing in check.bears:
            assert bearing.function in known
            assert 0.0 < bearing.within_if_not < bearing.within_if_works < 1.0
            assert bearing.source

    def test_its_method_carries_cautions_and_hold_points(self, check: Check) -> None:
        """The report prints what the bench was told."""
        told = method(check)
        assert (told.cautions, told.hold_points) == (check.bench.cautions, check.bench.hold_points)


def test_there_are_thirty_checks_of_pilot_and_switching() -> None:
    """As many as the project promises for that part, each with what transfers and from where."""
    assert len(CHECKS) >= 30
    for check in CHECKS:
        assert check.bench.transfers, check.id
        assert {*check.transfer.within, *check.transfer.beyond} <= set(SUPPLIES), check.id


def test_dead_checks_come_before_live_ones() -> None:
    """The order of the tuple is the order in which they may be done."""
    levels = [check.bench.level for check in CHECKS]
    assert levels == sorted(levels, key=list(Level).index)


def test_a_closed_list_of_values_is_the_one_that_its_meaning_names() -> None:
    """Who reads the meaning of a condition knows all that may be typed, and no check waits for another value."""
    for showing in VOCABULARY.values():
        for name, values in showing.allowed.items():
            assert re.findall(r"'([^']+)'(?!s)", showing.conditions[name].replace("unit's", "unit")) == list(values)
    for check in CHECKS:
        for need in (*check.needs, *check.any_of):
            for name, values in need.conditions.items():
                assert {value for value in values if value} <= set(VOCABULARY[need.shows].allowed[name]), check.id
