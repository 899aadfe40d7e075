"""Two records of one case held beside each other: as it was bundled, and as it is computed anew."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from coldpin.records.bundle import Difference, Recomputed

TOLERANCE = 0.01
"""Ours: a version that computes in another way may move a value by a hundredth of its standard uncertainty."""

MOST_SHOWN = 200
"""Ours: so many differences are listed; more say nothing further of what is wrong."""

_QUANTITY = {"value", "u", "unit", "dof", "low", "high"}
_NUMBERS = ("value", "u")
_ENDS = ("low", "high")
_JUDGED = ("findings", "functions", "scenarios", "conditions_of_use")
_DECIDES = {"outcome", "state", "reach", "answer", "decisive", "absence", "level", "band", "edition", "limiting"}
"""Members that say what is found or concluded: another version may word a sentence anew, these it may not change."""

_IDENTITIES = ("id", "check", "entry", "name")
_VERSIONS = ("program_version",)
_LONGEST = 120


def compare_records(
    bundled: Mapping[str, Any], anew: Mapping[str, Any], *, same_version: bool
) -> tuple[Recomputed, tuple[Difference, ...]]:
    """Compare a record with the one computed anew: wholly where one version made both, else what it finds.

    Parameters
    ----------
    bundled : mapping
        The record as it was packed, as JSON says it.
    anew : mapping
        The record computed from the evidence beside it.
    same_version : bool
        Whether the same version of the program made both.

    Returns
    -------
    tuple of Recomputed and tuple of Difference
        How they compare, and each place where they do not.

    Examples
    --------
    >>> quantity = {"value": 1.0, "u": 0.1, "unit": "V", "dof": 5.0, "low": 0.8, "high": 1.2}
    >>> moved = {"findings": [{"id": "a", "quantity": {**quantity, "value": 1.0005}}]}
    >>> compare_records({"findings": [{"id": "a", "quantity": quantity}]}, moved, same_version=False)[0].value
    'within a hundredth of u'
    """
    every = [found for found in _walk(bundled, anew, "") if found.place not in _VERSIONS]
    if same_version:
        return (Recomputed.DIFFERS if every else Recomputed.EQUAL), tuple(every)
    told = tuple(found for found in every if _matters(found))
    if told:
        return Recomputed.DIFFERS, told
    return (Recomputed.WITHIN_TOLERANCE if every else Recomputed.EQUAL), ()


def _matters(found: Difference) -> bool:
    """Say whether a difference between two versions is more than wording, rounding or a new chapter."""
    parts = found.place.split(".")
    if found.share_of_u is not None:
        # the ends of an interval follow from value and u, and say nothing of their own
        return parts[-1] in _NUMBERS and found.share_of_u > TOLERANCE
    is_item = len(parts) == len(("findings", "its id")) and parts[0] in _JUDGED
    return parts[-1] in _DECIDES or is_item or any(part in _DECIDES for part in parts[1:-1]) or _is_quantity(parts)


def _is_quantity(parts: list[str]) -> bool:
    """Say whether a number of a quantity changed that cannot be told in parts of an uncertainty."""
    return parts[-1] in (*_NUMBERS, *_ENDS, "unit")


def _walk(one: Any, other: Any, place: str) -> Iterator[Difference]:
    if isinstance(one, dict) and isinstance(other, dict):
        if one.keys() >= _QUANTITY and other.keys() >= _QUANTITY:
            yield from _quantities(one, other, place)
            return
        for key in (*one, *(key for key in other if key not in one)):
            inner = f"{place}.{key}" if place else str(key)
            yield from _member(one, other, key, inner)
    elif isinstance(one, list) and isinstance(other, list):
        before, after = _items(one), _items(other)
        for key in (*before, *(key for key in after if key not in before)):
            yield from _member(before, after, key, f"{place}.{key}")
    elif one != other or type(one) is not type(other):
        yield Difference(place=place, bundled=_shown(one), recomputed=_shown(other))


def _member(one: Mapping[str, Any], other: Mapping[str, Any], key: str, place: str) -> Iterator[Difference]:
    if key not in other:
        yield Difference(place=place, bundled=_shown(one[key]), recomputed="not there")
    elif key not in one:
        yield Difference(place=place, bundled="not there", recomputed=_shown(other[key]))
    else:
        yield from _walk(one[key], other[key], place)


def _quantities(one: Mapping[str, Any], other: Mapping[str, Any], place: str) -> Iterator[Difference]:
    """Compare two quantities; what moves is told in parts of the smaller of their two uncertainties."""
    for key in (*one, *(key for key in other if key not in one)):
        before: Any = one.get(key)
        after: Any = other.get(key)
        if before == after:
            continue
        share = None
        if key in (*_NUMBERS, *_ENDS) and None not in (before, after, one["u"], other["u"]):
            u = min(float(one["u"]), float(other["u"]))
            share = abs(float(after) - float(before)) / u if u > 0.0 else None
        yield Difference(place=f"{place}.{key}", bundled=_shown(before), recomputed=_shown(after), share_of_u=share)


def _items(items: list[Any]) -> dict[str, Any]:
    """Return the items of a list by what they are called, else by their place."""
    found: dict[str, Any] = {}
    for number, item in enumerate(items):
        name = next((item[key] for key in _IDENTITIES if isinstance(item, dict) and isinstance(item.get(key), str)), "")
        found[name if name and name not in found else f"{number}"] = item
    return found


def _shown(value: Any) -> str:
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"
