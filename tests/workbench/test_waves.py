"""Captures of a case looked at in any zoom; corrections of how they are read; long captures filed and assessed."""

from __future__ import annotations

import gc
import shutil
from pathlib import Path

import numpy as np
import pytest

from coldpin.capture import open_samples
from coldpin.capture.frames import FrameSource
from coldpin.casefile import open_case
from coldpin.errors import CaseError, InputError, UnknownName
from coldpin.pilot import clean_cycles, glitch_pictures, read_pilot, reduce_trace
from coldpin.records.entry import Entry
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition
from coldpin.workbench import add_evidence, assess, correct, long_capture, wave_opening, waves
from coldpin.workbench.long_capture import OUTPUT_NOT_JUDGED, read_long
from coldpin.workbench.wave_correction import preview_correction
from coldpin.workbench.wave_cut import cut_bytes, cut_record
from coldpin.workbench.wave_cycle import bands_of_case, cycle_of_wave
from coldpin.workbench.wave_opening import open_wave
from coldpin.workbench.wave_preparing import prepare_wave
from tests.workbench.quay import at, capture_text, make_case, make_shelf

BOOK = load_book()
RATE = 1e6


def pilot_counts(cycles: int, seed: int = 4) -> np.typing.NDArray[np.int16]:
    """A pilot in hundredths of a volt: state B with the oscillator on, a steady 12 V, B again with one dip."""
    one = np.tile(np.repeat(np.array([900, -1200], np.int16), [267, 733]), cycles)
    one[one.size // 3 : one.size // 2] = 1200
    one[-20_500:-20_496] = 300
    return one + np.random.default_rng(seed).integers(-3, 4, one.size).astype(np.int16)


def file_counts(case: Path, counts: np.typing.NDArray[np.int16], name: str = "long.npy") -> Entry:
    """File samples as one of a scope's arrays."""
    file = case.parent / name
    np.save(file, counts)
    choices: dict[str, str | float | int] = {
        "rate": RATE,
        "scale": 0.01,
        **({"voltage": "1", "output": "2", "output_scale": 0.01} if counts.ndim > 1 else {}),
    }
    return add_evidence(
        case, file, shows="pilot capture", who="Ines", instrument="scope", choices=choices, made=at(0), now=at(1)
    ).entry


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """An empty case on a shelf."""
    return make_case(make_shelf(tmp_path / "shelf"))


@pytest.fixture
def nothing_is_short(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every capture is long."""
    monkeypatch.setattr(wave_opening, "LONG", 1000)
    monkeypatch.setattr(wave_opening, "ASIDE", 1000)
    monkeypatch.setattr(waves, "DIRECT", 5000)


def file_text(case: Path) -> Entry:
    """File a short capture as text."""
    file = case.parent / "steps.csv"
    file.write_bytes(capture_text())
    return add_evidence(case, file, shows="pilot capture", who="Ines", instrument="scope", made=at(0), now=at(1)).entry


def both_channels() -> np.typing.NDArray[np.int16]:
    """A pilot with an output beside it."""
    counts = pilot_counts(40)
    return np.stack([counts, np.roll(counts, 77) // 2], axis=1)


@pytest.mark.parametrize("form", ["text", "array", "two channels"])
def test_a_long_capture_is_drawn_as_a_short_one(
    case: Path, monkeypatch: pytest.MonkeyPatch, nothing_is_short: None, form: str
) -> None:
    """From memory, from its file with levels, or copied with levels: the same numbers to the last bit."""
    entry = (
        file_text(case)
        if form == "text"
        else file_counts(case, pilot_counts(40) if form == "array" else both_channels())
    )
    assert not open_wave(case, entry.id).prepared
    told: list[float] = []
    prepare_wave(case, entry.id, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    long = open_wave(case, entry.id)
    assert long.prepared
    monkeypatch.undo()
    short = open_wave(case, entry.id)

    assert (long.samples, long.sample_interval, long.channels) == (
        short.samples,
        short.sample_interval,
        short.channels,
    )
    assert long.channels == (("pilot", "output") if form == "two channels" else ("pilot",))
    for first, count, columns in ((0, short.samples, 30), (0, short.samples, 4000), (777, 3000, 100), (5, 40, 100)):
        one = cut_bytes(long, first=first, count=count, columns=columns)
        other = cut_bytes(short, first=first, count=count, columns=columns)
        assert one == other
        assert one is not None
        record = cut_record(long, first=first, count=count, columns=columns)
        assert record is not None
        sides = 1 if record.samples_per_column == 1 else 2
        numbers = np.frombuffer(one[1], "<f4").reshape(len(long.channels), sides, -1)
        for channel, drawn in zip(record.channels, numbers, strict=True):
            assert drawn[0].tolist() == list(channel.low_v)
            assert drawn[-1].tolist() == list(channel.high_v)


def test_before_it_is_prepared_what_is_near_is_drawn(case: Path, nothing_is_short: None) -> None:
    """From the file itself; what is wide waits."""
    entry = file_counts(case, pilot_counts(40))
    wave = open_wave(case, entry.id)

    assert cut_bytes(wave, first=0, count=wave.samples, columns=100) is None
    near = cut_record(wave, first=2000, count=1000, columns=1000)
    assert near is not None
    assert near.samples_per_column == 1
    assert cycle_of_wave(case, entry.id, wave, 0.0035) is not None


def test_a_wave_that_is_damaged_or_stopped_is_made_again(case: Path, nothing_is_short: None) -> None:
    """What was stopped leaves nothing; what was cut short or is of something else counts as not made."""
    entry = file_counts(case, pilot_counts(40))

    def stop(part: float) -> None:
        raise InputError(f"stopped at {part:g}")

    with pytest.raises(InputError, match="stopped at 1"):
        prepare_wave(case, entry.id, progress=stop)
    assert [one.name for one in (case / "cache").iterdir() if one.suffix != ".content"] == []
    prepare_wave(case, entry.id)
    (kept,) = (case / "cache").glob("*.wave")
    data = kept.read_bytes()
    for damaged in (data[:-1], b"", b"x" + data[1:], b'{"schema": 1}' + data[13:], data.replace(b"wave/1", b"wave/0")):
        kept.write_bytes(damaged)
        assert not open_wave(case, entry.id).prepared
    kept.unlink()
    prepare_wave(case, entry.id)
    assert open_wave(case, entry.id).prepared


def test_nothing_old_is_taken_for_new(case: Path, nothing_is_short: None) -> None:
    """Read otherwise, or of a file that changed, a wave is another one."""
    entry = file_counts(case, pilot_counts(40))
    key = prepare_wave(case, entry.id)
    later = correct(case, entry.id, who="Ines", reason="probe", conditions={"pilot factor": "10"})
    assert open_wave(case, later.id).key != key
    assert open_wave(case, entry.id).key == key
    assert entry.evidence is not None
    file = case / "evidence" / entry.evidence.file
    data = file.read_bytes()
    file.unlink()
    file.write_bytes(data)
    assert open_wave(case, entry.id).key != key


def test_the_files_of_a_wave_are_closed_when_nobody_holds_it(case: Path, nothing_is_short: None) -> None:
    """As often as it is opened."""
    entry = file_counts(case, pilot_counts(40))
    prepare_wave(case, entry.id)

    def opened() -> int:
        gc.collect()
        return len(list(Path("/proc/self/fd").iterdir()))

    before = opened()
    held = [open_wave(case, entry.id) for _ in range(5)]
    assert opened() > before
    assert all(wave.prepared for wave in held)
    del held
    assert opened() == before


def test_the_cache_of_waves_keeps_to_its_room(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was read last stays; the newest always does; a name that is no key leads nowhere."""
    monkeypatch.setattr("coldpin.casefile.waves.MOST_KEPT", 1000)
    store = open_case(case).waves
    for key in ("a" * 64, "b" * 64):
        store.write(key, [b"x" * 400], size=400)
    with store.open("a" * 64):
        store.write("c" * 64, [b"x" * 500], size=500)
    names = {path.name[0] for path in (case / "cache").glob("*.wave")}
    assert "c" in names
    assert len(names) == 2
    with pytest.raises(CaseError, match="not a key"):
        store.write("../x", [b""], size=0)


@pytest.mark.parametrize("entry", ["nothing", "../x", ""])
def test_what_is_no_capture_is_refused(case: Path, entry: str) -> None:
    """The message lists those there are."""
    file_text(case)
    for use in (open_wave, prepare_wave):
        with pytest.raises(UnknownName, match="capture"):
            use(case, entry)


def test_windows_and_times_outside_are_refused(case: Path) -> None:
    """The message says what there is."""
    entry = file_text(case)
    wave = open_wave(case, entry.id)
    with pytest.raises(InputError, match="at most 4096"):
        cut_bytes(wave, first=0, count=10, columns=5000)
    with pytest.raises(InputError, match="the capture has those from 0 to"):
        cut_record(wave, first=wave.samples, count=10, columns=50)
    for time in (-0.1, 1e6, float("nan")):
        with pytest.raises(InputError, match=r"the capture lasts 0\.11 s"):
            cycle_of_wave(case, entry.id, wave, time)


@pytest.mark.hand("a tenth of 12 V is 1.2 V")
def test_a_correction_is_shown_before_and_moves_findings_after(case: Path) -> None:
    """Nothing is written by the preview; the correction leaves the earlier entry, and the capture is read otherwise."""
    entry = file_text(case)
    before = sorted(path.name for path in (case / "entries").iterdir())
    plain = preview_correction(case, entry.id, {})
    tenth = preview_correction(case, entry.id, {"pilot factor": "0.1"})
    assert sorted(path.name for path in (case / "entries").iterdir()) == before
    assert plain.whole
    highs = [[run.high_v.value for run in one.reading.runs if run.high_v] for one in (plain, tenth)]
    assert highs[0][0] == pytest.approx(12.0, abs=0.2)
    assert highs[1][0] == pytest.approx(1.2, abs=0.02)

    later = correct(case, entry.id, who="Ines", reason="the probe stood at 1:10", conditions={"pilot factor": "0.1"})
    (capture,) = assess(case).pilot
    assert capture.entry == later.id
    assert ("scale", "0.1") in capture.dialect
    assert [run.state for run in capture.reading.runs] == [run.state for run in tenth.reading.runs]
    assert open_case(case).find_entry(entry.id) == entry

    back = correct(case, later.id, who="Ines", reason="it did not", conditions={"pilot factor": "1"})
    (capture,) = assess(case).pilot
    assert capture.entry == back.id
    assert [run.state for run in capture.reading.runs] == [run.state for run in plain.reading.runs]


def test_swapped_channels_are_put_right(case: Path) -> None:
    """Each keeps its own scale."""
    counts = pilot_counts(40)
    entry = file_counts(case, np.stack([counts // 2, counts], axis=1))
    swapped = {"pilot channel": "2", "output channel": "1"}
    assert preview_correction(case, entry.id, swapped).reading.runs[0].state == "B2"
    assert preview_correction(case, entry.id, {}).reading.runs[0].state != "B2"
    correct(case, entry.id, who="Ines", reason="the probes were swapped", conditions=swapped)
    assert assess(case).pilot[0].reading.runs[0].state == "B2"


@pytest.mark.parametrize(
    ("conditions", "message"),
    [
        ({"pilot factor": "0"}, "give a number such as '10'"),
        ({"pilot factor": "ten"}, "condition 'pilot factor' = 'ten'"),
        ({"pilot factor": "inf"}, "condition 'pilot factor'"),
        ({"output factor": "10"}, "has no output"),
        ({"pilot channel": "CH9"}, "unknown column for --voltage 'CH9'"),
    ],
)
def test_a_correction_by_which_it_cannot_be_read_is_refused(
    case: Path, conditions: dict[str, str], message: str
) -> None:
    """Before anything is written."""
    entry = file_text(case)
    for tried in (
        lambda: preview_correction(case, entry.id, conditions),
        lambda: correct(case, entry.id, who="Ines", reason="a slip", conditions=conditions),
    ):
        with pytest.raises(InputError, match=message):
            tried()
    assert len(list((case / "entries").iterdir())) == 1


def test_a_capture_that_is_both_channels_at_once_is_refused(case: Path) -> None:
    """Both have to be said."""
    entry = file_counts(case, both_channels())
    with pytest.raises(InputError, match="would be pilot and output at once"):
        preview_correction(case, entry.id, {"pilot channel": "2"})


@pytest.fixture
def long_entry(case: Path, monkeypatch: pytest.MonkeyPatch) -> Entry:
    """A capture filed and assessed as a long one."""
    for module in ("look", "pilot_evidence"):
        monkeypatch.setattr(f"coldpin.workbench.{module}.LONG", 10_000)
    return file_counts(case, pilot_counts(400))


@pytest.mark.independent("the capture read whole")
def test_a_long_capture_is_assessed_in_parts(case: Path, long_entry: Entry) -> None:
    """Its states and levels are those of the whole, and it has its trace, its clean cycle, its glitch."""
    (capture,) = assess(case).pilot
    assert capture.entry == long_entry.id
    assert any(remark.startswith("read in parts") for remark in capture.remarks)
    file = case / "evidence" / capture.file
    with open_samples(file, choices={"rate": RATE, "scale": 0.01}) as source:
        assert isinstance(source, FrameSource)
        waveform = long_capture.window(source, 0, source.samples)
        again = read_long(source, book=BOOK, edition=Edition.IEC_3)
    whole = read_pilot(waveform, book=BOOK, edition=Edition.IEC_3)

    assert [run.state for run in capture.reading.runs] == [run.state for run in whole.runs]
    block = -(-waveform.samples // 1200)
    assert again.trace.low_v == tuple(np.minimum.reduceat(waveform.voltage, range(0, waveform.samples, block)))
    assert again.trace.high_v == tuple(np.maximum.reduceat(waveform.voltage, range(0, waveform.samples, block)))
    short = reduce_trace(waveform.voltage, waveform.sample_interval)
    assert again.trace.time_s[-1] == pytest.approx(short.time_s[-1], abs=block * waveform.sample_interval)
    (cycle,) = again.cycles
    (other,) = clean_cycles(waveform, whole, book=BOOK, edition=Edition.IEC_3)
    assert (cycle.state, cycle.high_window_v) == (other.state, other.high_window_v)
    assert len(cycle.trace.time_s) == pytest.approx(len(other.trace.time_s), abs=2)
    assert [picture.glitch for picture in again.glitches] == list(again.reading.glitches.longest)
    assert len(again.glitches) == len(glitch_pictures(waveform, whole)) == 1
    assert again.glitches[0].near.low_v == glitch_pictures(waveform, whole)[0].near.low_v


def test_an_output_beside_a_long_capture_is_said_to_decide_nothing(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is drawn; read whole, the same capture tells when it was live."""
    file_counts(case, both_channels())
    (whole,) = assess(case).pilot
    assert whole.reading.output is not None
    assert OUTPUT_NOT_JUDGED not in whole.remarks
    for module in ("look", "pilot_evidence"):
        monkeypatch.setattr(f"coldpin.workbench.{module}.LONG", 10_000)
    for kept in (case / "cache").rglob("*"):
        if kept.is_file():
            kept.unlink()
    (in_parts,) = assess(case).pilot
    assert in_parts.reading.output is None
    assert OUTPUT_NOT_JUDGED in in_parts.remarks
    opened = open_wave(case, in_parts.entry)
    assert opened.channels == ("pilot", "output")


def test_the_windows_of_a_case_are_those_of_its_class(case: Path) -> None:
    """One for each state, with its source."""
    assert [band.state.value for band in bands_of_case(case)][:2] == ["A1", "A2"]
    shutil.rmtree(case)
    with pytest.raises(CaseError):
        bands_of_case(case)
