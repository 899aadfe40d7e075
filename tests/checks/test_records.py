"""What every check's record must hold, whoever wrote it."""

import re

import pytest

from coldpin.checks import CHECKS, Check, Level, find_check, method
from coldpin.checks.cautions import DRAWN_DEAD, NO_CLIP, SCOPE_EARTH
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
        told = method(check, load_book())
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


@pytest.mark.hand("an earthed scope whose clip is on the connector closes the earth that the switch opens")
@pytest.mark.parametrize("name", ["earth-loss", "earth-missing"])
def test_where_the_earth_is_opened_no_clip_closes_it_again(name: str) -> None:
    """The sheet of the vehicle simulator says that the clip comes off before the earth is opened; so do the checks."""
    check = find_check(name)

    assert NO_CLIP in check.bench.cautions
    assert SCOPE_EARTH not in check.bench.cautions


def test_an_earth_that_is_to_be_open_is_measured_to_be_open() -> None:
    """Two sensors, no clip, and no second path, before the first loss of the earth is timed."""
    bench = find_check("earth-loss").bench

    assert "differential probes or isolated sensors of stated delay on pilot and output" in bench.instrument
    assert "Take the scope's clip off" in bench.steps[0]
    assert "measure from the unit's earth to the simulator's: no low resistance" in bench.steps[1]


@pytest.mark.parametrize("name", ["plugged-in-asking", "socket-release"])
def test_a_plug_is_drawn_by_hand_only_when_the_output_is_seen_dead(name: str) -> None:
    """The caution stands before the steps, the steps say when, and a stop value says when not."""
    bench = find_check(name).bench
    drawn = [step for step in bench.steps if re.search(r"draw the plug", step)]

    assert DRAWN_DEAD in bench.cautions
    assert drawn
    assert all("see the output dead" in step.lower() for step in drawn)
    assert any("live" in stop and "switch off" in stop for stop in bench.stop_values[1:])


def test_bare_pins_and_hot_loads_are_not_in_anybodys_hand() -> None:
    """The connector goes back into its holder before power returns; a load is rated, enclosed and left alone."""
    returned = " ".join(find_check("supply-return").bench.steps)
    load = find_check("opening").bench.steps[0]

    assert re.search("take the simulator away, put the connector back into its insulating holder.*switch on", returned)
    for word in ("rated for the current", "enclosed", "hot", "not touched"):
        assert word in load
