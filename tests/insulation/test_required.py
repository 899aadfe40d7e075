"""Required distances: the ready rows for 230 V and 120 V, what other texts ask for, and what must rise with what."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import OutsideRange
from coldpin.insulation.dimensioning import distance_row, line_to_neutral, temporary_overvoltage_peak
from coldpin.insulation.distance_limit import distance_limit
from coldpin.insulation.placing import place_distance
from coldpin.insulation.required import required_distances
from coldpin.quantity import Quantity
from coldpin.records.case import OwnConstant
from coldpin.records.distance import PathKind
from coldpin.records.finding import Outcome, Standing
from coldpin.records.required_distances import (
    Barrier,
    InsulationKind,
    InsulationSituation,
    MaterialGroup,
    OtherValue,
    OvervoltageCategory,
    SupplySystem,
)
from coldpin.standards.book import load_book

BOOK = load_book()
DERIVED = """
V    row  category  degree  group  impulse  reinforced  bcl  bcr-table  bcr  rcl  rcr-table  rcr
230  250  II   2  IIIa  2500  4000  1.5  2.5   2.5   3.0  5.0  5.0
230  250  II   2  I     2500  4000  1.5  1.25  1.5   3.0  2.5  3.0
230  250  II   3  IIIa  2500  4000  1.5  4.0   4.0   3.0  8.0  8.0
230  250  II   3  I     2500  4000  1.5  3.2   3.2   3.0  6.4  6.4
230  250  III  2  IIIa  4000  6000  3.0  2.5   3.0   5.5  5.0  5.5
230  250  III  2  I     4000  6000  3.0  1.25  3.0   5.5  2.5  5.5
230  250  III  3  IIIa  4000  6000  3.0  4.0   4.0   5.5  8.0  8.0
230  250  III  3  I     4000  6000  3.0  3.2   3.2   5.5  6.4  6.4
120  125  II   2  IIIa  1500  2500  0.5  1.5   1.5   1.5  3.0  3.0
120  125  II   2  I     1500  2500  0.5  0.75  0.75  1.5  1.5  1.5
120  125  II   3  IIIa  1500  2500  0.8  2.4   2.4   1.5  4.8  4.8
120  125  II   3  I     1500  2500  0.8  1.9   1.9   1.5  3.8  3.8
120  125  III  2  IIIa  2500  4000  1.5  1.5   1.5   3.0  3.0  3.0
120  125  III  2  I     2500  4000  1.5  0.75  1.5   3.0  1.5  3.0
120  125  III  3  IIIa  2500  4000  1.5  2.4   2.4   3.0  4.8  4.8
120  125  III  3  I     2500  4000  1.5  1.9   1.9   3.0  3.8  3.8
"""
"""Worked out by hand from tables F.1, F.2 and F.5 of IEC 60664-1, case A, up to 2000 m."""

CATEGORIES = list(OvervoltageCategory)
GROUPS = list(MaterialGroup)
RISING = [InsulationKind.BASIC, InsulationKind.REINFORCED]


def mains(
    voltage: float = 230.0,
    category: OvervoltageCategory = OvervoltageCategory.II,
    degree: int = 2,
    group: MaterialGroup | None = MaterialGroup.IIIA,
) -> InsulationSituation:
    """An ordinary board behind an ordinary plug, unless said otherwise."""
    return InsulationSituation(
        nominal_voltage_v=voltage, overvoltage_category=category, pollution_degree=degree, material_group=group
    )


@pytest.mark.published("IEC 60664-1 tables F.1, F.2, F.5 (standing: read), put together by hand")
@pytest.mark.parametrize("line", DERIVED.strip().splitlines()[1:])
def test_the_ready_rows_for_230_v_and_120_v(line: str) -> None:
    """Impulse, clearance, creepage of the table and as raised, for basic and reinforced insulation."""
    volts, row, category, degree, group, *numbers = line.split()
    told = required_distances(
        BOOK, mains(float(volts), OvervoltageCategory(category), int(degree), MaterialGroup(group))
    )

    found = [
        told.basic.rated_impulse_v,
        told.reinforced.rated_impulse_v,
        *(
            number
            for side in (told.basic, told.reinforced)
            for number in (side.clearance_mm, side.creepage_table_mm, side.creepage_mm)
        ),
    ]
    assert found == [float(number) for number in numbers]
    assert f"{row} V rationalised voltage" in " ".join(used.entered_with for used in told.basic.rows)


@pytest.mark.published("IEC 60664-1 as in the ready row: 230 V, II, 2, IIIa, reinforced")
def test_every_step_names_its_cells() -> None:
    """From the supply to the groove: what was looked up and from which cell; every cell is among the sources."""
    told = required_distances(BOOK, mains())

    assert [(used.step, used.value, used.rows) for used in told.reinforced.rows] == [
        ("rated impulse voltage", 2500.0, ("rated-impulse.ovc-II.300V",)),
        ("next step, reinforced", 4000.0, ("impulse-series.4000V",)),
        ("clearance", 3.0, ("clearance-impulse.a.pd2.4000V",)),
        ("creepage", 2.5, ("creepage.pd2.IIIa.250V",)),
        ("reinforced, times", 2.0, ("reinforced.creepage",)),
        ("groove width X", 1.0, ("groove-width.pd2", "groove-width.exception")),
    ]
    named = {name for side in (told.basic, told.reinforced) for used in side.rows for name in used.rows}
    named |= {name for other in told.others for name in other.rows}
    named |= {name for test in told.test_voltages for name in test.rows}
    assert {limit.id for limit in told.sources} == named
    assert len(told.sources) == len(named)


@pytest.mark.published("IEC 60664-1: the creepage is never less than the clearance")
def test_a_creepage_raised_to_the_clearance_says_so() -> None:
    """230 V, category III, degree 2: the table has 2.5 mm and 5.0 mm, the clearance lifts them to 3.0 mm and 5.5 mm."""
    told = required_distances(BOOK, mains(category=OvervoltageCategory.III))

    assert told.reinforced.rows[-2].step == "creepage raised to the clearance"
    assert told.reinforced.rows[-2].rows == ("creepage-floor.clearance",)
    assert "(the table has 5.0 mm; it is never less than the clearance)" in told.statements[0]


@pytest.mark.published(
    "IEC 60664-1 annex B (memory): 230/400 V and 240/415 V row 300 V, 120/208 V and 120/240 V row 150 V"
)
@pytest.mark.parametrize(
    ("nominal", "system", "impulse"),
    [
        (400.0, SupplySystem.THREE_PHASE, 2500.0),
        (415.0, SupplySystem.THREE_PHASE, 2500.0),
        (208.0, SupplySystem.THREE_PHASE, 1500.0),
        (240.0, SupplySystem.SPLIT_PHASE, 1500.0),
        (230.0, SupplySystem.UNEARTHED, 2500.0),
        (230.0, SupplySystem.CORNER_EARTHED, 2500.0),
        (400.0, SupplySystem.UNEARTHED, 4000.0),
        (400.0, SupplySystem.CORNER_EARTHED, 4000.0),
        (1000.0, SupplySystem.UNEARTHED, 6000.0),
    ],
)
def test_the_supply_system_leads_to_its_row(nominal: float, system: SupplySystem, impulse: float) -> None:
    """From line to the earthed point; the whole voltage where no such point is earthed."""
    situation = replace(mains(), nominal_voltage_v=nominal, system=system)

    assert distance_row(BOOK, situation, InsulationKind.BASIC).rated_impulse_v == impulse


@pytest.mark.published(
    "application section of a data sheet: 1000 V unearthed, II: 6000 V, reinforced 8000 V and 8.0 mm"
)
def test_an_unearthed_supply_of_1000_v() -> None:
    """The published example, with its temporary overvoltage of 2200 V and its double."""
    told = required_distances(BOOK, replace(mains(), nominal_voltage_v=1000.0, system=SupplySystem.UNEARTHED))
    tests = {(test.insulation, test.rule): test.value_v for test in told.test_voltages}

    assert (told.reinforced.rated_impulse_v, told.reinforced.clearance_mm) == (8000.0, 8.0)
    plus = "nominal voltage from line to neutral plus 1200 V"
    assert tests[InsulationKind.BASIC, plus] == 2200.0
    assert tests[InsulationKind.REINFORCED, f"twice the {plus}"] == 4400.0


@pytest.mark.published("IEC 60664-1 table A.2: 1.14 at 3000 m, 1.29 at 4000 m, on the clearance alone")
@pytest.mark.parametrize(
    ("altitude", "clearance", "crept"), [(0.0, 3.0, 5.0), (2000.0, 3.0, 5.0), (3000.0, 3.42, 5.0), (4000.0, 3.87, 5.0)]
)
def test_thin_air_lengthens_the_clearance_alone(altitude: float, clearance: float, crept: float) -> None:
    """The creepage stays while it is longer than the corrected clearance."""
    row = distance_row(BOOK, replace(mains(), altitude_m=altitude), InsulationKind.REINFORCED)

    assert row.clearance_mm == pytest.approx(clearance)
    assert row.creepage_mm == crept


@pytest.mark.hand("category III at 5000 m: 5.5 mm × 1.48 = 8.14 mm, above the creepage of 5.0 mm")
def test_a_corrected_clearance_lifts_the_creepage() -> None:
    """The creepage must still be no less than the corrected clearance."""
    situation = replace(mains(category=OvervoltageCategory.III), altitude_m=5000.0)
    row = distance_row(BOOK, situation, InsulationKind.REINFORCED)

    assert (row.clearance_mm, row.creepage_mm) == (8.14, 8.14)


@pytest.mark.hand("(281 − 250)/70 × 0.7 + 2.5 = 2.81, doubled 5.62; the next row 3.2, doubled 6.4")
def test_a_working_voltage_that_was_found_out_is_interpolated() -> None:
    """Both readings are told, and what lies between them is undecided."""
    told = required_distances(BOOK, replace(mains(), working_voltage_v=281.0, working_peak_v=530.0))

    assert told.creepage_mm == pytest.approx(5.62)
    assert told.reinforced.creepage_up_to_mm == pytest.approx(6.4)
    others = others_of(told.others, InsulationKind.REINFORCED)
    assert others["creepage", "stepping up to the next row of the working voltage"] == pytest.approx(6.4)
    assert others["creepage", "by IEC 60950-1"] == pytest.approx(5.8), "the figure of a test report"
    assert others["clearance", "by IEC 60950-1"] == pytest.approx(4.4), "the figure of the same report"


def others_of(others: tuple[OtherValue, ...], kind: InsulationKind) -> dict[tuple[str, str], float]:
    """Other texts by kind of distance and reason."""
    return {(other.kind, other.why): other.value_mm for other in others if other.insulation is kind}


@pytest.mark.published("IEC 60664-1 F.8 with and without interpolation: 2.73 mm or 3.8 mm; reports accept 3.0 mm")
def test_disputed_temporary_overvoltage_at_230_v() -> None:
    """Between the rows it asks for less than the impulse; stepping up for more: between the two nothing is decided."""
    told = required_distances(BOOK, mains())
    others = others_of(told.others, InsulationKind.REINFORCED)

    assert [key[1] for key in others if "temporary" in key[1]] == [
        "by the temporary overvoltage, 3235.7 V peak, stepping up to the next row"
    ]
    assert others["clearance", "by the temporary overvoltage, 3235.7 V peak, stepping up to the next row"] == 3.8
    assert (told.reinforced.clearance_mm, told.reinforced.clearance_up_to_mm) == (3.0, 3.8)
    assert (told.basic.clearance_mm, told.basic.clearance_up_to_mm) == (1.5, 1.8)
    assert others["clearance", "by IEC 60950-1"] == 4.0
    assert temporary_overvoltage_peak(BOOK, 240.0, reinforced=True) == pytest.approx(3258.3, abs=0.05)


@pytest.mark.hand(
    "1866.8 V peak: 1.27 mm at 2000 V, 1.134 mm between the rows; × 1.6: 2986.8 V, 2.4 mm at 3000 V, 2.384 mm"
)
def test_at_120_v_the_temporary_overvoltage_asks_for_more_than_the_impulse() -> None:
    """The ready rows go by the impulse; a gap between the two is not decided, and the remark says so."""
    told = required_distances(BOOK, mains(120.0))

    assert (told.basic.clearance_mm, told.reinforced.clearance_mm) == (0.5, 1.5)
    assert (told.basic.clearance_up_to_mm, told.reinforced.clearance_up_to_mm) == (1.27, 2.4)
    assert any("Reinforced clearance: 1.5 mm by the reading used, 2.4 mm by another" in line for line in told.remarks)
    between = [other.value_mm for other in told.others if other.why.endswith("peak, between the rows")]
    assert between == [pytest.approx(1.134, abs=5e-4), pytest.approx(2.384, abs=5e-4)]


@pytest.mark.published("IEC 62368-1 table 14 (reinforced at 1500 V 1.0 mm) against IEC 60664-1 (next step: 1.5 mm)")
def test_disputed_low_steps() -> None:
    """120 V, category II: both stand."""
    others = others_of(required_distances(BOOK, mains(120.0)).others, InsulationKind.REINFORCED)

    assert others["clearance", "by IEC 62368-1"] == 1.0


@pytest.mark.published("IEC 60664-1 6.2 against a program that takes c/3 of every clearance below 3 mm")
def test_disputed_groove() -> None:
    """Degree 1, basic, 1.5 mm: X 0.25 mm by the text, 0.5 mm by the program."""
    told = required_distances(BOOK, mains(degree=1))

    assert told.basic.groove_x_mm == 0.25
    key = ("groove width X", "a third of every clearance below 3 mm, even where that is more")
    assert others_of(told.others, InsulationKind.BASIC)[key] == 0.5


@pytest.mark.published("IEC 60664-1 table F.5: printed wiring 1.0 mm at 250 V in degree 2; product standards drop it")
def test_printed_wiring_is_lifted_to_the_clearance_and_stays_undecided() -> None:
    """Reinforced 2.0 mm by the column, 3.0 mm by the clearance, 5.0 mm without the column."""
    told = required_distances(BOOK, replace(mains(), printed_wiring=True))
    row = told.reinforced

    assert (row.creepage_table_mm, row.creepage_mm, row.creepage_up_to_mm) == (2.0, 3.0, 5.0)
    key = ("creepage", "without the column for printed wiring, which product standards do not take over")
    assert others_of(told.others, InsulationKind.REINFORCED)[key] == 5.0
    harsh = distance_row(BOOK, replace(mains(degree=3), printed_wiring=True), InsulationKind.REINFORCED)
    assert (harsh.creepage_mm, harsh.creepage_up_to_mm) == (8.0, 8.0), "degree 3 has no such column"


@pytest.mark.published("IEC 60664-1 tables F.2 and F.8: 3000 V peak asks for 2.4 mm basic")
def test_a_high_recurring_peak_governs() -> None:
    """A peak that recurs asks for more than the surges do; reinforced insulation has 160 % of it."""
    told = required_distances(BOOK, replace(mains(), working_voltage_v=900.0, working_peak_v=3000.0))

    assert told.basic.clearance_mm == pytest.approx(2.4)
    assert told.basic.governed_by == "peak of the working voltage"
    assert told.reinforced.clearance_mm == pytest.approx(3.8 + 0.8 * 1.9), "4800 V peak between 4000 V and 5000 V"


@pytest.mark.hand("230 V + 1200 V, doubled, times the root of two; near sea level by table 15 of IEC 62368-1")
def test_test_voltages_at_230_v() -> None:
    """By impulse at 2000 m and near sea level, by alternating and direct voltage, by two other standards."""
    told = required_distances(BOOK, mains())
    found = [(test.insulation.value, test.form.split(",")[0], test.value_v) for test in told.test_voltages]

    assert found == [
        ("basic", "impulse 1.2/50 µs", 2500.0),
        ("basic", "impulse 1.2/50 µs", 2920.0),
        ("basic", "a.c. r.m.s.", 1430.0),
        ("basic", "d.c.", 2022.3),
        ("basic", "d.c.", 2500.0),
        ("basic", "a.c. r.m.s.", 1250.0),
        ("reinforced", "impulse 1.2/50 µs", 4000.0),
        ("reinforced", "impulse 1.2/50 µs", 4920.0),
        ("reinforced", "a.c. r.m.s.", 2860.0),
        ("reinforced", "d.c.", 4044.7),
        ("reinforced", "d.c.", 4000.0),
        ("reinforced", "a.c. r.m.s.", 3000.0),
    ]
    assert any("withstands 2210 V r.m.s." in line and "2860 V may flash over" in line for line in told.remarks)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"nominal_voltage_v": 0.0}, "nominal voltage is 0 V; it must be above 0 V"),
        ({"nominal_voltage_v": float("nan")}, "nominal voltage is nan V"),
        ({"nominal_voltage_v": 1100.0}, "rated impulse voltage: no row for 1100 V"),
        ({"pollution_degree": 4}, "pollution degree 4"),
        ({"altitude_m": 30000.0}, "altitude factor: no row for 30000 m"),
        ({"working_voltage_v": -5.0}, "working voltage is -5 V"),
        ({"working_voltage_v": 1200.0}, "creepage: no row for 1200 V"),
        ({"working_voltage_v": 325.0, "working_peak_v": 230.0}, "are the two exchanged"),
    ],
)
def test_what_cannot_be_is_refused(changed: dict[str, float], message: str) -> None:
    """The message says what was given, what is allowed, and what to do."""
    situation = replace(mains(), **changed)  # type: ignore[arg-type]  # an int among the floats
    with pytest.raises(OutsideRange, match=message):
        required_distances(BOOK, situation)


def test_the_highest_impulse_has_no_next_step() -> None:
    """1000 V in category IV: 160 % of 12 kV is beyond the table, and that is said."""
    with pytest.raises(OutsideRange, match="clearance: no row for 19200 V; the table ends at 12000 V"):
        distance_row(BOOK, mains(1000.0, OvervoltageCategory.IV), InsulationKind.REINFORCED)


def test_an_unknown_material_is_taken_as_the_worst() -> None:
    """Group IIIb, and a remark that an ordinary board is IIIa."""
    told = required_distances(BOOK, mains(group=None))

    assert told.material_group is MaterialGroup.IIIB
    assert told.remarks[0].startswith("Nothing is known of the material: group IIIb is taken.")


@pytest.mark.hand("400 V between lines: row 400 V, 4.0 mm; 231 V to the neutral: row 250 V, 2.5 mm")
def test_between_two_lines_the_voltage_is_another() -> None:
    """The row of a line to the earthed point is used, and a remark says what lies between lines."""
    situation = replace(mains(), nominal_voltage_v=400.0, system=SupplySystem.THREE_PHASE)
    told = required_distances(BOOK, situation, InsulationKind.BASIC)
    between = required_distances(BOOK, replace(situation, working_voltage_v=400.0), InsulationKind.BASIC)

    assert any("230.9 V from a line to the earthed point; between two lines" in line for line in told.remarks)
    assert (told.creepage_mm, between.creepage_mm) == (2.5, 4.0)
    assert told.clearance_mm == between.clearance_mm == 1.5


def test_functional_insulation_has_the_distances_of_basic() -> None:
    """As test reports do before the fuse; a test of the fault may stand in where no hazard follows."""
    told = required_distances(BOOK, mains(), InsulationKind.FUNCTIONAL)

    assert (told.clearance_mm, told.creepage_mm) == (1.5, 2.5)
    assert told.basic.insulation is InsulationKind.FUNCTIONAL
    assert any("a test of the fault may stand in" in line for line in told.remarks)


class TestAsALimit:
    """A required distance as one limit for a finding."""

    def test_it_holds_only_what_its_distance_rests_on(self) -> None:
        """The clearance names no creepage table; a creepage that was not raised names no impulse."""
        row = distance_row(BOOK, mains(), InsulationKind.REINFORCED)
        clearance, crept = (distance_limit(BOOK, row, kind) for kind in PathKind)

        assert (clearance.minimum, crept.minimum, clearance.unit) == (3.0, 5.0, "mm")
        assert "F.2" in clearance.place
        assert "F.5" not in clearance.place
        assert "F.5" in crept.place
        assert "F.2" not in crept.place
        assert clearance.standing is crept.standing is Standing.READ

    def test_a_raised_creepage_names_the_clearance_too(self) -> None:
        """230 V, category III, degree 2."""
        row = distance_row(BOOK, mains(category=OvervoltageCategory.III), InsulationKind.REINFORCED)
        limit = distance_limit(BOOK, row, PathKind.CREEPAGE)

        assert limit.minimum == 5.5
        assert "F.2" in limit.place
        assert "F.5" in limit.place

    def test_the_weakest_standing_counts(self) -> None:
        """What asks for the category, or for the kind, counts as well as the cells."""
        row = distance_row(BOOK, mains(), InsulationKind.REINFORCED)
        asks = BOOK.limit("insulation-kind.mains-pilot")

        assert distance_limit(BOOK, row, PathKind.CLEARANCE, because=(asks,)).standing is Standing.MEMORY

    def test_cells_of_the_user_are_asserted_by_the_user(self) -> None:
        """Only where all it rests on is of standing `standard` is the limit so."""
        mine = "my IEC 60664-1:2020"
        own = [
            OwnConstant(id="rated-impulse.ovc-II.300V", source=mine, nominal=2500.0),
            OwnConstant(id="clearance-impulse.a.pd2.2500V", source=mine, minimum=1.5),
        ]
        book = BOOK.with_own(own)
        limit = distance_limit(book, distance_row(book, mains(), InsulationKind.BASIC), PathKind.CLEARANCE)

        assert limit.standing is Standing.STANDARD
        assert limit.asserted_by == "this case"

    def test_a_stricter_reading_stands_beside(self) -> None:
        """120 V: the temporary overvoltage asks for more."""
        limit = distance_limit(BOOK, distance_row(BOOK, mains(120.0), InsulationKind.BASIC), PathKind.CLEARANCE)

        assert limit.other == "1.27 mm by another reading; used: undecided between the two"


def distances(situation: InsulationSituation, kind: InsulationKind) -> tuple[float, ...]:
    """All that must not fall when a situation gets harsher."""
    row = distance_row(BOOK, situation, kind)
    return (row.clearance_mm, row.creepage_mm, row.clearance_up_to_mm, row.creepage_up_to_mm, row.rated_impulse_v)


VOLTS = st.floats(min_value=5.0, max_value=600.0)


@st.composite
def situations(draw: st.DrawFn) -> InsulationSituation:
    """Any situation with an answer for both kinds."""
    voltage = draw(VOLTS)
    stated = draw(st.none() | st.floats(min_value=1.0, max_value=1000.0))
    return InsulationSituation(
        nominal_voltage_v=voltage,
        overvoltage_category=draw(st.sampled_from(CATEGORIES)),
        pollution_degree=draw(st.integers(min_value=1, max_value=3)),
        material_group=draw(st.sampled_from(GROUPS)),
        system=draw(st.sampled_from(SupplySystem)),
        altitude_m=draw(st.floats(min_value=0.0, max_value=20000.0)),
        working_voltage_v=stated,
        printed_wiring=draw(st.booleans()),
    )


@given(situation=situations(), data=st.data())
def test_nothing_gets_shorter_when_things_get_worse(situation: InsulationSituation, data: st.DataObject) -> None:
    """Voltage, category, pollution, material, altitude, kind: each can only lengthen what is asked for."""
    what = data.draw(st.sampled_from(["voltage", "working", "category", "degree", "group", "altitude", "kind"]))
    kinds = (InsulationKind.BASIC, InsulationKind.BASIC)
    worse = situation
    if what == "voltage":
        worse = replace(situation, nominal_voltage_v=data.draw(st.floats(situation.nominal_voltage_v, 600.0)))
    elif what == "working" and situation.working_voltage_v is not None:
        worse = replace(situation, working_voltage_v=data.draw(st.floats(situation.working_voltage_v, 1000.0)))
    elif what == "category":
        later = CATEGORIES[CATEGORIES.index(situation.overvoltage_category) :]
        worse = replace(situation, overvoltage_category=data.draw(st.sampled_from(later)))
    elif what == "degree":
        worse = replace(situation, pollution_degree=data.draw(st.integers(situation.pollution_degree, 3)))
    elif what == "group":
        assert situation.material_group is not None
        later_groups = GROUPS[GROUPS.index(situation.material_group) :]
        worse = replace(situation, material_group=data.draw(st.sampled_from(later_groups)))
    elif what == "altitude":
        worse = replace(situation, altitude_m=data.draw(st.floats(situation.altitude_m, 20000.0)))
    else:
        kinds = (InsulationKind.BASIC, InsulationKind.REINFORCED)

    before, after = distances(situation, kinds[0]), distances(worse, kinds[1])

    assert all(much >= little or much == pytest.approx(little) for little, much in zip(before, after, strict=True))


@given(situation=situations(), kind=st.sampled_from(RISING))
def test_what_holds_in_every_situation(situation: InsulationSituation, kind: InsulationKind) -> None:
    """No creepage below its clearance, no X above that of the degree or a third of a small clearance."""
    row = distance_row(BOOK, situation, kind)

    assert row.creepage_mm >= row.clearance_mm
    assert row.clearance_up_to_mm >= row.clearance_mm
    assert row.creepage_up_to_mm >= row.creepage_mm
    assert row.groove_x_mm <= {1: 0.25, 2: 1.0, 3: 1.5}[situation.pollution_degree]
    assert row.clearance_mm >= 3.0 or row.groove_x_mm <= row.clearance_mm / 3


@pytest.mark.hand("400 V over the root of three, 240 V halved")
def test_from_line_to_the_earthed_point() -> None:
    """Three phases, a mid-point, and the whole voltage where nothing is earthed."""
    assert line_to_neutral(400.0, SupplySystem.THREE_PHASE) == pytest.approx(230.94, abs=0.005)
    assert line_to_neutral(240.0, SupplySystem.SPLIT_PHASE) == 120.0
    assert line_to_neutral(400.0, SupplySystem.UNEARTHED) == 400.0


@pytest.mark.hand(
    "230 V: row 250 V, 5.0 mm reinforced; at 12 V the table gives 0.42 mm, times two, below the 3.0 mm of air"
)
@pytest.mark.parametrize("barrier", list(Barrier))
@pytest.mark.parametrize(("stated", "crept"), [(12.0, 5.0), (230.0, 5.0), (249.0, 5.0), (400.0, 8.0)])
def test_with_mains_at_one_end_a_working_voltage_lowers_nothing(barrier: Barrier, stated: float, crept: float) -> None:
    """What was stated below the mains is named and stands beside as another value; what is above it is used."""
    situation = replace(mains(), working_voltage_v=stated)
    told = required_distances(BOOK, situation, barrier=barrier)
    alone = required_distances(BOOK, mains(), barrier=barrier)
    unnamed = required_distances(BOOK, situation)

    assert told.creepage_mm == crept
    assert told.clearance_mm == alone.clearance_mm == 3.0
    named = [line for line in told.remarks if f"The stated working voltage of {stated:g} V is below that" in line]
    beside = [other for other in told.others if f"by the stated {stated:g} V" in other.why]
    assert len(named) == (stated < 250.0)
    assert [other.value_mm for other in beside if other.insulation == "reinforced"] == (
        [unnamed.creepage_mm] if stated < 250.0 else []
    )


def test_a_stated_peak_below_that_of_the_mains_lowers_nothing() -> None:
    """A sine of 230 V peaks at 325 V; one end of the insulation has it."""
    told = required_distances(
        BOOK, replace(mains(), working_voltage_v=12.0, working_peak_v=17.0), barrier=Barrier.MAINS_PILOT
    )

    assert told.situation == mains()
    assert any("The stated working peak of 17 V" in line for line in told.remarks)


@pytest.mark.hand("120 V to the mid-point: row 125 V, 1.5 mm; 240 V between lines: row 250 V, 2.5 mm; reinforced twice")
def test_split_phase_tells_both_rows_and_decides_nothing_between_them() -> None:
    """Where nobody said whether the gap lies between two lines."""
    supply = replace(mains(), nominal_voltage_v=240.0, system=SupplySystem.SPLIT_PHASE)
    told = required_distances(BOOK, supply)
    poles = required_distances(BOOK, supply, InsulationKind.BASIC, barrier=Barrier.LINE_NEUTRAL)
    to_pilot = required_distances(BOOK, supply, barrier=Barrier.MAINS_PILOT)

    assert [(row.creepage_mm, row.creepage_up_to_mm) for row in (told.basic, told.reinforced)] == [
        (1.5, 2.5),
        (3.0, 5.0),
    ]
    assert (poles.asked.creepage_mm, poles.asked.creepage_up_to_mm) == (1.5, 2.5)
    assert "Between two lines reinforced insulation asks for a creepage of 5.0 mm." in told.statements
    assert to_pilot.asked.creepage_mm == to_pilot.asked.creepage_up_to_mm == 3.0
    assert not any("between two lines" in other.why for other in to_pilot.others)
    between = place_distance(Quantity(4.0, 0.01, "mm"), told.reinforced, PathKind.CREEPAGE)
    assert between.outcome is Outcome.UNDECIDED


@pytest.mark.published(
    "IEC 60664-1: 230 V, category II, degree 2: basic 1.5 mm, where mains to pilot asks for reinforced"
)
@pytest.mark.parametrize("kind", [InsulationKind.FUNCTIONAL, InsulationKind.BASIC, InsulationKind.SUPPLEMENTARY])
def test_less_insulation_than_its_place_asks_for_is_told(kind: InsulationKind) -> None:
    """Given by hand, it answers another question than whether the pilot is far enough from the mains."""
    told = required_distances(BOOK, mains(), kind, barrier=Barrier.MAINS_PILOT)
    enough = required_distances(BOOK, mains(), InsulationKind.REINFORCED, barrier=Barrier.MAINS_EARTH)

    assert told.remarks[0].startswith(
        f"Mains-pilot asks for reinforced insulation (insulation-kind.mains-pilot); {kind}"
    )
    assert not any("given by hand" in line for line in enough.remarks)


def test_a_low_working_voltage_asks_where_the_insulation_stands() -> None:
    """It is used, for the gap may lie behind a transformer, and never without a word."""
    told = required_distances(BOOK, replace(mains(), working_voltage_v=50.0))

    assert told.creepage_mm < 5.0
    assert any("where mains is at one end it lowers nothing" in line for line in told.remarks)
