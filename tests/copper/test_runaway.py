"""A part that becomes warm faster and faster: no end is made up, and what was read already decides."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.copper.heating_log import AskedUse, HeatingTest
from coldpin.copper.runaway import NO_END
from coldpin.copper.temperature_rise import rise_of_log
from coldpin.quantity import Quantity
from coldpin.records.finding import Limit, Outcome, Standing
from coldpin.records.heating import HeatedPart, TemperatureRise
from coldpin.records.log import LogChannel, LogQuantity
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.book import load_book

TIME = np.arange(0.0, 3000.0, 10.0)
LIMIT = Limit(
    id="limit", title="plug", unit="°C", maximum=85.0, source="as given", standing=Standing.COMMON_PRACTICE,
    asserted_by="the tester",
)  # fmt: skip


def told(rise: np.ndarray, *, accuracy: str = "type K class 1", rated: float = 16.0, hottest: float = 40.0,
         time: np.ndarray = TIME) -> TemperatureRise:  # fmt: skip
    """What a plug says that rose so under 16 A in air of 21 °C."""
    noise = np.random.default_rng(3).normal(0.0, 0.05, time.size)
    values = np.round(21.0 + rise + noise, 1)
    channel = LogChannel(name="plug", quantity=LogQuantity.TEMPERATURE, unit="°C", values=values, resolution=0.1)
    test = HeatingTest(
        part=HeatedPart.PLUG, time_s=time, channel=channel, ambient=Quantity(21.0, 0.2, "°C"),
        current=Quantity(16.0, 0.05, "A"), start_s=0.0, accuracy=parse_accuracy(accuracy) if accuracy else None,
    )  # fmt: skip
    use = AskedUse(
        rated_current=Quantity(rated, 0.0, "A"), max_ambient=Quantity(hottest, 0.0, "°C"), limit=LIMIT
    )  # fmt: skip
    return rise_of_log(test, use, load_book())


RUNAWAY = 8.0 * np.expm1(TIME / 1370.0)
"""Rises ever faster: 8 K · (e^(2990/1370) − 1) = 63 K in the end, as a joint does that gets worse by its own heat."""


def test_no_end_is_made_up_for_a_joint_that_runs_away() -> None:
    """The lower end is what was read; no thousands of degrees, and no range of a thermocouple held against them."""
    found = told(RUNAWAY)

    assert found.open_above
    assert found.reached is None
    assert 21.0 + RUNAWAY[-6] < found.end_temperature_c.value < 21.0 + RUNAWAY[-1] + 0.2, "the last block of rows"
    assert found.end_temperature_c.high is None
    assert NO_END in found.statement
    assert max(found.chart.at_s) == pytest.approx(TIME[-1], rel=0.02)


@pytest.mark.hand("8 K · (e^(2990/1370) − 1) = 63 K; 40 °C + 63 K = 103 °C, over 85 °C; in 5 °C it is 68 °C")
@pytest.mark.parametrize(
    ("accuracy", "rated", "hottest", "outcome"),
    [
        ("type K class 1", 16.0, 40.0, Outcome.BEYOND),
        ("", 16.0, 40.0, Outcome.UNDECIDED),
        ("type K class 1", 16.0, 5.0, Outcome.UNDECIDED),
        ("type K class 1", 13.0, 40.0, Outcome.UNDECIDED),
    ],
)
def test_what_was_read_decides_where_it_is_over_the_limit(
    accuracy: str, rated: float, hottest: float, outcome: Outcome
) -> None:
    """Never within; beyond with a stated accuracy, at no less than the test's current, and by the reading itself."""
    assert told(RUNAWAY, accuracy=accuracy, rated=rated, hottest=hottest).outcome is outcome


@pytest.mark.parametrize("share", [1.0, 0.5, 0.25])
def test_an_ordinary_heating_does_not_run_away(share: float) -> None:
    """A body and its core, led on for long or for a quarter of it, slow down all the time."""
    kept = TIME[: int(share * TIME.size)]
    rise = -24.0 * np.expm1(-kept / 430.0) - 5.0 * np.expm1(-kept / 60.0)

    assert NO_END not in told(rise, time=kept).statement
