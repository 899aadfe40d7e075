"""The commands about a charge and an idle unit: the record as promised, remarks apart, one message for bad input."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from coldpin.cli import main
from coldpin.records.log import Log
from coldpin.records.plain import from_json
from coldpin.records.session import SessionReading, StandbyReading
from tests.session.charges import level, log_of, lost, rest

HEADS = {"I": "current (A)", "U": "voltage (V)", "P": "power (W)", "E": "energy (Wh)"}


def write(log: Log, path: Path, *, began: str = "") -> Path:
    """Write a log as a meter exports it."""
    lines = [",".join(["time (s)" if not began else "time", *(HEADS[channel.name] for channel in log.channels)])]
    first = np.datetime64(began) if began else None
    for row, second in enumerate(log.time_s.tolist()):
        stamp = f"{second:g}" if first is None else str(first + np.timedelta64(int(second), "s"))
        lines.append(",".join([stamp, *(f"{channel.values[row]:.2f}" for channel in log.channels)]))
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def charge(tmp_path: Path) -> str:
    """A charge in which everything happens, with a calendar."""
    return str(write(log_of(energy=True), tmp_path / "charge.csv", began="2026-05-02T13:30:00"))


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    """Exit code, standard output, standard error."""
    code = main(list(words))
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def test_the_record_has_the_form_that_is_promised(charge: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Schema, phases with kind, ends, power and current, energy, outages; it reads back."""
    code, out, _ = run(capsys, "session", charge, "--accuracy", "1 %", "--json")
    told = json.loads(out)

    assert code == 0
    assert told["schema"] == "coldpin.session/1"
    assert {"phases", "energy_wh", "outages"} <= set(told)
    assert {"kind", "start_s", "end_s", "power_w", "current_a"} <= set(told["phases"][0])
    assert {"value", "u", "unit", "dof", "low", "high"} <= set(told["energy_wh"])
    assert {"start_s", "end_s"} <= set(told["outages"][0])
    assert from_json(SessionReading, out, where="the output").phases[2].kind == "steady"


def test_the_table_tells_phases_energy_and_what_followed(charge: str, capsys: pytest.CaptureFixture[str]) -> None:
    """With marks by the log's calendar, a price and an offer."""
    code, out, err = run(
        capsys,
        *("session", charge, "--accuracy", "1 %", "--offer", "16.5 A ± 0.1 A", "--price", "0.35 EUR/kWh"),
        *("--marks", "13:40:00 ± 1 s = unlock", "--marks", "13:46:48 ± 1 s=offer lowered to 10.3 A ± 0.1 A"),
    )

    assert (code, err) == (0, "")
    assert "steady       0:01:50 to 0:16:50  15 min    16.00 A ± 0.18 A" in out
    assert "By the meter's own counter" in out
    assert "Supply lost from 0:31:50 to 0:32:50, shown by voltage" in out
    assert "Phase 3 drew 16.00 A ± 0.18 A of 16.500 A ± 0.095 A offered: within" in out
    assert "After 'unlock' the draw went on as before for the 407 s watched." in out
    assert (
        "After the supply returned the draw began again after 31.00 s ± 0.80 s: by itself, unless somebody acted" in out
    )


def test_marks_come_from_a_file_too(charge: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One in each line, by a watch that saw the breaker; a wrong line is named."""
    marks = tmp_path / "marks.txt"
    marks.write_text("# by the watch\n\n2000 s ± 1 s @watch = breaker off\n1700 s ± 1 s @watch = unlock\n", "utf-8")
    code, out, _ = run(capsys, "session", charge, "--accuracy", "1 %", "--marks", str(marks), "--json")
    told = json.loads(out)

    assert code == 0
    assert told["clocks"][0]["offset_s"]["value"] == pytest.approx(-90.5)
    assert [round(mark["at_s"]["value"], 1) for mark in told["marks"]] == [1609.5, 1909.5]
    marks.write_text("10 s = unlock\n10 s = unlok\n", "utf-8")
    code, out, err = run(capsys, "session", charge, "--marks", str(marks))
    assert (code, out) == (2, "")
    assert err.startswith("coldpin: marks.txt, line 2: unknown event 'unlok'; did you mean 'unlock'?")


def test_marks_that_cannot_be_placed_leave_the_charge_readable(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two losses of the supply and one breaker off: the phases are told, the marks are not placed, and why."""
    parts = (level("steady", 300.0, 16.0), lost(60.0), level("steady", 300.0, 16.0), lost(60.0), rest("ended", 60.0))
    log = write(log_of(parts), tmp_path / "twice.csv")
    code, out, err = run(
        capsys,
        *("session", str(log), "--accuracy", "1 %", "--marks", "900 s ± 1 s @watch = breaker off"),
        *("--marks", "950 s ± 1 s @watch = unlock"),
    )

    assert code == 0
    assert "steady       0:00:00 to 0:05:00" in out
    assert (
        "Not placed in the log, by the clock 'watch': 'breaker off' at 900 s of its own, 'unlock' at 950 s of its own"
        in out
    )
    assert "What followed 'unlock' is not known, for it is not placed: the clock 'watch' cannot be aligned by" in out
    assert "remark: not placed in the log: 'breaker off' at 900 s, 'unlock' at 950 s by the clock 'watch'" in err


def test_a_log_of_current_alone_takes_a_voltage(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And says what its power then is."""
    log = write(log_of(voltage=False, power=False), tmp_path / "current.csv")
    code, out, err = run(capsys, "session", str(log), "--voltage", "230 V ± 5 V", "--accuracy", "1 %")
    bare, without, _ = run(capsys, "session", str(log))

    assert (code, bare) == (0, 0)
    assert "kW ± " not in out
    assert "Energy: 1895 Wh (uncertainty not known): voltage times current: the true power is smaller by" in out
    assert "accuracy is not known" not in err
    assert "remark: the log has no power: voltage times current stands in its place" in err
    assert "Energy: not known (the log has no power, and no voltage is stated)" in without


def test_an_unstated_accuracy_is_said(charge: str, capsys: pytest.CaptureFixture[str]) -> None:
    """On standard error, where results are not."""
    _, out, err = run(capsys, "session", charge, "--json")

    assert err == "remark: the meter's accuracy is not known: say --accuracy\n"
    assert json.loads(out)["energy_wh"]["u"] is None


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("power (W)\n1\n2\n3\n", "no column can be the time"),
        ("time (s),temperature (°C)\n0,20\n1,21\n", "no column of the log is known to hold a power or a current"),
        ("time (s),current\n0,16.0\n1,16.0\n2,16.0\n", "no column has a unit"),
        ("time (s),current (A)\n0,16.0\n", "rows of the log that hold a value of current: 1; two at least"),
    ],
)
def test_a_log_that_cannot_be_used_is_one_message(
    text: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One column, no power, no unit, one row: exit 2, nothing on standard output, one line that says what to do."""
    path = tmp_path / "log.csv"
    path.write_text(text, "utf-8")
    code, out, err = run(capsys, "session", str(path))

    assert (code, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1


def test_milliamperes_by_mistake_are_questioned(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """16 000 A are asked about and kept as written."""
    path = tmp_path / "log.csv"
    path.write_text("time (s),current (A)\n" + "".join(f"{row},16000\n" for row in range(60)), "utf-8")
    code, out, err = run(capsys, "session", str(path), "--json")

    assert code == 0
    assert "is the unit right? Kept as written" in err
    assert "in thousandths" not in err, "asked once"
    assert json.loads(out)["phases"][0]["current_a"]["value"] == 16000.0


def test_exchanged_columns_are_asked_about_and_show_no_loss_of_supply(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A current of 230 A with 16 V is a charge with its columns exchanged; the pause is no loss of the supply."""
    path = tmp_path / "log.csv"
    rows = ((230.0, 0.0 if 200 <= row < 260 else 16.0) for row in range(600))
    lines = (f"{row},{first},{second}" for row, (first, second) in enumerate(rows))
    path.write_text("time (s),current (A),voltage (V)\n" + "\n".join(lines) + "\n", "utf-8")
    code, out, err = run(capsys, "session", str(path), "--accuracy", "1 %", "--json")
    told = json.loads(out)

    assert code == 0
    assert "are the two columns exchanged?" in err
    assert told["outages"] == []
    assert told["energy_wh"]["u"] is None


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--voltage", "230"), "'230' has no unit, but voltage is asked for"),
        (("--price", "0.35"), "write an amount, a currency and '/kWh'"),
        (("--accuracy", "1 °C"), "its unit is of nothing that a meter logs of a charge"),
        (("--accuracy", "strom=1 %"), "unknown quantity of a meter 'strom'. Known: current, energy"),
        (("--offset", "12 s"), "names no clock: write CLOCK=TIME"),
        (("--marks", "unlock"), "neither TIME=EVENT nor a file that can be read"),
        (("--marks", "905=unlock"), "'905' has no unit"),
    ],
)
def test_what_is_said_wrongly_is_one_message(
    words: tuple[str, ...], said: str, charge: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A missing unit, an unknown word: what was given and how to write it."""
    code, out, err = run(capsys, "session", charge, *words)

    assert (code, out) == (2, "")
    assert said in err


def test_a_time_of_day_needs_a_log_with_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A log that counts from zero has no half past two."""
    log = write(log_of(), tmp_path / "relative.csv")
    code, _, err = run(capsys, "session", str(log), "--marks", "14:30:00 = unlock")

    assert code == 2
    assert "the log has no date or time of day, so this is not a time of it" in err


GOOD = (
    *("--power-factor", "0.12", "--accuracy", "1 % + 0.005 W", "--holds-from", "0.1 W"),
    *("--holds-from-power-factor", "0.1"),
)


def test_standby_by_reading_counter_and_log(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Three ways to the same kind of record."""
    rows = "".join(f"{second},{6.0 if second % 10 == 0 else 0.2}\n" for second in range(3600))
    log = tmp_path / "idle.csv"
    log.write_text("time (s),power (W)\n" + rows, "utf-8")
    found = []
    for words in (("--power", "0.82 W"), ("--energy", "59.0 Wh", "--over", "72 h"), ("--log", str(log))):
        code, out, _ = run(capsys, "standby", *words, *GOOD, "--price", "0.35 EUR/kWh", "--json")
        assert code == 0
        found.append(from_json(StandbyReading, out, where="the output"))

    assert [round(told.power_w.value, 2) for told in found] == [0.82, 0.82, 0.78]
    assert [told.method for told in found] == ["read off", "energy counted over 72 h", "mean of a log of 3600 rows"]
    assert all(told.yearly_cost is not None and told.yearly_cost.unit == "EUR" for told in found)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--power", "0.82 W"), "a standby power of 0.82 W without the meter's accuracy is refused"),
        (("--power", "0.82 W", "--accuracy", "1 %"), "say from which power and power factor"),
        ((), "give one of --power, --energy with --over, or --log"),
        (("--power", "0.82 W", "--energy", "60 Wh", "--over", "72 h", *GOOD), "give one of"),
        (("--energy", "60 Wh", *GOOD), "give one of"),
    ],
)
def test_standby_is_refused_where_nothing_is_known(
    words: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2 and one message."""
    code, out, err = run(capsys, "standby", *words)

    assert (code, out) == (2, "")
    assert said in err


def test_what_was_recorded_stands_apart_from_what_a_gap_may_hold(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """1990 s at 3600 W and an hour between them without a row: 1990 Wh recorded, and up to 3610 Wh beside."""
    path = tmp_path / "log.csv"
    times = [*range(0, 1000, 10), *range(4600, 5610, 10)]
    path.write_text("time (s),power (W)\n" + "".join(f"{time},3600\n" for time in times), "utf-8")
    code, out, _ = run(capsys, "session", str(path), "--accuracy", "1 %")

    assert code == 0
    assert "Energy recorded: 1990" in out
    assert "With the middle of what may have gone by unrecorded: " in out
