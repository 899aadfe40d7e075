"""Records to bytes and back: nothing lost, nothing run."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.quantity import Component, Quantity, Shape, normal
from coldpin.records.exact import from_exact, to_exact
from coldpin.records.finding import Outcome

NUMBERS = st.one_of(st.integers(), st.floats(allow_nan=False), st.booleans(), st.none(), st.text(max_size=5))
VALUES = st.recursive(
    NUMBERS | st.sampled_from(Outcome) | st.sampled_from(Shape),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.lists(inner, max_size=4).map(tuple)
        | st.dictionaries(st.text(max_size=3), inner, max_size=3)
    ),
    max_leaves=12,
)
COMPONENTS = st.builds(
    Component,
    id=st.text(min_size=1, max_size=4),
    label=st.text(max_size=4),
    contribution=st.floats(1e-6, 1e6),
    dof=st.sampled_from([math.inf, 3.0]),
    shape=st.sampled_from(Shape),
)


def same(one: Any, other: Any) -> bool:
    """Equal, and of the same types throughout."""
    if type(one) is not type(other):
        return False
    if isinstance(one, (tuple, list)):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, dict):
        return list(one) == list(other) and all(same(one[key], other[key]) for key in one)
    return bool(one == other)


@given(VALUES)
def test_values_come_back_as_they_were(value: object) -> None:
    """Equal and of the same kind; whole numbers stay whole, words stay words."""
    assert same(from_exact(to_exact(value)), value)


@given(st.lists(COMPONENTS, max_size=4), st.floats(-1e9, 1e9))
def test_a_quantity_keeps_its_budget(components: list[Component], value: float) -> None:
    """Where the JSON that people read drops it."""
    quantity = Quantity(value, 1.0, "V", components=tuple(components), quantiles=(0.0, value), why="stated")

    assert from_exact(to_exact(quantity)) == quantity


def test_arrays_come_back_to_the_bit() -> None:
    """With type and shape, and as arrays that may be written to."""
    for array in (np.array([[1.5, math.nan]]), np.arange(3, dtype=np.int16), np.zeros((0, 2)), np.array(["a", "bc"])):
        found = from_exact(to_exact((array,)))[0]

        assert (found.dtype, found.shape, found.tobytes()) == (array.dtype, array.shape, array.tobytes())
        assert found.flags.writeable


def test_what_is_one_record_stays_one() -> None:
    """Records that are told apart by being themselves are still the same in both places."""
    held = normal(1.0, 0.1, "V", id="meter")
    first, second, other = from_exact(to_exact((held, held, normal(1.0, 0.1, "V", id="meter"))))

    assert first is second
    assert first is not other


@pytest.mark.parametrize("value", [print, object(), {1, 2}, np.array([object()]), 1j, json.JSONDecoder()])
def test_what_is_no_record_is_refused(value: object) -> None:
    """Functions and foreign objects are not written."""
    with pytest.raises(TypeError, match=r"cannot be written|no record of this program"):
        to_exact((value,))


@pytest.mark.parametrize(
    "plain",
    [
        ["o", "os:system", "true"],
        ["o", "coldpin.records.exact:os", "true"],
        ["o", "coldpin.records.exact:from_exact", "true"],
        ["o", "coldpin.nowhere:Record"],
        ["o", "coldpin.quantity.model:Quantity", 1.0],
        ["o", "coldpin.quantity.model:Quantity", 1.0, -1.0, "V", 1.0, None, None, ["t"], ["t"], ""],
        ["o", "coldpin.errors:InputError", "x"],
        ["e", "coldpin.records.finding:Outcome", "nothing of the kind"],
        ["e", "coldpin.quantity.model:Quantity", 1.0],
        ["r", 0],
        ["a", "O", [1], ""],
        ["x"],
        [],
    ],
)
def test_bytes_from_elsewhere_run_nothing(plain: list[object]) -> None:
    """Only records and words of this program are built, by their own checks."""
    with pytest.raises(ValueError, match=r".+"):
        from_exact(json.dumps(plain).encode())


@given(st.binary(max_size=40))
def test_any_other_bytes_are_refused(data: bytes) -> None:
    """By one kind of error."""
    try:
        from_exact(data)
    except ValueError:
        return
    json.loads(data.decode("utf-8", "surrogatepass"))
