"""Captures as text: what an instrument would write, read back here by hand."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest

from coldpin.capture import read_waveform
from coldpin.errors import UnknownName
from coldpin.records.waveform import Waveform
from coldpin.simulator import (
    STYLES,
    VirtualScope,
    VirtualUnit,
    VirtualVehicle,
    as_csv,
    as_npz,
    set_up_bench,
    simulate_capture,
)

SMALL = Waveform(
    voltage=np.array([11.875, -19.84375, np.nan]),
    sample_interval=4.0e-6,
    start=-1.0e-3,
    output=np.array([0.0, 3.90625, -325.0]),
    overload=np.array([False, True, False]),
    resolution=0.15625,
)


@pytest.mark.hand("the file as it should be, written by hand")
@pytest.mark.parametrize(
    ("style", "encoding", "text"),
    [
        (
            "preamble",
            "ascii",
            (
                "Instrument,Tidepool 204\nCoupling,DC\nSamples,3\nSample interval,4.000000e-06,s\n\nTime,CH1,CH2\n"
                "s,V,V\n-0.001000000,11.87500,0.000\n-0.000996000,OVLD,3.906\n-0.000992000,,-325.000\n"
            ),
        ),
        (
            "comma",
            "latin-1",
            "Zeit;Pilot;Ausgang\nµs;V;V\n-1000,000;11,87500;0,000\n-996,000;-19,84375;3,906\n-992,000;;-325,000\n",
        ),
        (
            "step",
            "utf-8",
            (
                "# Gullwing pocket recorder\n# sample interval: 4 µs\n# start: -0.001 s\npilot (V)\toutput (V)\n"
                "11.87500\t0.000\nOVLD\t3.906\n\t-325.000\n"
            ),
        ),
    ],
)
def test_each_style_writes_its_dialect(style: str, encoding: str, text: str) -> None:
    """Separator, decimal sign, preamble, units, missing and overload marks are those of the style."""
    assert as_csv(SMALL, style).decode(encoding) == text


@pytest.mark.hand("five decimals hold every step of the converter")
@pytest.mark.parametrize("style", sorted(STYLES))
def test_no_sample_is_lost_or_rounded_away(style: str) -> None:
    """Every sample stands in the file with its own step of the converter."""
    bench = set_up_bench(VirtualScope(), seed=1)
    waveform = simulate_capture(VirtualUnit(), VirtualVehicle(), [(0.01, "C")], bench, seed=1).waveform
    encoding = "latin-1" if style == "comma" else "utf-8"
    lines = as_csv(waveform, style).decode(encoding).replace(";", "\t").replace(",", "." if style == "comma" else "\t")
    rows = [line.split("\t") for line in lines.splitlines()[-waveform.samples :]]
    column = 0 if style == "step" else 1

    assert np.array([float(row[column]) for row in rows]) == pytest.approx(waveform.voltage, abs=1e-5)
    assert len(lines.splitlines()) > waveform.samples


@pytest.mark.independent("the reader of captures, which knows nothing of the simulator")
@pytest.mark.parametrize("style", sorted(STYLES))
def test_what_is_written_can_be_read(style: str, tmp_path: Path) -> None:
    """Voltages, output, step and overload marks come back through the reader of captures."""
    bench = set_up_bench(VirtualScope(full_scale=22.0), seed=1)
    waveform = simulate_capture(
        VirtualUnit(), VirtualVehicle(), [(0.01, "C")], bench, seed=1, sample_interval=4e-6, with_output=True
    ).waveform
    path = tmp_path / "capture.csv"
    path.write_bytes(as_csv(waveform, style))
    choices = {"voltage": "CH1", "output": "CH2"} if style == "preamble" else {}
    read = read_waveform(path, choices=choices).waveform
    assert waveform.overload is not None
    assert read.sample_interval == pytest.approx(4e-6)
    assert read.output == pytest.approx(waveform.output, abs=5.01e-4)
    if style == "comma":
        # This dialect does not mark what is clipped.
        assert read.overload is None
        assert read.voltage == pytest.approx(waveform.voltage, abs=5.01e-6)
    else:
        assert read.overload is not None
        assert np.array_equal(read.overload, waveform.overload)
        inside = ~waveform.overload
        assert read.voltage[inside] == pytest.approx(waveform.voltage[inside], abs=5.01e-6)


@pytest.mark.hand("text of the message")
def test_an_unknown_style_lists_the_known_ones() -> None:
    """The message names the styles there are."""
    with pytest.raises(UnknownName, match=r"unknown style of export 'xml'.*Known: comma, preamble, step"):
        as_csv(SMALL, "xml")


@pytest.mark.independent("numpy reads what was written")
def test_an_archive_holds_both_channels_and_the_step() -> None:
    """The archive has the arrays by name, in single precision, and the same bytes each time."""
    two = Waveform(voltage=np.array([12.0, -0.15625]), output=np.array([325.0, -1.0]), sample_interval=1.0 / 102_400.0)
    held = np.load(io.BytesIO(as_npz(two)))

    assert sorted(held) == ["output", "pilot", "step"]
    assert held["pilot"].tolist() == [12.0, -0.15625]
    assert held["output"].tolist() == [325.0, -1.0]
    assert float(held["step"]) == 1.0 / 102_400.0
    assert as_npz(two) == as_npz(two)
    assert sorted(np.load(io.BytesIO(as_npz(Waveform(voltage=two.voltage, sample_interval=1.0))))) == ["pilot", "step"]
