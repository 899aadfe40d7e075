"""What is made of a case beside its page and kept: a plan, a draft. The last one is shown while the next is made."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from coldpin.errors import BeingAssessed, CaseError, UnknownName
from coldpin.web.works import Course, Work, Works

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Made(Generic[T]):
    """What was made last, and whether it is of what it was asked for.

    Parameters
    ----------
    value : object or None
        The last one made; None where none was.
    fresh : bool
        True where it was made of what is asked for now.
    work : Work or None
        What makes the next, while it is made; the one that did not succeed.
    """

    value: T | None = None
    fresh: bool = False
    work: Work | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Itself:
    """Stands for one very thing where others are told from it: an equal one is another, and need not be compared."""

    thing: object

    def __eq__(self, other: object) -> bool:
        """Say whether the other stands for the same thing."""
        return isinstance(other, Itself) and other.thing is self.thing

    def __hash__(self) -> int:
        """Return a number that is the same for the same thing."""
        return id(self.thing)


@dataclass(frozen=True, slots=True)
class _Held(Generic[T]):
    of: object
    value: T | None
    work: str


class Makings(Generic[T]):
    """What was made of the cases of a shelf, the last of each.

    Parameters
    ----------
    works : Works
        Where it is made.
    title : str
        What is done, for a person.
    what : str
        What is done with a case, as in "skerrow-16 is being planned".
    keep : int
        Of how many cases the last one is kept.
    """

    def __init__(self, works: Works, title: str, *, what: str, keep: int) -> None:
        self._works, self._title, self._what, self._keep = works, title, what, keep
        self._lock = threading.Lock()
        self._held: OrderedDict[object, _Held[T]] = OrderedDict()

    def last(self, key: object, of: object) -> Made[T]:
        """Return what was made last, and begin nothing.

        Parameters
        ----------
        key : object
            What it is made for, such as a case's folder.
        of : object
            What it should be made of; compared by equality.

        Returns
        -------
        Made
            At once.
        """
        with self._lock:
            held = self._held.get(key)
        if held is None:
            return Made()
        work = self._work(held)
        return Made(value=held.value, fresh=held.of == of and not held.work, work=work)

    def begin(
        self,
        key: object,
        of: object,
        function: Callable[..., T],
        given: Mapping[str, object],
        *,
        case: str,
        anew: str,
        again: bool = False,
    ) -> Made[T]:
        """Return what was made last, and begin to make it where that is of something else.

        Parameters
        ----------
        key : object
            What it is made for.
        of : object
            What it is made of.
        function : callable
            Makes it; takes ``progress`` beside what is given.
        given : mapping
            Its keyword arguments.
        case : str
            The case it belongs to.
        anew : str
            The address that begins it once more, where it breaks off.
        again : bool
            True to try once more what was stopped or did not succeed.

        Returns
        -------
        Made
            At once, whatever is under way.
        """
        with self._lock:
            held = self._held.get(key)
            work = self._work(held) if held else None
            over = work is None or work.course.ended
            begun = held is not None and held.of == of and (not held.work or not over or not again)
            if not begun:
                work = self._works.start(
                    function,
                    given,
                    title=self._title,
                    case=case,
                    then=lambda made: self._take(key, of, made),
                    again=anew,
                )
                self._held[key] = _Held(of, held.value if held else None, work.id)
                self._held.move_to_end(key)
                while len(self._held) > self._keep:
                    self._held.popitem(last=False)
        return self.last(key, of)

    def need(self, key: object, of: object, *, case: str) -> T:
        """Return what was made of the very thing; nobody waits for it here.

        Parameters
        ----------
        key : object
            What it is made for.
        of : object
            What it is made of; :meth:`begin` was asked for it.
        case : str
            The case it belongs to.

        Returns
        -------
        object
            What was made.

        Raises
        ------
        BeingAssessed
            It is being made.
        CaseError
            It was stopped, or could not be made; the message says why.
        """
        made = self.last(key, of)
        if made.fresh and made.value is not None:
            return made.value
        if made.work is None or made.work.course.broke_off:
            raise CaseError((made.work.message if made.work else "") or f"{self._title} was stopped: ask for it again")
        raise BeingAssessed.by(case, made.work, self._what)

    def _work(self, held: _Held[T]) -> Work | None:
        """Return the work that makes it, if it is not done; nothing of what ended long ago."""
        if not held.work:
            return None
        try:
            work = self._works.of(held.work)
        except UnknownName:
            return None
        return None if work.course is Course.DONE else work

    def _take(self, key: object, of: object, made: T) -> None:
        with self._lock:
            held = self._held.get(key)
            if held is not None and held.of == of:
                self._held[key] = _Held(of, made, "")
