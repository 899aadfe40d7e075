"""What an instrument's maker says of its accuracy, as components of uncertainty.

The rules, of which those of JCGM 100:2008 4.3.3 to 4.3.7 and F.2.2 are known from memory:

* Limits without a stated confidence are a rectangular distribution of that half-width.
* The shares of one statement (of the reading, of the range, digits, a fixed amount) come from one adjustment: they are
  added to one half-width and make one component.
* The digits of a statement hold the resolution. Where there are none, a stated resolution or number of bits makes a
  second component, half a step wide.
* Limits with k or a coverage probability are normal, divided by that factor.
* Of a thermocouple's fixed and relative tolerance the larger holds (IEC 60584-1).

Correlation. The limits of one statement are one random variable for every reading of the same ``id``: the mean of ten
readings on one range is no surer of the instrument than one reading. Its contribution has the sign of the reading, so
that the span from a negative to a positive level carries the gain error of both. Another range is another statement,
another random variable. What is left by quantisation is a random variable of each single reading: its id holds label
and value of the reading. A difference of two levels of the same sign on one setting would lose more than the offset if
the statement is a share of the range; give such a difference its own reading with the statement of the gain.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from coldpin.errors import InputError, OutsideRange
from coldpin.quantity import Component, Quantity, Shape, add_components, assemble, convert, convert_difference
from coldpin.quantity.units import find_unit
from coldpin.standards.accuracy_text import Amount, ReadPart, ThermocoupleClass, read_parts
from coldpin.standards.book import Book, load_book
from coldpin.standards.table import needed

SMALLEST_SHARE = "instrument.smallest-share-of-range"
"""Id of the share of the range below which a reading earns a remark."""


def _reading_in(part: ReadPart, reading: float, unit: str) -> tuple[float, str]:
    """Return the reading on the scale its relative share is meant on: a temperature counts from 0 °C."""
    if find_unit(unit).kind == "temperature":
        return convert(reading, unit, "°C"), "°C"
    if part.range is not None:
        return convert(reading, unit, part.range.unit), part.range.unit
    return reading, unit


def _range(part: ReadPart) -> Amount:
    if part.range is None:
        raise InputError(
            f"accuracy statement {part.text!r} is a share of a range or full scale that is not given: write it behind "
            f"the statement ('3 % of full scale 40 V'), or state the full scale with the entry"
        )
    return part.range


def _shares(part: ReadPart, reading: float, unit: str) -> float:
    """Return the half-width of the limits, in ``unit``."""
    on_scale, scale = _reading_in(part, reading, unit)
    width = convert_difference(part.of_reading * abs(on_scale), scale, unit) + _beside_gain(part, unit)
    if part.thermocouple is not None:
        width += convert_difference(_tolerance(part.thermocouple, on_scale), "K", unit)
    return width


def _beside_gain(part: ReadPart, unit: str) -> float:
    """Return the half-width that does not grow with the reading, in ``unit``."""
    width = 0.0
    if part.of_range:
        span = _range(part)
        width += convert_difference(part.of_range * span.value, span.unit, unit)
    for times, amount in ((part.digits, part.resolution), (1.0, part.fixed)):
        if times and amount is not None:
            width += convert_difference(times * amount.value, amount.unit, unit)
    return width


def _tolerance(sensor: ThermocoupleClass, temperature: float) -> float:
    if not sensor.lowest <= temperature <= sensor.highest:
        raise OutsideRange(
            f"{temperature:g} °C is outside the range of a thermocouple {sensor.name}, {sensor.lowest:g} °C to "
            f"{sensor.highest:g} °C ({sensor.source}): name the class that was used, or another sensor"
        )
    return max(sensor.fixed, sensor.relative * abs(temperature))


def _step(part: ReadPart, unit: str) -> float:
    """Return the width of one step that the limits do not hold, in ``unit``; 0 where none is stated."""
    if part.bits is not None:
        span = _range(part)
        return convert_difference(span.value / 2.0**part.bits, span.unit, unit)
    if part.resolution is not None and not part.digits:
        return convert_difference(part.resolution.value, part.resolution.unit, unit)
    return 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class AccuracyStatement:
    """A maker's statement as read; :func:`parse_accuracy` makes it.

    ``text`` is the statement as written, ``parts`` are the independent statements in it (divided by ";"),
    ``smallest_share`` is the share of the range below which a reading earns a remark. [1]
    """

    text: str
    parts: tuple[ReadPart, ...]
    smallest_share: float

    def with_full_scale(self, full_scale: float, unit: str = "V") -> AccuracyStatement:
        """Return the statement for a range that its text leaves open.

        Parameters
        ----------
        full_scale : float
            The range or full scale in use, in ``unit``.
        unit : str
            Its unit.

        Returns
        -------
        AccuracyStatement
            The statement; parts that name their own range keep it.

        Raises
        ------
        InputError
            The full scale is not above 0.

        Examples
        --------
        >>> statement = parse_accuracy("3 % of full scale").with_full_scale(40.0)
        >>> round(statement.components(6.0, "V", id="scope", label="level")[0].contribution, 4)
        0.6928
        """
        if not full_scale > 0.0 or math.isinf(full_scale):
            raise InputError(
                f"full scale is {full_scale:g} {unit}; it must be above 0: give volts over the whole screen"
            )
        span = Amount(value=full_scale, unit=unit)
        behind = f" (full scale {full_scale:g} {unit})"
        parts = tuple(
            replace(part, range=span, text=part.text + behind) if part.range is None else part for part in self.parts
        )
        return replace(self, parts=parts)

    # `id` is the word of the record Component that it becomes
    def components(self, reading: float, unit: str, *, id: str, label: str) -> tuple[Component, ...]:  # noqa: A002 - as Component.id
        """Return the components of a reading's uncertainty that the statement makes.

        Parameters
        ----------
        reading : float
            What the instrument showed, in ``unit``.
        unit : str
            Unit of the reading and of the contributions.
        id : str
            The instrument and what it measures; readings of the same id on the same range share the limits.
        label : str
            What was read, for the budget; it keeps the quantisation of one reading apart from another's.

        Returns
        -------
        tuple of Component
            For each part of the statement its limits, then its quantisation if that is apart.

        Raises
        ------
        InputError
            A range that the statement needs is not given.
        UnitError
            The reading and the statement are of different kinds.
        OutsideRange
            The temperature is outside the range of the thermocouple's class.

        Examples
        --------
        >>> statement = parse_accuracy("0.5 % of reading + 3 digits, resolution 0.1 V")
        >>> (component,) = statement.components(230.0, "V", id="meter", label="supply")
        >>> round(component.contribution, 4), component.shape.value
        (0.8372, 'rectangular')

        Sources
        -------
        JCGM 100:2008 4.3.3 to 4.3.7, F.2.2.1 (standing: memory, recomputed).
        """
        found: list[Component] = []
        for part in self.parts:
            width = _shares(part, reading, unit)
            shape, divisor = (Shape.RECTANGULAR, math.sqrt(3.0)) if part.k is None else (Shape.NORMAL, part.k)
            if width:
                found.append(
                    Component(
                        id=f"{id}: {part.text}",
                        label=f"{label}: {part.text}",
                        contribution=math.copysign(width / divisor, reading),
                        shape=shape,
                    )
                )
            step = _step(part, unit)
            if step:
                found.append(
                    Component(
                        id=f"{id}: {part.text}: step of {label} at {reading:.12g} {unit}",
                        label=f"{label}: quantisation",
                        contribution=step / math.sqrt(12.0),
                        shape=Shape.RECTANGULAR,
                    )
                )
        return tuple(found)

    def resolution(self, unit: str) -> float:
        """Return the coarsest step that the statement holds, as digits, a resolution or bits.

        Parameters
        ----------
        unit : str
            The unit wanted.

        Returns
        -------
        float
            In ``unit``; 0 where no step is stated.

        Raises
        ------
        InputError
            A range that the statement needs is not given.
        UnitError
            The statement is of another kind than the unit.

        Examples
        --------
        >>> parse_accuracy("0.5 % of reading + 3 digits, resolution 0.1 V").resolution("V")
        0.1
        >>> parse_accuracy("50 ppm").resolution("s")
        0.0
        """
        stated = [
            convert_difference(part.resolution.value, part.resolution.unit, unit)
            for part in self.parts
            if part.resolution is not None
        ]
        return max((*stated, *(_step(part, unit) for part in self.parts)), default=0.0)

    def beside_gain(self, unit: str) -> float:
        """Return what of the limits does not grow with the reading: digits, share of the range, fixed amount.

        A gain that is off is off alike for two readings of one range, and their difference has as much of it as its
        own size. That the rest is alike too (linearity, the last digits) no maker says.

        Parameters
        ----------
        unit : str
            The unit wanted.

        Returns
        -------
        float
            Half-width, in ``unit``.

        Raises
        ------
        InputError
            A range that the statement needs is not given.
        UnitError
            The statement is of another kind than the unit.

        Examples
        --------
        >>> parse_accuracy("0.3 % + 2 digits on 200 mΩ, resolution 0.01 mΩ").beside_gain("Ω")
        2e-05
        """
        return sum(_beside_gain(part, unit) for part in self.parts)

    # `id` is the word of the record Component that it becomes
    def apply(self, q: Quantity, *, id: str, label: str) -> Quantity:  # noqa: A002 - as Component.id
        """Return a reading with the instrument's uncertainty added to what it has.

        Parameters
        ----------
        q : Quantity
            The reading. Where nothing is known of its uncertainty it is taken as a single reading whose uncertainty
            is the instrument's.
        id : str
            The instrument and what it measures, as in :meth:`components`.
        label : str
            What was read.

        Returns
        -------
        Quantity
            The reading in its own unit.

        Raises
        ------
        InputError
            A range that the statement needs is not given.
        UnitError
            The reading and the statement are of different kinds.
        OutsideRange
            The temperature is outside the range of the thermocouple's class.

        Examples
        --------
        >>> reading = parse_accuracy("U = 0.2 V, k = 2").apply(Quantity(12.0, None, "V"), id="meter", label="level")
        >>> reading.u
        0.1
        """
        components = self.components(q.value, q.unit, id=id, label=label)
        if q.u is None:
            return assemble(q.value, q.unit, components)
        return add_components(q, components)

    def remarks(self, reading: float, unit: str) -> tuple[str, ...]:
        """Return what should be said about a reading with this statement.

        Parameters
        ----------
        reading : float
            What the instrument showed, in ``unit``.
        unit : str
            Its unit.

        Returns
        -------
        tuple of str
            One sentence for each range the reading uses too little of.

        Examples
        --------
        >>> parse_accuracy("0.5 % + 2 digits on 600 V, resolution 0.1 V").remarks(12.0, "V")
        ('a reading of 12 V is below 10 % of the range 600 V: the manual may add to the limits there, or give none',)
        """
        said = []
        for part in self.parts:
            if part.range is None:
                continue
            share = abs(convert(reading, unit, part.range.unit)) / part.range.value
            if share < self.smallest_share:
                said.append(
                    f"a reading of {reading:g} {unit} is below {100.0 * self.smallest_share:g} % of the range "
                    f"{part.range.value:g} {part.range.unit}: the manual may add to the limits there, or give none"
                )
        return tuple(said)

    def beyond(self, reading: float, unit: str) -> tuple[str, ...]:
        """Return the ranges that a reading lies beyond: the statement says nothing of it there.

        Parameters
        ----------
        reading : float
            What the instrument showed, in ``unit``.
        unit : str
            Its unit.

        Returns
        -------
        tuple of str
            As they are written; empty where the reading is within all that are stated.

        Raises
        ------
        UnitError
            The reading and a range are of different kinds.

        Examples
        --------
        >>> meter = parse_accuracy("0.5 % + 2 digits on 2 Ω, resolution 0.001 Ω")
        >>> meter.beyond(110.0, "Ω"), meter.beyond(2.0, "Ω")
        (('2 Ω',), ())
        """
        found = []
        for span in (part.range for part in self.parts if part.range is not None):
            size = abs(convert(reading, unit, span.unit))
            if size > span.value and not math.isclose(size, span.value):
                found.append(f"{span.value:g} {span.unit}")
        return tuple(found)


def parse_accuracy(text: str, book: Book | None = None) -> AccuracyStatement:
    """Read an accuracy statement as makers write it.

    Parameters
    ----------
    text : str
        Such as ``0.5 % + 2 digits on 600 V, resolution 0.1 V``, ``3 % of full scale 40 V + 8 bit``,
        ``14 ppm of reading + 2 ppm of range, range 1 V``, ``50 ppm``, ``± 0.5 °C``, ``type K class 1``,
        ``U = 0.2 V, k = 2``, ``0.1 V at 95 %``. A semicolon divides statements that are independent of one another.
    book : Book, optional
        The constants, for the classes of thermocouples; ours where none is given.

    Returns
    -------
    AccuracyStatement
        The statement.

    Raises
    ------
    QuantityTextError
        The text is not understood; the message lists the forms that are.
    UnitError
        A unit in it is not known.

    Examples
    --------
    >>> chain = parse_accuracy("type K class 1; ± 0.5 °C")
    >>> round(chain.apply(Quantity(70.0, None, "°C"), id="logger", label="plug").u, 3)
    0.913
    """
    constants = book or load_book()
    smallest = constants.limit(SMALLEST_SHARE)
    share = convert(needed(smallest, "minimum"), smallest.unit, "1")
    return AccuracyStatement(text=text, parts=read_parts(text, constants), smallest_share=share)


@dataclass(frozen=True, slots=True, kw_only=True)
class ScopeAccuracy:
    """What is said of a scope's two axes, for one setting.

    ``full_scale`` is volts over the whole screen; it completes ``vertical`` where that is a share of the full scale and
    does not name it. [V] ``bandwidth`` is where its response has fallen by 3 dB, None where not stated. [Hz] ``id``
    names the instrument: captures of one scope share its gain and its timebase.

    Examples
    --------
    >>> scope = ScopeAccuracy(vertical=parse_accuracy("3 % of full scale + 8 bit"), full_scale=40.0)
    >>> parts = scope.vertical.components(9.0, "V", id=scope.id, label="high level")
    >>> [round(part.contribution, 4) for part in parts]
    [0.6928, 0.0451]
    """

    vertical: AccuracyStatement | None = None
    timebase: AccuracyStatement | None = None
    full_scale: float | None = None
    bandwidth: float | None = None
    id: str = "scope"

    def __post_init__(self) -> None:
        if self.vertical is not None and self.full_scale is not None:
            object.__setattr__(self, "vertical", self.vertical.with_full_scale(self.full_scale))
