"""COMTRADE records of every form are read in 64 bits; false claims allocate nothing and are said."""

from __future__ import annotations

import math
import shutil
import sys
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import Any

import comtrade  # type: ignore[import-untyped]  # the library has no types
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coldpin.capture import comtrade_parts, open_samples, read_waveform, sniff
from coldpin.capture.choices import Value
from coldpin.errors import AmbiguousDialect, CaptureError
from tests.capture.comtrade_writing import ascii_samples, binary_samples, header, single_file

Write = Callable[..., Path]
COUNTS = [[20], [-3], [22], [-24]]
VOLTS = [0.5 * count + 1.0 for (count,) in COUNTS]


@pytest.fixture
def pair(write: Write) -> Callable[..., Path]:
    """A function that writes header and samples side by side and returns the header's path."""

    def put(head: str, samples: bytes, name: str = "pilot") -> Path:
        write(samples, f"{name}.dat")
        return write(head, f"{name}.cfg")

    return put


Pair = Callable[..., Path]


@pytest.mark.hand("a times x plus b, by the revision's definition of a channel")
@pytest.mark.parametrize("revision", ["1991", "1999", "2013"])
@pytest.mark.parametrize(("kind", "code"), [("ASCII", ""), ("BINARY", "h"), ("BINARY32", "i"), ("float32", "f")])
@pytest.mark.parametrize("single", [False, True])
def test_every_form(pair: Pair, write: Write, revision: str, kind: str, code: str, single: bool) -> None:
    """Text, 16 and 32 bits and floats, in two files or one, with status channels beside."""
    head = header(kind=kind, revision=revision, status=17)
    rows = [[*row, *[1] * 17] for row in COUNTS]
    samples = binary_samples(COUNTS, code, status=17) if code else ascii_samples(rows)
    path = write(single_file(head, samples, kind.upper()), "pilot.cff") if single else pair(head, samples)

    capture = read_waveform(path)

    assert capture.waveform.voltage.tolist() == VOLTS
    assert capture.waveform.sample_interval == 0.001
    assert (capture.reader, capture.dialect.format, capture.dialect.voltage) == ("comtrade", "comtrade", "CP")
    assert capture.companion == (None if single else path.with_suffix(".dat"))
    assert capture.remarks == ()
    assert sniff(path) == capture.dialect
    assert capture.waveform.resolution == (None if code == "f" else 0.5)


@pytest.mark.hand("the missing marks of the revisions; that of float32 is from memory, no public text found")
@pytest.mark.parametrize(
    ("revision", "kind", "samples"),
    [
        ("1991", "ASCII", ascii_samples([[20], [""], [22], [-24]])),
        ("1999", "ASCII", ascii_samples([[20], [" 99999 "], [22], [-24]])),
        ("1991", "BINARY", binary_samples([[20], [-1], [22], [-24]])),
        ("1999", "BINARY", binary_samples([[20], [-32768], [22], [-24]])),
        ("2013", "BINARY32", binary_samples([[20], [-(1 << 31)], [22], [-24]], "i")),
        ("2013", "FLOAT32", binary_samples([[20], [-3.4028234663852886e38], [22], [-24]], "f")),
    ],
)
def test_marks_of_missing_samples(pair: Pair, revision: str, kind: str, samples: bytes) -> None:
    """A mark is a sample that is missing, never a voltage."""
    capture = read_waveform(pair(header(kind=kind, revision=revision), samples))

    assert np.isnan(capture.waveform.voltage).tolist() == [False, True, False, False]
    assert capture.waveform.voltage[[0, 2, 3]].tolist() == [VOLTS[0], VOLTS[2], VOLTS[3]]
    assert capture.remarks == ("1 of 4 samples of the voltage are missing",)


def test_channels_and_units(pair: Pair) -> None:
    """The pilot is known by name; else channels in volts are a question; mV and kV are scaled, A is refused."""
    rows = ascii_samples([[n, 2 * n, 3 * n, 4 * n] for n in range(4)])
    known = pair(header(channels=(("I1", "A"), ("pilot", "mV"), ("out", "kV"), ("x", ""))), rows, "known")
    asked = pair(header(channels=(("I1", "A"), ("U1", "V"), ("U2", "V"), ("U2", "V"))), rows, "asked")
    alone = pair(header(channels=(("I1", "A"), ("I2", "A"), ("I3", "A"), ("U", ""))), rows, "alone")

    capture = read_waveform(known, choices={"output": "OUT"})
    assert capture.waveform.output is not None
    assert capture.waveform.voltage.tolist() == pytest.approx([(n + 1.0) * 1e-3 for n in range(4)], rel=1e-15)
    assert capture.waveform.output.tolist() == [(1.5 * n + 1.0) * 1e3 for n in range(4)]
    assert capture.dialect.units == {"pilot": "mV", "out": "kV"}
    assert read_waveform(known, dialect=capture.dialect).dialect == capture.dialect
    with pytest.raises(
        AmbiguousDialect, match="3 channels can be the voltage of the pilot: --voltage U1, --voltage U2"
    ):
        read_waveform(asked)
    with pytest.raises(
        CaptureError, match="2 channels are named 'U2': say which by number: --voltage 3 or --voltage 4"
    ):
        read_waveform(asked, choices={"voltage": "U2"})
    assert read_waveform(asked, choices={"voltage": "4"}).dialect.voltage == "4"
    with pytest.raises(CaptureError, match="channel 'I1' is in 'A', a unit of current: name another with --voltage"):
        read_waveform(asked, choices={"voltage": "I1"})
    assert read_waveform(asked, choices={"voltage": "I1", "unit": "mV"}).waveform.voltage[0] == 0.001
    assert read_waveform(alone).remarks == ("channel 'U' has no unit; V was taken (--unit says another)",)


def test_ratio_is_said_and_not_applied(pair: Pair) -> None:
    """The ratio of a transformer is for the person to apply."""
    path = pair(header(ratio=120.0), ascii_samples(COUNTS))

    assert read_waveform(path).waveform.voltage.tolist() == VOLTS
    (said,) = read_waveform(path).remarks
    assert said == (
        "channel 'CP' holds values of the primary side of a transformer of 120 to 1; the ratio was not applied "
        "(--scale applies one)"
    )
    assert read_waveform(path, choices={"scale": 2.0}).waveform.voltage.tolist() == [2.0 * volts for volts in VOLTS]


@pytest.mark.hand("1000 samples a second to the tenth sample, 200 a second from there: the eleventh 5 ms behind it")
def test_several_rates_are_segments(pair: Pair) -> None:
    """A waveform has one step: the stretches are listed and one is named; time goes on from one to the next."""
    rows = ascii_samples([[n] for n in range(30)])
    path = pair(header(rates=((1000.0, 10), (200.0, 30))), rows)

    with pytest.raises(AmbiguousDialect, match=r"it has 2 stretches of equal steps, and a waveform has one: ") as asked:
        read_waveform(path)
    assert "--segment 1 (10 samples, 1000 a second, 0 s to 9 ms); --segment 2 (20 samples, 200 a" in str(asked.value)
    second = read_waveform(path, choices={"segment": 2})

    assert second.waveform.voltage.tolist() == [0.5 * n + 1.0 for n in range(10, 30)]
    assert second.waveform.sample_interval == 0.005
    assert second.waveform.start == pytest.approx(0.014)
    assert second.dialect.segment == 2
    (said,) = second.remarks
    assert said == (
        "read is stretch 2 of 2 with equal steps, 20 samples, 200 a second, 14 ms to 109 ms; the 10 samples of the "
        "others were left out"
    )
    assert read_waveform(path, dialect=second.dialect).waveform.voltage.tolist() == second.waveform.voltage.tolist()
    with pytest.raises(CaptureError, match="--segment 3 is not there; it has --segment 1"):
        read_waveform(path, choices={"segment": 3})
    with pytest.raises(AmbiguousDialect, match="it has 2 stretches"):
        read_waveform(path, remembered=second.dialect)
    same = read_waveform(pair(header(rates=((200.0, 10), (200.0, 30))), rows))
    assert (same.waveform.samples, same.dialect.segment) == (30, None)


def test_time_stamps_without_a_rate(pair: Pair) -> None:
    """Where no rate is stated the stamps rule: one even stretch is read, several are listed, none is refused."""
    rows = [[n] for n in range(20)]
    even = [1000 * n + 7 for n in range(20)]
    gap = even[:12] + [stamp + 5000 for stamp in even[12:]]
    uneven = [n * n * 1000 for n in range(20)]
    head = header(rates=((0.0, 20),), multiplier=2.0)

    capture = read_waveform(pair(head, ascii_samples(rows, even)))
    assert (capture.waveform.sample_interval, capture.waveform.samples) == (0.002, 20)
    assert capture.waveform.start == pytest.approx(14e-6)
    assert capture.dialect.step is None
    with pytest.raises(AmbiguousDialect, match=r"--segment 1 \(12 samples, 500 a second.*--segment 2 \(8 samples, 500"):
        read_waveform(pair(head, ascii_samples(rows, gap)))
    later = read_waveform(
        pair(head.replace("ASCII", "BINARY"), binary_samples(rows, stamps=gap)), choices={"segment": 2}
    )
    assert later.waveform.voltage.tolist() == [0.5 * n + 1.0 for n in range(12, 20)]
    with pytest.raises(CaptureError, match="its time stamps are nowhere evenly spaced"):
        read_waveform(pair(head, ascii_samples(rows, uneven)))
    with pytest.raises(CaptureError, match=r"time goes back by 36.014 ms at sample 20"):
        read_waveform(pair(head, ascii_samples(rows, [*even[:-1], 0])))
    with pytest.raises(CaptureError, match=r"it cannot be read \(Missing timestamp and no sample rate provided.\)"):
        read_waveform(pair(head, ascii_samples(rows, [*even[:-1], ""])))


SAMPLES = ascii_samples(COUNTS)


@pytest.mark.parametrize(
    ("head", "samples", "said"),
    [
        (header(rates=((1000.0, 2000000000000),)), SAMPLES, "the header claims 2000000000000 samples, 4 are there"),
        (header(rates=((1000.0, 3),)), SAMPLES, "the header claims 3 samples, 4 are there: those beyond"),
        (header(), SAMPLES[:-4], "the last row of samples is cut short"),
        (header(), SAMPLES + b"\x1a\x1a\r\n", ""),
        (header(kind="BINARY"), binary_samples(COUNTS) + b"\x1a" * 8, ""),
        (header(kind="BINARY"), binary_samples(COUNTS) + b"abc", "behind the last whole row of samples 3 bytes"),
        (header(kind="BINARY"), binary_samples(COUNTS)[:-1], "behind the last whole row of samples 9 bytes"),
        (header().replace(".000000", ""), SAMPLES, ""),
    ],
)
def test_claims_are_held_against_the_samples(pair: Pair, head: str, samples: bytes, said: str) -> None:
    """More or fewer samples than claimed, and bytes behind them: what is whole is read, the rest is said."""
    path = pair(head, samples)
    tracemalloc.start()
    try:
        capture = read_waveform(path)
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert capture.waveform.voltage.tolist() == VOLTS[: capture.waveform.samples]
    assert capture.waveform.samples >= 3
    assert said in str(capture.remarks)
    assert bool(capture.remarks) == bool(said)
    assert most < 8 << 20


@pytest.mark.parametrize(
    ("head", "samples", "said"),
    [
        (
            header(),
            b"1,0,20\r\n2,1000\r\n3,2000,4\r\n",
            "row 2 of its samples has 2 fields; 3 are counted by the header",
        ),
        (header(), b"1,0,20\r\n2,1000,x\r\n3,2000,4\r\n", "it cannot be read, since sample 2 of ASCII holds 'x', no"),
        (header(), b"\x1a\r\n", "it holds no samples"),
        (header(kind="BINARY"), b"\x00" * 7, "it holds no samples"),
        (header(rates=((1000.0, 0),)), SAMPLES, "it holds no samples"),
        (header().replace("1,1A,0D", "9,999999999999A,0D"), SAMPLES, "its header counts 1048576 analog and 0 status"),
        (header().replace("1,1A,0D", "3,1A,2D"), SAMPLES, "counts 1 analog and 2 status channels, but has 10 lines"),
        (header(channels=(), status=1), SAMPLES, "it has no analog channel"),
        (header().replace("1000.0,4", "1000.0;4"), SAMPLES, "line 6 of its header should tell rates and last samples"),
        (header(rates=((-5.0, 4),)), SAMPLES, "its header states a rate of -5 Hz"),
        (header(kind="MP3"), SAMPLES, "line 9 of its header names samples of the kind 'MP3'; read are ASCII, BINARY"),
        (header(kind="BINARY").replace(",0.5,", ",half,"), b"\x00" * 40, r"it cannot be read \(could not convert"),
        ("\r\n".join(header().split("\r\n")[:5]), SAMPLES, "has 5 lines, which is too few"),
        (header(a=math.nan), SAMPLES, "line 3 of its header states 'nan' as factor or offset of a channel, no finite"),
        (header(b=-math.inf), SAMPLES, "line 3 of its header states '-inf' as factor or offset"),
        (header().replace(",0.5,", ",1e400,"), SAMPLES, "line 3 of its header states '1e400' as factor or offset"),
        (header(a=1e307, kind="BINARY"), binary_samples([[20]] * 4), "a sample times the factor of its channel is b"),
        (header(rates=((0.0, 4),), multiplier=math.inf), SAMPLES, "its header states a time multiplier of inf"),
        (header(rates=((0.0, 4),), multiplier=math.nan), SAMPLES, "its header states a time multiplier of nan"),
        (header(rates=((1e-320, 4),)), SAMPLES, "its header states a rate of 9.99989e-321 Hz: it is damaged"),
    ],
)
def test_damage_is_named(pair: Pair, head: str, samples: bytes, said: str) -> None:
    """One message that names the file and the place, for whole and stream alike."""
    path = pair(head, samples)

    with pytest.raises(CaptureError, match=said) as whole:
        read_waveform(path)
    with pytest.raises(CaptureError) as stream:
        open_samples(path)
    assert str(whole.value) == str(stream.value)
    assert str(whole.value).startswith("capture pilot.")


def test_the_text_is_gone_through_as_often_whatever_its_rows(pair: Pair) -> None:
    """A pass over the whole text for each of its rows would take the square of the time of a long record."""

    def passes(rows: int) -> int:
        path, calls = pair(header(rates=((1000.0, rows),)), ascii_samples([[1]] * rows)), 0

        def heard(frame: FrameType, event: str, called: Any) -> None:
            nonlocal calls
            inside = event == "c_call" and frame.f_code.co_filename == comtrade_parts.__file__
            calls += inside and called.__name__ in {"count", "splitlines", "replace", "endswith"}

        sys.setprofile(heard)
        try:
            read_waveform(path)
        finally:
            sys.setprofile(None)
        return calls

    assert 0 < passes(10) == passes(100)


def test_samples_that_are_not_there(write: Write, pair: Pair, tmp_path: Path) -> None:
    """A header alone says which file it wants; the samples may be named apart; other options are refused."""
    alone = write(header(), "alone.CFG")
    elsewhere = write(SAMPLES, "somewhere-else.bin")

    with pytest.raises(CaptureError, match=r"its samples should stand beside it in alone.DAT, which is not there"):
        read_waveform(alone)
    assert read_waveform(alone, companion=elsewhere).waveform.voltage.tolist() == VOLTS
    with pytest.raises(CaptureError, match=r"there is no such file"):
        read_waveform(alone, companion=tmp_path / "nothing.dat")
    with pytest.raises(CaptureError, match="--skip-rows means nothing here: this is a COMTRADE record"):
        read_waveform(pair(header(), SAMPLES), choices={"skip_rows": 1})
    beside = pair(header(kind="BINARY"), binary_samples(COUNTS)).with_suffix(".dat")
    with pytest.raises(
        CaptureError, match=r"it holds the samples of a COMTRADE record: give its header, pilot\.cfg, inst"
    ):
        read_waveform(beside)
    with pytest.raises(CaptureError, match="it has no section of the header"):
        read_waveform(write("--- file type: CFG ---\r\n" + header(), "half.cff"))


@pytest.mark.published("the source's own tests: channel Ia begins with 101.06138883816476; 32 bits give 101.061386")
def test_field_record_in_text(open_data: Path) -> None:
    """64-bit floats keep the digits; the rate line gives the step; three voltages are a question."""
    path = open_data / "comtrade-field-records" / "1999-ascii-pq.cfg"

    with pytest.raises(
        AmbiguousDialect, match="3 channels can be the voltage of the pilot: --voltage Va, --voltage Vb"
    ):
        read_waveform(path)
    current = read_waveform(path, choices={"voltage": "Ia", "unit": "V"})
    volts = read_waveform(path, choices={"voltage": "Va"})

    assert current.waveform.voltage[0] == 101.06138883816476
    assert volts.waveform.samples == 3584
    assert (volts.waveform.voltage.min(), volts.waveform.voltage.max()) == pytest.approx((-11241.4, 11416.8), abs=0.05)
    assert volts.waveform.sample_interval == 1.0 / 7678.4833984375
    assert volts.waveform.duration == pytest.approx(0.46675, abs=1e-4)


@pytest.mark.published("the source's own tests: IARMS begins with 0.0; 20 700 records, rate line 0")
def test_field_record_without_a_rate(open_data: Path) -> None:
    """The stamps rule; a gap makes two stretches; eight control-Z bytes behind the samples mean nothing."""
    path = open_data / "comtrade-field-records" / "1999-binary-hif-sel.cfg"
    said: dict[str, Value] = {"voltage": "IARMS", "unit": "V"}

    with pytest.raises(AmbiguousDialect, match=r"--segment 1 \(2700 samples, 30.0022 a second, 0 s to 89.96 s\)"):
        read_waveform(path, choices=said)
    with pytest.raises(CaptureError, match="sample 255: the rows are not evenly spaced"):
        read_waveform(path, choices={**said, "segment": 1})  # its clock follows the mains: the steps drift
    capture = read_waveform(path, choices={**said, "segment": 1, "step": "33.331 ms"})

    assert (capture.waveform.voltage[0], capture.waveform.samples) == (0.0, 2700)
    assert "the step given by hand was used although the time column says otherwise" in str(capture.remarks)
    assert not any("byte" in remark for remark in capture.remarks)


@pytest.mark.published("first values noted beside the files, read with the library comtrade 0.2.0")
def test_edge_cases(open_data: Path, tmp_path: Path) -> None:
    """No newline at the end, Latin-1, control-Z, float32 in one file, a header for the samples of another."""
    folder = open_data / "comtrade-edge-cases"
    ampere: dict[str, Value] = {"voltage": "IA", "unit": "V"}
    for name in ("sample_ascii_utf-8", "sample_sub_char"):
        shutil.copy(folder / f"{name}.cfg", tmp_path / f"{name}.cfg")
        shutil.copy(folder / "sample_ascii.dat", tmp_path / f"{name}.dat")

    firsts = [
        read_waveform(path, choices=ampere).waveform.voltage[0]
        for path in (
            *(folder / "sample_ascii.cfg", folder / "sample_ascii.cff", folder / "sample_iso8859-1.cfg"),
            *(tmp_path / "sample_ascii_utf-8.cfg", tmp_path / "sample_sub_char.cfg"),
        )
    ]
    assert firsts == pytest.approx([-9.39606] * 5, abs=5e-6)
    kilovolts = read_waveform(folder / "sample_bin.cfg", choices={"voltage": "VA"})
    assert kilovolts.waveform.voltage[0] == pytest.approx(-9038.63, abs=5e-3)
    assert kilovolts.waveform.samples == 5
    floats = read_waveform(folder / "sample_float32.cff")
    assert floats.waveform.voltage[0] == pytest.approx(2.80969, abs=5e-6)
    assert (floats.waveform.samples, floats.waveform.sample_interval) == (301, 0.01)
    lost = read_waveform(
        folder / "sample_ascii.cfg", choices={**ampere, "voltage": 1}, companion=folder / "sample_ascii_missing.dat"
    )
    assert np.flatnonzero(np.isnan(lost.waveform.voltage)).tolist() == [1]
    lost = read_waveform(
        folder / "sample_bin.cfg", choices={"voltage": "VA"}, companion=folder / "sample_bin_missing.dat"
    )
    assert np.isnan(lost.waveform.voltage).any()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(
    rows=st.lists(st.tuples(st.integers(-32767, 32767), st.integers(-32767, 32767)), min_size=1, max_size=30),
    code=st.sampled_from(["", "h", "i", "f"]),
    size=st.integers(1, 9),
    single=st.booleans(),
)
def test_stream_and_whole_and_library_are_equal(
    write: Write, rows: list[tuple[int, int]], code: str, size: int, single: bool
) -> None:
    """The stream has the volts of the whole, and both what the library reads of an undamaged record."""
    kind = {"": "ASCII", "h": "BINARY", "i": "BINARY32", "f": "FLOAT32"}[code]
    head = header(
        kind=kind, revision="2013", channels=(("CP", "V"), ("OUT", "V")), rates=((50.0, len(rows)),), a=0.3, b=-2.0
    )
    samples = binary_samples(rows, code) if code else ascii_samples(rows)
    write(samples, "pilot.dat")
    path = write(single_file(head, samples, kind), "pilot.cff") if single else write(head, "pilot.cfg")
    library = comtrade.Comtrade(use_numpy_arrays=True, use_double_precision=True, ignore_warnings=True)
    library.read(head, samples if code else samples.decode())

    capture = read_waveform(path, choices={"voltage": "CP", "output": "OUT"})
    with open_samples(path, choices={"voltage": "CP", "output": "OUT"}) as source:
        parts = list(source.chunks(size))

    assert capture.waveform.output is not None
    assert capture.waveform.voltage.tolist() == list(library.analog[0])
    assert capture.waveform.output.tolist() == list(library.analog[1])
    assert np.concatenate([pilot for pilot, _ in parts]).tolist() == capture.waveform.voltage.tolist()
    assert np.concatenate([out for _, out in parts if out is not None]).tolist() == capture.waveform.output.tolist()
