"""One capture in every format: looked at, filed, remembered and assessed, with the same states."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path

import numpy as np
import polars as pl
import pytest
import scipy.io.wavfile

from coldpin.casefile import open_case, open_shelf
from coldpin.cli import DONE, WRONG_INPUT, main
from coldpin.errors import CaptureError
from coldpin.records.pilot import PilotReading
from coldpin.records.waveform import Waveform
from coldpin.simulator import VirtualUnit, VirtualVehicle, set_up_bench, simulate_capture
from coldpin.simulator.export import as_npz
from coldpin.workbench import Added, add_evidence, assess, look_at_pilot, write_report
from tests.capture.comtrade_writing import ascii_samples, binary_samples, header
from tests.checks.bench import SCOPE
from tests.workbench.quay import at, make_case, make_shelf

FULL_SCALE = 16.0
RATE = 250_000


@cache
def waveform() -> Waveform:
    """A short capture from the virtual bench: nothing connected, B, C, B."""
    return simulate_capture(
        VirtualUnit(duty=26.67),
        VirtualVehicle(),
        [(0.02, "A"), (0.04, "B"), (0.03, "C"), (0.02, "B")],
        set_up_bench(SCOPE, seed=3),
        seed=np.random.default_rng(3),
        sample_interval=1.0 / RATE,
        with_output=False,
    ).waveform


def counts() -> np.ndarray[tuple[int], np.dtype[np.int16]]:
    """The capture as a converter of 16 bits stores it."""
    return np.round(waveform().voltage * 32768.0 / FULL_SCALE).astype(np.int16)


def as_wav() -> dict[str, bytes]:
    file = io.BytesIO()
    scipy.io.wavfile.write(file, RATE, counts())
    return {"pilot.wav": file.getvalue()}


def as_npy() -> dict[str, bytes]:
    file = io.BytesIO()
    np.save(file, waveform().voltage)
    return {"pilot.npy": file.getvalue()}


def as_parquet() -> dict[str, bytes]:
    file = io.BytesIO()
    times = np.arange(waveform().samples) / RATE
    pl.DataFrame({"t (s)": times, "Pilot (V)": waveform().voltage}).write_parquet(file)
    return {"pilot.parquet": file.getvalue()}


def as_comtrade() -> dict[str, bytes]:
    head = header(kind="BINARY", rates=((float(RATE), waveform().samples),), a=FULL_SCALE / 32768.0, b=0.0)
    stamps = [0] * waveform().samples
    return {
        "pilot.cfg": head.encode(),
        "pilot.dat": binary_samples([[int(x)] for x in counts()], stamps=stamps),
    }


Choices = Mapping[str, str | float | int]
FORMATS: dict[str, tuple[Callable[[], dict[str, bytes]], Choices]] = {
    "wav": (as_wav, {"scale": FULL_SCALE}),
    "npy": (as_npy, {"rate": RATE}),
    "npz": (lambda: {"pilot.npz": as_npz(waveform())}, {}),
    "raw int16": (
        lambda: {"pilot.raw": counts().tobytes()},
        {"format": "raw int16", "rate": RATE, "scale": FULL_SCALE},
    ),
    "raw float32": (
        lambda: {"pilot.bin": waveform().voltage.astype("<f4").tobytes()},
        {"format": "raw float32", "rate": RATE},
    ),
    "parquet": (as_parquet, {}),
    "comtrade": (as_comtrade, {}),
}


def laid_out(folder: Path, name: str) -> tuple[Path, Choices]:
    """Write the capture in a format and return its (first) file and what must be said of it."""
    make, choices = FORMATS[name]
    folder.mkdir(exist_ok=True)
    files = make()
    for file, content in files.items():
        (folder / file).write_bytes(content)
    return folder / next(iter(files)), choices


def states(reading: PilotReading) -> list[str]:
    return [run.state.value for run in reading.runs]


def filed(case: Path, file: Path, choices: Choices, minutes: float = 0) -> Added:
    return add_evidence(
        case,
        file,
        shows="pilot capture",
        who="Ines",
        conditions={"load": "steps"},
        instrument="scope",
        choices=choices,
        made=at(minutes),
        now=at(minutes + 1),
    )


@pytest.mark.parametrize("name", FORMATS)
def test_one_capture_in_every_format(tmp_path: Path, name: str) -> None:
    """States and levels are those of the capture, in a quick look and in a case that is assessed later."""
    file, choices = laid_out(tmp_path / "table", name)
    case = make_case(make_shelf(tmp_path / "shelf"))

    look = look_at_pilot(file, choices=choices)
    added = filed(case, file, choices)
    (capture,) = assess(case).pilot
    problems = assess(case).problems

    assert states(look.reading) == ["A1", "B1", "C2", "B2"] == states(capture.reading)
    assert [run.duty_percent.value for run in look.reading.runs if run.duty_percent] == pytest.approx(
        [26.67] * 2, abs=0.1
    )
    assert added.dialect is not None
    assert added.dialect.format == name
    assert capture.dialect[0] == ("format", name)
    assert problems == ()
    remembered = open_shelf(case.parent).remembered("scope")
    assert remembered == added.dialect


@pytest.mark.parametrize("name", ["wav", "raw int16"])
def test_what_was_said_of_an_instrument_need_not_be_said_again(tmp_path: Path, name: str) -> None:
    """The scale is remembered on the shelf; the rate of a raw file belongs to the recording and is asked for."""
    file, choices = laid_out(tmp_path / "table", name)
    case = make_case(make_shelf(tmp_path / "shelf"))
    filed(case, file, choices)
    again = {"rate": choices["rate"]} if name != "wav" else {}
    if again:
        with pytest.raises(CaptureError, match="give --rate"):
            filed(case, file, {}, 2)

    added = filed(case, file, again, 2)

    assert added.dialect is not None
    assert (added.dialect.format, added.dialect.scale) == (name, FULL_SCALE)
    assert f"the scale of the voltage, {FULL_SCALE:g}, is remembered for this instrument" in added.remarks


def test_a_comtrade_record_is_filed_whole(tmp_path: Path) -> None:
    """Header and samples are both evidence of one entry, both checked by their hash, both named in the report."""
    file, choices = laid_out(tmp_path / "table", "comtrade")
    case = make_case(make_shelf(tmp_path / "shelf"))

    entry = filed(case, file, choices).entry

    assert entry.evidence is not None
    names = [piece.file for piece in entry.evidence.files]
    assert [name.rpartition(".")[2] for name in names] == ["cfg", "dat"]
    assert sorted(path.name for path in (case / "evidence").iterdir()) == sorted(names)
    (kept,) = open_case(case).entries().entries
    assert kept == entry
    assert open_case(case).check_evidence() == ()
    page = write_report(case).page.read_text(encoding="utf-8")
    assert all(name in page for name in names)

    (case / "evidence" / names[1]).chmod(0o644)
    (case / "evidence" / names[1]).write_bytes((tmp_path / "table" / "pilot.dat").read_bytes()[::-1])
    (changed,) = open_case(case).check_evidence()
    assert changed.where == f"evidence/{names[1]}"
    (case / "evidence" / names[1]).unlink()
    assert any(names[1] in problem.what or names[1] in problem.where for problem in assess(case).problems)


def test_a_header_without_samples_is_not_filed(tmp_path: Path) -> None:
    """Nothing may be lost silently: the header alone is refused, and nothing is in the case."""
    file, choices = laid_out(tmp_path / "table", "comtrade")
    file.with_suffix(".dat").unlink()
    case = make_case(make_shelf(tmp_path / "shelf"))

    with pytest.raises(CaptureError, match=r"its samples should stand beside it in pilot.dat, which is not there"):
        filed(case, file, choices)

    assert not (case / "evidence").exists() or not list((case / "evidence").iterdir())


def test_two_records_with_one_header_keep_their_samples(tmp_path: Path) -> None:
    """Headers that are the same byte for byte are one file; each entry has its own samples."""
    case = make_case(make_shelf(tmp_path / "shelf"))
    head = header(rates=((1000.0, 40),))
    for index in (0, 1):
        folder = tmp_path / str(index)
        folder.mkdir()
        (folder / "pilot.cfg").write_bytes(head.encode())
        (folder / "pilot.dat").write_bytes(ascii_samples([[n + index] for n in range(40)]))

    first, second = (filed(case, tmp_path / str(index) / "pilot.cfg", {}, 2 * index).entry for index in (0, 1))

    assert first.evidence is not None
    assert second.evidence is not None
    assert first.evidence.file == second.evidence.file
    assert first.evidence.companion != second.evidence.companion
    assert len(list((case / "evidence").iterdir())) == 3


def test_commands_take_every_format(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """``pilot`` and ``add`` have an option for each thing that a format does not say."""
    wav, _ = laid_out(tmp_path / "wav", "wav")
    raw, _ = laid_out(tmp_path / "raw", "raw int16")
    case = make_case(make_shelf(tmp_path / "shelf"))

    assert main(["pilot", str(wav)]) == WRONG_INPUT
    assert "say the volts at full scale with --scale" in capsys.readouterr().err
    assert main(["pilot", str(wav), "--scale", "16"]) == DONE
    told = capsys.readouterr()
    assert "read as: format wav, voltage channel 1, step 4.0 µs, scale 16 V at full scale" in told.err
    assert "B2" in told.out
    said = ["--format", "raw int16", "--rate", "250 kHz", "--scale", "16", "--channels", "1"]
    assert main(["add", str(case), str(raw), "--shows", "pilot capture", "--who", "Ines", *said]) == DONE
    assert "read as: format raw int16, channels 1, voltage channel 1" in capsys.readouterr().err


def test_a_capture_read_in_parts_tells_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In parts on request, or because it is long: states, borders and cycles of the whole, and what was left out."""
    whole: PilotReading | None = None
    for name in ("wav", "npy", "parquet"):
        make, choices = FORMATS[name]
        for file, content in make().items():
            (tmp_path / file).write_bytes(content)
            whole = look_at_pilot(tmp_path / file, choices=choices).reading
            look = look_at_pilot(tmp_path / file, choices=choices, in_parts=True)
            assert [(run.state, run.start_s, run.end_s, run.cycles) for run in look.reading.runs] == [
                (run.state, run.start_s, run.end_s, run.cycles) for run in whole.runs
            ]
            assert any(remark.startswith("read in parts") for remark in look.remarks)
            monkeypatch.setattr("coldpin.workbench.look.LONG", 1000)
            assert look_at_pilot(tmp_path / file, choices=choices).reading == look.reading
            monkeypatch.undo()
