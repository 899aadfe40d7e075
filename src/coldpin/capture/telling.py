"""How a capture was read, in words for a person."""

from __future__ import annotations

from coldpin.quantity import format_value
from coldpin.records.dialect import Dialect, LogTable
from coldpin.records.log import LogQuantity

TEXT_FORMAT = Dialect().format
FULL_SCALE_FORMATS = ("wav", "raw uint8", "raw int")
"""Beginnings of the formats in which a scale is volts at full scale; floats among raw files have a factor."""

CHANNEL_FORMATS = ("wav", "raw", "comtrade")
"""Beginnings of the formats that have channels; the others have columns."""


def dialect_lines(dialect: Dialect) -> tuple[tuple[str, str], ...]:
    """Say how a capture or a log was read, name by name; what means nothing for its format is left out.

    Parameters
    ----------
    dialect : Dialect
        How it was read.

    Returns
    -------
    tuple
        Pairs of a name and a value, those without a value left out.

    Examples
    --------
    >>> dialect_lines(Dialect(format="wav", voltage="1", scale=16.0, step=1.25e-5))
    (('format', 'wav'), ('voltage channel', '1'), ('step', '12.5 µs'), ('scale', '16 V at full scale'))
    """
    if dialect.log is not None:
        return tuple((name, value) for name, value in _log_lines(dialect, dialect.log).items() if value)
    what = "channel" if dialect.format.startswith(CHANNEL_FORMATS) else "column"
    if dialect.format == TEXT_FORMAT:
        shown = {
            "separator": dialect.delimiter,
            "decimal sign": dialect.decimal_char,
            "encoding": dialect.encoding,
            "time column": dialect.time,
            "voltage column": dialect.voltage,
            "output column": dialect.output,
        }
    else:
        shown = {
            "format": dialect.format,
            "channels": "" if dialect.channels is None else str(dialect.channels),
            f"time {what}": dialect.time,
            f"voltage {what}": dialect.voltage,
            f"output {what}": dialect.output,
            "stretch of equal steps": "" if dialect.segment is None else str(dialect.segment),
        }
    shown["step"] = "" if dialect.step is None else format_value(dialect.step, "s")
    shown["scale"] = f"{dialect.scale:g}{_behind(dialect)}"
    if dialect.output and dialect.output_scale != dialect.scale:
        shown["scale of the output"] = f"{dialect.output_scale:g}{_behind(dialect)}"
    return tuple((name, value) for name, value in shown.items() if value)


def _log_lines(dialect: Dialect, log: LogTable) -> dict[str, str]:
    """Say how a log was read; a column of quantity "other" is none that anything is made from."""
    used = [
        f"{quantity} {column!r} in {dialect.units.get(column) or '1'}"
        for column, quantity in log.columns.items()
        if quantity != LogQuantity.OTHER
    ]
    return {
        "separator": dialect.delimiter,
        "decimal sign": dialect.decimal_char,
        "encoding": dialect.encoding,
        "date column": log.date,
        "time column": dialect.time,
        "time as": f"{log.time_form} in {dialect.units[dialect.time]}"
        if dialect.time in dialect.units
        else log.time_form,
        "step": "" if dialect.step is None else format_value(dialect.step, "s"),
        "columns": "; ".join(used),
        "meant of several": ", ".join(repr(column) for column in log.meant),
    }


def _behind(dialect: Dialect) -> str:
    return " V at full scale" if dialect.format.startswith(FULL_SCALE_FORMATS) else ""
