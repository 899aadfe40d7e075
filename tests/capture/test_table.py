"""Rows become columns: quick where they are regular, strict where not, bounded in memory, cancelled between batches."""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from coldpin.capture import read_waveform, table
from coldpin.capture.record import Request
from coldpin.capture.source import Block
from coldpin.capture.text import read_text
from coldpin.errors import CaptureError, Interrupted

Write = Callable[..., Path]
Measured = Callable[[str, float, str, str], None]


def long_text(rows: int, *, seed: int = 1) -> str:
    """Return a capture of many rows, 1 µs apart, levels with noise to 0.1 mV."""
    volts = 12.0 * np.sign(np.sin(np.arange(rows) / 160.0)) + 0.05 * np.random.default_rng(seed).standard_normal(rows)
    lines = [f"{n * 1e-6:.6f},{volt:.4f}" for n, volt in enumerate(volts.tolist())]
    return "Time (s),Pilot (V)\n" + "\n".join(lines) + "\n"


@pytest.fixture
def strict_rows(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """A list to which the first line of every batch read by the strict grammar is appended."""
    seen: list[int] = []
    read = table.TableReader._strict

    def noted(reader: table.TableReader, block: Block) -> list[list[float]]:
        seen.append(block.line)
        return read(reader, block)

    monkeypatch.setattr(table.TableReader, "_strict", noted)
    return seen


@pytest.mark.independent("numpy.loadtxt")
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_a_regular_file_goes_the_quick_way(write: Write, strict_rows: list[int], line_end: str) -> None:
    """Every batch of a regular file is parsed at once, to the same numbers as another reader's."""
    path = write(long_text(60_000).replace("\n", line_end))

    waveform = read_waveform(path).waveform

    assert strict_rows == []
    expected = np.loadtxt(path, delimiter=",", skiprows=1)
    assert (waveform.voltage == expected[:, 1]).all()
    assert waveform.start == expected[0, 0]


@pytest.mark.parametrize(
    ("header", "row", "decimal"),
    [
        ("t;U", "{0};{1}", ","),
        ("t  U", "  {0}   {1}  ", "."),
        ("t, U", "{0} , {1} ", "."),
        ("t\tU\tx", "{0}\t{1}\ta1", ","),
        ("t;U;date", "{0};{1};01.02.2031 10:00", ","),
        ('"t","U"', '"{0}","{1}"', ","),
        ("t\tU", '"{0}"\t"{1}"', "."),
    ],
)
def test_other_regular_forms_go_the_quick_way_too(
    write: Write, strict_rows: list[int], header: str, row: str, decimal: str
) -> None:
    """Decimal commas, padding, quotes and columns of text do not slow a file down."""
    lines = [row.format(f"{n * 1e-3:.3f}".replace(".", decimal), f"{n % 9}{decimal}5") for n in range(3000)]

    waveform = read_waveform(write("\n".join([header, *lines]) + "\n")).waveform

    assert strict_rows == []
    assert waveform.voltage.tolist() == [n % 9 + 0.5 for n in range(3000)]


def test_one_mark_costs_one_batch(write: Write, strict_rows: list[int]) -> None:
    """Only the batch that holds something irregular is read again, and the file is the same."""
    lines = long_text(120_000).splitlines()
    clean = read_waveform(write("\n".join(lines) + "\n")).waveform
    lines[70_000] = lines[70_000].split(",")[0] + ",OVLD"

    waveform = read_waveform(write("\n".join(lines) + "\n")).waveform

    assert len(strict_rows) == 1
    assert waveform.overload is not None
    assert np.flatnonzero(waveform.overload).tolist() == [69_999]
    assert np.flatnonzero(waveform.voltage != clean.voltage).tolist() == [69_999]


@pytest.mark.parametrize(
    ("text", "column", "said"),
    [
        ("11.9x", "Pilot", "'11.9x' is not a number; a number is written like 1.5 or -2.0E-3"),
        ("11,97", "Pilot", "row 50002: the row has 3 fields instead of 2"),
        ("1.234.567", "Pilot", "'1.234.567' is not a number"),
        ("11.9\x00", "Pilot", "the cell holds NUL characters: the file is damaged"),
        ('"11.9', "Pilot", "'\"11.9' is not a number"),
    ],
)
def test_a_fault_far_down_names_its_row(write: Write, text: str, column: str, said: str) -> None:
    """File, row as an editor counts, column and text are named, however large the file."""
    lines = long_text(60_000).splitlines()
    lines[50_001] = lines[50_001].split(",")[0] + "," + text
    with pytest.raises(CaptureError) as caught:
        read_waveform(write("\n".join(lines) + "\n"))

    assert str(caught.value).startswith("capture pilot.csv, row 50002")
    assert said in str(caught.value)


def test_a_power_far_down_is_a_number(write: Write) -> None:
    """A row that changes to powers of ten is a row like any other."""
    lines = long_text(60_000).splitlines()
    lines[50_001] = "0.050000,1.2E+01"

    assert read_waveform(write("\n".join(lines) + "\n")).waveform.voltage[50_000] == 12.0


@pytest.mark.parametrize(("cut", "kept"), [(1, 2999), (4, 2999), (6, 2999), (7, 2999), (12, 2999)])
def test_a_file_cut_anywhere_in_its_last_row_keeps_whole_rows(write: Write, cut: int, kept: int) -> None:
    """However the last row is cut, no number that is not in the file comes out, and the cut is said."""
    text = "".join(f"{n * 1e-3:.4f};12.{n % 10}25\n" for n in range(3000))

    capture = read_waveform(write("Time (s);Pilot (V)\n" + text[: -1 - cut]))

    assert (capture.rows_kept, capture.rows_read) == (kept, 3000)
    assert set(capture.waveform.voltage.tolist()) <= {12.025 + n / 10 for n in range(10)} | {
        float(f"12.{n}25") for n in range(10)
    }
    assert capture.remarks[0].startswith("the last row (line 3001) ")
    assert capture.remarks[0].endswith("it was left out, all rows before it were kept")


@pytest.mark.parametrize("end", ["-", "1.25E-0", "1.25E", "1.250E-03,", ""])
def test_a_cut_power_is_no_number(write: Write, end: str) -> None:
    """A power of ten that is cut would be another number: the row is left out."""
    text = "Pilot (V),Room (°C)\n" + "1.250E-03,2.10E+01\n" * 50 + "1.250E-03," + end

    capture = read_waveform(write(text), choices={"step": 1e-6})

    assert capture.rows_kept == 50
    assert "was left out" in capture.remarks[-1] or any("was left out" in remark for remark in capture.remarks)


def test_a_last_row_that_cannot_be_told_is_kept_and_said(write: Write) -> None:
    """Whole numbers without an end of line may be cut or not: kept, with a remark."""
    capture = read_waveform(write("t;U\n0.0;120\n0.1;130\n0.2;12"))

    assert capture.waveform.voltage.tolist() == [120.0, 130.0, 12.0]
    assert "the file does not end with a line end; its last row was kept, though it may be cut" in capture.remarks


@pytest.mark.hand("by eye")
def test_a_longer_last_number_is_not_cut(write: Write) -> None:
    """A power of ten with more digits than the others is whole."""
    capture = read_waveform(write("t;U\n" + "0.1;0.000e+00\n" * 20 + "0.1;3.003e-197"), choices={"step": 1})

    assert capture.waveform.voltage[-1] == 3.003e-197


def test_a_carriage_return_inside_a_row_stands_between_two_fields(write: Write) -> None:
    """The quick way leaves such a batch to the strict grammar, which names the row."""
    path = write("Sample interval: 1 ms\r\nVoltage(V)  Room\r\n0.1  21\r\n0.2  21\rNA\r\n0.3  21\r\n")

    with pytest.raises(CaptureError, match=r"row 4: the row has 3 fields instead of 2"):
        read_waveform(path)


@pytest.mark.hand("by eye")
def test_a_row_of_tabs_alone_is_a_row(write: Write) -> None:
    """Where tabs separate, a row of nothing but tabs is a sample that is missing."""
    capture = read_waveform(write("Pilot (V)\tNote\n1.5\t\n\t\n2.5\t\n"), choices={"step": 1})

    assert np.isnan(capture.waveform.voltage).tolist() == [False, True, False]


@pytest.mark.parametrize("tail", ["END\n", "END", "0.3\n", "\x00" * 400, "0.3;1;2\n"])
def test_a_closing_line_is_left_out(write: Write, tail: str) -> None:
    """A word, padding or a piece of a row at the very end is left out and said."""
    body = "".join(f"{n / 10};1.{n % 10}\n" for n in range(1000))

    capture = read_waveform(write("t;U\n" + body + tail))

    assert capture.rows_kept == 1000
    assert "was left out" in capture.remarks[2]


@pytest.mark.hand("quotes counted by eye")
def test_a_quote_that_spans_two_lines_is_not_two_rows(write: Write) -> None:
    """A field in quotes with an end of line in it is not read as the end of a row."""
    rows = ['"0.0","1"', '"0.1","2"', '"0.2","3', '4","5"', '"0.3","6"', '"0.4","7"']

    with pytest.raises(CaptureError, match=r"row 4, column 't': '\"0.2\"' is not a number"):
        read_waveform(write('"t","U"\n' + "\n".join(rows) + "\n"))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("t;U\n0,5;OVLD\n1,5;-OL\n2,5;OVLD\n", "column 'U' holds no voltage at all, only marks"),
        ("t;U\n0,5;1\n", "one row of samples has no step: give --step or --rate, or export more rows"),
        ("t;U\n0,5;", "no column can be the voltage"),
        (" \n\t\n\n", "the file is empty"),
    ],
)
def test_what_holds_no_samples_is_refused(write: Write, content: str, said: str) -> None:
    """Marks alone, one row, half a row, nothing but blanks."""
    with pytest.raises(CaptureError, match=said):
        read_waveform(write(content))


def test_a_last_row_cut_before_its_last_field_is_left_out(write: Write) -> None:
    """A cell that is no number in a row without its end was cut or damaged with it."""
    capture = read_waveform(write("t;U;x\n0,5;1;a1\n1,5;2;a1\n2,5;3;a1\n3,5;4v;a"), choices={"voltage": "U"})

    assert capture.rows_kept == 3
    assert "the last row (line 5) is cut short" in capture.remarks[2]


def test_utf16_that_breaks_off_is_said(write: Write) -> None:
    """Half a character, or one that is none, names the place in the file."""
    content = ("t;U\n" + "0,5;1\n" * 60_000).encode("utf-16")

    with pytest.raises(CaptureError, match=r"near byte \d+ it is not utf-16 text"):
        read_waveform(write(content[:400_000] + b"\x00\xd8" + content[400_000:]), choices={"step": 1})


@pytest.mark.parametrize("end", ["", "\n"])
def test_a_long_line_among_short_ones_is_refused(write: Write, end: str) -> None:
    """A line of seventy thousand characters far down is no row."""
    text = "".join(f"{n * 1e-3:.4f};12.{n % 10}25\n" for n in range(60_000))

    with pytest.raises(CaptureError, match=r"row 60001: the line has more than 65536 characters"):
        read_waveform(write(text + "1" * 70_000 + end))


def test_progress_rises_to_one_and_can_stop(write: Write) -> None:
    """Progress is told between batches; what it raises stops the work."""
    path = write(long_text(100_000))
    seen: list[float] = []

    read_waveform(path, progress=seen.append)

    assert seen == sorted(seen)
    assert seen[-1] == 1.0
    assert len([fraction for fraction in seen if 0.0 < fraction < 1.0]) > 2

    def stop(fraction: float) -> None:
        if fraction > 0.5:
            raise Interrupted("stopped by hand")

    with pytest.raises(Interrupted, match="stopped by hand"):
        read_waveform(path, progress=stop)


def test_a_remembered_dialect_does_not_hide_a_stop(write: Write) -> None:
    """A stop is a stop, not a dialect that does not fit."""
    path = write(long_text(100))
    dialect = read_waveform(path).dialect

    def stop(fraction: float) -> None:
        raise Interrupted("stopped by hand")

    with pytest.raises(Interrupted):
        read_waveform(path, remembered=dialect, progress=stop)


def test_too_many_rows_are_refused_before_they_are_held(write: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    """What would take more memory than one capture may is refused by its count of lines."""
    monkeypatch.setattr(table, "LARGEST_CLAIM", 16_000)

    with pytest.raises(CaptureError, match="it has more than 1000 rows; 2 columns of that length exceed"):
        read_waveform(write(long_text(1001)))


@pytest.mark.parametrize("where", [0, 400, 30_000])
def test_a_line_without_end_is_refused_where_it_begins(write: Write, where: int) -> None:
    """A line of megabytes is not collected."""
    lines = long_text(30_000).splitlines()[: where + 1]
    path = write("\n".join(lines) + "\n" * bool(where) + "1" * 3_000_000)

    with pytest.raises(CaptureError, match=r"row \d+: the line has more than 65536 characters|no row of samples"):
        read_waveform(path)


def test_more_columns_than_any_capture_has_are_no_table(write: Write) -> None:
    """A thousand and more columns are not read."""
    row = ",".join("1.5" for _ in range(1100)) + "\n"

    with pytest.raises(CaptureError, match="has no rows of numbers"):
        read_waveform(write(row * 3))


@pytest.mark.hand("two arrays of 8 bytes a row, the time given back before the end, blocks of 0.5 MB")
def test_memory_is_that_of_the_columns(write: Write, proving: bool, measured: Measured) -> None:
    """Reading holds the columns and little else, never the text."""
    rows = 1_000_000 if proving else 200_000
    path = write(long_text(rows))
    read_waveform(path)

    tracemalloc.start()
    read_waveform(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    measured("memory to read a capture, beside the text", peak / rows, "B/sample", "≤ 40")
    assert peak < 40 * rows + 6_000_000


def test_a_long_capture_is_read_in_a_moment(write: Write, proving: bool, measured: Measured) -> None:
    """A million samples are read whole; how long it takes is noted beside its goal, not judged."""
    rows = 1_000_000 if proving else 200_000
    path = write(long_text(rows))
    read_waveform(path)

    started = time.process_time()
    capture = read_waveform(path)
    seconds = time.process_time() - started

    measured("processor time to read a text capture of two columns", seconds / rows * 1e6, "s per 10⁶ samples", "≤ 1")
    assert capture.rows_kept == rows


def test_both_ways_agree_on_a_long_file(write: Write) -> None:
    """Fifty thousand rows, batch by batch or row by row, are the same."""
    path = write(long_text(50_000))

    quick, strict = (read_text(path, Request(), quick=way).waveform for way in (True, False))

    assert (quick.voltage == strict.voltage).all()
    assert (quick.sample_interval, quick.remarks) == (strict.sample_interval, strict.remarks)


@pytest.mark.parametrize(
    "line",
    [
        "(" + " " * 60_000,
        "a" + "_" * 60_000,
        "a_" * 30_000,
        '"' * 60_001,
        "," * 60_000,
        "1 " * 30_000,
        "(" * 60_000,
        "=" * 9,
    ],
    ids=["bracket and spaces", "underscores", "suffixes", "quotes", "commas", "fields", "brackets", "equals"],
)
def test_hostile_lines_cost_no_time(write: Write, line: str) -> None:
    """Lines made to trip a pattern are read or refused in seconds, not in minutes."""
    path = write(f"{line}\n" * 8 + "Time (s);Pilot (V)\n0,0;1,5\n0,1;2,5\n0,2;3,5\n0,3;4,5\n")

    started = time.process_time()
    capture = read_waveform(path)

    assert capture.waveform.voltage.tolist() == [1.5, 2.5, 3.5, 4.5]
    assert time.process_time() - started < 10.0


def test_a_thousand_names_cost_no_time(write: Write) -> None:
    """A wide table with names that are no units is looked through in seconds."""
    names = ";".join(f"quantity {n}" for n in range(1000))
    row = ";".join(["0,5"] * 1000)
    path = write(f"{names};Pilot (V)\n" + f"{row};1,5\n" * 200)

    started = time.process_time()
    capture = read_waveform(path, choices={"step": 1e-6, "voltage": "Pilot"})

    assert capture.rows_kept == 200
    assert time.process_time() - started < 20.0
