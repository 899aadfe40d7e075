"""What was asked once is not computed again, and what differs in one reading is."""

from __future__ import annotations

import numpy as np

from coldpin.copper.conductor import Marked, Tapped, read_conductor
from coldpin.copper.heating_log import AskedUse, HeatingTest
from coldpin.copper.temperature_rise import rise_of_log
from coldpin.quantity import Quantity
from coldpin.records.by_content import ByContent
from coldpin.records.case import OwnConstant
from coldpin.records.heating import HeatedPart
from coldpin.records.log import LogChannel, LogQuantity
from coldpin.standards.book import load_book

TIME = np.arange(0.0, 1500.0, 10.0)


def heated(end: float = 30.0) -> HeatingTest:
    """A sheath that warms by so much, in a log made anew each time."""
    values = 21.0 + end * -np.expm1(-TIME / 300.0) + 0.02 * np.cos(1.7 * TIME)
    channel = LogChannel(name="Sheath", quantity=LogQuantity.TEMPERATURE, unit="°C", values=values, resolution=0.01)
    return HeatingTest(
        part=HeatedPart.SHEATH,
        time_s=TIME.copy(),
        channel=channel,
        ambient=Quantity(21.0, 0.2, "°C"),
        current=Quantity(16.0, 0.1, "A"),
    )


def test_the_same_heating_test_is_computed_once() -> None:
    """Another reading, or another use, gives another result."""
    told = rise_of_log(heated(), AskedUse(), load_book())

    assert rise_of_log(heated(), AskedUse(), load_book()) is told
    assert rise_of_log(heated(30.5), AskedUse(), load_book()).end_rise_k.value > told.end_rise_k.value
    used = rise_of_log(heated(), AskedUse(max_ambient=Quantity(40.0, 0.0, "°C")), load_book())
    assert (told.max_ambient_c, used.max_ambient_c) == (None, 40.0)


def test_the_same_conductor_is_computed_once_for_one_book() -> None:
    """A case with a limit of its own is not told what ours gave."""
    tapped = Tapped(
        resistance=Quantity(0.038, 2e-5, "Ω"), length=Quantity(5.0, 0.001, "m"), temperature=Quantity(20.0, 0.1, "°C")
    )
    marked = Marked(size_mm2=2.5, coating="plain")
    ours, told = load_book(), read_conductor(tapped, marked, load_book())
    own = OwnConstant(id="conductor.class-5.2.5mm2", source="a standard of ours", maximum=7.0)

    assert read_conductor(tapped, marked, ours) is told
    assert (told.limit_ohm_per_km, read_conductor(tapped, marked, ours.with_own([own])).limit_ohm_per_km) == (7.98, 7.0)


def test_content_goes_down_to_the_readings() -> None:
    """Records within records are equal by their arrays and their numbers."""
    assert ByContent(heated()) == ByContent(heated())
    assert ByContent(heated()) != ByContent(heated(29.9))
    assert ByContent((TIME, {"a": TIME})) != ByContent((TIME, {"b": TIME}))
    assert ByContent(TIME) != TIME
