"""Logs from files: columns by name, unit and hand; time in every form that loggers write; what is not told is asked."""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.capture.log import LogCapture, read_log
from coldpin.errors import AmbiguousDialect, CaptureError, UnknownName
from coldpin.records.log import LogQuantity

Write = Callable[..., Path]

HEADER = "Time (s);Voltage (V);Current (A);Power (kW);Plug [°C]\n"


def values(capture: LogCapture, quantity: LogQuantity) -> list[float]:
    """Return the values of the column that is meant by a quantity."""
    channel = capture.log.channel(quantity)
    assert channel is not None
    return [float(value) for value in channel.values]


@pytest.mark.hand("kW times 1000, kelvin less 273.15, mA by 1000, kWh times 1000, percent by 100, kvar times 1000")
def test_units_become_those_of_logs(write: Write) -> None:
    """Every column is kept in one unit, whatever the file said; the file's unit is kept beside it."""
    path = write(
        "Time (min),P (kW),Sensor_K,I [mA],Energy/kWh,cosφ (%),Q (kvar),S (kVA),f (Hz),Tap (mΩ)\n"
        "0,3.6,300.15,15500,0.25,98,0.4,3.7,50.02,5\n"
        "1,3.5,301.15,15400,0.31,97,0.5,3.6,49.98,6\n"
    )

    log = read_log(path, choices={"column": "temperature=Sensor_K:K"}).log

    found = {channel.quantity: channel.values[0] for channel in log.channels}
    assert log.time_s.tolist() == [0.0, 60.0]
    assert found[LogQuantity.POWER] == 3600.0
    assert found[LogQuantity.TEMPERATURE] == pytest.approx(27.0, abs=1e-9)
    assert found[LogQuantity.CURRENT] == 15.5
    assert found[LogQuantity.ENERGY] == 250.0
    assert found[LogQuantity.POWER_FACTOR] == 0.98
    assert found[LogQuantity.REACTIVE_POWER] == 400.0
    assert found[LogQuantity.APPARENT_POWER] == 3700.0
    assert found[LogQuantity.FREQUENCY] == 50.02
    assert found[LogQuantity.RESISTANCE] == 0.005


@pytest.mark.parametrize(
    ("header", "quantity"),
    [
        ("Power (W)", LogQuantity.POWER),
        ("Strom [A]", LogQuantity.CURRENT),
        ("temp_C", LogQuantity.TEMPERATURE),
        ("Tension (V)", LogQuantity.VOLTAGE),
        ("cosφ", LogQuantity.POWER_FACTOR),
        ("cos phi", LogQuantity.POWER_FACTOR),
        ("Power factor", LogQuantity.POWER_FACTOR),
        ("Leistungsfaktor", LogQuantity.POWER_FACTOR),
        ("Reactive power (var)", LogQuantity.REACTIVE_POWER),
        ("L1 Blindleistung [kvar]", LogQuantity.REACTIVE_POWER),
        ("Scheinleistung/VA", LogQuantity.APPARENT_POWER),
        ("meter kWh", LogQuantity.ENERGY),
        ("ActivePower W", LogQuantity.POWER),
        ("Heater 1 (%)", LogQuantity.OTHER),
        ("Phase A", LogQuantity.OTHER),
        ("rate (K/min)", LogQuantity.OTHER),
    ],
)
def test_a_column_is_known_by_name_and_unit(write: Write, header: str, quantity: LogQuantity) -> None:
    """Names of several languages, the unit in brackets, behind a slash or as a last word; a letter alone is no unit."""
    path = write(f"Time (s),{header},Known (W)\n0,1,5\n1,2,6\n2,3,7\n")

    channel = read_log(path).log.channels[0]

    assert channel.quantity is quantity


def test_a_power_without_a_unit_is_asked_for(write: Write) -> None:
    """W and kW look alike: the columns that lack a unit are listed with the option to type."""
    path = write("Time (s),Active power,Voltage\n0,1,230\n1,2,231\n")

    with pytest.raises(
        AmbiguousDialect, match=r"W and kW .* --column 'power=Active power:W', --column voltage=Voltage:V"
    ):
        read_log(path)
    read = read_log(path, choices={"column": "power=Active power:kW"})

    assert values(read, LogQuantity.POWER) == [1000.0, 2000.0]
    assert "no unit is given for 'Voltage' (voltage): kept as written and used for nothing" in read.remarks[0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "Time (s),Power (furlong)\n0,1\n1,2\n",
            r"column 'Power': unknown unit 'furlong'.*allowed for a power are .*kW",
        ),
        ("Time (s),Leistung (kw)\n0,1\n1,2\n", r"unknown unit 'kw'; did you mean kW"),
        ("", "the file is empty"),
        ("nothing here\n", "no rows of numbers"),
        (
            "Time (s),Power (W)\n0,1\n1,2\n2,2.5x\n3,1\n",
            r"row 4, column 'Power': '2.5x' is not a number.*--missing '2.5x'",
        ),
        ("Power (W),Current (A)\n1,2\n3,4\n", r"no column can be the time \(columns: 'Power', 'Current'\).*--step"),
        (
            "Date,Power (W)\n31/02/2026 10:00,5\n31/02/2026 10:01,6\n",
            "row 2, column 'Date': '31/02/2026 10:00' is no date",
        ),
    ],
)
def test_what_cannot_be_read_is_told_with_its_place(write: Write, text: str, said: str) -> None:
    """One message that says where and what to do."""
    with pytest.raises(CaptureError, match=said):
        read_log(write(text))


def test_a_log_without_a_header_is_asked_with_its_first_rows(write: Write) -> None:
    """Nothing is guessed: the first rows of each column and the options stand in the message."""
    path = write("0,0,299.53\n1.01,0,299.53\n2.02,150,300.1\n")

    with pytest.raises(AmbiguousDialect, match=r"column 3: 299.53, 299.53, 300.1\).*--time 1:s --column power=3:W"):
        read_log(path)
    with pytest.raises(CaptureError, match=r"'3', said to be a temperature, has no unit.*temperature=3:°C"):
        read_log(path, choices={"time": "1", "column": "temperature=3"})
    log = read_log(path, choices={"time": "1:s", "column": "temperature=3:K"}).log

    assert log.channels[0].values.tolist() == pytest.approx([26.38, 26.38, 26.95], abs=1e-9)


@pytest.mark.parametrize(
    ("choices", "error", "said"),
    [
        ({"columns": "x"}, UnknownName, "unknown option of a log 'columns'; did you mean 'column'"),
        ({"column": "power"}, CaptureError, "write QUANTITY=COLUMN:UNIT"),
        ({"column": "heat=3:W"}, UnknownName, "unknown quantity of a log 'heat'"),
        ({"column": "power=3:A"}, CaptureError, "'A' is a unit of current"),
        ({"column": "power=9:W"}, CaptureError, "unknown column for --column power '9'"),
        ({"column": "power=1:W"}, CaptureError, "column 'Time' is given twice"),
        ({"time": "1:W"}, CaptureError, "'W' is no unit of time"),
        ({"date_order": "ydm"}, CaptureError, "allowed: ymd, dmy, mdy"),
        ({"clock_step": "3600"}, CaptureError, "such as 1204=1 h"),
        ({"clock_step": "99=1 h"}, CaptureError, "names a row that is not there"),
    ],
)
def test_what_is_said_by_hand_is_checked(
    write: Write, choices: dict[str, str], error: type[Exception], said: str
) -> None:
    """An option that cannot be meant is refused, with what is allowed."""
    path = write("Time (s),Power (W)\n0,1\n1,2\n2,3\n")

    with pytest.raises(error, match=said):
        read_log(path, choices=choices)


def test_of_two_temperatures_the_hand_says_which_is_meant(write: Write) -> None:
    """Both stay in the log; the one that was named comes first when one is asked for."""
    path = write("Time (s),Plug (°C),Room (°C)\n0,40,20\n1,41,20\n")

    both = read_log(path).log.all_of(LogQuantity.TEMPERATURE)
    room = read_log(path, choices={"column": "temperature=Room"}).log.channel(LogQuantity.TEMPERATURE)

    assert [channel.name for channel in both] == ["Plug", "Room"]
    assert room is not None
    assert (room.name, room.meant) == ("Room", True)


STAMPS = [
    ("2026-05-02 14:30:00", "2026-05-02 14:30:30"),
    ("2026-05-02T14:30:00Z", "2026-05-02T14:30:30Z"),
    ("2026-05-02T16:30:00+02:00", "2026-05-02T14:30:30Z"),
    ("2026/05/02 14:30:00.000", "2026/05/02 14:30:30.000"),
    ("02.05.2026 14:30:00", "02.05.2026 14:30:30"),
    ("2:30:00 pm", "2:30:30 PM"),
    ("14:30:00.5", "14:30:30.5"),
]


@pytest.mark.hand("30 s between the two stamps of each pair")
@pytest.mark.parametrize(("first", "second"), STAMPS)
def test_stamps_of_every_form(write: Write, first: str, second: str) -> None:
    """ISO with and without zone, day first with dots, twelve hours, fractions behind point or comma."""
    path = write(f"Time;Power (W)\n{first};5\n{second};6\n")

    assert read_log(path).log.time_s.tolist() == [0.0, 30.0]


def test_date_and_time_in_two_columns(write: Write) -> None:
    """The first row's date and time are kept as the clock showed them."""
    path = write("Date,Clock,Power (W)\n2026-05-02,23:59:30,5\n2026-05-03,00:00:00,6\n")

    read = read_log(path)

    assert (read.log.began, read.log.time_s.tolist()) == ("2026-05-02T23:59:30", [0.0, 30.0])
    assert read.dialect.log is not None
    assert read.dialect.log.date == "Date"


def test_the_order_of_a_date_is_asked_for_not_guessed(write: Write) -> None:
    """3/4/2026 may be in April or in March; a day above twelve anywhere in the file tells, and so does the hand."""
    rows = "3/4/2026 10:00:00,5\n3/4/2026 10:00:30,6\n"
    asked = write("Time,Power (W)\n" + rows)
    told = write("Time,Power (W)\n" + rows + "13/4/2026 10:00:00,7\n", "told.csv")

    with pytest.raises(
        AmbiguousDialect, match=r"--date-order dmy \(03 April 2026\), --date-order mdy \(04 March 2026\)"
    ):
        read_log(asked)

    assert read_log(asked, choices={"date_order": "mdy"}).log.began == "2026-03-04T10:00:00"
    assert read_log(told).log.began == "2026-04-03T10:00:00"


@pytest.mark.hand("1 777 732 200 s after 1970 is 2 May 2026, 14:30 UTC")
@pytest.mark.parametrize(("scale", "unit"), [(1, ""), (1000, ""), (1, "epoch s"), (1000, "epoch ms")])
def test_a_count_since_1970(write: Write, scale: int, unit: str) -> None:
    """Seconds or milliseconds by their size, which is said, or by hand."""
    start = 1_777_732_200 * scale
    path = write(f"Timestamp,Power (W)\n{start},5\n{start + 15 * scale},6\n")

    read = read_log(path, choices={"time": f"Timestamp:{unit}"} if unit else {})

    assert read.log.began == "2026-05-02T14:30:00+00:00"
    assert read.log.time_s.tolist() == [0.0, 15.0]
    assert any("counts" in remark for remark in read.remarks) is not bool(unit)


def test_rows_without_a_time_column_follow_a_step_said_by_hand(write: Write) -> None:
    """A list of values needs its step."""
    log = read_log(write("Power (W),Current (A)\n5,1\n6,2\n7,3\n"), choices={"step": "1 min"}).log

    assert log.time_s.tolist() == [0.0, 60.0, 120.0]


@pytest.mark.parametrize("mark", ["", "NA", "?", "----", "n.a.", "NaN", "OVLD", "-OL", "99999"])
def test_marks_leave_a_hole_and_are_counted(write: Write, mark: str) -> None:
    """What the logger did not have is NaN; beyond the range is told apart from missing."""
    path = write(f"Time (s),Power (W),Current (A)\n0,5,1\n1,{mark},1\n2,7,1\n")

    read = read_log(path)

    found = values(read, LogQuantity.POWER)
    np.testing.assert_array_equal(found, [5.0, np.nan, 7.0])
    (remark,) = read.remarks
    assert ("beyond the instrument's range" in remark) == (mark in ("OVLD", "-OL"))
    assert [channel.beyond for channel in read.log.channels] == [int(mark in ("OVLD", "-OL")), 0]
    assert "column 'Power'" in remark


def test_a_counter_that_passes_99999_keeps_it(write: Write) -> None:
    """Beside neighbours of its size 99999 is a value, unless a person says otherwise."""
    rows = "".join(f"{n},{99990 + n}\n" for n in range(20))
    path = write("Time (s),Power (W)\n" + rows)

    kept = read_log(path)

    assert values(kept, LogQuantity.POWER)[9] == 99999.0
    assert any("if that marks a missing value, say --missing 99999" in remark for remark in kept.remarks)
    assert np.isnan(values(read_log(path, choices={"missing": "99999"}), LogQuantity.POWER)[9])


def test_a_cut_last_row_is_left_out(write: Write) -> None:
    """A logger that lost its supply ends within a row."""
    rows = "".join(f"{n},{n}.25,{n}.50\n" for n in range(20))

    for cut in ("20,20.25,20.5", "20,20.2", "20,"):
        read = read_log(write("Time (s),Power (W),Current (A)\n" + rows + cut))

        assert read.rows_kept == 20
        assert any("the last row" in remark for remark in read.remarks)


def test_a_torn_row_and_a_repeated_header_are_passed_over_and_said(write: Write) -> None:
    """A logger that starts again writes its header again, after what it could not finish."""
    rows = [f"{n},{n}.25\n" for n in range(300)]
    text = "Time (s),Power (W)\n" + "".join(rows[:100]) + "100,1\n10\nTime (s),Power (W)\n" + "".join(rows[101:])

    read = read_log(write(text))

    assert read.rows_kept == 300
    assert any("torn rows, with another number of fields than 2, left out: line 103" in said for said in read.remarks)
    assert any("the header stands among the rows once more" in said for said in read.remarks)


def test_many_torn_rows_are_a_wrong_separator(write: Write) -> None:
    """Nothing is passed over where too much would be lost."""
    rows = "".join(f"{n},{n}.25\n" if n % 5 else f"{n}\n" for n in range(200))

    with pytest.raises(CaptureError, match="1 field instead of 2"):
        read_log(write("Time (s),Power (W)\n0,1\n1,1\n2,1\n" + rows))


@pytest.mark.parametrize(
    ("column", "unit", "value", "said"),
    [
        ("Current", "A", "15500", "it reaches 1.55e+04 A, which a charging lead does not"),
        ("Sheath", "°C", "301.2", "is it in kelvin"),
        ("Voltage", "V", "230000", "is the unit right"),
        ("Mains frequency", "Hz", "5000", "is the unit right"),
    ],
)
def test_implausible_values_are_questioned_and_kept(
    write: Write, column: str, unit: str, value: str, said: str
) -> None:
    """Milliampere under a heading of ampere, kelvin under °C: a question, no correction."""
    path = write(f"Time (s),{column} ({unit})\n" + "".join(f"{n},{value}\n" for n in range(5)))

    read = read_log(path)

    (remark,) = read.remarks
    assert said in remark
    assert read.log.channels[0].values[0] == float(value)


def test_power_is_held_against_voltage_and_current(write: Write) -> None:
    """A prefix that slipped shows where all three are recorded."""
    path = write("Time (s),Voltage (V),Current (A),Power (W)\n" + "".join(f"{n},230,16,3.6\n" for n in range(5)))

    assert "is one of the units wrong, such as mA taken for A" in read_log(path).remarks[-1]


def test_words_may_stand_among_the_columns(write: Write) -> None:
    """The state that a wall unit writes beside its figures is no hindrance."""
    path = write("Time,State,Power (W)\n2026-05-02 10:00:00,charging,3600\n2026-05-02 10:00:10,paused,0\n")

    assert values(read_log(path), LogQuantity.POWER) == [3600.0, 0.0]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16"])
def test_encodings_and_decimal_commas(write: Write, encoding: str) -> None:
    """A semicolon between columns, a comma in the numbers, a degree sign in any encoding."""
    rows = "01.05.2026 10:00:00;3,5;21,5;lädt\n01.05.2026 10:00:20;3,6;21,6;lädt\n"
    text = "Zeit;Leistung (kW);Stecker (°C);Zustand\n" + rows

    read = read_log(write(text, encoding=encoding))

    assert values(read, LogQuantity.POWER) == [3500.0, 3600.0]
    assert values(read, LogQuantity.TEMPERATURE) == [21.5, 21.6]


@pytest.mark.needs_open_data
@pytest.mark.independent("the csv module of Python's library, float() and datetime.fromisoformat")
def test_the_household_log(open_data: Path) -> None:
    """Two weeks of one home, whose columns have names and no units."""
    (path,) = (open_data / "household-vi-1min").glob("*.csv")
    said = ["power=Global_active_power:kW", "voltage=Voltage:V", "current=Global_intensity:A"]

    with pytest.raises(AmbiguousDialect, match="power=Global_active_power:W"):
        read_log(path)
    read = read_log(path, choices={"column": said})

    with path.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    start = datetime.fromisoformat(rows[0]["date_time"])
    seconds = [(datetime.fromisoformat(row["date_time"]) - start).total_seconds() for row in rows]
    assert read.log.time_s.tolist() == seconds
    assert values(read, LogQuantity.VOLTAGE) == [float(row["Voltage"]) for row in rows]
    assert values(read, LogQuantity.POWER) == pytest.approx(
        [1000.0 * float(row["Global_active_power"]) for row in rows], rel=1e-12
    )
    current = read.log.channel(LogQuantity.CURRENT)
    assert current is not None
    assert current.resolution == pytest.approx(0.2)


@pytest.mark.needs_open_data
@pytest.mark.independent("numpy.loadtxt")
def test_the_heater_logs(open_data: Path) -> None:
    """Units in the header with blanks before it, and no header at all with kelvin."""
    folder = open_data / "heater-step-test"

    named = read_log(folder / "two_heaters_1s.csv").log
    bare = read_log(folder / "one_heater_no_header.csv", choices={"time": "1:s", "column": "temperature=3:K"}).log

    expected = np.loadtxt(folder / "two_heaters_1s.csv", delimiter=",", skiprows=1)
    assert named.all_of(LogQuantity.TEMPERATURE)[1].values.tolist() == expected[:, 4].tolist()
    assert named.time_s.tolist() == (expected[:, 0] - expected[0, 0]).tolist()
    kelvin = np.loadtxt(folder / "one_heater_no_header.csv", delimiter=",")[:, 2]
    assert bare.channels[0].values == pytest.approx(kelvin - 273.15, abs=1e-9)


@given(
    steps=st.lists(st.integers(1, 10_000), min_size=2, max_size=40),
    powers=st.lists(st.one_of(st.none(), st.floats(-5e4, 5e4)), min_size=41, max_size=41),
    separator=st.sampled_from([",", ";", "\t"]),
    stamp=st.sampled_from(["%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M:%S", "%d.%m.%Y %H:%M:%S", ""]),
    end=st.sampled_from(["\n", "\r\n"]),
)
def test_what_is_written_is_read(
    tmp_path_factory: pytest.TempPathFactory,
    steps: list[int],
    powers: list[float | None],
    separator: str,
    stamp: str,
    end: str,
) -> None:
    """Uneven steps and values with holes come back as they were, in every form of time, separator and line end."""
    seconds = [0, *np.cumsum(steps).tolist()]
    start = datetime(2026, 5, 2, 10, 0, tzinfo=UTC)
    lines = [separator.join(("Time" if stamp else "Time (s)", "Power (W)", "Current (A)"))]
    for second, power in zip(seconds, powers, strict=False):
        time = (start + timedelta(seconds=second)).strftime(stamp) if stamp else str(second)
        lines.append(separator.join((time, "" if power is None else repr(power), "1.5")))
    path = tmp_path_factory.mktemp("log") / "log.csv"
    path.write_bytes((end.join(lines) + end).encode())

    read = read_log(path)
    again = read_log(path, dialect=read.dialect)

    assert read.log.time_s.tolist() == seconds
    written = [np.nan if power is None else power for power in powers[: len(seconds)]]
    for kept in (read, again):
        np.testing.assert_array_equal(values(kept, LogQuantity.POWER), written)
    assert again.dialect.log == read.dialect.log


@given(content=st.binary(max_size=400))
def test_hostile_bytes_never_crash(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    """Whatever the bytes: a log, or one message of the family."""
    path = tmp_path_factory.mktemp("hostile") / "log.csv"
    path.write_bytes(b"Time (s),Power (W)\n0,1\n1,2\n" + content)

    told, steps = "", np.ones(1)
    try:
        steps = np.diff(read_log(path).log.time_s)
    except CaptureError as error:
        told = str(error)

    assert not told or told.startswith("log log.csv")
    assert (steps > 0.0).all()


@pytest.mark.hand("the same rows as a table and as text")
@pytest.mark.parametrize("zone", [None, "UTC"])
def test_a_table_is_read_as_its_text_is(tmp_path: Path, zone: str | None) -> None:
    """Parquet with time stamps, holes and names with units gives the same log, also by its own dialect."""
    begun = datetime(2026, 5, 2, 10, 0)
    stamps = pl.datetime_range(begun, begun + timedelta(minutes=3), "1m", time_zone=zone, eager=True)
    frame = pl.DataFrame({"Time": stamps, "Power (kW)": [3.5, None, 3.6, 3.7], "Plug (°C)": [20, 21, 22, 23]})
    path = tmp_path / "log.parquet"
    frame.write_parquet(path)

    read = read_log(path)
    again = read_log(path, dialect=read.dialect)

    for kept in (read, again):
        assert kept.log.time_s.tolist() == [0.0, 60.0, 120.0, 180.0]
        np.testing.assert_array_equal(values(kept, LogQuantity.POWER), [3500.0, np.nan, 3600.0, 3700.0])
        assert values(kept, LogQuantity.TEMPERATURE) == [20.0, 21.0, 22.0, 23.0]
    assert read.log.began == ("2026-05-02T10:00:00" if zone is None else "2026-05-02T10:00:00+00:00")
    with pytest.raises(CaptureError, match="damaged or cut short"):
        read_log(damaged(path))


def damaged(path: Path) -> Path:
    """The file without its end."""
    short = path.with_name("short.parquet")
    short.write_bytes(path.read_bytes()[:-40])
    return short


def test_a_column_that_is_new_is_not_left_out_in_silence(tmp_path: Path) -> None:
    """A remembered dialect whose columns nobody chose is dropped with a remark where a file has one more."""
    rows = "".join(f"{10 * n},{20 + n},{21 + n}\n" for n in range(5))
    first, second = tmp_path / "first.csv", tmp_path / "second.csv"
    first.write_text("Time [s],sheath [°C]\n" + "".join(f"{10 * n},{20 + n}\n" for n in range(5)), encoding="utf-8")
    second.write_text("Time [s],sheath [°C],pin [°C]\n" + rows, encoding="utf-8")
    read = read_log(second, remembered=read_log(first).dialect)

    assert [channel.name for channel in read.log.channels] == ["sheath", "pin"]
    assert any("column 'pin" in remark and "was not there when it was remembered" in remark for remark in read.remarks)
    again = read_log(second, remembered=read.dialect)
    assert not any("remembered for this instrument does not fit" in remark for remark in again.remarks)


def test_units_in_small_letters_end_the_names_of_records(tmp_path: Path) -> None:
    """The names of coldpin's own records are understood as the header of a log."""
    path = tmp_path / "heat.csv"
    path.write_text("time_s,temperature_c,current_a\n" + "".join(f"{10 * i},{20 + i}.5,16.0\n" for i in range(20)))
    log = read_log(path).log

    assert [(one.quantity.value, one.unit) for one in log.channels] == [("temperature", "C"), ("current", "A")]
