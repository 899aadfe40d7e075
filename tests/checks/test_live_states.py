"""The output beside the pilot, on the virtual bench: live in a state in which it must be dead."""

from dataclasses import replace
from functools import cache

import pytest

from coldpin.checks import PilotCapture, run_checks
from coldpin.pilot import read_pilot
from coldpin.pilot.output import OutputSensor
from coldpin.records.entry import EntryKind, EvidenceFile
from coldpin.records.finding import Finding, Outcome
from coldpin.records.pilot import OutputKind, OutputReading, PilotReading, Switching
from coldpin.simulator import FAULTS, VirtualSensor, VirtualUnit, VirtualVehicle, set_up_bench, simulate_capture
from coldpin.simulator.load import Schedule
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition
from tests.checks.bench import ACCURACY, SCOPE, entry, evidence, found_in

STEPS: Schedule = ((0.15, "A"), (0.3, "B"), (0.4, "C"), (0.3, "B"), (0.3, "C"), (0.3, "A"))
WITHOUT: Schedule = ((0.1, "A"), (0.2, "B, diode shorted"), (3.2, "C, diode shorted"))


@cache
def capture(fault: str = "", schedule: Schedule = STEPS, kind: str = "mains", **conditions: str) -> PilotCapture:
    """A capture of pilot and output of a virtual unit at 50 thousand samples a second."""
    unit, vehicle = VirtualUnit(duty=26.67), VirtualVehicle()
    if fault:
        unit, vehicle = FAULTS[fault].applied(unit, vehicle)
    taken = simulate_capture(
        unit, vehicle, schedule, set_up_bench(SCOPE, seed=1), seed=1, sample_interval=2e-5, with_output=True
    )
    sensor = OutputSensor(kind=OutputKind(kind))
    reading = read_pilot(taken.waveform, book=load_book(), edition=Edition.IEC_3, accuracy=ACCURACY, sensor=sensor)
    stated = {name.replace("_", " "): value for name, value in conditions.items()}
    made = entry("pilot capture", name="c1", kind=EntryKind.EVIDENCE, instrument="scope", conditions=stated)
    return PilotCapture(entry=made, reading=reading)


def live_in(one: PilotCapture) -> dict[str, Finding]:
    return {name.split(".")[1]: f for name, f in found_in(evidence(captures=(one,))).items() if "live-states." in name}


@pytest.mark.independent("virtual unit whose output is known at every instant")
def test_an_opening_overtaken_by_unplugging_is_late_and_not_live_in_b() -> None:
    """The unit opens 240 ms after C ends; B lasts 150 ms of these and A the rest."""
    brief: Schedule = ((0.15, "A"), (0.2, "B"), (0.4, "C"), (0.15, "B"), (0.3, "A"))
    found = live_in(capture("opens late on B", brief))

    assert {name for name, f in found.items() if f.outcome is Outcome.BEYOND} == set()
    assert found["b"].outcome is Outcome.WITHIN


@pytest.mark.independent("virtual unit whose output is known at every instant")
def test_a_contact_that_stays_through_b_into_the_next_request_is_live_in_b() -> None:
    """A welded contact never opens; B lasts longer than an opening may take."""
    found = live_in(capture("welded relay"))

    assert found["b"].outcome is Outcome.BEYOND


@pytest.mark.independent("virtual unit whose output is known at every instant")
@pytest.mark.parametrize(
    ("fault", "beyond"),
    [
        ("", set()),
        ("closes in B", {"b"}),
        ("pins always live", {"a", "b"}),
        ("opens late on B", set()),
        ("opens late on unplugging", set()),
    ],
)
def test_a_live_output_is_found_in_its_state_and_a_late_opening_is_not_one(fault: str, beyond: set[str]) -> None:
    """Late is the matter of the opening time: an output that goes dead in the state is not live in it."""
    found = live_in(capture(fault))

    assert {name for name, f in found.items() if f.outcome is Outcome.BEYOND} == beyond
    assert set(found) == {"a", "b"}


def test_the_coil_of_a_relay_shows_no_output() -> None:
    """Whatever it does, the contacts were not seen."""
    sound = capture()
    output = sound.reading.output
    assert output is not None
    coil = replace(sound, reading=replace(sound.reading, output=replace(output, kind=OutputKind.COIL)))

    assert {f.outcome for f in live_in(coil).values()} == {Outcome.UNDECIDED}


def test_a_channel_that_never_saw_the_output_close_is_in_doubt() -> None:
    """Small and never changing: what couples across open contacts looks like a sensor's picture of the mains."""
    idle = capture(schedule=((0.2, "A"), (0.4, "B"), (0.2, "A")))
    found = live_in(idle)

    assert {f.outcome for f in found.values()} == {Outcome.UNDECIDED}
    assert all("In doubt" in f.remarks[0] for f in found.values())


@pytest.mark.hand("a stay of 50 ms in A, where an output may take 100 ms to follow")
def test_a_short_stay_shows_no_dead_output() -> None:
    """Dead for less than a unit may take to follow tells nothing, unless the output was seen to go dead in it."""
    short = live_in(capture(schedule=((0.05, "A"), (0.3, "B"), (0.4, "C"), (0.3, "B"))))
    opened = live_in(capture(schedule=((0.05, "A"), (0.3, "B"), (0.4, "C"), (0.09, "B"))))

    assert set(short) == {"b"}, "nothing is said of A"
    assert short["b"].outcome is Outcome.WITHIN
    assert opened["b"].outcome is Outcome.WITHIN


@pytest.mark.hand("a clear capture beside one in doubt, in which the output seems live in B")
@pytest.mark.parametrize(("fault", "outcome"), [("closes in B", Outcome.UNDECIDED), ("", Outcome.WITHIN)])
def test_a_clear_capture_does_not_hide_a_doubtful_one_that_seems_live(fault: str, outcome: Outcome) -> None:
    """What is in doubt and seems dead does not stand against what is clear; what seems live does."""
    clear, other = capture(), capture(fault)
    assert other.reading.output is not None
    doubted = replace(
        other,
        entry=replace(other.entry, id="c2"),
        reading=replace(other.reading, output=replace(other.reading.output, doubt="who knows")),
    )
    found = found_in(evidence(captures=(clear, doubted)))["live-states.b"]

    assert found.outcome is outcome
    assert ("though it seems so" in found.statement) is (outcome is Outcome.UNDECIDED)


NEVER: Schedule = ((0.2, "A, supply off"), (0.2, "A"), (0.4, "B"), (0.4, "C"), (0.3, "B"), (0.2, "A, supply off"))


def through(sensor: VirtualSensor, unit: VirtualUnit, schedule: Schedule = NEVER) -> PilotReading:
    """The output channel of a virtual unit through a sensor of which nothing is stated, on a scale that suits it."""
    scope = replace(SCOPE, output_full_scale=20.0, output_noise=0.02)
    bench = set_up_bench(scope, seed=1, sensor=sensor)
    taken = simulate_capture(unit, VirtualVehicle(), schedule, bench, seed=1, sample_interval=2e-5, with_output=True)
    return read_pilot(taken.waveform, book=load_book(), edition=Edition.IEC_3, accuracy=ACCURACY)


@pytest.mark.independent("virtual units whose contacts are known at every instant")
def test_what_couples_across_open_contacts_is_never_live() -> None:
    """One volt that comes and goes with the supply is in doubt in every event, and so is a live one that looks so."""
    unit = VirtualUnit(duty=26.67)
    dead = through(VirtualSensor(coupled=1.0 / 230.0), replace(unit, output="never"))
    live = through(VirtualSensor(gain=1.0 / 230.0), replace(unit, output="always live"))

    for reading in (dead, live):
        assert reading.output is not None
        assert reading.output.live
        assert "state how it scales" in reading.output.doubt
        assert reading.switching
        assert {event.outcome for event in reading.switching} <= {"undecided", "not_applicable"}


@pytest.mark.independent("virtual units whose contacts are known at every instant")
def test_a_small_picture_that_follows_the_vehicle_is_live() -> None:
    """A hundredth of the mains that comes when the vehicle asks is no coupling, and judged as any other."""
    sound = through(VirtualSensor(gain=0.01), VirtualUnit(duty=26.67))
    late, _ = FAULTS["opens late on B"].applied(VirtualUnit(duty=26.67), VirtualVehicle())
    slow = {event.event: event.delay_s for event in through(VirtualSensor(gain=0.01), late).switching}
    begun_live: Schedule = ((0.2, "B"), (0.4, "C"), (0.4, "B"))
    (closes,) = [event for event in sound.switching if event.event is Switching.CLOSES_IN_C]

    assert sound.output is not None
    assert sound.output.doubt == ""
    assert closes.why.endswith("1 operation, where at least 5 are wanted"), "too few, and no doubt"
    assert slow[Switching.OPENS_ON_B].value == pytest.approx(0.24, abs=0.01)  # type: ignore[union-attr]  # it opened
    assert through(VirtualSensor(gain=0.01), VirtualUnit(), begun_live).output.doubt == ""  # type: ignore[union-attr]  # with an output


@pytest.mark.independent("a virtual unit with 100 nF at its output")
def test_a_charge_that_stays_until_the_next_request_is_not_live_in_b() -> None:
    """The contacts opened in time; what the capacitor keeps says nothing of them."""
    found = live_in(capture("slow discharge"))

    assert {f.outcome for f in found.values()} == {Outcome.WITHIN}


def test_captures_without_an_output_leave_it_untested() -> None:
    """The second channel is named as what is missing."""
    missed = {item.check: item for item in run_checks(evidence()).not_tested}["live-states"]

    assert missed.needs == ("an entry that shows 'pilot capture' with the output beside it",)


SHORTED_BY_FILE = {"diode": "shorted", "output seen in": "steps.csv"}
SHORTED: dict[str, str] = {"diode": "shorted", "output_seen_in": "seen"}


def beside(one: PilotCapture) -> tuple[PilotCapture, PilotCapture]:
    """A capture and another of the same channel, filed as "seen", in which it saw the output close."""
    closing = capture()
    return one, replace(closing, entry=replace(closing.entry, id="seen"))


def before_closing(*captures: PilotCapture) -> Finding:
    return found_in(evidence(captures=captures))["diode-before-closing.output"]


@pytest.mark.independent("virtual units that look for the diode, and that do not")
@pytest.mark.parametrize(
    ("fault", "schedule", "outcome"),
    [
        ("", WITHOUT, Outcome.WITHIN),
        ("", (*WITHOUT[:2], (0.5, "C, diode shorted")), Outcome.UNDECIDED),
        ("diode not checked", WITHOUT, Outcome.BEYOND),
    ],
)
def test_a_capture_with_the_diode_shorted_shows_whether_it_is_looked_for(
    fault: str, schedule: Schedule, outcome: Outcome
) -> None:
    """Closed for a plain resistor: it does not look. Dead for as long as a vehicle waits: it does."""
    found = before_closing(*beside(capture(fault, schedule, **SHORTED)))

    assert found.outcome is outcome
    assert found.absence is (outcome is Outcome.BEYOND)


@pytest.mark.hand("a channel that shows nothing and is connected to nothing")
@pytest.mark.parametrize("kind", [OutputKind.MAINS, OutputKind.LEVEL])
def test_a_dead_channel_shows_no_dead_output(kind: OutputKind) -> None:
    """Flat from end to end: nothing is judged by it until a capture is named in which it saw the output."""
    flat = capture("", WITHOUT, diode="shorted")
    empty = OutputReading(kind=kind, stated=False, live=(), amplitude_v=0.0)
    alone = replace(flat, reading=replace(flat.reading, output=empty, switching=()))
    named = replace(alone, entry=replace(alone.entry, conditions={"diode": "shorted", "output seen in": "seen"}))
    other = replace(named, entry=replace(named.entry, instrument="meter"))

    assert before_closing(alone).outcome is Outcome.UNDECIDED
    assert {f.outcome for f in live_in(alone).values()} == {Outcome.UNDECIDED}
    assert before_closing(*beside(other)).outcome is Outcome.UNDECIDED, "another instrument is another channel"
    assert before_closing(*beside(named)).outcome is Outcome.WITHIN
    one, seen = beside(replace(named, entry=replace(named.entry, conditions=SHORTED_BY_FILE)))
    filed = EvidenceFile(media="capture", file="steps-a02f.csv", original_name="steps.csv")
    kept = replace(seen, entry=replace(seen.entry, id="x", evidence=filed))
    assert before_closing(one, kept).outcome is Outcome.WITHIN
    missing = run_checks(evidence(captures=(named,))).problems
    assert any("there is no decoded capture of this id or file" in problem.what for problem in missing)


@pytest.mark.hand("13 mV that is taken for mains")
def test_noise_that_looks_live_shows_no_unit_that_ignores_the_diode() -> None:
    """What a channel shows that never saw the output follow a vehicle is in doubt, and takes no function away."""
    closed = capture("diode not checked", WITHOUT, diode="shorted")
    assert closed.reading.output is not None
    noise = replace(closed.reading.output, amplitude_v=0.013)
    found = before_closing(replace(closed, reading=replace(closed.reading, output=noise)))

    assert (found.outcome, found.absence) == (Outcome.UNDECIDED, False)
    assert "In doubt" in found.remarks[0]


@pytest.mark.independent("a virtual vehicle that has its diode, filed as one without")
def test_a_capture_filed_as_shorted_must_show_that_it_is() -> None:
    """The low level tells; the condition alone shows nothing, and a reading that tells stands."""
    present = capture("", (*WITHOUT[:1], (0.2, "B"), (3.2, "C")), diode="shorted")
    # its runs say nothing of a closing: the second channel stays flat
    assert present.reading.output is not None
    dead = replace(present, reading=replace(present.reading, switching=()))
    read = entry("output with the diode shorted", name="r", readings=("0.4 V",), instrument="meter")

    assert before_closing(dead).outcome is Outcome.UNDECIDED
    assert "does not show that it is" in before_closing(dead).statement
    assert found_in(evidence(read, captures=(dead,)))["diode-before-closing.output"].outcome is Outcome.WITHIN


@pytest.mark.independent("a virtual unit that closes without a diode")
def test_a_reading_does_not_hide_what_a_capture_shows() -> None:
    """Dead at the meter, live in the capture: once is enough."""
    live = capture("diode not checked", WITHOUT, **SHORTED)
    read = entry("output with the diode shorted", name="r", readings=("0.4 V",), instrument="meter")

    found = found_in(evidence(read, captures=beside(live)))["diode-before-closing.output"]
    assert (found.outcome, found.evidence) == (Outcome.BEYOND, ("c1", "r"))
