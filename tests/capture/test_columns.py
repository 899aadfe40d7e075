"""Which column is what: by hand, by name and unit, by what the rows show; never by a guess among equals."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from coldpin.capture import read_waveform
from coldpin.errors import AmbiguousDialect, CaptureError

Write = Callable[..., Path]


def table(header: str, *rows: str) -> str:
    """Return a small capture whose rows are 1 ms apart, with the given header."""
    lines = rows or ("0.000,1,2", "0.001,3,4", "0.002,5,6")
    return "\n".join([header, *lines]) + "\n"


@pytest.mark.hand("by eye")
@pytest.mark.parametrize(
    ("header", "voltage", "output"),
    [
        ("Time (s),Pilot (V),Output (V)", "Pilot", "Output"),
        ("Time (s),Output (V),CP", "CP", "Output"),
        ("t,CH1,Out", "CH1", "Out"),
        ("Time,Voltage,Room (°C)", "Voltage", ""),
        ("Time,Load (A),CH2", "CH2", ""),
        ("Time,Voltage,Mystery", "Voltage", ""),
        ("t,Control pilot (V),CH2 (V)", "Control pilot", ""),
        ("t,u,Sample", "u", ""),
    ],
)
def test_names_and_units_decide(write: Write, header: str, voltage: str, output: str) -> None:
    """The pilot goes before other voltages, a named output is the output, other quantities are left alone."""
    dialect = read_waveform(write(table(header))).dialect

    assert (dialect.voltage, dialect.output) == (voltage, output)
    assert dialect.origin["voltage"] == "from the header"


@pytest.mark.parametrize(
    "header", ["Time (s),CH1 (V),CH2 (V)", "t,A,B", "t,Pilot 1,Pilot 2", "t,Voltage 1,Voltage 2", "t,Output,Out"]
)
def test_equals_are_asked_about(write: Write, header: str) -> None:
    """Two columns with the same claim are listed with the option to type."""
    with pytest.raises(AmbiguousDialect, match=r"2 columns can be the voltage of the pilot: --voltage .*, --voltage "):
        read_waveform(write(table(header)))


@pytest.mark.parametrize(
    ("wanted", "index"),
    [("CH1", 0), ("CH1 (mV)", 0), ("ch1", 0), ("2", 0), (2, 0), ("Other one", 1), ("3", 1), (3, 1)],
)
def test_a_column_is_named_as_one_likes(write: Write, wanted: str | int, index: int) -> None:
    """By its name, with or without the unit, in capitals or not, or by its number from 1."""
    path = write(table("Time (s),CH1 (mV),Other one (mV)"))

    capture = read_waveform(path, choices={"voltage": wanted})

    assert capture.waveform.voltage[0] == (index + 1) / 1000
    assert capture.dialect.origin["voltage"] == "given by hand"


def test_columns_of_one_name_go_by_number(write: Write) -> None:
    """A name that two columns share is asked about; the dialect then keeps the number."""
    path = write(table("Time (s),CH (V),CH (V)"))

    with pytest.raises(AmbiguousDialect, match="2 columns are named 'CH': say which by number: --voltage 2 or --volt"):
        read_waveform(path, choices={"voltage": "CH"})
    capture = read_waveform(path, choices={"voltage": 3})
    assert (capture.dialect.voltage, capture.waveform.voltage.tolist()) == ("3", [2.0, 4.0, 6.0])
    assert read_waveform(path, dialect=capture.dialect).waveform.voltage.tolist() == [2.0, 4.0, 6.0]


def test_a_wrong_name_lists_the_right_ones(write: Write) -> None:
    """The message holds the nearest name and all names."""
    with pytest.raises(CaptureError, match=r"unknown column for --output 'CH9'; did you mean 'CH\d'\? Known: CH1, CH2"):
        read_waveform(write(table("Time (s),CH1,CH2")), choices={"output": "CH9", "voltage": "CH1"})


@pytest.mark.parametrize("number", ["0", "4", "-1", "1.5"])
def test_a_number_out_of_the_table_is_no_column(write: Write, number: str) -> None:
    """Columns are counted from 1."""
    with pytest.raises(CaptureError, match="unknown column for --voltage"):
        read_waveform(write(table("Time (s),CH1,CH2")), choices={"voltage": number})


@pytest.mark.hand("by eye")
def test_an_output_by_hand(write: Write) -> None:
    """The second channel is named by hand as the first is; what is left is the voltage."""
    capture = read_waveform(write(table("Time (s),CH1 (V),CH2 (V)")), choices={"output": "CH1"})

    assert (capture.dialect.voltage, capture.dialect.output) == ("CH2", "CH1")
    assert capture.dialect.origin["output"] == "given by hand"


def test_one_column_has_one_role(write: Write) -> None:
    """A column cannot be the time and the voltage."""
    with pytest.raises(CaptureError, match="column 'CH1' is given for --time and --voltage: give two columns"):
        read_waveform(write(table("Time (s),CH1,CH2")), choices={"voltage": "CH1", "time": "CH1"})


@pytest.mark.parametrize(
    ("last", "said"), [("label 1", "text, not numbers"), ("", "nothing that is a number"), ("NA", "nothing that is")]
)
def test_a_column_without_numbers_has_no_role(write: Write, last: str, said: str) -> None:
    """A column of text or of nothing is refused with what it holds."""
    path = write(table("Time (s),CH1,CH2", f"0.000,1,{last}", f"0.001,3,{last}", f"0.002,5,{last}"))

    with pytest.raises(CaptureError, match=f"column 'CH2', taken for the voltage, holds {said}.*--voltage"):
        read_waveform(path, choices={"voltage": "CH2"})


@pytest.mark.hand("by eye")
def test_the_first_column_is_the_time_if_it_rises(write: Write) -> None:
    """Without names, a first column that rises is the time, and that is shown; one that does not is a voltage."""
    rising = read_waveform(write("0.000;1\n0.001;3\n0.002;2\n"))

    assert (rising.dialect.time, rising.dialect.voltage) == ("1", "2")
    assert rising.dialect.origin["time"] == "seen in the first rows"
    with pytest.raises(AmbiguousDialect, match="--voltage 1, --voltage 2"):
        read_waveform(write("0.002;1\n0.001;3\n0.003;2\n"), choices={"step": 1})


@pytest.mark.hand("by eye")
def test_a_first_column_that_counts_is_no_time_unless_said(write: Write) -> None:
    """Seconds and numbers of samples look the same: the step or the hand decides."""
    path = write("0;1.5\n1;3.5\n2;2.5\n")

    with pytest.raises(AmbiguousDialect, match="counts by one"):
        read_waveform(path)
    assert read_waveform(path, choices={"time": 1}).waveform.sample_interval == 1.0
    by_step = read_waveform(path, choices={"step": "4 us"})
    assert (by_step.dialect.time, by_step.waveform.sample_interval) == ("", 4e-6)
    assert by_step.waveform.voltage.tolist() == [1.5, 3.5, 2.5]


def test_two_time_columns_are_asked_about(write: Write) -> None:
    """Two columns in units of time are listed."""
    with pytest.raises(AmbiguousDialect, match="2 columns can be the time: --time 'Time left', --time Time"):
        read_waveform(write(table("Time left (s),Time (s),CH2")))


def test_columns_left_over_are_said(write: Write) -> None:
    """A voltage that was not asked for is named in the remarks."""
    capture = read_waveform(write(table("Time (s),CH1 (V),CH2 (V)")), choices={"voltage": "CH1"})

    assert "columns not used: CH2" in capture.remarks
    assert capture.waveform.remarks == capture.remarks


@pytest.mark.parametrize(
    ("header", "said"),
    [
        (
            "Time (s),Load (A),Room (°C)",
            r"no column can be the voltage \(columns: Time \(s\), Load \(A\), Room \(°C\)\)",
        ),
        (
            "Time (fortnight),CH1 (V),CH2 (A)",
            "column 'Time', the time: unknown unit 'fortnight'; allowed are d, h, min",
        ),
        ("Time (V),CH1 (A),CH2 (A)", "there is no time column"),
        ("t,CH1 (Vrms),CH2 (A)", "unit 'Vrms' is not used here: write V and say r.m.s. in the note; allowed are kV, V"),
        ("Time (s),CH1 (probe),CH2 (A)", "column 'CH1', the voltage: unknown unit 'probe'; allowed are kV, V, mV"),
    ],
)
def test_units_must_be_known_and_of_the_kind(write: Write, header: str, said: str) -> None:
    """A unit nobody knows, or of another kind, is an error with the choices."""
    with pytest.raises(CaptureError, match=said):
        read_waveform(write(table(header)))


def test_the_unit_of_a_column_not_used_matters_not(write: Write) -> None:
    """An unknown unit beside the columns used stops nothing."""
    assert read_waveform(write(table("Time (s),Pilot (V),Mood (smiles)"))).rows_kept == 3


@pytest.mark.hand("a minute is sixty seconds, a kilovolt a thousand volts")
def test_units_larger_than_the_base(write: Write) -> None:
    """Minutes and kilovolts are read as well."""
    waveform = read_waveform(write(table("Time (min),Pilot (kV)", "0,1.5", "1,0.25", "2,3"))).waveform

    assert (waveform.voltage.tolist(), waveform.sample_interval) == ([1500.0, 250.0, 3000.0], 60.0)


@pytest.mark.hand("units by their definitions")
def test_units_by_hand(write: Write) -> None:
    """One option says either unit or both; it goes before the header."""
    path = write(table("Time (ms),CH1 (V),Load (A)"))

    waveform = read_waveform(path, choices={"unit": "s, mV"}).waveform

    assert (waveform.voltage[0], waveform.sample_interval) == (1e-3, 1e-3)
    assert read_waveform(path, choices={"unit": "mV"}).waveform.sample_interval == pytest.approx(1e-6, rel=1e-12)
    assert read_waveform(path, choices={"unit": "us"}).waveform.sample_interval == pytest.approx(1e-9, rel=1e-12)


@pytest.mark.hand("by eye")
def test_the_scale_is_a_factor_on_the_voltage(write: Write) -> None:
    """A divider of ten is undone by a scale of ten; the output keeps its own."""
    waveform = read_waveform(write(table("Time (s),Pilot (V),Output (V)")), choices={"scale": "-10"}).waveform

    assert waveform.voltage.tolist() == [-10.0, -30.0, -50.0]
    assert waveform.output is not None
    assert waveform.output.tolist() == [2.0, 4.0, 6.0]
