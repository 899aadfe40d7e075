"""From a reading between two taps to ohms for each kilometre at 20 °C: formula, budget, warming, refusals."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.resistance import (
    area_of,
    equivalent_area,
    length_between_taps,
    linear_resistance,
    metal_temperature,
    no_evidence_of_size,
    resistance_at_20,
    resistance_of_drop,
    temperature_factor,
    temperature_questions,
)
from coldpin.copper.self_heating import adiabatic_rate, self_heating
from coldpin.errors import InputError, OutsideRange, UnknownName
from coldpin.quantity import Quantity, budget_shares, parse_quantity, rectangular
from coldpin.standards import load_book, parse_accuracy
from coldpin.standards.conductors import resistance_limit
from coldpin.standards.metals import resistivity, temperature_coefficient, volumetric_heat

BOOK = load_book()
ALPHA = temperature_coefficient(BOOK)
COLD = Quantity(0.0, 0.0, "K")


def exact(value: float, unit: str) -> Quantity:
    return Quantity(value, 0.0, unit)


@pytest.mark.hand("R' = 1000 · 0.0407 / 5.00 / (1 + 0.00393 · 5) = 8.14 / 1.01965")
def test_a_reading_is_referred_to_twenty_degrees_and_a_kilometre() -> None:
    """40.7 mΩ over 5 m at 25 °C are 7.983 Ω/km; two such cores in series twice as much between the taps."""
    asked = {"length": 5.0, "temperature": 25.0, "rise": 0.0, "coefficient": ALPHA}

    assert linear_resistance(resistance=0.0407, cores=1.0, **asked) == pytest.approx(8.14 / 1.01965, rel=1e-12)
    assert linear_resistance(resistance=0.0814, cores=2.0, **asked) == pytest.approx(8.14 / 1.01965, rel=1e-12)


@pytest.mark.published("254.5/(234.5 + t), IEC 60228 Annex B; standing: read")
@pytest.mark.parametrize("temperature", [5.0, 12.5, 20.0, 25.0, 30.0, 40.0, 50.0])
def test_the_factor_is_that_of_the_exact_formula(temperature: float) -> None:
    """Both printed forms agree within the last digit of 234.5."""
    printed = 254.5 / (234.5 + temperature)
    gap = 0.05 * abs(temperature - 20.0) / (234.5 + temperature) ** 2 * 1.05

    assert temperature_factor(temperature=temperature, coefficient=ALPHA) == pytest.approx(printed, abs=gap + 1e-12)


@pytest.mark.published("least areas of copper by class 5, worked out from 17.241 Ω·mm²/km and the limits")
@pytest.mark.parametrize(
    ("size", "area"),
    [
        (0.5, 0.442),
        (0.75, 0.663),
        (1.0, 0.884),
        (1.5, 1.296),
        (2.5, 2.161),
        (4.0, 3.483),
        (6.0, 5.225),
        (10.0, 9.027),
        (16.0, 14.249),
        (25.0, 22.104),
        (35.0, 31.121),
    ],
)
def test_a_marked_size_is_no_area(size: float, area: float) -> None:
    """The limit of class 5 is kept by a tenth less copper than the number says."""
    limit = resistance_limit(BOOK, cross_section_mm2=size).maximum
    assert limit is not None

    assert equivalent_area(linear=limit, resistivity=resistivity(BOOK)) == pytest.approx(area, abs=0.0006)
    assert area_of(exact(limit, "Ω/km"), BOOK).value == pytest.approx(area, abs=0.0006)


@pytest.mark.hand("370 mV at 10 A over 5.00 m of 2.5 mm²: 0.037, 0.144, 0.058, 0.081, 0.227, 0.113, 0.1 % make 0.326 %")
def test_the_budget_of_a_careful_reading_by_hand() -> None:
    """Voltmeter, current, tape, taps, temperature, warming and repeat make 0.33 %, and temperature the most of it."""
    linear = resistance_at_20(
        Quantity(0.037, 0.037 * math.hypot(0.00037, 0.00144, 0.001), "Ω"),
        length=_sum_of_limits(5.0, (0.005, 0.007), "m"),
        temperature=rectangular(20.0, 1.0, "°C", id="t", label="temperature"),
        rise=rectangular(0.5, 0.5, "K", id="rise", label="warming"),
        book=BOOK,
    )
    assert linear.u is not None

    assert 100.0 * linear.u / linear.value == pytest.approx(0.326, abs=0.003)
    assert budget_shares(linear)[0].label == "temperature"


def _sum_of_limits(value: float, limits: tuple[float, ...], unit: str) -> Quantity:
    return Quantity(value, math.sqrt(sum(limit**2 for limit in limits) / 3.0), unit)


@pytest.mark.hand("2 K · 0.393 %/K / √3 = 0.454 %")
def test_an_unstated_temperature_has_two_kelvin() -> None:
    """What nobody stated is taken from the table, stands in the budget and is remarked."""
    temperature, remarks = metal_temperature(Quantity(20.0, None, "°C"), BOOK)
    linear = resistance_at_20(exact(0.037, "Ω"), length=exact(5.0, "m"), temperature=temperature, rise=COLD, book=BOOK)
    assert linear.u is not None

    assert 100.0 * linear.u / linear.value == pytest.approx(0.454, abs=0.002)
    assert remarks == ("no limits of the metal's temperature are stated: ± 2 K are taken",)


@pytest.mark.hand("5 mm and 7 mm, rectangular: 1000 · √(25 + 49) · 10⁻³ / √3 = 4.97 mm; stated 1 mm and 7 mm: 4.08 mm")
def test_the_length_holds_tape_and_taps() -> None:
    """Stated limits are those of the tape; where the taps sit is added to them as well."""
    taken, remarks = length_between_taps(Quantity(5.0, None, "m"), BOOK)
    stated, none = length_between_taps(parse_quantity("5.000 m ± 1 mm", "m"), BOOK)

    assert taken.u == pytest.approx(4.967e-3, rel=1e-3)
    assert stated.u == pytest.approx(4.082e-3, rel=1e-3)
    assert len(remarks) == 1
    assert none == ()
    assert {share.label for share in budget_shares(stated)} == {"tape", "where the taps sit"}


@pytest.mark.hand(
    "half of the last digit: 5 m ± 0.5 m, 5.0 m ± 50 mm, 5.00 m a tape's 5 mm; over √3, with 7 mm of the taps"
)
@pytest.mark.parametrize(("step", "u"), [(1.0, 0.288704), (0.1, 0.029150), (0.01, 0.004967), (0.001, 0.004967)])
def test_a_length_is_no_surer_than_it_is_written(step: float, u: float) -> None:
    """A tape's limits are taken only for what is written as finely as a tape is read."""
    taken, remarks = length_between_taps(Quantity(5.0, None, "m"), BOOK, step=step)

    assert taken.u == pytest.approx(u, rel=1e-3)
    assert ("half of its last digit" in remarks[0]) == (step > 0.01)


def test_a_length_that_may_be_none_is_refused() -> None:
    """5 m give or take 6 m tells no resistance for each metre."""
    with pytest.raises(OutsideRange, match=r"5 m, give or take 5\.7 m: that reaches down to none"):
        length_between_taps(parse_quantity("5 m ± 6 m", "m"), BOOK)


@pytest.mark.hand("(370.02 + 369.98) mV / 2 / 10 A = 37.000 mΩ, whatever the thermal voltage")
def test_reversing_the_current_cancels_a_thermal_voltage() -> None:
    """20 µV at the taps shift each drop and not their mean; the sign of the second may be left out."""
    current = exact(10.0, "A")
    for reverse in (-0.36998, 0.36998):
        found, remarks = resistance_of_drop(exact(0.37002, "V"), exact(reverse, "V"), current, BOOK)
        assert found.value == pytest.approx(0.037, rel=1e-12)
        assert remarks == ()


@pytest.mark.hand("20 µV / 10 A / √3 = 1.155 µΩ")
def test_one_direction_leaves_the_thermal_voltage_in_the_budget() -> None:
    """It is said, and its share is that of 20 µV."""
    found, remarks = resistance_of_drop(exact(0.370, "V"), None, exact(10.0, "A"), BOOK)

    assert found.u == pytest.approx(20e-6 / 10.0 / math.sqrt(3.0), rel=1e-6)
    assert "not reversed" in remarks[0]


def test_what_one_meter_gets_wrong_both_ways_stays_in_the_mean() -> None:
    """Half a per cent of reading in both drops is half a per cent of the resistance, not a smaller part."""
    meter = parse_accuracy("0.5 % of reading")
    forward, reverse = (meter.apply(exact(drop, "V"), id="meter", label="drop") for drop in (0.370, -0.370))
    found, _ = resistance_of_drop(forward, reverse, exact(10.0, "A"), BOOK)
    assert found.u is not None

    assert found.u / found.value == pytest.approx(0.005 / math.sqrt(3.0), rel=1e-6)


def test_directions_that_differ_too_much_are_asked_about() -> None:
    """A tenth between the directions is no thermal voltage."""
    _, remarks = resistance_of_drop(exact(0.370, "V"), exact(-0.33, "V"), exact(10.0, "A"), BOOK)

    assert remarks[0].endswith("was the current the same, and did a tap move?")


@pytest.mark.hand("(10 A · 7.41 mΩ/m)² / (1.7241e-8 Ω·m · 3.45e6 J/(m³·K)) = 0.0923 K/s")
def test_warming_begins_at_the_adiabatic_rate() -> None:
    """10 A in 2.5 mm² warm it by less than a tenth of a kelvin in a second."""
    rate = adiabatic_rate(current=10.0, linear=7.41, resistivity=resistivity(BOOK), heat=volumetric_heat(BOOK))

    assert rate == pytest.approx(0.0923, abs=0.0001)


@pytest.mark.hand("5 s · 0.0923 K/s = 0.4616 K; in the end 0.741 W/m · 6 K·m/W = 4.446 K, twice that with two cores")
def test_warming_is_bounded_by_time_and_by_the_end() -> None:
    """Early the time bounds it, late the thermal resistance; at 1 A it is nothing worth a name."""

    def bound(amperes: float, seconds: float | None, cores: int = 1) -> float:
        since = None if seconds is None else exact(seconds, "s")
        rise, _ = self_heating(current=exact(amperes, "A"), since=since, linear=7.41, cores=cores, book=BOOK)
        return 2.0 * rise.value

    assert bound(10.0, 5.0) == pytest.approx(0.4616, abs=0.0005)
    assert bound(10.0, 3600.0) == pytest.approx(4.446, abs=0.001)
    assert bound(10.0, None) == pytest.approx(4.446, abs=0.001)
    assert bound(10.0, None, cores=2) == pytest.approx(8.892, abs=0.002)
    assert bound(1.0, None) * ALPHA < 2e-4


def test_warming_enters_the_budget_and_lowers_the_result() -> None:
    """Read late at 10 A the metal was warmer than it was said to be: the result is lower and less sure."""
    early, _ = self_heating(current=exact(10.0, "A"), since=exact(2.0, "s"), linear=7.41, cores=1, book=BOOK)
    late, _ = self_heating(current=exact(10.0, "A"), since=exact(600.0, "s"), linear=7.41, cores=1, book=BOOK)
    length, cold = exact(5.0, "m"), exact(20.0, "°C")
    soon, then = (
        resistance_at_20(exact(0.037, "Ω"), length=length, temperature=cold, rise=rise, book=BOOK)
        for rise in (early, late)
    )
    assert soon.u is not None
    assert then.u is not None

    assert then.value < soon.value
    assert then.u > soon.u
    assert budget_shares(then)[0].label == "warming by the test current"


@pytest.mark.hand("10² A² · 7.41 mΩ/m · 6 K·m/W = 4.45 K")
def test_an_unstated_current_may_have_been_the_largest() -> None:
    """No current: nothing is corrected, the uncertainty widens, a remark; no time, the end of warming, a remark."""
    rise, remarks = self_heating(current=None, since=None, linear=7.41, cores=1, book=BOOK)
    _, without_time = self_heating(current=exact(10.0, "A"), since=None, linear=7.41, cores=1, book=BOOK)

    assert rise.value == 0.0
    assert rise.high == pytest.approx(4.45, abs=0.3)
    assert rise.u == pytest.approx(4.446 / 3**0.5, abs=0.002)
    assert remarks[0].startswith("the test current is not stated")
    assert without_time[0].startswith("the time from switching on to reading is not stated")


def test_what_cannot_be_is_refused() -> None:
    """A length, a time or a temperature that cannot be, a drop without current, three cores in series."""
    with pytest.raises(OutsideRange, match=r"length between the taps is -5 m; it must be above 0"):
        length_between_taps(exact(-5.0, "m"), BOOK)
    with pytest.raises(OutsideRange, match=r"at −248\.2 °C, where copper would have no resistance left"):
        metal_temperature(parse_quantity("25 K", "°C"), BOOK)
    with pytest.raises(OutsideRange, match="time since switching on is -1 s"):
        self_heating(current=exact(10.0, "A"), since=exact(-1.0, "s"), linear=7.41, cores=1, book=BOOK)
    with pytest.raises(OutsideRange, match="tells no resistance"):
        resistance_of_drop(exact(0.37, "V"), None, exact(0.0, "A"), BOOK)
    with pytest.raises(InputError, match="3 cores in series; it is 1, or 2"):
        resistance_at_20(
            exact(0.037, "Ω"),
            length=exact(5.0, "m"),
            temperature=exact(20.0, "°C"),
            rise=COLD,
            cores_in_series=3,
            book=BOOK,
        )


@pytest.mark.parametrize("said", [4.9, 50.1, 298.0])
def test_a_temperature_outside_the_printed_factors_is_asked_about(said: float) -> None:
    """298 °C is kelvin more often than not: it is asked, not corrected."""
    temperature, _ = metal_temperature(exact(said, "°C"), BOOK)

    assert temperature.value == said
    assert "is the unit right" in temperature_questions(temperature, BOOK)[0]
    assert temperature_questions(exact(22.0, "°C"), BOOK) == ()


@pytest.mark.published("IEC 61557-4 lets a continuity meter be wrong by 30 %, from memory")
def test_only_four_wires_tell_a_size() -> None:
    """The other two ways say why not; an unknown one lists the three."""
    assert no_evidence_of_size("four-wire", BOOK) == ""
    assert "holds leads and clips" in no_evidence_of_size("two-wire", BOOK)
    assert "may be wrong by 30 %" in no_evidence_of_size("continuity meter", BOOK)
    with pytest.raises(UnknownName, match="unknown way of reading a resistance 'bridge'"):
        no_evidence_of_size("bridge", BOOK)


POSITIVE = st.floats(min_value=1e-3, max_value=1e3)


@given(POSITIVE, POSITIVE, st.floats(min_value=-20.0, max_value=80.0), st.floats(min_value=1.001, max_value=10.0))
def test_longer_warmer_and_more_cores_mean_less(
    resistance: float, length: float, temperature: float, more: float
) -> None:
    """At one reading, more length, warmth or cores leave fewer ohms for each kilometre, and more copper."""
    asked = {"resistance": resistance, "length": length, "temperature": temperature, "rise": 0.0, "coefficient": ALPHA}
    base = linear_resistance(cores=1.0, **asked)

    assert linear_resistance(cores=1.0, **{**asked, "length": more * length}) < base
    assert linear_resistance(cores=1.0, **{**asked, "temperature": temperature + more}) < base
    assert linear_resistance(cores=1.0, **{**asked, "rise": more}) < base
    assert linear_resistance(cores=2.0, **asked) == pytest.approx(0.5 * base)
    assert equivalent_area(linear=base, resistivity=resistivity(BOOK)) < equivalent_area(
        linear=base / more, resistivity=resistivity(BOOK)
    )


@given(st.floats(min_value=-30.0, max_value=90.0))
def test_a_conductor_read_at_any_temperature_is_the_same_conductor(temperature: float) -> None:
    """What has 7.41 Ω/km at 20 °C is found to have it from its resistance at any other temperature."""
    shown = 7.41e-3 * 5.0 * (1.0 + ALPHA * (temperature - 20.0))

    assert linear_resistance(
        resistance=shown, length=5.0, temperature=temperature, rise=0.0, cores=1.0, coefficient=ALPHA
    ) == pytest.approx(7.41, rel=1e-12)
