"""Checks of electrical insulation: resistance, touch current, charge left on the plug, electric strength."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from coldpin.checks import find_check, run_checks
from coldpin.records.case import Build, Cable, UnitClass
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from coldpin.records.instrument import Instrument
from tests.checks.bench import CLAIMS, PORTABLE, entry, evidence, found_in

ACCURATE = "0.200 mA ± 0.004 mA"


def housing(reading: str = "350 MΩ", *, name: str = "e1", **conditions: str) -> Entry:
    """A reading from the mains to foil on the housing."""
    stated = {"test voltage": "500 V"} | {key.replace("_", " "): value for key, value in conditions.items()}
    return entry(
        "mains to housing insulation",
        name=name,
        readings=(reading,),
        instrument="tester",
        conditions={key: value for key, value in stated.items() if value},
    )


def touch(reading: str = ACCURATE, *, name: str = "e1", **conditions: str) -> Entry:
    """A reading of the touch current at foil on the housing, everything stated."""
    stated = {
        "at": "housing",
        "earth": "open",
        "polarity": "both ways",
        "network": "network for a person",
        "voltage": "253.0 V ± 0.5 V",
    } | {key.replace("_", " "): value for key, value in conditions.items()}
    return entry("touch current", name=name, readings=(reading,), conditions={k: v for k, v in stated.items() if v})


def capacitor(reading: str, pole: str, *, name: str, found: str = "yes") -> Entry:
    """A capacitor from a pole to earth."""
    return entry("capacitor to earth", name=name, readings=(reading,), conditions={"pole": pole, "all found": found})


def left(*readings: str, name: str = "e1", **conditions: str) -> Entry:
    """Voltages on a plug after withdrawals, everything stated."""
    stated = {
        "after": "1.00 s ± 0.02 s",
        "probe": "100 MΩ",
        "capacitance": "470 nF ± 5 %",
        "voltage": "230.0 V ± 0.5 V",
    } | {key.replace("_", " "): value for key, value in conditions.items()}
    return entry(
        "voltage on the plug after withdrawal",
        name=name,
        readings=readings,
        conditions={key: value for key, value in stated.items() if value},
    )


def strength(answer: str, *, name: str = "e1", **conditions: str) -> Entry:
    """A test of electric strength from mains to pilot, everything stated."""
    stated = {
        "between": "mains to pilot",
        "test voltage": "2860 V",
        "kind": "alternating",
        "duration": "60 s",
        "tester": "current-limited and interlocked",
        "in the path": "nothing",
    } | {key.replace("_", " "): value for key, value in conditions.items()}
    return entry("electric strength", name=name, answer=answer, conditions={k: v for k, v in stated.items() if v})


def only(name: str, *entries: Entry) -> Finding:
    """The finding of that id."""
    return found_in(evidence(*entries))[name]


@pytest.mark.parametrize(
    ("given", "outcome", "words"),
    [
        (housing(), Outcome.WITHIN, "within the limit as known"),
        (housing("> 500 MΩ"), Outcome.WITHIN, "more than 500 MΩ"),
        (housing("3 MΩ"), Outcome.BEYOND, "beyond the limit as known"),
        (housing("3 MΩ", in_the_path="varistor"), Outcome.UNDECIDED, "The varistor in the path passes"),
        (housing("3 MΩ", in_the_path="Y capacitor"), Outcome.BEYOND, "beyond"),
        (housing("3 MΩ", in_the_path="nothing"), Outcome.BEYOND, "beyond"),
        (housing(test_voltage="250 V"), Outcome.UNDECIDED, "read with 250 V"),
        (housing(test_voltage=""), Outcome.UNDECIDED, "is not stated"),
    ],
)
def test_housing_insulation_is_placed_and_doubted(given: Entry, outcome: Outcome, words: str) -> None:
    """A part that conducts makes a low reading no fault; a low or unstated test voltage makes a high one no proof."""
    finding = only("housing-insulation.value", given)

    assert finding.outcome is outcome
    assert words in finding.statement


@pytest.mark.hand("the limit is 7 MΩ: 200 MΩ is 29 times that, 50 MΩ is 7 times")
@pytest.mark.parametrize(
    ("reading", "stated", "outcome", "words"),
    [
        ("> 200 MΩ", {"insulation": "5 % + 2 digits, resolution 1 MΩ"}, Outcome.WITHIN, ""),
        ("> 200 MΩ", {"insulation resistance": "5 % + 2 digits, resolution 1 MΩ"}, Outcome.WITHIN, ""),
        ("> 200 MΩ", {"resistance": "5 % + 2 digits, resolution 1 MΩ"}, Outcome.WITHIN, "That for resistance"),
        (
            "> 200 MΩ",
            {"resistance": "5 % + 2 digits on 200 MΩ, resolution 1 MΩ"},
            Outcome.WITHIN,
            "That for resistance",
        ),
        ("> 200 MΩ", {"resistance": "0.5 % on 200 Ω"}, Outcome.UNDECIDED, "none for insulation"),
        ("> 50 MΩ", {"resistance": "5 % + 2 digits, resolution 1 MΩ"}, Outcome.UNDECIDED, "none for insulation"),
        ("> 50 MΩ", {"insulation": "5 % + 2 digits, resolution 1 MΩ"}, Outcome.WITHIN, ""),
        (
            "> 200 MΩ",
            {"voltage": "1 %"},
            Outcome.UNDECIDED,
            "accuracy of 'tester' for voltage, and none for insulation",
        ),
        ("> 200 MΩ", {}, Outcome.UNDECIDED, "for nothing, and none for insulation"),
        ("> 5 MΩ", {"insulation": "5 % + 2 digits, resolution 1 MΩ"}, Outcome.UNDECIDED, "too little to say"),
        ("> 20 MΩ", {"insulation": "98 %"}, Outcome.UNDECIDED, "too little to say"),
    ],
)
def test_a_display_beyond_its_range_decides_by_the_accuracy_at_its_end(
    reading: str, stated: dict[str, str], outcome: Outcome, words: str
) -> None:
    """By the tester's own statement; far above the limit by that for resistance; never by none at all."""
    bench = replace(
        evidence(housing(reading)),
        instruments={"tester": Instrument(name="tester", kind="insulation tester", statements=stated)},
    )

    finding = found_in(bench)["housing-insulation.value"]

    assert finding.outcome is outcome
    assert words in " ".join((finding.statement, *finding.remarks))
    assert ("That for resistance" in " ".join(finding.remarks)) is (words == "That for resistance")


def test_what_lies_in_the_path_is_missed_where_it_is_not_stated() -> None:
    """A reading beyond the limit says that nobody looked."""
    assert "not stated" in only("housing-insulation.value", housing("3 MΩ")).remarks[-1]


def test_a_first_reading_at_250_v_does_not_undo_the_one_at_500_v() -> None:
    """The step before the test proper is part of the procedure."""
    finding = only("housing-insulation.value", housing(name="e1", test_voltage="250 V"), housing(name="e2"))

    assert finding.outcome is Outcome.WITHIN


def test_a_low_reading_across_contacts_is_told_and_breaks_nothing() -> None:
    """The live test decides whether pins are dead; so little is known of this limit."""
    word = "insulation across open contacts"
    stated = {"test voltage": "500 V", "in the path": "nothing"}
    low = entry(word, readings=("1 MΩ ± 0.1 MΩ",), conditions=stated)
    finding = only("contact-insulation.value", low)

    assert finding.outcome is Outcome.BEYOND
    assert not finding.duty
    assert finding.functions == ()


@pytest.mark.parametrize(
    ("given", "outcome", "words"),
    [
        (touch(), Outcome.WITHIN, "within"),
        (touch("0.300 mA ± 0.004 mA"), Outcome.BEYOND, "beyond"),
        (touch("0.2 mA"), Outcome.UNDECIDED, "without the accuracy"),
        (touch(network=""), Outcome.UNDECIDED, "network"),
        (touch(polarity="as marked"), Outcome.UNDECIDED, "both ways"),
        (touch(polarity=""), Outcome.UNDECIDED, "both ways"),
        (touch(voltage=""), Outcome.UNDECIDED, "voltage of the supply"),
        (touch(voltage="253.0 V"), Outcome.UNDECIDED, "how well the voltage of the supply is known"),
        (touch("< 10 µA"), Outcome.UNDECIDED, ""),
    ],
)
def test_touch_current_at_the_housing(given: Entry, outcome: Outcome, words: str) -> None:
    """Within needs network, both ways of the plug and the supply's voltage; beyond needs a stated accuracy."""
    finding = only("touch-current.housing", given)

    assert finding.outcome is outcome
    assert words in finding.statement


@pytest.mark.hand("0.240 mA at 230 V are 0.264 mA at 253 V")
def test_touch_current_is_taken_to_the_highest_voltage() -> None:
    """What is within at the day's voltage may be beyond at the highest."""
    finding = only("touch-current.housing", touch("0.240 mA ± 0.001 mA", voltage="230.0 V ± 0.5 V"))

    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(0.264, abs=1e-6)
    assert finding.outcome is Outcome.BEYOND


def test_touch_current_with_the_earth_connected_shows_nothing() -> None:
    """The earth took what a hand would have had."""
    closed = touch(at="earth pin", earth="connected")

    assert only("touch-current.metal", touch(at="earth pin")).outcome is Outcome.WITHIN
    assert "earth was not open" in only("touch-current.metal", closed).statement


def test_both_ways_may_be_two_entries_and_the_worse_decides() -> None:
    """One reading for each way serves as well."""
    good = touch(name="e1", polarity="as marked")
    bad = touch("0.400 mA ± 0.004 mA", name="e2", polarity="turned")
    fine = touch("0.190 mA ± 0.004 mA", name="e3", polarity="turned")

    assert only("touch-current.housing", good, fine).outcome is Outcome.WITHIN
    assert only("touch-current.housing", good, bad).outcome is Outcome.BEYOND


@pytest.mark.hand("two of 4.7 nF + 20 % at 253 V, 50 Hz: 0.90 mA; two of 33 nF: 5.2 mA nominal")
@pytest.mark.parametrize(
    ("size", "found", "outcome"), [("4.7 nF", "yes", Outcome.WITHIN), ("33 nF", "yes", Outcome.BEYOND)]
)
def test_the_current_of_capacitors_found_is_reckoned(size: str, found: str, outcome: Outcome) -> None:
    """Both poles drive with earth and neutral open, and it is said to be reckoned."""
    finding = only(
        "touch-current.reckoned", capacitor(size, "L", name="e1", found=found), capacitor(size, "N", name="e2")
    )

    assert finding.outcome is outcome
    assert finding.reckoned
    assert finding.evidence == ("e1", "e2")


def test_capacitors_that_were_not_all_looked_for_show_nothing() -> None:
    """A reckoned value within needs every path followed."""
    finding = only("touch-current.reckoned", capacitor("4.7 nF", "L", name="e1", found="no"))

    assert finding.outcome is Outcome.UNDECIDED
    assert "more of them" in finding.statement


def test_capacitors_of_one_pole_are_added() -> None:
    """Two of 2.35 nF are one of 4.7 nF."""
    pair = [capacitor("2.35 nF ± 1 %", "L", name=name) for name in ("e1", "e2")]
    one = only("touch-current.reckoned", capacitor("4.7 nF ± 1 %", "L", name="e1"))
    both = only("touch-current.reckoned", *pair)

    assert one.quantity is not None
    assert both.quantity is not None
    assert both.quantity.value == pytest.approx(one.quantity.value)


@pytest.mark.parametrize(
    ("parts", "outcome"),
    [
        (("1 MΩ ± 1 %", "1 MΩ ± 1 %"), Outcome.WITHIN),
        (("1 MΩ ± 1 %", "100 kΩ ± 1 %"), Outcome.BEYOND),
        (("10 MΩ ± 1 %",), Outcome.BEYOND),
        (("1 MΩ", "1 MΩ"), Outcome.UNDECIDED),
    ],
)
def test_a_chain_of_resistors_keeps_the_limit_with_its_largest_shorted(
    parts: tuple[str, ...], outcome: Outcome
) -> None:
    """One alone is never enough, however large."""
    chain = entry("resistors from mains to touch", readings=parts, conditions={"to": "pilot"})
    finding = only("protective-impedance.current", chain)

    assert finding.outcome is outcome
    assert "pilot-separation" in finding.functions


def test_the_worst_chain_decides() -> None:
    """A good chain beside a bad one does not help."""
    good = entry("resistors from mains to touch", name="e1", readings=("1 MΩ ± 1 %", "1 MΩ ± 1 %"))
    bad = entry("resistors from mains to touch", name="e2", readings=("47 kΩ ± 1 %", "47 kΩ ± 1 %"))
    finding = only("protective-impedance.current", good, bad)

    assert finding.outcome is Outcome.BEYOND
    assert finding.evidence[0] == "e2"


TEN = ("12.0 V ± 0.5 V",) * 10


@pytest.mark.parametrize(
    ("given", "outcome", "words"),
    [
        (left(*TEN), Outcome.WITHIN, "within"),
        (left("12.0 V ± 0.5 V"), Outcome.UNDECIDED, "of 1 withdrawals"),
        (left(*TEN, "95.0 V ± 0.5 V"), Outcome.BEYOND, "beyond"),
        (left(*TEN, "-95.0 V ± 0.5 V"), Outcome.BEYOND, "is 97"),
        (left(*TEN, probe=""), Outcome.UNDECIDED, "input resistance"),
        (left(*TEN, probe="10 MΩ", capacitance=""), Outcome.UNDECIDED, "empties the plug too"),
        (left(*TEN, capacitance=""), Outcome.UNDECIDED, "empties the plug too"),
        (left(*TEN, after="1.0 s"), Outcome.UNDECIDED, "How well that time"),
        (left(*TEN, voltage=""), Outcome.UNDECIDED, "voltage of the supply is not stated"),
        (left(*TEN, voltage="230.0 V"), Outcome.UNDECIDED, "how well the voltage of the supply is known is not stated"),
        (left(*["40.0 V ± 0.5 V"] * 10), Outcome.WITHIN, "within"),
        (left(*["40.0 V ± 0.5 V"] * 10, voltage="230 V ± 60 V"), Outcome.UNDECIDED, "may be left"),
        (left(*TEN, after="5.00 s ± 0.02 s"), Outcome.UNDECIDED, "may be left"),
        (left("95.0 V ± 0.5 V", after="0.50 s ± 0.02 s"), Outcome.UNDECIDED, "may have fallen to"),
        (left("61.0 V ± 0.1 V", after="1.00 s ± 0.10 s"), Outcome.UNDECIDED, "may have fallen to"),
        (left("95.0 V ± 0.5 V", after="5.00 s ± 0.02 s"), Outcome.BEYOND, "beyond"),
        (left(*["12.0 V"] * 10), Outcome.UNDECIDED, "without the accuracy"),
    ],
)
def test_what_is_left_on_the_plug(given: Entry, outcome: Outcome, words: str) -> None:
    """One withdrawal at a random moment shows little; a voltage late after it shows much."""
    finding = only("plug-discharge.left", given)

    assert finding.outcome is outcome
    assert words in finding.statement


@pytest.mark.hand("45 V read by 10 MΩ on 0.2 µF for 1 s were 45 V e^0.5 = 74 V")
def test_the_share_of_the_probe_is_taken_out() -> None:
    """A probe that empties the plug hides what is left: the corrected voltage is judged."""
    finding = only("plug-discharge.left", left(*["45.0 V ± 0.5 V"] * 10, probe="10 MΩ", capacitance="0.2 µF ± 1 %"))

    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(45.0 * math.exp(0.5), rel=2e-3)
    assert finding.outcome is Outcome.BEYOND


@pytest.mark.hand(
    "√3 u: reading 0.5 × 1.649, half of 74.2 of capacitance 1 %, time 2 %: 1.17 V; of the probe 5 %: 1.85 V"
)
def test_what_is_not_known_of_the_probe_is_in_the_uncertainty() -> None:
    """A probe marked 10 MΩ has 5 % like any resistor; one that was measured has what is stated of it."""
    marked, known = (
        only("plug-discharge.left", left(*["45.0 V ± 0.5 V"] * 10, probe=probe, capacitance="0.2 µF ± 1 %")).quantity
        for probe in ("10 MΩ", "10.00 MΩ ± 0.01 MΩ")
    )
    assert marked is not None
    assert known is not None
    assert marked.u is not None
    assert known.u is not None
    assert known.u == pytest.approx(1.17 / math.sqrt(3.0), rel=0.01)
    assert math.sqrt(marked.u**2 - known.u**2) == pytest.approx(1.85 / math.sqrt(3.0), rel=0.05)


def pins(capacitance: str, resistance: str = "") -> list[Entry]:
    """Dead readings between the pins of the plug."""
    found = [entry("capacitance between the plug's pins", name="c", readings=(capacitance,))]
    if resistance:
        found.append(entry("resistance between the plug's pins", name="r", readings=(resistance,)))
    return found


@pytest.mark.parametrize(
    ("given", "outcome"),
    [
        (pins("470 nF ± 5 %", "1 MΩ ± 5 %"), Outcome.WITHIN),
        (pins("470 nF ± 5 %", "2.2 MΩ ± 5 %"), Outcome.UNDECIDED),
        (pins("470 nF", "1 MΩ"), Outcome.UNDECIDED),
        (pins("470 nF ± 5 %"), Outcome.UNDECIDED),
        (pins("470 nF ± 5 %", "> 20 MΩ"), Outcome.UNDECIDED),
        (pins("470 nF ± 5 %", "> 20 MΩ ± 1 MΩ"), Outcome.UNDECIDED),
        (pins("2.2 nF ± 5 %", "> 20 MΩ"), Outcome.WITHIN),
        (pins("< 1 nF"), Outcome.WITHIN),
        (pins("0.05 nF ± 0.02 nF"), Outcome.WITHIN),
        (pins("0.05 nF"), Outcome.UNDECIDED),
        (pins("68 nF ± 5 %"), Outcome.UNDECIDED),
    ],
)
def test_what_is_left_is_reckoned_from_dead_readings(given: list[Entry], outcome: Outcome) -> None:
    """The largest capacitance with the largest resistance, from the peak of the highest voltage."""
    finding = only("plug-discharge.left", *given)

    assert finding.outcome is outcome
    assert finding.reckoned


@pytest.mark.hand("by the table some kilovolts for 0.43 nF: more than the mains has")
def test_a_limit_above_the_mains_is_no_number() -> None:
    """So small a charge is said to be too small for a limit of voltage, and none in kilovolts is printed."""
    small = only("plug-discharge.left", *pins("0.429 nF ± 0.0134 nF"))

    assert (small.outcome, small.limit, small.answer) == (Outcome.WITHIN, None, "too small to matter")
    assert "too small for a limit of voltage" in small.statement
    assert "at most" not in small.statement


def test_what_is_reckoned_stands_beside_what_was_read() -> None:
    """Where both are there the reading answers; a rectifier may empty the plug faster than a meter's resistance."""
    findings = found_in(evidence(left(*TEN), *pins("470 nF ± 5 %", "2.2 MΩ ± 5 %")))

    assert findings["plug-discharge.left"].outcome is Outcome.WITHIN
    assert findings["plug-discharge.reckoned"].outcome is Outcome.UNDECIDED
    assert "may empty them faster" in findings["plug-discharge.reckoned"].statement


def test_a_fixed_unit_has_no_plug() -> None:
    """The check is set aside."""
    wall = UnitClass(charging_mode=3, build=Build.FIXED, cable=Cable.ATTACHED)
    findings = found_in(evidence(*pins("470 nF"), unit=wall))

    assert findings["plug-discharge.not-applicable"].outcome is Outcome.NOT_APPLICABLE


@pytest.mark.parametrize(
    ("given", "outcome", "words"),
    [
        (strength("yes"), Outcome.WITHIN, "held 2860 V"),
        (strength("yes", tester="other"), Outcome.NOT_TESTED, "not accepted"),
        (strength("yes", tester=""), Outcome.NOT_TESTED, "not accepted"),
        (strength("no", tester=""), Outcome.NOT_TESTED, "not accepted"),
        (strength("yes", test_voltage="2000 V"), Outcome.UNDECIDED, "not the full one"),
        (strength("yes", test_voltage="2860 V", kind="direct"), Outcome.UNDECIDED, "not the full one"),
        (strength("yes", test_voltage="4050 V", kind="direct"), Outcome.WITHIN, "held 4050 V"),
        (strength("yes", duration="1 s"), Outcome.UNDECIDED, "not held for"),
        (strength("yes", kind=""), Outcome.UNDECIDED, "alternating or direct"),
        (strength("no", test_voltage="1500 V"), Outcome.BEYOND, "gave way"),
        (strength("no", test_voltage="3000 V", kind="direct"), Outcome.BEYOND, "gave way"),
        (strength("no", test_voltage="2600 V"), Outcome.UNDECIDED, "as it should be"),
        (strength("no", test_voltage="4000 V"), Outcome.UNDECIDED, "is not shown"),
        (strength("no", test_voltage="1500 V", in_the_path="varistor"), Outcome.UNDECIDED, "take it out"),
        (strength("no", test_voltage="1500 V", in_the_path=""), Outcome.UNDECIDED, "not stated"),
        (strength("no", test_voltage="1500 V", in_the_path="Y capacitor"), Outcome.UNDECIDED, "use d.c."),
        (strength("cannot tell"), Outcome.UNDECIDED, "could not tell"),
    ],
)
def test_electric_strength(given: Entry, outcome: Outcome, words: str) -> None:
    """Only the right tester counts; what a part or a sound gap does at that voltage is no fault."""
    finding = only("electric-strength.pilot", given)

    assert finding.outcome is outcome
    assert words in finding.statement


@pytest.mark.hand("2 (240 + 1200) = 2880; 2 (400 / √3 + 1200) = 2861.9; less than the supply's 230 V is not taken")
@pytest.mark.parametrize(
    ("rated", "phases", "enough", "short"),
    [("240 V", 1, "2880 V", "2870 V"), ("400 V", 3, "2862 V", "2861 V"), ("120 V", 1, "2860 V", "2850 V")],
)
def test_electric_strength_goes_by_what_the_unit_is_for(rated: str, phases: int, enough: str, short: str) -> None:
    """A unit for 240 V is held to more than one for 230 V, whatever stands in the socket here."""
    unit = replace(PORTABLE, phases=phases)
    held = [
        next(
            finding.outcome
            for finding in find_check("electric-strength").run(
                evidence(strength("yes", test_voltage=volts), unit=unit, claims=replace(CLAIMS, rated_voltage=rated))
            )
        )
        for volts in (enough, short)
    ]

    assert held == [Outcome.WITHIN, Outcome.UNDECIDED]


@pytest.mark.published("IEC 60664-1 rule Un + 1200 V: 1430 V and 2860 V at 230 V; direct 2022.3 V and 4044.7 V")
def test_the_voltages_of_electric_strength() -> None:
    """Basic to earth, reinforced to the pilot; direct of the same peak."""
    found = {}
    for between in ("mains to pilot", "mains to earth"):
        for kind in ("alternating", "direct"):
            given = strength("yes", between=between, kind=kind)
            (finding,) = [one for one in run_checks(evidence(given)).findings if one.check == "electric-strength"]
            assert finding.limit is not None
            found[between, kind] = finding.limit.minimum

    assert list(found.values()) == [2860.0, 4044.7, 1430.0, 2022.3]


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (touch(at=""), "state 'at'"),
        (touch("> 10 mA"), "only a bound"),
        (touch(voltage="0 V"), "state it anew"),
        (entry("capacitor to earth", readings=("4.7 nF",)), "state 'pole'"),
        (capacitor("> 100 nF", "L", name="e1"), "no capacitance"),
        (left("12 V", after=""), "state 'after'"),
        (left("> 600 V"), "only a bound"),
        (strength("yes", between=""), "state 'between'"),
        (entry("resistors from mains to touch", readings=("< 1 Ω",)), "below the meter's range"),
        (entry("capacitance between the plug's pins", readings=("> 100 µF",)), "only a bound"),
        (entry("capacitance between the plug's pins", readings=("-5 nF ± 1 nF",)), "is not below 0"),
    ],
)
def test_an_entry_that_says_too_little_costs_itself(given: Entry, words: str) -> None:
    """It is listed under problems with what to do, and nothing is found from it."""
    results = run_checks(evidence(given, unit=PORTABLE))

    assert any(words in problem.what for problem in results.problems), results.problems
