"""Parts of an assessment kept in a case's cache, each by all that it is made of: one more entry computes little anew.

A piece is found by the hash of what it was made of and of the program that made it, so an old one is never taken for
what would be made now. It is believed only when whole; the disk may refuse it, which costs time and nothing else.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from coldpin.casefile.cache import MOST_KEPT, Cache
from coldpin.records.exact import from_exact, to_exact

T = TypeVar("T")

LARGEST = MOST_KEPT // 8
"""Ours: a larger piece would take the room of all others, and is made again. [bytes]"""

_PIECE, _SHA256 = "piece", "sha256"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Keeps pieces; it is a :class:`coldpin.records.keeping.Keeping`.

    Parameters
    ----------
    cache : Cache
        Where.
    program : str
        The program with its tables, interpreter and libraries, in words that change when any of them does.
    turn : callable
        Entered with the key of a piece before it is looked for, and left when it is there: where two programs make the
        pieces of one case, one can wait for the other.
    """

    cache: Cache
    program: str
    turn: Callable[[str], AbstractContextManager[None]] = lambda _: nullcontext()

    def __call__(
        self, what: str, given: object, make: Callable[[], T], *, unchanged: Callable[[], bool] = lambda: True
    ) -> T:
        """Return a piece that was kept, else make it and keep it.

        Parameters
        ----------
        what : str
            What is made; one name for one way of making it.
        given : object
            All that it is made of.
        make : callable
            Makes it.
        unchanged : callable
            Asked after it was made: where what was given changed meanwhile, nothing is kept.

        Returns
        -------
        object
            The piece.

        """
        try:
            key = hashlib.sha256(to_exact((self.program, what, given))).hexdigest()
        except TypeError:
            return make()  # made of something that is no record: not to be told apart, so not kept
        with self.turn(key):
            return self._made(key, make, unchanged)

    def _made(self, key: str, make: Callable[[], T], unchanged: Callable[[], bool]) -> T:
        data = self._loaded(key)
        if data is not None:
            try:
                kept: T = from_exact(data)
            except ValueError:
                pass  # of a program that named its records otherwise
            else:
                return kept
        made = make()
        try:
            written = to_exact(made)
        except TypeError:
            return made
        if len(written) <= LARGEST and unchanged():
            self.cache.store(
                key, {_PIECE: np.frombuffer(written, dtype=np.uint8), _SHA256: np.array(_hash(key, written))}
            )
        return made

    def _loaded(self, key: str) -> bytes | None:
        held = self.cache.load(key)
        if held is None or set(held) != {_PIECE, _SHA256}:
            return None
        data = held[_PIECE].tobytes()
        return data if str(held[_SHA256]) == _hash(key, data) else None


def _hash(key: str, data: bytes) -> str:
    return hashlib.sha256(key.encode() + data).hexdigest()
