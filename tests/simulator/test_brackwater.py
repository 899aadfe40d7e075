"""The three invented specimens, the bench they are read on, and the drawings that stand for photographs."""

from __future__ import annotations

import io

import numpy as np
import pytest
from matplotlib.image import imread

from coldpin.errors import UnknownName
from coldpin.simulator import VirtualVehicle, follow
from coldpin.simulator.brackwater import (
    ACTS,
    RECORDER,
    answer,
    bench,
    capture,
    read,
)
from coldpin.simulator.brackwater_charge import charge, mark, read_release, read_standby, stops
from coldpin.simulator.brackwater_copper import CONDUCTOR_WORDS, HEATINGS, SUNDAY, heat, read_conductor
from coldpin.simulator.brackwater_specimens import DUNMARR_32, PELLWICK_20, SKERROW_16, VirtualSpecimen
from coldpin.simulator.drawing import FACES, draw_face, draw_plate


def number(text: str) -> float:
    return float(text.removeprefix("> ").split()[0])


@pytest.mark.hand("what each specimen is said to be")
def test_what_the_three_specimens_are() -> None:
    """Skerrow switches, Pellwick is live and offers 20 A, Dunmarr is weak below and closes without a diode."""
    assert [number(read(one, "output with nothing connected")[0]) > 100.0 for one in (SKERROW_16, DUNMARR_32)] == [
        False,
        False,
    ]
    assert number(read(PELLWICK_20, "output with nothing connected")[0]) == pytest.approx(231.0, abs=3.0)
    assert number(read(SKERROW_16, "output with the diode shorted")[0]) < 5.0
    assert number(read(DUNMARR_32, "output with the diode shorted")[0]) == pytest.approx(230.2, abs=3.0)
    assert 0.6 * PELLWICK_20.unit.duty == pytest.approx(20.0, abs=0.05)
    assert PELLWICK_20.wiring["L > L1"] == PELLWICK_20.wiring["N > N"] == PELLWICK_20.wiring["PE > PE"] == "joined"
    assert SKERROW_16.wiring["L > L1"] == "open"
    assert set(SKERROW_16.wiring) == {f"{a} > {b}" for a in ("L", "N", "PE") for b in ("L1", "N", "PE", "CP")}


@pytest.mark.hand("the truth of each specimen, the steps of the box and the delays of the controller")
@pytest.mark.parametrize(
    ("specimen", "act", "states", "operations"),
    [
        (SKERROW_16, "steps", "A1 B1 B2 C2 B2 A2 A1", 2),
        (SKERROW_16, "diode shorted", "A1 B1 B2 C2 A2 A1", 0),
        (PELLWICK_20, "steps", "A2 B2 C2 B2 A2", 0),
        (DUNMARR_32, "steps", "A1 B1 B2 C2 B2 A2 A1", 2),
        (DUNMARR_32, "diode shorted", "A1 B1 B2 C2 A2 A1", 2),
    ],
)
def test_captures_go_through_the_steps(specimen: VirtualSpecimen, act: str, states: str, operations: int) -> None:
    """The truth of each capture holds the states in order, and the output switches as often as the specimen lets it."""
    truth = capture(specimen, act=act).truth

    assert " ".join(run.state for run in truth.runs) == states
    assert len(truth.switching) == operations


@pytest.mark.hand("delays of each controller and its relay, the relay's spread as tolerance")
@pytest.mark.parametrize(
    ("specimen", "act", "then", "delay", "spread"),
    [
        (SKERROW_16, "operations", "B", 0.036, 0.0015),
        (SKERROW_16, "operations", "A", 0.026, 0.0015),
        (SKERROW_16, "diode lost", "C, diode shorted", 0.056, 0.0015),
        (SKERROW_16, "earth lost", "C, PE open", 0.026, 0.0015),
        (DUNMARR_32, "operations", "B", 0.240, 0.003),
        (DUNMARR_32, "operations", "A", 0.075, 0.003),
        (DUNMARR_32, "earth lost", "C, PE open", 0.075, 0.003),
    ],
)
def test_each_opens_six_times_after_its_own_delay(
    specimen: VirtualSpecimen, act: str, then: str, delay: float, spread: float
) -> None:
    """Every act is done six times, and the contacts follow each time within the relay's spread."""
    course = follow(specimen.unit, VirtualVehicle(), ACTS[act].schedule, rng=np.random.default_rng(specimen.seed))
    delays = [one.delay for one in course.responses if one.load_to == then and not one.closes]

    assert len(delays) == 6
    assert delays == pytest.approx([delay] * 6, abs=spread)
    assert len(set(delays)) == 6


@pytest.mark.hand("a controller that does not watch the diode orders nothing while C is asked for")
def test_dunmarr_ignores_a_lost_diode() -> None:
    """In C with the diode shorted nothing is ordered, not for three seconds and a half; it opens on B, late as ever."""
    course = follow(DUNMARR_32.unit, VirtualVehicle(), ACTS["diode lost"].schedule, rng=np.random.default_rng(1))

    assert [one for one in course.responses if one.load_to == "C, diode shorted"] == []
    assert read(DUNMARR_32, "opening time after loss of the diode", repeats=2) == ("> 10 s", "> 10 s")
    assert read(SKERROW_16, "opening time after loss of the diode") == ("0.1 s",)
    opened = [one.delay for one in course.responses if not one.closes]
    assert opened == pytest.approx([0.24] * 6, abs=0.003)
    assert max(seconds for seconds, word in ACTS["diode lost"].schedule if word == "C, diode shorted") > 3.0


@pytest.mark.hand("what each specimen is said to do; 0 V is shown as the stray voltage of its cable")
def test_answers_at_the_edges() -> None:
    """Both know the boundary resistances and stay dead when the supply returns; only Skerrow looks for an earth."""
    for specimen, volts in ((SKERROW_16, 231.4), (DUNMARR_32, 230.2)):
        for edge in ("B lowest", "B highest"):
            assert number(read(specimen, f"output at a boundary resistance: {edge}")[0]) < 5.0
        for word in (
            "output at a boundary resistance: C lowest",
            "output at a boundary resistance: C highest",
            "output when plugged in asking",
            "output in state C after the supply returned",
        ):
            assert number(read(specimen, word)[0]) == pytest.approx(volts, abs=3.0)
        for word in ("output when the supply returns", "output in state D", "output with the pilot shorted"):
            assert number(read(specimen, word)[0]) < 5.0
    assert number(read(PELLWICK_20, "output when the supply returns")[0]) == pytest.approx(231.0, abs=3.0)
    assert answer(SKERROW_16, "refusal with no earth in the supply") == "yes"
    assert answer(DUNMARR_32, "refusal with no earth in the supply") == "no"


@pytest.mark.hand("the second channel belongs to the scope; the recorder has one")
def test_only_the_scope_sees_the_output() -> None:
    """The main scope delivers two channels, the pocket recorder one, with finer steps."""
    both, one = capture(SKERROW_16).waveform, capture(PELLWICK_20, scope=RECORDER).waveform

    assert both.output is not None
    assert one.output is None
    assert both.resolution == 0.15625
    assert one.resolution == 40.0 / 4096


@pytest.mark.hand("seeds belong to the specimens")
def test_readings_and_captures_come_again() -> None:
    """Asked again, bench, readings and captures are the same."""
    assert bench() == bench()
    assert read(DUNMARR_32, "earth resistance", repeats=3) == read(DUNMARR_32, "earth resistance", repeats=3)
    assert np.array_equal(capture(DUNMARR_32).waveform.voltage, capture(DUNMARR_32).waveform.voltage)


@pytest.mark.hand("text of the message")
def test_there_is_no_meter_for_everything() -> None:
    """What no meter reads, nobody tries and nobody does is an error that lists what there is."""
    with pytest.raises(UnknownName, match=r"unknown thing the boatyard tries 'luck'"):
        answer(SKERROW_16, "luck")
    with pytest.raises(UnknownName, match=r"unknown thing the boatyard does while it captures 'nothing'.*earth lost"):
        capture(SKERROW_16, act="nothing")
    with pytest.raises(UnknownName, match=r"unknown thing the boatyard reads with a meter 'leakage'.*earth resistance"):
        read(SKERROW_16, "leakage")


@pytest.mark.independent("the picture read back by another reader")
def test_drawings_are_pictures_and_come_again() -> None:
    """Each drawing is a PNG of the same size, not empty, and the same file each time."""
    drawings = [draw_face(kind, title=kind) for kind in FACES] + [draw_plate(["Skerrow 16", "16 A"], title="plate")]
    for drawing in drawings:
        picture = imread(io.BytesIO(drawing), format="png")
        assert picture.shape == (420, 640, 4)
        assert np.ptp(picture[..., :3]) > 0.7
    assert len(set(drawings)) == len(drawings)
    assert drawings[0] == draw_face(next(iter(FACES)), title=next(iter(FACES)))
    with pytest.raises(UnknownName, match=r"unknown face 'type 9'.*type 2 connector"):
        draw_face("type 9", title="none")


@pytest.mark.hand("resistance at 12 °C and 0.3 K beside: within 1 %; mass of 300 mm of core; 50 wires")
def test_the_copper_is_read_as_it_is() -> None:
    """Readings of each conductor are those of its own core and joints."""
    for specimen in (SKERROW_16, PELLWICK_20, DUNMARR_32):
        for name in ("L", "N", "PE"):
            path = specimen.lead.path(name)
            stated = {"conductor": name, "length": f"{path.length:g} m ± 5 mm"}
            for taps, true in (("inside", path.inside), ("pins", path.at_pins)):
                shown = read_conductor(specimen, CONDUCTOR_WORDS[0], stated | {"taps": taps})[0]
                assert number(shown) == pytest.approx(1e3 * true(temperature=SUNDAY), rel=0.01)
    thin = {"conductor": "PE", "length": "300 mm"}
    grams = [number(one) for one in read_conductor(PELLWICK_20, "stripped core mass", thin, repeats=3)]
    assert grams == pytest.approx([300.0 * PELLWICK_20.lead.earth.mass] * 3, abs=0.04)
    assert read_conductor(PELLWICK_20, "strand count", thin) == ("50",)
    assert len(read_conductor(PELLWICK_20, "strand diameter", thin, repeats=5)) == 5
    assert answer(PELLWICK_20, "magnet at the wires") == "no"
    with pytest.raises(UnknownName, match="reads of a conductor 'colour'"):
        read_conductor(PELLWICK_20, "colour", thin)


@pytest.mark.hand(
    "16 A, 20 A and 32 A: the honest ones warm by 15 K at most, the thin one by twice that, the crimp by 70 K"
)
def test_each_lead_warms_as_it_must() -> None:
    """Sheath, pins and ends of each heating test; a specimen that nobody warmed is told."""
    warmed = {one.unit.name: heat(one) for one in (SKERROW_16, PELLWICK_20, DUNMARR_32)}
    rises = {name: {at: end - one.truth.ambient for at, end in one.truth.ends.items()} for name, one in warmed.items()}

    assert rises["Skerrow 16"]["sheath"] < 15.0
    assert rises["Dunmarr 32"]["sheath"] < 15.0
    assert rises["Pellwick 20"]["sheath"] > 25.0
    assert rises["Dunmarr 32"]["N pin"] == pytest.approx(70.0, abs=5.0)
    assert rises["Dunmarr 32"]["connector"] > 2.0 * rises["Dunmarr 32"]["sheath"]
    plug = heat(SKERROW_16, of="plug").truth
    assert 1.0 < plug.ends["plug"] - plug.ambient < 15.0
    assert set(HEATINGS) == {*warmed, "Skerrow 16, plug"}


@pytest.mark.hand("what the virtual car does: 15.3 A, an outage of 175 s, stopped before the lock lets go")
def test_one_specimen_comes_near_a_car() -> None:
    """Marks are by a watch three seconds ahead; the lock lets go without current; the others come near no car."""
    seen = charge(SKERROW_16)
    for one in seen.marks:
        noted = number(mark(SKERROW_16, one.kind))
        assert one.true_s + 3.0 - 1.0 <= noted <= one.true_s + 3.0 + 0.8
    (outage,) = seen.truth.outages
    assert outage[1] - outage[0] == pytest.approx(175.0)
    assert number(read_release(SKERROW_16)[0]) < 0.1
    assert stops(SKERROW_16) == "yes"
    assert number(read_standby(DUNMARR_32)[0]) == pytest.approx(3.4, abs=0.04)
    with pytest.raises(UnknownName, match="tries on a car 'Pellwick 20'"):
        charge(PELLWICK_20)
    with pytest.raises(UnknownName, match="event of the charge 'rain'"):
        mark(SKERROW_16, "rain")
