"""The offer beside what the user set, the country's practice, and what the cable says of itself."""

from dataclasses import replace

import pytest

from coldpin.checks import run_checks
from coldpin.quantity import Quantity
from coldpin.records.case import Claims
from coldpin.records.finding import Finding, Outcome
from coldpin.records.pilot import State
from coldpin.simulator import VirtualUnit
from tests.checks.bench import CLAIMS, WALL, capture_of, entry, evidence, found_in

SOUND = VirtualUnit(duty=26.67)


def settings(*tried: tuple[float, str], event: str = "") -> dict[str, Finding]:
    more = {"event": event} if event else {}
    captures = [
        capture_of(replace(SOUND, duty=duty), name=f"c{at}", setting=setting, **more)
        for at, (duty, setting) in enumerate(tried)
    ]
    return found_in(evidence(captures=captures))


@pytest.mark.published(
    "10 % for 6 A, 16.67 % for 10 A, 26.67 % for 16 A: IEC 61851-1:2017 Table A.7 (standing: memory)"
)
def test_the_offer_follows_every_setting() -> None:
    """The worst of all decides, and the settings tried are told."""
    good = settings((10.0, "6 A"), (16.67, "10 A"), (26.67, "16 A"))["current-setting.follows"]
    deaf = settings((26.67, "6 A"), (26.67, "16 A"))["current-setting.follows"]

    assert good.outcome is Outcome.WITHIN
    assert "Settings tried: 6 A, 10 A, 16 A." in good.remarks
    assert deaf.outcome is Outcome.BEYOND
    assert "setting of 6 A" in deaf.statement


def test_a_setting_at_the_edge_is_undecided_and_one_that_cannot_be_is_a_problem() -> None:
    """A point of the period off, to the resolution of the capture; a current that no duty cycle stands for."""
    assert settings((27.667, "16 A"))["current-setting.follows"].outcome is Outcome.UNDECIDED
    wrong = capture_of(SOUND, setting="a lot")
    results = run_checks(evidence(captures=(wrong,)))
    assert any("condition 'setting' = 'a lot'" in problem.what for problem in results.problems)
    assert "current-setting" in {item.check for item in run_checks(evidence(captures=(capture_of(SOUND),))).not_tested}


@pytest.mark.practice
@pytest.mark.parametrize(("duty", "outcome"), [(10.0, Outcome.WITHIN), (26.67, Outcome.BEYOND)])
def test_a_lead_that_forgets_its_setting_offers_more_than_its_socket_bears(duty: float, outcome: Outcome) -> None:
    """After an interruption the setting of 6 A must still hold."""
    before = capture_of(replace(SOUND, duty=10.0), setting="6 A")
    after = capture_of(replace(SOUND, duty=duty), name="c2", setting="6 A", event="supply interruption")
    found = found_in(evidence(captures=(before, after)))

    assert found["current-setting.kept"].outcome is outcome
    assert found["current-setting.follows"].outcome is Outcome.WITHIN


@pytest.mark.published("at least 5 s between two changes of the duty cycle: IEC 61851-1:2017 (standing: read)")
@pytest.mark.parametrize(
    ("text", "outcome"), [("6.2 s", Outcome.WITHIN), ("1.1 s", Outcome.BEYOND), ("5.0 s", Outcome.UNDECIDED)]
)
def test_the_offer_is_not_changed_too_fast(text: str, outcome: Outcome) -> None:
    """The shortest interval decides."""
    made = entry("interval between changes of the offer", readings=("7 s", text), instrument="stopwatch")

    assert found_in(evidence(made))["offer-interval.time"].outcome is outcome
    assert "offer-interval" in {item.check for item in run_checks(evidence()).not_tested}


@pytest.mark.published("at least 5 s between two changes of the duty cycle: IEC 61851-1:2017 (standing: read)")
@pytest.mark.parametrize(("second", "outcome"), [(6.2, Outcome.WITHIN), (1.1, Outcome.BEYOND)])
def test_changes_of_the_offer_are_timed_in_a_capture(second: float, outcome: Outcome) -> None:
    """Runs that follow one another with another duty cycle each: the interval is read from them."""
    made = capture_of(SOUND, event="change of setting")
    (one,) = [run for run in made.reading.runs if run.state is State.B2][:1]
    spans = ((0.0, 1.0, 26.67), (1.0, 1.0 + second, 16.67), (1.0 + second, 12.0, 20.0))
    runs = tuple(
        replace(one, start_s=start, end_s=end, duty_percent=Quantity(duty, 0.02, "%")) for start, end, duty in spans
    )
    changing = replace(made, reading=replace(made.reading, runs=runs))
    found = found_in(evidence(captures=(changing,)))

    assert found["offer-interval.time"].outcome is outcome
    assert found["offer-interval.time"].quantity is not None
    assert found["offer-interval.time"].quantity.value == pytest.approx(second)
    once = replace(made, reading=replace(made.reading, runs=runs[:2]))
    assert "offer-interval.time" not in found_in(evidence(captures=(once,)))


@pytest.mark.published("8 A in Denmark and Finland: IEC 62752:2016, scope; 10 A in Norway: national guidance (read)")
@pytest.mark.parametrize(
    ("country", "duty", "outcome"),
    [
        ("DK", 26.67, Outcome.BEYOND),
        ("dk", 13.33, Outcome.WITHIN),
        ("NO", 16.67, Outcome.WITHIN),
        ("FI", 14.4, Outcome.UNDECIDED),
        ("SE", 26.67, Outcome.NOT_APPLICABLE),
    ],
)
def test_the_offer_beside_the_country_s_practice(country: str, duty: float, outcome: Outcome) -> None:
    """Told by country; where nothing is known it is said, and local codes are named. No function hangs on it."""
    claims = replace(CLAIMS, country=country)
    found = found_in(evidence(claims=claims, captures=(capture_of(replace(SOUND, duty=duty)),)))["offer-country.value"]

    assert (found.outcome, found.functions, found.decisive) == (outcome, (), False)
    assert "ocal codes" in " ".join((found.statement, *found.remarks))


def test_without_a_country_or_a_plug_practice_is_not_asked() -> None:
    """A missing claim is named; a wall unit has no plug."""
    captures = (capture_of(SOUND),)
    missed = {item.check: item for item in run_checks(evidence(captures=captures)).not_tested}

    assert missed["offer-country"].needs == ("the claim 'country' in case.toml",)
    assert "offer-country.not-applicable" in found_in(evidence(unit=WALL, captures=captures))


@pytest.mark.hand("680 Ω stands for 20 A, 220 Ω for 32 A")
@pytest.mark.parametrize(
    ("printed", "reading", "outcome"),
    [
        ("3G2.5 mm² 20 A", "680 Ω", Outcome.WITHIN),
        ("3G1.5 16A", "220 Ω", Outcome.BEYOND),
        ("3G2.5 mm² 20 A", "50 kΩ", Outcome.UNDECIDED),
    ],
)
def test_the_coding_is_held_against_the_cable_s_own_print(printed: str, reading: str, outcome: Outcome) -> None:
    """More coded than printed lets the car draw more than the cable says it bears."""
    made = entry("coding resistance", readings=(reading,), instrument="meter")
    found = found_in(evidence(made, claims=Claims(cable_print=printed)))["coding-print.current"]

    assert found.outcome is outcome
    assert bool(found.functions) is (outcome is not Outcome.UNDECIDED)


def test_a_print_without_a_current_is_nothing_to_hold_the_coding_against() -> None:
    """Not tested: a cross-section alone is no current."""
    made = entry("coding resistance", readings=("680 Ω",), instrument="meter")
    missed = run_checks(evidence(made, claims=Claims(cable_print="H07BZ5-F 3G2.5"))).not_tested

    assert {item.check: item.why for item in missed}["coding-print"] == "what was recorded shows no such thing"


def test_without_a_print_the_coding_is_not_held_against_it() -> None:
    """The claim is named."""
    made = entry("coding resistance", readings=("680 Ω",), instrument="meter")
    missed = {item.check: item for item in run_checks(evidence(made)).not_tested}

    assert missed["coding-print"].needs == ("the claim 'cable_print' in case.toml",)
