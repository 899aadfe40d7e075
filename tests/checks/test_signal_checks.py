"""Source resistance, edges, glitches, ripple, an oscillator at rest, a steady offer, state F, wake-up."""

from dataclasses import replace
from typing import Any

import pytest

from coldpin.checks import PilotCapture, run_checks
from coldpin.quantity import Quantity
from coldpin.records.finding import Finding, Outcome
from coldpin.records.pilot import Diode, Glitch, Glitches, Run, State, Switching
from coldpin.simulator import FAULTS, VirtualUnit, VirtualVehicle
from coldpin.standards.editions import Edition
from tests.checks.bench import capture_of, entry, evidence, followed, found_in, not_followed, switching_capture

SOUND = VirtualUnit(duty=26.67)
KNOWN = {"resistance B": "2740 Ω ± 0.1 %", "resistance C": "882 Ω ± 0.1 %", "diode drop": "0.62 V ± 0.06 V"}


def run_of(state: State, start: float = 0.0, length: float = 0.5, **more: Any) -> Run:
    """A run with nothing in it but its state and its times."""
    bare = Run(
        state=state,
        start_s=start,
        end_s=start + length,
        cycles=0,
        high_v=None,
        low_v=None,
        frequency_hz=None,
        duty_percent=None,
        offered_current_a=None,
        diode=Diode.UNKNOWN,
    )
    return replace(bare, **more)


def capture_with(*runs: Run, base: PilotCapture | None = None, glitches: Glitches | None = None) -> PilotCapture:
    """A capture that holds these runs."""
    capture = base or capture_of(SOUND)
    reading = replace(capture.reading, runs=runs or capture.reading.runs, glitches=glitches or Glitches())
    return replace(capture, reading=reading)


def stating(capture: PilotCapture, **conditions: str) -> PilotCapture:
    return replace(capture, entry=replace(capture.entry, conditions={**capture.entry.conditions, **conditions}))


def one(id_: str, *captures: PilotCapture) -> Finding:
    return found_in(evidence(captures=captures))[id_]


@pytest.mark.independent("virtual unit with a known resistor behind its driver")
@pytest.mark.parametrize(
    ("unit", "outcome"),
    [
        (SOUND, Outcome.UNDECIDED),
        (replace(SOUND, source_resistance=1150.0), Outcome.BEYOND),
        (replace(SOUND, source_resistance=850.0), Outcome.BEYOND),
    ],
    ids=("sound", "high", "low"),
)
def test_the_source_resistance_is_found_from_the_levels(unit: VirtualUnit, outcome: Outcome) -> None:
    """The interval covers the truth; this scope of eight bits cannot decide three per cent, and says so."""
    capture = capture_of(unit)
    found = one("source-resistance.value", replace(capture, entry=replace(capture.entry, conditions=KNOWN)))

    assert found.quantity is not None
    assert found.quantity.low is not None
    assert found.quantity.high is not None
    assert found.quantity.low < unit.source_resistance < found.quantity.high
    assert found.outcome is outcome


@pytest.mark.hand("R1 = 2740 Ω × (12 V − 8.98 V) / (8.98 V − 0.70 V) = 999.4 Ω, levels to some millivolt")
def test_a_good_meter_decides_the_source_resistance() -> None:
    """With levels known to millivolts three per cent are decided; with the diode bridged its drop falls out."""
    opened = run_of(State.A1, high_v=Quantity(12.0, 0.002, "V"))
    loaded = run_of(State.B2, 0.5, high_v=Quantity(8.98, 0.002, "V"))
    bridged = run_of(State.B2, 0.5, high_v=Quantity(8.79, 0.002, "V"))
    known = {"resistance B": "2740 Ω ± 0.1 %", "diode drop": "0.70 V ± 0.01 V"}
    base = capture_of(SOUND)
    with_diode = replace(base, entry=replace(base.entry, conditions=known))
    without = replace(base, entry=replace(base.entry, conditions={**known, "diode": "shorted"}))

    found = one("source-resistance.value", capture_with(opened, loaded, base=with_diode))
    assert found.outcome is Outcome.WITHIN
    assert found.quantity is not None
    assert found.quantity.value == pytest.approx(999.4, abs=0.1)
    surer = one("source-resistance.value", capture_with(opened, bridged, base=without))
    assert surer.quantity is not None
    assert surer.quantity.value == pytest.approx(2740.0 * (12.0 - 8.79) / 8.79, abs=0.1)


def test_a_load_that_cannot_be_and_one_without_uncertainty() -> None:
    """Levels that show no load are a problem with the entry named; a bare resistance decides nothing."""
    base = capture_of(SOUND)
    opened = run_of(State.A1, high_v=Quantity(12.0, 0.002, "V"))
    same = run_of(State.B2, 0.5, high_v=Quantity(12.0, 0.002, "V"))
    less = run_of(State.B2, 0.5, high_v=Quantity(8.98, 0.002, "V"))
    exact = replace(base, entry=replace(base.entry, conditions={"resistance B": "2740 Ω ± 0.1 %"}))
    bare = replace(base, entry=replace(base.entry, conditions={"resistance B": "2740 Ω"}))

    problems = run_checks(evidence(captures=(capture_with(opened, same, base=exact),))).problems
    assert any(problem.where == "entry c1" and "state B: the level" in problem.what for problem in problems)
    assert one("source-resistance.value", capture_with(opened, less, base=bare)).outcome is Outcome.UNDECIDED
    missed = {item.check: item for item in run_checks(evidence(captures=(base,))).not_tested}["source-resistance"]
    assert "stating resistance B or resistance C" in missed.needs[0]


@pytest.mark.published("rise 10 µs in B, 7 µs in C, 5 µs in D, fall 13 µs: IEC 61851-1:2017 Table A.2 (read, D memory)")
@pytest.mark.parametrize(
    ("state", "name", "edge", "outcome"),
    [
        (State.B2, "rise-b", 8.7e-6, Outcome.WITHIN),
        (State.B2, "rise-b", 11.5e-6, Outcome.BEYOND),
        (State.C2, "rise-c", 6.1e-6, Outcome.WITHIN),
        (State.C2, "rise-c", 8.0e-6, Outcome.BEYOND),
        (State.D2, "rise-d", 5.0e-6, Outcome.UNDECIDED),
        (State.B2, "fall-b", 12.0e-6, Outcome.WITHIN),
        (State.C2, "fall-c", 14.5e-6, Outcome.BEYOND),
    ],
)
def test_each_edge_has_its_own_limit(state: State, name: str, edge: float, outcome: Outcome) -> None:
    """Rise and fall are kept apart, and so are the states."""
    told = Quantity(edge, 0.3e-6, "s")
    run = run_of(state, rise_s=told) if name.startswith("rise") else run_of(state, fall_s=told)

    assert one(f"pilot-edges.{name}", capture_with(run)).outcome is outcome


@pytest.mark.parametrize(("below", "outcome"), [(6e-6, Outcome.WITHIN), (20e-6, Outcome.UNDECIDED)])
def test_an_edge_below_the_resolution_is_within_where_the_resolution_is(below: float, outcome: Outcome) -> None:
    """A capture that resolves 6 µs shows that 7 µs are kept; one of 20 µs shows nothing."""
    found = one("pilot-edges.rise-c", capture_with(run_of(State.C2, edges_below_s=below)))

    assert (found.outcome, found.quantity) == (outcome, None)


def test_an_edge_below_the_resolution_of_an_unstated_clock_is_undecided() -> None:
    """How short it is hangs on the clock, of which nobody said anything."""
    capture = capture_with(run_of(State.C2, edges_below_s=6e-6))
    found = one("pilot-edges.rise-c", replace(capture, entry=replace(capture.entry, instrument="")))

    assert found.outcome is Outcome.UNDECIDED
    assert "accuracy of the instrument is not stated" in found.statement


@pytest.mark.parametrize("edition", list(Edition))
def test_the_edges_are_judged_by_one_edition_and_say_so(edition: Edition) -> None:
    """Limits under load are known from one text alone; for a unit of another it is remarked."""
    capture = capture_with(run_of(State.C2, edges_below_s=6e-6))
    found = found_in(evidence(captures=(capture,), edition=edition))["pilot-edges.rise-c"]

    assert any("none under load are known for" in remark for remark in found.remarks) is (edition is not Edition.IEC_3)


def sampled(run: Run, interval: float, name: str) -> PilotCapture:
    """A capture of its own, of one run."""
    made = capture_with(run)
    source = replace(made.reading.source, sample_interval_s=interval)
    return replace(made, entry=replace(made.entry, id=name), reading=replace(made.reading, source=source))


def test_a_coarse_capture_takes_nothing_from_a_finer_one() -> None:
    """What only a finer capture can tell is left out and remarked; what a coarse one does tell stays the worst."""
    blind = sampled(run_of(State.C2, edges_below_s=20e-6), 1e-5, "c1")
    vague = sampled(run_of(State.C2, rise_s=Quantity(6.5e-6, 2e-6, "s")), 4e-6, "c2")
    sharp = sampled(run_of(State.C2, rise_s=Quantity(6.1e-6, 0.1e-6, "s")), 5e-7, "c3")
    slow = sampled(run_of(State.C2, rise_s=Quantity(9.9e-6, 0.3e-6, "s")), 4e-6, "c4")
    found = one("pilot-edges.rise-c", blind, vague, sharp)

    assert (found.outcome, found.evidence, found.worst_of) == (Outcome.WITHIN, ("c3",), 1)
    assert found.remarks == ("Left out, as a capture of 500 ns a sample tells more: those of 4.0 µs, 10 µs a sample.",)
    assert one("pilot-edges.rise-c", blind, vague).outcome is Outcome.UNDECIDED
    assert one("pilot-edges.rise-c", blind, slow, sharp).outcome is Outcome.BEYOND
    assert one("pilot-edges.rise-c", sharp, sampled(vague.reading.runs[0], 5e-7, "c2")).outcome is Outcome.UNDECIDED
    assert one("pilot-edges.rise-c", slow, blind).evidence == ("c4",)


def test_no_edge_no_answer() -> None:
    """A capture with nothing connected has none."""
    assert one("pilot-edges.edges", capture_with(run_of(State.A1))).outcome is Outcome.UNDECIDED


def test_glitches_are_told_and_limit_nothing() -> None:
    """None: within. Some: how many, how long, and no verdict."""
    longest = Glitch(start_s=0.2, width_s=3e-5, state=State.B2, peak_v=2.5)
    some = Glitches(count=3, longest=(longest,))

    assert one("pilot-glitches.count", capture_with(run_of(State.B2))).outcome is Outcome.WITHIN
    found = one("pilot-glitches.count", capture_with(run_of(State.B2), glitches=some))
    assert (found.outcome, found.functions) == (Outcome.UNDECIDED, ())
    assert "3 times, at most for 30 µs" in found.statement


@pytest.mark.practice
@pytest.mark.parametrize(
    ("text", "outcome"), [("40 mV", Outcome.WITHIN), ("0.6 V", Outcome.BEYOND), ("0.1 V", Outcome.UNDECIDED)]
)
def test_ripple_is_held_to_what_the_trade_holds_to(text: str, outcome: Outcome) -> None:
    """A tenth of a volt, peak to peak; the largest of the readings counts."""
    made = entry("pilot ripple", readings=("20 mV", text), instrument="scope")

    assert found_in(evidence(made))["pilot-ripple.value"].outcome is outcome
    assert "pilot-ripple" in {item.check for item in run_checks(evidence()).not_tested}


@pytest.mark.independent("a virtual generator that senses nothing")
def test_a_generator_that_runs_for_nobody_is_seen() -> None:
    """The sound unit rests with nothing connected; the bare generator offers to nobody."""
    bare, _ = FAULTS["bare generator"].applied(SOUND, VirtualVehicle())

    assert one("idle-oscillator.rest", capture_of(SOUND)).outcome is Outcome.WITHIN
    assert one("idle-oscillator.rest", capture_of(bare)).outcome is Outcome.BEYOND


@pytest.mark.published("oscillator off in A, A2 only in passing after an unplug: IEC 61851-1:2010 Table A.3 (read)")
def test_right_after_unplugging_the_oscillator_may_still_run() -> None:
    """What follows a vehicle is left open; what begins so is not."""
    passing = capture_with(run_of(State.B2), run_of(State.A2, 0.5, 0.05))

    assert one("idle-oscillator.rest", passing).outcome is Outcome.UNDECIDED
    assert one("idle-oscillator.rest", capture_with(run_of(State.B2))).outcome is Outcome.UNDECIDED


@pytest.mark.hand("a scrap of seven cycles between runs of hundreds, as a level at the edge of a window leaves them")
def test_scraps_judge_only_where_nothing_longer_was_seen() -> None:
    """Neither a rest nor an offer is judged by a few cycles beside long runs; alone they are."""
    rest = run_of(State.A1, high_v=Quantity(12.0, 0.002, "V"))
    spark = run_of(State.A2, 0.5, 0.007, cycles=7)
    assert one("idle-oscillator.rest", capture_with(rest, spark)).outcome is Outcome.WITHIN
    assert one("idle-oscillator.rest", capture_with(spark)).outcome is Outcome.BEYOND
    waver = (run_of(State.B2), run_of(State.UNDEFINED, 0.5, 0.1), run_of(State.A2, 0.6, 0.1, cycles=100))
    again = (run_of(State.UNDEFINED, 0.7, 0.1), run_of(State.A2, 0.8, 0.1, cycles=100))
    assert one("idle-oscillator.rest", capture_with(*waver, *again)).outcome is Outcome.UNDECIDED

    long = run_of(State.B2, 0.0, 0.3, cycles=300, duty_percent=Quantity(26.67, 0.05, "%"))
    brief = run_of(State.B2, 0.4, 0.007, cycles=7, duty_percent=Quantity(29.9, 0.05, "%"))
    assert one("pilot-duty.value", capture_with(long, brief)).outcome is Outcome.WITHIN
    assert one("pilot-duty.value", capture_with(brief)).outcome is Outcome.BEYOND
    assert one("offer-steady.span", capture_with(long, brief, replace(long, start_s=0.5))).outcome is Outcome.WITHIN


@pytest.mark.hand("12 V is in the window of A; −9.95 V is in none")
def test_the_level_that_has_no_state_is_the_one_named() -> None:
    """The low level where the high one has a state, else the high one."""
    high, low = Quantity(12.0, 0.01, "V"), Quantity(-9.95, 0.01, "V")
    by_low = run_of(State.UNDEFINED, high_v=high, low_v=low, cycles=500)
    by_high = replace(by_low, high_v=Quantity(10.4, 0.01, "V"))

    assert "the low one at −9.950 V" in one("pilot-levels.no-state", capture_with(by_low)).statement
    assert "the pilot stood at 10.400 V" in one("pilot-levels.no-state", capture_with(by_high)).statement


@pytest.mark.hand("26.7 % and 27.1 % lie 0.4 points apart, 26.7 % and 28.5 % 1.8 points")
@pytest.mark.parametrize(
    ("second", "outcome"), [(27.1, Outcome.WITHIN), (28.5, Outcome.BEYOND), (27.7, Outcome.UNDECIDED)]
)
def test_an_offer_that_wanders_is_seen(second: float, outcome: Outcome) -> None:
    """The two runs furthest apart decide, at one setting."""
    duties = (26.7, second, 26.8)
    runs = [run_of(State.B2, at, 0.5, duty_percent=Quantity(d, 0.05, "%")) for at, d in enumerate(duties)]

    assert one("offer-steady.span", capture_with(*runs)).outcome is outcome
    assert one("offer-steady.span", capture_with(runs[0])).outcome is Outcome.UNDECIDED


def test_another_setting_is_another_offer() -> None:
    """What is set lower is no drift."""
    high = capture_with(run_of(State.B2, duty_percent=Quantity(26.7, 0.05, "%")))
    low = stating(capture_with(run_of(State.B2, duty_percent=Quantity(10.0, 0.05, "%"))), setting="6 A")

    assert one("offer-steady.span", high, low).outcome is Outcome.UNDECIDED


@pytest.mark.published("state F held for 0.3 s: IEC 61851-1:2017 Table A.5 (standing: read)")
@pytest.mark.parametrize(
    ("length", "outcome"), [(0.8, Outcome.WITHIN), (0.1, Outcome.BEYOND), (0.3, Outcome.UNDECIDED)]
)
def test_state_f_is_held_long_enough(length: float, outcome: Outcome) -> None:
    """The shortest of all decides."""
    held = capture_with(run_of(State.B2), run_of(State.F, 0.5, length), run_of(State.B1, 0.5 + length))

    assert one("fault-state.time", held).outcome is outcome


@pytest.mark.parametrize(("length", "outcome"), [(0.8, Outcome.WITHIN), (0.1, Outcome.UNDECIDED)])
def test_state_f_at_the_end_of_a_capture_was_held_at_least_so_long(length: float, outcome: Outcome) -> None:
    """What the capture cut off may have gone on."""
    cut = capture_with(run_of(State.B2), run_of(State.F, 0.5, length))

    assert one("fault-state.time", cut).outcome is outcome


def test_captures_without_state_f_leave_it_untested() -> None:
    """No capture shows it: not tested, with what would."""
    missed = {item.check: item for item in run_checks(evidence(captures=(capture_of(SOUND),))).not_tested}

    assert missed["fault-state"].why == "what was recorded shows no such thing"


@pytest.mark.published("0.2 s to 0.4 s, a signal and no request: ISO 15118-3 Table 3 (standing: read)")
@pytest.mark.parametrize(("delay", "answer"), [(followed(0.15), "yes"), (not_followed(0.3), "no")])
def test_a_short_request_may_be_answered_or_not(delay: Quantity, answer: str) -> None:
    """Either is right, and it is told which."""
    short = capture_with(
        run_of(State.C2, 0.0, 0.3), base=switching_capture(Switching.CLOSES_IN_C, delay, event="wake-up")
    )
    found = one("wake-up.output", short)

    assert (found.outcome, found.answer, found.functions) == (Outcome.WITHIN, answer, ())


@pytest.mark.hand("a closing in the toggle at 1 s or in a request at 10 s, one of unstated sensor, a channel in doubt")
def test_a_toggle_is_answered_by_the_closing_that_belongs_to_it() -> None:
    """A later request says nothing of it; a closing of unknown uncertainty is one; a channel in doubt shows nothing."""

    def toggle(delay: Quantity, at: float, doubt: str = "", **conditions: str) -> PilotCapture:
        base = switching_capture(Switching.CLOSES_IN_C, delay, event="wake-up", **conditions)
        assert base.reading.output is not None
        (event,) = base.reading.switching
        seen = replace(
            base.reading, switching=(replace(event, at_s=(at,)),), output=replace(base.reading.output, doubt=doubt)
        )
        # the pilot changes somewhat before the first whole cycle of a run
        runs = (run_of(State.B2, 0.0, 1.0004), run_of(State.C2, 1.0004, 0.3), run_of(State.B2, 1.3, 1.0))
        return capture_with(*runs, base=replace(base, reading=seen))

    unstated = Quantity(0.08, None, "s", low=-0.4, high=0.09)

    assert one("wake-up.output", toggle(unstated, 1.0)).answer == "yes"
    assert one("wake-up.output", toggle(Quantity(0.08, None, "s"), 1.0)).answer == "yes"
    assert one("wake-up.output", toggle(followed(0.08), 10.0)).answer == "no"
    doubted = one("wake-up.output", toggle(not_followed(0.3), 10.0, "it may be coupling"))
    assert (doubted.outcome, doubted.answer) == (Outcome.UNDECIDED, "cannot tell")
    assert "coil" in one("wake-up.output", toggle(followed(0.08), 1.0, seen_at="relay coil")).remarks[-1]


def test_a_long_request_is_no_wake_up() -> None:
    """A state C of two seconds shows nothing of a toggle."""
    long = capture_with(
        run_of(State.C2, 0.0, 2.0), base=switching_capture(Switching.CLOSES_IN_C, followed(0.5), event="wake-up")
    )

    assert "wake-up" in {item.check for item in run_checks(evidence(captures=(long,))).not_tested}
