"""Schedules in words: what they mean, and what they cannot mean."""

from __future__ import annotations

import math

import pytest

from coldpin.errors import OutsideRange, UnknownName
from coldpin.simulator import BESIDES, LOADS, VirtualUnit, VirtualVehicle, repeated
from coldpin.simulator.connection import network, sensed_state
from coldpin.simulator.load import Load, check_schedule, read_load


@pytest.mark.hand("the words as they are explained")
@pytest.mark.parametrize(
    ("word", "load"),
    [
        ("A", Load(letter="A")),
        ("B 1870", Load(letter="B", resistance=1870.0)),
        ("C, diode shorted", Load(letter="C", diode="shorted")),
        ("C 909.5, PE open", Load(letter="C", resistance=909.5, earth=False)),
        ("A, supply off", Load(letter="A", supply=False)),
        ("B, supply earth open", Load(letter="B", supply_earth=False)),
        ("C, offer withdrawn, diode open", Load(letter="C", withdrawn=True, diode="open")),
        ("D, duty 16.7", Load(letter="D", duty=16.7)),
    ],
)
def test_words_of_a_step(word: str, load: Load) -> None:
    """Letter, resistance and what is out of the ordinary are read; the rest stays as it was."""
    assert read_load(word) == load


@pytest.mark.hand("2740 Ω in parallel with R3; R2 alone")
@pytest.mark.parametrize(
    ("word", "ohms"),
    [
        ("A", math.inf),
        ("B", 2740.0),
        ("B 4610", 4610.0),
        ("C 909", 2740.0 * 909.0 / (2740.0 + 909.0)),
        ("C 1723", 2740.0 * 1723.0 / (2740.0 + 1723.0)),
        ("C 909, R2 1870", 1870.0 * 909.0 / (1870.0 + 909.0)),
        ("C, R2 4610", 4610.0 * 1300.0 / (4610.0 + 1300.0)),
        ("D", 2740.0 * 270.0 / (2740.0 + 270.0)),
        ("E", 2740.0),
        ("C, diode open", math.inf),
    ],
)
def test_resistance_of_a_step(word: str, ohms: float) -> None:
    """A resistance in the words takes the place of R2 in B and of R3 in C and D."""
    assert VirtualVehicle().resistance(word) == pytest.approx(ohms)


@pytest.mark.hand("an open earth leaves the unit and the probe alone with each other")
def test_without_earth_nothing_of_the_vehicle_is_left() -> None:
    """With the earth open the circuit is that of A, unless the pilot returns by another conductor."""
    probe = (1e7, 12e-12, 0.0)
    unit, vehicle = VirtualUnit(), VirtualVehicle()
    elsewhere = VirtualUnit(pilot_return="another conductor")
    for word in ("B", "C", "E"):
        assert network(unit, vehicle, f"{word}, PE open", probe=probe) == network(unit, vehicle, "A", probe=probe)
        assert network(elsewhere, vehicle, f"{word}, PE open", probe=probe) == network(unit, vehicle, word, probe=probe)
        assert read_load(f"{word}, PE open").state == "A"


@pytest.mark.hand("1 / (1 / 80 Ω) and 1 / (1 / 40 Ω) beside the probe's 10 MΩ")
def test_a_short_of_its_own() -> None:
    """The short's resistance can be chosen."""
    unit, vehicle = VirtualUnit(), VirtualVehicle()
    for word, ohms in (("E", 80.0), ("E 40", 40.0)):
        assert network(unit, vehicle, word, probe=(1e7, 0.0, 0.0)).shunt == pytest.approx(1.0 / ohms + 1e-7)


@pytest.mark.published("public notes on the control pilot: a short behind the diode leaves -12 V and about +0.7 V")
def test_a_short_behind_the_diode() -> None:
    """Behind the diode the short takes the high level down to a junction's drop and leaves the low one."""
    parts = network(VirtualUnit(), VirtualVehicle(), "E 1, behind the diode", probe=(1e7, 0.0, 0.0))

    assert parts.settled(12.0) == pytest.approx(0.7, abs=0.03)
    assert parts.settled(-12.0) == pytest.approx(-12.0, abs=0.01)
    assert sensed_state(VirtualUnit(), VirtualVehicle(), "E 1, behind the diode") == "E"


@pytest.mark.hand("every word of the two lists")
def test_every_word_is_read() -> None:
    """Each letter with each thing beside it can be read."""
    for letter in LOADS:
        for beside in BESIDES:
            assert read_load(f"{letter}, {beside}").letter == letter


@pytest.mark.hand("texts of the messages")
def test_words_that_mean_nothing_are_refused() -> None:
    """Unknown letters and things, impossible resistances and offers are each named."""
    for word in ("Z", "c", "BB", "", "B1870", "B -3"):
        with pytest.raises(UnknownName, match=r"unknown load .*Known: A, B, C, D, E"):
            read_load(word)
    with pytest.raises(UnknownName, match=r"unknown thing beside a load 'diode gone'.*diode shorted.*duty 16\.7"):
        read_load("C, diode gone")
    for word in ("A 2740", "B 0"):
        with pytest.raises(OutsideRange, match="only B, C, D and E have a resistance, and above 0 Ω"):
            read_load(word)
    with pytest.raises(OutsideRange, match="'R2 0' beside C; R2 is above 0 Ω, and not in A"):
        read_load("C, R2 0")
    with pytest.raises(OutsideRange, match="'duty 100'; an offer lies between 0 and 100 %"):
        read_load("B, duty 100")
    with pytest.raises(UnknownName, match="unknown load 'X'"):
        check_schedule([(1.0, "A"), (1.0, "X")])
    with pytest.raises(OutsideRange, match="each for more than 0 s"):
        check_schedule([(math.nan, "A")])


@pytest.mark.hand("three times two steps")
def test_steps_are_repeated() -> None:
    """Repeated steps follow one another."""
    assert repeated(3, (0.1, "B"), (0.2, "C")) == ((0.1, "B"), (0.2, "C")) * 3
