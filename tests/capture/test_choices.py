"""Options by hand are checked before a file is opened."""

from __future__ import annotations

import pytest

from coldpin.capture import CHOICES, parse_choices
from coldpin.capture.choices import Value
from coldpin.errors import CaptureError, UnknownName


def test_the_names_of_the_options() -> None:
    """The names of the options are a promise to other programs."""
    assert " ".join(CHOICES) == (
        "time voltage output separator decimal encoding skip_rows unit step rate scale output_scale format channels "
        "segment"
    )


@pytest.mark.hand("by eye")
@pytest.mark.parametrize(
    ("given", "field", "value"),
    [
        ({"separator": "semicolon"}, "separator", ";"),
        ({"separator": "\t"}, "separator", "\t"),
        ({"separator": "Space"}, "separator", " "),
        ({"decimal": "comma"}, "decimal", ","),
        ({"decimal": "."}, "decimal", "."),
        ({"encoding": "UTF_16LE"}, "encoding", "utf-16-le"),
        ({"encoding": "ISO-8859-1"}, "encoding", "latin-1"),
        ({"skip_rows": 7}, "skip_rows", 7),
        ({"skip_rows": "7"}, "skip_rows", 7),
        ({"step": 1e-6}, "step", 1e-6),
        ({"step": "2.5us"}, "step", 2.5e-6),
        ({"step": "4 µs"}, "step", 4e-6),
        ({"rate": 250000}, "step", 4e-6),
        ({"rate": "250 kHz"}, "step", 4e-6),
        ({"rate": "1 MS/s"}, "step", 1e-6),
        ({"rate": "2 kSa/s"}, "step", 5e-4),
        ({"scale": "10"}, "scale", 10.0),
        ({"unit": "mV"}, "voltage_unit", "mV"),
        ({"unit": "ms; V"}, "time_unit", "ms"),
        ({"voltage": 2}, "voltage", "2"),
        ({"time": " t "}, "time", "t"),
        ({"time": ""}, "time", ""),
    ],
)
def test_values_as_people_type_them(given: dict[str, Value], field: str, value: Value) -> None:
    """Words, signs, numbers as text, units behind numbers."""
    assert getattr(parse_choices(given), field) == value


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (
            {"separator": "pipe"},
            "--separator 'pipe' is not known; allowed: comma, semicolon, tab, space, or the character",
        ),
        ({"decimal": "dash"}, "--decimal 'dash' is not known; allowed: point, comma, or the character"),
        ({"encoding": "klingon"}, "--encoding 'klingon' is not known; allowed: utf-8, latin-1"),
        ({"skip_rows": -1}, "--skip-rows -1 is not a count of lines"),
        ({"skip_rows": 1.5}, "--skip-rows 1.5 is not a count of lines"),
        ({"skip_rows": "many"}, "--skip-rows 'many' is not a count of lines"),
        ({"skip_rows": True}, "--skip-rows True is not a count of lines"),
        ({"step": 0}, "--step is 0; it must be above zero"),
        ({"step": "-1 us"}, "--step is -1e-06; it must be above zero"),
        ({"step": "soon"}, "--step 'soon' is not a number"),
        ({"step": "5 V"}, "--step '5 V': 'V' is a unit of voltage; a step is in d, h, min, s, ms"),
        ({"step": "5 parsec"}, "--step '5 parsec': unknown unit 'parsec'"),
        ({"rate": "1 s"}, "--rate '1 s': 's' is a unit of time; a rate is in Hz"),
        ({"rate": float("inf")}, "--rate 'inf' is not a number"),
        ({"rate": "1e-320"}, "--rate is '1e-320'; its step would be beyond all numbers"),
        ({"step": 1, "rate": 1}, "--step and --rate are both given"),
        ({"scale": 0}, "--scale 0 cannot be meant; it is a factor on the voltage, not zero"),
        ({"scale": "10 V"}, "--scale '10 V' cannot be meant"),
        ({"unit": "A"}, "--unit 'A' is a unit of current; allowed: kV, V, mV"),
        ({"unit": "volz"}, "--unit 'volz': unknown unit 'volz'"),
    ],
)
def test_values_that_cannot_be_meant(given: dict[str, Value], said: str) -> None:
    """Each refusal names the option, the value, and what is allowed."""
    with pytest.raises(CaptureError) as caught:
        parse_choices(given)
    assert said in str(caught.value)


def test_an_unknown_key_is_named_with_the_known_ones() -> None:
    """A key that is no option is an error, not ignored."""
    with pytest.raises(UnknownName, match=r"unknown option of a capture 'seperator'; did you mean 'separator'\?"):
        parse_choices({"seperator": ","})


def test_nothing_said_is_nothing_chosen() -> None:
    """No options are false, any option is true."""
    assert not parse_choices({})
    assert parse_choices({"skip_rows": 0})
