"""Archives of named arrays: names decide, single numbers may state the step, nothing in them is run."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coldpin.capture import npz, open_samples, read_waveform, sniff
from coldpin.errors import AmbiguousDialect, CaptureError
from tests.capture.test_npy import VOLTS, claiming

Write = Callable[..., Path]
TIMES = np.arange(300.0) * 1e-6


def archive(packed: bool = False, **arrays: Any) -> bytes:
    """Return arrays as NumPy saves them together."""
    file = io.BytesIO()
    (np.savez_compressed if packed else np.savez)(file, **arrays)
    return file.getvalue()


def zipped(**members: bytes) -> bytes:
    """Return an archive with members of any content."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in members.items():
            made.writestr(f"{name}.npy", content)
    return file.getvalue()


@pytest.mark.independent("numpy.savez writes the file")
@pytest.mark.parametrize("packed", [False, True])
def test_arrays_by_usual_names(write: Write, packed: bool) -> None:
    """Time, pilot and output are known by their names; an array of text beside them is left alone."""
    path = write(archive(packed, t=TIMES, pilot=VOLTS, output=VOLTS[::-1], notes=np.array(["a"])), "pilot.npz")

    capture = read_waveform(path)
    with open_samples(path) as source:
        ((stored, beside),) = source.chunks(1000)

    assert capture.waveform.voltage.tolist() == VOLTS.tolist() == stored.tolist()
    assert capture.waveform.output is not None
    assert beside is not None
    assert capture.waveform.output.tolist() == VOLTS[::-1].tolist() == beside.tolist()
    assert capture.waveform.sample_interval == pytest.approx(1e-6, rel=1e-12)
    assert (capture.reader, capture.dialect.format) == ("npz", "npz")
    assert sniff(path) == capture.dialect
    assert read_waveform(path, dialect=capture.dialect).waveform.voltage.tolist() == VOLTS.tolist()


@pytest.mark.parametrize(
    ("name", "value"), [("rate", 1e6), ("fs", np.int64(1000000)), ("dt", 1e-6), ("sample_interval", np.array([1e-6]))]
)
def test_a_single_number_states_the_step(write: Write, name: str, value: Any) -> None:
    """A rate or a step saved beside the voltage is used, and held against a time column."""
    path = write(archive(**{name: value}, voltage=VOLTS), "pilot.npz")

    capture = read_waveform(path)

    assert capture.waveform.sample_interval == pytest.approx(1e-6, rel=1e-12)
    assert capture.dialect.origin["step"] == "from the header"
    assert sniff(path).step == capture.dialect.step
    with pytest.raises(CaptureError, match="states a step of 1 µs"):
        read_waveform(write(archive(**{name: value}, voltage=VOLTS, time=TIMES * 3.0), "pilot.npz"))


def test_what_is_meant_is_asked(write: Write) -> None:
    """Several arrays without a name that tells are listed with the option to type."""
    path = write(archive(a=VOLTS, b=VOLTS[::-1]), "pilot.npz")

    with pytest.raises(AmbiguousDialect, match="2 columns can be the voltage of the pilot: --voltage a, --voltage b"):
        read_waveform(path, choices={"step": 1.0})
    assert read_waveform(path, choices={"step": 1.0, "voltage": "b"}).waveform.voltage.tolist() == VOLTS[::-1].tolist()
    with pytest.raises(CaptureError, match="there is no time column"):
        read_waveform(path, choices={"voltage": "b"})


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (archive(pilot=VOLTS, t=TIMES[:-1]), r"its arrays are not of one length \('t' has 299, 'pilot' has 300\)"),
        (archive(pilot=np.zeros((30, 2))), r"it holds no array of numbers in one column \(arrays: pilot \(30, 2\)\)"),
        (archive(pilot=np.array([object()]), dt=1.0), "it holds no array of numbers in one column"),
        (zipped(pilot=claiming("'<f8'", "(2000000000000,)"), dt=b""), "array 'pilot' claims 2000000000000 samples"),
        (zipped(pilot=claiming("'<f8'", "(300,)", VOLTS.tobytes()[:90])), "11 are there: the file is cut short"),
        (archive(pilot=VOLTS)[:-40], "the archive is damaged: copy it again"),
        (archive(True, pilot=VOLTS)[:200] + b"\xff" * 8 + archive(True, pilot=VOLTS)[208:], "the archive is damaged"),
        (archive(pilot=np.full(9, np.nan), dt=1.0), "no column can be the voltage"),
        (archive(pilot=VOLTS, rate=1e-320), "array 'rate' states a rate of 9.99989e-321 Hz, whose step is beyond all"),
    ],
)
def test_hostile_archives_are_refused(write: Write, content: bytes, said: str) -> None:
    """Objects, false claims, damage: one message, for whole and stream alike."""
    path = write(content, "pilot.npz")
    choices = {} if any(name in content for name in (b"dt.npy", b"t.npy", b"rate.npy")) else {"rate": 1e6}

    with pytest.raises(CaptureError, match=said) as whole:
        read_waveform(path, choices=choices)
    with pytest.raises(CaptureError) as stream:
        open_samples(path, choices=choices)
    assert str(whole.value) == str(stream.value)
    assert str(whole.value).startswith("capture pilot.npz: ")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(
    values=st.lists(st.one_of(st.floats(-1e6, 1e6), st.just(np.nan)), min_size=2, max_size=50),
    packed=st.booleans(),
    size=st.integers(1, 17),
)
def test_round_trip(write: Write, values: list[float], packed: bool, size: int) -> None:
    """What NumPy writes comes back; a NaN is a sample that is missing."""
    if np.isnan(values).all():
        values = [1.0, *values]
    path = write(archive(packed, v=np.array(values), rate=50.0), "pilot.npz")

    capture = read_waveform(path)
    with open_samples(path) as source:
        joined = np.concatenate([pilot for pilot, _ in source.chunks(size)])

    assert np.array_equal(capture.waveform.voltage, np.array(values), equal_nan=True)
    assert np.array_equal(joined, np.array(values), equal_nan=True)
    assert capture.waveform.sample_interval == 0.02


def packed_zeros(volts: int, compression: int = zipfile.ZIP_DEFLATED) -> bytes:
    """Return an archive of one array of zeros, packed piece by piece."""
    file = io.BytesIO()
    piece = bytes(1 << 20)
    with zipfile.ZipFile(file, "w", compression) as made, made.open("pilot.npy", "w") as member:
        member.write(claiming("'<f8'", f"({volts},)"))
        for _ in range(volts * 8 // len(piece)):
            member.write(piece)
    return file.getvalue()


@pytest.mark.hand("zeros pack to about a thousandth; 72 MiB is more than 64 MiB and more than 200 times the file")
def test_what_would_fill_the_memory_is_refused_before_it_is_unpacked(
    write: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its members state their sizes; nothing of them is opened."""
    path = write(packed_zeros(9 << 20), "pilot.npz")
    monkeypatch.setattr(zipfile.ZipFile, "open", lambda *_: pytest.fail("a member was opened"))

    for read in (read_waveform, sniff, open_samples):
        with pytest.raises(CaptureError, match=r"would unpack to 75497\d+, more than 200 times as many: it was not"):
            read(path, choices={"rate": 1e6})


def test_packed_arrays_are_unpacked_up_to_a_bound(write: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond it the way is named that is read in parts; the same array unpacked is read."""
    monkeypatch.setattr(npz, "LARGEST_PACKED", VOLTS.nbytes - 1)

    with pytest.raises(CaptureError, match=r"array 'pilot' is packed and has 300 samples, .*: save it unpacked as one"):
        read_waveform(write(archive(True, pilot=VOLTS), "pilot.npz"), choices={"rate": 1e6})

    plain = read_waveform(write(archive(pilot=VOLTS), "pilot.npz"), choices={"rate": 1e6})
    assert plain.waveform.voltage.tolist() == VOLTS.tolist()


def test_an_archive_that_lies_about_a_size_is_stopped_at_what_it_says(write: Write) -> None:
    """The size in the directory is made small: no more than that is unpacked, and the sum does not hold."""
    honest = packed_zeros(1 << 20)
    size = zipfile.ZipFile(io.BytesIO(honest)).infolist()[0].file_size
    place = honest.rindex(size.to_bytes(4, "little"))
    lying = honest[:place] + (4096).to_bytes(4, "little") + honest[place + 4 :]

    with pytest.raises(CaptureError, match=r"array 'pilot' claims 1048576 samples, 49\d are there|is damaged"):
        read_waveform(write(lying, "pilot.npz"), choices={"rate": 1e6})


@pytest.mark.parametrize("compression", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_uncommon_packing_is_refused(write: Write, compression: int) -> None:
    """Its unpacking has no bound for a piece: it is not begun."""
    with pytest.raises(CaptureError, match=r"array 'pilot' is packed in an uncommon way: save it with numpy.savez"):
        read_waveform(write(packed_zeros(1 << 17, compression), "pilot.npz"), choices={"rate": 1e6})
