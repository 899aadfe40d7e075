"""Checks that rest on readings: earth, insulation, pins live, coding."""

import math
from dataclasses import replace

import pytest

from coldpin.checks import coding, earth_resistance, live_pins, pilot_insulation, run_checks
from coldpin.checks.readings import readings
from coldpin.errors import CaseError
from coldpin.records.case import UnitClass
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.instrument import Instrument
from tests.checks.bench import BARE, PORTABLE, entry, evidence, pairs

AT_500_V = {"test voltage": "500 V"}


def earth(*readings: str, **conditions: str) -> Finding:
    one = entry("earth resistance", readings=readings, instrument="milliohm", conditions=conditions)
    (finding,) = earth_resistance.run(evidence(one))
    return finding


@pytest.mark.published("0.3 Ω up to 5 m and 0.1 Ω for each further 7.5 m, at most 1 Ω: EN 50678 (standing: memory)")
@pytest.mark.parametrize(
    ("length", "maximum"), [("", 0.3), ("5 m", 0.3), ("5.1 m", 0.4), ("12.5 m", 0.4), ("13 m", 0.5), ("100 m", 1.0)]
)
def test_the_allowance_for_a_longer_cable(length: str, maximum: float) -> None:
    """Each begun 7.5 m beyond 5 m adds a tenth of an ohm, up to one ohm."""
    finding = earth("110 mΩ", **({"length": length} if length else {}))

    assert finding.limit is not None
    assert finding.limit.maximum == pytest.approx(maximum, abs=1e-12)


@pytest.mark.hand("mean of 110, 112, 111 mΩ; scatter 1 mΩ / √3 with 2 degrees of freedom; limit 1 % + 2 mΩ over √3")
def test_repeats_are_averaged_and_the_instrument_counts_once() -> None:
    """Scatter goes down with repeats, the meter's own error does not."""
    finding = earth("110 mΩ", "112 mΩ", "111 mΩ")

    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(0.111, abs=1e-12)
    scatter, meter = 0.001 / 3**0.5, (0.01 * 0.112 + 0.002) / 3**0.5
    assert finding.quantity.u == pytest.approx((scatter**2 + meter**2) ** 0.5, rel=0.01)
    assert sum("milliohm meter, resistance" in line.label for line in finding.budget) == 1


def test_a_meter_beyond_its_range_says_that_the_earth_is_open() -> None:
    """More than 20 MΩ from earth pin to earth pin concludes alone."""
    finding = earth("> 20 MΩ")

    assert (finding.outcome, finding.decisive, finding.absence) == (Outcome.BEYOND, True, True)


@pytest.mark.hand("0.3 Ω are allowed, and 1 Ω to the longest cord: 0.2 Ω tells nothing, 0.5 Ω too much, 2 Ω open")
@pytest.mark.parametrize(
    ("reading", "outcome", "decisive"),
    [
        ("> 0.2 Ω", Outcome.UNDECIDED, False),
        ("> 0.5 Ω", Outcome.BEYOND, False),
        ("> 2 Ω", Outcome.BEYOND, True),
    ],
)
def test_a_meter_beyond_a_small_range_tells_no_open_earth(reading: str, outcome: Outcome, decisive: bool) -> None:
    """A milliohm meter's range may end below what a sound cord has."""
    finding = earth(reading)

    assert (finding.outcome, finding.decisive, finding.absence) == (outcome, decisive, decisive)
    assert ("range of" in finding.statement) == (not decisive)


@pytest.mark.hand("110 mΩ twice and once 500 mΩ have a mean of 240 mΩ and a scatter that decides nothing")
def test_a_reading_that_jumps_is_not_averaged_away() -> None:
    """The cable is moved between the readings: the one beyond its limit is told."""
    finding = earth("110 mΩ", "110 mΩ", "500 mΩ")

    assert finding.quantity is not None
    assert (finding.outcome, finding.quantity.value, finding.worst_of) == (Outcome.BEYOND, 0.5, 3)


def test_without_a_stated_accuracy_nothing_is_decided() -> None:
    """A bare number from no known instrument has no uncertainty, and is not taken as exact."""
    (finding,) = earth_resistance.run(evidence(entry("earth resistance", readings=("0.11 Ω",))))

    assert finding.outcome is Outcome.UNDECIDED
    assert finding.probability is None


def test_an_instrument_that_is_not_on_the_shelf_is_named() -> None:
    """The message says which entry, which instrument, and what there is."""
    one = entry("earth resistance", readings=("0.11 Ω",), instrument="ohmmeter")

    with pytest.raises(CaseError, match=r"entry e1: instrument 'ohmmeter' is not on the shelf \(known: meter, milli"):
        earth_resistance.run(evidence(one))


@pytest.mark.published("7 MΩ, the figure of class II: IEC 61851-1:2017 12.7.1 c) with IEC 61140 (standing: memory)")
@pytest.mark.parametrize(
    ("reading", "outcome"),
    [("> 500 MΩ", Outcome.WITHIN), ("20 MΩ", Outcome.WITHIN), ("8 MΩ", Outcome.UNDECIDED), ("2 MΩ", Outcome.BEYOND),
     ("> 3 MΩ", Outcome.UNDECIDED)],
)  # fmt: skip
def test_insulation_to_the_pilot(reading: str, outcome: Outcome) -> None:
    """The lowest reading decides; "more than" counts as its edge, and never as beyond."""
    one = entry("mains to pilot insulation", readings=("> 500 MΩ", reading), instrument="tester", conditions=AT_500_V)
    (finding,) = pilot_insulation.run(evidence(one))

    assert finding.outcome is outcome
    assert (finding.quantity is None) is reading.startswith(">"), "the edge of a range was not measured"


@pytest.mark.parametrize(("reading", "outcome"), [("350 MΩ", Outcome.UNDECIDED), ("2 MΩ", Outcome.BEYOND)])
def test_insulation_to_the_pilot_at_an_unstated_voltage_shows_none_kept(reading: str, outcome: Outcome) -> None:
    """A meter's few volts read hundreds of megohms across a gap that 500 V would jump."""
    (finding,) = pilot_insulation.run(
        evidence(entry("mains to pilot insulation", readings=(reading,), instrument="tester"))
    )

    assert finding.outcome is outcome
    assert ("With what voltage it was read is not stated" in finding.statement) is (outcome is Outcome.UNDECIDED)


def uncoupled(
    reading: str,
    *others: Entry,
    unit: UnitClass = PORTABLE,
    supply: str = "mains",
    voltage: str = "230 V",
    through: str = "low impedance",
) -> Finding:
    one = entry(
        "output with nothing connected",
        name="live",
        readings=(reading,),
        instrument="meter",
        conditions={"supply": supply} | ({"input": through} if through else {}),
        supply_voltage=voltage,
    )
    return live_pins.run_uncoupled(evidence(one, *others, unit=unit))[0]


@pytest.mark.published("50 V a.c.: conventional touch voltage, IEC 60364-4-41 (standing: read)")
@pytest.mark.parametrize(("reading", "outcome"), [("231 V", Outcome.BEYOND), ("0.4 V", Outcome.WITHIN)])
def test_pins_live_with_nothing_connected(reading: str, outcome: Outcome) -> None:
    """The mains at an uncoupled connector concludes alone."""
    finding = uncoupled(reading)

    assert finding.outcome is outcome
    assert finding.decisive is (outcome is Outcome.BEYOND)


@pytest.mark.practice
@pytest.mark.parametrize(("through", "outcome"), [("", Outcome.BEYOND), ("high impedance", Outcome.UNDECIDED)])
def test_a_voltage_concludes_alone_only_through_a_low_impedance_input(through: str, outcome: Outcome) -> None:
    """A meter of 10 MΩ also shows what couples across open contacts, unless the map shows the path itself."""
    finding = uncoupled("231 V", through=through)
    straight = entry("wiring map", pairs=pairs(("L > L1", "N > N", "PE > PE")))
    traced = uncoupled("231 V", straight, entry("opened", name="look"), unit=BARE, through=through)

    assert (finding.outcome, finding.decisive, finding.absence) == (outcome, False, False)
    assert "low-impedance" in " ".join((finding.statement, *finding.remarks))
    assert (traced.outcome, traced.decisive, traced.absence) == (Outcome.BEYOND, True, True)


def test_at_extra_low_voltage_a_voltage_transfers_and_its_absence_does_not() -> None:
    """24 V in and 24 V out would be the mains; nothing out shows only that the contacts had no power to close."""
    there = uncoupled("23.9 V", supply="extra-low voltage", voltage="24 V ± 0.2 V")
    gone = uncoupled("0.0 V", supply="extra-low voltage", voltage="24 V ± 0.2 V")

    assert there.outcome is Outcome.BEYOND
    assert there.quantity is not None
    assert there.quantity.value == pytest.approx(23.9 * 230.0 / 24.0, rel=1e-9)
    assert "is 23.90 V" in there.statement
    assert "on an extra-low voltage supply of 24 V ± 0.2 V, on the mains 229.0 V" in there.statement
    assert gone.outcome is Outcome.UNDECIDED
    assert "does not show that they stay open" in gone.statement


@pytest.mark.hand("23.9 V × 230 V / 24 V: u = 229 V × √((u/23.9 V)² + (0.2 V/√3/24 V)²)")
def test_the_supply_voltage_is_scaled_by_with_its_own_uncertainty() -> None:
    """A bare number is not taken as exact: nothing is decided by it, and it is said what to write."""
    there = uncoupled("23.9 V", supply="extra-low voltage", voltage="24 V ± 0.2 V")
    bare = uncoupled("23.9 V", supply="extra-low voltage", voltage="24 V")

    assert there.quantity is not None
    meter = (0.005 * 23.9 + 0.3) / math.sqrt(3.0)
    assert there.quantity.u == pytest.approx(229.04 * math.hypot(meter / 23.9, 0.2 / math.sqrt(3.0) / 24.0), rel=0.01)
    assert (bare.outcome, bare.decisive) == (Outcome.UNDECIDED, False)
    assert "write it as '24 V ± 0.2 V'" in bare.remarks[-1]
    with pytest.raises(CaseError, match="nothing can be scaled by it"):
        uncoupled("23.9 V", supply="extra-low voltage", voltage="0 V")


def test_at_extra_low_voltage_the_supply_voltage_must_be_recorded() -> None:
    """A reading cannot be scaled by a supply that nobody wrote down."""
    with pytest.raises(CaseError, match="supply voltage is not recorded: add it"):
        uncoupled("23.9 V", supply="extra-low voltage", voltage="")


def test_live_pins_hold_by_construction_where_every_pole_was_traced() -> None:
    """The wiring map of a bare lead carries the reach of the live pins."""
    straight = entry("wiring map", pairs=pairs(("L > L1", "N > N", "PE > PE")))
    look = entry("opened", name="look")

    assert uncoupled("231 V", straight, look, unit=BARE).reach is Reach.CONSTRUCTION
    assert uncoupled("231 V", straight, unit=BARE).reach is Reach.SPECIMEN
    assert uncoupled("231 V", unit=BARE).reach is Reach.SPECIMEN


@pytest.mark.published("type 2 coding bands 13/20/32/63 A: IEC 61851-1 Annex B (standing: read)")
@pytest.mark.parametrize(
    ("reading", "phases", "current"),
    [("1500 Ω", 1, 13), ("680 Ω", 1, 20), ("220 Ω", 1, 32), ("100 Ω", 1, 70), ("100 Ω", 3, 63)],
)
def test_each_nominal_coding_is_told(reading: str, phases: int, current: int) -> None:
    """The resistor in the middle of its band stands for its current."""
    one = entry("coding resistance", readings=(reading,), instrument="meter")
    finding = coding.run_coding(evidence(one, unit=replace(PORTABLE, phases=phases)))[0]

    assert finding.outcome is Outcome.WITHIN
    assert f"stands for {current} A" in finding.statement


@pytest.mark.parametrize("reading", ["20 Ω", "330 Ω", "50 kΩ"])
def test_a_resistor_in_no_band_is_beyond(reading: str) -> None:
    """Between the bands and outside of them no current is coded."""
    one = entry("coding resistance", readings=(reading,), instrument="meter")

    assert coding.run_coding(evidence(one))[0].outcome is Outcome.BEYOND


@pytest.mark.hand("above 4.6 kΩ an error, 1.1 kΩ to 2.46 kΩ for 13 A, below 75 Ω an error")
@pytest.mark.parametrize(
    ("texts", "outcome", "said"),
    [
        (("> 20 MΩ",), Outcome.BEYOND, "at least 20 MΩ"),
        (("> 20 MΩ", "21 MΩ"), Outcome.BEYOND, "at least 20 MΩ"),
        (("> 2 kΩ",), Outcome.UNDECIDED, "may stand for 13 A or"),
        (("1.5 kΩ", "> 20 MΩ"), Outcome.UNDECIDED, "at least 1500 Ω"),
        (("< 1 Ω",), Outcome.BEYOND, "0.50 Ω"),
        (("< 100 Ω",), Outcome.UNDECIDED, "may stand for"),
    ],
)
def test_a_coding_beyond_the_meters_range(texts: tuple[str, ...], outcome: Outcome, said: str) -> None:
    """More than, or less than, is not taken as the value itself."""
    one = entry("coding resistance", readings=texts, instrument="meter")
    finding = coding.run_coding(evidence(one))[0]

    assert finding.outcome is outcome
    assert said in finding.statement


def test_readings_beyond_both_ends_are_of_two_things() -> None:
    """Nothing is both."""
    one = entry("coding resistance", readings=("> 20 MΩ", "< 1 Ω"), instrument="meter")
    with pytest.raises(CaseError, match="the readings > 20 MΩ, < 1 Ω cannot be of one thing"):
        coding.run_coding(evidence(one))


@pytest.mark.published("between two ranges the lower current counts: IEC 61851-1 Annex B, a secondary text (read)")
def test_a_coding_between_two_ranges_is_told_with_both_texts() -> None:
    """350 Ω lies in no range and stands for 20 A in both texts; 320 Ω is in dispute."""
    agreed, disputed = (
        coding.run_coding(evidence(entry("coding resistance", readings=(reading,), instrument="meter")))[0]
        for reading in ("350 Ω", "320 Ω")
    )

    assert "stands for 20 A, the lower current of the two ranges it lies between." in agreed.statement
    assert agreed.remarks == ()
    assert "stands for 20 A" in disputed.statement
    assert disputed.remarks == ("By the older edges of IEC 61851-1:2010 it stands for 32 A.",)


def test_a_unit_that_must_switch_on_is_not_judged_by_a_supply_on_which_it_cannot() -> None:
    """24 V out of 24 V in is switched on; nothing out says nothing of the mains."""
    nothing = entry("output with nothing connected", readings=("0.4 V",), instrument="meter")
    low = {"supply": "extra-low voltage"}
    for text, outcome in (("23.8 V", Outcome.WITHIN), ("0.1 V", Outcome.UNDECIDED)):
        asked = entry(
            "output in state C",
            name="e2",
            readings=(text,),
            instrument="meter",
            conditions=low,
            supply_voltage="24 V ± 0.2 V",
        )
        found = {finding.id: finding for finding in live_pins.run_uncoupled(evidence(nothing, asked))}

        assert found["live-pins.state-c"].outcome is outcome


@pytest.mark.practice
@pytest.mark.parametrize(("reading", "outcome"), [("229.6 V", Outcome.WITHIN), ("0.4 V", Outcome.BEYOND)])
def test_a_unit_must_switch_on_for_a_vehicle_that_asks(reading: str, outcome: Outcome) -> None:
    """A dead unit stays off in every test for staying off: the positive control tells it from a careful one."""
    nothing = entry("output with nothing connected", readings=("0.4 V",), instrument="meter")
    asked = entry("output in state C", name="e2", readings=(reading,), instrument="meter")
    found = {finding.id: finding for finding in live_pins.run_uncoupled(evidence(nothing, asked))}["live-pins.state-c"]

    assert found.outcome is outcome
    assert not found.absence


@pytest.mark.hand("an open earth, and an insulation of 0.1 MΩ, each before a good reading")
def test_a_later_good_reading_does_not_undo_a_bad_one() -> None:
    """What was mistaken is corrected; what was read counts."""
    earth = [
        entry("earth resistance", name=name, readings=(text,), instrument="milliohm", conditions={"length": "4 m"})
        for name, text in (("e1", "> 20 Ω"), ("e2", "60 mΩ"))
    ]
    insulation = [
        entry("mains to pilot insulation", name=name, readings=(text,), instrument="tester", conditions=AT_500_V)
        for name, text in (("i1", "0.1 MΩ"), ("i2", "300 MΩ"))
    ]

    (open_earth,), (leaking,) = earth_resistance.run(evidence(*earth)), pilot_insulation.run(evidence(*insulation))
    assert (open_earth.outcome, open_earth.evidence) == (Outcome.BEYOND, ("e1", "e2"))
    assert (leaking.outcome, leaking.evidence) == (Outcome.BEYOND, ("i1", "i2"))


@pytest.mark.hand("half of the last digit over √3; a statement whose digits are as coarse holds it already")
@pytest.mark.parametrize(
    ("word", "instrument", "text", "rounding", "own"),
    [
        ("opening time after C to B", "scope", "0.09 s", 0.005, 50e-6 * 0.09),
        ("opening time after C to B", "scope", "90 ms", 0.0005, 50e-6 * 0.09),
        ("opening time after C to B", "scope", "90.00 ms", 0.000005, 50e-6 * 0.09),
        ("socket release time", "stopwatch", "4.8 s", 0.05, 0.3),
        ("earth resistance", "milliohm", "0.11 Ω", 0.005, 0.01 * 0.11 + 0.002),
        ("earth resistance", "milliohm", "110 mΩ", 0.0, 0.01 * 0.11 + 0.002),
        ("output in state C", "meter", "231.0 V", 0.0, 0.005 * 231.0 + 0.3),
        ("output in state C", "meter", "231 V", 0.5, 0.005 * 231.0 + 0.3),
    ],
)
def test_no_reading_is_surer_than_half_of_its_last_digit(
    word: str, instrument: str, text: str, rounding: float, own: float
) -> None:
    """Whatever the instrument could show, what was written down is all that is known; it is never counted twice."""
    one = entry(word, readings=(text,), instrument=instrument)
    (found,) = readings(evidence(one), one)

    assert found.quantity.u == pytest.approx(math.hypot(rounding, own) / math.sqrt(3.0), rel=1e-9)
    said = [part.label for part in found.quantity.components if "last digit" in part.label]
    assert len(said) == (1 if rounding else 0)


def test_the_edge_of_a_range_and_a_stated_uncertainty_have_no_last_digit_of_ours() -> None:
    """An edge was not read off, and who states an uncertainty has judged the digits too."""
    edge = entry("opening time after C to B", readings=("> 10 s",), instrument="scope")
    stated = entry("opening time after C to B", readings=("0.09 s ± 1 ms",), instrument="scope")

    for one in (edge, stated):
        (found,) = readings(evidence(one), one)
        assert not any("last digit" in part.label for part in found.quantity.components)


def test_a_statement_that_does_not_fit_the_reading_costs_the_entry() -> None:
    """The message names entry, reading and instrument; other entries of the check are judged."""
    wrong = Instrument(name="odd", kind="meter", statements={"voltage": "0.5 % + 2 digits, resolution 1 Ω"})
    good = entry("output with nothing connected", name="good", readings=("231 V",), instrument="meter")
    bad = entry("output with nothing connected", name="bad", readings=("0 V",), instrument="odd")
    bench = evidence(good, bad)
    results = run_checks(replace(bench, instruments={**bench.instruments, "odd": wrong}))

    assert [problem.where for problem in results.problems] == ["entry bad"]
    assert "reading '0 V' by 'odd'" in results.problems[0].what
    assert next(one for one in results.findings if one.id == "live-pins.uncoupled").outcome is Outcome.BEYOND


@pytest.mark.hand("a probe or a clamp the other way round turns the sign and nothing else")
@pytest.mark.parametrize(
    ("word", "reading", "check"),
    [
        ("output with nothing connected", "-229 V ± 1 V", "live-pins"),
        ("current at release", "-16.0 A ± 0.1 A", "session-stop"),
        ("pilot ripple", "-9.0 V ± 0.1 V", "pilot-ripple"),
    ],
)
def test_a_minus_makes_nothing_small(word: str, reading: str, check: str) -> None:
    """What is held against a maximum counts without its sign."""
    findings = run_checks(evidence(entry(word, readings=("0.1 " + reading.split()[1], reading)))).findings

    assert [one.outcome for one in findings if one.check == check] == [Outcome.BEYOND]


@pytest.mark.parametrize(
    ("word", "reading"),
    [("earth resistance", "-60 mΩ ± 1 mΩ"), ("mains to pilot insulation", "-5 MΩ ± 1 MΩ")],
)
def test_a_resistance_surely_below_zero_costs_its_entry(word: str, reading: str) -> None:
    """Leads the wrong way round are no good earth; a zero that lies a little below is the meter's."""
    results = run_checks(evidence(entry(word, readings=(reading,))))
    near = run_checks(evidence(entry("earth resistance", readings=("-0.2 mΩ ± 1 mΩ",))))

    assert any("is not below 0" in problem.what for problem in results.problems)
    assert not near.problems
