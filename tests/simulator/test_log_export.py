"""Exported logs: what the reader of logs finds in them is what was logged."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest

from coldpin.capture.log import read_log
from coldpin.errors import UnknownName
from coldpin.records.log import LogQuantity
from coldpin.simulator.cable import VirtualCable
from coldpin.simulator.car import VirtualCar, Visit
from coldpin.simulator.charge import SimulatedCharge, log_charge
from coldpin.simulator.heating import HeatingRun, SimulatedHeating, log_heating
from coldpin.simulator.log_export import LOG_STYLES, as_log_csv
from coldpin.simulator.logger import VirtualLogger

BEGAN = datetime(2026, 3, 14, 16, 0, tzinfo=timezone(timedelta(hours=1)))
HEATING = log_heating(
    VirtualCable(),
    HeatingRun(stopped_at=900.0),
    seed=1,
    logger=VirtualLogger(interval=10.0, jitter=3.0, dropout=0.1),
)
CHARGE = log_charge(
    VirtualCar(),
    [Visit(plugged=30.0, unplugged=500.0, offer=[(0.0, 16.0)])],
    seconds=600.0,
    seed=2,
    logger=VirtualLogger(gaps=[(200.0, 230.0)]),
)


@pytest.mark.independent("the reader of logs, which knows nothing of the simulator")
@pytest.mark.parametrize("style", LOG_STYLES)
@pytest.mark.parametrize("simulated", [HEATING, CHARGE], ids=["heating", "charge"])
def test_what_was_logged_is_read(simulated: SimulatedHeating | SimulatedCharge, style: str, tmp_path: Path) -> None:
    """Every style holds times, quantities and values to the last step written."""
    path = tmp_path / "log.csv"
    path.write_bytes(as_log_csv(simulated.log, simulated.stamps, began=BEGAN, style=style))
    read = read_log(path).log

    np.testing.assert_allclose(read.time_s, simulated.log.time_s, atol=0.051)
    assert [one.quantity for one in read.channels] == [one.quantity for one in simulated.log.channels]
    for one, other in zip(read.channels, simulated.log.channels, strict=True):
        assert other.resolution is not None
        np.testing.assert_allclose(one.values, other.values, atol=1e-9)


def test_an_unknown_style_is_told() -> None:
    """The message lists them."""
    with pytest.raises(UnknownName, match="clock, seconds, zone"):
        as_log_csv(HEATING.log, HEATING.stamps, began=datetime(2026, 1, 1, tzinfo=UTC), style="x")
    assert HEATING.log.channels[0].quantity is LogQuantity.TEMPERATURE
