"""The second channel: supply through contacts, what is left after opening, sensors and coils."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.errors import OutsideRange
from coldpin.simulator import FAULTS, Relay, Schedule, VirtualSensor, VirtualUnit, VirtualVehicle, follow
from coldpin.simulator.output import part_at_pins, seen_by_sensor, supply_voltage

STEPS: Schedule = ((0.1, "B"), (0.3, "C"), (0.3, "B"))
TIMES: NDArray[np.float64] = np.arange(0.0, 0.7, 1.0e-5)
CLOSED, OPENED = 0.1 + 0.06 + 0.012, 0.4 + 0.03 + 0.008


def seen(
    unit: VirtualUnit, sensor: VirtualSensor | None = None, schedule: Schedule = STEPS, seed: int = 1
) -> NDArray[np.float64]:
    course = follow(unit, VirtualVehicle(), schedule, rng=np.random.default_rng(seed))
    return seen_by_sensor(TIMES, unit, course, sensor or VirtualSensor(), phase=0.3)


@pytest.mark.hand("√2 x 230 V x sin(2π 50 t + 0.3) while closed, nothing else")
def test_supply_through_the_contacts() -> None:
    """The channel is the supply between first touch and last parting and zero outside."""
    expected = math.sqrt(2.0) * 230.0 * np.sin(2.0 * math.pi * 50.0 * TIMES + 0.3)
    live = (TIMES >= CLOSED) & (TIMES < OPENED)

    assert np.allclose(seen(VirtualUnit()), expected * live, atol=1e-9)


@pytest.mark.hand("470 kΩ x 100 nF = 47 ms; without the resistor 10 MΩ x 100 nF = 1 s")
@pytest.mark.parametrize(("bleed", "tau"), [(470.0e3, 0.047), (10.0e6, 1.0)])
def test_what_is_left_decays(bleed: float, tau: float) -> None:
    """After opening the pins keep the voltage of that instant and lose it with the time constant of the parts."""
    channel = seen(VirtualUnit(output_capacitance=100.0e-9, output_bleed=bleed))
    kept = math.sqrt(2.0) * 230.0 * math.sin(2.0 * math.pi * 50.0 * OPENED + 0.3)
    after = TIMES > OPENED

    assert abs(kept) > 50.0
    assert np.allclose(channel[after], kept * np.exp(-(TIMES[after] - OPENED) / tau), rtol=1e-9)
    assert not channel[TIMES < CLOSED].any()


@pytest.mark.hand("the same curve, 3 ms later and a hundredth of it")
def test_a_sensor_is_late_and_has_a_gain() -> None:
    """What a sensor shows is what was there its delay ago, times its gain."""
    at_once, later = seen(VirtualUnit()), seen(VirtualUnit(), VirtualSensor(delay=0.003, gain=0.01))

    assert np.allclose(later[300:], 0.01 * at_once[:-300], atol=1e-9)


@pytest.mark.hand("a hundredth of the supply at open contacts, of a supply that is off nothing")
def test_what_couples_across_open_contacts() -> None:
    """An input of high impedance shows some of the supply while the contacts are open, and only then."""
    sensor = VirtualSensor(coupled=0.01)
    plain, coupled = seen(VirtualUnit()), seen(VirtualUnit(), sensor)
    supply = supply_voltage(VirtualUnit(), TIMES, phase=0.3)
    live = (TIMES >= CLOSED) & (TIMES < OPENED)
    off = seen(VirtualUnit(), sensor, ((0.35, "A, supply off"), (0.35, "A")))

    assert np.allclose(coupled[~live], 0.01 * supply[~live], atol=1e-9)
    assert np.allclose(coupled[live], plain[live], atol=1e-9)
    assert not off[TIMES < 0.35 - 1e-9].any()
    assert np.allclose(off[TIMES > 0.35], 0.01 * supply[TIMES > 0.35], atol=1e-9)


@pytest.mark.hand("12 V while the coil is driven: from command to command, the contacts' own time left out")
def test_a_coil_trace() -> None:
    """On the coil the channel shows the commands, which are earlier than the contacts."""
    coil = seen(VirtualUnit(), VirtualSensor(sees="coil"))
    driven = (TIMES >= 0.16) & (TIMES < 0.43)

    assert np.array_equal(coil, 12.0 * driven)


@pytest.mark.hand("24 V d.c. between touch and parting")
def test_an_isolated_bench_supply_on_the_opened_board() -> None:
    """With a d.c. supply the channel is flat while closed."""
    channel = seen(VirtualUnit(supply="d.c.", mains=24.0))

    assert set(channel.tolist()) == {0.0, 24.0}
    assert np.mean(channel == 24.0) == pytest.approx((OPENED - CLOSED) / 0.7, abs=1e-4)
    assert supply_voltage(VirtualUnit(supply="d.c.", mains=24.0), TIMES, phase=1.0).max() == 24.0


@pytest.mark.hand("bounces of up to 5 ms after the first touch; the truth of the responses")
def test_bounces_are_in_the_channel() -> None:
    """While it bounces the channel goes to zero and back, and at no other time."""
    unit = replace(VirtualUnit(supply="d.c.", mains=24.0), relay=Relay(bounce=5.0e-3))
    course = follow(unit, VirtualVehicle(), STEPS, rng=np.random.default_rng(4))
    channel = seen_by_sensor(TIMES, unit, course, VirtualSensor(), phase=0.0)
    rises = np.flatnonzero((channel[1:] > 0.0) & (channel[:-1] == 0.0)) + 1
    up = course.responses[0]
    assert up.contacts is not None
    assert up.settled is not None

    assert rises.size >= 2
    assert TIMES[rises[0]] == pytest.approx(up.contacts, abs=1.1e-5)
    assert TIMES[rises[-1]] == pytest.approx(up.settled, abs=1.1e-5)
    assert up.settled - up.contacts <= 5.0e-3 + 1e-12


@pytest.mark.hand("with one pole open the pins differ by what the cable couples, 15 % of the supply")
def test_one_welded_pole_leaves_a_stray_voltage() -> None:
    """After opening with one pole welded a part of the supply is left between the pins."""
    unit = FAULTS["welded pole"].unit(VirtualUnit())
    channel = seen(unit)
    after = channel[TIMES > OPENED + 0.02]

    assert np.abs(after).max() == pytest.approx(0.15 * math.sqrt(2.0) * 230.0, rel=1e-3)


@pytest.mark.hand("no supply, no voltage, whatever the contacts do")
def test_nothing_is_live_without_supply() -> None:
    """While the supply is off even welded contacts carry nothing; when it returns they do."""
    unit = FAULTS["weld not noticed"].unit(VirtualUnit(supply="d.c.", mains=24.0))
    course = follow(unit, VirtualVehicle(), ((0.3, "C"), (0.2, "A, supply off"), (0.2, "A")))
    channel = seen_by_sensor(TIMES, unit, course, VirtualSensor(), phase=0.0)
    instants, parts = part_at_pins(course)

    assert set(channel[(TIMES > 0.3) & (TIMES < 0.5)].tolist()) == {0.0}
    assert set(channel[TIMES > 0.51].tolist()) == {24.0}
    assert instants[0] == -math.inf
    assert np.all(parts[1:] != parts[:-1])


@pytest.mark.hand("text of the message")
def test_a_sensor_does_not_look_ahead() -> None:
    """A negative delay is refused."""
    with pytest.raises(OutsideRange, match=r"delay is -0\.001 s; it cannot be negative"):
        VirtualSensor(delay=-0.001)
