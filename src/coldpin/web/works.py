"""Long work beside the page: done in a process of its own, told how far it is, stopped when asked.

The page stays usable: nothing that takes long runs where requests are answered. Work that reads or computes runs in a
process of its own, started with a clean memory (spawn), which waits for the next when it is done with one; to stop work
is to end that process, so it holds for a loop in a library too. What work writes goes through :mod:`coldpin.casefile`,
which leaves nothing half written behind a process that was ended.

There are two lanes, each with its process: what a person at the bench waits for with something in hand (a capture being
filed, a wave being opened) does not stand behind an assessment or a report of half a minute.
"""

from __future__ import annotations

import contextlib
import itertools
import multiprocessing
import os
import shutil
import signal
import tempfile
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import partial
from multiprocessing.connection import Connection
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from coldpin.errors import ColdpinError, UnknownName

if TYPE_CHECKING:
    from multiprocessing.context import ForkServerContext, SpawnContext

KEPT = 50
"""Ours: so many pieces of work that ended are remembered, for a page that asks late, beside the last of each key."""

KEPT_LAST = 1000
"""Ours: of so many keys the last piece is remembered when it ended; what is tried on a page is a new key each time."""

COURTESY = 5
"""Ours: by so much a process that works lets the one that answers go first, on a machine of one core too. [nice]"""


class Lane(StrEnum):
    """Which work stands behind which."""

    BENCH = "bench"
    """Seconds, for a person who holds the evidence: filing it, opening it."""
    DESK = "desk"
    """Whatever is reckoned of a whole case, up to minutes."""


START: SpawnContext | ForkServerContext = multiprocessing.get_context("spawn")
"""How the second process begins; tests fork theirs from one that has loaded all already."""


class Course(StrEnum):
    """How far a piece of work is."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    STOPPED = "stopped"
    FAILED = "unfinished"

    @property
    def ended(self) -> bool:
        """True where nothing more comes of it."""
        return self not in (Course.WAITING, Course.RUNNING)

    @property
    def broke_off(self) -> bool:
        """True where it ended without what it was to make."""
        return self in (Course.STOPPED, Course.FAILED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One piece of work as it stands now.

    Parameters
    ----------
    id : str
        Its name among all.
    title : str
        What is done, for a person.
    case : str
        The case it belongs to; empty for none.
    course : Course
        How far it is.
    fraction : float
        Done, 0 to 1. [1]
    message : str
        What went wrong, where something did.
    again : str
        The address of a form that has it done once more, where it broke off; empty where nothing does.
    place : str
        The address that tells what becomes of it; empty where that is the page of its case, or of the shelf.
    waits_for : str
        What is done before it, while it waits; empty where that is not known.
    """

    id: str
    title: str
    case: str = ""
    course: Course = Course.WAITING
    fraction: float = 0.0
    message: str = ""
    again: str = ""
    place: str = ""
    waits_for: str = ""


@dataclass(slots=True)
class _Order:
    """What is to be done, with which the process is told."""

    work: Work
    key: object
    function: Callable[..., object]
    given: Mapping[str, object]
    then: Callable[[Any], object]
    otherwise: Callable[[], None]
    soon: bool
    lane: Lane
    over: threading.Event = field(default_factory=threading.Event)


@dataclass(slots=True)
class _Track:
    """One lane: what is due in it, what is done in it now, and by which process."""

    due: threading.Semaphore = field(default_factory=lambda: threading.Semaphore(0))
    helper: _Helper | None = None
    running: str = ""


class Works:
    """All long work of one server, in each lane one piece at a time, what somebody waits for first, else in order.

    Parameters
    ----------
    told : callable
        Puts what went wrong into the words in which the page tells it.
    """

    def __init__(self, told: Callable[[str], str] = str) -> None:
        self._words = told
        self._lock = threading.Lock()
        self._numbers = itertools.count(1)
        self._orders: dict[str, _Order] = {}
        self._tracks = {lane: _Track() for lane in Lane}
        self._closed = False
        self._threads = [
            threading.Thread(target=self._go, args=(lane, track), name=f"works, {lane}", daemon=True)
            for lane, track in self._tracks.items()
        ]
        for thread in self._threads:
            thread.start()

    def start(
        self,
        function: Callable[..., object],
        given: Mapping[str, object],
        *,
        title: str,
        case: str = "",
        again: str = "",
        place: str = "",
        key: object = None,
        then: Callable[[Any], object] = lambda _: None,
        otherwise: Callable[[], None] = lambda: None,
        soon: bool = True,
        lane: Lane = Lane.DESK,
    ) -> Work:
        """Have something done; what is being done already is not begun twice.

        Parameters
        ----------
        function : callable
            A public function of a module; takes ``progress`` beside what is given.
        given : mapping
            Its keyword arguments.
        title : str
            What is done, for a person.
        case : str
            The case it belongs to.
        again : str
            The address of a form that has it done once more, where it broke off; empty where nothing does.
        place : str
            The address that tells what becomes of it; empty where that is the page of its case, or of the shelf.
        key : object, optional
            Names the work: while one of the same key is not over, that one is returned.
        then : callable
            Called with the result, before the work counts as done.
        otherwise : callable
            Called where it was begun and gave no result, once its process no longer works at it; nothing else of its
            lane is begun meanwhile.
        soon : bool
            True where somebody waits for it; else what somebody waits for goes before it.
        lane : Lane
            Which other work it stands behind.

        Returns
        -------
        Work
            As it stands.
        """
        with self._lock:
            for order in self._orders.values():
                if key is not None and order.key == key and not order.work.course.ended:
                    order.soon = order.soon or soon
                    return order.work
            work = Work(id=str(next(self._numbers)), title=title, case=case, again=again, place=place)
            self._orders[work.id] = _Order(work, key, function, given, then, otherwise, soon, lane)
            self._forget()
        self._tracks[lane].due.release()
        return work

    def of(self, name: str) -> Work:
        """Return a piece of work as it stands.

        Parameters
        ----------
        name : str
            Its id.

        Returns
        -------
        Work
            The work.

        Raises
        ------
        UnknownName
            There is none of that name, or it ended long ago.
        """
        with self._lock:
            if name not in self._orders:
                raise UnknownName.among("work", name, self._orders)
            return self._seen(self._orders[name])

    def now(self, case: str | None = None) -> tuple[Work, ...]:
        """Return the work that is not over.

        Parameters
        ----------
        case : str, optional
            Only what belongs to it.

        Returns
        -------
        tuple of Work
            In the order it was asked for.
        """
        with self._lock:
            every = [self._seen(order) for order in self._orders.values()]
        return tuple(work for work in every if not work.course.ended and case in (None, work.case))

    def _seen(self, order: _Order) -> Work:
        """Return a piece of work with what it waits for: what is done in its lane now."""
        before = self._orders.get(self._tracks[order.lane].running)
        if order.work.course is not Course.WAITING or before is None:
            return order.work
        of = f" of {before.work.case}" if before.work.case not in ("", order.work.case) else ""
        return replace(order.work, waits_for=f"“{before.work.title}”{of}")

    def wait(self, name: str, seconds: float) -> Work:
        """Return a piece of work when it is over, or after a while.

        Parameters
        ----------
        name : str
            Its id.
        seconds : float
            How long at most. [s]

        Returns
        -------
        Work
            As it stands then.

        Raises
        ------
        UnknownName
            There is none of that name.
        """
        with self._lock:
            if name not in self._orders:
                raise UnknownName.among("work", name, self._orders)
            order = self._orders[name]
        order.over.wait(seconds)
        return self.of(name)

    def stop(self, name: str) -> Work:
        """Stop a piece of work, begun or not; what is over stays as it is.

        Parameters
        ----------
        name : str
            Its id.

        Returns
        -------
        Work
            As it stands.

        Raises
        ------
        UnknownName
            There is none of that name.
        """
        with self._lock:
            if name not in self._orders:
                raise UnknownName.among("work", name, self._orders)
            order = self._orders[name]
            if not order.work.course.ended:
                order.work = replace(order.work, course=Course.STOPPED)
                order.over.set()
                track = self._tracks[order.lane]
                if track.running == name and track.helper is not None:
                    track.helper.end()
            return order.work

    def close(self) -> None:
        """End all work and its processes; nothing is taken after."""
        with self._lock:
            self._closed = True
            for order in self._orders.values():
                if not order.work.course.ended:
                    order.work = replace(order.work, course=Course.STOPPED)
                    order.over.set()
            for track in self._tracks.values():
                if track.helper is not None:
                    track.helper.end()
        for track in self._tracks.values():
            track.due.release()
        for thread in self._threads:
            thread.join()
        for track in self._tracks.values():
            if track.helper is not None:
                track.helper.put_away()

    def _forget(self) -> None:
        last = {order.key: name for name, order in self._orders.items() if order.key is not None}
        ended = {name: last.get(order.key) == name for name, order in self._orders.items() if order.work.course.ended}
        for kept, is_last in ((KEPT, False), (KEPT_LAST, True)):
            alike = [name for name, one in ended.items() if one is is_last]
            for name in alike[: max(0, len(alike) - kept)]:
                del self._orders[name]

    def _go(self, lane: Lane, track: _Track) -> None:
        while True:
            track.due.acquire()
            with self._lock:
                if self._closed:
                    return
                every = self._orders.values()
                waiting = [one for one in every if one.lane is lane and one.work.course is Course.WAITING]
                if not waiting:
                    continue
                order = next((one for one in waiting if one.soon), waiting[0])
                order.work = replace(order.work, course=Course.RUNNING)
                track.running = order.work.id
                try:
                    if track.helper is None or not track.helper.alive:
                        if track.helper is not None:
                            track.helper.put_away()
                        track.helper = None
                        track.helper = _Helper()
                except (OSError, RuntimeError) as error:  # no memory or no number left for a process
                    track.helper, why = None, f"no process to work in could be started ({error}): try once more"
                helper = track.helper
            if helper is None:
                self._done(track, order, Course.FAILED, why)
            else:
                self._done(track, order, *helper.do(order.function, order.given, partial(self._told, order)))

    def _told(self, order: _Order, fraction: float) -> None:
        with self._lock:
            if order.work.course is Course.RUNNING:
                order.work = replace(order.work, fraction=min(max(fraction, 0.0), 1.0))

    def _done(self, track: _Track, order: _Order, course: Course, result: object) -> None:
        message = str(result) if course is Course.FAILED else ""
        try:
            if course is Course.DONE:
                order.then(result)
            else:
                order.otherwise()
        except ColdpinError as error:
            course, message = Course.FAILED, message or str(error)
        except Exception as error:  # told on the page as our fault, and what waits behind it is done
            course, message = Course.FAILED, message or _fault(error)
        with self._lock:
            track.running = ""
            if order.work.course is Course.RUNNING:
                full = 1.0 if course is Course.DONE else order.work.fraction
                order.work = replace(order.work, course=course, message=self._words(message), fraction=full)
            order.over.set()


class _Helper:
    """A process that does one thing after the other, and the folder that holds what it keeps aside meanwhile."""

    def __init__(self) -> None:
        self._room = TemporaryDirectory(prefix="coldpin-work-", ignore_cleanup_errors=True)
        ours, its = START.Pipe()
        self._pipe = ours
        self._ended = False
        self._process = START.Process(target=_help, args=(its, self._room.name), name="coldpin work", daemon=True)
        try:
            self._process.start()
        except BaseException:
            self._room.cleanup()
            raise
        its.close()  # so that it alone holds that end, and its death is seen here

    @property
    def alive(self) -> bool:
        return not self._ended and self._process.is_alive()

    def end(self) -> None:
        self._ended = True  # for a moment yet it is alive, and would be given the next piece of work to die over
        self._process.terminate()

    def put_away(self) -> None:
        """Wait until its process is over, and take away what it kept aside."""
        self._process.join()
        self._pipe.close()
        self._room.cleanup()

    def do(
        self, function: Callable[..., object], given: Mapping[str, object], told: Callable[[float], None]
    ) -> tuple[Course, object]:
        """Have something done and wait for it."""
        try:
            self._pipe.send((function, dict(given)))
            while True:
                word, what = self._pipe.recv()
                if word is None:
                    told(what)
                else:
                    return Course(word), what
        except (EOFError, OSError):
            self.put_away()
            return Course.FAILED, "the process that worked ended; nothing that was recorded is lost, try once more"


def _help(pipe: Connection, room: str) -> None:
    """Do what is asked for until nobody asks any more; the whole of a process that works."""
    tempfile.tempdir = room  # so that whatever it keeps aside is gone with it, however it ends
    threading.Thread(target=_end_with_server, args=(room,), daemon=True).start()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who interrupts the server at its terminal means the server
    with contextlib.suppress(AttributeError, OSError):
        os.nice(COURTESY)
    while True:
        try:
            function, given = pipe.recv()
        except EOFError:
            return
        try:
            result = function(**given, progress=lambda part: pipe.send((None, float(part))))
        except ColdpinError as error:
            pipe.send((Course.FAILED.value, str(error)))
        except Exception as error:  # told on the page as our fault, and the process serves on
            pipe.send((Course.FAILED.value, _fault(error)))
        else:
            pipe.send((Course.DONE.value, result))


def _fault(error: Exception) -> str:
    return f"a fault of coldpin ({type(error).__name__}: {error}); please report it"


def _end_with_server(room: str) -> None:
    """End at once where the server was killed: nobody would see what comes of it, and the next server begins anew."""
    parent = multiprocessing.parent_process()
    assert parent is not None, "it was started by a server"
    parent.join()
    shutil.rmtree(room, ignore_errors=True)
    os._exit(1)
