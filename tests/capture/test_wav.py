"""WAV files of every width are read as volts; what their headers claim is held against what is there."""

from __future__ import annotations

import io
import re
import struct
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import scipy.io.wavfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.capture import open_samples, read_waveform, sniff
from coldpin.capture.choices import Value
from coldpin.errors import AmbiguousDialect, CaptureError, UnknownName
from coldpin.records.dialect import Dialect
from tests.capture.binary import chunk, pilot_counts, wav

Write = Callable[..., Path]
SCALE: dict[str, Value] = {"scale": 16.0}


def by_scipy(samples: NDArray[Any], rate: int = 48000) -> bytes:
    """Return a WAV file as another program writes it."""
    file = io.BytesIO()
    scipy.io.wavfile.write(file, rate, samples)
    return file.getvalue()


@pytest.mark.independent("scipy.io.wavfile writes the file; the volts are counts by half of the span, by hand")
@pytest.mark.parametrize(
    ("dtype", "volts"),
    [
        (np.uint8, lambda x: (x.astype(float) - 128.0) * 16.0 / 128.0),
        (np.int16, lambda x: x.astype(float) * 16.0 / 32768.0),
        (np.int32, lambda x: x.astype(float) * 16.0 / 2147483648.0),
        (np.float32, lambda x: x.astype(float) * 16.0),
        (np.float64, lambda x: x * 16.0),
    ],
)
def test_every_width_becomes_volts(write: Write, dtype: Any, volts: Callable[[NDArray[Any]], NDArray[Any]]) -> None:
    """8 to 32 bits and both floats, one channel, the step by the rate."""
    wave = np.linspace(-0.9, 0.9, 101)
    samples = wave if dtype in (np.float32, np.float64) else wave * np.iinfo(dtype).max
    if dtype is np.uint8:
        samples = 128.0 + 120.0 * wave
    samples = samples.astype(dtype)

    capture = read_waveform(write(by_scipy(samples, 44100), "pilot.wav"), choices=SCALE)

    assert capture.waveform.voltage.tolist() == pytest.approx(volts(samples).tolist(), rel=1e-15, abs=1e-15)
    assert capture.waveform.sample_interval == 1.0 / 44100.0
    assert (capture.reader, capture.dialect.format, capture.rows_kept) == ("wav", "wav", 101)
    assert capture.dialect.origin == {
        "voltage": "the only column left",
        "step": "from the header",
        "scale": "given by hand",
    }


@pytest.mark.hand("three bytes: 1, −1, half and nearly full scale of 2^23 steps")
def test_24_bits_stand_in_the_upper_bits(write: Write) -> None:
    """24-bit samples come as int32 with their bits on the left, in volts the same as by hand."""
    counts = [1, -1, 1 << 22, (1 << 23) - 2]
    data = b"".join(struct.pack("<i", count)[:3] for count in counts)
    path = write(wav(data, bits=24), "pilot.wav")

    capture = read_waveform(path, choices={"scale": 8.0})
    with open_samples(path, choices={"scale": 8.0}) as source:
        stored = np.empty(4, np.int32)
        assert source.read(0, stored) == 4

    assert capture.waveform.voltage.tolist() == [count * 8.0 / (1 << 23) for count in counts]
    assert stored.tolist() == [count << 8 for count in counts]
    assert capture.waveform.resolution == 8.0 / (1 << 23)


@pytest.mark.independent("scipy.io.wavfile reads the same file")
@pytest.mark.parametrize("bits", [16, 24])
def test_extensible_header(write: Write, bits: int) -> None:
    """The longer header of newer writers is understood, with a sub-format in place of the tag."""
    data = bytes(range(6 * bits // 8))
    guid = struct.pack("<H", 1) + bytes.fromhex("000000001000800000aa00389b71")
    form = struct.pack("<HHIIHHHHI", 0xFFFE, 1, 48000, 6000 * bits, bits // 8, bits, 22, bits, 4) + guid
    body = b"WAVE" + chunk(b"fmt ", form) + chunk(b"data", data)
    raw = b"RIFF" + struct.pack("<I", len(body)) + body
    with io.BytesIO(raw) as file:
        _, expected = scipy.io.wavfile.read(file)

    capture = read_waveform(write(raw, "pilot.wav"), choices=SCALE)

    half = 2.0 ** (8 * expected.dtype.itemsize - 1)
    assert capture.waveform.voltage.tolist() == (expected * (16.0 / half)).tolist()


def test_two_channels_are_asked_about(write: Write) -> None:
    """Which of two channels is the pilot is asked, and told by number; the output has its own scale if it is said."""
    both = np.stack([pilot_counts(), np.arange(480, dtype=np.int16)], axis=1)
    path = write(by_scipy(both), "pilot.wav")

    with pytest.raises(AmbiguousDialect, match="2 channels can be the voltage of the pilot: --voltage 1, --voltage 2;"):
        read_waveform(path, choices=SCALE)
    with pytest.raises(CaptureError, match=r"pilot.wav: unknown channel for --voltage '3'. Known: 1, 2"):
        read_waveform(path, choices={**SCALE, "voltage": "3"})
    with pytest.raises(CaptureError, match="channel '1' is given for --voltage and --output"):
        read_waveform(path, choices={**SCALE, "voltage": "1", "output": 1})
    capture = read_waveform(path, choices={**SCALE, "output": "2", "output_scale": 400.0})

    assert capture.waveform.output is not None
    assert capture.waveform.voltage.tolist() == (both[:, 0] * (16.0 / 32768.0)).tolist()
    assert capture.waveform.output.tolist() == (both[:, 1] * (400.0 / 32768.0)).tolist()


def test_volts_at_full_scale_must_be_said(write: Write) -> None:
    """Whole numbers hold no volts; floats of full scale 1 do."""
    with pytest.raises(CaptureError, match=r"a WAV file holds no volts.*say the volts at full scale with --scale"):
        read_waveform(write(by_scipy(pilot_counts()), "pilot.wav"))
    with pytest.raises(CaptureError, match=r"a WAV file holds no volts"):
        open_samples(write(by_scipy(pilot_counts()), "pilot.wav"))

    floats = read_waveform(write(by_scipy(np.array([0.5, -0.25])), "pilot.wav"))
    assert floats.waveform.voltage.tolist() == [0.5, -0.25]
    assert (
        "no scale is given: 1.0 in the file was taken for 1 V (--scale says the volts it stands for)" in floats.remarks
    )
    assert "no scale" not in str(
        read_waveform(write(by_scipy(np.array([0.5, -0.25])), "pilot.wav"), choices=SCALE).remarks
    )


def test_the_ends_of_the_scale_are_overload(write: Write) -> None:
    """A sample on the first or last step was beyond the range: marked, counted and not taken for a level."""
    counts = pilot_counts()
    counts[[3, 4, 100]] = 32767
    counts[200] = -32768

    capture = read_waveform(write(by_scipy(counts), "pilot.wav"), choices=SCALE)

    assert capture.waveform.overload is not None
    assert np.flatnonzero(capture.waveform.overload).tolist() == [3, 4, 100, 200]
    assert np.isnan(capture.waveform.voltage[[3, 4, 100, 200]]).all()
    assert "4 of 480 samples of the voltage are marked beyond the instrument's range (3 above, 1 below)" in str(
        capture.remarks
    )


def test_ac_coupling_is_remarked(write: Write) -> None:
    """A mean at zero is what a coupling capacitor leaves; a pilot at a fifth of its cycle has another mean."""
    counts = pilot_counts()
    without = (0.5 * (counts - counts.mean())).astype(np.int16)

    plain = read_waveform(write(by_scipy(counts), "a.wav"), choices=SCALE)
    coupled = read_waveform(write(by_scipy(without), "b.wav"), choices=SCALE)

    assert "the mean voltage is zero" not in str(plain.remarks)
    assert "the mean voltage is zero within 1 % of the span, as an a.c.-coupled input gives it" in str(coupled.remarks)


DATA = pilot_counts(96).tobytes()


@pytest.mark.parametrize(
    ("content", "kept", "said"),
    [
        (wav(DATA, claim=2 << 30), 96, "the header claims 2147483648 bytes of samples, 192 are there"),
        (wav(DATA[:-1]), 95, "left out at the end: 1 byte, less than one sample"),
        (wav(DATA, claim=0xFFFFFFFF), 96, "the header does not say how long the samples are"),
        (wav(DATA, claim=0), 96, "the header does not say how long the samples are"),
        (wav(DATA, after=chunk(b"LIST", b"INFO")), 96, ""),
        (wav(DATA, before=chunk(b"junk", b"odd")), 96, ""),
        (wav(DATA, after=b"\x01\x02\x03"), 96, ""),
        (
            wav(DATA, kind=b"RF64", claim=0xFFFFFFFF, before=chunk(b"ds64", struct.pack("<QQQ", 0, 192, 0))),
            96,
            "",
        ),
    ],
)
def test_what_the_header_claims_is_held_against_the_file(write: Write, content: bytes, kept: int, said: str) -> None:
    """A false length costs what is not there and is said; the rest is read."""
    capture = read_waveform(write(content, "pilot.wav"), choices=SCALE)

    assert capture.waveform.voltage.tolist() == (pilot_counts(96)[:kept] * (16.0 / 32768.0)).tolist()
    told = [remark for remark in capture.remarks if re.search(r"\bbytes?\b|\bheader\b", remark)]
    assert len(told) == bool(said)
    assert all(said in remark for remark in told)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (wav(DATA, rate=0), "its header says 0 samples a second: give --rate or --step"),
        (wav(DATA, after=chunk(b"data", DATA)), "it holds two stretches of samples"),
        (wav(b""), "it holds no samples"),
        (wav(b"", claim=0, after=chunk(b"LIST", b"INFO")), "it holds no samples"),
        (wav(DATA, tag=0x55), r"its samples are compressed or coded \(format tag 0x0055\)"),
        (wav(DATA, channels=0), "its header says 0 channels in 0 bytes"),
        (wav(DATA, channels=5000), "its header says 5000 channels"),
        (wav(DATA, bits=40), "its header says 1 channels in 5 bytes a sample, 40 bits each"),
        (b"RIFF\x04\x00\x00\x00WAVE", "it has no 'fmt ' chunk"),
        (wav(DATA)[:30], "its header is cut short at byte 30"),
        (wav(DATA)[:36], "it has no 'data' chunk"),
        (b"RIFF\x04\x00\x00\x00WAVE" + chunk(b"junk", b"") * 2000, "it has more than 1024 chunks"),
        (b"RIFF\x04\x00\x00\x00WAVE" + chunk(b"fmt ", b"\x01\x00"), "its 'fmt ' chunk has 2 bytes"),
    ],
)
def test_damaged_headers_are_refused(write: Write, content: bytes, said: str) -> None:
    """One message, the same for the whole capture and for the stream."""
    path = write(content, "pilot.wav")

    with pytest.raises(CaptureError, match=said) as whole:
        read_waveform(path, choices=SCALE)
    with pytest.raises(CaptureError) as stream:
        open_samples(path, choices=SCALE)
    assert str(whole.value) == str(stream.value)


def test_a_claim_of_two_gigabytes_takes_no_memory(write: Write) -> None:
    """What is allocated follows what is there."""
    path = write(wav(DATA, claim=2 << 30), "pilot.wav")
    tracemalloc.start()
    try:
        read_waveform(path, choices=SCALE)
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert most < 4 << 20


def test_a_long_file_is_looked_at_without_loading_it(tmp_path: Path) -> None:
    """Sniffing a file of three gigabytes reads some of it only; reading it whole is refused, as a stream it opens."""
    path = tmp_path / "long.wav"
    size = 3 << 30
    with path.open("wb") as file:
        file.write(wav(b"", claim=size))
        file.truncate(44 + size)
    tracemalloc.start()
    try:
        dialect = sniff(path, choices=SCALE)
        with open_samples(path, choices=SCALE) as source:
            last = np.empty(10, np.int16)
            assert source.read(source.samples - 4, last) == 4
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert (dialect.format, source.samples) == ("wav", size // 2)
    assert most < 16 << 20
    with pytest.raises(CaptureError, match=r"it has 1610612736 samples of 1 channel, which in memory exceed the 2 GiB"):
        read_waveform(path, choices=SCALE)


def test_options_of_other_formats_are_refused(write: Write) -> None:
    """What means nothing for sound is not passed over in silence."""
    path = write(wav(DATA), "pilot.wav")

    with pytest.raises(CaptureError, match="--separator means nothing here: this is a WAV sound file"):
        read_waveform(path, choices={**SCALE, "separator": "comma"})
    with pytest.raises(CaptureError, match="--unit means nothing here"):
        read_waveform(path, choices={**SCALE, "unit": "mV"})
    with pytest.raises(CaptureError, match="--format text was given, but the content is that of wav captures"):
        read_waveform(path, choices={**SCALE, "format": "text"})
    with pytest.raises(UnknownName, match="unknown format of a capture 'wave'; did you mean 'wav'"):
        read_waveform(path, choices={**SCALE, "format": "wave"})
    other = read_waveform(path, choices={**SCALE, "rate": "96 kHz", "format": "wav"})
    assert other.waveform.sample_interval == 1.0 / 96000.0
    assert "the step given, 10.417 µs, is not that of the header, 20.833 µs; the one given was used" in other.remarks


def test_the_dialect_reads_the_file_again(write: Write) -> None:
    """What is kept with the evidence gives the same volts; for the instrument, scale and channel are remembered."""
    both = np.stack([pilot_counts(), np.arange(480, dtype=np.int16)], axis=1)
    first = read_waveform(write(by_scipy(both), "a.wav"), choices={**SCALE, "voltage": "1"})

    again = read_waveform(write(by_scipy(both), "a.wav"), dialect=first.dialect)
    later = read_waveform(write(by_scipy(both, 96000), "b.wav"), remembered=first.dialect)
    other = read_waveform(write(by_scipy(both[:, :1]), "c.wav"), remembered=Dialect(), choices=SCALE)

    assert again.waveform.voltage.tolist() == first.waveform.voltage.tolist() == later.waveform.voltage.tolist()
    assert again.dialect == first.dialect
    assert later.waveform.sample_interval == 1.0 / 96000.0
    assert later.dialect.origin["scale"] == "remembered for this instrument"
    assert "the scale of the voltage, 16, is remembered for this instrument" in later.remarks
    assert other.remarks[0].startswith("the dialect remembered for this instrument does not fit (it is for text")
    with pytest.raises(CaptureError, match="it was filed as text, but its content is a WAV sound file"):
        read_waveform(write(by_scipy(both), "a.wav"), dialect=Dialect())


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    values=st.lists(st.integers(-32767, 32766), min_size=1, max_size=60),
    channels=st.integers(1, 3),
    size=st.integers(1, 17),
    first=st.integers(0, 70),
)
def test_stream_and_whole_are_equal(write: Write, values: list[int], channels: int, size: int, first: int) -> None:
    """In any cut, from any place, the stream's samples become the volts of the whole capture."""
    counts = np.array(values, np.int16).repeat(channels).reshape(-1, channels)
    path = write(by_scipy(counts), "pilot.wav")
    said: dict[str, Value] = {"scale": 3.7, "voltage": channels, **({"output": 1} if channels > 1 else {})}

    capture = read_waveform(path, choices=said)
    with open_samples(path, choices=said) as source:
        parts = [(pilot.copy(), beside) for pilot, beside in source.chunks(size)]
        some = np.empty(size, source.dtype)
        count = source.read(first, some)

    joined = np.concatenate([pilot for pilot, _ in parts])
    assert (joined * source.gain + source.zero).tolist() == capture.waveform.voltage.tolist()
    assert some[:count].tolist() == joined[first : first + size].tolist()
    assert source.samples == capture.waveform.samples
    assert (source.sample_interval, source.start, source.resolution, source.dialect) == (
        capture.waveform.sample_interval,
        capture.waveform.start,
        capture.waveform.resolution,
        capture.dialect,
    )
    if channels > 1:
        assert capture.waveform.output is not None
        beside = np.concatenate([output for _, output in parts if output is not None])
        assert beside.tolist() == capture.waveform.output.tolist()
