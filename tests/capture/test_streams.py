"""A stream refuses what the whole refuses, in the same words, and gives the same samples, whatever the format."""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coldpin.capture import all_readers, open_samples, read_waveform, registry
from coldpin.capture.choices import Value
from coldpin.errors import CaptureError, InputError
from tests.capture.test_bad_input import Case, cases
from tests.capture.test_registry import BEEPS

Write = Callable[..., Path]


@pytest.mark.parametrize("case", cases(), ids=lambda case: case.what)
def test_each_row_of_the_page_holds_for_streams(tmp_path: Path, case: Case) -> None:
    """What is refused or asked is so in the same words; what is read has the same samples and steps."""
    path = tmp_path / case.file
    path.write_bytes(case.holds)
    if not case.says.startswith("reads"):
        with pytest.raises(InputError) as whole:
            read_waveform(path, choices=case.options)
        with pytest.raises(type(whole.value)) as stream:
            open_samples(path, choices=case.options)
        assert str(stream.value) == str(whole.value)
        return
    capture = read_waveform(path, choices=case.options)
    with open_samples(path, choices=case.options) as source:
        joined = np.concatenate([pilot * source.gain + source.zero for pilot, _ in source.chunks(7)])

    marked = np.zeros(joined.size, bool) if capture.waveform.overload is None else capture.waveform.overload
    assert np.array_equal(joined[~marked], capture.waveform.voltage[~marked], equal_nan=True)
    assert (source.samples, source.sample_interval, source.start) == (
        capture.waveform.samples,
        capture.waveform.sample_interval,
        capture.waveform.start,
    )
    assert source.dialect == capture.dialect
    assert set(source.remarks) <= set(capture.remarks)


CELLS = st.one_of(
    st.integers(-15000, 15000).map(lambda n: f"{n / 1000:.3f}"), st.sampled_from(["NA", "OVLD", "-OL", ""])
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(
    rows=st.lists(st.tuples(CELLS, CELLS), min_size=1, max_size=40),
    timed=st.booleans(),
    unit=st.sampled_from(["V", "mV"]),
    size=st.integers(1, 17),
    first=st.integers(0, 50),
)
def test_text_as_a_stream(
    write: Write, rows: list[tuple[str, str]], timed: bool, unit: str, size: int, first: int
) -> None:
    """Rows of text in any cut, with marks, with or without a time column."""
    head = f"{'Time (ms);' if timed else ''}Pilot ({unit});Output (V)"
    rows = [("1.000", "2.000"), ("3.000", "4.000"), *rows]
    lines = [";".join([*([str(n)] if timed else []), *row]) for n, row in enumerate(rows)]
    path = write("\n".join([head, *lines]) + "\n")
    said: dict[str, Value] = {"decimal": "point", **({} if timed else {"step": "1 ms"})}

    capture = read_waveform(path, choices=said)
    with open_samples(path, choices=said) as source:
        parts = list(source.chunks(size))
        some = np.empty(size)
        count = source.read(first, some)

    assert capture.waveform.output is not None
    joined = np.concatenate([pilot for pilot, _ in parts])
    beside = np.concatenate([output for _, output in parts if output is not None])
    assert np.array_equal(joined, capture.waveform.voltage, equal_nan=True)
    assert np.array_equal(beside, capture.waveform.output, equal_nan=True)
    assert np.array_equal(some[:count], joined[first : first + size], equal_nan=True)
    assert all(pilot.size <= size for pilot, _ in parts)
    assert source.resolution == capture.waveform.resolution


def test_text_remembered_and_dropped(write: Write) -> None:
    """A stream follows what is remembered for the instrument, and drops it with the same remark."""
    first = read_waveform(write("t (s);U (mV)\n0,0;1\n1,0;2\n", "a.csv"))
    later, other = write("t (s);U (mV)\n0,0;3\n1,0;4\n", "b.csv"), write("t (s),CH (V)\n0.0,1\n1.0,2\n", "c.csv")

    with open_samples(later, remembered=first.dialect) as source:
        assert [pilot.tolist() for pilot, _ in source.chunks(5)] == [[0.003, 0.004]]
        assert source.dialect.origin["voltage"] == "remembered for this instrument"
    with open_samples(other, remembered=first.dialect) as source:
        assert source.remarks[0] == read_waveform(other, remembered=first.dialect).remarks[0]
        assert "does not fit" in source.remarks[0]


def test_a_long_text_is_not_kept_in_memory(write: Write) -> None:
    """Forty megabytes as numbers are gone through within a few."""
    rows = "".join(f"{n % 7 - 3}.25,{n % 5}.5\n" for n in range(5000))
    path = write("# step 1 us\nPilot (V),Output (V)\n" + rows * 200)

    tracemalloc.start()
    try:
        with open_samples(path) as source:
            total = sum(float(pilot.sum()) for pilot, _ in source.chunks(1 << 16))
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert source.samples == 1_000_000
    assert total == pytest.approx(200 * sum(n % 7 - 3 + (0.25 if n % 7 >= 3 else -0.25) for n in range(5000)), rel=1e-3)
    assert most < 24 << 20


def test_a_text_that_grows_is_noticed(write: Write) -> None:
    """Rows that were not there when it was opened belong to another capture."""
    path = write("t (s);U (V)\n0,0;1\n1,0;2\n")
    with open_samples(path) as source:
        write("t (s);U (V)\n0,0;1\n1,0;2\n2,0;2\n")
        with pytest.raises(CaptureError, match="it has 3 rows of samples now, 2 were there before"):
            list(source.chunks(5))
        with pytest.raises(ValueError, match="the array is of type int16, the samples are float64"):
            source.read(0, np.empty(1, np.int16))
        assert source.read(2, np.empty(1)) == 0


def test_a_reader_of_another_package_streams_too(write: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    """A reader without a stream of its own is read whole and given out in parts."""
    monkeypatch.setattr(registry, "READERS", (BEEPS, *registry.READERS))
    all_readers.cache_clear()
    try:
        with open_samples(write(b"BEEPS\x01\x02\x03", "a.csv")) as source:
            parts = [pilot.tolist() for pilot, _ in source.chunks(2)]
            some = np.empty(5)
            assert source.read(1, some) == 2
            with pytest.raises(ValueError, match="the samples are float64"):
                source.read(0, np.empty(1, np.int16))
    finally:
        monkeypatch.undo()
        all_readers.cache_clear()

    assert parts == [[1.0, 2.0], [3.0]]
    assert source.remarks == ("the ending '.csv' is not one of beeps captures; the content is, and was read as such",)
