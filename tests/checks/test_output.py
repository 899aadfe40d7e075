"""Voltages at the pins in further situations: supply returning, pilot shorted, ventilation, a hasty vehicle."""

from dataclasses import replace
from typing import NamedTuple

import pytest

from coldpin.checks import run_checks
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from tests.checks.bench import WALL, entry, evidence, found_in


def read(
    word: str, text: str, *, supply: str = "mains", voltage: str = "230 V", name: str = "e1", **conditions: str
) -> Entry:
    stated = {"supply": supply, "input": "low impedance", **conditions}
    return entry(word, name=name, readings=(text,), instrument="meter", conditions=stated, supply_voltage=voltage)


def one(id_: str, made: Entry) -> Finding:
    return found_in(evidence(made))[id_]


class Kind(NamedTuple):
    """One row of what is tried."""

    word: str
    id_: str
    decisive: bool


DEAD = [
    Kind("output when the supply returns", "supply-return.uncoupled", True),
    Kind("output with the pilot shorted", "pilot-short.output", False),
    Kind("output in state D", "ventilation.output", False),
    Kind("output with the diode shorted", "diode-before-closing.output", False),
]


@pytest.mark.published("50 V a.c.: conventional touch voltage, IEC 60364-4-41 (standing: read)")
@pytest.mark.parametrize("case", DEAD, ids=lambda case: case.id_)
class TestMustBeDead:
    def test_dead_is_within(self, case: Kind) -> None:
        """What couples across open contacts lies far below the limit."""
        assert one(case.id_, read(case.word, "1.2 V")).outcome is Outcome.WITHIN

    def test_live_is_beyond_and_decides_alone_only_uncoupled(self, case: Kind) -> None:
        """Pins that come alive in a hand conclude alone; the others need the rest."""
        found = one(case.id_, read(case.word, "229 V"))

        assert (found.outcome, found.decisive) == (Outcome.BEYOND, case.decisive)

    def test_near_the_limit_is_undecided(self, case: Kind) -> None:
        """Within the meter's own error nothing is said."""
        assert one(case.id_, read(case.word, "50.0 V")).outcome is Outcome.UNDECIDED

    def test_dead_on_a_supply_that_cannot_close_says_nothing(self, case: Kind) -> None:
        """At extra-low voltage a sound unit and a lame one look alike."""
        assert (
            one(case.id_, read(case.word, "0.0 V", supply="extra-low voltage", voltage="24 V")).outcome
            is Outcome.UNDECIDED
        )

    def test_text_that_is_no_voltage_is_a_problem(self, case: Kind) -> None:
        """Bad evidence is told and costs the one check."""
        results = run_checks(evidence(read(case.word, "much")))

        assert case.id_ not in {finding.id for finding in results.findings}
        assert any("'much'" in problem.what for problem in results.problems)


@pytest.mark.hand("one of two readings is live: the other does not undo it")
@pytest.mark.parametrize(
    ("word", "id_"),
    [*((case.word, case.id_) for case in DEAD), ("output with nothing connected", "live-pins.uncoupled")],
)
@pytest.mark.parametrize("texts", [("228 V", "0.4 V"), ("0.4 V", "228 V")])
def test_every_entry_counts_and_not_the_last_alone(word: str, id_: str, texts: tuple[str, str]) -> None:
    """Different situations make entries of their own; only a correction takes the place of an entry."""
    made = [read(word, text, name=f"e{place}") for place, text in enumerate(texts)]
    found = found_in(evidence(*made))[id_]

    assert found.outcome is Outcome.BEYOND
    assert found.evidence[0] == f"e{texts.index('228 V')}"
    assert set(found.evidence) == {"e0", "e1"}
    assert found.worst_of == 2


@pytest.mark.practice
@pytest.mark.parametrize(
    ("word", "id_", "outcome"),
    [
        ("output with nothing connected", "live-pins.uncoupled", Outcome.WITHIN),
        ("output when the supply returns", "supply-return.uncoupled", Outcome.UNDECIDED),
    ],
)
def test_what_is_read_again_through_a_low_impedance_is_settled(word: str, id_: str, outcome: Outcome) -> None:
    """A meter of 10 MΩ shows what couples; where one thing is tried in several ways none is read again."""
    coupled = read(word, "92 V", name="e0", input="high impedance")
    again = read(word, "0.4 V", name="e1")

    assert found_in(evidence(coupled, again))[id_].outcome is outcome
    assert found_in(evidence(again, replace(coupled, id="e2")))[id_].outcome is Outcome.UNDECIDED


def test_what_is_done_now_and_then_is_told_as_such() -> None:
    """Either answer is right; both together are no answer."""
    word = "output when plugged in asking"
    found = found_in(evidence(read(word, "229 V", name="e0"), read(word, "1.2 V", name="e1")))[
        "plugged-in-asking.output"
    ]

    assert found.outcome is Outcome.UNDECIDED
    assert found.statement.startswith("It did not do the same each time.")


TOLD = [
    ("output in state C after the supply returned", "restart.by-itself", "went on by itself", "stayed off"),
    ("output when plugged in asking", "plugged-in-asking.output", "switches on", "wants to see B first"),
]


@pytest.mark.practice
@pytest.mark.parametrize(("word", "id_", "live", "dead"), TOLD)
def test_what_no_text_asks_for_is_told_and_breaks_nothing(word: str, id_: str, live: str, dead: str) -> None:
    """Either answer is within; the sentence says which it is, and no limit is named."""
    for text, said, answer in (("229 V", live, "yes"), ("1.2 V", dead, "no")):
        found = one(id_, read(word, text))
        assert (found.outcome, found.answer, found.limit) == (Outcome.WITHIN, answer, None)
        assert said in found.statement
    assert one(id_, read(word, "50.0 V")).outcome is Outcome.UNDECIDED


@pytest.mark.practice
def test_ventilation_is_a_matter_of_the_place_for_a_fixed_unit() -> None:
    """A portable unit knows no place; a wall unit may be meant for one with ventilation, which its papers say."""
    live = read("output in state D", "229 V")

    assert found_in(evidence(live))["ventilation.output"].outcome is Outcome.BEYOND
    fixed = found_in(evidence(live, unit=WALL))["ventilation.output"]
    assert fixed.outcome is Outcome.UNDECIDED
    assert "its papers must say so" in fixed.statement


@pytest.mark.hand("IEC 61851-1 names states, resistors and times, no voltage; the touch voltage asks nothing of a unit")
@pytest.mark.parametrize(
    ("word", "conditions", "id_", "duty"),
    [
        ("output in state B", {}, "live-pins.state-b", "no power in state B"),
        ("output in state C", {}, "live-pins.state-c", "IEC 61851-1:2017 Table A.6 sequence 4"),
        ("output in state D", {}, "ventilation.output", "A.2 and 6.3.2.1"),
        ("output with the diode shorted", {}, "diode-before-closing.output", "note to Table A.4"),
        ("output with the pilot shorted", {}, "pilot-short.output", "IEC 61851-1:2017 Table A.6 sequence 12"),
        (
            "output at a boundary resistance",
            {"boundary": "C lowest"},
            "recognition-boundaries.c-lowest",
            "A.4, standing",
        ),
        (
            "output at a boundary resistance",
            {"boundary": "B lowest"},
            "recognition-boundaries.b-lowest",
            "A.4, standing",
        ),
    ],
)
@pytest.mark.parametrize("text", ["229 V", "1.2 V", "50.2 V"])
def test_the_threshold_is_told_as_ours_and_the_duty_as_the_limit(
    word: str, conditions: dict[str, str], id_: str, duty: str, text: str
) -> None:
    """The voltage from which we call an output live is cited as ours; what is asked of the unit follows."""
    nothing = read("output with nothing connected", "0.0 V", name="e0")
    found = found_in(evidence(nothing, read(word, text, **conditions)))[id_]

    assert found.limit is not None
    assert found.limit.asserted_by == "us"
    assert "asks nothing of a charging unit" in found.limit.note
    assert "our threshold for live (at" in found.statement
    assert (
        found.statement.index("our threshold")
        < found.statement.index("The duty as known: ")
        < found.statement.index(duty)
    )
    assert "the limit as known" not in found.statement


def test_with_nothing_connected_no_duty_is_invented() -> None:
    """The threshold is ours there too; a lead without a pilot has the same pins."""
    found = one("live-pins.uncoupled", read("output with nothing connected", "229 V"))

    assert "our threshold for live" in found.statement
    assert "duty" not in found.statement
