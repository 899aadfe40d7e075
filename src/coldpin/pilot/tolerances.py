"""Which levels the tolerances of the parts allow: at the worst corner, and as likely; and what boundary loads give."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from coldpin.pilot.circuit import Number, level, parallel, shorted_level
from coldpin.pilot.vehicle_side import quantity_of
from coldpin.quantity import Quantity, propagate
from coldpin.records.boundary import BoundaryAnswer, BoundaryChart, BoundaryWindow
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition
from coldpin.standards.pilot import generator
from coldpin.standards.table import needed
from coldpin.standards.vehicle import boundary_loads, vehicle_parts

LOADED = ("B", "C", "D")
"""The states in which the vehicle loads the pilot."""

CURVE_POINTS = 1 << 7
"""Ours: points of the curve of the level over the load; finer ones lie under the width of a line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelSpan:
    """The level of one state as the tolerances of the parts allow it.

    ``nominal`` is that of nominal parts, ``lowest`` and ``highest`` those of the worst corners: every part at an end of
    its tolerance at once. ``likely`` takes the parts as independent, each anywhere within its tolerance; its 95 %
    interval is narrower, and it does not hold for a maker who buys one batch with one error. [V]
    """

    state: str
    nominal: float
    lowest: float
    highest: float
    likely: Quantity


def high_of(*, rail: Number, source_resistance: Number, r2: Number, r3: Number, drop: Number) -> Number:
    """Return the high level of a vehicle's R2 with R3 in parallel behind a diode.

    Parameters
    ----------
    rail : float or array of shape (n,)
        Open-circuit level. [V]
    source_resistance : float or array of shape (n,)
        R1. [Ω]
    r2 : float or array of shape (n,)
        R2. [Ω]
    r3 : float or array of shape (n,)
        R3; infinite in state B. [Ω]
    drop : float or array of shape (n,)
        The diode's drop. [V]

    Returns
    -------
    float or array of shape (n,)
        The level. [V]

    Examples
    --------
    >>> f"{high_of(rail=12.0, source_resistance=1000.0, r2=2740.0, r3=1300.0, drop=0.7):.2f}"
    '5.99'
    """
    return level(rail=rail, source_resistance=source_resistance, behind=parallel(r2, r3), drop=drop)


def shorted_low_of(*, rail: Number, source_resistance: Number, r2: Number, r3: Number) -> Number:
    """Return the low level of a vehicle whose diode is shorted.

    Parameters
    ----------
    rail : float or array of shape (n,)
        Low open-circuit level. [V]
    source_resistance : float or array of shape (n,)
        R1. [Ω]
    r2 : float or array of shape (n,)
        R2. [Ω]
    r3 : float or array of shape (n,)
        R3; infinite in state B. [Ω]

    Returns
    -------
    float or array of shape (n,)
        The level. [V]

    Examples
    --------
    >>> f"{shorted_low_of(rail=-12.0, source_resistance=1000.0, r2=2740.0, r3=270.0):.2f}"
    '-2.37'
    """
    return shorted_level(rail=rail, source_resistance=source_resistance, load=parallel(r2, r3))


def with_tolerance(limit: Limit, percent: float) -> Limit:
    """Return a part with another tolerance about its nominal value.

    Parameters
    ----------
    limit : Limit
        With a nominal value.
    percent : float
        The tolerance, either way. [%]

    Returns
    -------
    Limit
        The same part; its note says what was done.

    Raises
    ------
    InputError
        The limit has no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> with_tolerance(load_book().limit("pilot.vehicle.r2"), 1.0).maximum
    2767.4
    """
    nominal = needed(limit, "nominal")
    part = percent / 100.0
    # rounded to a millionth of an ohm: what binary fractions add is no tolerance
    ends = (round(nominal * (1.0 - part), 6), round(nominal * (1.0 + part), 6))
    return replace(limit, minimum=ends[0], maximum=ends[1], note=f"Taken with {percent:g} % either way.")


def span_of(state: str, formula: Callable[..., object], parts: Mapping[str, Limit]) -> LevelSpan:
    """Return what the tolerances of parts make of a formula that rises or falls steadily with each of them.

    Parameters
    ----------
    state : str
        The state, as its name in the result.
    formula : callable
        Takes the names of ``parts`` as keywords, numbers or arrays, and returns a level.
    parts : mapping of str to Limit
        Minimum, nominal and maximum of each.

    Returns
    -------
    LevelSpan
        Nominal, corners and likely interval. [V]

    Raises
    ------
    InputError
        A part lacks one of its three numbers.
    """
    ends = [(needed(part, "minimum"), needed(part, "maximum")) for part in parts.values()]
    corners = np.array(list(itertools.product(*ends)), dtype=np.float64)
    levels = np.asarray(formula(**dict(zip(parts, corners.T, strict=True))), dtype=np.float64)
    nominal = np.asarray(formula(**{name: needed(part, "nominal") for name, part in parts.items()}))
    likely = propagate(formula, {name: quantity_of(part, part.id) for name, part in parts.items()}, "V")
    return LevelSpan(
        state=state,
        nominal=float(nominal),
        lowest=float(levels.min()),
        highest=float(levels.max()),
        likely=likely,
    )


def high_levels(book: Book, edition: Edition, *, load_tolerance: float | None = None) -> tuple[LevelSpan, ...]:
    """Return the high levels of B, C and D that the tolerances of generator, source, resistors and diode allow.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        Whose generator.
    load_tolerance : float, optional
        Tolerance of R2 and R3, for a bench load of better resistors; that of a vehicle where left out. [%]

    Returns
    -------
    tuple of LevelSpan
        For B, C and D. [V]

    Raises
    ------
    InputError
        An own value of the case leaves a part without one of its numbers.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [f"{span.state} {span.lowest:.2f} {span.highest:.2f}" for span in high_levels(load_book(), Edition.IEC_3)]
    ['B 8.37 9.59', 'C 5.47 6.53', 'D 2.59 3.28']

    Sources
    -------
    ``pilot.high-open.*``, ``pilot.source-resistance.*``, ``pilot.vehicle.*``.
    """
    limits = generator(book, edition)
    source = {"rail": limits.high_open, "source_resistance": limits.source_resistance}
    drop = vehicle_parts(book).drop
    spans = []
    for state in LOADED:
        resistors = _resistors(book, state, load_tolerance)
        spans.append(span_of(state, _of(high_of, resistors), {**source, **resistors, "drop": drop}))
    return tuple(spans)


def shorted_low_levels(book: Book, edition: Edition, *, load_tolerance: float | None = None) -> tuple[LevelSpan, ...]:
    """Return the low levels of B, C and D with the vehicle's diode shorted, as the tolerances allow them.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        Whose generator.
    load_tolerance : float, optional
        Tolerance of R2 and R3; that of a vehicle where left out. [%]

    Returns
    -------
    tuple of LevelSpan
        For B, C and D; a unit that sees one of them must not close. [V]

    Raises
    ------
    InputError
        An own value of the case leaves a part without one of its numbers.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [f"{span.state} {span.lowest:.2f}" for span in shorted_low_levels(load_book(), Edition.IEC_3)]
    ['B -9.38', 'C -6.09', 'D -2.61']

    Sources
    -------
    ``pilot.low-open.*``, ``pilot.source-resistance.*``, ``pilot.vehicle.*``.
    """
    limits = generator(book, edition)
    source = {"rail": limits.low_open, "source_resistance": limits.source_resistance}
    spans = []
    for state in LOADED:
        resistors = _resistors(book, state, load_tolerance)
        spans.append(span_of(state, _of(shorted_low_of, resistors), {**source, **resistors}))
    return tuple(spans)


def _resistors(book: Book, state: str, tolerance: float | None) -> dict[str, Limit]:
    parts = vehicle_parts(book)
    r3 = parts.r3(state)
    found = {"r2": parts.r2} if r3 is None else {"r2": parts.r2, "r3": r3}
    if tolerance is None:
        return found
    return {name: with_tolerance(part, tolerance) for name, part in found.items()}


def _of(formula: Callable[..., object], resistors: Mapping[str, Limit]) -> Callable[..., object]:
    """Return a formula of R2 and R3 as one of the resistors there are."""
    return formula if "r3" in resistors else partial(formula, r3=math.inf)


def boundary_windows(book: Book, edition: Edition) -> tuple[BoundaryWindow, ...]:
    """Return the loads a unit must take for B, C and D, with the level each end gives at a nominal generator.

    For C and D the variable resistor R3 is at one end of its span while R2 is at the same end of its own.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        Whose generator.

    Returns
    -------
    tuple of BoundaryWindow
        For B, C and D.

    Raises
    ------
    InputError
        An own value of the case leaves a part without one of its numbers.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> for window in boundary_windows(load_book(), Edition.IEC_3):
    ...     print(window.state, f"{window.low:.0f} {window.high:.0f} {window.level_low:.2f} {window.level_high:.2f}")
    B 1870 4610 8.06 9.99
    C 612 1254 4.99 6.99
    D 130 412 2.00 4.00

    Sources
    -------
    ``pilot.recognise.*``, ``pilot.high-open.*``, ``pilot.source-resistance.*``, ``pilot.vehicle.diode-drop``.
    """
    loads = boundary_loads(book)
    varied = {"B": loads.r2, "C": loads.r3_c, "D": loads.r3_d}
    found = []
    for state in LOADED:
        limit = varied[state]
        ends = []
        for end in ("minimum", "maximum"):
            r2 = needed(loads.r2, end)
            ends.append(r2 if state == "B" else float(parallel(r2, needed(limit, end))))
        levels = [nominal_level(book, edition, load) for load in ends]
        found.append(
            BoundaryWindow(
                state=state,
                resistor="R2" if state == "B" else "R3",
                resistor_low=needed(limit, "minimum"),
                resistor_high=needed(limit, "maximum"),
                low=ends[0],
                high=ends[1],
                level_low=levels[0],
                level_high=levels[1],
                limit=limit.id,
                source=limit.source,
                standing=limit.standing.value,
            )
        )
    return tuple(found)


def nominal_level(book: Book, edition: Edition, load: float) -> float:
    """Return the high level that a load gives at a nominal generator with a nominal diode.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        Whose generator.
    load : float
        All resistors behind the diode together. [Ω]

    Returns
    -------
    float
        The level. [V]

    Raises
    ------
    InputError
        An own value of the case leaves a part without its nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(nominal_level(load_book(), Edition.IEC_3, 2740.0), 2)
    8.98
    """
    limits = generator(book, edition)
    return float(
        level(
            rail=needed(limits.high_open, "nominal"),
            source_resistance=needed(limits.source_resistance, "nominal"),
            behind=load,
            drop=needed(vehicle_parts(book).drop, "nominal"),
        )
    )


def boundary_chart(book: Book, edition: Edition, answers: tuple[BoundaryAnswer, ...] = ()) -> BoundaryChart:
    """Return what the chart of boundary resistances shows.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        Whose generator.
    answers : tuple of BoundaryAnswer
        How one unit answered; empty to show what is asked of any.

    Returns
    -------
    BoundaryChart
        Windows, the curve of the level over the load, and the answers.

    Raises
    ------
    InputError
        An own value of the case leaves a part without one of its numbers.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> chart = boundary_chart(load_book(), Edition.IEC_3)
    >>> len(chart.load) == len(chart.level), chart.level[0] < chart.level[-1]
    (True, True)
    """
    windows = boundary_windows(book, edition)
    seen = [*(window.low for window in windows), *(window.high for window in windows)]
    seen += [answer.resistance.value for answer in answers if answer.resistance.value > 0.0]
    load = np.geomspace(0.5 * min(seen), 2.0 * max(seen), CURVE_POINTS)
    return BoundaryChart(
        windows=windows,
        load=tuple(load.tolist()),
        level=tuple(nominal_level(book, edition, float(one)) for one in load),
        answers=answers,
    )
