"""How a text capture is written, in the words of the W3C model for tabular data where it has them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from pydantic import ConfigDict

from coldpin.records.plain import STRICT


@dataclass(frozen=True, slots=True, kw_only=True)
class LogTable:
    """What a log has beside a capture: how its time is written, and which column holds what.

    ``time_form`` is "number" (the unit stands among the dialect's ``units``), "epoch" (a count since 1970, in the unit
    there), "time of day", "steps" (no time column, the dialect's ``step`` apart), or the order of a date:
    "year month day", "day month year", "month day year". ``date`` is the column with the date where the time of day has
    one of its own. ``columns`` maps a column to a quantity of :class:`coldpin.records.log.LogQuantity`, those said by
    hand to be the ones meant first, and again in ``meant``. ``clock_steps`` maps the line of a row to the seconds by
    which the clock was put forward before it, as far as that was said by hand. [s]
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    time_form: str
    date: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    meant: tuple[str, ...] = ()
    clock_steps: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialect:
    """How a capture is to be read: the rows of a text, or the channels of another format.

    ``delimiter``, ``encoding``, ``skip_rows``, ``header_row_count`` and ``comment_prefix`` are the terms of the
    W3C "Metadata Vocabulary for Tabular Data" (section 5.9), ``decimal_char`` and ``group_char`` those of its
    number formats (section 6.4.2). The rest is ours: which column is what, its unit, and the time between rows.

    ``time``, ``voltage`` and ``output`` are column names or, without a header, numbers counted from 1; ``time``
    is empty where there is no time column. ``units`` gives the unit of a named column as written in the file.
    ``step`` is the time between rows [s], None where the time column says it; where both are there, the step holds
    and the time column gives the start. ``scale`` is a factor on the voltage, ``output_scale`` one on the output; for
    whole numbers in WAV and raw files they are volts at full scale instead. [V] ``origin`` tells how each field was
    found: "given by hand", "from the header", "seen in the first rows", "remembered for this instrument".

    ``format`` names the reader ("text", "wav", "raw int16"). Where it is not text, what belongs to text (separator,
    signs, encoding, lines) means nothing. ``channels`` is how many channels a raw file holds side by side, ``segment``
    which stretch of equal steps of a file with several is read, counted from 1. ``log`` is there for a log, which has
    ``columns`` in the place of voltage and output.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    format: str = "text"
    delimiter: str = ","
    decimal_char: str = "."
    group_char: str = ""
    encoding: str = "utf-8"
    skip_rows: int = 0
    header_row_count: int = 1
    comment_prefix: str = "#"
    time: str = ""
    voltage: str = ""
    output: str = ""
    units: Mapping[str, str] = field(default_factory=dict)
    step: float | None = None
    scale: float = 1.0
    output_scale: float = 1.0
    channels: int | None = None
    segment: int | None = None
    missing: tuple[str, ...] = ("", "NA", "N/A", "NaN", "nan", "?", "----", "null")
    overload: tuple[str, ...] = ("OVLD", "OL", "OVER", "OVERLOAD", "inf", "-inf", "Inf", "-Inf")
    origin: Mapping[str, str] = field(default_factory=dict)
    log: LogTable | None = None
