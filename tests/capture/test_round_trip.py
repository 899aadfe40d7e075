"""What is written in any dialect is read back as the same numbers, or refused: never as other numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from coldpin.capture import Capture, read_waveform
from coldpin.capture.record import Request
from coldpin.capture.text import read_text
from coldpin.errors import AmbiguousDialect, CaptureError

TIME_PLACES = {"s": 0, "ms": 3, "µs": 6, "us": 6, "ns": 9}
VOLTAGE_PLACES = {"V": 0, "mV": 3}
FORMS = ("{:.3f}", "{:.6f}", "{:.4e}", "{:+.2f}", "{:.0f}", "{:.9g}")
MARKS = {"NA": np.nan, "": np.nan, "OVLD": np.inf, "-OL": -np.inf}
PREAMBLES = (
    (),
    ("Brackwater Boatyard",),
    ("# pilot of the Skerrow 16", "# taken in the shed"),
    ("Instrument: a scope", "Record length: 5", ""),
    ('"Title"', "two words, and a comma"),
)
BESIDE = {
    "nothing": (),
    "a date": ("Date", "", "2031-05-01 10:00"),
    "a short date": ("Day", "", "01.05.2031"),
    "a temperature": ("Room", "°C", "21"),
    "an empty column": ("", "", ""),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """How one writer writes: signs, quotes, units, the kind of header, the column beside, and the end of a line."""

    separator: str
    decimal: str
    quote: str
    header: str
    time_unit: str
    voltage_unit: str
    beside: str
    timed: bool
    line_end: str
    ended: bool

    def cells(self, texts: Sequence[str]) -> str:
        """Write one row."""
        return self.separator.join(f"{self.quote}{text}{self.quote}" for text in texts)

    def number(self, text: str) -> str:
        """Write one number."""
        return text.replace(".", self.decimal)

    def heads(self) -> list[str]:
        """Write the header."""
        names, units = ["Time", "Voltage"], [self.time_unit, self.voltage_unit]
        if BESIDE[self.beside]:
            names.append(BESIDE[self.beside][0])
            units.append(BESIDE[self.beside][1])
        columns = list(zip(names, units, strict=True))[0 if self.timed else 1 :]
        if self.header == "unit row":
            return [self.cells([name for name, _ in columns]), self.cells([unit for _, unit in columns])]
        opening, closing = ("(", ")") if self.header == "bracketed" else ("[", "]")
        if self.header in ("bracketed", "square"):
            return [self.cells([f"{name}{opening}{unit}{closing}" if unit else name for name, unit in columns])]
        return [self.cells([name for name, _ in columns])] if self.header == "plain" else []


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A capture as text, and what it means in seconds and volts."""

    text: str
    voltage: list[float]
    start: float
    step: float


@st.composite
def hands(draw: st.DrawFn) -> Hand:
    """Draw a way of writing."""
    header = draw(st.sampled_from(["bracketed", "square", "unit row", "plain", "none"]))
    with_units = header not in ("plain", "none")
    return Hand(
        separator=draw(st.sampled_from([",", ";", "\t", " ", "  ", ", ", " ; "])),
        decimal=draw(st.sampled_from([".", ","])),
        quote='"' if draw(st.booleans()) else "",
        header=header,
        time_unit=draw(st.sampled_from(sorted(TIME_PLACES))) if with_units else "s",
        voltage_unit=draw(st.sampled_from(sorted(VOLTAGE_PLACES))) if with_units else "V",
        beside=draw(st.sampled_from(sorted(BESIDE))) if header != "none" else "nothing",
        timed=draw(st.sampled_from([True, True, True, False])),
        line_end=draw(st.sampled_from(["\n", "\r\n"])),
        ended=draw(st.booleans()),
    )


@st.composite
def written_captures(draw: st.DrawFn) -> Written:
    """Draw a waveform and a hand, and write the one with the other."""
    hand = draw(hands())
    form = draw(st.sampled_from(FORMS))
    size = draw(st.integers(2, 30))
    step = draw(st.integers(1, 999)) * 10.0 ** draw(st.integers(-3, 1))
    first = draw(st.integers(-50, 50)) * step if hand.timed else 0.0
    times = [f"{first + step * index:.9f}" for index in range(size)]
    voltages = [form.format(volt) for volt in draw(st.lists(st.floats(-15.0, 15.0), min_size=size, max_size=size))]
    for at in draw(st.lists(st.integers(1, max(size - 2, 1)), max_size=2)) if size > 5 else ():
        voltages[at] = draw(st.sampled_from(sorted(MARKS)))

    lines = list(draw(st.sampled_from(PREAMBLES)))
    if not hand.timed:
        lines.append(f"Sample interval: {hand.number(f'{step:.6f}')} {hand.time_unit}")
    lines += hand.heads()
    for time, voltage in zip(times, voltages, strict=True):
        row = [hand.number(time), voltage if voltage in MARKS else hand.number(voltage), *BESIDE[hand.beside][2:]]
        lines.append(hand.cells(row[0 if hand.timed else 1 :]))
    by_time, by_voltage = 10.0 ** TIME_PLACES[hand.time_unit], 10.0 ** VOLTAGE_PLACES[hand.voltage_unit]
    span = (float(times[-1]) - float(times[0])) / (size - 1) if hand.timed else float(f"{step:.6f}")
    return Written(
        text=hand.line_end.join(lines) + (hand.line_end if hand.ended else ""),
        voltage=[MARKS.get(text, np.nan) if text in MARKS else float(text) / by_voltage for text in voltages],
        start=float(times[0]) / by_time if hand.timed else 0.0,
        step=span / by_time,
    )


def read_or_error(path: Path) -> Capture | CaptureError:
    """Read a capture, or return the error of captures that says why not; any other error is a fault."""
    try:
        return read_waveform(path)
    except CaptureError as error:
        return error


def commas_twice(value: str) -> Written:
    """A comma for decimals and between fields, and one row with a mark that has no decimals."""
    rows = "".join(f"{number},01.05.2031\n" for number in ("0,000", "NA", f"{value},000", "0,000", "0,000", "0,000"))
    return Written(
        text=f"Sample interval: 1,000000 ms\nVoltage(V),Day\n{rows}",
        voltage=[0.0, np.nan, float(value), 0.0, 0.0, 0.0],
        start=0.0,
        step=0.001,
    )


@pytest.mark.independent("Python's own formatting and float() of each number as it was written")
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@example(written=commas_twice("0"), encoding="utf-8")
@example(written=commas_twice("-1"), encoding="utf-8")
@example(written=commas_twice("-2"), encoding="utf-8")
@given(written=written_captures(), encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "latin-1"]))
def test_any_dialect_gives_the_same_numbers_or_is_refused(tmp_path: Path, written: Written, encoding: str) -> None:
    """A capture written in a random dialect is read as the same numbers, or the dialect is said to be ambiguous."""
    path = tmp_path / "capture.csv"
    path.write_bytes(written.text.encode(encoding))

    read = read_or_error(path)

    if isinstance(read, CaptureError):
        assert isinstance(read, AmbiguousDialect) or re.search("the header has cells|row has . field", str(read)), read
        assert re.search(r"--(separator|decimal|time|step|skip-rows)\b|with a semicolon", str(read)), read
        return
    waveform = read.waveform
    expected = np.array(written.voltage)
    assert np.array_equal(waveform.voltage, np.where(np.isinf(expected), np.nan, expected), equal_nan=True)
    overload = np.zeros(expected.size, bool) if waveform.overload is None else waveform.overload
    assert (overload == np.isinf(expected)).all()
    assert waveform.start == pytest.approx(written.start, rel=1e-12, abs=1e-18)
    assert waveform.sample_interval == pytest.approx(written.step, rel=1e-9)


@pytest.fixture
def small_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read in blocks of a few rows, so that small files have many of them."""
    monkeypatch.setattr("coldpin.capture.source.BLOCK_BYTES", 64)


def outcome(path: Path, *, quick: bool) -> object:
    """Return all that reading gives, or the text of the error."""
    try:
        capture = read_text(path, Request(), quick=quick)
    except CaptureError as error:
        return str(error)
    wave = capture.waveform
    return (
        *(wave.voltage.tobytes(), wave.start, wave.sample_interval, wave.resolution, capture.remarks),
        None if wave.output is None else wave.output.tobytes(),
        None if wave.overload is None else wave.overload.tobytes(),
        *(capture.rows_read, capture.rows_kept, capture.dialect),
    )


ODDITIES = (
    *("NA", "OVLD", "-OL", "nan", "inf", "9.9E+37", "9.91E37", "", "1_000", "1e400", "infinity", '"1"', " 2", "3 "),
    *("\t4", "5\r", "1,5", "1.5", "1e5", "+7", ".5", "5.", "0x10", "12V", "1 2", "#", "\x00", "\x1a", "é", "½", "-"),
)


@pytest.mark.independent("the strict row grammar, which shares no parser with the quick one")
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data(), written=written_captures())
def test_the_quick_way_and_the_strict_way_agree(
    tmp_path: Path, small_blocks: None, data: st.DataObject, written: Written
) -> None:
    """A file with any oddity put into any place gives the same by both ways: samples, remarks or error."""
    path = tmp_path / "capture.csv"
    text = written.text
    for oddity in data.draw(st.lists(st.sampled_from([*ODDITIES, "\n", "\n\n", "# a\n", ",", ";", "\t"]), max_size=3)):
        at = data.draw(st.integers(0, len(text)))
        text = text[:at] + oddity + text[at:]
    path.write_bytes(text.encode())

    assert outcome(path, quick=True) == outcome(path, quick=False)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(cells=st.lists(st.sampled_from(ODDITIES) | st.floats(-20, 20).map(repr), min_size=1, max_size=12))
def test_both_ways_agree_cell_by_cell(tmp_path: Path, small_blocks: None, cells: list[str]) -> None:
    """Any cell in the voltage column is read the same by both ways."""
    path = tmp_path / "capture.csv"
    rows = [f"{index}e-6;{cell}" for index, cell in enumerate(["1.5", "2.5", *cells, "3.5"])]
    path.write_text("Time (s);Pilot (V)\n" + "\n".join(rows) + "\n", encoding="utf-8", newline="")

    assert outcome(path, quick=True) == outcome(path, quick=False)


CSV_SIGNS = "0123456789.,;\t \"'-+eE\n\r#:VsmAN()[]\x00\x1aµ"


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    content=st.binary(max_size=400)
    | st.text(CSV_SIGNS, max_size=400).map(str.encode)
    | st.text(CSV_SIGNS, max_size=200).map(lambda text: text.encode("utf-16"))
)
def test_any_bytes_are_read_or_refused(tmp_path: Path, content: bytes) -> None:
    """Whatever a file holds, either finite samples at a positive step come out or one error of captures."""
    path = tmp_path / "capture.csv"
    path.write_bytes(content)

    capture = read_or_error(path)

    if isinstance(capture, CaptureError):
        assert str(capture).startswith("capture capture.csv")
        return
    assert capture.waveform.sample_interval > 0.0
    assert np.isfinite(capture.waveform.voltage).any()
    assert not np.isinf(capture.waveform.voltage).any()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data(), written=written_captures())
def test_a_damaged_capture_is_read_or_refused(tmp_path: Path, data: st.DataObject, written: Written) -> None:
    """A capture with bytes changed, cut out or put in raises nothing but an error of captures."""
    path = tmp_path / "capture.csv"
    content = bytearray(written.text.encode())
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, max(len(content) - 1, 0)))
        content[at : at + data.draw(st.integers(0, 9))] = data.draw(st.binary(max_size=4))
    path.write_bytes(bytes(content))

    read = read_or_error(path)

    assert not isinstance(read, CaptureError) or str(read).startswith("capture capture.csv")
