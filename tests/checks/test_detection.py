"""The measured table of detection rates: what it says, what it feeds, and that a fresh trial agrees with it."""

import pytest

from coldpin.checks import CHECKS
from coldpin.checks.check import Bearing
from coldpin.checks.detection import FEWEST_SOUND, OUTCOMES, SOUND, Detection, bearing_of, chance, load_detection
from coldpin.conclusion import PLANS
from coldpin.simulator import FAULTS
from coldpin.simulator.board_fault import BOARD_FAULTS
from coldpin.simulator.lead_fault import LEAD_FAULTS
from coldpin.simulator.residual import SAFEGUARD_FAULTS
from tools.detection import outcomes_of
from tools.detection_page import detection_page, rate
from tools.fault_functions import FUNCTIONS

DATA = load_detection()
SOME = (SOUND, "weak negative rail", "diode not checked", "live at power-up")


def test_every_fault_of_the_simulator_and_every_check_is_in_the_table() -> None:
    """A new fault or a new check asks for the table to be measured again: `python -m tools.detection`."""
    assert set(DATA.counts) == {SOUND, *FAULTS, *LEAD_FAULTS, *BOARD_FAULTS, *SAFEGUARD_FAULTS}
    for fault, rows in DATA.counts.items():
        assert set(rows) == {check.id for check in CHECKS}, fault
        assert {sum(row) for row in rows.values()} == {DATA.units_of(fault)}, fault


def test_faults_take_away_functions_that_exist() -> None:
    """The table's functions are those of the plans."""
    assert {name for names in FUNCTIONS.values() for name in names} <= {plan.id for plan in PLANS}
    assert set(FUNCTIONS) <= {*FAULTS, *LEAD_FAULTS, *BOARD_FAULTS, *SAFEGUARD_FAULTS}


def test_no_check_calls_a_sound_unit_beyond() -> None:
    """A false alarm on a unit drawn within its tolerances would be a mistake of ours."""
    alarms = {check.id: count for check in CHECKS if (count := DATA.count(SOUND, check.id, "beyond"))}

    assert alarms == {}


UNREACHED = {"ripple", "jittering oscillator", "drifting oscillator"}
"""The trials read no ripple, and last too short for a drift, and no check asks how far single edges
jitter."""


def test_every_fault_that_takes_a_function_away_is_found_by_some_check() -> None:
    """What no check finds could pass for sound: the page says "none" in its row, and here stands why."""
    missed = {fault for fault in FUNCTIONS if not any(DATA.count(fault, check.id, "beyond") for check in CHECKS)}

    assert missed == UNREACHED


@pytest.mark.hand("(k + 1/2) / (n + 1)")
@pytest.mark.parametrize(("found", "units", "expected"), [(0, 9, 0.05), (9, 9, 0.95), (4, 9, 0.45)])
def test_a_chance_is_never_nought_or_one(found: int, units: int, expected: float) -> None:
    """No finite number of units shows certainty."""
    assert chance(found, units) == pytest.approx(expected, abs=1e-12)


def table(sound: tuple[int, ...], **faults: tuple[int, ...]) -> Detection:
    """A table of one check, each fault taking away the function that it bears on."""
    return Detection(
        units=20,
        sound_units=100,
        seed=1,
        program_version="",
        functions=dict.fromkeys(faults, ("a",)),
        meanings={},
        counts={name: {"c": row} for name, row in ({SOUND: sound} | faults).items()},
    )


JUDGED = Bearing(function="a", within_if_works=0.9, within_if_not=0.2)


@pytest.mark.hand("(100.5 / 101) and the mean of 0.5 / 21 and 10.5 / 21, of those decided")
def test_a_measured_bearing_rests_on_what_was_decided() -> None:
    """Undecided speaks for neither, a fault that was never decided does not enter, the others weigh alike."""
    rows = {"seen": (0, 20, 0, 0), "half": (10, 10, 0, 0), "unsure": (0, 0, 20, 0), "untested": (0, 0, 0, 20)}
    found = bearing_of(table((100, 0, 0, 0), **rows), "c", JUDGED)

    assert found.within_if_works == pytest.approx(100.5 / 101, abs=5e-4)
    assert found.within_if_not == pytest.approx((0.5 + 10.5) / 42, abs=5e-4)
    assert found.source == (
        "simulator, of those decided: 100 sound units, and 20 at most of each of 2 faults, weighted alike"
    )


@pytest.mark.parametrize(
    "given",
    [
        table((99, 0, 1, 0), seen=(0, 20, 0, 0)),
        table((100, 0, 0, 0), seen=(0, 19, 1, 0)),
        table((100, 0, 0, 0), seen=(0, 20, 0, 0), few=(1, 1, 18, 0)),
        table((100, 0, 0, 0), missed=(20, 0, 0, 0)),
        table((0, 0, 0, 100), seen=(0, 20, 0, 0)),
    ],
)
def test_few_units_replace_no_judgement(given: Detection) -> None:
    """Below a hundred sound units, or twenty of a fault that enters, the rate tells the number of units."""
    assert bearing_of(given, "c", JUDGED) == JUDGED


def test_the_table_feeds_the_bearing_of_the_checks() -> None:
    """Measured bearings say from what, judgements that they are such; each speaks for its function."""
    bearings = [bearing for check in CHECKS for bearing in check.bears]

    assert all(one.source == "judgement" or one.source.startswith("simulator, of those decided") for one in bearings)
    assert all(one.within_if_not < one.within_if_works < 1.0 for one in bearings)
    assert any(one.source != "judgement" for one in bearings) is (DATA.sound_units >= FEWEST_SOUND)


@pytest.mark.pinned("the stored table: the same trial on unit 0 of the stored seed")
def test_a_fresh_trial_is_one_of_those_counted(proving: bool) -> None:
    """The first unit of some faults, with full sizes of every fault, is answered as the table counted."""
    for fault in DATA.counts if proving else SOME:
        for check, outcome in outcomes_of(fault, 0, DATA.seed).items():
            assert DATA.count(fault, check, outcome) > 0, (fault, check, outcome)


@pytest.mark.published("8 of 8: 63 % to 100 %, Clopper and Pearson 1934 (standing: memory, by scipy)")
def test_the_page_prints_counts_with_their_intervals() -> None:
    """Each fault stands in its row with what found it; outcomes are those of the table."""
    page = detection_page()

    assert rate(8, 8) == "8 of 8 (63 % to 100 %)"
    assert all(f"| {fault} |" in page for fault in (*FAULTS, *LEAD_FAULTS))
    assert OUTCOMES == ("within", "beyond", "undecided", "not_tested")
