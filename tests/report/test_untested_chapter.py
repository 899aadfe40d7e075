"""The chapter on what was not tested, and what would be tested next."""

from __future__ import annotations

from dataclasses import replace

from coldpin.records.assessment import Assessment, FurtherTest
from coldpin.records.plan import DESK
from coldpin.report.build import build_document
from coldpin.report.html import render_html
from coldpin.workbench.further_tests import further_tests
from tests.report.sample import SAMPLE


def page(assessment: Assessment) -> str:
    return render_html(build_document(assessment))


def test_tests_are_told_in_the_order_in_which_they_may_be_done() -> None:
    """With what each asks, how long it takes, what goes before it, and of which function it speaks."""
    function = SAMPLE.functions[0]
    dead = FurtherTest(
        test="a", title="Joints", question="Are they good?", stage="dead", minutes=20, says_of=(function.id,)
    )
    live = FurtherTest(
        test="b",
        title="Levels",
        question="Are they right?",
        stage="mains, vehicle simulator",
        minutes=15,
        says_of=("no such function",),
        first=("the earth resistance",),
    )
    told = page(replace(SAMPLE, further_tests=(dead, live)))

    assert "What was not tested, and what would be tested next" in told
    assert told.index("Are they good?") < told.index("Are they right?")
    assert "Dead, 20 min" in told
    assert "after the earth resistance" in told
    assert "Tests that are not done with this specimen" not in told
    assert "What would be tested next" not in page(replace(SAMPLE, further_tests=()))


def test_what_a_finding_forbids_is_told_apart() -> None:
    """A test with the mains on a specimen that must not be powered is no advice."""
    forbidden = FurtherTest(
        test="b",
        title="Levels of the pilot",
        question="Are they right?",
        stage="mains, no vehicle",
        minutes=15,
        says_of=(),
        stopped=("'Reach of a wire' is beyond",),
    )
    told = page(replace(SAMPLE, further_tests=(forbidden, replace(forbidden, test="c", title="Ripple"))))

    assert "Tests that are not done with this specimen as it is" in told
    assert told.count("Reach of a wire") == 1  # once for all that it forbids
    assert told.index("Levels of the pilot") < told.index("Ripple")
    assert "Are they right?" not in told


def test_dead_work_comes_before_live_and_destruction_last() -> None:
    """From the findings of the sample, through the same rules as the advice."""
    made = further_tests(SAMPLE.case.unit, SAMPLE.findings, SAMPLE.not_tested, SAMPLE.entries)
    stages = [one.stage for one in made]
    order = ["dead", "extra-low voltage", "mains, no vehicle", "mains, vehicle simulator", "mains, a car", "opened"]
    order.append("destructive")

    assert made
    assert stages == sorted(stages, key=order.index)
    assert all(one.stopped for one in made if one.stage.startswith("mains"))


def test_claims_that_are_missing_are_read_at_the_desk() -> None:
    """Nothing is done at the bench for them."""
    written = FurtherTest(test="a", title="Claims", question="Said?", stage=DESK, minutes=1, says_of=())

    assert "At the desk, 1 min" in page(replace(SAMPLE, further_tests=(written,)))
