"""Variants of text captures that must read: separators, signs, headers, units, encodings, ends of line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from coldpin.capture import read_waveform, sniff
from coldpin.errors import AmbiguousDialect, CaptureError
from coldpin.records.dialect import Dialect
from coldpin.records.plain import from_json, to_json

Write = Callable[..., Path]
VOLTS = [11.98, -11.97, 9.0]

SAME = {
    "comma": "Time (s),Pilot (V)\n0,11.98\n1e-3,-11.97\n2e-3,9\n",
    "comma and spaces": "Time (s), Pilot (V)\n0.000, 11.98\n0.001,-11.97\n 0.002 , 9\n",
    "semicolon, decimal comma": "Zeit (ms);Spannung (V)\n0,0;11,98\n1,0;-11,97\n2,0;9,00\n",
    "semicolon, decimal point": "t;U\n0.000;11.98\n0.001;-11.97\n0.002;9\n",
    "tab, decimal comma": "t [ms]\tU [mV]\n0\t11980\n1\t-11970,0\n2\t9000\n",
    "runs of spaces": "   t       U\n0.000   11.98\n0.001  -11.97\n0.002    9.00  \n",
    "spaces and tabs": "t \t U\n0.000 \t11.98\n0.001\t\t-11.97\n0.002    9.00\n",
    "spaces, decimal comma": "t U\n0,000 11,98\n0,001 -11,97\n0,002 9,00\n",
    "quotes": '"Time","Pilot"\r\n"0.000","11.98"\r\n"0.001","-11.97"\r\n"0.002","9"\r\n',
    "quotes around decimal commas": '"Time","Pilot"\n"0,000","11,98"\n"0,001","-11,97"\n"0,002","9"\n',
    "carriage returns alone": "Time (s),Pilot (V)\r0,11.98\r1e-3,-11.97\r2e-3,9\r",
    "carriage returns": "Time (s),Pilot (V)\r\n0,11.98\r\n1e-3,-11.97\r\n2e-3,9\r\n",
    "no end of the last line": "Time (s),Pilot (V)\n0.000,11.98\n0.001,-11.97\n0.002,9.00",
    "the end of a disk operating system": "Time (s),Pilot (V)\r\n0,11.98\r\n1e-3,-11.97\r\n2e-3,9\r\n\x1a",
    "unit row": "Time,Pilot\nms,mV\n0,11980\n1,-11970\n2,9000\n",
    "unit row in brackets": "Time,Pilot\n(ms),[mV]\n\n0,11980\n1,-11970\n2,9000\n",
    "units and nothing else": "ms,mV\n0,11980\n1,-11970\n2,9000\n",
    "name, unit, object": "Time,Pilot\nms,mV\nscope,CH1\n0,11980\n1,-11970\n2,9000\n",
    "group over the columns": "all,wave\nTime (ms),Pilot (mV)\n0,11980\n1,-11970\n2,9000\n",
    "slash": "t/ms;U/V\n0;11.98\n1;-11.97\n2;9\n",
    "in": "Time in ms;Pilot in V\n0;11.98\n1;-11.97\n2;9\n",
    "underscore": "time_us,pilot_mV\n0,11980\n1000,-11970\n2000,9000\n",
    "micro sign and greek mu": "Time (µs),Pilot (μV)\n0,11980000\n1000,-11970000\n2000,9000000\n",
    "nanoseconds": "Time (ns),Pilot (V)\n0,11.98\n1000000,-11.97\n2000000,9\n",
    "separator at the end": "Time (s);Pilot (V);\n0,000;11,98;\n0,001;-11,97;\n0,002;9,00;\n",
    "separator at the end of the rows only": "Time (s);Pilot (V)\n0,000;11,98;\n0,001;-11,97;\n0,002;9,00;\n",
    "header as a comment": "# a scope of the shed\n# t,U\n0.000,11.98\n0.001,-11.97\n0.002,9\n",
    "remark below the header": "t,U\n# begin\n0.000,11.98\n0.001,-11.97\n0.002,9\n",
    "title": "Skerrow 16, first look\nt;U\n0,000;11,98\n0,001;-11,97\n0,002;9,00\n",
    "labels beside the numbers": "Mark;t;U\nA1;0,000;11,98\nA2;0,001;-11,97\nA3;0,002;9,00\n",
    "clock beside the numbers": "Date,Time (s),Pilot (V)\n2031-05-01 10:00:00,0.000,11.98\n2031-05-01 10:00:00,0.001,"
    "-11.97\n2031-05-01 10:00:00,0.002,9\n",
    "other quantities": "Time (s),Load (A),Room (°C),Pilot (V)\n0.000,6,21,11.98\n0.001,6,21,-11.97\n0.002,6,21,9\n",
    "a count first": "Sample;t;U\n1;0,000;11,98\n2;0,001;-11,97\n3;0,002;9,00\n",
    "step in a comment": "# Sample Interval: 1e-3\nPilot (V)\n11.98\n-11.97\n9\n",
    "step with its unit": "Sampling interval = 1 ms\nPilot (V)\n11.98\n-11.97\n9\n",
    "step in cells": "Increment,1.0E-03,s\nPoints,3,\n\nPilot (V)\n11.98\n-11.97\n9\n",
    "step in microseconds": "dt (us);1000\nPilot (V)\n11.98\n-11.97\n9\n",
    "step with decimal comma": "Abtastung;fest\nTime increment;0,001\nn;U (V)\n0;11,98\n1;-11,97\n2;9,00\n",
    "rate": "; Sample rate: 1 kHz\n; made in the shed\nPilot (V)\n11.98\n-11.97\n9\n",
    "rate in samples": "Sampling Rate,1,kS/s\nPilot (V)\n11.98\n-11.97\n9\n",
    "value under its name": "X,CH1,Start,Increment\nSequence,Volt,0,1e-3\n0,11.98,\n1,-11.97,\n2,9,\n",
}


@pytest.mark.hand("the same three samples, 1 ms apart, written out in each variant")
@pytest.mark.parametrize("content", SAME.values(), ids=SAME)
def test_every_variant_gives_the_same_samples(write: Write, content: str) -> None:
    """However the file is written, the three samples come out to the last bit, 1 ms apart, none left out."""
    capture = read_waveform(write(content))

    assert capture.waveform.voltage.tolist() == VOLTS
    assert capture.waveform.sample_interval == pytest.approx(1e-3, rel=1e-12)
    assert (capture.rows_read, capture.rows_kept) == (3, 3)
    assert capture.reader == "text"


@pytest.mark.hand("the same three samples, written in each encoding")
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1", "cp1252"])
def test_every_encoding_gives_the_same_samples(write: Write, encoding: str) -> None:
    """A mark decides, else UTF-8, else Latin-1, which is said; the others are said by hand."""
    path = write("Time (µs),Pilot (V)\n0,11.98\n1000,-11.97\n2000,9\n", encoding=encoding)
    by_hand = {"encoding": encoding} if encoding in ("utf-16-le", "utf-16-be", "cp1252") else {}

    capture = read_waveform(path, choices=by_hand)

    assert capture.waveform.voltage.tolist() == VOLTS
    assert capture.dialect.units["Time"] == "µs"
    assert any("Latin-1" in remark for remark in capture.remarks) == (encoding == "latin-1")
    assert (capture.dialect.origin["encoding"] == "given by hand") == bool(by_hand)


@pytest.mark.parametrize("content", SAME.values(), ids=SAME)
def test_a_dialect_kept_reads_the_file_again(write: Write, content: str) -> None:
    """What was found out is enough to read the file again, to the letter, after a trip through JSON."""
    path = write(content)
    first = read_waveform(path)
    kept = from_json(Dialect, to_json(first.dialect), where="kept")

    again = read_waveform(path, dialect=kept)

    assert again.waveform.voltage.tolist() == first.waveform.voltage.tolist()
    assert again.waveform.sample_interval == first.waveform.sample_interval
    assert again.waveform.start == first.waveform.start
    assert again.dialect == kept


@pytest.mark.parametrize("content", SAME.values(), ids=SAME)
def test_each_field_of_a_dialect_tells_its_origin(write: Write, content: str) -> None:
    """Nothing is guessed in silence: each field that was found says how."""
    dialect = sniff(write(content))

    found = {"delimiter", "decimal_char", "encoding", "skip_rows", "header_row_count", "voltage", "units", "scale"}
    assert found <= set(dialect.origin)
    assert ("time" in dialect.origin) == bool(dialect.time)
    assert all(dialect.origin.values())


@pytest.mark.hand("the choices follow from the text")
def test_what_is_found_is_told(write: Write) -> None:
    """The dialect of a file names separator, sign, rows, columns, units and step with their origins."""
    path = write("Title\n# Sample Interval: 2 us\nTime (us);Pilot (mV);Output\n0,0;1,5;2,5\n2,0;3,5;4,5\n")

    dialect = sniff(path)

    assert (dialect.delimiter, dialect.decimal_char, dialect.skip_rows, dialect.header_row_count) == (";", ",", 2, 1)
    assert (dialect.time, dialect.voltage, dialect.output) == ("Time", "Pilot", "Output")
    assert dict(dialect.units) == {"Time": "us", "Pilot": "mV", "Output": "V"}
    assert dialect.step == 2e-6
    assert dialect.origin["step"] == "from the header"
    assert "Output: assumed" in dialect.origin["units"]
    assert dialect.origin["decimal_char"] == "seen in the first rows"


@pytest.mark.hand("by eye")
def test_the_second_channel_and_the_preamble_are_kept(write: Write) -> None:
    """A column named output becomes the output; lines above the header are kept as they stand, as far as they go."""
    preamble = ["Title", "  spaced,  out", *(f"note {n}" for n in range(150)), "x" * 900]
    path = write("\n".join([*preamble, "t,Pilot,Output (mV)", "0.0,1,2000", "0.1,2,OL", "0.2,3,4000"]) + "\n")

    capture = read_waveform(path)

    assert capture.waveform.output is not None
    assert np.isnan(capture.waveform.output).tolist() == [False, True, False]
    assert capture.waveform.output[[0, 2]].tolist() == [2.0, 4.0]
    assert capture.waveform.overload is None
    assert capture.preamble[:2] == ("Title", "  spaced,  out")
    assert len(capture.preamble) == 100


def test_a_long_line_of_the_preamble_is_cut(write: Write) -> None:
    """A line of the preamble is kept up to 512 characters."""
    capture = read_waveform(write("x" * 900 + "\nt;U\n0,1;2\n0,2;3\n"))

    assert [len(line) for line in capture.preamble] == [512]


@pytest.mark.hand("commas counted by eye")
@pytest.mark.parametrize(
    ("content", "shown_by"),
    [
        ("0.001,12\n0.002,13\n", "a point somewhere"),
        ("-5,-3\n-4,3\n-3,-1\n", "signs behind each comma"),
        ("0,1e1\n1,1.2e1\n", "a point further down"),
        ("0e0,1e1\n1e0,3e1\n", "powers"),
        ("Time,U\n0,12\n1,13\n", "a header of two"),
        ('"0","12"\n"7","13"\n', "quotes"),
    ],
)
def test_commas_that_can_only_separate_are_not_asked_about(write: Write, content: str, shown_by: str) -> None:
    """Where something shows that the comma separates, two columns are read."""
    assert sniff(write(content), choices={"time": 1, "voltage": 2}).delimiter == ","


@pytest.mark.hand("by eye")
@pytest.mark.parametrize(
    "content",
    ["0,12\n1,13\n", "1,5,2,5\n2,5,3,5\n", "-1,5,-2,5\n-2,5,3,5\n", "0,1,5\n1,1,6\n", "Voltage (V),\n0,5,\n1,5,\n"],
)
def test_commas_that_could_do_both_are_asked_about(write: Write, content: str) -> None:
    """Whole numbers between commas without a header may be decimals: the choices are listed."""
    with pytest.raises(AmbiguousDialect, match=r"a comma may separate columns or mark decimals.*--separator comma"):
        sniff(write(content))


@pytest.mark.hand("the same file by the two readings")
def test_the_hand_decides_what_the_comma_is(write: Write) -> None:
    """Each choice offered reads the file as it says."""
    path = write("0,12\n4,13\n9,14\n")

    as_columns = read_waveform(path, choices={"separator": "comma", "step": 1.0, "voltage": 2})
    as_decimals = read_waveform(path, choices={"decimal": "comma", "step": 1.0})

    assert as_columns.waveform.voltage.tolist() == [12.0, 13.0, 14.0]
    assert as_decimals.waveform.voltage.tolist() == [0.12, 4.13, 9.14]
    assert as_decimals.dialect.origin["decimal_char"] == "given by hand"


def test_a_fault_near_the_top_is_not_taken_for_a_preamble(write: Write) -> None:
    """A bad row with good rows above it is named; the rows above are not dropped in silence."""
    good = "".join(f"{n}.5;1.5\n" for n in range(5))

    with pytest.raises(CaptureError, match=r"row 6, column '2': '1.5x' is not a number"):
        read_waveform(write(good + "5.5;1.5x\n6.5;1.5\n7.5;1.5\n"))


@pytest.mark.hand("by eye")
def test_a_label_does_not_swallow_a_number(write: Write) -> None:
    """Spaces between decimal commas and dates: the comma is not taken to separate whole numbers from labels."""
    path = write("U  Date\n" + "".join(f"-1{n},790  2031-05-01 10:00\n" for n in range(5)))

    with pytest.raises(
        AmbiguousDialect, match=r"3 columns, separator space, decimal comma.*2 columns, separator comma"
    ):
        read_waveform(path, choices={"step": 1})
    by_hand: dict[str, str | float | int] = {
        "separator": "space",
        "decimal": "comma",
        "skip_rows": 1,
        "step": 1,
        "voltage": 1,
    }
    assert read_waveform(path, choices=by_hand).waveform.voltage.tolist() == [-10.79, -11.79, -12.79, -13.79, -14.79]


@pytest.mark.hand("by eye")
def test_a_header_that_fits_one_reading_decides(write: Write) -> None:
    """The same rows under a header of three names can only be those of three columns."""
    path = write("U  Date  Clock\n" + "".join(f"-1{n},79  2031-05-01 10:00\n" for n in range(5)))

    assert read_waveform(path, choices={"step": 1}).waveform.voltage.tolist() == [
        -10.79,
        -11.79,
        -12.79,
        -13.79,
        -14.79,
    ]


def test_commas_for_both_cannot_be_asked_for(write: Write) -> None:
    """Separator and decimal sign by hand cannot both be commas, unless quotes keep them apart."""
    both: dict[str, str | float | int] = {"separator": "comma", "decimal": "comma"}

    with pytest.raises(CaptureError, match="--separator and --decimal are both a comma, which no reader can tell"):
        read_waveform(write("t,U\n0,5,1,5\n1,5,2,5\n"), choices=both)
    quoted = write('"t","U"\n"0,5","1,5"\n"1,5","2,5"\n')
    assert read_waveform(quoted, choices=both).waveform.voltage.tolist() == [1.5, 2.5]


def test_the_dialect_kept_or_remembered_is_what_would_be_used(write: Write) -> None:
    """Looking at a file says what reading it would do; a remembered dialect that does not fit is passed over."""
    path = write("Time (s);Pilot (V)\n0,5;1\n1,5;2\n")
    other = sniff(write("t,U\n0.5,1\n1.5,2\n", "other.csv"))

    assert sniff(path, remembered=other) == sniff(path)
    assert sniff(path, remembered=sniff(path)).voltage == "Pilot"


def test_a_very_long_name_is_no_place_for_a_unit(write: Write) -> None:
    """A cell of hundreds of characters is kept as a name and not searched."""
    name = "Pilot " + "x" * 200 + " (V)"

    capture = read_waveform(write(f"Time (s);{name}\n0,5;1\n1,5;2\n"))

    assert capture.dialect.voltage == name
    assert capture.dialect.units[name] == "V"
    assert "no unit is given for the voltage" in capture.remarks[0]


@pytest.mark.hand("by eye")
def test_a_line_with_a_value_is_no_header(write: Write) -> None:
    """A step above a single column is neither its name nor two names."""
    for line in ("Sample interval: 24.0 s", "Sample interval: 2,6 s", "Pilot: 1"):
        dialect = sniff(write(f"{line}\n0,5\n1,5e0\n-2,5\n"), choices={"decimal": "comma", "step": 1})
        assert (dialect.header_row_count, dialect.voltage) == (0, "1")


@pytest.mark.hand("by eye")
def test_a_blank_line_in_a_single_column_is_a_sample_that_is_missing(write: Write) -> None:
    """Without a time column, a line passed over would shift all samples behind it."""
    capture = read_waveform(write("Pilot (V)\n1.5\n\n2.5\nNA\n3.5\n\n\n"), choices={"step": 1e-6})

    assert np.isnan(capture.waveform.voltage).tolist() == [False, True, False, True, False]
    assert "2 of 5 samples of the voltage are missing" in capture.remarks


def test_a_stray_number_in_the_preamble_is_no_row(write: Write) -> None:
    """Numbers above a heading belong to the preamble."""
    capture = read_waveform(write("1000,2000\nTime,Pilot\n0.0,1\n0.1,2\n0.2,3\n"))

    assert capture.preamble == ("1000,2000",)
    assert "rows of numbers above the header, taken for preamble: 1" in capture.remarks
    assert capture.waveform.voltage.tolist() == [1.0, 2.0, 3.0]


def test_a_column_that_begins_missing_is_a_column_of_numbers(write: Write) -> None:
    """Missing samples in the last rows do not hide the numbers before them."""
    rows = ["0.0;1.5", *(f"{n / 10};NA" for n in range(1, 60))]

    waveform = read_waveform(write("t;U\n" + "\n".join(rows) + "\n")).waveform

    assert int(np.isfinite(waveform.voltage).sum()) == 1


def test_the_rest_of_the_samples_may_follow_far_below(write: Write) -> None:
    """A preamble of some hundred kilobytes is passed over."""
    capture = read_waveform(write(("# " + "x" * 200 + "\n") * 900 + "t;U\n0,1;2\n0,2;3\n"))

    assert capture.dialect.skip_rows == 900
    assert capture.waveform.voltage.tolist() == [2.0, 3.0]


@pytest.mark.pinned("a dialect as it was kept before there were formats other than text")
def test_a_dialect_of_before_is_still_read(write: Write) -> None:
    """What was kept when only text was read means the same now."""
    old = """{"delimiter": ";", "decimal_char": ",", "group_char": "", "encoding": "utf-8", "skip_rows": 0,
        "header_row_count": 1, "comment_prefix": "#", "time": "t", "voltage": "U", "output": "",
        "units": {"t": "s", "U": "V"}, "step": null, "scale": 2.0, "output_scale": 1.0,
        "missing": ["NA"], "overload": ["OL"], "origin": {"scale": "given by hand"}}"""

    dialect = from_json(Dialect, old, where="dialects/old.json")
    capture = read_waveform(write("t;U\n0,000;11,98\n0,001;OL\n0,002;NA\n0,003;4,5\n"), dialect=dialect)

    assert (dialect.format, dialect.channels, dialect.segment) == ("text", None, None)
    assert capture.waveform.voltage[[0, 3]].tolist() == [23.96, 9.0]
    assert from_json(Dialect, to_json(capture.dialect), where="again") == capture.dialect
