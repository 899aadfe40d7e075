"""The commands about a lead between socket and car: what they print, and how they end."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from coldpin.cli import main
from coldpin.copper.voltage_drop import drop_of_way
from coldpin.quantity import Quantity
from coldpin.records.lead_way import LeadWay
from coldpin.standards.book import load_book

DROP = ["voltage-drop", "--current", "16 A"]
READ = ["--resistance", "40.1 mΩ ± 0.3 mΩ", "--at", "22 °C"]
MARKED = ["--nominal", "2.5 mm2", "--length", "5 m"]
FAULT = ["fault-withstand", "--device", "B16"]
HOUSEHOLD = "household-vi-1min/household_2007-02-01_14.csv"


def told_by(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    """The JSON document of a command that ends well."""
    assert main([*arguments, "--json"]) == 0
    document: dict[str, Any] = json.loads(capsys.readouterr().out)
    return document


@pytest.mark.hand(
    "40.1 mΩ at 22 °C are 39.79 mΩ at 20 °C and 46.042 mΩ at 60 °C; 2 · 16 A · 46.042 mΩ = 1.4733 V, 0.641 %"
)
def test_a_drop_is_told_as_a_document(capsys: pytest.CaptureFixture[str]) -> None:
    """Schema, drop, per cent, outcome; and nothing about a supply of which nothing is known."""
    told = told_by([*DROP, *READ, "--conductor-temperature", "60 °C"], capsys)

    assert told["schema"] == "coldpin.voltage_drop/1"
    # meter 0.37 %, two thermometers of ± 2 K, rectangular: 0.45 % and 0.39 %; together 0.70 % or 0.0103 V at the least
    assert 0.0103 <= told["lead_v"]["u"] < 0.0120
    assert told["lead_v"]["value"] == pytest.approx(1.4733, abs=1e-4)
    assert told["lead_percent"]["value"] == pytest.approx(0.6406, abs=5e-5)
    assert (told["outcome"], told["vehicle"], told["tabulated"]) == ("within", None, None)


def test_a_drop_is_told_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    """The answer first, then the limits with source and standing; remarks on standard error."""
    assert main([*DROP, *READ, *MARKED, "--source-impedance", "0.25 Ω ± 0.04 Ω"]) == 0
    printed = capsys.readouterr()

    assert printed.out.startswith("At 16 A the lead takes 1.473 V ± 0.017 V")
    assert "the car has" in printed.out
    assert "The printed table gives 1.52 V" in printed.out
    assert "Standing: read." in printed.out
    assert "counts from the origin of the installation" in printed.err


@pytest.mark.parametrize(
    ("given", "asked"),
    [
        (["--current", "16 A", "--resistance", "40.1 Ω ± 0.3 Ω", "--at", "22 °C"], "of the supply's voltage"),
        (["--current", "16 A", "--resistance", "40.1 µΩ ± 0.3 µΩ", "--at", "22 °C"], "is it in mΩ?"),
        (["--current", "16 A", *READ[:2], "--at", "295 °C"], "is the unit right"),
        (["--current", "16000 A", *READ], "is it in mA?"),
        (["--current", "16 A", *READ, "--source-impedance", "250 Ω ± 1 Ω"], "more than a supply for charging has"),
        (
            ["--current", "16 A", *READ, "--source-impedance", "0.25 Ω ± 0.01 Ω", "--unloaded", "400 V ± 1 V"],
            "line and neutral",
        ),
    ],
)
def test_what_no_lead_has_is_asked_and_not_decided(
    given: list[str], asked: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A slip of unit or prefix is a question, and nothing is placed by it."""
    told = told_by(["voltage-drop", *given], capsys)

    assert any(asked in question for question in told["questions"])
    assert (told["outcome"], told["probability"]) == ("undecided", None)
    assert told["vehicle"] is None or told["vehicle"]["outcome"] == "undecided"


@pytest.mark.hand(
    "126 mΩ at 20 °C: 2 · 16 A · 145.8 mΩ = 4.666 V at 60 °C, and 2.03 % at 16 A; 4.58 % at 36 A, 5.05 % at 90 °C"
)
def test_a_temperature_in_use_that_nobody_measured_is_that_of_the_check(capsys: pytest.CaptureFixture[str]) -> None:
    """60 °C is the table's; a cord at 90 °C has a tenth more, and within is only what bears that."""
    read = ["--resistance", "126 mΩ ± 0.1 mΩ", "--at", "20.0 °C ± 0.1 °C"]
    told, much = (told_by(["voltage-drop", "--current", amps, *read], capsys) for amps in ("16 A", "36 A"))
    way = LeadWay(
        out_20_ohm=Quantity(0.126, 1e-4, "Ω"),
        back_20_ohm=None,
        mean_20_ohm=Quantity(0.126, 1e-4, "Ω"),
        mean_per_metre_20_ohm=Quantity(0.0126, 1e-5, "Ω/m"),
        length_m=10.0,
    )
    checked = drop_of_way(way, 1, None, 36.0, load_book())

    assert (told["conductor_temperature_c"], told["outcome"]) == (60.0, "within")
    assert (much["outcome"], much["lead_v"]["value"]) == ("undecided", pytest.approx(checked.lead_v.value))
    assert checked.statements[0].rpartition(":")[2] == much["statements"][0].rpartition(":")[2]
    assert checked.remarks[1] in much["remarks"]
    assert "Nobody measured" in checked.remarks[1]


def test_a_supply_whose_voltage_was_not_read_decides_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    """The nominal voltage stands in for it; what it truly is may lie anywhere in the tolerance."""
    told = told_by([*DROP, *READ, "--source-impedance", "0.25 Ω ± 0.01 Ω"], capsys)

    assert told["vehicle"]["outcome"] == "undecided"


def test_cores_in_series_are_halved(capsys: pytest.CaptureFixture[str]) -> None:
    """Two cores joined at the far end and read together are twice one."""
    one = told_by([*DROP, "--resistance", "40 mΩ ± 0.1 mΩ", "--at", "20 °C"], capsys)
    two = told_by([*DROP, "--resistance", "80 mΩ ± 0.2 mΩ", "--at", "20 °C", "--cores-in-series", "2"], capsys)

    assert one["lead_v"]["value"] == pytest.approx(two["lead_v"]["value"])


@pytest.mark.independent("least squares 0.248 Ω, median 0.256 Ω and MAD 0.043 Ω of 146 steps, reckoned beside")
def test_a_log_tells_the_supply(open_data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Columns are named by hand where the file gives no units; the accuracy of the meter is stated."""
    log = str(open_data / HOUSEHOLD)
    columns = ["--column", "voltage=Voltage:V", "--column", "current=Global_intensity:A", "--accuracy", "0.5 %; 1 %"]
    told = told_by(["voltage-drop", log, "--current", "16 A", *MARKED, *columns], capsys)
    source = told["vehicle"]["source"]

    assert source["steps"] == 146
    assert source["least_squares_ohm"] == pytest.approx(0.248, abs=5e-4)
    assert source["median_ohm"] == pytest.approx(0.256, abs=5e-4)
    assert source["scatter_ohm"] == pytest.approx(0.043, abs=5e-4)
    assert source["resistance_ohm"]["u"] is not None


@pytest.mark.hand("5 m of 13.3 Ω/km cold, hot at 70 °C; 0.80 Ω + 2 · 79.6 mΩ = 0.959 Ω")
def test_a_fault_is_told_as_a_document(capsys: pytest.CaptureFixture[str]) -> None:
    """Loop, disconnection, let-through, both conductors and overload, from the marked size."""
    marked = ["--nominal", "1.5 mm2", "--length", "5 m", "--insulation", "PVC 70", "--loop", "0.80 Ω ± 0.02 Ω"]
    told = told_by([*FAULT, *marked, "--loop-neutral", "0.80 Ω ± 0.02 Ω"], capsys)

    assert told["schema"] == "coldpin.fault_withstand/1"
    assert told["loop"]["total_ohm"]["value"] == pytest.approx(0.9591, abs=5e-5)
    assert told["disconnection"]["outcome"] == "within"
    assert [one["outcome"] for one in told["conductors"]] == ["within", "within"]
    assert told["overload"]["acts_at_a"] == pytest.approx(23.2)
    assert told["short"]["least_current_a"]["value"] == pytest.approx(0.95 * 230.0 / 0.9591, rel=1e-3)
    assert told["outcome"] == "within"


@pytest.mark.hand(
    "0.80 Ω + 2 · 79.6 mΩ: 228 A at the least; (115 · 1.5 / 228)² = 0.573 s; with a neutral of 0.133 Ω 211 A"
)
def test_a_short_circuit_at_the_far_end_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """With the limits that it rests on; without the loop of line and neutral what is missing is said."""
    marked = ["--nominal", "1.5 mm2", "--length", "5 m", "--insulation", "PVC 70", "--loop", "0.80 Ω ± 0.02 Ω"]
    assert main([*FAULT, *marked, "--loop-neutral", "0.80 Ω ± 0.02 Ω"]) == 0
    told = capsys.readouterr()
    assert main([*FAULT, *marked]) == 0
    without = capsys.readouterr()
    thin = ["--neutral", "0.133 Ω ± 1 mΩ", "--at", "20 °C", "--loop-neutral", "0.80 Ω ± 0.02 Ω"]
    other = told_by([*FAULT, *marked, *thin], capsys)

    assert "far end 227.8 A ± 4.5 A flow at the least, which the line conductor bears for 0.57" in told.out
    assert "a B16 acts within 0.1 s from 80 A on." in told.out
    assert "trip.time" in told.out
    assert "short-circuit.longest" in told.out
    assert "conductors at 70 °C, supply low" in told.err
    assert "is not reckoned: that takes the loop of line and neutral" in without.out
    assert (other["short"]["conductor"], other["short"]["taken"]) == ("neutral", "")
    assert other["short"]["least_current_a"]["value"] == pytest.approx(211.0, abs=2.0)


@pytest.mark.hand("25 m of 1.5 mm² on a C16 at 1.1 Ω: 1.948 Ω is above 1.37 Ω")
def test_the_line_is_not_judged_by_the_loop_to_earth_alone(capsys: pytest.CaptureFixture[str]) -> None:
    """At 0.40 Ω between line and neutral twice the current flows in it: 40 000 A²s, then the class counts."""
    marked = ["--nominal", "1.5 mm2", "--length", "5 m", "--insulation", "PVC 70", "--loop", "0.80 Ω ± 0.02 Ω"]
    alone = told_by([*FAULT, *marked], capsys)
    short = told_by([*FAULT, *marked, "--loop-neutral", "0.40 Ω ± 0.01 Ω"], capsys)

    assert [one["outcome"] for one in alone["conductors"]] == ["undecided", "within"]
    assert short["conductors"][0]["outcome"] != "within"


@pytest.mark.hand("230 V / 1.263 Ω = 182 A, 5.7 times the rating of a C32, which acts at once from 10 times on")
def test_a_current_that_may_flow_for_seconds_is_not_bounded_by_the_class(capsys: pytest.CaptureFixture[str]) -> None:
    """Nobody knows then what the device lets through, and the conductor is not shown to bear it."""
    marked = ["--nominal", "6 mm2", "--length", "7.5 m", "--loop", "1.2 Ω ± 0.1 Ω"]
    told = told_by(["fault-withstand", "--device", "C32", "--capacity", "6000 A", *marked], capsys)

    assert told["let_through"]["used_a2s"] is None
    assert not {one["outcome"] for one in told["conductors"]} & {"within", "beyond"}


def test_with_an_earth_electrode_the_residual_device_decides_and_is_told_first(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """At 120 Ω no breaker acts on its own current, and need not."""
    electrode = ["--system", "TT", "--residual", "30 mA", "--loop", "120 Ω ± 2 Ω"]
    told = told_by([*FAULT, "--nominal", "2.5 mm2", "--length", "5 m", *electrode], capsys)

    assert told["statements"][0].startswith("With an earth electrode (TT) the residual-current device of 30 mA decides")
    assert told["outcome"] != "beyond"


def test_what_the_device_leaves_unprotected_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """A far fault it need not switch off at once; then nothing is said of what the conductors bear."""
    marked = ["--nominal", "1.5 mm2", "--length", "25 m", "--loop", "1.1 Ω ± 0.1 Ω", "--residual", "30 mA"]
    assert main(["fault-withstand", "--device", "C16", *marked]) == 0
    printed = capsys.readouterr()

    assert "a C16 need not act within 0.4 s (that takes 1.37 Ω or less)" in printed.out
    assert "On a fault at the far end the device need not act at once" in printed.out
    assert "A residual-current device before the socket" in printed.err
    told = told_by(["fault-withstand", "--device", "C16", *marked], capsys)
    assert (told["outcome"], {one["outcome"] for one in told["conductors"]}) == ("beyond", {"undecided"})
    usual = told_by(["fault-withstand", "--plug", "Schuko", *marked], capsys)
    assert usual["outcome"] == "undecided", "a device that nobody saw settles nothing"


@pytest.mark.published("a 1.0 mm² cord carries 10 A (BS 7671 table 4F3A); a B16 may carry 23 A for an hour")
def test_a_thin_cord_is_not_protected_from_overload(capsys: pytest.CaptureFixture[str]) -> None:
    """The printed rating of the marked size against the device."""
    told = told_by([*FAULT, "--nominal", "1 mm2"], capsys)

    assert told["overload"]["outcome"] == "beyond"


def test_clad_wire_is_judged_by_the_row_of_aluminium(capsys: pytest.CaptureFixture[str]) -> None:
    """By the marked size 2.5 mm² bear 36 100 A²s in place of 82 656 A²s."""
    told = told_by([*FAULT, "--nominal", "2.5 mm2", "--metal", "clad", "--insulation", "PVC 70"], capsys)

    assert told["conductors"][0]["withstand_a2s"]["value"] == pytest.approx(36100.0)
    assert told["conductors"][0]["metal"] == "aluminium"


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ([*DROP, "--nominal", "2.5 mm2", "--length", "-5 m"], "length '-5 m': it must be above 0 m"),
        (["voltage-drop", "--current", "16", *MARKED], "'16' has no unit"),
        ([*DROP, "--resistance", "40 mΩ"], "say at which temperature of the metal"),
        ([*DROP], "or the marked size and the length"),
        ([*DROP, "--resistance", "40 V", "--at", "20 °C"], "resistance in 'Ω' is asked for"),
        ([*DROP, *MARKED, "--conductor-temperature", "333 °C"], "not in kelvin"),
        ([*DROP, *MARKED, "--power-factor", "1.2"], "power factor is 1.2"),
        ([*DROP, *MARKED, "--nominal", "3 mm2"], "no row for 3 mm²"),
        ([*DROP, *MARKED, "--loaded", "231 V", "--unloaded", "230 V", "--load-current", "16 A"], "changed over"),
        ([*FAULT], "or the marked size"),
        (["fault-withstand", "--nominal", "1.5 mm2"], "one of them"),
        (["fault-withstand", "--device", "X9", "--nominal", "1.5 mm2"], "unknown protective device 'X9'"),
        ([*FAULT, "--line", "60 mΩ", "--at", "20 °C"], "give the length of the cable too"),
        ([*FAULT, "--nominal", "1.5 mm2", "--insulation", "paper"], "unknown insulation 'paper'"),
        ([*FAULT, "--nominal", "1.5 mm2", "--loop", "0 Ω"], "it must be above 0 Ω"),
    ],
)
def test_bad_input_is_one_message(arguments: list[str], message: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 2, one line on standard error, nothing on standard output."""
    assert main(arguments) == 2
    printed = capsys.readouterr()

    assert printed.out == ""
    assert message in printed.err
    assert printed.err.count("\n") == 1


def test_a_supply_given_in_two_ways_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """It would be unclear which of them was used."""
    ways = ["--source-impedance", "0.25 Ω", "--unloaded", "230 V", "--loaded", "226 V", "--load-current", "16 A"]

    assert main([*DROP, *MARKED, *ways]) == 2
    assert "more than one way" in capsys.readouterr().err


def test_a_log_without_its_columns_is_told_what_to_say(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One column is not enough: the message names the option."""
    log = tmp_path / "one.csv"
    log.write_text("time (s),voltage (V)\n" + "".join(f"{n},230.{n}\n" for n in range(9)), encoding="utf-8")

    assert main(["voltage-drop", str(log), "--current", "16 A", *MARKED]) == 2
    assert "--column 'current=" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("left_out", "what"), [("--unloaded", "voltage without load"), ("--load-current", "current of the load")]
)
def test_a_voltage_with_load_alone_says_what_is_missing(
    left_out: str, what: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """One message that names it, and nothing on standard output."""
    given = {"--unloaded": "232 V", "--load-current": "16 A", "--loaded": "228 V"}
    options = [part for name, text in given.items() if name != left_out for part in (name, text)]
    code = main(["voltage-drop", "--current", "16 A", "--resistance", "40 mΩ", "--at", "22 °C", *options])
    printed = capsys.readouterr()

    assert (code, printed.out) == (2, "")
    assert f"the {what} is missing" in printed.err


@pytest.mark.parametrize(("length", "left"), [("5 m", True), ("40 m", False)])
def test_what_is_left_for_the_wiring_is_told_where_something_is(
    length: str, left: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing less than nothing is left."""
    main(["voltage-drop", "--current", "16 A", "--nominal", "1.5 mm2", "--length", length])

    assert ("are left" in capsys.readouterr().out) is left
