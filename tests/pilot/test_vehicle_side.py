"""The circuit backward: what resistance made a level, and what the two readings of one instrument share."""

from __future__ import annotations

import math

import numpy as np
import pytest

from coldpin.errors import OutsideRange
from coldpin.pilot.circuit import level, shorted_level
from coldpin.pilot.vehicle_side import (
    load_from_levels,
    quantity_of,
    source_from_levels,
    source_resistance,
    vehicle_resistance,
)
from coldpin.quantity import Quantity, add_components, normal, rectangular
from coldpin.standards import load_book, parse_accuracy

NO_DROP = Quantity(0.0, 0.0, "V")


def exact(value: float, unit: str) -> Quantity:
    return Quantity(value, 0.0, unit)


@pytest.mark.hand("backward of forward gives what was put in")
@pytest.mark.parametrize("load", [80.0, 245.8, 881.7, 1870.0, 4610.0])
@pytest.mark.parametrize("source", [970.0, 1000.0, 1030.0])
def test_back_from_the_level_to_the_resistances(load: float, source: float) -> None:
    """Both resistances come back, on the high rail with a diode and on the low rail without."""
    high = level(rail=12.3, source_resistance=source, behind=load, drop=0.66)
    low = shorted_level(rail=-11.8, source_resistance=source, load=load)
    seen = {"level": high, "open_circuit": 12.3, "drop": 0.66}
    below = {"level": low, "open_circuit": -11.8, "drop": 0.0}

    assert load_from_levels(**seen, source_resistance=source) == pytest.approx(load, rel=1e-9)
    assert load_from_levels(**below, source_resistance=source) == pytest.approx(load, rel=1e-9)
    assert source_from_levels(**seen, load=load) == pytest.approx(source, rel=1e-9)
    assert source_from_levels(**below, load=load) == pytest.approx(source, rel=1e-9)


@pytest.mark.hand("R1 = R (V0 − V) / (V − Vd): a factor on V0, V and Vd = 0 falls out, so nothing of 3 % is left")
def test_the_gain_of_one_scope_falls_out() -> None:
    """With one id for both readings, 3 % of gain leave R1 as sure as the load; with two ids they do not."""
    load = normal(2740.0, 2.74, "Ω", id="load")

    def found(names: tuple[str, str]) -> Quantity:
        seen, unloaded = (
            rectangular(value, 0.03 * value, "V", id=name) for value, name in zip((8.7914, 12.0), names, strict=True)
        )
        return source_resistance(seen, open_circuit=unloaded, load=load, drop=NO_DROP)

    shared, apart = found(("scope", "scope")), found(("scope", "other scope"))
    assert shared.u == pytest.approx(1.0, rel=1e-3)
    assert apart.u is not None
    # dR1/dV0 · V0 = R V0 / V = 3740 Ω, and the same for V: 3740 · 0.03 / √3 · √2
    assert apart.u == pytest.approx(3740.0 * 0.03 / math.sqrt(3.0) * math.sqrt(2.0), rel=0.02)


@pytest.mark.hand("an offset o of both readings: dR1 = −R (V0 − V) / V² o = −0.1138 Ω/mV o at 2740 Ω")
def test_the_offset_of_one_scope_falls_out_of_the_difference() -> None:
    """What is left of a shared offset of 50 mV is its share in the loaded level alone."""
    readings = [rectangular(value, 0.05, "V", id="scope: offset") for value in (8.7914, 12.0)]
    found = source_resistance(readings[0], open_circuit=readings[1], load=exact(2740.0, "Ω"), drop=NO_DROP)

    slope = 2740.0 * (12.0 - 8.7914) / 8.7914**2
    assert found.u == pytest.approx(slope * 0.05 / math.sqrt(3.0), rel=1e-3)


def test_a_makers_statement_is_shared_by_its_readings() -> None:
    """Readings made with one statement of accuracy carry its id, so that the source resistance profits by itself."""
    statement = parse_accuracy("3 % of reading")
    high, unloaded = (
        statement.apply(exact(value, "V"), id="scope: vertical", label=label)
        for value, label in ((8.979, "state B"), (12.0, "state A"))
    )
    drop = rectangular(0.7, 0.15, "V", id="diode")
    found = source_resistance(high, open_circuit=unloaded, load=exact(2740.0, "Ω"), drop=drop)
    by_drop = source_resistance(exact(8.979, "V"), open_circuit=exact(12.0, "V"), load=exact(2740.0, "Ω"), drop=drop)
    assert found.u is not None
    assert by_drop.u is not None
    assert found.u == pytest.approx(by_drop.u, rel=0.05)


@pytest.mark.independent("levels made forward from drawn parts, with one gain for both readings of a set")
def test_the_interval_covers_what_it_should(proving: bool) -> None:
    """The vehicle's resistance lies in the 95 % interval as often as that, within four deviations of the count."""
    rng = np.random.default_rng(7)
    inside, sets = 0, 5000 if proving else 500
    for _ in range(sets):
        gain, drop = 1.0 + rng.normal(0.0, 0.01), rng.normal(0.7, 0.05)
        source = rng.normal(1000.0, 10.0)
        true = 2740.0
        noise = rng.normal(0.0, 0.01, 2)
        seen = float(level(rail=12.0, source_resistance=source, behind=true, drop=drop)) * gain + noise[0]
        unloaded = 12.0 * gain + noise[1]
        readings = [
            add_components(normal(value, 0.01, "V", id=name), normal(0.0, 0.01 * value, "V", id="gain").components)
            for value, name in ((seen, "noise loaded"), (unloaded, "noise open"))
        ]
        found = vehicle_resistance(
            readings[0],
            open_circuit=readings[1],
            source_resistance=normal(1000.0, 10.0, "Ω", id="R1"),
            drop=normal(0.7, 0.05, "V", id="diode"),
        )
        assert found.low is not None
        assert found.high is not None
        inside += found.low <= true <= found.high

    assert inside / sets == pytest.approx(0.95, abs=4.0 * math.sqrt(0.95 * 0.05 / sets))


def test_an_unstated_accuracy_stays_unstated() -> None:
    """A level without uncertainty gives a resistance without one, and says why."""
    found = vehicle_resistance(
        Quantity(8.98, None, "V", why="accuracy of the instrument not known"),
        open_circuit=exact(12.0, "V"),
        source_resistance=exact(1000.0, "Ω"),
        drop=exact(0.7, "V"),
    )

    assert found.value == pytest.approx(2742.0, abs=1.0)
    assert found.u is None
    assert "accuracy of the instrument not known" in found.why


@pytest.mark.parametrize(
    ("seen", "unloaded", "message"),
    [
        (12.0, 12.0, r"12 V is not nearer to 0 V than the open-circuit level 12 V: no load is seen; measure both"),
        (-12.1, -12.0, r"−12.1 V is not nearer to 0 V than the open-circuit level −12 V"),
        (0.69, 12.0, r"0.69 V is not beyond the drop of the diode, 0.70 V: a short behind the diode"),
    ],
)
def test_levels_that_tell_no_resistance_are_refused(seen: float, unloaded: float, message: str) -> None:
    """No load, or a short behind the diode: neither is a number of ohms."""
    with pytest.raises(OutsideRange, match=message):
        vehicle_resistance(
            exact(seen, "V"),
            open_circuit=exact(unloaded, "V"),
            source_resistance=exact(1000.0, "Ω"),
            drop=exact(0.7 if unloaded > 0.0 else 0.0, "V"),
        )


def test_a_part_known_by_its_tolerance_is_rectangular() -> None:
    """R1 of 970 Ω to 1030 Ω is 1000 Ω with u = 30 Ω / √3."""
    part = quantity_of(load_book().limit("pilot.source-resistance.iec-3"), "R1")

    assert part.value == 1000.0
    assert part.u == pytest.approx(30.0 / math.sqrt(3.0))
