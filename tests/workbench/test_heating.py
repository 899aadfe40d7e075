"""The quick look at a heating log, from the command line: its record, what it asks, and one message for bad input."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path

import pytest

from coldpin.cli import main

USE = ("--current", "16 A ± 0.1 A", "--rated-current", "20 A", "--max-ambient", "40 °C")


def write(
    folder: Path, *, header: str = "time (s),sheath (°C),ambient (°C)", add: float = 0.0, ambient: float = 21.0
) -> str:
    """A log of a sheath that warms by 14 K with 400 s, the current on after a minute."""
    rows = [
        f"{second},{21.0 + add + 14.0 * -math.expm1(-max(second - 60, 0) / 400.0):.2f},{ambient + add:.2f}"
        for second in range(0, 2400, 10)
    ]
    path = folder / "heating.csv"
    path.write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
    return str(path)


def test_the_record_has_what_others_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """End temperature, time constant, temperature at rated current and outcome, each number with its interval."""
    code = main(["temperature-rise", write(tmp_path), *USE, "--accuracy", "± 0.5 °C", "--json"])

    told = json.loads(capsys.readouterr().out)
    assert code == 0
    assert told["schema"] == "coldpin.temperature_rise/1"
    assert told["end_temperature_c"]["low"] < 35.0 < told["end_temperature_c"]["high"]
    assert told["end_temperature_c"]["u"] is not None
    assert told["time_constant_s"]["value"] == pytest.approx(400.0, rel=0.05)
    assert told["at_rated_c"]["low"] < 40.0 + 14.0 * (20.0 / 16.0) ** 2 < told["at_rated_c"]["high"]
    assert told["limit"]["maximum"] == 60.0
    assert told["at_rated_c"]["low"] > 60.0
    # a tenth of the rise may be radiated in the hotter air
    assert told["outcome"] == "undecided"
    assert told["questions"] == []


def test_without_an_accuracy_bounds_are_told_and_nothing_is_decided(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The uncertainty is null with its reason; the bounds are those of the readings."""
    main(["temperature-rise", write(tmp_path), *USE, "--json"])

    told = json.loads(capsys.readouterr().out)
    assert told["end_temperature_c"]["u"] is None
    assert "accuracy is not stated" in told["end_temperature_c"]["why"]
    assert told["end_temperature_c"]["low"] < 35.0 < told["end_temperature_c"]["high"]
    assert told["outcome"] == "undecided"


def test_kelvin_taken_for_celsius_is_questioned_and_not_corrected(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A sheath of 294 °C is asked about; the numbers stay as they were written."""
    main(["temperature-rise", write(tmp_path, add=273.15), *USE, "--json"])

    shown = capsys.readouterr()
    assert "is it in kelvin?" in shown.err
    assert json.loads(shown.out)["end_temperature_c"]["value"] == pytest.approx(308.15, abs=0.2)


@pytest.mark.parametrize(
    ("add", "options"),
    [
        (273.15, ("--rated-current", "16 A")),
        (0.0, ("--current", "16000 A")),
        (0.0, ("--max-ambient", "313 °C")),
        (0.0, ("--max-ambient", "70 °C", "--limit", "95 °C")),
        (0.0, ("--rated-current", "16000 A")),
    ],
)
def test_what_is_questioned_is_not_decided(
    add: float, options: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A slip of a unit brings a question and no outcome: 16 kA told, or 318 °C in the end, must not come out within."""
    main(["temperature-rise", write(tmp_path, add=add), *USE, "--accuracy", "± 0.5 °C", *options, "--json"])

    shown = capsys.readouterr()
    told = json.loads(shown.out)
    assert told["outcome"] == "undecided"
    assert told["probability"] is None
    assert told["questions"]
    assert "nothing is decided against the limit while there are questions" in shown.err


def test_the_accuracy_of_a_logged_current_is_stated_by_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """'current=1 %' beside that of the thermometers: 16 A ± 0.16 A, as nearly all of an even distribution."""
    path = tmp_path / "logged.csv"
    warm = [(second, 21.0 + 14.0 * -math.expm1(-second / 400.0)) for second in range(0, 2400, 10)]
    rows = "\n".join(f"{second},{value:.2f},21.00,16.00" for second, value in warm)
    path.write_text(f"time (s),sheath (°C),ambient (°C),current (A)\n{rows}\n", encoding="utf-8")
    use = ("--rated-current", "16 A", "--max-ambient", "40 °C", "--json")

    main(["temperature-rise", str(path), *use, "--accuracy", "± 0.5 °C; current=1 %"])
    stated = json.loads(capsys.readouterr().out)
    main(["temperature-rise", str(path), *use, "--accuracy", "± 0.5 °C"])
    unstated = json.loads(capsys.readouterr().out)

    assert stated["current_a"]["u"] == pytest.approx(0.16 / math.sqrt(3.0), rel=0.01)
    assert stated["outcome"] == "within"
    assert "How it lay was not told, and the air of the test was 19 K cooler" in stated["statement"]
    assert unstated["outcome"] == "undecided"
    assert "current=1 %" in unstated["current_a"]["why"]


def test_kelvin_in_the_header_is_read_as_kelvin(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A column whose unit is K is converted, and nothing is asked."""
    path = write(tmp_path, header="time (s),sheath (K),ambient (K)", add=273.15)
    main(["temperature-rise", path, *USE, "--json"])

    shown = capsys.readouterr()
    assert "kelvin" not in shown.err
    assert json.loads(shown.out)["end_temperature_c"]["value"] == pytest.approx(35.0, abs=0.2)


def test_an_ambient_above_the_sheath_is_questioned(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Air warmer than the part before the current means exchanged columns or a badly placed thermometer."""
    main(["temperature-rise", write(tmp_path, ambient=28.0), *USE, "--json"])

    assert "is above the sheath" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("header", "ambient"),
    [
        ("time (s),sheath (°C),ambient (°C)", "Ambient (°C)"),
        ("time (s),sheath (°C),ambient (°C)", "ambient"),
        ("time_s,sheath_temperature_c,room_temperature_c", "room_temperature_c"),
    ],
)
def test_the_column_of_the_ambient_is_named_as_in_the_file(
    header: str, ambient: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With its unit as it stands in the header, or without it."""
    code = main(["temperature-rise", write(tmp_path, header=header), *USE, "--ambient", ambient, "--json"])

    told = json.loads(capsys.readouterr().out)
    assert code == 0
    assert told["ambient_c"]["value"] == pytest.approx(21.0)
    assert told["end_temperature_c"]["value"] == pytest.approx(35.0, abs=0.2)


@pytest.mark.parametrize(("current", "asked"), [("16000 A", "milliamperes?"), ("16 mA", "was the unit mistaken?")])
def test_a_current_in_milliamperes_is_questioned(
    current: str, asked: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Both slips, of the number and of the unit, are asked about."""
    main(["temperature-rise", write(tmp_path), "--current", current, "--json"])

    assert asked in capsys.readouterr().err


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--current", "16"), "unit"),
        (("--current", "-16 A"), "is not above zero: give it without sign"),
        ((), "the current is neither told nor logged"),
        (("--current", "16 A", "--start", "5000 s"), "lies outside the log"),
        (("--current", "16 A", "--ambient", "warm"), "'warm' is neither a temperature, such as '21 °C', nor a column"),
    ],
)
def test_bad_input_is_one_message_and_nothing_on_stdout(
    options: tuple[str, ...], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2, one message that says where and what to do."""
    code = main(["temperature-rise", write(tmp_path), *options])

    shown = capsys.readouterr()
    assert code == 2
    assert shown.out == ""
    assert says in shown.err


def test_a_log_of_one_column_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Temperatures without times tell no curve."""
    path = tmp_path / "one.csv"
    path.write_text("sheath (°C)\n" + "21.0\n" * 50, encoding="utf-8")

    code = main(["temperature-rise", str(path), *USE])

    shown = capsys.readouterr()
    assert code == 2
    assert shown.out == ""
    assert "one.csv" in shown.err


@pytest.mark.hand(
    "70 °C less 0.6 · 14.8 K (the rise and its U) and U of 0.5 °C; 60 °C less U; 21 °C less its own U + 45 K less U"
)
def test_the_lowest_stop_value_is_printed_with_its_source(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Sheath before metal before plug, each less the thermometer's U; the first is told with what it is for."""
    options = [write(tmp_path), *USE, "--accuracy", "± 0.5 °C"]
    main(["temperature-rise", *options])
    shown = capsys.readouterr().out
    main(["temperature-rise", *options, "--json"])
    stops = json.loads(capsys.readouterr().out)["stops"]["values"]

    assert [stop["place"] for stop in stops] == ["sheath", "metal", "accessory"]
    assert [stop["reading"] for stop in stops] == pytest.approx([59.5, 60.7, 65.0], abs=0.2)
    assert "59.5 °C for the sheath: at most 60 °C" in shown
    assert "IEC 62196-1" in shown


def test_a_run_stopped_very_early_has_no_upper_end(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Four minutes of a body of 400 s, noisy: a lower end, and it is said that the upper one is not known."""
    rows = [
        f"{second},{21.0 - 30.0 * math.expm1(-second / 400.0) + 0.15 * math.cos(1.7 * second):.1f},21.0"
        for second in range(0, 250, 10)
    ]
    path = tmp_path / "early.csv"
    path.write_text("\n".join(["time (s),sheath (°C),ambient (°C)", *rows]) + "\n", encoding="utf-8")
    main(["temperature-rise", str(path), *USE])

    shown = capsys.readouterr().out
    assert "(its upper end is not known)" in shown
    assert "−" not in shown


@pytest.mark.parametrize(("meter", "known"), [((), False), (("--resistance-accuracy", "0.2 %"), True)])
def test_a_conductor_needs_the_accuracy_of_the_resistance_meter(
    meter: tuple[str, ...], known: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A thermometer's statement says nothing of the meter: without the meter's own nothing is known, with it all is."""
    path = tmp_path / "conductor.csv"
    rows = []
    for second in range(0, 2400, 10):
        warm = 20.0 * -math.expm1(-max(second - 60, 0) / 400.0)
        rows.append(f"{second},{0.04 * (1.0 + 0.00393 * warm / (1.0 + 0.00393)):.6f},21.0")
    path.write_text("\n".join(["time (s),resistance (Ω),ambient (°C)", *rows]) + "\n", encoding="utf-8")
    cold = ("--cold-resistance", "40.0 mΩ", "--cold-temperature", "21 °C ± 0.3 °C")

    main(
        [
            "temperature-rise",
            str(path),
            *USE,
            "--sensor",
            "conductor",
            "--accuracy",
            "± 0.3 °C",
            *cold,
            *meter,
            "--json",
        ]
    )

    end = json.loads(capsys.readouterr().out)["end_temperature_c"]
    assert end["value"] == pytest.approx(41.0, abs=0.3)
    # two readings of 0.2 % are 0.73 K for each 0.28 %, and 0.3 K for the cold metal
    assert (end["u"] is not None) is known
    if known:
        assert 0.3 < end["u"] < 0.6
    else:
        assert "resistance meter" in end["why"]


def test_a_current_without_limits_leaves_what_follows_undecided_and_says_so_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A measured current without ± gives a temperature in use without uncertainty; the reason names the current."""
    use = ("--current", "16 A", "--rated-current", "20 A", "--max-ambient", "40 °C", "--accuracy", "± 0.5 °C")
    main(["temperature-rise", write(tmp_path), *use, "--json"])

    shown = capsys.readouterr()
    told = json.loads(shown.out)
    assert told["at_rated_c"]["u"] is None
    assert told["outcome"] == "undecided"
    assert shown.err.count("no limits of the current are stated") == 1


def rows(name: str, tmp_path: Path, *, part: Callable[[float], float], air: float, digits: int = 1) -> str:
    """A log of 16 A over a part that warms by 14 K, each reading as ``part`` makes it of what it was in °C."""
    path = tmp_path / name
    lines = ["time (s),sheath (°C),ambient (°C),current (A)"]
    for number, second in enumerate(range(0, 2400, 10)):
        warm = 21.0 - 14.0 * math.expm1(-second / 400.0)
        read = -200.0 if name == "off.csv" and number % 60 == 30 else part(warm)
        lines.append(f"{second},{read:.{digits}f},{air:.1f},16.00")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return str(path)


def fahrenheit(warm: float) -> float:
    """The number of a temperature in degrees Fahrenheit."""
    return 1.8 * warm + 32.0


IN_USE = ("--rated-current", "16 A", "--max-ambient", "40 °C", "--accuracy", "± 0.5 °C; current=1 %", "--json")


@pytest.mark.parametrize(("air", "asked"), [(69.8, "70 °F are 21 °C"), (21.0, "is 70 °F: is it in degrees Fahrenheit")])
def test_degrees_fahrenheit_are_asked_about(
    air: float, asked: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """70 in a column of degrees Celsius, of part and air or of the part alone, decides nothing."""
    main(["temperature-rise", rows("warm.csv", tmp_path, part=fahrenheit, air=air), *IN_USE])

    shown = capsys.readouterr()
    assert asked in shown.err
    assert json.loads(shown.out)["outcome"] == "undecided"


def test_rows_of_a_broken_wire_are_asked_about_and_left_out_where_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """-200.0 among readings of 30 °C is no temperature; the question says what to type, and typed it holds."""
    path = rows("off.csv", tmp_path, part=float, air=21.0)
    main(["temperature-rise", path, *IN_USE])
    shown = capsys.readouterr()
    main(["temperature-rise", path, *IN_USE, "--missing", "-200.0"])
    left_out = json.loads(capsys.readouterr().out)

    assert "4 rows such as −200 °C" in shown.err
    assert "--missing -200.0" in shown.err
    assert json.loads(shown.out)["outcome"] == "undecided"
    assert left_out["outcome"] == "within"
    assert left_out["end_temperature_c"]["value"] == pytest.approx(35.0, abs=0.2)


def test_a_log_that_only_cools_has_no_end_and_a_question(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The logger was started as the current went off: one question, no traceback."""
    code = main(["temperature-rise", rows("cool.csv", tmp_path, part=lambda warm: 56.0 - warm, air=21.0), *IN_USE])

    shown = capsys.readouterr()
    told = json.loads(shown.out)
    assert code == 0
    assert "was the current on?" in shown.err
    assert told["outcome"] == "undecided"
    assert told["reached"] is None


@pytest.mark.parametrize(
    ("use", "said"),
    [
        (("--rated-current", "16 A"), "say the hottest air too"),
        (("--max-ambient", "40 °C"), "say the rated current too"),
        ((), "say the rated current and the hottest air too"),
    ],
)
def test_within_is_told_for_a_use_alone(
    use: tuple[str, ...], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """35 °C in a room of 21 °C is below 60 °C and says nothing of a hot day: not within, and it is said why."""
    accuracy = ("--accuracy", "± 0.5 °C; current=1 %", "--json")
    main(["temperature-rise", rows("cold.csv", tmp_path, part=float, air=21.0), *use, *accuracy])

    shown = capsys.readouterr()
    assert json.loads(shown.out)["outcome"] == "undecided"
    assert said in shown.err
    assert "whose air was 21 °C" in shown.err


def test_beyond_needs_no_hotter_air(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is too warm in a cool room is too warm."""
    hot = rows("hot.csv", tmp_path, part=lambda warm: 21.0 + 4.0 * (warm - 21.0), air=21.0)
    main(["temperature-rise", hot, "--accuracy", "± 0.5 °C; current=1 %", "--json"])

    assert json.loads(capsys.readouterr().out)["outcome"] == "beyond"


@pytest.mark.hand("21 K become 22.4 K in air of 40 °C, or 19.9 K with what is radiated more; 28 K become 30 K or 27 K")
@pytest.mark.parametrize(("times", "outcome"), [(1.5, "undecided"), (2.0, "beyond")])
def test_beyond_in_hotter_air_holds_with_radiation(
    times: float, outcome: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Too warm only as long as a surface radiates no more in hotter air is not said to be too warm."""
    part = rows("part.csv", tmp_path, part=lambda warm: 21.0 + times * (warm - 21.0), air=21.0)
    fine = ("--accuracy", "± 0.1 °C; current=0.1 %", "--json")
    use = ("--rated-current", "16 A", "--max-ambient", "40 °C")
    main(["temperature-rise", part, "--current", "16 A ± 0.01 A", *use, *fine])

    shown = capsys.readouterr()
    assert json.loads(shown.out)["outcome"] == outcome
    assert ("only if no more is radiated" in shown.err) is (outcome == "undecided")


@pytest.mark.hand("70 °C less 0.6 · 56 K is below the 60 °C of the hand; less 0.6 · 90 K it is below the air")
@pytest.mark.parametrize(("times", "stops"), [(4.0, True), (6.5, False)])
def test_no_reading_to_stop_at_leaves_the_metal_out(
    times: float, stops: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Also where the air is not told the metal counts; where the metal leaves no reading above the air none is told."""
    path = tmp_path / "hot.csv"
    lines = ["time (s),sheath (°C)"]
    lines += [f"{at},{21.0 - times * 14.0 * math.expm1(-max(at - 60, 0) / 400.0):.1f}" for at in range(0, 2400, 10)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    main(["temperature-rise", str(path), "--current", "16 A ± 0.1 A", "--accuracy", "± 0.5 °C"])

    shown = capsys.readouterr()
    assert ("for the metal: at most 70 °C" in shown.out) is stops
    assert ("the test would have to be stopped at" in shown.err) is not stops
    assert "Reading at which to stop" not in shown.out


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--sensor", "conductor"), "is called after the sheath, and what was measured is told as the conductor"),
        (("--sensor", "plug"), "say --sensor sheath, or --column 'temperature=sheath' where it is the plug"),
        (("--ambient", "sheath"), "column 'ambient' is called after the ambient, and what was measured"),
    ],
)
def test_a_column_called_after_another_part_is_not_taken_for_it(
    options: tuple[str, ...], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A sheath told as the conductor would come out cooler than the metal is."""
    code = main(["temperature-rise", write(tmp_path), *USE, *options])

    shown = capsys.readouterr()
    assert code == 2
    assert shown.out == ""
    assert said in shown.err


def test_of_several_columns_the_one_called_after_the_part_is_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sheath and plug in one log: --sensor says which; what was said by hand to be meant comes before its name."""
    path = tmp_path / "both.csv"
    lines = ["time (s),sheath (°C),plug (°C),ambient (°C)"]
    for second in range(0, 2400, 10):
        warm = -math.expm1(-max(second - 60, 0) / 400.0)
        lines.append(f"{second},{21.0 + 14.0 * warm:.2f},{21.0 + 6.0 * warm:.2f},21.00")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")

    found = []
    for options in ((), ("--sensor", "plug"), ("--sensor", "conductor", "--column", "temperature=plug")):
        assert main(["temperature-rise", str(path), *USE, *options, "--json"]) == 0
        found.append(json.loads(capsys.readouterr().out)["end_temperature_c"]["value"])
    assert found == pytest.approx([35.0, 27.0, 27.0], abs=0.2)


@pytest.mark.hand("0.04 Ω at 21 °C resists 0.04 · (1 + 0.00393 · 21)/1.00393 Ω at 41 °C; U = R I")
def test_voltage_and_current_tell_the_conductor(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Rows before the current tell no resistance: their quotient is that of two offsets."""
    path = tmp_path / "drop.csv"
    lines = ["time (s),drop (mV),current (A),ambient (°C)"]
    for second in range(0, 2400, 10):
        on = second >= 60
        warm = 20.0 * -math.expm1(-max(second - 60, 0) / 400.0)
        ohms = 0.04 * (1.0 + 0.00393 * (1.0 + warm)) / 1.00393
        lines.append(f"{second},{1e3 * ohms * 16.0 if on else 0.03:.2f},{16.0 if on else 0.01:.2f},21.0")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    cold = ("--cold-resistance", "40.0 mΩ ± 0.05 mΩ", "--cold-temperature", "21 °C ± 0.3 °C")
    meter = ("--accuracy", "± 0.3 °C; current=1 %", "--resistance-accuracy", "0.2 %")
    use = ("--rated-current", "16 A", "--max-ambient", "40 °C", "--sensor", "conductor", "--json")

    assert main(["temperature-rise", str(path), *cold, *meter, *use]) == 0

    told = json.loads(capsys.readouterr().out)
    assert told["end_temperature_c"]["value"] == pytest.approx(41.0, abs=0.2)
    assert told["column"] == "drop over current"
    assert told["outcome"] == "within"
