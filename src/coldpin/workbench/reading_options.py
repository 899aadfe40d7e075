"""How a person says by hand how a capture or a log is to be read: one list, for the page and for the command line."""

from __future__ import annotations

from coldpin.records.file_words import DATE_ORDERS, DECIMALS, ENCODINGS, RAW_SAMPLES, SEPARATOR_NAMES, Sort
from coldpin.records.form_field import FormField

_RAW = tuple(f"raw {name}" for name in RAW_SAMPLES)
_SEPARATORS = tuple(SEPARATOR_NAMES.values())
_DECIMAL_WORDS = tuple(word for word in DECIMALS if word != "dot")

READ_BY = {
    Sort.CAPTURE: (
        FormField(name="voltage", meaning="column or channel with the pilot's voltage: its name, or its number from 1"),
        FormField(name="output", meaning="column or channel with the output's voltage, if there is one"),
        FormField(name="time", meaning="column with the time"),
        FormField(name="separator", meaning="what stands between columns", allowed=_SEPARATORS),
        FormField(name="decimal", meaning="decimal sign", allowed=_DECIMAL_WORDS),
        FormField(
            name="unit",
            meaning="units of voltage and time, where the file does not say them",
            example="mV, ms",
            usual=False,
        ),
        FormField(
            name="step", meaning="time between samples, where no column has the time", example="4 µs", usual=False
        ),
        FormField(name="rate", meaning="samples a second, in the place of a step", example="250 kHz", usual=False),
        FormField(
            name="scale",
            meaning="factor on the voltage; of whole numbers, volts at full scale",
            example="10",
            usual=False,
        ),
        FormField(name="output_scale", meaning="the same for the output", example="200", usual=False),
        FormField(name="skip_rows", meaning="lines to leave out before the header", example="0", usual=False),
        FormField(name="encoding", meaning="encoding of the text", allowed=ENCODINGS, usual=False),
        FormField(name="format", meaning="what a file without any header holds", allowed=_RAW, usual=False),
        FormField(name="channels", meaning="channels side by side in a raw file", example="1", usual=False),
        FormField(
            name="segment",
            meaning="which stretch of equal steps, in a record with several rates",
            example="1",
            usual=False,
        ),
    ),
    Sort.LOG: (
        FormField(name="column", meaning="what a column holds, and its unit; one on a line", example="power=3:kW"),
        FormField(name="time", meaning="column with the time, and its unit where it is a count", example="1:min"),
        FormField(name="date", meaning="column with the date, where the time of day has one of its own"),
        FormField(name="date_order", meaning="order of the dates", allowed=tuple(DATE_ORDERS)),
        FormField(name="step", meaning="time between rows, where no column has the time", example="1 min", usual=False),
        FormField(name="separator", meaning="what stands between columns", allowed=_SEPARATORS, usual=False),
        FormField(name="decimal", meaning="decimal sign", allowed=_DECIMAL_WORDS, usual=False),
        FormField(name="skip_rows", meaning="lines to leave out before the header", example="0", usual=False),
        FormField(name="encoding", meaning="encoding of the text", allowed=ENCODINGS, usual=False),
        FormField(
            name="clock_step",
            meaning="line and time by which the clock was put forward",
            example="1204=1 h",
            usual=False,
        ),
        FormField(name="missing", meaning="what marks a missing value, beside the usual", example="99999", usual=False),
    ),
}
"""How a person says by hand how a file is to be read, what is asked most often first."""

SEVERAL = ("column", "clock_step", "missing")
"""Options of a log that may be said more than once."""
