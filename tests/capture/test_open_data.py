"""Files that nobody here made: their columns by our rows, against other readers; as waveforms they are refused."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from coldpin.capture import read_waveform
from coldpin.capture.choices import Choices
from coldpin.capture.layout import Layout, possible_layouts
from coldpin.capture.number import grammar_of
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import Table, TableForm, read_table
from coldpin.errors import AmbiguousDialect, CaptureError
from coldpin.records.dialect import Dialect

pytestmark = pytest.mark.needs_open_data


def read_log(path: Path, *wanted: int, quick: bool) -> tuple[Layout, Table]:
    """Read columns of a log, which is no waveform, by the layout that is found."""
    lines = path.read_text(encoding="utf-8").splitlines()[:200]
    (layout,) = possible_layouts(lines, Choices(), Dialect(), whole=False)
    form = TableForm(
        encoding="utf-8",
        line_end=b"\n",
        skip=layout.first,
        delimiter=layout.delimiter,
        comment="#",
        labels=tuple(str(index) for index in range(layout.columns)),
        wanted=wanted,
    )
    with CaptureFile(path) as file:
        return layout, read_table(file, form, grammar_of(Dialect()), progress=None, quick=quick)


@pytest.mark.independent("numpy.loadtxt")
@pytest.mark.parametrize("quick", [True, False])
def test_heater_log_with_header(open_data: Path, quick: bool) -> None:
    """Seven named columns with units in brackets, in powers of ten."""
    path = open_data / "heater-step-test" / "two_heaters_1s.csv"

    layout, table = read_log(path, 0, 3, 4, quick=quick)

    expected = np.loadtxt(path, delimiter=",", skiprows=1)
    assert [(heading.name, heading.unit) for heading in layout.headings[:4]] == [
        ("Time", "sec"),
        ("Heater 1", "%"),
        ("Heater 2", "%"),
        ("Temperature 1", "degC"),
    ]
    assert table.rows_read == 599
    for column in (0, 3, 4):
        assert (table.values[column] == expected[:, column]).all()


@pytest.mark.independent("numpy.loadtxt")
@pytest.mark.parametrize("quick", [True, False])
def test_heater_log_without_header(open_data: Path, quick: bool) -> None:
    """Three columns without names."""
    path = open_data / "heater-step-test" / "one_heater_no_header.csv"

    layout, table = read_log(path, 0, 1, 2, quick=quick)

    expected = np.loadtxt(path, delimiter=",")
    assert (layout.first, layout.columns) == (0, 3)
    assert all((table.values[column] == expected[:, column]).all() for column in range(3))


@pytest.mark.independent("the csv module of Python's library and float()")
@pytest.mark.parametrize("quick", [True, False])
def test_household_log_with_clock_times(open_data: Path, quick: bool) -> None:
    """Twenty thousand rows with a column of dates."""
    (path,) = (open_data / "household-vi-1min").glob("*.csv")

    layout, table = read_log(path, 3, 4, quick=quick)

    with path.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert layout.kinds[0] == "text"
    assert table.values[3].tolist() == [float(row["Voltage"]) for row in rows]
    assert table.values[4].tolist() == [float(row["Global_intensity"]) for row in rows]


@pytest.mark.independent("the csv module of Python's library and float()")
def test_a_log_read_as_a_waveform_needs_the_hand(open_data: Path) -> None:
    """The household log has a voltage by name and no seconds: refused, and read when the step is said."""
    (path,) = (open_data / "household-vi-1min").glob("*.csv")

    with pytest.raises(CaptureError, match=r"column 'date_time' holds text, '2007-02-01 00:00:00', no seconds"):
        read_waveform(path)
    capture = read_waveform(path, choices={"step": "1 min"})

    with path.open(encoding="utf-8", newline="") as lines:
        assert capture.waveform.voltage.tolist() == [float(row["Voltage"]) for row in csv.DictReader(lines)]
    assert capture.waveform.sample_interval == 60.0
    assert capture.waveform.resolution == pytest.approx(0.01, rel=1e-6)


def test_heater_logs_are_no_waveforms(open_data: Path) -> None:
    """Uneven seconds, counts and temperatures are refused with the reason."""
    folder = open_data / "heater-step-test"

    with pytest.raises(AmbiguousDialect, match="2 columns can be the voltage of the pilot: --voltage 2, --voltage 3"):
        read_waveform(folder / "one_heater_no_header.csv")
    times = np.loadtxt(folder / "one_heater_no_header.csv", delimiter=",")[:, 0]
    row = int(np.argmax(np.diff(times))) + 2
    with pytest.raises(
        CaptureError, match=rf"row {row}: the rows are not evenly spaced: the largest gap is 1.06 s from"
    ):
        read_waveform(folder / "one_heater_no_header.csv", choices={"voltage": 3})
    with pytest.raises(CaptureError, match="no column can be the voltage"):
        read_waveform(folder / "two_heaters_1s.csv")
