"""Parquet tables: columns as in text, time stamps, missing values, batches; damage is named."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coldpin.capture import open_samples, read_waveform, sniff
from coldpin.capture.log import read_log
from coldpin.errors import AmbiguousDialect, CaptureError
from tests.capture.test_npy import VOLTS

Write = Callable[..., Path]
TIMES = np.arange(300.0)
NOON = datetime(2026, 5, 2, 12)  # a recorder's clock knows no zone


def table(how: dict[str, Any] | None = None, **columns: Any) -> bytes:
    """Return columns as polars saves them; ``how`` says row groups and compression."""
    file = io.BytesIO()
    pl.DataFrame(columns).write_parquet(file, **(how or {}))
    return file.getvalue()


def named(columns: dict[str, Any]) -> bytes:
    """Return columns whose names are no words of Python."""
    return table(**columns)


@pytest.mark.independent("polars writes the file")
def test_columns_by_name_and_unit(write: Write) -> None:
    """A header tells as in text; a column of text beside it is left alone."""
    path = write(
        named({"note": ["a"] * 300, "Time (us)": TIMES, "Pilot (mV)": VOLTS * 1000.0, "Output (V)": VOLTS}),
        "pilot.parquet",
    )

    capture = read_waveform(path)

    assert capture.waveform.voltage.tolist() == pytest.approx(VOLTS.tolist(), rel=1e-12)
    assert capture.waveform.sample_interval == pytest.approx(1e-6, rel=1e-12)
    assert capture.waveform.output is not None
    assert capture.waveform.output.tolist() == VOLTS.tolist()
    assert capture.dialect.units == {"Time": "us", "Pilot": "mV", "Output": "V"}
    assert (capture.reader, capture.dialect.format) == ("parquet", "parquet")
    assert sniff(path) == capture.dialect
    again = read_waveform(path, dialect=capture.dialect)
    assert again.waveform.voltage.tolist() == capture.waveform.voltage.tolist()


@pytest.mark.hand("stamps 20 ms apart; a duration or a time of day does as well")
@pytest.mark.parametrize("kind", [pl.Datetime("ms"), pl.Datetime("us"), pl.Datetime("ns", "UTC"), pl.Duration("us")])
def test_time_stamps(write: Write, kind: Any) -> None:
    """Stamps are counted from the first one, to their last digit."""
    steps = [timedelta(milliseconds=20 * index) for index in range(300)]
    stamps = pl.Series("When", steps if kind.is_(pl.Duration("us")) else [NOON + step for step in steps])
    stamps = stamps if kind.is_(pl.Duration("us")) else stamps.dt.cast_time_unit(kind.time_unit)
    if isinstance(kind, pl.Datetime) and kind.time_zone:
        stamps = stamps.dt.replace_time_zone(kind.time_zone)

    capture = read_waveform(write(table(When=stamps, Pilot=VOLTS), "pilot.parquet"))

    assert capture.waveform.sample_interval == pytest.approx(0.02, rel=1e-12)
    assert (capture.waveform.start, capture.dialect.time) == (0.0, "When")
    assert "the time stamps in column 'When' were counted from the first one" in capture.remarks


def test_what_is_missing_or_beyond_range(write: Write) -> None:
    """A null or NaN is missing, infinity beyond range; whole numbers with a null too."""
    floats = read_waveform(
        write(table(u=[1.0, None, float("nan"), float("inf"), 2.0]), "a.parquet"), choices={"step": 1}
    )
    whole = read_waveform(write(table(u=[1, None, 3, 4, 2]), "b.parquet"), choices={"step": 1})

    assert np.isnan(floats.waveform.voltage).tolist() == [False, True, True, True, False]
    assert floats.waveform.overload is not None
    assert floats.waveform.overload.tolist() == [False, False, False, True, False]
    assert "2 of 5 samples of the voltage are missing" in floats.remarks
    assert np.isnan(whole.waveform.voltage).tolist() == [False, True, False, False, False]
    with pytest.raises(CaptureError, match=r"row 2: the time in column 't' is missing"):
        read_waveform(write(table(t=[0.0, None, 2.0], u=[1.0, 2.0, 3.0]), "c.parquet"))


def test_what_is_meant_is_asked(write: Write) -> None:
    """As for text: two voltages are a question, no step is refused, a wrong unit too."""
    path = write(table(CH1=VOLTS, CH2=VOLTS), "pilot.parquet")

    with pytest.raises(AmbiguousDialect, match="2 columns can be the voltage of the pilot: --voltage CH1, --voltage"):
        read_waveform(path, choices={"step": 1})
    with pytest.raises(CaptureError, match="there is no time column: give --step or --rate"):
        read_waveform(path, choices={"voltage": "CH2"})
    with pytest.raises(CaptureError, match="--skip-rows means nothing here: this is a Parquet table"):
        read_waveform(path, choices={"step": 1, "skip_rows": 2})
    with pytest.raises(CaptureError, match="no column can be the voltage"):
        read_waveform(write(table(a=["x", "y"]), "text.parquet"), choices={"step": 1})
    with pytest.raises(CaptureError, match="it holds no rows of samples"):
        read_waveform(write(table(a=pl.Series([], dtype=pl.Float64)), "none.parquet"), choices={"step": 1})


def test_odd_names(tmp_path: Path) -> None:
    """A name with the signs that others take for a pattern is a name."""
    path = tmp_path / "pilot[1]*.parquet"
    path.write_bytes(table(u=VOLTS))

    assert read_waveform(path, choices={"step": 1}).waveform.samples == 300


@pytest.mark.parametrize(
    "content", [b"PAR1", b"PAR1" + b"\x00" * 100 + b"PAR1", table(u=VOLTS)[:-200], table(u=VOLTS)[:600]]
)
def test_damage_is_named(write: Write, content: bytes) -> None:
    """One message of ours, for whole and stream alike."""
    path = write(content, "pilot.parquet")

    with pytest.raises(CaptureError, match=r"^capture pilot.parquet: as Parquet it is damaged or cut short") as whole:
        read_waveform(path, choices={"step": 1})
    with pytest.raises(CaptureError) as stream:
        open_samples(path, choices={"step": 1})
    assert str(whole.value) == str(stream.value)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)
@given(
    values=st.lists(st.one_of(st.floats(-1e6, 1e6), st.none()), min_size=1, max_size=60),
    group=st.integers(1, 40),
    size=st.integers(1, 17),
    first=st.integers(0, 70),
)
def test_stream_and_whole_are_equal(
    write: Write, values: list[float | None], group: int, size: int, first: int
) -> None:
    """In any row groups and any cut the stream gives the volts of the whole capture."""
    values = [1.0, *values]
    path = write(table({"row_group_size": group}, u=values, output=values[::-1]), "pilot.parquet")

    capture = read_waveform(path, choices={"step": 1, "scale": 0.3})
    with open_samples(path, choices={"step": 1, "scale": 0.3}) as source:
        parts = list(source.chunks(size))
        some = np.empty(size)
        count = source.read(first, some)

    expected = np.array([np.nan if value is None else value for value in values]) * 0.3
    joined = np.concatenate([pilot for pilot, _ in parts])
    assert np.array_equal(capture.waveform.voltage, expected, equal_nan=True)
    assert np.array_equal(joined, expected, equal_nan=True)
    assert np.array_equal(some[:count], expected[first : first + size], equal_nan=True)
    assert all(pilot.size <= size for pilot, _ in parts)
    assert source.samples == capture.waveform.samples


@pytest.mark.hand("9 million numbers of 8 bytes are 72 MiB; a column of one value is packed to some kilobytes")
def test_what_would_fill_the_memory_is_refused_before_it_is_read(write: Write) -> None:
    """As capture and as log, by what its footer claims; in parts it is read, which takes no more than a part."""
    path = write(table(voltage=np.full(9 << 20, 12.0)), "pilot.parquet")
    told = r"claims 9437184 numbers, which in memory take more than 200 times as many: it was not read"

    with pytest.raises(CaptureError, match=told):
        read_waveform(path, choices={"rate": 1e6})
    with pytest.raises(CaptureError, match=told):
        read_log(path, choices={"column": "voltage=voltage:V", "step": "1 s"})
    with open_samples(path, choices={"rate": 1e6}) as source:
        first, _ = next(iter(source.chunks(1000)))
    assert first.tolist() == [12.0] * 1000
