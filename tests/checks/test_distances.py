"""Distances inside: what gaps by calliper show of clearance and creepage, and what they cannot show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.checks import find_check, run_checks
from coldpin.checks.evidence import BenchEvidence
from coldpin.records.case import Claims, ConditionOfUse, OwnConstant, UnitClass
from coldpin.records.distance_words import across
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.instrument import Instrument
from tests.checks.bench import CLAIMS, INSTRUMENTS, PORTABLE, WALL, entry, evidence, found_in

PILOT = {"from": "mains L", "to": "pilot"}
LOOKED = {"searched": "both faces", "over": "flat board"}


def gap(reading: str | Sequence[str], *, name: str = "g1", instrument: str = "", **conditions: str) -> Entry:
    """A gap by calliper; an underscore in a condition's name stands for a space, a first one for nothing."""
    stated = {key.strip("_").replace("_", " "): value for key, value in conditions.items()}
    readings = (reading,) if isinstance(reading, str) else tuple(reading)
    return entry("calliper gap", name=name, readings=readings, conditions=stated, instrument=instrument)


def to_pilot(reading: str | Sequence[str], **conditions: str) -> Entry:
    """A gap from mains to pilot, both faces searched, over flat board unless said otherwise."""
    return gap(reading, **{**PILOT, **LOOKED, **conditions})


def indoors(*entries: Entry, unit: UnitClass = PORTABLE, claims: Claims = CLAIMS) -> BenchEvidence:
    """The evidence of a unit that is used indoors alone: pollution degree 2."""
    bench = evidence(*entries, unit=unit, claims=claims)
    return replace(bench, case=replace(bench.case, conditions_of_use=(ConditionOfUse(name="home", place="garage"),)))


def outcomes(bench: BenchEvidence, check: str = "pilot-distance") -> tuple[Outcome | None, Outcome | None]:
    """The outcomes of clearance and creepage, by that check alone."""
    found = {finding.id: finding for finding in find_check(check).run(bench)}
    return tuple(  # type: ignore[return-value]  # two of them
        found[f"{check}.{kind}"].outcome if f"{check}.{kind}" in found else None for kind in ("clearance", "creepage")
    )


W, B, U = Outcome.WITHIN, Outcome.BEYOND, Outcome.UNDECIDED


@pytest.mark.published("IEC 60664-1 by two public copies: 230 V, category II, degree 2: reinforced 3.0 / 5.0")
@pytest.mark.parametrize(
    ("reading", "wanted"),
    [("2.90 mm", (B, B)), ("3.10 mm", (U, B)), ("4.90 mm", (W, B)), ("5.10 mm", (W, W)), ("3.02 mm", (U, B))],
)
def test_mains_to_pilot_needs_reinforced_insulation(reading: str, wanted: tuple[Outcome, Outcome]) -> None:
    """Indoors, a portable unit: through air 3.0 mm, by another reading 3.8 mm; along the surface 5.0 mm."""
    assert outcomes(indoors(to_pilot(f"{reading} ± 0.05 mm"))) == wanted


@pytest.mark.published("IEC 60664-1: 230 V, category III, degree 3, group III: reinforced 5.5 / 8.0")
@pytest.mark.parametrize(("reading", "wanted"), [("5.4 mm", (B, B)), ("5.6 mm", (W, B)), ("8.1 mm", (W, W))])
def test_a_wall_unit_in_industry_needs_more(reading: str, wanted: tuple[Outcome, Outcome]) -> None:
    """A fixed unit meets larger surges, and dirt asks for longer ways."""
    bench = indoors(to_pilot(f"{reading} ± 0.03 mm"), unit=WALL)
    bench = replace(bench, case=replace(bench.case, conditions_of_use=(ConditionOfUse(name="b", place="workshop"),)))

    assert outcomes(bench) == wanted


@pytest.mark.hand("120 V would ask for 1.5 and 3.0 mm, the supply of 230 V for 3.0 and 5.0 mm")
def test_a_claimed_voltage_below_that_of_the_supply_lowers_nothing() -> None:
    """What is printed on a unit does not change what its plug meets; an own value of the case does."""
    small = replace(CLAIMS, rated_voltage="120 V")
    bench = indoors(to_pilot("2.50 mm ± 0.05 mm"), claims=small)
    finding = found_in(bench)["pilot-distance.clearance"]

    assert finding.outcome is B
    assert any("below that of the supply: 230 V was taken" in remark for remark in finding.remarks)
    own = OwnConstant(id="supply.voltage", source="the supplier's letter", nominal=120.0)
    assert outcomes(replace(bench, book=bench.book.with_own((own,)))) == (W, B)


@pytest.mark.hand("the middle of 120 V to 300 V is 210 V, in the row of 250 V; 300 V is in that of 320 V: 6.4 mm")
def test_of_a_claimed_range_of_voltages_the_highest_counts() -> None:
    """A claim of a range is written as its middle and half its width."""
    wide = replace(CLAIMS, rated_voltage="210 V ± 90 V")

    assert outcomes(indoors(to_pilot("5.50 mm ± 0.05 mm"), claims=CLAIMS)) == (W, W)
    assert outcomes(indoors(to_pilot("5.50 mm ± 0.05 mm"), claims=wide)) == (W, B)


@pytest.mark.hand("degree 2 asks for 5.0 mm, degree 3 for 8.0 mm along the surface; 6.1 mm lies between")
def test_between_two_degrees_of_pollution_nothing_is_decided() -> None:
    """Outdoors without proof of sealing both degrees are judged, and what only one of them accepts stays open."""
    found = found_in(evidence(to_pilot("6.10 mm ± 0.03 mm")))

    creepage = found["pilot-distance.creepage"]
    assert creepage.outcome is U
    assert creepage.probability is None
    assert "enough in pollution degree 2, too little in degree 3" in creepage.statement
    assert found["pilot-distance.clearance"].outcome is W


@pytest.mark.hand("a straight gap is the clearance, and no way along a surface is shorter than straight")
def test_a_straight_gap_shows_a_creepage_kept_and_never_one_missed() -> None:
    """Whether a slot lengthens the way along the surface is not known from the straight gap."""
    assert outcomes(indoors(to_pilot("5.2 mm ± 0.05 mm", over=""))) == (W, W)
    assert outcomes(indoors(to_pilot("4.0 mm ± 0.05 mm", over=""))) == (W, U)
    assert outcomes(indoors(to_pilot("4.0 mm ± 0.05 mm", over="slot or rib"))) == (W, U)


@pytest.mark.hand("the way along the surface bounds the clearance from above")
def test_a_way_along_the_surface_shows_a_clearance_missed_and_never_one_kept() -> None:
    """Over a slot the air is nearer than the surface."""
    assert outcomes(indoors(to_pilot("5.2 mm ± 0.05 mm", kind="creepage", over="slot or rib"))) == (U, W)
    assert outcomes(indoors(to_pilot("2.7 mm ± 0.05 mm", kind="creepage", over="slot or rib"))) == (B, B)


def test_both_ways_between_the_same_ends_complete_each_other() -> None:
    """The bound that tells nothing is left out where the same ends were measured in the way that does."""
    straight = to_pilot("4.4 mm ± 0.05 mm", over="slot or rib", to="pilot CP")
    walked = to_pilot("9.1 mm ± 0.05 mm", over="slot or rib", kind="creepage", to="pilot CP", name="g2")
    elsewhere = to_pilot("9.1 mm ± 0.05 mm", over="slot or rib", kind="creepage", to="pilot PP", name="g3")

    assert outcomes(indoors(straight, walked)) == (W, W)
    assert outcomes(indoors(straight, elsewhere)) == (U, U)


@pytest.mark.parametrize(
    ("conditions", "said"),
    [
        ({"searched": ""}, "the other face was not looked at"),
        ({"searched": "one face"}, "the other face was not looked at"),
        ({"beside": "transformer"}, "the space under the part was not looked at"),
    ],
)
def test_what_was_not_looked_at_is_not_kept(conditions: dict[str, str], said: str) -> None:
    """The shortest gap found is the shortest there is only where everything was looked at."""
    found = found_in(indoors(to_pilot("9.0 mm ± 0.05 mm", **conditions)))

    assert found["pilot-distance.clearance"].outcome is U
    assert said in found["pilot-distance.clearance"].statement
    assert outcomes(indoors(to_pilot("2.0 mm ± 0.05 mm", **conditions))) == (B, B)


def test_without_the_accuracy_of_the_calliper_nothing_is_decided() -> None:
    """Neither kept nor missed, however far from the limit."""
    assert outcomes(indoors(to_pilot("0.8 mm"))) == (U, U)
    assert outcomes(indoors(to_pilot("9.0 mm"))) == (U, U)
    assert found_in(indoors(to_pilot("0.8 mm")))["pilot-distance.clearance"].decisive is False


def test_the_instrument_of_the_shelf_states_it() -> None:
    """A calliper on the shelf brings its accuracy along."""
    calliper = Instrument(name="c", kind="calliper", statements={"length": "3 digits on 150 mm, resolution 0.01 mm"})
    bench = indoors(to_pilot("9.00 mm", instrument="c"))

    assert outcomes(replace(bench, instruments={**INSTRUMENTS, "c": calliper})) == (W, W)


def test_an_earlier_shorter_gap_is_not_undone_by_a_later_one() -> None:
    """Every entry is judged and the worst decides."""
    bench = indoors(to_pilot("2.0 mm ± 0.05 mm"), to_pilot("9.0 mm ± 0.05 mm", name="g2"))

    assert outcomes(bench) == (B, B)
    assert found_in(bench)["pilot-distance.clearance"].evidence == ("g1", "g2")


def test_one_short_repeat_keeps_a_good_mean_from_being_enough() -> None:
    """What a repeat shows is there."""
    bench = indoors(to_pilot(("5.40 mm ± 0.02 mm", "5.41 mm ± 0.02 mm", "4.99 mm ± 0.02 mm")))

    assert outcomes(bench)[1] is U


def test_a_gap_in_another_unit_is_asked_about() -> None:
    """A gap of 90 mm inside a lead is not believed, and not corrected."""
    found = found_in(indoors(to_pilot("90 mm ± 0.05 mm")))["pilot-distance.clearance"]

    assert found.outcome is U
    assert "look at its unit" in found.statement


@pytest.mark.parametrize("reading", ["0 mm ± 0.02 mm", "-2.0 mm ± 0.02 mm"])
def test_what_touches_is_no_gap(reading: str) -> None:
    """Such an entry is set aside with its reason, and costs itself only."""
    results = run_checks(indoors(to_pilot(reading, name="bad"), to_pilot("9.0 mm ± 0.05 mm")))

    assert "a gap is above 0 mm" in " ".join(problem.what for problem in results.problems)
    assert {f.id: f.outcome for f in results.findings}["pilot-distance.clearance"] is W


class TestDecisive:
    """Below basic insulation the finding concludes alone."""

    @pytest.mark.published("IEC 60664-1: 230 V, category II, degree 2: basic 1.5 / 2.5")
    @pytest.mark.parametrize(
        ("reading", "clearance", "creepage"),
        [("2.0 mm", False, True), ("1.4 mm", True, True), ("2.7 mm", False, False), ("2.48 mm", False, False)],
    )
    def test_only_surely_below_the_basic_row(self, reading: str, clearance: bool, creepage: bool) -> None:
        """Reinforced insulation is missed earlier, but then one layer of two may be left."""
        found = found_in(indoors(to_pilot(f"{reading} ± 0.05 mm")))

        assert found["pilot-distance.clearance"].decisive is clearance
        assert found["pilot-distance.creepage"].decisive is creepage
        assert all(found[f"pilot-distance.{kind}"].outcome is B for kind in ("clearance", "creepage"))

    def test_it_reaches_any_unit_where_the_layout_makes_it(self) -> None:
        """A blob of solder speaks for one specimen, the layout for all."""
        assert _reach(to_pilot("1.0 mm ± 0.05 mm")) is Reach.SPECIMEN
        assert _reach(to_pilot("1.0 mm ± 0.05 mm", made_by="assembly")) is Reach.SPECIMEN
        assert _reach(to_pilot("1.0 mm ± 0.05 mm", made_by="layout")) is Reach.CONSTRUCTION

    def test_it_is_by_the_mildest_degree(self) -> None:
        """Outdoors degree 3 asks for 4.0 mm of basic creepage; concluding alone goes by the 2.5 mm of degree 2."""
        found = found_in(evidence(to_pilot("3.0 mm ± 0.05 mm")))

        assert found["pilot-distance.creepage"].outcome is B
        assert found["pilot-distance.creepage"].decisive is False


def _reach(one: Entry) -> Reach:
    return found_in(indoors(one))["pilot-distance.creepage"].reach


class TestFloatingParts:
    """Between two gaps a part that belongs to no circuit counts nothing."""

    @pytest.mark.hand("2.4 + 3.0 = 5.4 mm")
    def test_gaps_of_one_way_add(self) -> None:
        """Both findings, that of the barrier and that of ways over such parts, take the sum."""
        found = found_in(indoors(to_pilot("2.4 mm ± 0.02 mm", further_gaps="3.0 mm ± 0.02 mm", beside="heatsink")))

        for name in ("pilot-distance.creepage", "floating-parts.creepage"):
            quantity = found[name].quantity
            assert quantity is not None
            assert quantity.value == pytest.approx(5.4)
            assert found[name].outcome is W

    @pytest.mark.hand("4.6 + 0.6 = 5.2 keeps 5.0 mm; where a gap under X = 1.0 counts nothing, 4.6 misses it")
    def test_where_two_readings_of_the_rule_part_nothing_is_decided(self) -> None:
        """The smaller is told, and the other beside it."""
        found = found_in(indoors(to_pilot("4.6 mm ± 0.02 mm", further_gaps="0.6 mm ± 0.02 mm")))[
            "pilot-distance.creepage"
        ]

        assert found.outcome is U
        assert "by another reading of the rule for parts that float it is 5.20" in found.statement

    def test_a_further_gap_that_cannot_be_read_costs_its_entry(self) -> None:
        """With what is wrong and where."""
        results = run_checks(indoors(to_pilot("4.6 mm ± 0.02 mm", further_gaps="half")))

        assert any("reading 'half'" in problem.what for problem in results.problems)


class TestUnusedPins:
    """Pins that nothing uses conduct."""

    def test_none_left_is_good(self) -> None:
        """No pin, no finding against it."""
        assert _pins("no").outcome is W

    def test_left_and_not_measured_stays_open(self) -> None:
        """What they leave must be measured."""
        assert _pins("yes").outcome is U
        assert "was not measured" in _pins("yes").statement
        assert _pins("cannot tell").outcome is U

    def test_left_and_measured_is_judged_by_what_they_leave(self) -> None:
        """The sum of the gaps beside the pin is judged."""
        far = to_pilot("3.0 mm ± 0.02 mm", further_gaps="3.0 mm ± 0.02 mm", beside="unused pin")
        near = to_pilot("0.6 mm ± 0.02 mm", further_gaps="0.5 mm ± 0.02 mm", beside="unused pin")

        assert _pins("yes", far).outcome is W
        assert _pins("yes", near).outcome is B
        assert _pins("yes", near).decisive is False


def _pins(answer: str, *more: Entry) -> Finding:
    return found_in(indoors(entry("unused pins at the barrier", name="u", answer=answer), *more))["unused-pins.left"]


@pytest.mark.published("report to IEC 60950-1: line to neutral, 250 V, degree 2: 1.5 / 2.5 before the fuse")
def test_line_to_neutral_before_the_fuse_needs_basic_distances_and_behind_it_a_test() -> None:
    """Behind a fuse less breaks nothing by itself."""
    poles = {"from": "mains L", "to": "mains N", **LOOKED}
    behind = {**poles, "from": "mains L fused"}

    enough = found_in(indoors(gap("2.6 mm ± 0.02 mm", **poles)))
    assert [enough[f"pole-distance.before-{kind}"].outcome for kind in ("clearance", "creepage")] == [W, W]
    before = found_in(indoors(gap("1.2 mm ± 0.02 mm", **poles)))
    after = found_in(indoors(gap("1.2 mm ± 0.02 mm", **behind)))
    assert [before[f"pole-distance.before-{kind}"].outcome for kind in ("clearance", "creepage")] == [B, B]
    assert [after[f"pole-distance.behind-{kind}"].outcome for kind in ("clearance", "creepage")] == [U, U]
    assert "a test of the fault" in after["pole-distance.behind-creepage"].statement


@pytest.mark.published("IEC 61140 from memory: basic insulation to earthed metal; reinforced to what can be touched")
def test_earth_needs_less_than_what_can_be_touched() -> None:
    """2.7 mm do to earth, and do not to a seam of the housing."""
    earth = gap("2.7 mm ± 0.02 mm", **{"from": "mains L", "to": "earth PE", **LOOKED})
    seam = gap("2.7 mm ± 0.02 mm", **{"from": "mains L", "to": "surface", "over": "flat board", "force": "30 N"})

    assert outcomes(indoors(earth), "earth-distance") == (W, W)
    assert outcomes(indoors(seam), "surface-distance") == (B, B)


def test_a_housing_that_was_not_pressed_is_not_judged_good() -> None:
    """The force is part of the measurement."""
    seam = {"from": "mains L", "to": "surface", "over": "flat board"}

    assert outcomes(indoors(gap("9.0 mm ± 0.02 mm", **seam)), "surface-distance") == (U, U)
    assert outcomes(indoors(gap("9.0 mm ± 0.02 mm", **seam, force="5 N")), "surface-distance") == (U, U)
    assert outcomes(indoors(gap("9.0 mm ± 0.02 mm", **seam, force="30 N")), "surface-distance") == (W, W)


def test_what_is_stated_and_what_the_ends_say_must_agree() -> None:
    """Which of the two is right nobody here can know."""
    results = run_checks(indoors(to_pilot("9.0 mm ± 0.02 mm", across="mains to earth")))

    assert any("correct one" in problem.what for problem in results.problems)


def test_ends_that_are_no_nets_need_to_say_between_what_they_lie() -> None:
    """Without it the gap serves a drawing alone."""
    bare = gap("9.0 mm ± 0.02 mm", **{"from": "J1 pin 3", "to": "R5", **LOOKED})
    said = gap("9.0 mm ± 0.02 mm", **{"from": "J1 pin 3", "to": "R5", "across": "mains to pilot", **LOOKED})

    assert outcomes(indoors(bare)) == (None, None)
    assert outcomes(indoors(said)) == (W, W)


@given(
    one=st.sampled_from(
        ["mains", "mains L", "mains N", "mains L fused", "pilot CP", "low-voltage GND", "earth PE", ""]
    ),
    other=st.sampled_from(["mains", "mains L", "mains N", "pilot CP", "surface", "earth", "logic", ""]),
)
def test_it_does_not_matter_which_end_is_named_first(one: str, other: str) -> None:
    """A gap has two ends and no direction."""
    assert across(one, other) == across(other, one)


@given(shorter=st.floats(0.2, 9.0), more=st.floats(0.0, 3.0))
def test_a_longer_gap_is_never_judged_worse(shorter: float, more: float) -> None:
    """Everything else alike."""
    rank = {B: 0, U: 1, W: 2}
    first, second = (outcomes(indoors(to_pilot(f"{length:.3f} mm ± 0.05 mm"))) for length in (shorter, shorter + more))

    assert all(rank[a] <= rank[b] for a, b in zip(first, second, strict=True) if a and b)


@pytest.mark.published("IEC 60664-1, creepage: 250 V 2.5 mm, 400 V 4.0 mm, degree 2, group III")
def test_two_lines_lie_further_apart_than_line_and_neutral() -> None:
    """Between lines there is the root of three times the voltage."""
    lines = gap("3.0 mm ± 0.02 mm", **{"from": "mains L1", "to": "mains L2", **LOOKED})
    pole = gap("3.0 mm ± 0.02 mm", **{"from": "mains L1", "to": "mains N", **LOOKED})

    assert found_in(indoors(lines))["pole-distance.before-creepage"].outcome is B
    assert found_in(indoors(pole))["pole-distance.before-creepage"].outcome is W


@pytest.mark.hand("230 V, degree 2, group III: 5.0 mm along the surface, whatever a meter read across the gap")
@pytest.mark.parametrize("stated", ["12 V", "50 V", "230 V"])
def test_a_working_voltage_below_the_mains_lowers_no_row(stated: str) -> None:
    """One end is at mains: 3.5 mm to the pilot stays too little, and the finding names what was stated."""
    found = found_in(indoors(to_pilot("3.50 mm ± 0.05 mm", searched="under the parts", working_voltage=stated)))
    creepage = found["pilot-distance.creepage"]

    assert creepage.outcome is B
    assert creepage.limit is not None
    assert creepage.limit.minimum == 5.0
    assert f"The stated working voltage of {stated} lowers nothing" in " ".join(creepage.remarks)


@pytest.mark.published(
    "IEC 60664-1: group I 2.5 mm, raised to the clearance of 3.0 mm; group III 5.0 mm; both reinforced"
)
@pytest.mark.parametrize(
    ("reading", "shown", "wanted", "said"),
    [
        ("3.50 mm", "", U, "material group I, which asks for 3.0 mm, is stated, and nothing shows it"),
        ("5.10 mm", "", W, "but not how it is known: group IIIb was taken"),
        ("2.50 mm", "", B, "State 'group shown by'"),
        ("3.90 mm", "tracking test", W, "Material group I is stated, as shown by tracking test."),
        ("2.50 mm", "data of the material", B, "as shown by data of the material"),
    ],
)
def test_a_material_group_wants_a_proof(reading: str, shown: str, wanted: Outcome, said: str) -> None:
    """Without one it keeps nothing, and it accuses of nothing that it would allow."""
    looked = {"searched": "under the parts", "material_group": "I"} | ({"group_shown_by": shown} if shown else {})
    creepage = found_in(indoors(to_pilot(f"{reading} ± 0.05 mm", **looked)))["pilot-distance.creepage"]

    assert creepage.outcome is wanted
    assert said in " ".join((creepage.statement, *creepage.remarks))
    assert "material group I" in " ".join((creepage.statement, *creepage.remarks)).replace("Material", "material")


@pytest.mark.hand(
    "230 V to the neutral: row 250 V, 2.5 mm; 398.4 V between lines: 3.2 + (4.0 − 3.2) · 78.4 / 80 = 3.984 mm; basic"
)
def test_of_three_phases_the_poles_tell_the_row_and_without_them_nothing_is_decided() -> None:
    """A gap of which only "line to neutral" is said may lie between two lines."""
    unit = replace(PORTABLE, phases=3)

    def creepage(**conditions: str) -> Finding:
        read = gap("3.20 mm ± 0.05 mm", over="flat board", searched="under the parts", **conditions)
        return found_in(indoors(read, unit=unit))["pole-distance.before-creepage"]

    assert creepage(from_="mains L1", to="mains N").outcome is W
    assert creepage(from_="mains L1", to="mains L2").limit.minimum == pytest.approx(3.984, abs=0.001)  # type: ignore[union-attr]  # it has one
    assert creepage(across="line to neutral before the fuse").outcome is U


def test_a_limit_says_which_half_of_it_is_memory() -> None:
    """The distances stand in the table as read; that mains to pilot asks for reinforced insulation is memory."""
    clearance = found_in(indoors(to_pilot("3.50 mm ± 0.05 mm")))["pilot-distance.clearance"]

    assert clearance.limit is not None
    assert clearance.limit.standing == "memory"
    assert "standing: memory" in clearance.statement
    halves = [
        remark for remark in clearance.remarks if remark.startswith("Standing of the distance in the table: read;")
    ]
    assert len(halves) == 1
    assert "of the kind of insulation asked for: memory" in halves[0]
