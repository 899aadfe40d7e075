"""Voltage at the vehicle: what supply and lead leave, and what that is above the least a supply may have."""

from __future__ import annotations

import pytest

from coldpin.copper.voltage_at_vehicle import at_vehicle
from coldpin.quantity import Quantity
from coldpin.records.finding import Outcome
from coldpin.records.voltage_drop import SourceImpedance
from coldpin.standards.book import load_book

BOOK = load_book()


def exact(value: float, unit: str) -> Quantity:
    """A value taken as exact."""
    return Quantity(value, 0.0, unit)


@pytest.mark.hand("230 V − 16 A · 0.25 Ω − 1.5 V = 224.5 V; 17.5 V above 207 V; 5.5 V of 230 V is 2.39 %")
def test_what_the_car_has_and_what_is_left_of_the_tolerance() -> None:
    """The nominal voltage stands in where none was read, but decides nothing then."""
    source = SourceImpedance(resistance_ohm=Quantity(0.25, 0.02, "Ω"), method="stated")
    load = {"current": exact(16.0, "A"), "source": source, "book": BOOK}
    car = at_vehicle(exact(1.5, "V"), unloaded=exact(230.0, "V"), **load)  # type: ignore[arg-type]  # by name
    untold = at_vehicle(exact(1.5, "V"), **load)  # type: ignore[arg-type]  # by name

    assert car.at_vehicle_v.value == pytest.approx(224.5)
    assert car.least_v == pytest.approx(207.0)
    assert car.left_v.value == pytest.approx(17.5)
    assert car.path_percent.value == pytest.approx(2.391, abs=5e-4)
    assert car.outcome is Outcome.WITHIN
    assert untold.at_vehicle_v.value == pytest.approx(224.5)
    assert (untold.at_vehicle_v.u, untold.outcome) == (None, Outcome.UNDECIDED)
