"""Records to bytes and back, with nothing lost: budgets, shapes, what is shared; for what a program keeps for itself.

:mod:`coldpin.records.plain` writes what people and other programs read, where a quantity is its value and interval.
Here every field is kept. What is read back is built from records and words of this program alone, so that bytes from
somebody else can make a wrong record but run nothing.
"""

from __future__ import annotations

import base64
import dataclasses
import json
import sys
from collections.abc import Mapping
from enum import Enum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import ColdpinError

PROGRAM = "coldpin."


def to_exact(value: object) -> bytes:
    """Return a value as bytes: equal values give equal bytes.

    Parameters
    ----------
    value : object
        Records, tuples, lists, mappings, sets, arrays of numbers, numbers, texts, words, None.

    Returns
    -------
    bytes
        For :func:`from_exact`, and to tell values apart.

    Raises
    ------
    TypeError
        Something in it is none of these, such as a function.

    Examples
    --------
    >>> to_exact((1, 2.5, "V"))
    b'["t",1,2.5,"V"]'
    """
    written = json.dumps(_Writer().written(value), separators=(",", ":"), ensure_ascii=False)
    return written.encode("utf-8", "surrogatepass")


def from_exact(data: bytes) -> Any:
    """Return the value that was written.

    Parameters
    ----------
    data : bytes
        From :func:`to_exact`, by the same program.

    Returns
    -------
    object
        Equal to what was written; records that were one are one again.

    Raises
    ------
    ValueError
        The bytes are none of these, or name what this program has not loaded.

    Examples
    --------
    >>> from_exact(to_exact((1, 2.5, "V")))
    (1, 2.5, 'V')
    """
    try:
        return _Reader().read(json.loads(data.decode("utf-8", "surrogatepass")))
    except (TypeError, KeyError, IndexError, AttributeError, RecursionError, ColdpinError) as error:
        raise ValueError(f"these bytes are no record: {error}") from error


class _Writer:
    """Writes each record once; where it comes again stands its number."""

    def __init__(self) -> None:
        self._numbers: dict[int, int] = {}
        self._held: list[object] = []

    def written(self, value: Any) -> Any:
        if value is None or type(value) in (bool, int, float, str):
            return value
        if isinstance(value, Enum):
            return ["e", _name(type(value)), value.value]
        if isinstance(value, np.ndarray):
            return _array(value)
        if isinstance(value, np.generic):
            return value.item()
        if dataclasses.is_dataclass(value) and not isinstance(value, type):
            return self._record(value)
        return self._several(value)

    def _several(self, value: Any) -> Any:
        if type(value) in (tuple, list):
            return ["t" if type(value) is tuple else "l", *map(self.written, value)]
        if isinstance(value, Mapping):
            return ["d", *([self.written(key), self.written(held)] for key, held in value.items())]
        if isinstance(value, frozenset):
            return ["s", *sorted(map(self.written, value), key=repr)]
        raise TypeError(f"a {type(value).__qualname__} cannot be written")

    def _record(self, value: Any) -> Any:
        number = self._numbers.get(id(value))
        if number is not None:
            return ["r", number]
        members = [self.written(getattr(value, field.name)) for field in dataclasses.fields(value) if field.init]
        self._numbers[id(value)] = len(self._held)
        self._held.append(value)
        return ["o", _name(type(value)), *members]


class _Reader:
    def __init__(self) -> None:
        self._made: list[Any] = []

    def read(self, plain: Any) -> Any:
        if not isinstance(plain, list):
            return plain
        kind, *held = plain
        match kind:
            case "t":
                return tuple(map(self.read, held))
            case "l":
                return list(map(self.read, held))
            case "d":
                return {self.read(key): self.read(value) for key, value in held}
            case "s":
                return frozenset(map(self.read, held))
            case "r":
                return self._made[held[0]]
            case "e":
                return _class(held[0], Enum)(held[1])
            case "a":
                data = np.frombuffer(base64.b64decode(held[2]), dtype=np.dtype(held[0]))
                return data.reshape(held[1]).copy()
            case "o":
                made = self._record(held[0], held[1:])
                self._made.append(made)
                return made
        raise ValueError(f"{str(kind)[:20]!r} is no kind of value")

    def _record(self, name: str, members: list[Any]) -> Any:
        kind = _class(name, object)
        if not dataclasses.is_dataclass(kind):
            raise ValueError(f"{name[:80]!r} is no record")
        names = [field.name for field in dataclasses.fields(kind) if field.init]
        return _make(kind, dict(zip(names, map(self.read, members), strict=True)))


def _array(value: NDArray[Any]) -> Any:
    if value.dtype.hasobject:
        raise TypeError("an array of objects cannot be written")
    return ["a", value.dtype.str, list(value.shape), base64.b64encode(value.tobytes()).decode()]


def _make(kind: Any, members: Mapping[str, Any]) -> Any:
    return kind(**members)


def _name(kind: type) -> str:
    if not kind.__module__.startswith(PROGRAM) or "." in kind.__qualname__:
        raise TypeError(f"a {kind.__module__}.{kind.__qualname__} is no record of this program")
    return f"{kind.__module__}:{kind.__qualname__}"


def _class(name: str, base: type) -> Any:
    """Return a record or a set of words by its name, of what is loaded already: nothing is loaded by it."""
    module, _, held = name.partition(":")
    found = vars(sys.modules[module])[held] if module.startswith(PROGRAM) else None
    if not isinstance(found, type) or not issubclass(found, base) or found.__module__ != module:
        raise ValueError(f"{name[:80]!r} is no record of this program")
    return found
