"""Raw files are read as what a person says they are, and never without that."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coldpin.capture import open_samples, read_waveform
from coldpin.capture.choices import Value
from coldpin.errors import AmbiguousDialect, CaptureError
from coldpin.records.file_words import RAW_SAMPLES
from tests.capture.binary import pilot_counts

Write = Callable[..., Path]
SAID: dict[str, Value] = {"format": "raw int16", "rate": "1 MS/s", "scale": 16.0}


@pytest.mark.hand("volts at full scale by half of the span; an unsigned byte has its zero in the middle")
@pytest.mark.parametrize("order", ["", " big-endian", " little-endian"])
@pytest.mark.parametrize("name", RAW_SAMPLES)
def test_every_type_in_both_orders(write: Write, name: str, order: str) -> None:
    """Whole numbers by full scale, floats by a factor, either byte first."""
    counts = np.array([3, 100, 200, 17, 90])
    dtype: Any = np.dtype(name).newbyteorder(">" if "big" in order else "<")
    half = 1.0 if name.startswith("float") else 2.0 ** (8 * dtype.itemsize - 1)

    capture = read_waveform(
        write(counts.astype(dtype).tobytes(), "pilot.raw"),
        choices={"format": f"raw {name}{order}", "step": "1 us", "scale": 12.5},
    )

    middle = 128 if name == "uint8" else 0
    assert capture.waveform.voltage.tolist() == pytest.approx(((counts - middle) * 12.5 / half).tolist(), rel=1e-14)
    assert capture.waveform.sample_interval == 1e-6
    assert capture.dialect.format == f"raw {name}{order.replace(' little-endian', '')}"


def test_what_a_raw_file_does_not_say_must_be_said(write: Write) -> None:
    """The format, the rate and, for whole numbers, the volts at full scale, each asked for by its option."""
    path = write(pilot_counts().tobytes(), "pilot.bin")

    with pytest.raises(CaptureError, match=r"its content is binary, not text; .*--format says which \(\"raw int16\"\)"):
        read_waveform(path)
    for said, asked in (
        ({}, r"give --rate \(or --step\) and --scale \(volts at full scale\)"),
        ({"rate": 1e6}, r"give --scale \(volts at full scale\)$"),
        ({"scale": 16.0}, r"give --rate \(or --step\)$"),
    ):
        with pytest.raises(CaptureError, match=f"pilot.bin: a raw file says nothing of its samples: {asked}"):
            read_waveform(path, choices={"format": "raw int16", **said})
    with pytest.raises(CaptureError, match="--format 'raw int12' is not known; a raw file is one of raw uint8, raw"):
        read_waveform(path, choices={"format": "raw int12"})
    with pytest.raises(CaptureError, match="--decimal means nothing here: this is a file read as raw int16"):
        read_waveform(path, choices={**SAID, "decimal": "comma"})
    assert read_waveform(path, choices=SAID).waveform.voltage.tolist() == (pilot_counts() / 2048.0).tolist()
    assert read_waveform(
        write(np.array([1.0, 2.0], "<f4").tobytes()), choices={"format": "raw float32", "rate": 1.0}
    ).waveform.voltage.tolist() == [1.0, 2.0]


def test_text_can_be_meant_as_raw(write: Write) -> None:
    """The format said by hand goes before what the bytes look like."""
    capture = read_waveform(write(b"0,1\n1,2\n2,3\n", "pilot.bin"), choices=SAID)

    assert capture.waveform.samples == 6


def test_channels_side_by_side(write: Write) -> None:
    """Of several channels one is named; what is left over at the end is said."""
    both = np.stack([pilot_counts(), np.arange(480, dtype=np.int16)], axis=1)
    path = write(both.tobytes() + b"\x01\x02\x03", "pilot.raw")

    with pytest.raises(AmbiguousDialect, match="2 channels can be the voltage of the pilot: --voltage 1, --voltage 2"):
        read_waveform(path, choices={**SAID, "channels": 2})
    with pytest.raises(CaptureError, match="--channels 0 cannot be meant"):
        read_waveform(path, choices={**SAID, "channels": 0})
    with pytest.raises(CaptureError, match="--channels 2000 cannot be meant; at most 1024"):
        read_waveform(path, choices={**SAID, "channels": 2000})
    with pytest.raises(CaptureError, match=r"it has 3 bytes, less than one sample of each channel \(4\)"):
        read_waveform(write(b"abc"), choices={**SAID, "channels": 2})
    capture = read_waveform(path, choices={**SAID, "channels": "2", "voltage": 1, "output": "2", "output_scale": 400})

    assert capture.waveform.output is not None
    assert capture.waveform.voltage.tolist() == (both[:, 0] / 2048.0).tolist()
    assert capture.waveform.output.tolist() == pytest.approx((both[:, 1] * (400.0 / 32768.0)).tolist())
    assert capture.remarks == ("left out at the end: 3 bytes, less than one sample of each channel",)


def test_floats_that_are_no_numbers(write: Write) -> None:
    """NaN is missing, infinite is beyond range; a stream gives NaN for both."""
    path = write(np.array([1.0, np.nan, np.inf, -np.inf, 2.0], "<f4").tobytes(), "pilot.raw")
    said: dict[str, Value] = {"format": "raw float32", "rate": 1.0}

    capture = read_waveform(path, choices=said)
    with open_samples(path, choices=said) as source:
        ((stored, _),) = source.chunks(10)

    assert capture.waveform.overload is not None
    assert capture.waveform.overload.tolist() == [False, False, True, True, False]
    assert "1 of 5 samples of the voltage are missing" in capture.remarks
    assert np.isnan(stored).tolist() == [False, True, True, True, False]
    with pytest.raises(CaptureError, match="it holds no voltage at all, only marks"):
        read_waveform(write(np.full(9, np.nan, "<f4").tobytes()), choices=said)


def test_the_instruments_raw_format_is_remembered(write: Write) -> None:
    """Format, scale and channels belong to the instrument, the rate to the recording."""
    first = read_waveform(write(pilot_counts().tobytes(), "a.raw"), choices=SAID)

    with pytest.raises(CaptureError, match=r"give --rate \(or --step\)"):
        read_waveform(write(pilot_counts().tobytes(), "b.raw"), remembered=first.dialect)
    later = read_waveform(write(pilot_counts().tobytes(), "b.raw"), remembered=first.dialect, choices={"rate": "2 MHz"})
    again = read_waveform(write(pilot_counts().tobytes(), "a.raw"), dialect=first.dialect)

    assert later.waveform.voltage.tolist() == first.waveform.voltage.tolist() == again.waveform.voltage.tolist()
    assert (later.waveform.sample_interval, again.waveform.sample_interval) == (5e-7, 1e-6)
    assert read_waveform(write("t;U\n0,5;1\n1,5;2\n"), remembered=first.dialect).reader == "text"


def test_a_file_that_shrinks_is_noticed(write: Write) -> None:
    """Samples that were there at opening and are no more are not invented."""
    path = write(pilot_counts().tobytes(), "pilot.raw")
    with open_samples(path, choices=SAID) as source:
        path.write_bytes(pilot_counts().tobytes()[:100])
        with pytest.raises(CaptureError, match="it ends at byte 100, where 960 were there when it was opened"):
            list(source.chunks(64))
        with pytest.raises(ValueError, match="the array is of type float64, the samples are int16"):
            source.read(0, np.empty(3))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    values=st.lists(st.floats(-1e3, 1e3, width=32), min_size=1, max_size=60),
    name=st.sampled_from(["float32", "float64", "float64 big-endian"]),
    size=st.integers(1, 17),
    first=st.integers(0, 70),
)
def test_stream_and_whole_are_equal(write: Write, values: list[float], name: str, size: int, first: int) -> None:
    """In any cut, from any place, the stream's samples become the volts of the whole capture."""
    dtype: Any = np.dtype(name.split()[0]).newbyteorder(">" if "big" in name else "<")
    path = write(np.array(values, dtype).tobytes(), "pilot.raw")
    said: dict[str, Value] = {"format": f"raw {name}", "rate": 1e6, "scale": 0.3}

    capture = read_waveform(path, choices=said)
    with open_samples(path, choices=said) as source:
        joined = np.concatenate([pilot.copy() for pilot, _ in source.chunks(size)])
        some = np.empty(size, source.dtype)
        count = source.read(first, some)

    volts = capture.waveform.voltage
    assert (joined.astype(float) * source.gain).tolist() == volts.tolist()
    assert (some[:count].astype(float) * source.gain).tolist() == volts[first : first + size].tolist()
