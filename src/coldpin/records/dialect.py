"""How a text capture is written, in the words of the W3C model for tabular data where it has them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from pydantic import ConfigDict

from coldpin.records.plain import STRICT


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialect:
    """How the rows of a capture are to be read.

    ``delimiter``, ``encoding``, ``skip_rows``, ``header_row_count`` and ``comment_prefix`` are the terms of the
    W3C "Metadata Vocabulary for Tabular Data" (section 5.9), ``decimal_char`` and ``group_char`` those of its
    number formats (section 6.4.2). The rest is ours: which column is what, its unit, and the time between rows.

    ``time``, ``voltage`` and ``output`` are column names or, without a header, numbers counted from 1; ``time``
    is empty where there is no time column. ``units`` gives the unit of a named column as written in the file.
    ``step`` is the time between rows [s], None where the time column says it; where both are there, the step holds
    and the time column gives the start. ``scale`` is a factor on the
    voltage, ``output_scale`` one on the output. ``origin`` tells how each field was found: "given by hand",
    "from the header", "seen in the first rows", "remembered for this instrument".
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

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
    missing: tuple[str, ...] = ("", "NA", "N/A", "NaN", "nan", "?", "----", "null")
    overload: tuple[str, ...] = ("OVLD", "OL", "OVER", "OVERLOAD", "inf", "-inf", "Inf", "-Inf")
    origin: Mapping[str, str] = field(default_factory=dict)
