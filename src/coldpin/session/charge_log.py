"""A log as a charge is read from it: power and current at each row, however the meter gave them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.quantity import Quantity, format_value
from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.session.outages import LEAST_SUPPLY
from coldpin.session.phase_columns import LogInOne, in_one

LOGGED = "logged"
PRODUCT = "voltage × current"
QUOTIENT = "power ÷ voltage"

BY_FACTOR = "power ÷ (voltage × power factor)"
"""What a current was made of where the log has no current, by its rows that hold a power factor."""

LEAST_FACTOR = 0.1
"""Ours: meters write a power factor in steps of 0.01, a tenth of this; what is divided by less is known to nothing."""

LARGER = "power divided by voltage: the true current is larger by the power factor, which is not known"
"""Why a current that was made of power and voltage has no uncertainty, but a least value."""

SMALLER = "voltage times current: the true power is smaller by the power factor, which is not known"
"""Why a power that was made of voltage and current has no uncertainty, but a most value."""

LARGEST_CURRENT = 100.0
"""Ours: a current from which on a log of one lead is questioned; couplers for alternating current end below. [A]"""

SMALLEST_CHARGE = 0.5
"""Ours: where the largest current of a whole log stays below this and yet moves, a log in the wrong unit is likelier
than a charge: no offer of a pilot is below some amperes. [A]"""

SMALLEST_POWER = 60.0
"""Ours: as `SMALLEST_CHARGE`, where only power was logged: at a mains of 120 V it is the same. [W]"""

LARGEST_VOLTAGE = 500.0
"""Ours: a voltage to earth or neutral from which on a log is questioned. [V]"""

LARGEST_POWER = 100e3
"""Ours: a power from which on a log of one lead is questioned. [W]"""

DISAGREES = 0.3
"""Ours: power and voltage times current may differ by so much before one of them is taken to be in another unit or of
another phase; a charger's power factor explains less. [1]"""

ASKED = "Kept as written"
"""How a question ends that was asked of a column, named in quotes, when the file was read."""

RIVALS = {LogQuantity.POWER, LogQuantity.CURRENT, LogQuantity.VOLTAGE}
"""Quantities of which one column is read."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChargeLog:
    """The rows of a log that hold a value, with power and current as far as they are known.

    Arrays have shape (n,). ``lead`` is what phases are found on: the current where there is one, for a car keeps to a
    current; else the power. ``voltage_v`` is that logged, None where ``stated_voltage`` stands in its place.
    ``divisor`` is the power factor by which power was divided for the current, NaN where a row holds none to divide
    by; None where nothing was. Where ``lines`` is 3 the power is the sum of three, the current the largest of them,
    the voltage their mean; ``summed`` says of how many columns a quantity is the sum. ``steps`` are those of power and
    current as written, None where not known or not logged. ``doubts`` says of what is implausible why: it is kept and
    told, and nothing is decided by it. ``line_a`` are the currents of three lines that were made of their powers, shape
    (3, n); None where none were.
    """

    time_s: NDArray[np.float64]
    power_w: NDArray[np.float64] | None
    current_a: NDArray[np.float64] | None
    voltage_v: NDArray[np.float64] | None
    energy_wh: NDArray[np.float64] | None
    power_factor: NDArray[np.float64] | None
    divisor: NDArray[np.float64] | None
    lines: int
    summed: Mapping[LogQuantity, int]
    power_from: str
    current_from: str
    power_step: float | None
    current_step: float | None
    voltage_step: float | None
    energy_step: float | None
    stated_voltage: Quantity | None
    columns: tuple[str, ...]
    remarks: tuple[str, ...]
    doubts: Mapping[LogQuantity, str] = field(default_factory=dict)
    line_a: NDArray[np.float64] | None = None

    @property
    def lead(self) -> NDArray[np.float64]:
        """What phases are found on: current [A] where there is one, else power [W]."""
        found = self.current_a if self.current_a is not None else self.power_w
        assert found is not None, "a charge log has power or current"
        return found

    @property
    def by_current(self) -> bool:
        """Whether phases are found on the current."""
        return self.current_a is not None

    @property
    def lead_step(self) -> float:
        """One step of what phases are found on, as written; 0 where not known."""
        return (self.current_step if self.by_current else self.power_step) or 0.0


def charge_log(log: Log, *, voltage: Quantity | None = None) -> ChargeLog:
    """Return a log as a charge is read from it.

    Parameters
    ----------
    log : Log
        With a column of power, of current, or both.
    voltage : Quantity, optional
        The supply voltage as stated, for a log without one. [V]

    Returns
    -------
    ChargeLog
        Rows without a value are left out; what looks implausible is questioned in the remarks and kept as it is.

    Raises
    ------
    InputError
        The log has neither power nor current, or fewer than two rows that hold a value.

    Examples
    --------
    >>> from coldpin.records.log import LogChannel
    >>> amperes = LogChannel(name="I", quantity=LogQuantity.CURRENT, unit="A", values=np.array([0.0, 16.0]))
    >>> log = Log(time_s=np.array([0.0, 1.0]), channels=(amperes,))
    >>> charge_log(log, voltage=Quantity(230.0, 2.0, "V")).power_w.tolist()
    [0.0, 3680.0]
    """
    voltage, odd = _plausible(voltage)
    joined = in_one(log)
    log = joined.log
    power, current, volts = (log.channel(q) for q in (LogQuantity.POWER, LogQuantity.CURRENT, LogQuantity.VOLTAGE))
    chosen = [channel for channel in (power, current) if channel is not None]
    if not chosen:
        held = ", ".join(channel.name for channel in log.channels) or "none"
        raise InputError(
            f"no column of the log is known to hold a power or a current (columns: {held}): say which, with its unit, "
            "such as --column 'power=3:kW'"
        )
    if volts is not None and len(chosen) == 1:
        # the other of the two is made with it
        chosen.append(volts)
    kept = np.all([np.isfinite(channel.values) for channel in chosen], axis=0)
    if np.count_nonzero(kept) < 2:
        named = " and ".join(channel.name for channel in chosen)
        raise InputError(
            f"rows of the log that hold a value of {named}: {np.count_nonzero(kept)}; two at least are needed: check "
            "which column is read"
        )
    every = bool(np.all(kept))
    taken = {
        channel.quantity: channel.values if every else channel.values[kept]
        for channel in log.channels
        if channel is log.channel(channel.quantity)
    }
    watts, amperes, volt_rows = (taken.get(q) for q in (LogQuantity.POWER, LogQuantity.CURRENT, LogQuantity.VOLTAGE))
    apparent = _apparent(joined, amperes, volt_rows, voltage, kept)
    asked = [*_beyond_range(log), *_questions(watts, amperes, volt_rows, None if volt_rows is None else apparent)]
    remarks = [*odd, *log.remarks, *_left_out(kept), *joined.remarks, *_rivals(log), *_not_asked_before(log, asked)]
    power_from, current_from = LOGGED if power else "", LOGGED if current else ""
    factor = taken.get(LogQuantity.POWER_FACTOR)
    divisor = line_amperes = None
    if watts is None and apparent is not None:
        watts, power_from = apparent, PRODUCT
        remarks.append(
            "the log has no power: voltage times current stands in its place, which is the apparent power; the energy "
            "is then an upper bound, by the power factor"
        )
    elif amperes is None and watts is not None and (volt_rows is not None or voltage is not None):
        if joined.lines > 1:
            line_amperes = _of_lines(joined, kept, volt_rows, voltage)
            if line_amperes is not None:
                amperes, current_from = np.asarray(np.max(line_amperes, axis=0)), QUOTIENT
            remarks.append(_made_of_lines(joined, line_amperes))
        else:
            amperes, current_from = _quotient(watts, volt_rows, voltage), QUOTIENT
            divisor = None if factor is None else _divisor(factor)
            if divisor is not None:
                amperes, current_from = amperes / np.where(np.isfinite(divisor), divisor, 1.0), BY_FACTOR
            remarks.append(_made_of_power(divisor))
    return ChargeLog(
        time_s=log.time_s if every else log.time_s[kept],
        power_w=watts,
        current_a=amperes,
        voltage_v=volt_rows,
        energy_wh=taken.get(LogQuantity.ENERGY),
        power_factor=_one_factor(joined, factor, divisor),
        divisor=divisor,
        lines=joined.lines,
        summed=joined.summed,
        power_from=power_from,
        current_from=current_from,
        power_step=_step(power),
        current_step=_step(current),
        voltage_step=_step(volts),
        energy_step=_step(log.channel(LogQuantity.ENERGY)),
        stated_voltage=None if volt_rows is not None else voltage,
        columns=tuple(channel.name for channel in log.channels),
        remarks=tuple(remarks),
        doubts={quantity: question.text for question in reversed(asked) for quantity in question.of},
        line_a=line_amperes,
    )


def _plausible(voltage: Quantity | None) -> tuple[Quantity | None, list[str]]:
    """Leave a stated voltage that is none of a mains without an uncertainty, and ask; it is kept as it is."""
    if voltage is None or LEAST_SUPPLY < voltage.value <= LARGEST_VOLTAGE:
        return voltage, []
    why = f"the voltage is stated as {format_value(voltage.value, 'V')}, which is no mains"
    return Quantity(voltage.value, None, "V", why=why), [f"{why}: is the unit right? Nothing was changed"]


def _apparent(
    joined: LogInOne,
    amperes: NDArray[np.float64] | None,
    volts: NDArray[np.float64] | None,
    stated: Quantity | None,
    kept: NDArray[np.bool_],
) -> NDArray[np.float64] | None:
    """Return voltage times current at each row, of all lines; None where either is not known."""
    if joined.apparent_w is not None:
        return joined.apparent_w[kept]
    flowing = amperes if joined.amperes is None else joined.amperes[kept]
    if flowing is None or (volts is None and stated is None):
        return None
    return flowing * (volts if volts is not None else _value(stated))


def _of_lines(
    joined: LogInOne,
    kept: NDArray[np.bool_],
    volts: NDArray[np.float64] | None,
    stated: Quantity | None,
) -> NDArray[np.float64] | None:
    """Return the power of each line over its own voltage, or the stated one; None where the log does not tell both.

    The voltage of one line is not that of the others: where one alone was logged nothing is divided by it.
    """
    if joined.line_w is None or (volts is not None and joined.line_v is None):
        return None
    watts = joined.line_w[:, kept]
    under = np.full(watts.shape, _value(stated)) if joined.line_v is None else joined.line_v[:, kept]
    present = under > 1.0
    return np.where(present, watts / np.where(present, under, 1.0), 0.0)


def _made_of_lines(joined: LogInOne, amperes: NDArray[np.float64] | None) -> str:
    if amperes is not None:
        return (
            "the log has no current: of the three lines the largest power divided by its voltage stands in its place; "
            "the true one is larger by the power factor"
        )
    if joined.line_w is None:
        return "the log has no current: how the power is shared between the lines is not told"
    return "the log has no current, and the voltage of one line only: what flows in the others is not told"


def _divisor(factor: NDArray[np.float64]) -> NDArray[np.float64] | None:
    """Return the power factor to divide by, whichever way it is signed; None where no row holds one."""
    size = np.abs(factor)
    usable = (size >= LEAST_FACTOR) & (size <= 1.0)
    return np.where(usable, size, np.nan) if np.any(usable) else None


def _one_factor(
    joined: LogInOne, factor: NDArray[np.float64] | None, divisor: NDArray[np.float64] | None
) -> NDArray[np.float64] | None:
    """Return the power factor as logged; its size alone where power was divided by it, none of three lines."""
    if factor is None or joined.lines > 1:
        return None
    return factor if divisor is None else np.abs(factor)


def _made_of_power(divisor: NDArray[np.float64] | None) -> str:
    if divisor is None:
        return (
            "the log has no current: power divided by voltage stands in its place; the true one is larger by the "
            "power factor"
        )
    without = int(np.count_nonzero(~np.isfinite(divisor)))
    said = "the log has no current: power divided by voltage and power factor stands in its place"
    if not without:
        return said
    return (
        f"{said}; rows without a power factor from {LEAST_FACTOR:g} to 1: {without}, where the true current is larger "
        "than power divided by voltage"
    )


def _value(voltage: Quantity | None) -> float:
    assert voltage is not None, "asked for only where a voltage is stated"
    return voltage.value


def _step(channel: LogChannel | None) -> float | None:
    return None if channel is None else channel.resolution


def _quotient(
    watts: NDArray[np.float64], volts: NDArray[np.float64] | None, stated: Quantity | None
) -> NDArray[np.float64]:
    """Divide, and leave no current where there is no voltage to speak of."""
    under = np.full(watts.size, _value(stated)) if volts is None else volts
    present = under > 1.0
    return np.where(present, watts / np.where(present, under, 1.0), 0.0)


def _left_out(kept: NDArray[np.bool_]) -> list[str]:
    without = int(kept.size - np.count_nonzero(kept))
    return [f"{without} of {kept.size} rows hold no value and are left out"] if without else []


def _rivals(log: Log) -> list[str]:
    """Say which of several columns of one quantity is read."""
    said = []
    for quantity in sorted(RIVALS):
        found = log.all_of(quantity)
        if len(found) > 1 and not any(channel.meant for channel in found):
            names = ", ".join(channel.name for channel in found)
            said.append(
                f"the log has {len(found)} columns of {quantity.value} ({names}), which are not one for each of "
                "the lines L1 to L3: they are not summed, and the first is read; say --column to choose"
            )
    return said


@dataclass(frozen=True, slots=True, kw_only=True)
class _Question:
    """What is asked, and the quantities that decide nothing until it is answered."""

    text: str
    of: tuple[LogQuantity, ...] = ()


def _not_asked_before(log: Log, asked: list[_Question]) -> list[str]:
    """Leave out what was asked of the same columns when the file was read: whoever reads it is asked once."""
    before = [remark for remark in log.remarks if remark.endswith(ASKED)]
    said = []
    for question in asked:
        names = {repr(channel.name) for quantity in question.of if (channel := log.channel(quantity)) is not None}
        if not names or not any(all(name in remark for name in names) for remark in before):
            said.append(question.text)
    return said


def _questions(
    watts: NDArray[np.float64] | None,
    amperes: NDArray[np.float64] | None,
    volts: NDArray[np.float64] | None,
    apparent: NDArray[np.float64] | None,
) -> list[_Question]:
    """Question what no charge shows; nothing is corrected."""
    asked = _exchange(amperes, volts)
    if asked:
        return asked
    for values, largest, unit, quantity in (
        (watts, LARGEST_POWER, "W", LogQuantity.POWER),
        (amperes, LARGEST_CURRENT, "A", LogQuantity.CURRENT),
        (volts, LARGEST_VOLTAGE, "V", LogQuantity.VOLTAGE),
    ):
        if values is not None and (top := float(np.nanmax(np.abs(values)))) > largest:
            text = (
                f"the largest value is {format_value(top, unit)}: that is more than any lead carries; was the column "
                f"in thousandths (m{unit})? Nothing was changed"
            )
            asked.append(_Question(text=text, of=(quantity,)))
    if amperes is not None and 0.0 < float(np.nanmax(amperes)) < SMALLEST_CHARGE:
        top = float(np.nanmax(amperes))
        text = (
            f"the largest current is {format_value(top, 'A')}: no car charges with so little; was the column in "
            "another unit? Nothing was changed"
        )
        asked.append(_Question(text=text, of=(LogQuantity.CURRENT,)))
    if amperes is None and watts is not None and 0.0 < float(np.nanmax(watts)) < SMALLEST_POWER:
        top = float(np.nanmax(watts))
        text = (
            f"the largest power is {format_value(top, 'W')}: no car charges with so little; was the column in kW? "
            "Nothing was changed"
        )
        asked.append(_Question(text=text, of=(LogQuantity.POWER,)))
    if amperes is not None and float(np.nanmin(amperes)) < -SMALLEST_CHARGE:
        low = float(np.nanmin(amperes))
        text = (
            f"the least current is {format_value(low, 'A')}, below zero: was the sensor the wrong way round? "
            "Nothing was changed"
        )
        asked.append(_Question(text=text, of=(LogQuantity.CURRENT,)))
    if volts is not None and float(np.nanmax(volts)) < LEAST_SUPPLY:
        top = float(np.nanmax(volts))
        text = (
            f"the largest voltage is {format_value(top, 'V')}: that is no mains; was the column in kV? Nothing was "
            "changed"
        )
        asked.append(_Question(text=text, of=(LogQuantity.VOLTAGE,)))
    if watts is not None and float(np.nanmin(watts)) < 0.0:
        low = float(np.nanmin(watts))
        # a meter's zero may lie a little below nothing, which leaves the rest what it is
        text = (
            f"the least power is {format_value(low, 'W')}, below zero: was the sensor the wrong way round? "
            "Nothing was changed"
        )
        asked.append(_Question(text=text))
    if watts is not None and apparent is not None:
        asked += _disagreement(watts, apparent)
    return asked


def _beyond_range(log: Log) -> list[_Question]:
    """Tell of values beyond the meter's range: what was largest is not in the log, and nothing is within a limit."""
    read = (log.channel(quantity) for quantity in sorted(RIVALS))
    return [
        _Question(
            text=(
                f"{channel.beyond} values of the {channel.quantity.value} were beyond the meter's range: what they "
                "were is not known, and no mean, sum or largest value is sure"
            ),
            of=(channel.quantity,),
        )
        for channel in read
        if channel is not None and channel.beyond
    ]


def _exchange(amperes: NDArray[np.float64] | None, volts: NDArray[np.float64] | None) -> list[_Question]:
    """Ask whether current and voltage are exchanged, where each looks like the other."""
    if amperes is None or volts is None:
        return []
    usual, top = float(np.nanmedian(amperes)), float(np.nanmax(volts))
    if not usual > LARGEST_CURRENT > top:
        return []
    text = (
        f"the current is {format_value(usual, 'A')} for most of the time and the voltage never above "
        f"{format_value(top, 'V')}: are the two columns exchanged? Nothing was changed"
    )
    return [_Question(text=text, of=(LogQuantity.CURRENT, LogQuantity.VOLTAGE, LogQuantity.POWER))]


def _disagreement(watts: NDArray[np.float64], apparent: NDArray[np.float64]) -> list[_Question]:
    """Hold power against voltage times current where both are large."""
    large = apparent > 0.5 * float(np.nanmax(apparent, initial=0.0))
    if not np.any(large):
        return []
    ratio = float(np.nansum(watts[large]) / np.nansum(apparent[large]))
    if 1.0 - DISAGREES <= ratio <= 1.0 + DISAGREES:
        return []
    text = (
        f"power is {ratio:.3g} times voltage times current where most is drawn: is one of the columns in another "
        "unit, or of another phase? Nothing was changed"
    )
    return [_Question(text=text, of=(LogQuantity.POWER, LogQuantity.CURRENT, LogQuantity.VOLTAGE))]
