"""Numbers, limits and counts as printed."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from coldpin.quantity.model import Quantity
from coldpin.quantity.printing import FIGURES, format_figure, format_quantity, format_value
from coldpin.records.finding import Limit, Standing
from coldpin.standards.wording import limit_value, number_text

_MINUS = re.compile(r"(?<![\w.])-(?=\d)")


def number(value: float) -> str:
    """Return a number as printed: up to six digits, a true minus.

    Parameters
    ----------
    value : float
        Any number. [in its own unit]

    Returns
    -------
    str
        Its digits.

    Examples
    --------
    >>> number(-12.60), number(1e6)
    ('−12.6', '1e+06')
    """
    return f"{value:.6g}".replace("-", "−").replace("e−", "e-")


_SIZES = ((1_000_000_000, "GB"), (1_000_000, "MB"), (1_000, "kB"))


def file_size(size: int) -> str:
    """Return the size of a file as printed.

    Parameters
    ----------
    size : int
        Of the file. [bytes]

    Returns
    -------
    str
        Two digits or more, and a unit.

    Examples
    --------
    >>> file_size(812), file_size(48_300), file_size(2_944_320)
    ('812 bytes', '48 kB', '2.9 MB')
    """
    for unit, word in _SIZES:
        if size >= unit:
            part = size / unit
            return f"{part:.1f} {word}" if part < 10 else f"{part:.0f} {word}"
    return f"{size} bytes"


def measured(quantity: Quantity | None) -> str:
    """Return a quantity with its 95 % half-width, or a dash where there is none.

    Parameters
    ----------
    quantity : Quantity or None
        What was measured.

    Returns
    -------
    str
        Such as "8.96 V ± 0.05 V".
    """
    return "–" if quantity is None else _MINUS.sub("−", format_quantity(quantity))


def reckoned(quantity: Quantity | None) -> str:
    """Return a quantity that was reckoned from readings: with four figures where no uncertainty says how many it has.

    Parameters
    ----------
    quantity : Quantity or None
        What came out.

    Returns
    -------
    str
        Such as "3449 W (uncertainty not known)"; a dash where there is none.

    Examples
    --------
    >>> reckoned(Quantity(3448.62, None, "W")), reckoned(Quantity(-0.583889, None, "Wh")), reckoned(None)
    ('3449 W (uncertainty not known)', '−0.5839 Wh (uncertainty not known)', '–')
    """
    return "–" if quantity is None else _MINUS.sub("−", format_figure(quantity))


def found(quantity: Quantity | None) -> str:
    """Return what a finding found: of what is known from one side alone that bound, else no digits that mean nothing.

    Parameters
    ----------
    quantity : Quantity or None
        What was found.

    Returns
    -------
    str
        As :func:`measured`; without a known uncertainty the bound, or four figures.

    Examples
    --------
    >>> found(Quantity(47.0473, None, "°C", low=46.796)), found(Quantity(47.0473, None, "°C"))
    ('above 46.8 °C; no upper end', '47.05 °C (uncertainty not known)')
    >>> found(Quantity(0.0312, None, "s", high=0.04)), found(Quantity(8.96, 0.02, "V")), found(None)
    ('below 0.040 s; no lower end', '8.960 V ± 0.039 V', '–')
    """
    if quantity is None or quantity.u is not None:
        return measured(quantity)
    if quantity.low is not None and quantity.high is None:
        return f"above {_bound(quantity.low, quantity.unit)}; no upper end"
    if quantity.high is not None and quantity.low is None:
        return f"below {_bound(quantity.high, quantity.unit)}; no lower end"
    return reckoned(quantity)


def _bound(value: float, unit: str) -> str:
    """Return a bound as its sentence says it: a temperature or a rise to a tenth, else to three figures."""
    rounded = round(value, 1) if unit in ("°C", "K") else float(f"{value:.3g}")
    return _MINUS.sub("−", format_value(rounded, unit))


def span(quantities: Iterable[Quantity | None]) -> str:
    """Return several measurements of one thing as the span of their values and the largest of their half-widths.

    Parameters
    ----------
    quantities : iterable of Quantity or None
        Measurements in one unit; None where there was nothing to measure.

    Returns
    -------
    str
        Such as "8.94 to 9.02 V ± 0.12 V"; the single value where all print alike; empty where nothing was measured.
        A half-width that is not known for one is not known for the span.

    Examples
    --------
    >>> span([Quantity(8.944, 0.05, "V"), None, Quantity(9.021, 0.06, "V")])
    '8.94 to 9.02 V ± 0.12 V'
    >>> span([Quantity(9.001, 0.06, "V"), Quantity(9.002, 0.06, "V")]), span([None])
    ('9.00 V ± 0.12 V', '')
    >>> span([Quantity(9.2e-6, 1e-7, "s"), Quantity(1.1e-5, 1e-7, "s")]), span([Quantity(53.2, 0.03, "%")])
    ('9.20 to 11.00 µs ± 0.20 µs', '(53.200 ± 0.059) %')
    >>> span([Quantity(9.0, 0.06, "V"), Quantity(8.0, None, "V")])
    '8 to 9 V (uncertainty not known)'
    """
    known = [quantity for quantity in quantities if quantity is not None]
    if not known:
        return ""
    factor, unit = _readable(known)
    half = _largest_half(known)
    ends = [end(quantity.value for quantity in known) / factor for end in (min, max)]
    if half is None:
        low, high = (number(float(f"{end:.{FIGURES}g}")) for end in ends)
        return f"{low if low == high else f'{low} to {high}'}{unit} (uncertainty not known)"
    wide = half / factor
    low, high, wide_said = (_rounded(value, _digits(wide), "") for value in (*ends, wide))
    values = low if low == high else f"{low} to {high}"
    return f"({values} ± {wide_said}){unit}" if unit == " %" else f"{values}{unit} ± {wide_said}{unit}"


def each(quantities: Sequence[Quantity]) -> str:
    """Return several measurements of one thing one by one, the largest of their half-widths once behind them.

    Parameters
    ----------
    quantities : sequence of Quantity
        Measurements in one unit, one at least.

    Returns
    -------
    str
        Such as "8.94, 9.02 V, each ± 0.12 V at most".

    Examples
    --------
    >>> each([Quantity(8.944, 0.05, "V"), Quantity(9.021, 0.06, "V")])
    '8.94, 9.02 V, each ± 0.12 V at most'
    """
    half = _largest_half(quantities)
    if half is None:
        return ", ".join(measured(quantity) for quantity in quantities)
    factor, unit = _readable(quantities)
    digits = _digits(half / factor)
    values = ", ".join(_rounded(quantity.value / factor, digits, "") for quantity in quantities)
    return f"{values}{unit}, each ± {_rounded(half / factor, digits, '')}{unit} at most"


def _readable(quantities: Sequence[Quantity]) -> tuple[float, str]:
    """Return by what to divide, and the unit then, so that times of microseconds are printed as such."""
    unit = quantities[0].unit
    if unit == "s" and max(abs(quantity.value) for quantity in quantities) < 1e-3:
        return 1e-6, " µs"
    return 1.0, "" if unit in ("", "1") else f" {unit}"


def _largest_half(quantities: Sequence[Quantity]) -> float | None:
    """Return the largest half-width, or nothing where one is not known."""
    halves = [quantity.expanded or math.inf for quantity in quantities]
    half = max(halves, default=math.inf)
    return half if math.isfinite(half) else None


def _digits(half: float) -> int:
    """Return how many digits after the point a half-width is printed to."""
    return 1 - math.floor(math.log10(float(f"{half:.1e}")))


def interval(quantity: Quantity) -> str:
    """Return the 95 % interval of a quantity, to two digits of its half-width.

    Parameters
    ----------
    quantity : Quantity
        What was measured.

    Returns
    -------
    str
        The interval in words; empty where the uncertainty is not known or there is none.

    Examples
    --------
    >>> interval(Quantity(231.2, 0.9, "V"))
    '95 % interval 229.4 V to 233.0 V'
    """
    half = quantity.expanded
    if quantity.low is None or quantity.high is None or not half or not math.isfinite(half):
        return ""
    low, high = (_rounded(end, _digits(half), quantity.unit) for end in (quantity.low, quantity.high))
    return f"95 % interval {low} to {high}"


def _rounded(value: float, digits: int, unit: str) -> str:
    if digits <= 0:
        return number_text(round(value, digits), unit)
    return f"{value:.{digits}f}".replace("-", "−") + ("" if unit in ("", "1") else f" {unit}")


def bounds(limit: Limit) -> str:
    """Return where a limit lies.

    Parameters
    ----------
    limit : Limit
        The limit.

    Returns
    -------
    str
        Such as "8.37 V to 9.59 V" or "at most 0.5 Ω".

    Examples
    --------
    >>> from coldpin.records.finding import Standing
    >>> bounds(Limit(id="X", title="x", unit="V", maximum=0.5, source="s", standing=Standing.READ))
    'at most 0.5 V'
    """
    bound = limit.minimum is not None or limit.maximum is not None
    return limit_value(replace(limit, nominal=None) if bound else limit) or "no number"


def cited(limit: Limit) -> str:
    """Return where a limit is from.

    Parameters
    ----------
    limit : Limit
        The limit.

    Returns
    -------
    str
        Source, edition and place; who set it where that is not a standard.
    """
    place = ", ".join(part for part in (limit.source, limit.edition, limit.place) if part)
    return f"{place} (set by {limit.asserted_by})" if limit.asserted_by else place


def likelihood(limit: Limit | None) -> str:
    """Return what the probability beside a finding is called: of conforming only where a standard set the limit.

    Parameters
    ----------
    limit : Limit or None
        The limit of the finding.

    Returns
    -------
    str
        Its name, in small letters.

    Examples
    --------
    >>> likelihood(None)
    'probability'
    """
    if limit is None:
        return "probability"
    if limit.standing is Standing.STANDARD and not limit.asserted_by:
        return "probability of conforming"
    return "probability of lying within the limit as known"


def probability(value: float | None) -> str:
    """Return a probability as printed.

    Parameters
    ----------
    value : float or None
        The probability. [1]

    Returns
    -------
    str
        In per cent, never rounded to certainty.

    Examples
    --------
    >>> probability(0.99999), probability(0.4321), probability(1e-9), probability(None)
    ('more than 99.9 %', '43 %', 'less than 0.1 %', 'not computed')
    """
    if value is None:
        return "not computed"
    if value > 1.0 - 1e-3:
        return "more than 99.9 %"
    if value < 1e-3:
        return "less than 0.1 %"
    near_an_end = min(value, 1.0 - value) < 0.1
    return f"{100.0 * value:.1f} %" if near_an_end else f"{100.0 * value:.0f} %"


def size(length: int) -> str:
    """Return the size of a file.

    Parameters
    ----------
    length : int
        Its length. [bytes]

    Returns
    -------
    str
        Bytes up to ten thousand, then kB or MB (powers of ten).

    Examples
    --------
    >>> size(900), size(48_213), size(3_500_000)
    ('900 bytes', '48 kB', '3.5 MB')
    """
    if length < 10_000:
        return f"{length} byte{'' if length == 1 else 's'}"
    if length < 1_000_000:
        return f"{length / 1e3:.0f} kB"
    return f"{length / 1e6:.1f} MB"


def counted(count: int, one: str, many: str = "") -> str:
    """Return a count with its noun.

    Parameters
    ----------
    count : int
        How many.
    one : str
        The noun in the singular.
    many : str
        The plural where it is not made with s.

    Returns
    -------
    str
        Such as "1 entry", "3 entries".

    Examples
    --------
    >>> counted(1, "entry", "entries"), counted(3, "entry", "entries"), counted(0, "file")
    ('1 entry', '3 entries', '0 files')
    """
    digits = f"{count:,}".replace(",", "\u202f")
    return f"{digits} {one if count == 1 else many or one + 's'}"
