"""The conductors' checks: size of each, joints, marks against each other and the coding, earth of thick cables."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks import BenchEvidence, run_checks
from coldpin.checks.marked_size import PrintedSize, marked_size, printed_size
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from coldpin.workbench.cable_evidence import cable_evidence
from tests.checks.bench import CLAIMS, WALL, entry, evidence

STATED = {
    "conductor": "L",
    "length": "5.00 m ± 5 mm",
    "temperature": "20.0 °C ± 0.5 °C",
    "test current": "1.0 A ± 0.01 A",
    "time since switch-on": "5 s",
    "coating": "plain",
}
SIZED = replace(CLAIMS, cross_section="2.5 mm²")


def core(*readings: str, name: str = "r1", **stated: str) -> Entry:
    conditions = STATED | {key.replace("_", " "): value for key, value in stated.items()}
    return entry(
        "conductor resistance four-wire",
        name=name,
        readings=readings,
        conditions={key: value for key, value in conditions.items() if value},
    )


def drop(*readings: str, **stated: str) -> Entry:
    return replace(core(*readings, **stated), shows="voltage along the conductor")


def found(bench: BenchEvidence) -> dict[str, Finding]:
    return {finding.id: finding for finding in run_checks(bench).findings}


@pytest.mark.hand("37.0 mΩ over 5 m at 20 °C: 7.40 Ω/km against 7.98 Ω/km; 52.0 mΩ: 10.40 Ω/km")
@pytest.mark.parametrize(("reading", "outcome"), [("37.0 mΩ ± 0.1 mΩ", "within"), ("52.0 mΩ ± 0.1 mΩ", "beyond")])
@pytest.mark.parametrize(("conductor", "role"), [("L", "line"), ("L3", "line"), ("N", "neutral"), ("PE", "earth")])
def test_each_conductor_is_placed_against_its_mark(reading: str, outcome: str, conductor: str, role: str) -> None:
    """Line, neutral and earth each get a finding of their own, with limit, budget and evidence."""
    finding = found(evidence(core(reading, conductor=conductor), claims=SIZED))[f"conductor-resistance.{role}"]

    assert finding.outcome == outcome
    assert finding.limit is not None
    assert (finding.limit.id, finding.functions) == ("conductor.class-5.2.5mm2", ("conductor",))
    assert finding.evidence == ("r1",)
    assert finding.budget
    assert finding.statement.startswith(f"The {role} conductor")


def test_the_worst_of_several_lines_is_told() -> None:
    """One thin line of three makes the finding, whatever the others are."""
    bench = evidence(
        core("37.0 mΩ ± 0.1 mΩ", name="a", conductor="L1"),
        core("52.0 mΩ ± 0.1 mΩ", name="b", conductor="L2"),
        core("37.2 mΩ ± 0.1 mΩ", name="c", conductor="L3"),
        claims=SIZED,
    )
    finding = found(bench)["conductor-resistance.line"]

    assert (finding.outcome, finding.worst_of, finding.evidence[0]) == (Outcome.BEYOND, 3, "b")
    assert "conductor L2" in finding.statement


@pytest.mark.hand("8.05 Ω/km lies between 7.98 Ω/km of plain and 8.21 Ω/km of tinned wires")
def test_a_coating_that_nobody_looked_at_leaves_it_undecided_where_it_matters() -> None:
    """Between the limits plain wires are beyond, tinned ones within, and unknown ones neither."""
    outcomes = {
        coating: found(
            evidence(core("40.25 mΩ ± 0.02 mΩ", temperature="20.0 °C ± 0.1 °C", coating=coating), claims=SIZED)
        )["conductor-resistance.line"].outcome
        for coating in ("plain", "tinned", "")
    }

    assert outcomes == {"plain": Outcome.BEYOND, "tinned": Outcome.WITHIN, "": Outcome.UNDECIDED}


@pytest.mark.hand("(370.1 + 369.9) mV / 2 / 10.00 A = 37.00 mΩ")
def test_a_drop_both_ways_is_a_resistance() -> None:
    """Readings below zero are those with the current reversed; their mean is free of thermal voltages."""
    both = found(
        evidence(
            drop(
                "370.1 mV ± 0.2 mV",
                "-369.9 mV ± 0.2 mV",
                test_current="10.00 A ± 0.02 A",
                **{"time since switch-on": "1 s"},
            ),
            claims=SIZED,
        )
    )["conductor-resistance.line"]

    assert both.quantity is not None
    assert both.quantity.value == pytest.approx(7.40, abs=0.01)
    assert both.outcome is Outcome.WITHIN
    assert not any("reversed" in remark for remark in both.remarks)


@pytest.mark.parametrize("method", ["two-wire", "continuity meter"])
def test_two_wires_decide_nothing(method: str) -> None:
    """The value is kept and told, and says why it tells no size."""
    finding = found(evidence(core("37.0 mΩ ± 0.1 mΩ", method=method), claims=SIZED))["conductor-resistance.line"]

    assert (finding.outcome, finding.probability) == (Outcome.UNDECIDED, None)
    assert "cannot be placed against" in finding.statement


def test_at_the_pins_a_good_conductor_shows_and_a_bad_one_does_not() -> None:
    """The joints are in it: within stays within, beyond becomes undecided and says where to tap."""
    good, bad = (
        found(evidence(core(reading, taps="pins"), claims=SIZED))["conductor-resistance.line"]
        for reading in ("38.0 mΩ ± 0.1 mΩ", "52.0 mΩ ± 0.1 mΩ")
    )

    assert (good.outcome, bad.outcome) == (Outcome.WITHIN, Outcome.UNDECIDED)
    assert bad.statement.endswith("tap the conductor inside to tell it from them.")
    assert bad.probability is None


def test_the_table_of_a_report_says_of_the_pins_what_the_finding_says() -> None:
    """A conductor that is beyond with its joints in the reading is undecided in the chapter on the cable too."""
    bench = evidence(core("52.0 mΩ ± 0.1 mΩ", taps="pins"), claims=SIZED)
    (seen,) = cable_evidence(bench, ()).conductors

    assert (seen.reading.outcome, seen.reading.probability) == (Outcome.UNDECIDED, None)
    assert seen.reading.remarks[-1].startswith("Tapped at the pins")


def test_what_was_tapped_inside_goes_before_the_pins() -> None:
    """A bad joint seen at the pins takes nothing from a conductor that was tapped inside as well."""
    bench = evidence(core("37.0 mΩ ± 0.1 mΩ", name="i"), core("52.0 mΩ ± 0.1 mΩ", name="p", taps="pins"), claims=SIZED)
    finding = found(bench)["conductor-resistance.line"]

    assert (finding.outcome, finding.evidence) == (Outcome.WITHIN, ("i",))


def test_without_a_mark_it_is_told_and_not_judged() -> None:
    """No size, no limit: the resistance is told and stays undecided."""
    finding = found(evidence(core("37.0 mΩ ± 0.1 mΩ")))["conductor-resistance.line"]

    assert (finding.outcome, finding.limit) == (Outcome.UNDECIDED, None)
    assert "no marked size is stated" in finding.statement


@pytest.mark.parametrize(
    ("entry_", "problem"),
    [
        (core("37 mΩ", length=""), "the length of cable between the taps is missing: state 'length'"),
        (core("37 mΩ", length="-5 m"), "the length between the taps is -5 m; it must be above 0"),
        (core("37 mΩ", length="5"), "condition 'length' = '5'"),
        (core("37 mΩ", temperature=""), "the temperature of the metal is missing: state 'temperature'"),
        (core("37 mΩ", temperature="25 K"), "where copper would have no resistance left"),
        (core("> 20 Ω"), "is only a bound: read on a range that shows a value"),
        (drop("370 mV", test_current=""), "a drop tells a resistance only with its current"),
    ],
)
def test_what_cannot_be_used_costs_the_entry_alone(entry_: Entry, problem: str) -> None:
    """One clear message names the entry; the other entry is judged."""
    results = run_checks(evidence(entry_, core("37.0 mΩ ± 0.1 mΩ", name="good", conductor="N"), claims=SIZED))

    assert any(problem in one.what for one in results.problems), results.problems
    assert {finding.id for finding in results.findings if finding.check == "conductor-resistance"} == {
        "conductor-resistance.neutral"
    }


def test_the_room_stands_in_for_the_metal_and_that_is_said() -> None:
    """Where only the ambient is stated it is taken, with what may lie between."""
    bare = replace(core("37.0 mΩ ± 0.1 mΩ", temperature=""), ambient="20 °C")
    finding = found(evidence(bare, claims=SIZED))["conductor-resistance.line"]

    assert finding.outcome is Outcome.WITHIN
    assert "the temperature of the metal is not stated: that of the room is taken" in finding.remarks


@pytest.mark.hand("52 − 37 = 15 mΩ both joints; over the plug 13 mΩ, so 2 mΩ at the connector; 16² · 13 mΩ = 3.33 W")
def test_joints_are_told_from_the_conductor() -> None:
    """Pins, inside and one joint tell both joints, with the heat at the declared current."""
    bench = evidence(
        core("52.0 mΩ ± 0.1 mΩ", name="p", taps="pins"),
        core("37.0 mΩ ± 0.1 mΩ", name="i", taps="inside"),
        core("13.0 mΩ ± 0.1 mΩ", name="j", taps="plug side", length=""),
        claims=SIZED,
    )
    told = found(bench)
    plug, connector = (told[f"conductor-joints.{side}"] for side in ("plug-side", "connector-side"))

    assert (plug.outcome, connector.outcome) == (Outcome.BEYOND, Outcome.WITHIN)
    assert plug.functions == connector.functions == ("heating",), "a joint is a heater"
    assert plug.quantity is not None
    assert plug.quantity.value == pytest.approx(13.0)
    assert plug.quantity.unit == "mΩ"
    assert "25 % of the whole from pin to pin, and 3.328 W" in plug.statement
    assert plug.limit is not None
    assert plug.limit.standing == "memory"
    assert set(plug.evidence) == {"p", "i", "j"}


@pytest.mark.hand(
    "40 − 37 = 3 mΩ, within 5 mΩ wherever it is; 45 − 37 = 8 mΩ may be 8 + 0; 48 − 37 = 11 mΩ above 2 · 5"
)
@pytest.mark.parametrize(
    ("pins", "outcome", "most"),
    [("40.0", Outcome.WITHIN, 5.0), ("45.0", Outcome.UNDECIDED, 5.0), ("48.0", Outcome.BEYOND, 10.0)],
)
def test_joints_together_where_they_were_not_told_apart(pins: str, outcome: Outcome, most: float) -> None:
    """A sum of two joints is within where either may have all of it; one place alone tells no joint."""
    bench = evidence(
        core(f"{pins} mΩ ± 0.1 mΩ", name="p", taps="pins"), core("37.0 mΩ ± 0.1 mΩ", name="i"), claims=SIZED
    )
    both = found(bench)["conductor-joints.both-sides"]

    assert (both.outcome, both.limit and both.limit.maximum) == (outcome, most)
    assert ("tap over one joint" in both.statement) == (outcome is Outcome.UNDECIDED)
    assert "conductor-joints" in {one.check for one in run_checks(evidence(core("37 mΩ"), claims=SIZED)).not_tested}


@pytest.mark.hand("0.5 mΩ of two readings, each off by 2 digits of 1 mΩ: √2 · 2/√3 = 1.63 mΩ, and the gain of 0.5 mΩ")
def test_what_a_meter_cannot_resolve_is_no_joint_known_to_a_microhm() -> None:
    """Its last digits are each reading's own, although one statement makes both of its limits."""
    made = [
        replace(core(text, name=name, taps=taps, temperature="20.0 °C ± 0.1 °C"), instrument="milliohm")
        for name, text, taps in (("p", "38 mΩ", "pins"), ("i", "37 mΩ", "inside"))
    ]
    both = found(evidence(*made, claims=SIZED))["conductor-joints.both-sides"]

    assert both.quantity is not None
    assert both.quantity.u == pytest.approx(1.633, abs=0.005)


@pytest.mark.hand("10 A for 60 s: 60 · 0.092 K/s = 5.5 K if no heat left, and in the end 10² · 0.0074 · 6 = 4.44 K")
def test_a_core_may_be_warmer_at_one_reading_than_at_the_other() -> None:
    """4.4 K either way, evenly: 37 mΩ · 0.393 %/K · 4.4 K/√12, twice over, is what two readings may differ by."""
    warmed = {"test current": "10 A ± 0.001 A", "time since switch-on": "60 s"}
    pins, inside = (core("37.0 mΩ ± 0.001 mΩ", name=name, taps=name, **warmed) for name in ("pins", "inside"))
    both = found(evidence(pins, inside, claims=SIZED))["conductor-joints.both-sides"]

    assert both.quantity is not None
    assert both.quantity.value == pytest.approx(0.0, abs=0.01)
    assert both.quantity.u == pytest.approx(37.0 * 0.00393 * 4.44 / 12.0**0.5 * 2.0**0.5, rel=0.03)


@pytest.mark.hand("39 − 38 = 1 mΩ both; over the plug 20 mΩ, then 0.5 mΩ")
def test_a_later_reading_of_a_joint_does_not_undo_an_earlier() -> None:
    """The worst of every pairing is told, with all readings as evidence; in whichever order they were made."""
    joints = [core(f"{one} mΩ ± 0.05 mΩ", name=f"j{one}", taps="plug side", length="") for one in ("20.0", "0.50")]
    for order in (joints, joints[::-1]):
        bench = evidence(
            core("38.0 mΩ ± 0.1 mΩ", name="i"), core("39.0 mΩ ± 0.1 mΩ", name="p", taps="pins"), *order, claims=SIZED
        )
        plug = found(bench)["conductor-joints.plug-side"]

        assert plug.outcome is Outcome.BEYOND
        assert set(plug.evidence) == {"i", "p", "j20.0", "j0.50"}


@pytest.mark.hand("30 − 38 = −8 mΩ")
def test_a_joint_below_zero_is_undecided() -> None:
    """The readings do not go together: that is said, and nothing of heat."""
    bench = evidence(core("38.0 mΩ ± 0.1 mΩ", name="i"), core("30.0 mΩ ± 0.1 mΩ", name="p", taps="pins"), claims=SIZED)
    both = found(bench)["conductor-joints.both-sides"]

    assert (both.outcome, both.probability) == (Outcome.UNDECIDED, None)
    assert "comes out below zero (−8.00 mΩ" in both.statement
    assert "of heat" not in both.statement


def test_joints_of_two_cores_in_series_are_not_those_of_one() -> None:
    """88 mΩ from pin to pin of two cores leave 50 mΩ to no joint of one."""
    pins = core("88.0 mΩ ± 0.1 mΩ", name="p", taps="pins", cores_in_series="2")
    assert "conductor-joints.both-sides" not in found(evidence(core("38.0 mΩ ± 0.1 mΩ", name="i"), pins, claims=SIZED))


def test_a_continuity_meter_tells_no_joint() -> None:
    """It is off by more than a joint has."""
    pins = core("39.0 mΩ ± 0.1 mΩ", name="p", taps="pins", method="continuity meter")
    both = found(evidence(core("38.0 mΩ ± 0.1 mΩ", name="i"), pins, claims=SIZED))["conductor-joints.both-sides"]

    assert both.outcome is Outcome.UNDECIDED
    assert "a continuity meter proves" in both.statement


@pytest.mark.hand("38 mΩ at 20 °C are 42.5 mΩ at 50 °C: 44.5 mΩ from pin to pin leave 2.0 mΩ, not 6.5 mΩ")
def test_a_warmer_core_is_not_a_joint() -> None:
    """The conductor is led to the temperature of the whole before it is taken from it."""
    pins = core("44.5 mΩ ± 0.1 mΩ", name="p", taps="pins", temperature="50.0 °C ± 0.5 °C")
    both = found(evidence(core("38.0 mΩ ± 0.1 mΩ", name="i"), pins, claims=SIZED))["conductor-joints.both-sides"]

    assert both.quantity is not None
    assert both.quantity.value == pytest.approx(44.5 - 38.0 * (1.0 + 0.00393 * 30.0), abs=0.01)
    assert both.outcome is Outcome.WITHIN


@pytest.mark.hand("76 mΩ of two cores: 7.6 Ω/km in the mean against 7.98 Ω/km")
def test_two_cores_in_series_are_told_as_two() -> None:
    """A mean shows nothing of the line by itself."""
    line = found(evidence(core("76.0 mΩ ± 0.1 mΩ", cores_in_series="2"), claims=SIZED))["conductor-resistance.line"]

    assert line.outcome is Outcome.UNDECIDED
    assert line.statement.startswith("The line conductor L and the one in series with it have, in the mean, 7.60")


@pytest.mark.hand("74 mΩ over 5 m: 14.8 Ω/km, 1.85 times 7.98 Ω/km, as of two cores of 7.4 Ω/km in series")
@pytest.mark.parametrize(("said", "asked"), [("", True), ("1", False)])
def test_a_core_that_reads_as_two_is_asked_about_unless_it_was_said_to_be_one(said: str, asked: bool) -> None:
    """The finding stands, with what would overturn it; whoever said that it was one core is not asked."""
    line = found(evidence(core("74.0 mΩ ± 0.1 mΩ", cores_in_series=said), claims=SIZED))["conductor-resistance.line"]

    assert line.outcome is Outcome.BEYOND
    assert any("two honest ones joined at the far end" in remark for remark in line.remarks) == asked


def test_drops_that_are_unlike_decide_nothing() -> None:
    """0.370 V one way and 0.010 V the other did not see one conductor."""
    made = drop(
        "370.0 mV ± 0.2 mV", "-10.0 mV ± 0.2 mV", test_current="10.00 A ± 0.02 A", **{"time since switch-on": "1 s"}
    )
    line = found(evidence(made, claims=SIZED))["conductor-resistance.line"]

    assert (line.outcome, line.probability) == (Outcome.UNDECIDED, None)
    assert "did a tap move?" in line.statement


def test_a_later_reading_of_the_coding_does_not_undo_an_earlier() -> None:
    """1500 Ω, 13 A, then 220 Ω, 32 A, or the other way round: more than a 3G2.5 is coded for stays told."""
    made = [
        entry("coding resistance", name=name, readings=(ohms,), instrument="meter")
        for name, ohms in (("a", "220 Ω"), ("b", "1500 Ω"))
    ]
    for order in (made, made[::-1]):
        told = found(evidence(*order, claims=replace(CLAIMS, cable_print="3G2.5 16 A")))

        assert told["coding-section.size"].outcome is Outcome.BEYOND
        assert told["coding-print.current"].outcome is Outcome.BEYOND
        assert told["coding.band"].worst_of == 2


@pytest.mark.parametrize(
    ("printed", "size"),
    [
        ("EV-CABLE 3G2.5 + 2X0.5 450/750 V", PrintedSize(cores=3, with_earth=True, size_mm2=2.5)),
        ("2X0.5 + 5G6 EVC", PrintedSize(cores=5, with_earth=True, size_mm2=6.0)),
        ("H07BZ5-F 3 G 2,5 mm²", PrintedSize(cores=3, with_earth=True, size_mm2=2.5)),
        ("3x1.5mm2", PrintedSize(cores=3, with_earth=False, size_mm2=1.5)),
        ("3×0.75", PrintedSize(cores=3, with_earth=False, size_mm2=0.75)),
        ("300/500 V", None),
        ("3 x 16 A", None),
        ("", None),
    ],
)
def test_the_print_of_a_cable_is_read(printed: str, size: PrintedSize | None) -> None:
    """Cores and size of the power conductors; voltages and currents are no size."""
    assert printed_size(printed) == size


def test_the_larger_of_print_and_claim_is_what_it_is_sold_as() -> None:
    """Either alone, the larger of both, or none."""
    for printed, claim, size in (
        ("3G1.5", "2.5 mm²", 2.5),
        ("3G4", "2.5 mm²", 4.0),
        ("3G4", "", 4.0),
        ("", "6 mm2", 6.0),
    ):
        named = marked_size(evidence(claims=replace(CLAIMS, cable_print=printed, cross_section=claim)))
        assert named is not None
        assert named.size_mm2 == size
    assert marked_size(evidence()) is None


@pytest.mark.parametrize(("claim", "outcome"), [("2.5 mm²", "beyond"), ("1.5 mm²", "within"), ("1 mm²", "within")])
def test_a_claim_above_the_print_is_a_contradiction(claim: str, outcome: str) -> None:
    """The sheath says 1.5 mm²: whoever says more is contradicted by it."""
    finding = found(evidence(claims=replace(CLAIMS, cable_print="3G1.5", cross_section=claim)))["section-print.claim"]

    assert finding.outcome == outcome
    assert ("One of the two is wrong" in finding.statement) == (outcome == "beyond")


@pytest.mark.published("680 Ω codes 20 A, for which two pages have 2.5 mm²; 220 Ω codes 32 A, 6 mm²; standing: read")
@pytest.mark.parametrize(
    ("ohms", "printed", "outcome"),
    [
        ("680 Ω", "3G2.5", "within"),
        ("680 Ω", "3G1.5", "beyond"),
        ("220 Ω", "3G6", "within"),
        ("220 Ω", "3G2.5", "beyond"),
    ],
)
def test_the_coding_is_held_against_the_section(ohms: str, printed: str, outcome: str) -> None:
    """Custom of the trade, said to be so; a coding for more than the cable is marked for is beyond it."""
    made = entry("coding resistance", name="k", readings=(ohms,), instrument="meter")
    finding = found(evidence(made, claims=replace(CLAIMS, cable_print=printed)))["coding-section.size"]

    assert (finding.outcome, finding.functions) == (outcome, ())
    assert "custom of the trade" in finding.remarks[0]


@pytest.mark.published("0.1 Ω and the resistance of the cord, EN 50106:2008 routine test; standing: read")
@pytest.mark.hand("5 m of 6 mm²: 5 · 3.39 = 16.95 mΩ, and 100 mΩ: 116.95 mΩ")
def test_the_earth_of_a_thick_cable_is_reckoned_from_its_conductor() -> None:
    """150 mΩ keep 0.3 Ω and are more than 5 m of 6 mm² may have; a thin cord keeps its published limit."""
    earth = entry(
        "earth resistance", name="pe", readings=("150 mΩ ± 2 mΩ",), conditions={"length": "5 m", "test current": "10 A"}
    )
    thick = found(evidence(earth, claims=replace(CLAIMS, cable_print="3G6")))["earth-resistance.value"]
    thin = found(evidence(earth, claims=replace(CLAIMS, cable_print="3G1.5")))["earth-resistance.value"]

    assert thick.limit is not None
    assert thin.limit is not None
    assert thick.limit.maximum == pytest.approx(0.11695, abs=5.1e-5)
    assert thick.outcome is Outcome.BEYOND
    assert (thin.limit.maximum, thin.outcome) == (0.3, Outcome.WITHIN)
    assert not any("State the cross-section" in remark for remark in (*thick.remarks, *thin.remarks))


def test_where_the_size_is_not_known_the_limit_of_thin_cords_says_so() -> None:
    """More than 16 A, or a fixed unit, without a size: the remark asks for the cross-section."""
    earth = entry("earth resistance", name="pe", readings=("60 mΩ",), instrument="milliohm")

    def remarks(bench: BenchEvidence) -> str:
        return " ".join(found(bench)["earth-resistance.value"].remarks)

    assert "State the cross-section" in remarks(evidence(earth, unit=WALL))
    assert "State the cross-section" in remarks(evidence(earth, claims=replace(CLAIMS, rated_current="32 A")))
    assert "State the cross-section" not in remarks(evidence(earth))
    assert "state the length" in remarks(evidence(earth, claims=replace(CLAIMS, cable_print="3G6")))


def test_an_earth_of_no_length_is_refused() -> None:
    """A length at or below zero costs the entry, with a message."""
    earth = entry(
        "earth resistance", name="pe", readings=("60 mΩ",), instrument="milliohm", conditions={"length": "0 m"}
    )
    problems = run_checks(evidence(earth)).problems

    assert any("the length of the cable is 0 m; it must be above 0" in one.what for one in problems)
