"""The unit's own windows: boundary resistances and thresholds."""

import re
from dataclasses import replace

import pytest

from coldpin.checks import CHECKS, PilotCapture, recognition, run_checks
from coldpin.pilot import read_pilot
from coldpin.records.boundary import Recognition
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Outcome
from coldpin.simulator import FAULTS, VirtualUnit, VirtualVehicle, set_up_bench, simulate_capture
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition
from tests.checks.bench import ACCURACY, SCOPE, capture_of, entry, evidence, found_in

AT = "output at a boundary resistance"


def tried(boundary: str, text: str, name: str = "b1", **conditions: str) -> Entry:
    stated = {"boundary": boundary, "input": "low impedance", **conditions}
    return entry(AT, name=name, readings=(text,), instrument="meter", conditions=stated)


def turned(word: str, *texts: str, name: str = "r1") -> Entry:
    return entry(word, name=name, readings=texts, instrument="meter")


def thresholds(*entries: Entry) -> dict[str, Finding]:
    return {name.split(".")[1]: one for name, one in found_in(evidence(*entries)).items() if "thresholds." in name}


@pytest.mark.published("R2 1870 Ω and 4610 Ω, R3 909 Ω and 1723 Ω: IEC 61851-1:2017 A.4 (standing: read)")
@pytest.mark.parametrize(
    ("boundary", "text", "outcome"),
    [
        ("B lowest", "229 V", Outcome.BEYOND),
        ("B highest", "50.0 V", Outcome.UNDECIDED),
        ("C lowest", "229 V", Outcome.WITHIN),
        ("C lowest", "1.2 V", Outcome.BEYOND),
        ("C highest", "229 V", Outcome.WITHIN),
        ("C highest", "1.2 V", Outcome.BEYOND),
    ],
)
def test_b_stays_dead_and_c_is_served_at_either_end(boundary: str, text: str, outcome: Outcome) -> None:
    """Each boundary is a finding of its own, named by what was fitted."""
    (found,) = [one for one in run_checks(evidence(tried(boundary, text))).findings if one.check.endswith("boundaries")]

    assert found.id == f"recognition-boundaries.{boundary.lower().replace(' ', '-')}"
    assert found.outcome is outcome
    assert not found.absence


CLOSED = entry(
    "output in state C", name="c", readings=("229 V",), instrument="meter", conditions={"input": "low impedance"}
)
NOMINAL = capture_of(VirtualUnit(duty=26.67))


@pytest.mark.hand("a dead output is what a unit shows that never closes, or that sees no vehicle at all")
@pytest.mark.parametrize("boundary", ["B lowest", "B highest"])
def test_b_is_recognised_where_the_oscillator_runs_and_the_unit_closes_for_others(boundary: str) -> None:
    """A dead output shows no more than that it was not taken for C."""
    alone, running = tried(boundary, "1.2 V"), tried(boundary, "1.2 V", oscillator="running")
    resting = tried(boundary, "1.2 V", oscillator="at rest")
    id_ = f"recognition-boundaries.{boundary.lower().replace(' ', '-')}"
    dead_in_c = replace(CLOSED, readings=("1.2 V",))

    def outcome(*entries: Entry, captures: tuple[PilotCapture, ...] = ()) -> Outcome:
        return found_in(evidence(*entries, captures=captures))[id_].outcome

    assert outcome(running, CLOSED) is Outcome.WITHIN
    for entries in ((alone,), (alone, CLOSED), (running,), (running, dead_in_c), (resting, CLOSED)):
        assert outcome(*entries) is Outcome.UNDECIDED
        (answer,) = recognition.boundary_answers(evidence(*entries))
        assert answer.answer is Recognition.UNDECIDED
        assert "not taken for C" in answer.because
    assert outcome(resting, CLOSED, captures=(NOMINAL,)) is Outcome.BEYOND, "it offers to others, and not here"
    assert outcome(running, replace(resting, id="b2"), CLOSED, captures=(NOMINAL,)) is Outcome.BEYOND


@pytest.mark.independent("virtual units, one of which takes 4610 Ω for no vehicle, captured at the boundary")
@pytest.mark.parametrize(("fault", "outcome"), [("", Outcome.WITHIN), ("misses high B", Outcome.BEYOND)])
def test_a_capture_at_the_boundary_shows_the_oscillator(fault: str, outcome: Outcome) -> None:
    """Its runs tell whether the unit offered anything; the output is read beside it."""
    unit, vehicle = VirtualUnit(duty=26.67), VirtualVehicle()
    if fault:
        unit, vehicle = FAULTS[fault].applied(unit, vehicle)
    bench = set_up_bench(SCOPE, seed=1)
    steps = [(0.05, "A"), (0.1, "B 4610")]
    taken = simulate_capture(unit, vehicle, steps, bench, seed=1, sample_interval=2e-6, with_output=False)
    reading = read_pilot(taken.waveform, book=load_book(), edition=Edition.IEC_3, accuracy=ACCURACY)
    stated = {"boundary": "B highest"}
    made = entry("pilot capture", name="p", kind=EntryKind.EVIDENCE, conditions=stated, instrument="scope")
    there = PilotCapture(entry=made, reading=reading)

    found = found_in(evidence(tried("B highest", "1.2 V"), CLOSED, captures=(NOMINAL, there)))
    assert found["recognition-boundaries.b-highest"].outcome is outcome


@pytest.mark.hand("1723 Ω beside 4610 Ω is 1254.2 Ω; 909 Ω beside 1870 Ω is 611.7 Ω")
def test_the_loads_at_the_ends_are_those_of_both_resistors_together() -> None:
    """In C both resistors stand at the same end of their tolerance."""
    loads = {one.word: one.resistance for one in recognition.boundaries(evidence())}

    assert loads == pytest.approx(
        {"B lowest": 1870.0, "B highest": 4610.0, "C lowest": 611.66, "C highest": 1254.23}, abs=0.01
    )


def test_the_answers_for_a_chart_are_those_of_the_findings() -> None:
    """What was tried, and no more, each with its load and its entry."""
    bench = evidence(
        tried("B lowest", "1.2 V", oscillator="running"),
        tried("C highest", "1.2 V", "b2"),
        tried("C lowest", "50.0 V", "b3"),
        CLOSED,
    )
    answers = {one.fitted: one for one in recognition.boundary_answers(bench)}

    assert {name: one.answer for name, one in answers.items()} == {
        "R2 1870 Ω": Recognition.RECOGNISED,
        "R2 4610 Ω, R3 1723 Ω": Recognition.NOT_RECOGNISED,
        "R2 1870 Ω, R3 909 Ω": Recognition.UNDECIDED,
    }
    assert answers["R2 4610 Ω, R3 1723 Ω"].entry == "b2"
    assert answers["R2 1870 Ω, R3 909 Ω"].because


def test_on_a_supply_on_which_nothing_closes_no_vehicle_was_refused() -> None:
    """At extra-low voltage a dead output in C says nothing."""
    bench = evidence(tried("C lowest", "0.1 V", supply="extra-low voltage"))
    with_voltage = evidence(
        entry(
            AT,
            readings=("0.1 V",),
            instrument="meter",
            conditions={"boundary": "C lowest", "supply": "extra-low voltage"},
            supply_voltage="24 V",
        )
    )

    assert any("supply voltage is not recorded" in problem.what for problem in run_checks(bench).problems)
    assert found_in(with_voltage)["recognition-boundaries.c-lowest"].outcome is Outcome.UNDECIDED


@pytest.mark.hand("between 1254.2 Ω, the highest load of C, and 1870 Ω, the lowest of B")
@pytest.mark.parametrize(
    ("text", "outcome"),
    [
        ("1.55 kΩ", Outcome.WITHIN),
        ("1.1 kΩ", Outcome.BEYOND),
        ("2.1 kΩ", Outcome.BEYOND),
        ("1.87 kΩ", Outcome.UNDECIDED),
    ],
)
def test_the_unit_changes_between_the_loads_of_c_and_of_b(text: str, outcome: Outcome) -> None:
    """Below it a vehicle at the end of C is refused, above it one at the end of B is served that never asked."""
    found = thresholds(turned("resistance at which it closes", text))

    assert found["closes"].outcome is outcome
    assert found["closes"].limit is not None
    assert found["closes"].limit.minimum == pytest.approx(1254.2, abs=0.05)


@pytest.mark.hand("1.1 kΩ is below 1254.2 Ω, and 228 V is live")
def test_the_worst_of_several_entries_is_told() -> None:
    """A good entry after a bad one does not undo it."""
    closes = "resistance at which it closes"
    found = thresholds(turned(closes, "1.1 kΩ"), turned(closes, "1.55 kΩ", name="r2"))
    live, dead = tried("B lowest", "228 V"), tried("B lowest", "0.4 V", "b2")

    assert found["closes"].outcome is Outcome.BEYOND
    assert found["closes"].evidence == ("r1", "r2")
    assert found_in(evidence(live, dead))["recognition-boundaries.b-lowest"].outcome is Outcome.BEYOND


@pytest.mark.practice
@pytest.mark.parametrize(("opens", "outcome"), [("1.70 kΩ", Outcome.WITHIN), ("1.56 kΩ", Outcome.UNDECIDED)])
def test_the_hysteresis_is_told_and_limits_nothing(opens: str, outcome: Outcome) -> None:
    """Two thresholds that lie apart do not chatter; too close to tell stays open."""
    found = thresholds(
        turned("resistance at which it closes", "1.55 kΩ"), turned("resistance at which it opens", opens, name="r2")
    )

    assert found["opens"].outcome is Outcome.WITHIN
    assert (found["hysteresis"].outcome, found["hysteresis"].functions) == (outcome, ())
    assert found["hysteresis"].evidence == ("r1", "r2")


@pytest.mark.hand("closed at 2.1 kΩ on the way down, it cannot be open at 1.5 kΩ on the way up: 600 Ω the wrong way")
@pytest.mark.parametrize("instrument", ["meter", ""])
def test_thresholds_that_cannot_be_contradict_each_other(instrument: str) -> None:
    """They are no hysteresis too small to tell: neither reading is relied on, and both are to be taken again."""
    closes = turned("resistance at which it closes", "2.1 kΩ")
    opens = turned("resistance at which it opens", "1.5 kΩ", name="r2")
    found = thresholds(replace(closes, instrument=instrument), replace(opens, instrument=instrument))

    assert "contradict each other" in found["hysteresis"].statement
    assert re.search("would lie 600.* below the closing", found["hysteresis"].statement)
    assert "too little to tell" not in found["hysteresis"].statement
    for name in ("closes", "opens", "hysteresis"):
        assert found[name].outcome is Outcome.UNDECIDED
        assert "contradict each other" in found[name].statement


def test_nothing_tried_is_not_tested() -> None:
    """Both checks say what they need."""
    missed = {item.check for item in run_checks(evidence()).not_tested}

    assert {"recognition-boundaries", "recognition-thresholds"} <= missed


@pytest.mark.published("R2 1870 Ω to 4610 Ω, R3 909 Ω to 1723 Ω, 80 Ω: IEC 61851-1:2017 A.4 (standing: read)")
def test_the_steps_name_the_resistors_of_the_table() -> None:
    """What is fitted is filled from the constants; 2740 Ω beside 1300 Ω make 882 Ω, by hand."""
    steps = {check.id: " ".join(check.bench.steps) for check in CHECKS}

    for text in ("R2 of 1870 Ω with R3 of 909 Ω", "R2 of 4610 Ω with R3 of 1723 Ω"):
        assert text in steps["recognition-boundaries"]
    assert "set to 2740 Ω" in steps["recognition-thresholds"]
    assert "From 882 Ω" in steps["recognition-thresholds"]
    assert "resistor of 80 Ω from pilot" in steps["pilot-short"]


@pytest.mark.practice
def test_a_live_test_that_switches_the_output_says_when_to_stop() -> None:
    """Nothing is turned, measured or bridged with a live part in reach."""
    benches = {check.id: check.bench for check in CHECKS}
    turned = " ".join(benches["recognition-thresholds"].steps)
    held = benches["held-contact"]

    for name in ("recognition-boundaries", "recognition-thresholds"):
        assert any(
            "stays live after the vehicle simulator stopped asking" in stop for stop in benches[name].stop_values
        )
    assert "insulated shaft" in turned
    assert "switch off, prove dead, measure" in turned
    assert any("a pole that is not bridged" in stop for stop in held.stop_values)
    assert "only with the unit fully closed" in " ".join(held.steps)
    assert "as far as it goes" not in " ".join(held.steps)
