"""One grammar of numbers and marks, the same on every machine."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.capture.number import grammar_of, read_number, written_digits, written_shape
from coldpin.records.dialect import Dialect

POINT, COMMA = grammar_of(Dialect()), grammar_of(Dialect(decimal_char=","))


@pytest.mark.hand("each text read by eye")
@pytest.mark.parametrize(
    ("text", "value"),
    [("0", 0.0), ("-0.5", -0.5), ("+7", 7.0), (".5", 0.5), ("5.", 5.0), ("1.25E+03", 1250.0), ("2e-6", 2e-6)],
)
def test_a_number_is_sign_digits_fraction_and_power(text: str, value: float) -> None:
    """Every form of a number is read, with the point and with the comma."""
    assert read_number(text) == value
    assert read_number(text.replace(".", ","), ",") == value


@pytest.mark.parametrize(
    "text",
    [
        *(
            "1_000",
            "1 000",
            "1,5",
            "1.234.5",
            "infinity",
            "nan",
            "inf",
            "0x10",
            "1d5",
            "1f",
            "١٢",
            "½",
            "--1",
            "1e",
            "e5",
        ),
        *(".", "-", "", "12V", "1e400", "1\n", "\t1"),
    ],
)
def test_what_other_readers_let_pass_is_no_number(text: str) -> None:
    """Digit groups, words, units, other scripts' digits and values beyond a float are not numbers."""
    assert read_number(text) is None


def test_a_decimal_comma_makes_the_point_no_number() -> None:
    """With a decimal comma declared, a point can only group digits, which is not read."""
    assert read_number("1.5", ",") is None
    assert read_number("1.234,5", ",") is None


@pytest.mark.independent("Python's repr and float")
@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_float_comes_back_to_the_last_bit(value: float) -> None:
    """What is written with enough digits is read as the same float."""
    assert read_number(repr(value)) == value
    assert read_number(repr(value).replace(".", ","), ",") == value


@pytest.mark.parametrize("cell", ["", "NA", "n/a", "NaN", "nan", "-nan", "?", "----", "NULL"])
def test_marks_for_missing(cell: str) -> None:
    """A missing sample is not a number, whatever word says so."""
    assert math.isnan(POINT.value(cell) or math.nan)
    assert POINT.kind(cell) == "missing"


@pytest.mark.parametrize(
    ("cell", "sign"), [("OVLD", 1), ("ol", 1), ("-OL", -1), ("+Over", 1), ("-inf", -1), ("Inf", 1)]
)
def test_marks_for_beyond_range_keep_their_sign(cell: str, sign: int) -> None:
    """Overload is told apart from missing, and above from below."""
    assert POINT.value(cell) == sign * math.inf
    assert POINT.kind(cell) == "overload"


@pytest.mark.published("SCPI 1999, volume 1, 7.2.1.4 and 7.2.1.5, as restated in instruments' programming guides")
def test_the_numbers_that_programmable_instruments_send_are_marks() -> None:
    """9.9E37 is infinity with its sign, 9.91E37 is no value; with any number of digits and either decimal sign."""
    assert [POINT.value(cell) for cell in ("9.9E37", "9.90000E+37", "-9.9E+37")] == [math.inf, math.inf, -math.inf]
    assert COMMA.value("9,9E37") == math.inf
    assert POINT.kind("9.91E+37") == COMMA.kind("9,91E37") == "missing"
    assert POINT.value("9.8E37") == 9.8e37
    assert POINT.value("1e38") == 1e38


def test_a_mark_may_be_a_number() -> None:
    """A dialect may declare 99999 as missing; then it is no sample."""
    grammar = grammar_of(Dialect(missing=("", "99999"), overload=("-1",)))

    assert [grammar.kind(cell) for cell in ("99999", "-1", "99998")] == ["missing", "overload", "number"]
    assert grammar.number_marks() == (-1.0, 99999.0)


@pytest.mark.hand("digits counted by eye")
@pytest.mark.parametrize(
    ("text", "place", "digits", "shape"),
    [
        ("0.0320", -4, 3, (4, 0)),
        ("-12.5", -1, 3, (1, 0)),
        ("120", 0, 3, (0, 0)),
        ("1.50E-06", -8, 3, (2, 2)),
        ("0", 0, 0, (0, 0)),
        ("+1e+10", 10, 1, (0, 2)),
    ],
)
def test_written_digits(text: str, place: int, digits: int, shape: tuple[int, int]) -> None:
    """How a number was written tells how far it was rounded."""
    assert written_digits(text) == (place, digits)
    assert written_shape(text) == shape
