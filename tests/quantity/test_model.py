"""The record of a quantity: its interval, its JSON form, what it refuses."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from coldpin.errors import InputError
from coldpin.quantity import Quantity, normal, rectangular

finite = st.floats(allow_nan=False, allow_infinity=False, width=32)
quantities = st.builds(
    Quantity,
    finite,
    st.none() | st.floats(0.0, 1e30),
    st.sampled_from(["V", "Ω/km", "1", "%"]),
    dof=st.just(math.inf) | st.floats(1.0, 1e6),
    why=st.sampled_from(["", "not stated", "gauge; unknown"]),
)


@pytest.mark.hand("JSON holds no NaN and no infinity")
@pytest.mark.parametrize(
    ("quantity", "why"),
    [
        (Quantity(12.0, 0.1, "V", dof=9.0), None),
        (Quantity(12.0, 0.1, "V"), "dof: infinite"),
        (Quantity(12.0, None, "V", why="not stated"), "not stated"),
        (Quantity(12.0, None, "V"), "not known"),
        (Quantity(math.nan, None, "V", why="no signal"), "no signal"),
        (Quantity(12.0, 0.1, "V", why="from draws"), "from draws; dof: infinite"),
    ],
)
def test_what_is_null_says_why(quantity: Quantity, why: str | None) -> None:
    """The six members are always there; a null one comes with its reason."""
    plain = quantity.as_json()

    assert list(plain)[:6] == ["value", "u", "unit", "dof", "low", "high"]
    assert plain.get("why") == why
    assert json.loads(json.dumps(plain, allow_nan=False)) == plain


@given(quantity=quantities)
def test_json_round_trip(quantity: Quantity) -> None:
    """Written as JSON and read back a quantity is the same, but for its components."""
    again = Quantity.from_json(json.loads(json.dumps(quantity.as_json(), allow_nan=False)))

    assert again.value == quantity.value
    assert (again.u, again.unit, again.dof, again.low, again.high) == (
        quantity.u,
        quantity.unit,
        quantity.dof,
        quantity.low,
        quantity.high,
    )


@given(quantity=quantities)
def test_pydantic_reads_and_writes_the_same_form(quantity: Quantity) -> None:
    """The schema for records writes what as_json writes and reads it back."""
    adapter = TypeAdapter(Quantity)

    written = adapter.dump_json(quantity)
    assert json.loads(written) == quantity.as_json()
    assert adapter.validate_json(written).as_json() == quantity.as_json()


@pytest.mark.hand("the schema")
def test_the_schema_is_closed() -> None:
    """Unknown members and missing ones are refused, and the JSON schema says what is needed."""
    adapter = TypeAdapter(Quantity)
    plain = Quantity(12.0, 0.1, "V").as_json()

    with pytest.raises(ValidationError, match="volts"):
        adapter.validate_python({**plain, "volts": 1.0})
    with pytest.raises(ValidationError, match="unit"):
        adapter.validate_json('{"value": 1.0, "u": 0.1, "dof": null, "low": 0.8, "high": 1.2}')
    schema = adapter.json_schema(mode="serialization")
    assert "unit" in json.dumps(schema)


@pytest.mark.hand("texts of the errors")
@pytest.mark.parametrize("u", [-0.1, math.nan, math.inf])
def test_an_uncertainty_is_a_number(u: float) -> None:
    """An uncertainty below zero or not finite is refused where it is made, not where it is printed."""
    with pytest.raises(InputError, match=r"the standard uncertainty of 12\.0 V is .*: it must be finite, not below 0"):
        Quantity(12.0, u, "V")


@pytest.mark.hand("half the width")
def test_expanded_uncertainty() -> None:
    """U is half the width of the 95 % interval, whatever the shape, and unknown where u is."""
    assert normal(5.0, 1.0, "V", id="x").expanded == pytest.approx(1.959964)
    assert normal(5.0, 1.0, "V", id="x", dof=4.0).expanded == pytest.approx(2.776445)
    assert rectangular(5.0, 1.0, "V", id="x").expanded == pytest.approx(0.95)
    assert Quantity(5.0, 1.0, "V", low=4.0, high=8.0).expanded == pytest.approx(2.0)
    assert Quantity(5.0, None, "V").expanded is None


@given(quantity=quantities, low=finite, width=st.floats(0.0, 1e6))
def test_probabilities_are_probabilities(quantity: Quantity, low: float, width: float) -> None:
    """A probability lies from 0 to 1, grows with the limits, and is unknown where u is."""
    within = quantity.probability_within(low, low + width)
    below, above = quantity.probability_below(low), quantity.probability_below(low + width)

    if quantity.u is None:
        assert (within, below, above) == (None, None, None)
        return
    assert within is not None
    assert below is not None
    assert above is not None
    assert 0.0 <= within <= 1.0
    assert 0.0 <= below <= above <= 1.0
    assert quantity.probability_within(None, None) == 1.0
