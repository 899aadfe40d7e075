"""What is written in any dialect is read back as the same numbers, or refused: never as other numbers."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coldpin.capture import Capture, read_waveform
from coldpin.capture.record import Request
from coldpin.capture.text import read_text
from coldpin.errors import AmbiguousDialect, CaptureError

TIME_FACTORS = {"s": 0, "ms": 3, "µs": 6, "us": 6, "ns": 9}
VOLTAGE_FACTORS = {"V": 0, "mV": 3}
PREAMBLES = (
    (),
    ("Brackwater Boatyard",),
    ("# pilot of the Skerrow 16", "# taken in the shed"),
    ("Instrument: a scope", "Record length: 5", ""),
    ('"Title"', "two words, and a comma"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A capture as text, and what it means in seconds and volts."""

    text: str
    voltage: list[float]
    start: float
    step: float


def exact(text: str) -> float:
    """Read a number as the writer wrote it, by Python's own reader."""
    return float(text)


@st.composite
def written_captures(draw: st.DrawFn) -> Written:
    """Draw a waveform and a dialect, and write the one in the other."""
    separator = draw(st.sampled_from([",", ";", "\t", " ", "  ", ", ", " ; "]))
    decimal = draw(st.sampled_from([".", ","]))
    quote = '"' if draw(st.booleans()) else ""
    time_unit = draw(st.sampled_from(sorted(TIME_FACTORS)))
    voltage_unit = draw(st.sampled_from(sorted(VOLTAGE_FACTORS)))
    header = draw(st.sampled_from(["bracketed", "square", "unit row", "plain", "none"]))
    form = draw(st.sampled_from(["{:.3f}", "{:.6f}", "{:.4e}", "{:+.2f}", "{:.0f}", "{:.9g}"]))
    size = draw(st.integers(2, 30))
    volts = draw(st.lists(st.floats(-15.0, 15.0), min_size=size, max_size=size))
    step = draw(st.integers(1, 999)) * 10.0 ** draw(st.integers(-3, 1))
    first = draw(st.integers(-50, 50)) * step
    times = [f"{first + step * index:.9f}" for index in range(size)]
    voltages = [form.format(volt) for volt in volts]
    line_end = draw(st.sampled_from(["\n", "\r\n"]))

    def cells(*texts: str) -> str:
        return separator.join(f"{quote}{text}{quote}" for text in texts)

    def number(text: str) -> str:
        return text.replace(".", decimal)

    lines = list(draw(st.sampled_from(PREAMBLES)))
    if header == "bracketed":
        lines.append(cells(f"Time({time_unit})", f"Voltage({voltage_unit})"))
    elif header == "square":
        lines.append(cells(f"Time[{time_unit}]", f"Voltage[{voltage_unit}]"))
    elif header == "unit row":
        lines += [cells("Time", "Voltage"), cells(time_unit, voltage_unit)]
    elif header == "plain":
        lines.append(cells("Time", "Voltage"))
        time_unit, voltage_unit = "s", "V"
    else:
        time_unit, voltage_unit = "s", "V"
    lines += [cells(number(time), number(voltage)) for time, voltage in zip(times, voltages, strict=True)]
    by_time, by_voltage = 10.0 ** TIME_FACTORS[time_unit], 10.0 ** VOLTAGE_FACTORS[voltage_unit]
    return Written(
        text=line_end.join(lines) + (line_end if draw(st.booleans()) else ""),
        voltage=[exact(text) / by_voltage for text in voltages],
        start=exact(times[0]) / by_time,
        step=(exact(times[-1]) - exact(times[0])) / (size - 1) / by_time,
    )


def read_or_error(path: Path) -> Capture | CaptureError:
    """Read a capture, or return the error of captures that says why not; any other error is a fault."""
    try:
        return read_waveform(path)
    except CaptureError as error:
        return error


@pytest.mark.independent("Python's own formatting and float() of each number as it was written")
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(written=written_captures(), encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "latin-1"]))
def test_any_dialect_gives_the_same_numbers_or_is_refused(tmp_path: Path, written: Written, encoding: str) -> None:
    """A capture written in a random dialect is read as the same numbers, or the dialect is said to be ambiguous."""
    path = tmp_path / "capture.csv"
    path.write_bytes(written.text.encode(encoding))

    read = read_or_error(path)

    if isinstance(read, CaptureError):
        assert isinstance(read, AmbiguousDialect), read
        assert re.search("--(separator|decimal|time|step)|with a semicolon", str(read))
        return
    waveform = read.waveform
    assert waveform.voltage.tolist() == written.voltage
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
