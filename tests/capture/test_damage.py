"""Files with bytes changed, put in, taken out and cut off: read, or refused in words, never anything else.

Parquet stands apart: its bytes are another program's to judge (``tests/capture/test_parquet.py``).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coldpin.capture import open_samples, read_waveform
from coldpin.capture.choices import Value
from coldpin.errors import InputError
from tests.capture.binary import pilot_counts, wav
from tests.capture.comtrade_writing import ascii_samples, binary_samples, header, single_file
from tests.capture.test_npy import VOLTS, saved
from tests.capture.test_npz import TIMES, archive

Write = Callable[..., Path]
FIELDS = np.zeros(50, [("t (us)", "<i4"), ("Pilot (mV)", ">f4")])
FIELDS["t (us)"] = np.arange(50)
WHOLE: dict[str, tuple[bytes, dict[str, Value]]] = {
    "pilot.wav": (wav(pilot_counts(48).tobytes()), {"scale": 16.0}),
    "columns.npy": (saved(np.stack([TIMES, VOLTS], axis=1)), {}),
    "fields.npy": (saved(FIELDS), {}),
    "counts.npy": (saved(pilot_counts(60)), {"step": 1.0}),
    "pilot.npz": (archive(True, u=VOLTS[:60], rate=3.0), {}),
    "binary.cff": (single_file(header(kind="BINARY"), binary_samples([[n] for n in range(4)]), "BINARY"), {}),
    "stamps.cff": (single_file(header(rates=((0.0, 9),)), ascii_samples([[n] for n in range(9)])), {}),
}
PLACE = st.integers(0, 1 << 12)
CHANGES = st.lists(
    st.one_of(
        st.tuples(st.just("set"), PLACE, st.integers(0, 255)),
        st.tuples(st.just("put in"), PLACE, st.sampled_from(b"0123456789,-e\x00\xff")),
        st.tuples(st.just("take out"), PLACE, st.integers(1, 9)),
        st.tuples(st.just("cut"), PLACE, st.just(0)),
    ),
    min_size=1,
    max_size=5,
)


def damaged(content: bytes, changes: list[tuple[str, int, int]]) -> bytes:
    """Return the content after all changes; places wrap around."""
    data = bytearray(content)
    for what, anywhere, value in changes:
        at = anywhere % max(len(data), 1)
        if what == "set":
            data[at : at + 1] = bytes([value])
        elif what == "put in":
            data[at:at] = bytes([value]) * 4
        elif what == "take out":
            del data[at : at + value]
        else:
            del data[max(at, 1) :]
    return bytes(data)


@pytest.mark.parametrize("name", WHOLE)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(changes=CHANGES)
def test_damage_is_read_or_refused(write: Write, name: str, changes: list[tuple[str, int, int]]) -> None:
    """Whole and stream agree on a damaged file: the same samples, or the same message."""
    content, said = WHOLE[name]
    path = write(damaged(content, changes), name)
    try:
        capture = read_waveform(path, choices=said)
    except InputError as error:
        told = str(error)
    else:
        told = ""
    if told:
        with pytest.raises(InputError) as refused:
            open_samples(path, choices=said).chunks(1).__next__()
        assert refused.value.args == (told,) or "holds no voltage at all" in told
        return
    with open_samples(path, choices=said) as source:
        joined = np.concatenate([pilot.astype(np.float64) * source.gain + source.zero for pilot, _ in source.chunks(9)])
    marked = np.zeros(joined.size, bool) if capture.waveform.overload is None else capture.waveform.overload
    assert np.array_equal(joined[~marked], capture.waveform.voltage[~marked], equal_nan=True)
