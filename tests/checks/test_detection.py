"""The measured table of detection rates: what it says, what it feeds, and that a fresh trial agrees with it."""

import pytest

from coldpin.checks import CHECKS
from coldpin.checks.detection import OUTCOMES, SOUND, chance, load_detection
from coldpin.conclusion import PLANS
from coldpin.simulator import FAULTS
from tools.detection import FUNCTIONS, outcomes_of
from tools.detection_page import detection_page, rate

DATA = load_detection()
SOME = (SOUND, "weak negative rail", "diode not checked", "live at power-up")


def test_every_fault_of_the_simulator_and_every_check_is_in_the_table() -> None:
    """A new fault or a new check asks for the table to be measured again: `python -m tools.detection`."""
    assert set(DATA.counts) == {SOUND, *FAULTS}
    for fault, rows in DATA.counts.items():
        assert set(rows) == {check.id for check in CHECKS}, fault
        assert {sum(row) for row in rows.values()} == {DATA.units}, fault


def test_faults_take_away_functions_that_exist() -> None:
    """The table's functions are those of the plans."""
    assert {name for names in FUNCTIONS.values() for name in names} <= {plan.id for plan in PLANS}
    assert set(FUNCTIONS) <= set(FAULTS)


def test_no_check_calls_a_sound_unit_beyond() -> None:
    """A false alarm on a unit drawn within its tolerances would be a mistake of ours."""
    alarms = {check.id: count for check in CHECKS if (count := DATA.count(SOUND, check.id, "beyond"))}

    assert alarms == {}


UNREACHED = {"ripple", "jittering oscillator", "drifting oscillator", "misses high B"}
"""The trials read no ripple, last too short for a drift, and see of a vehicle at the high end of B the output only."""


def test_every_fault_that_takes_a_function_away_is_found_by_some_check() -> None:
    """What no check finds could pass for sound: the page says "none" in its row, and here stands why."""
    missed = {fault for fault in FUNCTIONS if not any(DATA.count(fault, check.id, "beyond") for check in CHECKS)}

    assert missed <= UNREACHED


@pytest.mark.hand("(k + 1/2) / (n + 1)")
@pytest.mark.parametrize(("found", "units", "expected"), [(0, 9, 0.05), (9, 9, 0.95), (4, 9, 0.45)])
def test_a_chance_is_never_nought_or_one(found: int, units: int, expected: float) -> None:
    """No finite number of units shows certainty."""
    assert chance(found, units) == pytest.approx(expected, abs=1e-12)


def test_the_table_feeds_the_bearing_of_the_checks() -> None:
    """Measured bearings say from what; each stays a probability that speaks for its function."""
    by_check = {check.id: {bearing.function: bearing for bearing in check.bears} for check in CHECKS}
    measured = by_check["diode-before-closing"]["vehicle-recognition"]

    assert measured.source.startswith(f"simulator, {DATA.units} sound units")
    assert measured.within_if_not < 0.5 < measured.within_if_works < 1.0
    assert by_check["pilot-insulation"]["pilot-separation"].source == "judgement"


@pytest.mark.independent("a fresh virtual trial on unit 0 of the stored seed")
@pytest.mark.parametrize("fault", SOME)
def test_a_fresh_trial_is_one_of_those_counted(fault: str) -> None:
    """The first unit, gone through again, is answered as the table counted."""
    for check, outcome in outcomes_of(fault, 0, DATA.seed).items():
        assert DATA.count(fault, check, outcome) > 0, (check, outcome)


def test_proving_goes_through_every_fault(proving: bool) -> None:
    """With full sizes: unit 0 of every fault is one of those counted."""
    if not proving:
        return
    for fault in DATA.counts:
        for check, outcome in outcomes_of(fault, 0, DATA.seed).items():
            assert DATA.count(fault, check, outcome) > 0, (fault, check, outcome)


@pytest.mark.published("8 of 8: 63 % to 100 %, Clopper and Pearson 1934 (standing: memory, by scipy)")
def test_the_page_prints_counts_with_their_intervals() -> None:
    """Each fault stands in its row with what found it; outcomes are those of the table."""
    page = detection_page()

    assert rate(8, 8) == "8 of 8 (63 % to 100 %)"
    assert all(f"| {fault} |" in page for fault in FAULTS)
    assert OUTCOMES == ("within", "beyond", "undecided", "not_tested")
