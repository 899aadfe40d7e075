"""Makers' statements of accuracy become components of uncertainty."""

from __future__ import annotations

import contextlib
import math
import re

import hypothesis.strategies as st
import pytest
from hypothesis import given

from coldpin.errors import InputError, OutsideRange, QuantityTextError, UnitError
from coldpin.quantity import Component, Quantity, Shape, correlation, propagate
from coldpin.records.case import OwnConstant
from coldpin.standards import AccuracyStatement, ScopeAccuracy, load_book, parse_accuracy
from coldpin.standards.accuracy_text import FORMS

SQRT3 = math.sqrt(3.0)
GUM_437 = "JCGM 100:2008 4.3.7: limits without stated confidence are rectangular (memory, recomputed)"


def components(text: str, reading: float, unit: str) -> tuple[Component, ...]:
    """The components of one reading."""
    return parse_accuracy(text).components(reading, unit, id="meter", label="reading")


@pytest.mark.published(GUM_437)
@pytest.mark.parametrize(
    ("text", "reading", "unit", "half_width", "u"),
    [
        ("±(0.5 % of reading + 3 digits), resolution 0.1 V", 230.0, "V", 1.45, 0.8372),
        ("3 % of full scale 40 V", 6.0, "V", 1.2, 0.693),
        ("2 % + 5 digits, resolution 0.01 A", 16.0, "A", 0.37, 0.2136),
        ("14 ppm of reading + 2 ppm of range, range 1 V", 0.928571, "V", 15.0e-6, 8.66e-6),
        ("50 ppm", 1e-3, "s", 5e-8, 5e-8 / SQRT3),
        ("± 0.5 °C", 70.0, "°C", 0.5, 0.2887),
        ("type K class 1", 70.0, "°C", 1.5, 0.8660),
    ],
)
def test_limits_are_one_rectangular_component(
    text: str, reading: float, unit: str, half_width: float, u: float
) -> None:
    """The worked examples of multimeter, scope, clamp meter, voltmeter, timebase and thermocouple."""
    (component,) = components(text, reading, unit)

    assert component.shape is Shape.RECTANGULAR
    assert component.contribution * SQRT3 == pytest.approx(half_width, rel=5e-4)
    assert component.contribution == pytest.approx(u, rel=5e-4)


@pytest.mark.published("JCGM 100:2008 F.2.2.1: a step d leaves u = 0.29 d (memory, recomputed)")
def test_a_scopes_step_is_a_component_of_its_own() -> None:
    """8 bits over 40 V are steps of 0.156 V, u = 0.0451 V, beside the gain of 0.693 V."""
    gain, step = components("3 % of full scale 40 V + 8 bit", 6.0, "V")

    assert gain.contribution == pytest.approx(0.693, abs=0.0005)
    assert step.contribution * math.sqrt(12.0) == pytest.approx(0.15625)
    assert step.contribution == pytest.approx(0.0451, abs=0.00005)
    assert step.shape is Shape.RECTANGULAR


@pytest.mark.published("JCGM 100:2008 4.3.7 example 2 and 5.1.5: u_c = 15 µV, relative 16e-6 (memory, recomputed)")
def test_the_voltmeter_of_the_guide() -> None:
    """Scatter of 12 µV and the maker's limits together give 14.8 µV."""
    reading = Quantity(0.928571, 12e-6, "V")
    statement = parse_accuracy("14 ppm of reading + 2 ppm of range, range 1 V")

    found = statement.apply(reading, id="voltmeter", label="voltage")

    assert found.u == pytest.approx(14.8e-6, abs=0.05e-6)
    assert found.value == reading.value
    assert found.unit == "V"


@pytest.mark.published("JCGM 100:2008 4.3.3 to 4.3.5 (memory, recomputed)")
@pytest.mark.parametrize(
    ("text", "u"),
    [
        ("U = 0.2 V, k = 2", 0.1),
        ("U = 0.2 V (k=2)", 0.1),
        ("U=0.3 V, k=3", 0.1),
        ("0.1 V at 95 %", 0.1 / 1.96),
        ("± 0.1 V (95 %)", 0.1 / 1.96),
        ("0.1 V, at 99 %", 0.1 / 2.576),
        ("0.1 V at 95 % coverage", 0.1 / 1.96),
        ("U = 0.1 V at 95 %", 0.1 / 1.96),
    ],
)
def test_a_stated_confidence_makes_it_normal(text: str, u: float) -> None:
    """With k or a coverage probability the component is normal, divided by that factor."""
    (component,) = components(text, 12.0, "V")

    assert component.shape is Shape.NORMAL
    assert component.contribution == pytest.approx(u, rel=2e-4)


@pytest.mark.published("IEC 60584-1:2013 Table 13, ASTM E230-12, as the public texts of the table restate them")
@pytest.mark.parametrize(
    ("sensor", "temperature", "tolerance"),
    [
        ("type K class 1", 70.0, 1.5),
        ("type K class 1", -40.0, 1.5),
        ("type K class 1", 375.0, 1.5),
        ("type K class 1", 376.0, 1.504),
        ("type K class 1", 1000.0, 4.0),
        ("thermocouple type K, class 2", 70.0, 2.5),
        ("type K class 2", 333.0, 2.5),
        ("type K class 2", 334.0, 2.505),
        ("type K class 2", 1200.0, 9.0),
        ("type K class 3", -200.0, 3.0),
        ("type K class 3", -160.0, 2.5),
        ("type T class 1", 100.0, 0.5),
        ("type T class 1", 350.0, 1.4),
        ("type K standard", 100.0, 2.2),
        ("type K standard", 400.0, 3.0),
        ("type K special", 100.0, 1.1),
        ("type K special limits", 400.0, 1.6),
    ],
)
def test_the_larger_of_a_thermocouples_tolerances_holds(sensor: str, temperature: float, tolerance: float) -> None:
    """Fixed below the crossover at 375 °C and 333 °C, relative above; negative temperatures count by their size."""
    (component,) = components(sensor, temperature, "°C")

    assert abs(component.contribution) * SQRT3 == pytest.approx(tolerance)


@pytest.mark.published("type K class 1 at 70 °C with a logger of ±0.5 °C: u = 0.913 °C")
def test_a_chain_of_sensor_and_logger() -> None:
    """A semicolon divides statements that are independent of one another."""
    reading = parse_accuracy("type K class 1; ± 0.5 °C").apply(
        Quantity(70.0, None, "°C"), id="logger 1", label="plug pin"
    )

    assert reading.u == pytest.approx(0.913, abs=0.0005)
    assert len(reading.components) == 2


def test_a_temperature_may_be_given_in_kelvin() -> None:
    """The relative tolerance counts from 0 °C, whatever the unit of the reading."""
    (in_kelvin,) = components("type K class 1", 773.15, "K")
    (in_celsius,) = components("type K class 1", 500.0, "°C")

    assert in_kelvin.contribution == pytest.approx(in_celsius.contribution)


def test_outside_a_thermocouples_range_there_is_no_tolerance() -> None:
    """Class 1 ends at 1000 °C."""
    with pytest.raises(OutsideRange, match="1100 °C is outside the range of a thermocouple type K class 1, -40 °C to"):
        components("type K class 1", 1100.0, "°C")


def test_a_cases_own_tolerance_is_used() -> None:
    """An own value of the table changes what the statement means."""
    own = OwnConstant(id="thermocouple.K.class-1.fixed", source="certificate 12", maximum=0.6)

    statement = parse_accuracy("type K class 1", load_book().with_own([own]))

    (component,) = statement.components(70.0, "°C", id="logger", label="pin")
    assert component.contribution * SQRT3 == pytest.approx(0.6)


def test_units_of_one_kind_may_mix() -> None:
    """A range in V and a resolution in mV serve a reading in mV; the contribution is in the unit of the reading."""
    (component,) = components("0.5 % + 2 digits on 6 V, resolution 1 mV", 500.0, "mV")

    assert component.contribution * SQRT3 == pytest.approx(2.5 + 2.0)


def test_another_kind_of_unit_is_refused() -> None:
    """A statement in V says nothing of a current."""
    with pytest.raises(UnitError, match="'V' is a unit of voltage, but current"):
        components("0.1 V", 1.0, "A")


def test_a_resolution_without_digits_is_quantisation() -> None:
    """Where the statement has no digits, the resolution is not in it and comes on top."""
    limits, step = components("0.5 %, resolution 0.1 V", 230.0, "V")

    assert limits.contribution * SQRT3 == pytest.approx(1.15)
    assert step.contribution == pytest.approx(0.1 / math.sqrt(12.0))


class TestCorrelation:
    """Two readings by one instrument on one range share its limits and not their quantisation."""

    statement = parse_accuracy("1 % of full scale 40 V + 8 bit")
    gain_only = parse_accuracy("1 %")

    def read(self, value: float, label: str, statement: AccuracyStatement | None = None) -> Quantity:
        """A single reading."""
        return (statement or self.statement).apply(Quantity(value, None, "V"), id="scope", label=label)

    def test_the_mean_of_repeats_is_no_surer_of_the_instrument(self) -> None:
        """Ten equal readings on one range keep the limits whole."""
        readings = {f"r{place}": self.read(9.0, f"repeat {place}", self.gain_only) for place in range(10)}

        mean = propagate(lambda **found: sum(found.values()) / len(found), readings, "V")

        assert mean.u == pytest.approx(readings["r0"].u)

    def test_quantisation_is_of_each_reading(self) -> None:
        """The correlation of two levels is that of the shared gain alone."""
        first, second = self.read(9.0, "state B"), self.read(6.0, "state C")

        gain, step = 0.4 / SQRT3, 40.0 / 256.0 / math.sqrt(12.0)
        assert correlation(first, second) == pytest.approx(gain**2 / (gain**2 + step**2))

    def test_a_ratio_on_one_range_is_free_of_the_gain(self) -> None:
        """A share of the reading cancels in a ratio."""
        ratio = propagate(
            lambda above, below: above / below,
            {"above": self.read(9.0, "a", self.gain_only), "below": self.read(6.0, "b", self.gain_only)},
            "1",
        )

        assert ratio.u == pytest.approx(0.0, abs=1e-9)

    def test_a_span_across_zero_carries_the_gain_of_both(self) -> None:
        """From −12 V to +9 V the gain errors add."""
        span = propagate(
            lambda high, low: high - low,
            {"high": self.read(9.0, "high", self.gain_only), "low": self.read(-12.0, "low", self.gain_only)},
            "V",
        )

        assert span.u == pytest.approx(0.01 * 21.0 / SQRT3)

    def test_another_range_and_another_instrument_are_independent(self) -> None:
        """Each range has its adjustment, each instrument its own."""
        low = parse_accuracy("0.5 % + 2 digits on 6 V, resolution 1 mV").apply(
            Quantity(5.0, None, "V"), id="meter", label="a"
        )
        high = parse_accuracy("0.5 % + 2 digits on 60 V, resolution 10 mV").apply(
            Quantity(5.0, None, "V"), id="meter", label="b"
        )
        other = parse_accuracy("0.5 % + 2 digits on 6 V, resolution 1 mV").apply(
            Quantity(5.0, None, "V"), id="other meter", label="c"
        )

        assert correlation(low, high) == 0.0
        assert correlation(low, other) == 0.0

    def test_a_shared_full_scale_is_shared(self) -> None:
        """A full scale given with the entry makes the same variable each time, and another for another setting."""
        statement = parse_accuracy("3 % of full scale")
        first = self.read(9.0, "a", statement.with_full_scale(40.0))
        second = self.read(6.0, "b", statement.with_full_scale(40.0))
        third = self.read(6.0, "c", statement.with_full_scale(16.0))

        assert correlation(first, second) == pytest.approx(1.0)
        assert correlation(first, third) == 0.0


def test_scatter_and_instrument_add_in_squares() -> None:
    """A quantity that has an uncertainty keeps it, with the instrument's on top."""
    reading = Quantity(12.0, 0.3, "V", dof=4.0)

    found = parse_accuracy("U = 0.8 V, k = 2").apply(reading, id="meter", label="level")

    assert found.u == pytest.approx(0.5)
    assert found.dof > 4.0


class TestRemarks:
    """A reading that uses too little of its range earns a remark."""

    statement = parse_accuracy("0.5 % + 2 digits on 600 V, resolution 0.1 V")

    @pytest.mark.published("multimeter rule: below 10 % of the range the manual's extra terms hold (memory)")
    def test_below_a_tenth_of_the_range(self) -> None:
        """59 V on 600 V is remarked on, 60 V is not; the unit of the reading does not matter."""
        assert self.statement.remarks(59.0, "V") == (
            "a reading of 59 V is below 10 % of the range 600 V: the manual may add to the limits there, or give none",
        )
        assert self.statement.remarks(60.0, "V") == ()
        assert self.statement.remarks(-230.0, "V") == ()
        assert len(self.statement.remarks(5000.0, "mV")) == 1

    def test_without_a_range_there_is_nothing_to_remark(self) -> None:
        """A timebase has no range."""
        assert parse_accuracy("50 ppm").remarks(1e-9, "s") == ()


class TestFullScale:
    """A statement that leaves its full scale open gets it from the entry."""

    def test_without_it_the_error_says_where_to_write_it(self) -> None:
        """A share of an unknown full scale is no number."""
        for text in ("3 % of full scale", "8 bit"):
            with pytest.raises(
                InputError, match=r"is a share of a range or full scale that is not given: write it beh"
            ):
                components(text, 1.0, "V")

    def test_a_range_in_the_text_holds(self) -> None:
        """What the statement names itself is not overwritten."""
        (component,) = (
            parse_accuracy("3 % of full scale 40 V")
            .with_full_scale(16.0)
            .components(1.0, "V", id="scope", label="level")
        )

        assert component.contribution * SQRT3 == pytest.approx(1.2)

    @pytest.mark.parametrize("full_scale", [0.0, -1.0, math.inf, math.nan])
    def test_it_must_be_above_zero(self, full_scale: float) -> None:
        """Nothing is read on a screen of no height."""
        with pytest.raises(InputError, match="it must be above 0: give volts over the whole screen"):
            parse_accuracy("3 % of full scale").with_full_scale(full_scale)

    def test_a_scope_completes_its_statement(self) -> None:
        """The full scale of the setting is in the statement that the decoder uses; the timebase is left alone."""
        scope = ScopeAccuracy(
            vertical=parse_accuracy("3 % of full scale + 8 bit"),
            timebase=parse_accuracy("50 ppm"),
            full_scale=40.0,
            id="scope 1",
        )

        assert scope.vertical is not None
        assert scope.vertical.components(6.0, "V", id=scope.id, label="level")[0].contribution == pytest.approx(
            0.693, abs=0.0005
        )
        assert scope.timebase == parse_accuracy("50 ppm")
        assert ScopeAccuracy(timebase=parse_accuracy("50 ppm"), full_scale=40.0).vertical is None


@pytest.mark.parametrize("form", FORMS)
def test_every_form_that_a_message_lists_is_read(form: str) -> None:
    """The list in the error messages is true."""
    assert parse_accuracy(form).parts


@pytest.mark.parametrize(
    ("written", "same"),
    [
        ("+/- (0,5 % rdg + 3 dgt), resolution 0,1 V", "0.5 % of reading + 3 digits, resolution 0.1 V"),
        ("±0.5% of value+3 counts,resolution 0.1V", "0.5 % of reading + 3 digits, resolution 0.1 V"),
        ("3 % FS 40 V + 8-bit", "3 % of full scale 40 V + 8 bit"),
        ("3 % of range on the 40 V range, 8 bit", "3 % of full scale 40 V + 8 bit"),
        ("0.5 % + 2 digits on the 600 V range, resolution 0.1 V", "0.5 % + 2 digits on 600 V, resolution 0.1 V"),
        ("TYPE K CLASS 1", "type K class 1"),
        ("0.05 ‰", "50 ppm"),
    ],
)
def test_spellings_of_one_statement_mean_the_same(written: str, same: str) -> None:
    """Abbreviations of the trade, decimal commas, brackets and look-alike signs change nothing."""
    reading, unit = (70.0, "°C") if "type" in same else (20.0, "s" if "ppm" in same else "V")

    ours, theirs = components(written, reading, unit), components(same, reading, unit)

    assert [one.contribution for one in ours] == pytest.approx([one.contribution for one in theirs])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "the accuracy statement is empty: write one such as '0.5 % of reading"),
        ("about right", "accuracy statement 'about right': 'about right' is not understood; accepted forms: '0.5 %"),
        ("0.5 % + 2 digits", "the value of one digit is missing: add it with its unit, such as 'resolution 0.1 V'"),
        ("U = 0.2 V", "U is given without its factor: add 'k = 2', or whatever the certificate says"),
        ("type K class 9", "no tolerance is known of a thermocouple type K class 9; known: type K class 1, type K cl"),
        ("type Q class 1", "no tolerance is known of a thermocouple type Q class 1"),
        ("1 %; ", "nothing stands on one side of a semicolon"),
        ("1 %,, 8 bit", "nothing stands on one side of a comma"),
        ("0.5 % + 0.5 %", "the share of the reading is given twice"),
        ("1 % on 6 V, range 60 V", "the range is given twice"),
        ("2 % of reading 5 V", "'5 V' stands behind 'of reading': put 'on' before a range"),
        ("1 % on 0 V", "the range is 0 V, it must be above 0"),
        ("0.1 V at 20 %", "a coverage is 20 %, it lies from 50 % to below 100 %"),
        ("8.5 bit", "'8.5 bit': a converter has 1 to 32 bits"),
        ("k = 2", "it states no accuracy"),
        ("0.1 V, k = zero", "k is 'zero', it must be a plain number above 0"),
        ("0.1 V, k = 0", "k is '0', it must be a plain number above 0"),
        ("8 bit, k = 2", "k or a coverage belongs to limits, and there are none"),
        ("0.5 % + 2", "'2' has no unit"),
        ("-1 %", "'-1 %' is below 0"),
        ("0.5 % - 3 digits, resolution 0.1 V", "is not understood"),
        ("1 %, resolution fine", "'fine' is not understood; a value with its unit is needed there"),
        ("1,234 V", "comma before exactly three digits"),
    ],
)
def test_a_bad_statement_is_one_message(text: str, message: str) -> None:
    """What was given, what is wrong with it, and the accepted forms."""
    with pytest.raises(QuantityTextError, match=re.escape(message)) as caught:
        parse_accuracy(text)
    assert FORMS[-1] in str(caught.value)


def test_an_unknown_unit_names_the_statement() -> None:
    """The unit's error says in which statement it stands."""
    with pytest.raises(UnitError, match=r"accuracy statement '0\.1 Vpp': unit 'Vpp' is not used here"):
        parse_accuracy("0.1 Vpp")


@given(
    percent=st.floats(0.001, 10.0).map(lambda number: round(number, 4)),
    digits=st.integers(0, 20),
    reading=st.floats(-600.0, 600.0),
)
def test_the_half_width_is_the_sum_of_the_shares(percent: float, digits: int, reading: float) -> None:
    """Whatever the numbers, the limits are percent of reading plus digits, added linearly, with the reading's sign."""
    (component,) = components(f"{percent} % + {digits} digits on 600 V, resolution 0.1 V", reading, "V")[:1] or (None,)
    width = percent / 100.0 * abs(reading) + 0.1 * digits

    if component is None:
        assert width == 0.0
    elif digits:
        assert abs(component.contribution) * SQRT3 == pytest.approx(width)
        assert math.copysign(1.0, component.contribution) == math.copysign(1.0, reading)


@given(text=st.text(alphabet="0123456789.,%+±()kU=VvAΩ°C bitdgpmoflsrnae;", max_size=30))
def test_any_text_is_read_or_refused_in_one_message(text: str) -> None:
    """No text makes anything but a statement or one of our errors."""
    statement = None
    with contextlib.suppress(QuantityTextError, UnitError):
        statement = parse_accuracy(text)

    assert statement is None or (statement.text == text and statement.parts)
