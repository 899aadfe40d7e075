"""Virtual cars: what current a car takes from an offer, moment by moment, by its habits.

A car's current is a course of segments, each (a + b·t)·exp(-t/τ): rests and levels, ramps, tapers. So a month of it is
some hundred segments, its charge is known exactly at any moment, and a log of it costs no more than its rows.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from types import MappingProxyType

import numpy as np

from coldpin.errors import OutsideRange, UnknownName

FOLLOWS: Mapping[str, float | None] = MappingProxyType({"quickly": 2.0, "slowly": 25.0, "never": None})
"""After how long a car takes up another offer; None for never. [s]"""

LEAST_OFFER = 6.0
"""No car draws from an offer below this. [A]"""

SMALL_CHARGE = 1.0e-6
"""What is taken for nothing beside the charge of a car. [A·s]"""

STOPPING_RAMP = 40.0
"""How fast a car takes its current back when it stops in an orderly way. [A/s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualCar:
    """A car's habits.

    It takes ``share`` of the offer, at most ``most`` [A]. Connected it rests for ``wait`` s, then rises by ``ramp``
    [A/s]; to a lowered offer it comes down by ``ramp_down`` [A/s] after what ``follows`` says. It is full after
    ``need`` [Ah], and from ``taper_from`` of that on its current fades with ``taper`` s, to end at ``ends_below`` [A].
    Full it may wake every ``tick_every`` s to draw ``tick`` A for ``tick_for`` s.
    At an unlock it stops ``stops_after`` s later, or goes on where that is None; the lock opens ``releases_after`` s
    after the unlock, and never under current if it stops. After an outage it draws again ``restarts_after`` s later, or
    not at all. Its charger has ``reactive`` var at all times it is connected.
    """

    most: float = 32.0
    share: float = 0.97
    wait: float = 6.0
    ramp: float = 1.5
    ramp_down: float = 8.0
    follows: str = "quickly"
    need: float = 60.0
    taper_from: float = 0.93
    taper: float = 700.0
    ends_below: float = 1.5
    tick: float = 0.0
    tick_every: float = 3600.0
    tick_for: float = 90.0
    stops_after: float | None = 0.6
    releases_after: float = 1.4
    restarts_after: float | None = 20.0
    reactive: float = -110.0

    def __post_init__(self) -> None:
        if self.follows not in FOLLOWS:
            raise UnknownName.among("way in which a car follows its offer", self.follows, FOLLOWS)
        for name in ("most", "ramp", "ramp_down", "need", "taper", "ends_below", "tick_every"):
            if not getattr(self, name) > 0.0:
                raise OutsideRange(f"virtual car: {name} is {getattr(self, name):g}; it must be above zero")
        if not 0.0 < self.share <= 1.2 or not 0.0 < self.taper_from <= 1.0:
            raise OutsideRange("virtual car: share lies above 0 and up to 1.2, taper_from above 0 and up to 1")


CARS: Mapping[str, VirtualCar] = MappingProxyType(
    {
        "prompt": VirtualCar(),
        "slow to follow": VirtualCar(follows="slowly", wait=40.0, ramp=0.2, most=16.0),
        "deaf to the offer": VirtualCar(follows="never", share=1.0),
        "takes more than offered": VirtualCar(share=1.06),
        "unlocks under load": VirtualCar(stops_after=None, releases_after=0.5),
        "does not come back": VirtualCar(restarts_after=None, most=20.0),
        "wakes when full": VirtualCar(tick=3.0, tick_every=2400.0, taper=1500.0),
        "small charger": VirtualCar(most=10.0, share=1.0, need=18.0, reactive=-60.0),
    }
)
"""Cars of different habits, by name."""


def draw_car(rng: np.random.Generator, car: VirtualCar | None = None) -> VirtualCar:
    """Return a car with habits near those of another.

    Parameters
    ----------
    rng : numpy.random.Generator
        Where they come from.
    car : VirtualCar, optional
        The other; one of :data:`CARS` if left out.

    Returns
    -------
    VirtualCar
        The car.

    Examples
    --------
    >>> draw_car(np.random.default_rng(1)) == draw_car(np.random.default_rng(1))
    True
    """
    base = car or list(CARS.values())[int(rng.integers(len(CARS)))]
    spread = [float(one) for one in rng.uniform(0.7, 1.4, 5)]
    return replace(
        base,
        wait=base.wait * spread[0],
        ramp=base.ramp * spread[1],
        need=base.need * spread[2],
        taper=base.taper * spread[3],
        reactive=base.reactive * spread[4],
        share=min(1.1, base.share * float(rng.uniform(0.985, 1.01))),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One time at the connector.

    ``plugged`` and ``unplugged`` in seconds of the run; ``offer``: from when on so many amperes are offered, 0 for no
    offer. At ``unlock`` somebody unlocks the car [s].
    """

    plugged: float
    unplugged: float
    offer: Sequence[tuple[float, float]]
    unlock: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """A stretch of a car's current: (level + slope·t)·exp(-t·fade), t from its start. [A], [A/s], [1/s]

    ``kind``: "away", "resting", "ramp", "level", "taper" or "supply lost".
    """

    start: float
    end: float
    kind: str
    level: float = 0.0
    slope: float = 0.0
    fade: float = 0.0

    def current_at(self, seconds: float) -> float:
        """Return the current some time after the segment began.

        Parameters
        ----------
        seconds : float
            From its start. [s]

        Returns
        -------
        float
            Current. [A]
        """
        return (self.level + self.slope * seconds) * math.exp(-self.fade * seconds)

    @property
    def charge(self) -> float:
        """What went through it. [A·s]"""
        lasts = self.end - self.start
        if self.fade:
            return self.level * (1.0 - math.exp(-self.fade * lasts)) / self.fade
        return self.level * lasts + 0.5 * self.slope * lasts**2


@dataclass(frozen=True, slots=True, kw_only=True)
class CarEvent:
    """Something that happened: "plugged in", "offer lowered", "offer raised", "unlock", "lock released" and so on.

    ``current`` is what the car drew at that moment. [s], [A]
    """

    kind: str
    at: float
    current: float


def course_of(
    car: VirtualCar, visits: Sequence[Visit], *, seconds: float, outages: Sequence[tuple[float, float]] = ()
) -> tuple[tuple[Segment, ...], tuple[CarEvent, ...]]:
    """Return what current a car takes, visit after visit.

    Parameters
    ----------
    car : VirtualCar
        The car; each visit finds it as empty as the first.
    visits : sequence of Visit
        In order, none over another.
    seconds : float
        How long the run lasts. [s]
    outages : sequence of (float, float)
        From when to when the supply is lost, in order. [s]

    Returns
    -------
    tuple of segments and of events
        Segments without a gap from 0 to the end, and what happened.

    Raises
    ------
    OutsideRange
        Visits or outages are out of order, or reach beyond the run.

    Examples
    --------
    >>> segments, _ = course_of(VirtualCar(), [Visit(plugged=10.0, unplugged=90.0, offer=[(0.0, 16.0)])], seconds=100.0)
    >>> [segment.kind for segment in segments]
    ['away', 'resting', 'ramp', 'level', 'away']
    """
    edges = [edge for visit in visits for edge in (visit.plugged, visit.unplugged)]
    lost = [edge for outage in outages for edge in outage]
    for named, times in (("visits", edges), ("outages", lost)):
        if any(a >= b for a, b in pairwise(times)) or (times and not 0 <= times[0] <= times[-1] <= seconds):
            raise OutsideRange(f"virtual car: {named} must follow one another within the run of {seconds:g} s")
    course = _Course(car)
    for visit in visits:
        course.away(visit.plugged, outages)
        course.visit(visit, outages)
    course.away(seconds, outages)
    return tuple(course.segments), tuple(sorted(course.events, key=lambda event: event.at))


class _Course:
    """A car at the connector: where it is in time, what it draws, what it still needs."""

    def __init__(self, car: VirtualCar) -> None:
        self.car = car
        self.segments: list[Segment] = []
        self.events: list[CarEvent] = []
        self.now = 0.0
        self.current = 0.0
        self.left = 0.0
        self.offer = 0.0
        self.ready_at = math.inf
        self.full = False
        self.powered = True

    def away(self, until: float, outages: Sequence[tuple[float, float]]) -> None:
        """Let nothing be connected until then."""
        self.current = 0.0
        for start, end in outages:
            if self.now < end and start < until:
                self._add(max(self.now, start), "away")
                self._add(min(end, until), "supply lost")
        self._add(until, "away")

    def visit(self, visit: Visit, outages: Sequence[tuple[float, float]]) -> None:
        """Go through one visit, event by event."""
        car = self.car
        self.left, self.full, self.offer = 3600.0 * car.need, False, 0.0
        self.ready_at, self.powered = math.inf, True
        self._note("plugged in", visit.plugged)
        for when, what, value in self._happenings(visit, outages):
            at = min(max(when, visit.plugged), visit.unplugged)
            self._draw(at)
            if when >= visit.unplugged:
                break
            self._happen(what, value)
        self._draw(visit.unplugged)
        self._note("unplugged", visit.unplugged)

    def _happenings(self, visit: Visit, outages: Sequence[tuple[float, float]]) -> list[tuple[float, str, float]]:
        car, found = self.car, []
        before = 0.0
        for when, amperes in visit.offer:
            begins = max(when, visit.plugged)
            first_or_none = before < LEAST_OFFER or amperes < LEAST_OFFER
            delay = 0.0 if first_or_none else FOLLOWS[car.follows]
            if before and amperes != before:
                found.append((begins, "offer lowered" if amperes < before else "offer raised", amperes))
            if delay is not None:
                found.append((begins + delay, "takes up", amperes))
            before = amperes
        for start, end in outages:
            if visit.plugged < end and start < visit.unplugged:
                found += [(start, "breaker off", 0.0), (end, "breaker on", 0.0)]
        if visit.unlock is not None:
            found.append((visit.unlock, "unlock", 0.0))
            if car.stops_after is not None:
                found.append((visit.unlock + car.stops_after, "stops", 0.0))
            found.append((visit.unlock + car.releases_after, "lock released", 0.0))
        return sorted(found, key=lambda one: one[0])

    def _happen(self, what: str, value: float) -> None:
        car = self.car
        match what:
            case "takes up":
                if value < LEAST_OFFER or self.offer < LEAST_OFFER:
                    self.ready_at = self.now + car.wait if value >= LEAST_OFFER else math.inf
                self.offer = value
            case "stops":
                self.ready_at, self.full = math.inf, True
            case "breaker off":
                self._note(what, self.now)
                self.current, self.powered = 0.0, False
            case "breaker on":
                stays = car.restarts_after is None or self.full or self.offer < LEAST_OFFER
                self.ready_at = math.inf if stays or car.restarts_after is None else self.now + car.restarts_after
                self.powered = True
                self._note(what, self.now)
            case _:
                self._note(what, self.now)

    def _draw(self, until: float) -> None:
        """Go on as it is until something happens."""
        while self.now < until:
            if not self.powered:
                self._add(until, "supply lost")
            elif self.current <= 0.0 and self.full and self.car.tick > 0.0 and self.ready_at < math.inf:
                self._tick(until)
            elif self.full or self.now < self.ready_at:
                self._rest(until)
            else:
                self._take(until)

    def _rest(self, until: float) -> None:
        if self.current > 0.0:
            self._ramp(0.0, STOPPING_RAMP, until)
        else:
            self._add(until if self.full else min(until, self.ready_at), "resting")

    def _tick(self, until: float) -> None:
        begins = self.now + self.car.tick_every - self.car.tick_for
        self._add(min(until, begins), "resting")
        if self.now < until:
            self._add(min(until, begins + self.car.tick_for), "level", level=self.car.tick)
            self.current = 0.0

    def _take(self, until: float) -> None:
        car = self.car
        aim = min(car.most, car.share * self.offer)
        tapers_at = 3600.0 * car.need * (1.0 - car.taper_from)
        fading = self.left <= tapers_at + SMALL_CHARGE
        if self.current > aim * (1.0 + 1e-12):
            self._ramp(aim, car.ramp_down, until)
        elif fading and self.current <= car.ends_below * (1.0 + 1e-12):
            self.full = True
        elif fading:
            lasts = car.taper * math.log(self.current / car.ends_below)
            self._add(min(until, self.now + lasts), "taper", level=self.current, fade=1.0 / car.taper)
        elif self.current < aim * (1.0 - 1e-12):
            self._ramp(
                aim, car.ramp, min(until, self.now + _time_to_draw(self.left - tapers_at, self.current, car.ramp))
            )
        else:
            lasts = (self.left - tapers_at) / self.current
            self._add(min(until, self.now + lasts), "level", level=self.current)
            if self.now < until:
                self.left = tapers_at

    def _ramp(self, aim: float, rate: float, until: float) -> None:
        lasts = abs(aim - self.current) / rate
        slope = math.copysign(rate, aim - self.current)
        arrives = self.now + lasts
        self._add(min(until, arrives), "ramp", level=self.current, slope=slope)
        if arrives <= until:
            self.current = aim

    def _add(self, until: float, kind: str, *, level: float = 0.0, slope: float = 0.0, fade: float = 0.0) -> None:
        if until <= self.now:
            return
        segment = Segment(start=self.now, end=until, kind=kind, level=level, slope=slope, fade=fade)
        self.left -= segment.charge
        before = self.segments[-1] if self.segments else None
        goes_on = before is not None and before == replace(segment, start=before.start, end=before.end)
        if before is not None and goes_on and not slope and not fade:
            self.segments[-1] = replace(before, end=until)
        else:
            self.segments.append(segment)
        self.now, self.current = until, segment.current_at(until - segment.start)

    def _note(self, kind: str, at: float) -> None:
        self.events.append(CarEvent(kind=kind, at=at, current=self.current))


def _time_to_draw(charge: float, current: float, ramp: float) -> float:
    """Return how long a rising current takes to bring a charge. [s]"""
    return (math.sqrt(current**2 + 2.0 * ramp * max(charge, 0.0)) - current) / ramp
