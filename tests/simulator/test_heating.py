"""Virtual heating tests: what is logged, what is true, and what stands between them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from coldpin.errors import UnknownName
from coldpin.records.log import Log, LogQuantity
from coldpin.simulator.cable import VirtualCable, VirtualTerminal
from coldpin.simulator.cable_mesh import cut_cable
from coldpin.simulator.conductor import conductor_of
from coldpin.simulator.heating import (
    SENSORS,
    HeatingRun,
    LoggedSensor,
    draw_sensors,
    heating_end,
    log_heating,
)
from coldpin.simulator.logger import VirtualLogger

CABLE = VirtualCable(conductor=conductor_of("copper", 2.5))
QUIET = tuple(replace(sensor, noise=0.0, step=0.0, lag=0.0) for sensor in SENSORS)


def column(log: Log, name: str) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return next(channel.values for channel in log.channels if channel.name == name)


@pytest.mark.hand("sensors without errors, lag, noise and steps write what is there")
def test_a_perfect_logger_writes_the_truth() -> None:
    """Every column is its truth; the end lies above what was logged and within a tenth kelvin after two hours."""
    seen = log_heating(CABLE, HeatingRun(currents=[(7200.0, 16.0)]), seed=1, sensors=QUIET)

    for sensor in QUIET:
        np.testing.assert_allclose(column(seen.log, sensor.name), seen.truth.at_rows[sensor.name], rtol=1e-12)
        assert column(seen.log, sensor.name)[-1] == pytest.approx(seen.truth.ends[sensor.name], abs=0.1)
    assert seen.truth.hottest > seen.truth.ends["sheath"] > seen.truth.ends["plug"] > seen.truth.ambient


@pytest.mark.hand("steps of 0.1 K, noise of 0.05 K r.m.s., offset 0.4 K, 5 % of the rise not seen, 8 s late")
def test_sensors_err_as_they_say() -> None:
    """Each error shows in the column by as much as it says."""
    sheath = replace(QUIET[1], offset=0.4, noise=0.05, step=0.1)
    lifted = replace(QUIET[1], name="lifted", lifted=0.05)
    late = replace(QUIET[1], name="late", lag=30.0)
    seen = log_heating(CABLE, HeatingRun(), seed=2, sensors=[QUIET[0], sheath, lifted, late])
    true = seen.truth.at_rows["sheath"]
    off = column(seen.log, "sheath") - true
    slope = np.gradient(true, seen.log.time_s)

    assert off.mean() == pytest.approx(0.4, abs=0.01)
    assert off.std() == pytest.approx(np.hypot(0.05, 0.1 / np.sqrt(12.0)), rel=0.15)
    np.testing.assert_allclose(true - column(seen.log, "lifted"), 0.05 * (true - 21.0), atol=1e-9)
    assert (true - column(seen.log, "late"))[60] == pytest.approx(30.0 * slope[60], rel=0.15)
    assert seen.log.channels[1].resolution == 0.1


@pytest.mark.hand("resistance of the core by its own temperature: R20·(1 + 0.00393·(t - 20)); drop = current × that")
def test_taps_tell_the_conductor() -> None:
    """Voltage along a core over the current is its resistance, and that is its mean temperature."""
    sensors = [
        *QUIET,
        LoggedSensor(name="drop", at="drop", noise=0.0, step=0.0, lag=0.0),
        LoggedSensor(name="ohms", at="resistance", noise=0.0, step=0.0, lag=0.0),
        LoggedSensor(name="metal", at="conductor", place=2.5, noise=0.0, step=0.0, lag=0.0),
    ]
    seen = log_heating(CABLE, HeatingRun(), seed=3, sensors=sensors)
    drop, current, ohms, metal = (column(seen.log, name) for name in ("drop", "current", "ohms", "metal"))

    np.testing.assert_allclose(drop[1:], (current * ohms)[1:], rtol=1e-6)
    mean = 20.0 + (ohms / seen.truth.resistance_20 - 1.0) / 0.00393
    assert mean[0] == pytest.approx(21.0, abs=1e-6)
    assert np.all(mean[1:] < metal[1:]), "the ends are cooler than the middle"
    assert mean[-1] == pytest.approx(metal[-1], abs=0.15 * (metal[-1] - 21.0))
    assert [channel.quantity for channel in seen.log.channels[4:6]] == [LogQuantity.VOLTAGE, LogQuantity.RESISTANCE]


@pytest.mark.hand("a draught takes heat away; a room that warms drags the cable along; after the current it cools")
def test_draughts_drift_and_cooling() -> None:
    """Draughts make dips and lower the mean, drift raises, and without current all comes back to the room."""
    still = log_heating(CABLE, HeatingRun(), seed=4, sensors=QUIET)
    blown = log_heating(CABLE, HeatingRun(draughts=30.0, draught=1.0), seed=4, sensors=QUIET)
    drifting = log_heating(CABLE, HeatingRun(drift=3.0, swing=0.5), seed=4, sensors=QUIET)
    cooling = log_heating(CABLE, HeatingRun(currents=[(1800.0, 25.0), (5400.0, 0.0)]), seed=4, sensors=QUIET)
    late = slice(200, None)

    assert np.all(column(blown.log, "sheath")[1:] <= column(still.log, "sheath")[1:] + 1e-6)
    assert column(blown.log, "sheath")[late].mean() < column(still.log, "sheath")[late].mean() - 0.5
    assert column(blown.log, "sheath")[late].std() > 5.0 * column(still.log, "sheath")[late].std()
    assert column(drifting.log, "sheath")[-1] - column(still.log, "sheath")[-1] == pytest.approx(3.0, abs=0.6)
    assert column(cooling.log, "sheath")[180] > 35.0
    assert column(cooling.log, "sheath")[-1] == pytest.approx(21.0, abs=0.1)
    assert cooling.truth.current == 25.0


@pytest.mark.hand("a joint of 20 mΩ at 16 A makes 5 W, one of 0.3 mΩ 0.08 W")
def test_a_hot_joint_is_seen_at_the_plug_alone() -> None:
    """A loose joint warms its pin, the plug and the first of the cable; two metres off nothing is seen of it."""
    loose = replace(CABLE, plug=VirtualTerminal(joints=(20e-3, 0.3e-3)))
    sensors = [
        *QUIET,
        LoggedSensor(name="line pin", at="plug joint", core=0),
        LoggedSensor(name="neutral pin", at="plug joint", core=1),
    ]
    sound, hot = (heating_end(cut_cable(one), current=16.0, ambient=20.0, sensors=sensors) for one in (CABLE, loose))

    assert hot.ends["line pin"] > hot.ends["plug"] > hot.ends["neutral pin"] > sound.ends["neutral pin"]
    assert hot.ends["plug"] > sound.ends["plug"] + 8.0
    assert hot.ends["sheath"] == pytest.approx(sound.ends["sheath"], abs=0.01)


@pytest.mark.hand("same seed, same log; stopped early, fewer rows and the same end")
def test_a_seed_gives_the_same_log() -> None:
    """All that is drawn comes from the seed, and the truth of the end does not hang on how long was logged."""
    run = HeatingRun(draughts=5.0, wobble=0.01)
    logger = VirtualLogger(interval=15.0, jitter=4.0, dropout=0.1)
    one, two = (
        log_heating(CABLE, run, seed=5, logger=logger, sensors=draw_sensors(np.random.default_rng(5))) for _ in range(2)
    )
    early = log_heating(CABLE, replace(run, stopped_at=900.0), seed=5, logger=logger)

    for a, b in zip(one.log.channels, two.log.channels, strict=True):
        np.testing.assert_array_equal(a.values, b.values)
    assert early.log.time_s[-1] <= 905.0 < one.log.time_s[-1]
    assert early.truth.ends == one.truth.ends
    assert 0.002 < column(one.log, "current")[5:].std() / 16.0 < 0.02


def test_an_unknown_place_is_told() -> None:
    """The message lists the places."""
    with pytest.raises(UnknownName, match="Known: ambient, conductor"):
        LoggedSensor(name="x", at="pilot")
