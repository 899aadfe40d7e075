"""The control pilot's windows, zones, segments and generator limits, by edition.

Where two texts differ both values are in the table, each naming the other, and this is which is used:

* state windows: 1 V either way recognises a state in every edition; the narrower figures of SAE J1772, known from
  memory and close to what the tolerances of the parts allow, remark on a level (:func:`expected_levels`);
* duty cycle: 1 percentage point judges, 0.5 remarks; frequency: 2 % judges, 0.5 % remarks;
* the edges of the duty zones follow the edition.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from coldpin.errors import InputError
from coldpin.records.finding import Limit
from coldpin.records.pilot import Meaning
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition
from coldpin.standards.table import Row, needed

_HIGH_LETTERS = ("A", "B", "C", "D", "E")
_OSCILLATING_LETTERS = ("A", "B", "C", "D")


@dataclass(frozen=True, slots=True, kw_only=True)
class StateWindow:
    """The window of a state's level at the output of the supply unit. [V]

    ``letter`` is "A" to "F", ``level`` says which plateau: "high", or "low" while the oscillator runs and in F. The low
    window of B, C and D is the diode check.
    """

    letter: str
    level: Literal["high", "low"]
    minimum: float
    maximum: float
    limit: Limit

    def holds(self, voltage: float) -> bool:
        """Say whether a level lies in the window, edges included.

        Parameters
        ----------
        voltage : float
            The level. [V]

        Returns
        -------
        bool
            True inside.
        """
        return self.minimum <= voltage <= self.maximum


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyZone:
    """A stretch of duty cycles with one meaning for the vehicle. [%]

    Where ``meaning`` is a current, it is ``slope`` times the duty cycle plus ``offset``. [A/%, A]
    "forbidden" is a running oscillator where a vehicle must not charge; "none" is a steady line at 0 % or 100 %.
    """

    low: float
    low_included: bool
    high: float
    high_included: bool
    meaning: Meaning
    slope: float
    offset: float
    limit: Limit

    def holds(self, duty: float) -> bool:
        """Say whether a duty cycle lies in the zone.

        Parameters
        ----------
        duty : float
            The duty cycle. [%]

        Returns
        -------
        bool
            True inside; an edge belongs to one zone only.
        """
        above = duty > self.low or (self.low_included and duty == self.low)
        below = duty < self.high or (self.high_included and duty == self.high)
        return above and below

    def current(self, duty: float) -> float:
        """Return the current that a duty cycle of this zone stands for.

        Parameters
        ----------
        duty : float
            The duty cycle. [%]

        Returns
        -------
        float
            The current; 0 where the zone means none. [A]
        """
        return self.slope * duty + self.offset


@dataclass(frozen=True, slots=True, kw_only=True)
class DutySegment:
    """A span of currents that a supply unit signals by ``duty = slope current + offset``. [A, %/A, %]"""

    low: float
    high: float
    slope: float
    offset: float
    limit: Limit

    def duty(self, current: float) -> float:
        """Return the duty cycle for a current of this segment.

        Parameters
        ----------
        current : float
            The current. [A]

        Returns
        -------
        float
            The duty cycle. [%]
        """
        return self.slope * current + self.offset


@dataclass(frozen=True, slots=True, kw_only=True)
class Generator:
    """The limits of a supply unit's generator.

    ``duty_tolerance`` is in percentage points about the duty cycle of the declared current. What is within a limit and
    beyond its ``_remark`` deserves a sentence, not a judgement.
    """

    high_open: Limit
    low_open: Limit
    frequency: Limit
    frequency_remark: Limit
    duty_tolerance: Limit
    duty_tolerance_remark: Limit
    source_resistance: Limit


def _first(book: Book, *ids: str) -> Limit:
    return book.limit(next((name for name in ids if name in book.rows), ids[-1]))


def _window(letter: str, level: Literal["high", "low"], limit: Limit) -> StateWindow:
    return StateWindow(
        letter=letter,
        level=level,
        minimum=needed(limit, "minimum"),
        maximum=needed(limit, "maximum"),
        limit=limit,
    )


def state_windows(book: Book, edition: Edition) -> tuple[StateWindow, ...]:
    """Return the windows by which the states are recognised.

    A window that the edition itself is not known to give is that of edition 3.0 of IEC 61851-1, and its limit says so.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        The text the unit is judged by.

    Returns
    -------
    tuple of StateWindow
        High windows of A to E, low windows of A to D and F.

    Raises
    ------
    InputError
        An own value of the case leaves a window without an edge.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [(w.letter, w.minimum, w.maximum) for w in state_windows(load_book(), Edition.IEC_2) if w.level == "high"][:2]
    [('A', 11.0, 13.0), ('B', 8.0, 10.0)]

    Sources
    -------
    ``pilot.window.*``.
    """
    high = [
        _window(
            letter, "high", _first(book, f"pilot.window.{letter}.high.{edition}", f"pilot.window.{letter}.high.iec-3")
        )
        for letter in _HIGH_LETTERS
    ]
    low_limit = _first(book, f"pilot.window.low.{edition}", "pilot.window.low.iec-3")
    low = [_window(letter, "low", low_limit) for letter in _OSCILLATING_LETTERS]
    unavailable = _window("F", "low", _first(book, f"pilot.window.F.low.{edition}", "pilot.window.F.low.iec-3"))
    return (*high, *low, unavailable)


def expected_levels(book: Book, edition: Edition) -> tuple[StateWindow, ...]:
    """Return the narrower levels that sound parts keep to; outside them, but in its window, a level earns a remark.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        The text the unit is judged by.

    Returns
    -------
    tuple of StateWindow
        For SAE J1772 its own levels of A to D and the low one; for IEC 61851-1, which prints none, what the tolerances
        of generator, resistors and diode allow in B, C and D.

    Raises
    ------
    InputError
        An own value of the case leaves a level without an edge.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [(w.letter, w.maximum) for w in expected_levels(load_book(), Edition.IEC_3)]
    [('B', 9.59), ('C', 6.53), ('D', 3.28)]

    Sources
    -------
    ``pilot.level.*``, ``pilot.corner.*``.
    """
    if edition is not Edition.SAE:
        return tuple(_window(letter, "high", book.limit(f"pilot.corner.{letter}")) for letter in ("B", "C", "D"))
    high = [_window(letter, "high", book.limit(f"pilot.level.{letter}.high.sae")) for letter in _OSCILLATING_LETTERS]
    low = [_window(letter, "low", book.limit("pilot.level.low.sae")) for letter in (*_OSCILLATING_LETTERS, "F")]
    return (*high, *low)


def _zone(row: Row) -> DutyZone:
    return DutyZone(
        low=needed(row.limit, "minimum"),
        low_included=row.yes("low_included"),
        high=needed(row.limit, "maximum"),
        high_included=row.yes("high_included"),
        meaning=Meaning(row.word("meaning")),
        slope=row.number("slope"),
        offset=row.number("offset"),
        limit=row.limit,
    )


def duty_zones(book: Book, edition: Edition) -> tuple[DutyZone, ...]:
    """Return what every duty cycle from 0 % to 100 % means to a vehicle.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        The text the unit is judged by; both editions of IEC 61851-1 share one set.

    Returns
    -------
    tuple of DutyZone
        Zones in rising order; each duty cycle lies in exactly one.

    Raises
    ------
    InputError
        Own values of the case leave a gap or an overlap between two zones.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [zone.limit.title for zone in duty_zones(load_book(), Edition.IEC_3) if zone.holds(8.0)]
    ['6 A']

    Sources
    -------
    ``pilot.duty-zone.*``.
    """
    suffix = ".sae" if edition is Edition.SAE else ".iec"
    rows = (row for row in book.under("pilot.duty-zone.") if row.limit.id.endswith(suffix))
    zones = sorted(map(_zone, rows), key=lambda zone: (zone.low, zone.high))
    for zone, following in pairwise(zones):
        if zone.high != following.low or zone.high_included == following.low_included:
            raise InputError(
                f"duty zones {zone.limit.id!r} (up to {zone.high:g} %) and {following.limit.id!r} "
                f"(from {following.low:g} %) must meet without gap or overlap: replace both by your own source"
            )
    return tuple(zones)


def duty_segments(book: Book) -> tuple[DutySegment, ...]:
    """Return the two rules by which a supply unit turns a current into a duty cycle; all editions agree on them.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of DutySegment
        Rules in rising order of the current. Just above 51 A no duty cycle stands for the current: the second rule
        gives less than 85 % there, which a vehicle reads by the first (``pilot.duty-gap``).

    Raises
    ------
    InputError
        An own value of the case leaves a segment without an edge.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> first, second = duty_segments(load_book())
    >>> round(first.duty(16.0), 2), second.duty(80.0)
    (26.67, 96.0)

    Sources
    -------
    ``pilot.duty-segment.*``.
    """
    return tuple(
        DutySegment(
            low=needed(row.limit, "minimum"),
            high=needed(row.limit, "maximum"),
            slope=1.0 / row.number("amperes_per_percent"),
            offset=row.number("offset_percent"),
            limit=row.limit,
        )
        for row in book.under("pilot.duty-segment.")
    )


def generator(book: Book, edition: Edition) -> Generator:
    """Return the limits of the generator.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        The text the unit is judged by.

    Returns
    -------
    Generator
        The limits that judge, and those that remark.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> limits = generator(load_book(), Edition.SAE)
    >>> limits.frequency.maximum, limits.duty_tolerance.maximum, limits.duty_tolerance_remark.maximum
    (1020.0, 1.0, 0.5)

    Sources
    -------
    ``pilot.high-open.*``, ``pilot.low-open.*``, ``pilot.frequency.*``, ``pilot.duty-tolerance.*``,
    ``pilot.source-resistance.*``. The tolerances of 0.5 % and 1 percentage point of edition 2.0 serve as said at the
    head of this module.
    """
    judged = Edition.IEC_3 if edition is Edition.IEC_2 else edition
    tolerance = Edition.IEC_3 if edition is Edition.SAE else edition
    return Generator(
        high_open=book.limit(f"pilot.high-open.{edition}"),
        low_open=book.limit(f"pilot.low-open.{edition}"),
        frequency=book.limit(f"pilot.frequency.{judged}"),
        frequency_remark=book.limit("pilot.frequency.iec-2"),
        duty_tolerance=book.limit(f"pilot.duty-tolerance.{tolerance}"),
        duty_tolerance_remark=book.limit("pilot.duty-tolerance.sae"),
        source_resistance=book.limit(f"pilot.source-resistance.{edition}"),
    )
