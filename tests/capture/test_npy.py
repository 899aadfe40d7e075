"""NumPy arrays are read from their place in the file, by column, row or field; nothing in them is run."""

from __future__ import annotations

import io
import pickle
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.capture import open_samples, read_waveform, sniff
from coldpin.capture.choices import Value
from coldpin.errors import AmbiguousDialect, CaptureError

Write = Callable[..., Path]
STEP: dict[str, Value] = {"step": "1 us"}
VOLTS = np.round(np.sin(np.arange(300.0)) * 12.0, 2)


def saved(array: NDArray[Any], **how: Any) -> bytes:
    """Return an array as NumPy saves it."""
    file = io.BytesIO()
    np.save(file, array, **how)
    return file.getvalue()


def claiming(descr: str, shape: str, data: bytes = b"", *, fortran: bool = False) -> bytes:
    """Return a file whose header claims what it likes."""
    text = f"{{'descr': {descr}, 'fortran_order': {fortran}, 'shape': {shape}, }}".encode().ljust(117) + b"\n"
    return b"\x93NUMPY\x01\x00" + len(text).to_bytes(2, "little") + text + data


@pytest.mark.independent("numpy.save writes the file")
@pytest.mark.parametrize("kind", ["<f8", ">f8", "<f4", ">f4", "<f2", "<i2", ">i2", "i1", "u1", "<u2", "<i4", "<i8"])
def test_every_type_of_number(write: Write, kind: str) -> None:
    """One column of any real numbers in either byte order gives those numbers."""
    array = np.arange(0, 100).astype(kind)

    capture = read_waveform(write(saved(array), "pilot.npy"), choices=STEP)

    assert capture.waveform.voltage.tolist() == array.astype(float).tolist()
    assert (capture.reader, capture.dialect.format, capture.dialect.voltage) == ("npy", "npy", "1")
    assert ("was taken as it stands; if these are counts" in str(capture.remarks)) == (array.dtype.kind != "f")


@pytest.mark.independent("numpy.save writes the file")
@pytest.mark.parametrize("order", ["C", "F"])
@pytest.mark.parametrize("turned", [False, True])
def test_time_beside_voltage(write: Write, order: Any, turned: bool) -> None:
    """Two columns or two rows, stored either way: the one that rises evenly is the time."""
    both = np.stack([np.arange(300.0) * 1e-6, VOLTS], axis=1)
    array = np.asarray(both.T if turned else both, order=order)
    path = write(saved(array), "pilot.npy")

    capture = read_waveform(path)

    assert capture.waveform.voltage.tolist() == VOLTS.tolist()
    assert capture.waveform.sample_interval == pytest.approx(1e-6, rel=1e-12)
    assert (capture.dialect.time, capture.dialect.voltage, capture.dialect.step) == ("1", "2", None)
    again = read_waveform(path, dialect=capture.dialect)
    assert again.waveform.voltage.tolist() == VOLTS.tolist()
    assert again.dialect.step is None
    with open_samples(path) as source:
        ((stored, _),) = source.chunks(1000)
    assert stored.tolist() == VOLTS.tolist()


def test_output_beside_voltage(write: Write) -> None:
    """Two columns without a time are a question; both can be named."""
    both = np.stack([VOLTS, VOLTS[::-1] * 20.0], axis=1)
    path = write(saved(both), "pilot.npy")

    with pytest.raises(AmbiguousDialect, match=r"--voltage 1, --voltage 2; .* add: --voltage 1 --output 2$"):
        read_waveform(path, choices=STEP)
    capture = read_waveform(path, choices={**STEP, "voltage": 1, "output": 2, "output_scale": 2, "scale": 10})

    assert capture.waveform.output is not None
    assert capture.waveform.voltage.tolist() == (VOLTS * 10.0).tolist()
    assert capture.waveform.output.tolist() == (VOLTS[::-1] * 40.0).tolist()


def test_fields_by_name(write: Write) -> None:
    """Named fields are columns with a header: name and unit decide, text beside them is left alone."""
    array = np.zeros(300, [("note", "S3"), ("Time (us)", "<i4"), ("Pilot (mV)", ">f4"), ("Output (V)", "f8")])
    array["Time (us)"] = np.arange(300) * 4
    array["Pilot (mV)"] = VOLTS * 1000.0
    array["Output (V)"] = VOLTS

    path = write(saved(array), "pilot.npy")
    capture = read_waveform(path)

    assert capture.waveform.voltage.tolist() == pytest.approx(VOLTS.tolist(), rel=1e-6)
    assert capture.waveform.sample_interval == pytest.approx(4e-6, rel=1e-12)
    assert capture.waveform.output is not None
    assert capture.waveform.output.tolist() == VOLTS.tolist()
    assert (capture.dialect.time, capture.dialect.voltage, capture.dialect.output) == ("Time", "Pilot", "Output")
    assert capture.dialect.units == {"Time": "us", "Pilot": "mV", "Output": "V"}
    with pytest.raises(CaptureError, match=r"column 'note', taken for the voltage, holds text, not numbers"):
        read_waveform(path, choices={"voltage": "note"})
    later = read_waveform(path, remembered=capture.dialect)
    assert later.waveform.voltage.tolist() == capture.waveform.voltage.tolist()


class Runs:
    """An object that would run something if it were unpacked."""

    def __reduce__(self) -> tuple[Any, ...]:
        return (pytest.fail, ("the file was unpacked",))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (saved(np.array([Runs()], object), allow_pickle=True), "it holds Python objects, which only running code"),
        (claiming("'|O'", "(3,)", pickle.dumps(Runs())), "it holds Python objects, which only running code"),
        (saved(np.array([1j])), "it holds complex128 values, not real numbers"),
        (saved(np.array(["a"])), "it holds str32 values, not real numbers"),
        (saved(np.array([True])), "it holds bool values, not real numbers"),
        (saved(np.array(1.0)), r"it is an array of shape \(\)"),
        (saved(np.zeros((3, 3, 3))), r"it is an array of shape \(3, 3, 3\)"),
        (saved(np.zeros((5, 5))), "nothing says whether its rows or its columns are the samples"),
        (saved(np.zeros((500, 70))), "it has 70 columns; at most 64 are read"),
        (saved(np.zeros(0)), "which holds no samples"),
        (claiming("'<f8'", "(-3,)"), r"its header says a shape of \(-3,\)"),
        (claiming("'<f8'", "(True,)", VOLTS.tobytes()), r"its header says a shape of \(True,\)"),
        (claiming("'<f8'", "(2000000000000,)"), "its header claims an array of shape .* the file is cut short"),
        (claiming("'<f8'", "(2, 2000000000000)", b"\x00" * 800), "the 800 bytes that follow are not enough"),
        (claiming("__import__('os').getcwd()", "(3,)"), r"its header cannot be read \(ValueError\)"),
        (claiming("'wrong'", "(3,)"), r"its header cannot be read \(TypeError\)"),
        (b"\x93NUMPY\x01\x00\xff\xff{", "its header is cut short or no header"),
        (b"\x93NUMPY\x01", r"its header cannot be read \(error\)"),
        (b"\x93NUMPY\x02\x00\xff\xff\xff\xff{", "its header is cut short or no header"),
        (saved(VOLTS), None),
    ],
)
def test_hostile_arrays_are_refused(write: Write, content: bytes, said: str | None) -> None:
    """Objects, other kinds of numbers, false claims and damage: one message, for whole and stream alike."""
    path = write(content, "pilot.npy")
    said = said or r"there is no time column: give --step or --rate, or name the column with --time"
    choices: dict[str, Value] = STEP if content != saved(VOLTS) else {}

    tracemalloc.start()
    try:
        with pytest.raises(CaptureError, match=said) as whole:
            read_waveform(path, choices=choices)
        with pytest.raises(CaptureError) as stream:
            open_samples(path, choices=choices)
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert str(whole.value) == str(stream.value)
    assert str(whole.value).startswith("capture pilot.npy: ")
    assert most < 4 << 20


def test_a_file_cut_short_gives_what_is_there(write: Write) -> None:
    """Rows that are whole are read and the rest is counted; bytes behind the array are said."""
    cut = read_waveform(write(saved(VOLTS)[:-900], "pilot.npy"), choices=STEP)
    more = read_waveform(write(saved(VOLTS) + b"abc", "pilot.npy"), choices=STEP)

    assert cut.waveform.voltage.tolist() == VOLTS[:187].tolist()
    assert cut.remarks[0] == (
        "its header claims an array of shape (300,), 300 numbers or records; 187 whole rows are there: the file is cut "
        "short; what is there was read"
    )
    assert more.waveform.voltage.tolist() == VOLTS.tolist()
    assert more.remarks[0] == "behind the array 3 further bytes stand, which were not read"


def test_uneven_times_are_refused(write: Write) -> None:
    """A gap in the times is found at its row, as in text."""
    times = np.arange(300.0)
    times[200:] += 5.0

    with pytest.raises(CaptureError, match=r"pilot.npy, row 201: the rows are not evenly spaced: the largest gap is 6"):
        read_waveform(write(saved(np.stack([times, VOLTS], axis=1)), "pilot.npy"))


def test_a_long_array_is_looked_at_without_loading_it(tmp_path: Path) -> None:
    """Three gigabytes of samples open as a stream, and are refused as a whole."""
    path = tmp_path / "long.npy"
    with path.open("wb") as file:
        file.write(claiming("'<i2'", f"({3 << 29},)"))
        file.truncate(128 + (3 << 30))
    tracemalloc.start()
    try:
        sniff(path, choices=STEP)
        with open_samples(path, choices=STEP) as source:
            assert source.samples == 3 << 29
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert most < 16 << 20
    with pytest.raises(CaptureError, match="which in memory exceed the 2 GiB"):
        read_waveform(path, choices=STEP)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    values=st.lists(st.floats(-1e6, 1e6, width=32), min_size=2, max_size=50),
    dtype=st.sampled_from(["<f8", ">f8", "<f4", "<f2", "<i2", ">i4", "u1"]),
    columns=st.integers(1, 3),
    order=st.sampled_from(["C", "F"]),
    size=st.integers(1, 17),
)
def test_stream_and_whole_are_equal(
    write: Write, values: list[float], dtype: str, columns: int, order: Any, size: int
) -> None:
    """What NumPy writes comes back in any cut, as the whole capture has it."""
    with np.errstate(all="ignore"):
        column = np.clip(np.array(values), 0, 200).astype(dtype)
    array = np.asarray(np.stack([column] * columns, axis=1), order=order)
    if len(set(array.shape)) == 1 or columns > len(values):
        array = column
    path = write(saved(array), "pilot.npy")
    said: dict[str, Value] = {**STEP, "voltage": 1, "scale": 0.3}

    capture = read_waveform(path, choices=said)
    with open_samples(path, choices=said) as source:
        joined = np.concatenate([pilot.copy() for pilot, _ in source.chunks(size)])

    assert (joined.astype(float) * source.gain).tolist() == capture.waveform.voltage.tolist()
    assert joined.astype(float).tolist() == column.astype(float).tolist()
