"""Records to JSON and back, and the schema of each: one door, so that every document has one form."""

from __future__ import annotations

import dataclasses
import difflib
import json
from collections.abc import Hashable
from functools import cache
from types import UnionType
from typing import Any, TypeVar, cast, get_args, get_type_hints

from pydantic import ConfigDict, TypeAdapter, ValidationError

from coldpin.errors import CaseError

T = TypeVar("T")

STRICT = ConfigDict(extra="forbid", ser_json_inf_nan="null", allow_inf_nan=True)
"""Set as ``__pydantic_config__`` on records that people or other programs write: unknown keys are errors."""


@cache
def _cached_adapter(kind: Hashable) -> TypeAdapter[Any]:
    return TypeAdapter(cast("Any", kind))


def _adapter(kind: Any) -> TypeAdapter[Any]:
    return _cached_adapter(cast("Hashable", kind))


def to_plain(record: object, kind: Any = None) -> Any:
    """Return a record as dicts, lists, numbers and strings.

    Parameters
    ----------
    record : object
        A frozen record, or a tuple of them.
    kind : type, optional
        What it is, where its own class does not say (a tuple of records).

    Returns
    -------
    object
        What the json module can write; a quantity is always ``{value, u, unit, dof, low, high}``.
    """
    return _adapter(kind or type(record)).dump_python(record, mode="json")


def to_json(record: object, kind: Any = None) -> str:
    """Return a record as indented JSON text with a final newline.

    Parameters
    ----------
    record : object
        A frozen record, or a tuple of them.
    kind : type, optional
        What it is, where its own class does not say.

    Returns
    -------
    str
        JSON in UTF-8 characters, never NaN.
    """
    return json.dumps(to_plain(record, kind), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def from_plain(kind: type[T], plain: object, *, where: str) -> T:
    """Build a record from dicts and lists, or say in one message what is wrong and where.

    Parameters
    ----------
    kind : type
        The record to build.
    plain : object
        What a JSON or TOML reader returned.
    where : str
        How to name the place in a message, such as ``case.toml``.

    Returns
    -------
    object
        The record.

    Raises
    ------
    CaseError
        Something is missing, unknown, or of the wrong type.
    """
    try:
        return cast("T", _adapter(kind).validate_python(plain))
    except ValidationError as error:
        raise CaseError(f"{where}: {describe(error, kind)}") from error


def from_json(kind: type[T], text: str | bytes, *, where: str) -> T:
    """Build a record from JSON text, or say in one message what is wrong and where.

    Parameters
    ----------
    kind : type
        The record to build.
    text : str or bytes
        JSON.
    where : str
        How to name the place in a message, such as a file's name.

    Returns
    -------
    object
        The record.

    Raises
    ------
    CaseError
        The text is not JSON, or something is missing, unknown, or of the wrong type.
    """
    try:
        return cast("T", _adapter(kind).validate_json(text))
    except ValidationError as error:
        raise CaseError(f"{where}: {describe(error, kind)}") from error


def schema_of(kind: Any) -> dict[str, Any]:
    """Return the JSON schema of a record.

    Parameters
    ----------
    kind : type
        The record.

    Returns
    -------
    dict
        JSON Schema 2020-12.
    """
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **_adapter(kind).json_schema(mode="serialization"),
    }


def describe(error: ValidationError, kind: Any = None) -> str:
    """Say in one line what a validation found, where, and how many more there are.

    An unknown key comes first: a misspelt key is also reported as missing, and the misspelling is what helps.

    Parameters
    ----------
    error : ValidationError
        What pydantic raised.
    kind : type, optional
        The record that was to be built; with it, a misspelt key is compared with the keys there are.

    Returns
    -------
    str
        One line: place, what is wrong, what was given.
    """
    problems = sorted(error.errors(include_url=False), key=lambda problem: problem["type"] not in _UNKNOWN_KEY)
    first = problems[0]
    steps = first["loc"]
    place = ".".join(str(step) for step in steps) or "the whole"
    if first["type"] in _UNKNOWN_KEY:
        near = difflib.get_close_matches(str(steps[-1]), _known_keys(kind, steps[:-1]), n=1)
        meant = ".".join(str(step) for step in (*steps[:-1], *near))
        hint = f"did you mean {meant!r}?" if near else "correct the name or take it out"
        said = f"unknown key {_shortened(place)!r}: {hint}"
    elif first["type"] in _ABSENT_KEY:
        said = f"key {place!r} is missing: add it"
    else:
        given = _shortened(repr(first["input"]))
        said = f"{_shortened(place)}: {first['msg'][0].lower()}{first['msg'][1:]}, given {given}"
    more = len(problems) - 1
    return said + (f" (and {more} more)" if more else "")


def _known_keys(kind: Any, steps: tuple[int | str, ...]) -> list[str]:
    """Return the keys of the record that stands at a place inside a record; none where it cannot be told."""
    for step in steps:
        if dataclasses.is_dataclass(kind) and isinstance(step, str):
            kind = get_type_hints(kind).get(step)
        else:
            kind = get_args(kind)[-1 if isinstance(step, str) else 0] if get_args(kind) else None
        if isinstance(kind, UnionType):
            kind = next((choice for choice in get_args(kind) if dataclasses.is_dataclass(choice)), None)
    return [field.name for field in dataclasses.fields(kind)] if dataclasses.is_dataclass(kind) else []


def _shortened(text: str) -> str:
    return text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + "…"


_LONGEST_SHOWN = 100
_UNKNOWN_KEY = ("unexpected_keyword_argument", "extra_forbidden")
_ABSENT_KEY = ("missing", "missing_argument", "missing_keyword_only_argument")
