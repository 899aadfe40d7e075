"""Quantities as a report prints them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Context, Decimal, localcontext

from coldpin.errors import OutsideRange
from coldpin.quantity.model import Quantity
from coldpin.quantity.units import prefixed, unit_or_none

_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
_WIDE = Context(prec=700, Emin=-10_000, Emax=10_000)
MINUS = "−"
"""The sign of a negative number in print; the parsers read it as they read the hyphen of a keyboard."""

_KEPT = (-3, 5)
"""Numbers from 1e-3 to below 1e5 are printed in the unit they are in."""


_EVEN = Decimal("0.05")
"""Part of U by which the middle of an interval may lie beside the value and U still tells it."""


def format_quantity(quantity: Quantity, digits: int = 2) -> str:
    """Return a quantity as text: value ± U, where U is the half-width of the 95 % interval.

    U is rounded to ``digits`` significant digits and the value to the same place. A unit whose numbers would be hard
    to read is exchanged for the same with another prefix, or a power of ten is written. An interval that does not
    lie evenly about the value is printed by its ends. Where the uncertainty is not known the value has
    four figures: more would be read as accuracy. A text that is to keep the digits in which a value was read is
    :func:`format_reading`'s. To enter such a text again as it is meant, add "(95 %)": the
    sign ± alone is read as limits.

    Parameters
    ----------
    quantity : Quantity
        The quantity.
    digits : int
        Significant digits of U, 1 to 9.

    Returns
    -------
    str
        One line.

    Raises
    ------
    OutsideRange
        The number of digits is not from 1 to 9.

    Examples
    --------
    >>> format_quantity(Quantity(12.3412, 0.03, "V"))
    '12.341 V ± 0.059 V'
    >>> format_quantity(Quantity(26.67, 0.03, "%"), digits=1), format_quantity(Quantity(5.0, None, "mm"))
    ('(26.67 ± 0.06) %', '5.0 mm (uncertainty not known)')

    Sources
    -------
    JCGM 100:2008 7.2.6 (two digits of U, value to the same place).
    """
    if not 1 <= digits <= 9:
        raise OutsideRange(f"{digits} significant digits of an uncertainty; 1 to 9 can be printed")
    if not math.isfinite(quantity.value):
        return f"not known ({quantity.why})" if quantity.why else "not known"
    with localcontext(_WIDE):
        return _format(quantity, digits)


def format_figure(quantity: Quantity) -> str:
    """Return a quantity that was reckoned as text; without an uncertainty of its own, exact or not known, four figures.

    Of one that is known by its lower end alone, that end is told.

    What is reckoned from readings has as many digits as the machine: where no uncertainty says how many mean
    something, more than these would be read as accuracy.

    Parameters
    ----------
    quantity : Quantity
        The quantity.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> format_figure(Quantity(1.477512, 0.0, "V")), format_figure(Quantity(1.477512, None, "V"))
    ('1.478 V', '1.478 V (uncertainty not known)')
    >>> format_figure(Quantity(1.69, None, "mm²", low=0.8278, why="no upper end"))
    'at least 0.827 mm²'
    """
    if quantity.u or not math.isfinite(quantity.value):
        return format_quantity(quantity)
    if quantity.u is None and quantity.low is not None and quantity.high is None:
        return f"at least {_rounded_down(quantity.low, quantity.unit)}"
    plain = _in_figures(quantity)
    return plain if quantity.u == 0.0 else f"{plain} (uncertainty not known)"


def format_reading(quantity: Quantity) -> str:
    """Return a quantity as it was read: without a known uncertainty in the digits in which it was written.

    Parameters
    ----------
    quantity : Quantity
        As it was read, and not reckoned from anything.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> format_reading(Quantity(1000.25, None, "Hz")), format_quantity(Quantity(1000.25, None, "Hz"))
    ('1000.25 Hz (uncertainty not known)', '1000 Hz (uncertainty not known)')
    """
    if quantity.u is not None or not math.isfinite(quantity.value):
        return format_quantity(quantity)
    return f"{format_value(quantity.value, quantity.unit)} (uncertainty not known)"


def _in_figures(quantity: Quantity) -> str:
    return format_figures(quantity.value, quantity.unit)


def format_figures(value: float, unit: str) -> str:
    """Return a number of no known uncertainty with its unit, to four figures, where nothing need be said of that.

    Parameters
    ----------
    value : float
        The number, in ``unit``.
    unit : str
        Its unit.

    Returns
    -------
    str
        The text, as :func:`format_value` writes it.

    Examples
    --------
    >>> format_figures(29.98765, "mA"), format_figures(1234567.0, "Ω")
    ('29.99 mA', '1.235 MΩ')
    """
    return format_value(float(f"{value:.{FIGURES}g}"), unit)


def _rounded_down(value: float, unit: str) -> str:
    """Three digits of a lower end, so that what is told still holds."""
    with localcontext(_WIDE):
        exact = Decimal(repr(value))
        place = Decimal(1).scaleb(exact.adjusted() - 2)
        return format_value(float(exact.quantize(place, rounding=ROUND_FLOOR)), unit)


FIGURES = 4
"""Figures to which a value that was reckoned is told where it has no uncertainty to round by."""


def format_in_steps(quantity: Quantity, step: float | None) -> str:
    """Return a quantity as text, with no ± below one step of the samples it was read from.

    A mean of many samples scatters less than one of them can show; what stands behind the ± is then the scatter alone,
    and so many digits would be read as accuracy.

    Parameters
    ----------
    quantity : Quantity
        The quantity.
    step : float or None
        One step, in the unit of the quantity; None where none is known.

    Returns
    -------
    str
        As :func:`format_quantity`; where U is below a step, the value to the place of the step.

    Examples
    --------
    >>> format_in_steps(Quantity(12.00014, 0.0001, "V"), 0.01), format_in_steps(Quantity(12.00014, 0.03, "V"), 0.01)
    ('12.00 V ± < 0.01 V', '12.000 V ± 0.059 V')
    """
    expanded = quantity.expanded
    if not step or expanded is None or expanded >= step or not math.isfinite(quantity.value):
        return format_quantity(quantity)
    place = Decimal(1).scaleb(Decimal(repr(step)).adjusted())
    with localcontext(_WIDE):
        number = Decimal(repr(quantity.value)).quantize(place)
        return f"{number:f} {quantity.unit} ± < {step:.1g} {quantity.unit}".replace("-", MINUS)


def format_value(value: float, unit: str) -> str:
    """Return a number with its unit and no uncertainty, at most six significant digits and at least two.

    Parameters
    ----------
    value : float
        The number, in ``unit``.
    unit : str
        Its unit.

    Returns
    -------
    str
        The text, in a unit with another prefix where the number would be hard to read.

    Examples
    --------
    >>> format_value(7.98, "Ω/km"), format_value(2.5e8, "Ω"), format_value(230.0, "V")
    ('7.98 Ω/km', '250 MΩ', '230 V')
    """
    if not math.isfinite(value):
        return f"not known {unit}".strip()
    with localcontext(_WIDE):
        exact = Decimal(repr(value))
        scale = _scale(unit, abs(exact), 0)
        return scale.one(_plain(exact.scaleb(-scale.power)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    """What a number is divided by before printing (a power of ten), and what is printed after it for that."""

    power: int
    factor: str
    unit: str

    def _after(self) -> str:
        return "".join(f" {part}" for part in (self.factor, "" if self.unit == "1" else self.unit) if part)

    def one(self, number: str) -> str:
        return number + self._after()

    def pair(self, number: str, half: str) -> str:
        if self.factor or (self.unit != "1" and _is_ratio(self.unit)):
            return f"({number} ± {half}){self._after()}"
        return f"{number}{self._after()} ± {half}{self._after()}"


def _is_ratio(unit: str) -> bool:
    known = unit_or_none(unit)
    return known is not None and known.kind == "ratio"


def _scale(unit: str, lead: Decimal, place: int) -> _Scale:
    """Choose the prefix under which ``lead`` is easy to read and no zero before the point stands for rounding."""
    keep = _Scale(power=0, factor="", unit=unit)
    least, most = _KEPT
    if not lead or (least <= lead.adjusted() < most and place <= 0):
        return keep
    steps = dict(prefixed(unit))
    wanted = 3 * (lead.adjusted() // 3)
    if wanted in steps:
        return _Scale(power=wanted, factor="", unit=steps[wanted])
    if least <= lead.adjusted() < most:
        return keep
    if len(steps) > 1:
        nearest = min(steps, key=lambda power: abs(power - wanted))
        if -3 <= wanted - nearest <= 3:
            return _Scale(power=nearest, factor="", unit=steps[nearest])
    power = lead.adjusted()
    return _Scale(power=power, factor=f"× 10{str(power).translate(_RAISED)}", unit=unit)


def _format(quantity: Quantity, digits: int) -> str:
    expanded = quantity.expanded
    if expanded is None or not math.isfinite(expanded):
        return f"{_in_figures(quantity)} (uncertainty not known)"
    if expanded == 0.0:
        return f"{format_value(quantity.value, quantity.unit)} (exact)"
    value, low, high = (Decimal(repr(number)) for number in (quantity.value, quantity.low, quantity.high))
    half = _round(Decimal(repr(expanded)), digits)
    place = half.as_tuple().exponent
    assert isinstance(place, int)
    scale = _scale(quantity.unit, max(abs(value), half), place)

    def shown(number: Decimal) -> str:
        rounded = number.quantize(Decimal(1).scaleb(place)).scaleb(-scale.power)
        return f"{rounded if rounded else abs(rounded):f}".replace("-", MINUS)

    # double precision and the noise of draws are no lopsidedness
    noise = max(Decimal(repr(4.0 * math.ulp(quantity.value))), 2 * _EVEN * half)
    if abs(low + high - 2 * value) > max(Decimal(1).scaleb(place), noise):
        return f"{scale.one(shown(value))} (95 %: {scale.one(shown(low))} to {scale.one(shown(high))})"
    return scale.pair(shown(value), shown(half))


def _round(number: Decimal, digits: int) -> Decimal:
    """Round to significant digits; 0.0996 to two of them is 0.10."""
    rounded = number.quantize(Decimal(1).scaleb(number.adjusted() - digits + 1))
    if rounded.adjusted() > number.adjusted():
        rounded = rounded.quantize(Decimal(1).scaleb(rounded.adjusted() - digits + 1))
    return rounded


def _plain(number: Decimal) -> str:
    """Six significant digits without the zeros that say nothing, but 5.0 rather than 5."""
    if not number:
        return "0"
    rounded = _round(number, 6).normalize()
    if rounded.adjusted() < 1 and len(rounded.as_tuple().digits) < 2:
        rounded = rounded.quantize(Decimal(1).scaleb(rounded.adjusted() - 1))
    return f"{rounded:f}".replace("-", MINUS)
