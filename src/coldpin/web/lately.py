"""What was made lately and is kept in memory, so much of it and no more."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Hashable
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class Lately(Generic[K, V]):
    """What was made lately, by what it was made of; what nobody asked for the longest is forgotten first.

    Parameters
    ----------
    most : int
        How much is kept. [1]

    Examples
    --------
    >>> held = Lately[str, int](2)
    >>> for word in ("one", "three", "eleven"):
    ...     _ = held.keep(word, len(word))
    >>> held.get("one"), held.get("eleven")
    (None, 6)
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._lock = threading.Lock()
        self._held: OrderedDict[K, V] = OrderedDict()

    def get(self, key: K) -> V | None:
        """Return what was made of something.

        Parameters
        ----------
        key : hashable
            What it was made of.

        Returns
        -------
        object or None
            None where it was not made, or is forgotten.
        """
        with self._lock:
            if key not in self._held:
                return None
            self._held.move_to_end(key)
            return self._held[key]

    def keep(self, key: K, value: V) -> V:
        """Keep what was made, and forget what is too much.

        Parameters
        ----------
        key : hashable
            What it was made of.
        value : object
            What was made.

        Returns
        -------
        object
            The same.
        """
        with self._lock:
            self._held[key] = value
            self._held.move_to_end(key)
            while len(self._held) > self._most:
                self._held.popitem(last=False)
        return value

    def forget(self, key: K) -> None:
        """Forget what was made of something, where it is kept.

        Parameters
        ----------
        key : hashable
            What it was made of.
        """
        with self._lock:
            self._held.pop(key, None)
