"""`coldpin conductor`: its JSON, what it prints, and one message for everything that cannot be used."""

from __future__ import annotations

import json
from typing import Any

import pytest

from coldpin.cli import main
from coldpin.workbench import look_at_conductor

READ = ("--resistance", "52.0 mΩ ± 0.3 mΩ", "--length", "5.00 m", "--at", "25 °C", "--nominal", "2.5 mm2")


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    """The JSON of the command, which must end well."""
    assert main(["conductor", *arguments, "--json"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


@pytest.mark.hand("1000 · 52.0 mΩ / 5.00 m / 1.01965 = 10.20 Ω/km; 17.241/10.20 = 1.690 mm²; limit 7.98 Ω/km")
def test_the_json_says_resistance_limit_outcome_area_and_metal(capsys: pytest.CaptureFixture[str]) -> None:
    """Every member that the schema promises, with the figures worked out by hand."""
    found = told(capsys, *READ, "--mass", "9.4 g/m")

    assert found["schema"] == "coldpin.conductor/1"
    # the middle over temperatures uncertain by 3.7 K lies (0.00393 · 3.7 / 1.02)², 0.02 %, above that at the estimate
    assert found["resistance_20c_ohm_per_km"]["value"] == pytest.approx(52.0 / 5.0 / 1.01965 * 1.0002, abs=0.002)
    assert set(found["resistance_20c_ohm_per_km"]) >= {"value", "u", "unit", "dof", "low", "high"}
    assert (found["limit_ohm_per_km"], found["outcome"]) == (7.98, "beyond")
    assert found["probability"] < 1e-6
    assert found["equivalent_area_mm2"]["value"] == pytest.approx(1.690, abs=0.001)
    assert found["metal"]["likeliest"] in ("clad_10", "clad_15")
    assert found["metal"]["copper"] < 0.001


@pytest.mark.hand("37.0 mΩ over 5 m is 7.40 Ω/km and 22 g/m of copper; together 0.163 Ω·g/m²")
def test_honest_copper_of_the_marked_size_is_told_so(capsys: pytest.CaptureFixture[str]) -> None:
    """Resistance and mass go together as copper, and the size is kept."""
    read = (
        "--resistance",
        "37.0 mΩ ± 0.1 mΩ",
        "--length",
        "5.00 m",
        "--at",
        "20.0 °C ± 0.5 °C",
        "--nominal",
        "2.5 mm²",
    )
    found = told(capsys, *read, "--mass", "22.0 g/m ± 0.2 g/m", "--strands", "50 x 0.25 mm", "--magnet", "no")

    assert found["outcome"] == "within"
    assert found["metal"]["copper"] > 0.99
    assert [one["used"] for one in found["metal"]["evidence"]] == [True] * 4


@pytest.mark.hand("twice 7.957 Ω/km of an honest core is 15.9 Ω/km, 1.99 times the limit of 7.98 Ω/km")
def test_two_cores_that_were_not_said_are_asked_about(capsys: pytest.CaptureFixture[str]) -> None:
    """Line and neutral joined read as twice an honest core: that is asked, and decided only when it is said."""
    read = ["conductor", "--resistance", "80.1 mΩ ± 0.3 mΩ", "--length", "5.00 m", "--at", "22 °C"]
    read += ["--nominal", "2.5 mm2", "--json"]
    documents = []
    for more in ([], ["--cores-in-series", "1"]):
        assert main([*read, *more]) == 0
        documents.append(json.loads(capsys.readouterr().out))
    asked, one = documents

    assert (asked["outcome"], asked["probability"], asked["keeps_limit_of_mm2"]) == ("undecided", None, None)
    assert any("were two in series?" in question for question in asked["questions"])
    assert (one["outcome"], one["questions"]) == ("beyond", [])


def test_a_mass_that_fits_no_metal_is_asked_about(capsys: pytest.CaptureFixture[str]) -> None:
    """As much copper as 22 g/m with 10.2 Ω/km: a joint was in the reading, or a tap at the pins."""
    found = told(capsys, *READ, "--mass", "22 g/m")

    assert found["metal"]["explained"] is False
    assert found["metal"]["copper"] is None
    assert found["metal_why"].startswith("were the taps at the pins?")


def test_an_unstated_accuracy_is_stated_or_decides_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    """Without ± and without --accuracy nothing is decided; with it the meter's limits and the last digit count."""
    bare = ("--resistance", "52 mΩ", *READ[2:])
    undecided = told(capsys, *bare)
    stated = told(capsys, *bare, "--accuracy", "0.3 % + 2 digits, resolution 0.1 mΩ")

    assert (undecided["outcome"], undecided["probability"], undecided["resistance_20c_ohm_per_km"]["u"]) == (
        "undecided",
        None,
        None,
    )
    assert undecided["metal"] is None
    assert undecided["metal_why"].startswith("nothing of what was given tells a metal")
    assert stated["outcome"] == "beyond"
    assert any("half of the last digit written" in line["label"] for line in stated["budget"])


@pytest.mark.hand("(370.02 + 369.98) mV / 2 / 10.00 A = 37.00 mΩ: 7.40 Ω/km")
def test_a_drop_with_its_current_both_ways(capsys: pytest.CaptureFixture[str]) -> None:
    """Drop, reversed drop, current and time tell the same conductor, its warming bounded in the budget."""
    found = told(
        capsys,
        *("--drop", "370.02 mV", "--drop-reversed", "-369.98 mV", "--current", "10.00 A ± 0.02 A", "--since", "1 s"),
        *("--accuracy", "0.05 % + 0.05 mV", "--length", "5.00 m", "--at", "20 °C ± 0.5 °C", "--nominal", "2.5 mm2"),
        *("--coating", "plain"),
    )

    assert found["resistance_20c_ohm_per_km"]["value"] == pytest.approx(7.40, abs=0.01)
    assert found["outcome"] == "within"
    assert 0.0 < found["self_heating_k"]["value"] < 0.1
    assert [one["coating"] for one in found["placements"]] == ["plain"]


def test_what_was_taken_for_granted_goes_to_stderr(capsys: pytest.CaptureFixture[str]) -> None:
    """Result to stdout, remarks and questions to stderr."""
    assert main(["conductor", *READ]) == 0
    printed = capsys.readouterr()

    assert printed.out.startswith("The conductor has 10.20 Ω/km ± 0.27 Ω/km at 20 °C")
    assert "2.16 mm² of annealed copper keep its limit" in printed.out
    assert "Would settle it: mass of a stripped piece of core" in printed.out
    assert "remark: no limits of the metal's temperature are stated: ± 2 K are taken" in printed.err
    assert "question" not in printed.err


@pytest.mark.parametrize(
    ("changed", "question"),
    [
        ({"--resistance": "52.0 Ω ± 0.3 Ω"}, "is above anything met in a cord"),
        ({"--length": "5000 m"}, "is below anything met in a cord"),
        ({"--resistance": "5.2 mΩ ± 0.3 mΩ"}, "a core marked 2.5 mm² is worth 16.9 mm² of copper by this"),
        ({"--at": "298 °C"}, "outside 5 °C to 50 °C for which factors to 20 °C are printed; is the unit right"),
    ],
)
def test_implausible_values_are_asked_about_and_not_corrected(
    changed: dict[str, str], question: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ohms for milliohms, metres for millimetres, kelvin as °C: a question, an answer all the same, exit 0."""
    given = dict(zip(READ[::2], READ[1::2], strict=True)) | changed
    assert main(["conductor", *(part for pair in given.items() for part in pair)]) == 0

    printed = capsys.readouterr()
    assert question in printed.err
    assert "say --accuracy" not in printed.err, "the accuracy is known; the value is in question"
    assert "?." not in printed.out


@pytest.mark.published("2.5 mm²: 7.41 Ω/km of class 2, 7.98 Ω/km of class 5; IEC 60228, standing: read")
def test_the_metal_is_asked_about_the_class_that_was_said(capsys: pytest.CaptureFixture[str]) -> None:
    """7.7 Ω/km keep the limit of flexible wires and not that of stranded ones, with the metal as without."""
    read = (
        *("--resistance", "38.5 mΩ ± 0.05 mΩ", "--length", "5.000 m ± 1 mm", "--at", "20 °C ± 0.3 °C"),
        *("--current", "0.1 A ± 0.01 A", "--nominal", "2.5 mm2", "--coating", "plain", "--mass", "21.2 g/m ± 0.2 g/m"),
    )
    kept = {one: told(capsys, *read, "--class", one)["metal"]["size"] for one in ("2", "5")}

    assert (kept["2"]["conductor_class"], kept["2"]["limit_ohm_per_km"]) == (2, 7.41)
    assert kept["2"]["by_resistance"] < 0.01 < 0.99 < kept["5"]["by_resistance"]


@pytest.mark.hand("74 mΩ of two cores: 7.4 Ω/km in the mean, as of 6.4 and 8.4 Ω/km, and one of these is beyond 7.98")
def test_two_cores_in_series_tell_no_metal_of_one(capsys: pytest.CaptureFixture[str]) -> None:
    """What is undecided by the mean is not kept for sure by the metal that the mean and one core's mass make."""
    read = ("--resistance", "74.0 mΩ ± 0.3 mΩ", *READ[2:], "--cores-in-series", "2", "--mass", "22 g/m")
    found = told(capsys, *read)

    assert found["outcome"] == "undecided"
    assert found["metal"]["size"]["by_resistance"] < 0.975
    assert found["metal_why"].startswith("without the resistance: it is the mean of two cores")


def test_what_was_believed_beforehand_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """Each belief with its metals, and what comes out by it."""
    assert main(["conductor", *READ]) == 0

    lines = [line for line in capsys.readouterr().out.splitlines() if line.startswith("Believing beforehand")]
    assert len(lines) == 4
    assert lines[0].startswith("Believing beforehand “mostly copper” (62 % copper; 12 % tinned copper")


def test_milliamps_by_mistake_are_asked_about(capsys: pytest.CaptureFixture[str]) -> None:
    """10 mA where 10 A flowed make a thousand times the resistance."""
    drop = ("--drop", "370 mV ± 0.2 mV", "--current", "10 mA ± 0.1 mA")
    assert main(["conductor", *drop, *READ[2:]]) == 0

    assert "is a unit wrong by a thousand (Ω for mΩ, mA for A)" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"--length": "-5 m"}, "the length between the taps is -5 m; it must be above 0"),
        ({"--length": "0 m"}, "the length between the taps is 0 m; it must be above 0"),
        ({"--length": "5"}, "'5'"),
        ({"--length": "5 A"}, "length"),
        ({"--at": "25"}, "'25'"),
        ({"--at": "25 K"}, "at −248.2 °C, where copper would have no resistance left"),
        ({"--resistance": "-52 mΩ ± 1 mΩ"}, "it must be above zero"),
        ({"--resistance": "52"}, "'52'"),
        ({"--nominal": "3 mm2"}, "no row for 3 mm²; known: 0.5"),
        ({"--nominal": "2.5"}, "'2.5'"),
        ({"--nominal": "2.5 mm"}, "area"),
        ({"--resistance": ""}, "give a resistance, or a drop with its current: one of them"),
        ({"--drop": "370 mV"}, "give a resistance, or a drop with its current: one of them"),
        ({"--resistance": "", "--drop": "370 mV"}, "a drop tells a resistance only with its current"),
        ({"--drop-reversed": "370 mV"}, "a reversed drop is given with a resistance"),
        ({"--strands": "fifty of them"}, "wires 'fifty of them' cannot be read"),
        ({"--mass": "22 g"}, "mass"),
    ],
)
def test_what_cannot_be_used_is_one_message(
    changed: dict[str, str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2, nothing on stdout, one message that says what is wrong."""
    given = dict(zip(READ[::2], READ[1::2], strict=True)) | changed
    code = main(["conductor", *(part for pair in given.items() for part in pair)])
    printed = capsys.readouterr()

    assert (code, printed.out) == (2, "")
    assert message in printed.err


@pytest.mark.parametrize(("magnet", "cut"), [("perhaps", ""), ("", "blue")])
def test_answers_are_of_the_list(magnet: str, cut: str) -> None:
    """An unknown answer lists those that there are."""
    from coldpin.errors import UnknownName

    with pytest.raises(UnknownName, match="Known: "):
        look_at_conductor(resistance="52 mΩ", length="5 m", at="25 °C", magnet=magnet, cut=cut)


def test_the_curves_over_the_area_are_printed_only_when_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    """They are most of the document and serve drawing alone; everything else is the same."""
    given = ("--resistance", "52.0 mΩ ± 0.3 mΩ", "--length", "5.00 m", "--at", "25 °C", "--mass", "9.4 g/m")
    lean, whole = told(capsys, *given), told(capsys, *given, "--outline")

    assert {len(share["outline"]) for share in lean["metal"]["metals"]} == {0}
    assert min(len(share["outline"]) for share in whole["metal"]["metals"]) > 10
    for share in whole["metal"]["metals"]:
        share["outline"] = []
    assert lean == whole


@pytest.mark.hand("10.0 + 11.3 Ω/km at the most: 17.241 / 21.3 = 0.81 mm² at the least")
def test_a_reading_that_may_be_none_tells_a_least_area(capsys: pytest.CaptureFixture[str]) -> None:
    """No negative area, and no largest one."""
    given = ("--resistance", "52.0 mΩ ± 60 mΩ", "--length", "5.00 m", "--at", "25 °C", "--nominal", "2.5 mm2")
    area = told(capsys, *given)["equivalent_area_mm2"]
    assert main(["conductor", *given]) == 0

    assert (area["u"], area["high"]) == (None, None)
    assert area["low"] == pytest.approx(0.81, abs=0.02)
    assert "Worth at least 0.8" in capsys.readouterr().out


def test_a_mass_in_kilograms_by_mistake_is_asked_about(capsys: pytest.CaptureFixture[str]) -> None:
    """0.022 g/m is a thousandth of what a core weighs; the question names what would be ordinary."""
    given = ("--resistance", "40.0 mΩ ± 0.3 mΩ", "--length", "5.00 m", "--at", "25 °C", "--mass", "0.022 g/m")
    remarks = told(capsys, *given)["metal"]["remarks"]

    assert any("mass: is it 0.022 g/m?" in remark and "22 g/m would not be" in remark for remark in remarks)


@pytest.mark.hand("10² A² · 8.0 mΩ/m · 6 K·m/W = 4.8 K in the end; without loss 0.11 K/s would be more in 600 s")
def test_warming_by_a_stated_current_is_told_when_it_is_more_than_a_kelvin(capsys: pytest.CaptureFixture[str]) -> None:
    """Half of the bound is corrected for, and the reader is told; at 1 A there is nothing to tell."""
    read = ("--resistance", "40.0 mΩ ± 0.3 mΩ", "--length", "5.00 m", "--at", "25 °C", "--since", "10 min")
    warm, cold = (told(capsys, *read, "--current", amperes)["remarks"] for amperes in ("10 A", "1 A"))

    assert any("10 A for 600 s may have warmed the metal by up to 4.8 K" in remark for remark in warm)
    assert not any("may have warmed" in remark for remark in cold)
