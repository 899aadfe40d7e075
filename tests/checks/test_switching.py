"""Times of closing and opening: each limit apart, the worst of five or more, nothing within from a relay's coil."""

from typing import Any, NamedTuple

import pytest

from coldpin.checks import run_checks
from coldpin.pilot.operations import FEWEST_OPERATIONS as FEWEST
from coldpin.quantity import Quantity
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from coldpin.records.pilot import Switching
from coldpin.standards.editions import Edition
from tests.checks.bench import evidence, followed, found_in, not_followed, switching_capture, timed


class Kind(NamedTuple):
    """One row of what is tried."""

    word: str
    id_: str
    good: str
    bad: str


WORDS = [
    Kind("closing time after B to C", "closing.time", "2.4 s", "3.6 s"),
    Kind("opening time after C to B", "opening.time", "62 ms", "240 ms"),
    Kind("opening time after unplugging", "opening-unplugged.time", "62 ms", "240 ms"),
    Kind("opening time after pilot short", "pilot-short.time", "1.2 s", "3.6 s"),
    Kind("opening time after loss of earth", "earth-loss.time", "62 ms", "240 ms"),
    Kind("opening time after C to D", "ventilation.time", "1.2 s", "3.6 s"),
    Kind("opening time after withdrawal of the offer", "offer-withdrawal.time", "7.2 s", "0.4 s"),
]
EVENTS = [
    (Switching.CLOSES_IN_C, "", "closing.time", 1.2, 3.6),
    (Switching.OPENS_ON_B, "", "opening.time", 0.05, 0.24),
    (Switching.OPENS_ON_A, "unplugging", "opening-unplugged.time", 0.05, 0.24),
    (Switching.OPENS_ON_SHORT, "pilot short", "pilot-short.time", 1.2, 3.6),
    (Switching.OPENS_ON_A, "loss of earth", "earth-loss.time", 0.05, 0.24),
    (Switching.OPENS_ON_OSCILLATOR_OFF, "withdrawal of the offer", "offer-withdrawal.time", 7.0, 0.4),
]


def one(id_: str, *entries: Entry) -> Finding:
    return found_in(evidence(*entries))[id_]


@pytest.mark.published(
    "3 s to close, 0.1 s to open on B and A and on a lost earth, 3 s on a short and in D, not before 6 s under load: "
    "IEC 61851-1:2017 Table A.6 (standing: read, lost earth and D memory)"
)
@pytest.mark.parametrize("case", WORDS, ids=lambda case: case.id_)
class TestByHand:
    def test_five_in_time_are_within(self, case: Kind) -> None:
        """The worst is told, with all of them beside it."""
        found = one(case.id_, timed(case.word, *(case.good,) * FEWEST, load_current="6 A"))

        assert found.outcome is Outcome.WITHIN
        assert found.worst_of == FEWEST
        assert f"All {FEWEST} operations: " in found.remarks[-1]

    def test_one_late_is_enough(self, case: Kind) -> None:
        """The worst decides, however many were good."""
        found = one(case.id_, timed(case.word, case.good, case.good, case.bad, case.good, case.good))

        assert found.outcome is Outcome.BEYOND
        assert found.quantity is not None
        assert found.quantity.value == pytest.approx(
            float(case.bad.split()[0]) * (1e-3 if "ms" in case.bad else 1.0), rel=1e-9
        )

    def test_four_in_time_are_too_few(self, case: Kind) -> None:
        """Within is not said of fewer than five; beyond is."""
        found = one(case.id_, timed(case.word, *(case.good,) * (FEWEST - 1)))

        assert found.outcome is Outcome.UNDECIDED
        assert f"Only {FEWEST - 1} operations were timed; {FEWEST} are needed" in found.statement
        assert one(case.id_, timed(case.word, case.bad)).outcome is Outcome.BEYOND

    def test_without_a_stated_accuracy_nothing_is_decided(self, case: Kind) -> None:
        """A bare number is not taken as exact, on either side of the limit."""
        for text in (case.good, case.bad):
            assert one(case.id_, timed(case.word, *(text,) * FEWEST, instrument="")).outcome is Outcome.UNDECIDED

    def test_text_that_is_no_time_is_a_problem_and_not_a_finding(self, case: Kind) -> None:
        """The check is not tested, and the entry is named."""
        results = run_checks(evidence(timed(case.word, case.good, "soon")))

        assert case.id_ not in {finding.id for finding in results.findings}
        assert any(p.where == "entry t1" and "reading 'soon'" in p.what for p in results.problems)

    def test_nothing_recorded_is_not_tested(self, case: Kind) -> None:
        """The check says what it needs, the word first."""
        missed = {item.check: item for item in run_checks(evidence()).not_tested}[case.id_.split(".")[0]]

        assert f"an entry that shows '{case.word}'" in " ".join(missed.needs)


@pytest.mark.hand("the events of a capture, as written down here")
@pytest.mark.parametrize(("event", "done", "id_", "good", "bad"), EVENTS)
def test_captures_with_the_output_beside_them_serve_too(
    event: Switching, done: str, id_: str, good: float, bad: float
) -> None:
    """The delays of a capture count like readings, those of several captures together."""
    stated: dict[str, Any] = {"event": done} if done else {}
    two = switching_capture(event, followed(good), followed(good), **stated)
    three = switching_capture(event, *(followed(good),) * 3, name="s2", **stated)
    late = switching_capture(event, followed(bad), name="s3", **stated)

    assert found_in(evidence(captures=(two, three)))[id_].outcome is Outcome.WITHIN
    assert found_in(evidence(captures=(two, three)))[id_].evidence == ("s1", "s2")
    assert found_in(evidence(captures=(two, three, late)))[id_].outcome is Outcome.BEYOND
    assert found_in(evidence(captures=(two,)))[id_].outcome is Outcome.UNDECIDED


@pytest.mark.hand(
    "the limit of unplugging is not that of the stop, and a lost earth looks like unplugging on the pilot"
)
def test_what_was_done_meanwhile_tells_a_lost_earth_from_an_unplugged_connector() -> None:
    """Both are state A on the pilot; the condition of the capture says which it was, and each counts once."""
    lost = switching_capture(Switching.OPENS_ON_A, *(followed(0.05),) * FEWEST, event="loss of earth")
    found = found_in(evidence(captures=(lost,)))

    assert found["earth-loss.time"].outcome is Outcome.WITHIN
    assert "opening-unplugged.time" not in found


@pytest.mark.parametrize(("watched", "outcome"), [(0.05, Outcome.UNDECIDED), (0.3, Outcome.BEYOND)])
def test_an_output_that_did_not_follow_is_late_once_it_was_watched_long_enough(
    watched: float, outcome: Outcome
) -> None:
    """How long it was watched is a lower bound, in a capture and written as "> 0.3 s"."""
    seen = switching_capture(Switching.OPENS_ON_B, not_followed(watched))
    by_hand = timed("opening time after C to B", f"> {watched:g} s")

    for bench in (evidence(captures=(seen,)), evidence(by_hand)):
        found = found_in(bench)["opening.time"]
        assert found.outcome is outcome
        assert found.quantity is None
        assert found.answer.startswith("more than ")


def test_an_output_that_stays_for_ten_seconds_waited_long_enough_for_the_vehicle() -> None:
    """Not to have opened is right where opening too soon is the fault."""
    found = one("offer-withdrawal.time", timed("opening time after withdrawal of the offer", *("> 10 s",) * FEWEST))

    assert found.outcome is Outcome.WITHIN


@pytest.mark.practice
def test_a_relay_s_coil_never_shows_an_opening_in_time_and_does_show_a_late_one() -> None:
    """Contacts open after their coil: late there is late, in time there is not seen."""
    good = timed("opening time after C to B", *("40 ms",) * FEWEST, seen_at="relay coil")
    late = timed("opening time after C to B", "240 ms", seen_at="relay coil")

    assert one("opening.time", good).outcome is Outcome.UNDECIDED
    assert "at the relay's coil: the contacts move later" in one("opening.time", good).statement
    assert one("opening.time", late).outcome is Outcome.BEYOND


@pytest.mark.practice
def test_a_relay_s_coil_shows_no_closing_in_time_and_no_opening_too_soon() -> None:
    """Contacts close after their coil too, and may still have held when it let go early; late at the coil is late."""
    coil = {"seen_at": "relay coil"}
    closes = one("closing.time", timed("closing time after B to C", *("2.4 s",) * FEWEST, **coil))
    early = one("offer-withdrawal.time", timed("opening time after withdrawal of the offer", "0.4 s", **coil))
    waited = one(
        "offer-withdrawal.time", timed("opening time after withdrawal of the offer", *("7.2 s",) * FEWEST, **coil)
    )

    assert (closes.outcome, early.outcome) == (Outcome.UNDECIDED, Outcome.UNDECIDED)
    assert one("closing.time", timed("closing time after B to C", "3.6 s", **coil)).outcome is Outcome.BEYOND
    assert waited.outcome is Outcome.WITHIN


@pytest.mark.hand("3.1 s less 0.3 s of a hand is below 3 s; 6.01 s less a hundredth of an unstated clock is below 6 s")
def test_a_watch_is_a_lower_bound_by_what_its_instrument_allows() -> None:
    """An output seen live for "> 3.1 s" by a stopwatch may have gone dead before 3 s."""
    word = "opening time after pilot short"
    close = one("pilot-short.time", timed(word, "> 3.1 s", instrument="stopwatch"))
    bare = one("pilot-short.time", timed(word, "> 3.5 s", instrument=""))
    long = one("pilot-short.time", timed(word, "> 3.5 s", instrument="stopwatch"))
    clock = Quantity(6.01, None, "s", low=5.95, why="accuracy of the timebase not stated")
    waited = switching_capture(Switching.OPENS_ON_OSCILLATOR_OFF, *(clock,) * 5, event="withdrawal of the offer")

    assert (close.outcome, bare.outcome, long.outcome) == (Outcome.UNDECIDED, Outcome.UNDECIDED, Outcome.BEYOND)
    assert "accuracy" in bare.statement
    assert found_in(evidence(captures=(waited,)))["offer-withdrawal.time"].outcome is Outcome.UNDECIDED


@pytest.mark.practice
def test_a_time_on_the_opened_board_shows_a_late_controller_and_no_sound_unit() -> None:
    """What does not react on a bench supply does not react on the mains; that contacts moved was not seen."""
    board = {"supply": "board on bench supply"}
    good = one("opening.time", timed("opening time after C to B", *("62 ms",) * FEWEST, **board))
    late = one("opening.time", timed("opening time after C to B", "240 ms", **board))

    assert (good.outcome, good.transfers) == (Outcome.WITHIN, False)
    assert (late.outcome, late.transfers) == (Outcome.BEYOND, True)


@pytest.mark.hand("0.3 s of a hand and a stopwatch over the square root of three, against 0.1 s and 3 s")
def test_a_stopwatch_tells_seconds_and_not_tenths() -> None:
    """Its accuracy decides what it can show."""
    tenth = one("opening.time", timed("opening time after C to B", *("0.1 s",) * FEWEST, instrument="stopwatch"))
    short = one(
        "pilot-short.time", timed("opening time after pilot short", *("1.4 s",) * FEWEST, instrument="stopwatch")
    )

    assert tenth.outcome is Outcome.UNDECIDED
    assert short.outcome is Outcome.WITHIN


@pytest.mark.published("not before 3 s in SAE J1772, not before 6 s in IEC 61851-1:2017 (standing: read)")
def test_the_edition_picks_the_limit() -> None:
    """Four seconds are enough by one text and not by the other."""
    waited = timed("opening time after withdrawal of the offer", *("4.0 s",) * FEWEST)

    assert found_in(evidence(waited, edition=Edition.SAE))["offer-withdrawal.time"].outcome is Outcome.WITHIN
    assert found_in(evidence(waited))["offer-withdrawal.time"].outcome is Outcome.BEYOND


@pytest.mark.hand("bounds that hold for every sensor and clock, against 0.1 s")
@pytest.mark.parametrize(
    ("low", "high", "outcome"),
    [
        (-0.4, 0.03, Outcome.WITHIN),
        (0.11, 0.6, Outcome.BEYOND),
        (-0.1, 0.11, Outcome.UNDECIDED),
        (None, None, Outcome.UNDECIDED),
    ],
)
def test_a_delay_of_unknown_uncertainty_is_placed_by_its_bounds(
    low: float | None, high: float | None, outcome: Outcome
) -> None:
    """Far from a limit a sensor that nobody stated changes nothing."""
    unknown = Quantity(0.02, None, "s", low=low, high=high, why="delay of the output's sensor not stated")
    seen = switching_capture(Switching.OPENS_ON_B, *(unknown,) * FEWEST)

    assert found_in(evidence(captures=(seen,)))["opening.time"].outcome is outcome


class TestDiodeLoss:
    """No text known to us limits it: has, has not, or not watched for long enough."""

    @pytest.mark.practice
    @pytest.mark.parametrize(
        ("delays", "outcome", "answer"),
        [
            ((followed(0.2),) * 4 + (followed(0.4),), Outcome.WITHIN, "yes"),
            ((followed(0.2),) * 4, Outcome.UNDECIDED, "cannot tell"),
            ((followed(45.0),), Outcome.BEYOND, "no"),
            ((followed(0.2),) * 4 + (followed(45.0),), Outcome.BEYOND, "no"),
            ((Quantity(0.2, None, "s"),) * 5, Outcome.UNDECIDED, "cannot tell"),
            ((Quantity(0.2, None, "s", low=-0.3, high=0.21),) * 5, Outcome.WITHIN, "yes"),
            ((not_followed(10.0),), Outcome.BEYOND, "no"),
            ((followed(0.2), not_followed(10.0)), Outcome.BEYOND, "no"),
            ((not_followed(0.5),), Outcome.UNDECIDED, "cannot tell"),
        ],
    )
    def test_the_output_follows_or_not(self, delays: tuple[Quantity, ...], outcome: Outcome, answer: str) -> None:
        """Every time followed: it watches. Once not, watched for longer than any opening may take: it does not."""
        seen = switching_capture(Switching.OPENS_ON_DIODE_LOSS, *delays, event="loss of the diode")
        found = found_in(evidence(captures=(seen,)))["diode-loss.opening"]

        assert (found.outcome, found.answer, found.limit, found.duty) == (outcome, answer, None, False)
        assert found.absence is (answer == "no" and len(delays) == 1)

    def test_it_is_told_as_has_or_has_not(self) -> None:
        """A person without a second channel writes down how long the output stayed."""
        found = one(
            "diode-loss.opening", timed("opening time after loss of the diode", "> 10 s", instrument="stopwatch")
        )

        assert found.statement.startswith("The unit does not watch the diode while it charges.")
        assert "no duty" in found.remarks[-1]

    def test_at_the_coil_nothing_is_said_of_the_contacts(self) -> None:
        """The coil let go; whether the contacts did was not seen."""
        found = one("diode-loss.opening", timed("opening time after loss of the diode", "0.2 s", seen_at="relay coil"))

        assert found.outcome is Outcome.UNDECIDED
