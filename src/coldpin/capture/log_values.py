"""The values of a log's columns in the units logs are kept in; what cannot well be meant is questioned, not changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.level import scale_step
from coldpin.capture.log_columns import LogColumn
from coldpin.capture.number import read_number, written_digits
from coldpin.quantity.units import find_unit
from coldpin.records.log import LOG_UNITS, LogChannel, LogQuantity

NUMBER_MARK = 99999.0
"""What loggers write in the place of a value that they do not have; COMTRADE (IEEE C37.111-1999) does so in text."""

MARK_MARGIN = 0.1
"""Ours: 99999 is a mark where every other value is below this part of it; a counter that passes it has neighbours."""

PLAUSIBLE: Mapping[LogQuantity, tuple[float, float]] = {
    LogQuantity.VOLTAGE: (-1000.0, 1000.0),
    LogQuantity.CURRENT: (-200.0, 200.0),
    LogQuantity.POWER: (-100e3, 100e3),
    LogQuantity.TEMPERATURE: (-60.0, 200.0),
    LogQuantity.POWER_FACTOR: (-1.05, 1.05),
    LogQuantity.FREQUENCY: (40.0, 70.0),
}
"""Ours: what the bench of a charging lead can show, in ``LOG_UNITS``; beyond it a question is put, no more."""

KELVIN = (250.0, 420.0)
"""Ours: a median between these, said to be in °C, is what a room or a warm cable has in kelvin."""

SLIP = (0.05, 4.0)
"""Ours: the power by voltage times current beyond which a prefix has slipped; three phases beside one current give 3,
an idle unit's power factor a tenth."""

_SURE_DIGITS = 15


def settle_values(
    raw: NDArray[np.float64], column: LogColumn, first_cells: Sequence[str], decimal_char: str
) -> tuple[LogChannel, tuple[str, ...]]:
    """Turn a column as read into a channel.

    Parameters
    ----------
    raw : ndarray
        Array of shape (n,) in the unit of the file, NaN where a cell is missing, infinite where the instrument said
        "beyond range"; it is changed.
    column : LogColumn
        What it holds.
    first_cells : sequence of str
        Its first cells as written.
    decimal_char : str
        The character before the fraction.

    Returns
    -------
    tuple
        The channel in the unit of ``LOG_UNITS``; remarks.
    """
    remarks: list[str] = []
    beyond = np.isinf(raw)
    if beyond.any():
        remarks.append(
            f"column {column.label!r}: {int(beyond.sum())} of {raw.size} values are marked beyond the instrument's "
            "range and left out; the true ones lie outside what is shown"
        )
        raw[beyond] = np.nan
    missing = int(np.isnan(raw).sum()) - int(beyond.sum())
    if missing:
        remarks.append(f"column {column.label!r}: {missing} of {raw.size} values are missing")
    if column.quantity not in (LogQuantity.ENERGY, LogQuantity.OTHER):
        remarks += _take_marks(raw, column.label)
    values, factor = _in_log_unit(raw, column)
    remarks += _questions(values, column)
    step = scale_step(values)
    written = _written_step(first_cells, decimal_char)
    last_digit = None if written is None else written * factor
    channel = LogChannel(
        name=column.label,
        quantity=column.quantity,
        unit=column.unit,
        values=values,
        resolution=last_digit if step is None else step,
        meant=column.meant,
        beyond=int(beyond.sum()),
    )
    return channel, tuple(remarks)


def _take_marks(raw: NDArray[np.float64], label: str) -> list[str]:
    marks = np.abs(raw) == NUMBER_MARK
    count = int(marks.sum())
    if not count or count == raw.size:
        return []
    told = f"column {label!r}: 99999 in {count} of {raw.size} rows"
    if float(np.nanmax(np.abs(raw[~marks]), initial=0.0)) >= MARK_MARGIN * NUMBER_MARK:
        return [f"{told}: if that marks a missing value, say --missing 99999"]
    raw[marks] = np.nan
    return [f"{told}, far beyond all other values, was taken for a missing value"]


def _in_log_unit(raw: NDArray[np.float64], column: LogColumn) -> tuple[NDArray[np.float64], float]:
    """Return values in the unit of logs, and the factor of a difference."""
    if column.quantity is LogQuantity.OTHER:
        return raw, 1.0
    given, wanted = find_unit(column.unit), find_unit(LOG_UNITS[column.quantity])
    factor = given.factor / wanted.factor
    offset = (given.offset - wanted.offset) / wanted.factor
    if factor.numerator != 1:
        raw *= factor.numerator
    if factor.denominator != 1:
        raw /= factor.denominator
    if offset:
        raw += float(offset)
    return raw, float(factor)


def _written_step(cells: Sequence[str], decimal_char: str) -> float | None:
    """Return one step of the last digit written, None where more digits are written than a float holds."""
    written = [written_digits(cell, decimal_char) for cell in cells if read_number(cell, decimal_char) is not None]
    if not written or max(digits for _, digits in written) > _SURE_DIGITS:
        return None
    return float(10.0 ** min(place for place, _ in written))


def _questions(values: NDArray[np.float64], column: LogColumn) -> list[str]:
    if column.quantity not in PLAUSIBLE or not np.isfinite(values).any():
        return []
    low, high = PLAUSIBLE[column.quantity]
    least, most = float(np.nanmin(values)), float(np.nanmax(values))
    unit = LOG_UNITS[column.quantity].replace("1", "")
    middle = float(np.nanmedian(values))
    said = f"column {column.label!r}, {column.quantity} in {column.unit}:"
    if column.quantity is LogQuantity.TEMPERATURE and column.unit != "K" and KELVIN[0] < middle < KELVIN[1]:
        return [f"{said} half of the values are above {middle:.4g} {unit}; is it in kelvin? Kept as written"]
    if least < low or most > high:
        worst = most if most > high else least
        return [
            f"{said} it reaches {worst:.4g} {unit}, which a charging lead does not; is the unit right? Kept as written"
        ]
    return []


def doubtful_power(channels: Sequence[LogChannel]) -> tuple[str, ...]:
    """Hold power against voltage times current, as far as all three are there, and question a slipped prefix.

    Parameters
    ----------
    channels : sequence of LogChannel
        The columns of a log.

    Returns
    -------
    tuple of str
        None or one remark.
    """
    first = {channel.quantity: channel for channel in reversed(channels)}
    wanted = (LogQuantity.POWER, LogQuantity.VOLTAGE, LogQuantity.CURRENT)
    if any(quantity not in first for quantity in wanted):
        return ()
    power, voltage, current = (first[quantity].values for quantity in wanted)
    product = np.abs(voltage * current)
    known = np.isfinite(product) & np.isfinite(power)
    apparent = float(product[known].sum())
    if apparent <= 0.0:
        return ()
    ratio = float(np.abs(power[known]).sum()) / apparent
    if SLIP[0] <= ratio <= SLIP[1]:
        return ()
    names = ", ".join(f"{first[quantity].name!r} in {first[quantity].unit}" for quantity in wanted)
    said = (
        f"the power is {ratio:.3g} times voltage by current ({names}); is one of the units wrong, such as mA taken for "
        "A? Kept as written"
    )
    return (said,)
