"""What a test may change of the conclusion, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks import CHECKS
from coldpin.conclusion.expected_gain import CONCLUDES_ALONE, gain, situation
from coldpin.records.plan import FaultMode
from tests.conclusion.findings import found
from tests.conclusion.options import EARTH, HALF, LEVELS, UNIT


@pytest.mark.hand(
    "p = 0.5; 0.5 · (1 − 0.2) = 0.4 against the earth, which may conclude alone; 1/4 of its answers of 27"
)
def test_the_gain_is_what_is_found_and_what_is_settled() -> None:
    """One prior of one half, one way to be broken, one check that misses a fifth."""
    state = situation(UNIT, (), (EARTH,), HALF)

    share = 1.0 / len(state.functions)
    assert gain(EARTH, state) == pytest.approx(0.4 + 0.4 + share * 0.6 / len(state.lacking["protective-earth"]))


@pytest.mark.hand("Bayes: a prior of one half, shared by three ways of which the check sees all, nothing, four fifths")
def test_what_found_nothing_makes_only_that_less_likely_which_it_would_have_shown() -> None:
    """A check that is within by a way it cannot see leaves that way as likely, against the one it sees."""
    seen = FaultMode(function="pilot-signal", fault="seen", within={"pilot-levels": 0.0})
    unseen = FaultMode(function="pilot-signal", fault="unseen", within={"pilot-levels": 1.0})
    within = (found("pilot-levels.low", "pilot-signal"),)
    done = replace(LEVELS, open=())

    state = situation(UNIT, within, (done,), HALF, (seen, unseen))
    thought = {way.fault: chance for way, chance in state.thought["pilot-signal"]}

    sixth = 0.5 / 3.0
    whole = 0.5 * 0.9 + sixth + sixth * 0.2
    assert thought["seen"] == 0.0
    assert thought["unseen"] == pytest.approx(sixth / whole)
    assert thought[""] == pytest.approx(sixth * 0.2 / whole)


def test_the_checks_said_to_conclude_alone_are_checks() -> None:
    """Each is one of ours, and bears on the functions named."""
    by_id = {check.id: check for check in CHECKS}

    assert set(CONCLUDES_ALONE) <= set(by_id)
    for name, functions in CONCLUDES_ALONE.items():
        assert set(functions) <= {bearing.function for bearing in by_id[name].bears}
