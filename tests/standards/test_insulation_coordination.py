"""Insulation coordination: every cell of every table, as literal rows with their source."""

from __future__ import annotations

import pytest

from coldpin.errors import InputError, OutsideRange
from coldpin.records.case import OwnConstant
from coldpin.records.finding import Standing
from coldpin.records.required_distances import InsulationKind, MaterialGroup, OvervoltageCategory
from coldpin.standards.book import load_book
from coldpin.standards.creepage import creepage, groove_width, groove_x, material_group, rationalised_voltage
from coldpin.standards.insulation_coordination import (
    POLLUTION_DEGREES,
    altitude_factor,
    clearance_by_impulse,
    clearance_by_peak,
    clearance_withstand,
    next_impulse,
    rated_impulse,
    sea_level_impulse,
)
from coldpin.standards.insulation_products import (
    distances_by_60335,
    distances_by_60950,
    distances_by_62368,
    interpolated_creepage,
    known_to_60950,
    rounded_up,
)
from coldpin.standards.strength_products import strength_by_60335, strength_by_62368
from coldpin.standards.table import read_table
from tests.standards.insulation_rows import BY_PREFIX, ONE, PRINTED, TWO

BOOK = load_book()
CELLS = {name: cell for printed in PRINTED for name, cell in printed.cells()}
SUPPLY = BY_PREFIX["rated-impulse"]
CLEARANCE = BY_PREFIX["clearance-impulse"]
CREEPAGE = BY_PREFIX["creepage"]
SERIES = tuple(BY_PREFIX["impulse-series"].column("-"))


@pytest.mark.published("each table names its own source in insulation_rows.py")
def test_every_cell_is_as_it_was_read() -> None:
    """Each number stands in the table as it was read, with its source, and no grid holds a cell more."""
    held = {name: _number(name) for name in CELLS}

    assert held == pytest.approx(CELLS, abs=1e-9)
    grids = [grid for table in BOOK.tables for grid in table.grids if table.name == "insulation_coordination.toml"]
    in_grids = {cell for grid in grids for line in grid.cells for cell in line}
    in_groups = {name for name in CELLS if name.startswith(("impulse-series.", "rated-impulse-dc."))}
    assert in_grids == set(CELLS) - in_groups


def _number(name: str) -> float | None:
    limit = BOOK.limit(name)
    return limit.nominal if limit.nominal is not None else limit.minimum


@pytest.mark.published(TWO)
@pytest.mark.parametrize("category", OvervoltageCategory)
def test_the_rated_impulse_steps_up(category: OvervoltageCategory) -> None:
    """Between two rows the next one above serves; above the table there is no answer."""
    column = SUPPLY.column(f"ovc-{category}")
    for below, (row, cell) in zip((0.0, *column), column.items(), strict=False):
        assert rated_impulse(BOOK, row, category).nominal == cell
        assert rated_impulse(BOOK, 0.5 * (below + row), category).nominal == cell
    with pytest.raises(OutsideRange, match=r"rated impulse voltage: no row for 1001 V; the table ends at 1000 V"):
        rated_impulse(BOOK, 1001.0, category)


@pytest.mark.published(TWO)
@pytest.mark.parametrize("degree", POLLUTION_DEGREES)
def test_the_clearance_is_entered_by_impulse(degree: int) -> None:
    """Each row, and the next above between two; never less than the floor of the degree."""
    for volts, cell in CLEARANCE.column(f"a.pd{degree}").items():
        assert clearance_by_impulse(BOOK, volts, degree).minimum == cell
        assert clearance_by_impulse(BOOK, volts - 1.0, degree).minimum == cell
    assert clearance_by_impulse(BOOK, 0.0, degree).minimum == {1: 0.01, 2: 0.2, 3: 0.8}[degree]


@pytest.mark.published(TWO)
@pytest.mark.parametrize("degree", POLLUTION_DEGREES)
@pytest.mark.parametrize("group", MaterialGroup)
@pytest.mark.parametrize("printed", [False, True])
def test_the_creepage_takes_the_right_column(degree: int, group: MaterialGroup, printed: bool) -> None:
    """Degree, group and printed wiring lead to one column; to the common one where printed wiring has none."""
    common = "pd1" if degree == 1 else f"pd{degree}.{group.value}"
    column = common
    if printed and (degree == 1 or (degree == 2 and group is not MaterialGroup.IIIB)):
        column = f"printed-pd{degree}"
    for volts, cell in CREEPAGE.column(column).items():
        found = creepage(BOOK, volts, degree=degree, group=group, printed_wiring=printed)
        assert (found.value, found.stepped) == (cell, cell)
        assert [limit.id for limit in found.rows] == [f"creepage.{column}.{volts:g}V"]


@pytest.mark.hand("(281 − 250)/(320 − 250) × (3.2 − 2.5) + 2.5 = 2.81")
def test_between_two_rows_both_are_named() -> None:
    """The straight line between the rows, the row above, and the ids of both."""
    found = creepage(BOOK, 281.0, degree=2, group=MaterialGroup.IIIA)

    assert found.value == pytest.approx(2.81, abs=1e-12)
    assert found.stepped == 3.2
    assert [limit.id for limit in found.rows] == ["creepage.pd2.IIIa.250V", "creepage.pd2.IIIa.320V"]


@pytest.mark.published(ONE)
def test_the_rationalised_voltage_is_the_next_row_throughout() -> None:
    """The rule used gives every row of the printed list, and what is told from memory unless it lowers the voltage."""
    listed = BY_PREFIX["rationalised-voltage"].column("-")
    assert {volts: rationalised_voltage(BOOK, volts) for volts in listed} == listed
    remembered = {230: 250, 240: 250, 380: 400, 400: 400, 440: 500, 480: 500, 500: 500}
    assert {volts: rationalised_voltage(BOOK, volts) for volts in remembered} == remembered
    for volts, lowered in {415: 400.0, 660: 630.0, 690: 630.0}.items():
        assert BOOK.limit(f"rationalised-voltage.{volts}V").nominal == lowered
        assert rationalised_voltage(BOOK, volts) > volts
    with pytest.raises(OutsideRange, match="the table ends at 1000 V"):
        rationalised_voltage(BOOK, 1100.0)


@pytest.mark.published(TWO)
def test_thin_air() -> None:
    """No factor up to 2000 m, 1.14 at 3000 m, 1.29 at 4000 m, straight lines between, nothing above 20 km."""
    factors = {-400.0: 1.0, 0.0: 1.0, **BY_PREFIX["altitude-factor"].column("-")}
    assert {metres: altitude_factor(BOOK, metres).value for metres in factors} == factors
    between = altitude_factor(BOOK, 2500.0)
    assert between.value == pytest.approx(1.07)
    assert between.stepped == 1.14
    with pytest.raises(OutsideRange, match="20000 m"):
        altitude_factor(BOOK, 21000.0)


@pytest.mark.published("IEC 60664-1 6.2 and 6.8, IEC 61010-1 table C.1; the reduced widths by hand: c/3, never above X")
@pytest.mark.parametrize(
    ("degree", "clearance", "x"),
    [(1, 2.4, 0.25), (2, 2.4, 0.8), (3, 2.4, 0.8), (2, 0.6, 0.2), (2, 3.0, 1.0), (3, 5.5, 1.5), (4, 5.5, 2.5)],
)
def test_the_groove_width(degree: int, clearance: float, x: float) -> None:
    """A third of a clearance below 3 mm where that is less, never more than the width of the degree."""
    assert groove_x(BOOK, degree, clearance) == pytest.approx(x, abs=1e-12)
    assert groove_width(BOOK, degree).nominal == {1: 0.25, 2: 1.0, 3: 1.5, 4: 2.5}[degree]


@pytest.mark.published("IEC 60664-1, material groups; standing: read")
def test_material_groups_by_tracking_index() -> None:
    """600 and more I, 400 II, 175 IIIa, 100 IIIb; below that none."""
    edges = {600: "I", 599: "II", 400: "II", 399: "IIIa", 175: "IIIa", 174: "IIIb", 100: "IIIb"}
    assert {index: material_group(BOOK, index).value for index in edges} == edges
    with pytest.raises(OutsideRange, match="tracking index 99: the groups end at 100"):
        material_group(BOOK, 99.0)
    assert BOOK.row("material-default.board").word("group") == "IIIa"
    assert BOOK.row("material-default.unknown").word("group") == "IIIb"


@pytest.mark.published("IEC 60664-1 5.2.5 as two secondary texts restate it")
def test_reinforced_takes_the_next_step_of_the_series() -> None:
    """2500 V becomes 4000 V, 4000 V becomes 6000 V; the last step and values between have none."""
    steps = {volts: next_impulse(BOOK, volts) for volts in (*SERIES, 2000.0, 10000.0)}
    told = {volts: None if step is None else step.nominal for volts, step in steps.items()}

    assert told == {**dict(zip(SERIES, (*SERIES[1:], None), strict=True)), 2000.0: None, 10000.0: None}
    for volts, higher, clearance in ((2500, 4000, 3.0), (4000, 6000, 5.5), (1500, 2500, 1.5), (6000, 8000, 8.0)):
        assert told[volts] == higher
        assert clearance_by_impulse(BOOK, higher, 2).minimum == clearance
    assert [BOOK.limit(f"reinforced.{name}").nominal for name in ("impulse", "peak", "creepage")] == [1.6, 1.6, 2.0]


@pytest.mark.published(TWO)
def test_disputed_temporary_overvoltage() -> None:
    """3236 V peak: 2.73 mm between the rows, 3.8 mm by the row above; both are to be had."""
    found = clearance_by_peak(BOOK, 3235.7)

    assert found.value == pytest.approx(2.73, abs=0.005)
    assert found.stepped == 3.8


@pytest.mark.published("IEC 60664-1:2020 table A.1 as one public copy gives it")
def test_what_a_gap_withstands() -> None:
    """Each row; nothing is said outside the part that was read."""
    for gap, volts in BY_PREFIX["clearance-withstand"].column("a").items():
        held = clearance_withstand(BOOK, gap)
        assert held is not None
        assert held.value == volts
    assert clearance_withstand(BOOK, 0.4) is None
    assert clearance_withstand(BOOK, 11.0) is None


def test_there_is_no_table_for_degree_four() -> None:
    """The message says what to do."""
    with pytest.raises(OutsideRange, match=r"pollution degree 4: .* tabulated for 1, 2 and 3; .* needs a housing"):
        clearance_by_impulse(BOOK, 2500.0, 4)


@pytest.mark.published("data sheets and catalogues named beside the rows; what is from memory says so")
def test_test_voltages_and_systems_have_their_standing() -> None:
    """1200 V was read, 250 V is from memory; so are the systems, and what the product standard asks for."""
    assert (BOOK.limit("temporary-overvoltage.short").nominal, BOOK.limit("temporary-overvoltage.long").nominal) == (
        1200.0,
        250.0,
    )
    assert BOOK.limit("temporary-overvoltage.short").standing is Standing.READ
    for name in ("temporary-overvoltage.long", "supply-system.three-phase", "charging.category.fixed"):
        assert BOOK.limit(name).standing is Standing.MEMORY
    assert BOOK.limit("insulation-kind.mains-pilot").standing is Standing.MEMORY
    assert BOOK.limit("insulation-kind.line-neutral").standing is Standing.READ
    assert [sea_level_impulse(BOOK, volts) for volts in (1000.0,)] == [None]
    denser = BY_PREFIX["sea-level-impulse"].column("-")
    assert {volts: getattr(sea_level_impulse(BOOK, volts), "nominal", None) for volts in SERIES} == denser


@pytest.mark.published("test report to IEC 62368-1, CQASZ20210400194S, p. 43: 240 V, 420 V peak, II, degree 2")
def test_a_report_to_iec_62368() -> None:
    """Reinforced 3.0 mm and 5.0 mm, basic 1.5 mm; the report's basic creepage is 3.0 mm, the table gives 2.5 mm."""
    reinforced, basic = (
        distances_by_62368(
            BOOK, impulse=2500.0, peak=420.0, voltage=250.0, insulation=kind, degree=2, group=MaterialGroup.IIIA
        )
        for kind in (InsulationKind.REINFORCED, InsulationKind.BASIC)
    )

    assert (reinforced.clearance_mm, reinforced.creepage_mm) == (3.0, 5.0)
    assert (basic.clearance_mm, basic.creepage_mm) == (1.5, 2.5)


@pytest.mark.published("test reports to IEC 60950-1, 50261218 001 and 50250100 001, p. 42: reinforced, degree 2")
@pytest.mark.parametrize(
    ("voltage", "peak", "clearance", "crept"),
    [(250.0, 420.0, 4.0, 5.0), (281.0, 530.0, 4.4, 5.8), (250.0, 428.0, 4.2, 5.0)],
)
def test_reports_to_iec_60950(voltage: float, peak: float, clearance: float, crept: float) -> None:
    """The addition for the peak, and the creepage between two rows, rounded up before it is doubled."""
    told = distances_by_60950(
        BOOK, peak=peak, voltage=voltage, insulation=InsulationKind.REINFORCED, group=MaterialGroup.IIIA
    )

    assert told.clearance_mm == pytest.approx(clearance)
    assert told.creepage_mm == pytest.approx(crept)


@pytest.mark.published("test reports to IEC 60950-1: line to neutral before the fuse, 1.5 mm and 2.5 mm")
def test_line_to_neutral_before_the_fuse() -> None:
    """The reports' functional distances are those of basic insulation by IEC 60664-1."""
    assert clearance_by_impulse(BOOK, 2500.0, 2).minimum == 1.5
    assert creepage(BOOK, 250.0, degree=2, group=MaterialGroup.IIIA).value == 2.5
    assert BOOK.row("insulation-kind.line-neutral").word("insulation") == "basic"


def test_what_is_known_of_iec_60950() -> None:
    """Above 150 V up to 300 V, category II, degree 2, and no further."""
    two = OvervoltageCategory.II
    asked = [(230.0, two, 2), (120.0, two, 2), (400.0, two, 2), (230.0, OvervoltageCategory.III, 2), (230.0, two, 3)]

    told = [known_to_60950(BOOK, nominal=volts, category=category, degree=degree) for volts, category, degree in asked]

    assert told == [True, False, False, False, False]


@pytest.mark.published(
    "IEC 60950:1999, the 5.0 mm and 6.4 mm (memory); later rows interpolate: 275 V 5.5 mm, 300 V 6.0 mm"
)
def test_the_often_quoted_creepages() -> None:
    """The old rows are kept; between the newer rows 275 V and 300 V need 5.5 mm and 6.0 mm."""
    assert BOOK.limit("iec-60950.creepage-1999.reinforced.300V").minimum == 6.4
    found = [2.0 * creepage(BOOK, volts, degree=2, group=MaterialGroup.IIIA).value for volts in (275.0, 300.0)]
    assert found == pytest.approx([5.5, 6.0])
    rounded, _ = interpolated_creepage(
        BOOK, 275.0, insulation=InsulationKind.REINFORCED, degree=2, group=MaterialGroup.IIIA
    )
    assert rounded == pytest.approx(5.6), "2.75 mm is rounded up to 2.8 mm before it is doubled"


@pytest.mark.hand("steps of 0.1 mm; a whole number of steps stays, whatever its last bit")
def test_rounding_up() -> None:
    """Up to the next tenth, and no further where it is one already."""
    assert [rounded_up(value, 0.1) for value in (2.81, 2.9, 2.8 + 1e-15, 0.3, 0.05)] == [2.9, 2.9, 2.8, 0.3, 0.1]


@pytest.mark.published("IEC 60335-1 tables 7, 15, 16, 17 as one data file gives them")
def test_household_appliances() -> None:
    """The habit of 8 mm: degree 3, 250 V, reinforced; 3000 V r.m.s. prove it; nothing is known of other groups."""
    told, unknown = (
        distances_by_60335(
            BOOK, impulse=2500.0, voltage=230.0, insulation=InsulationKind.REINFORCED, degree=3, group=group
        )
        for group in (MaterialGroup.IIIA, MaterialGroup.I)
    )

    assert (told.clearance_mm, told.creepage_mm) == (3.0, 8.0)
    assert unknown.creepage_mm is None
    strength = {kind: strength_by_60335(BOOK, nominal=230.0, insulation=kind) for kind in InsulationKind}
    assert {kind.value: None if limit is None else limit.nominal for kind, limit in strength.items()} == {
        "functional": None,
        "basic": 1250.0,
        "supplementary": 1750.0,
        "reinforced": 3000.0,
    }
    assert strength_by_60335(BOOK, nominal=400.0, insulation=InsulationKind.BASIC) is None


@pytest.mark.published("test report to IEC 62368-1: reinforced 4000 V d.c. at 240 V")
def test_the_highest_strength_is_taken() -> None:
    """By transient and by nominal voltage 4000 V, by 420 V peak 800 V; what is beyond a table is left out."""
    found = strength_by_62368(BOOK, impulse=2500.0, peak=420.0, nominal=240.0, insulation=InsulationKind.REINFORCED)
    beyond = strength_by_62368(BOOK, impulse=12000.0, peak=5000.0, nominal=240.0, insulation=InsulationKind.REINFORCED)

    assert [limit.nominal for limit in found] == [4000.0, 4000.0, 800.0]
    assert [limit.nominal for limit in beyond] == [4000.0]


@pytest.mark.published("the disputed rows: each with its second value and which is used")
@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("told-elsewhere.basic.clearance", 3.0),
        ("told-elsewhere.basic.creepage", 5.0),
        ("told-elsewhere.reinforced.clearance", 6.0),
        ("told-elsewhere.reinforced.creepage", 10.0),
        ("told-elsewhere.mains-transient", 1500.0),
        ("example-number.narrow-recess", 9.0),
        ("path-rule.recess", None),
        ("path-rule.floating", None),
        ("groove-width.exception", 3.0),
        ("material-default.board", None),
    ],
)
def test_disputed_rows_keep_both(name: str, value: float | None) -> None:
    """Neither text is lost: one is the number, the other stands beside it."""
    limit = BOOK.limit(name)

    assert next((number for number in (limit.minimum, limit.nominal, limit.maximum) if number), None) == value
    assert "used:" in limit.other


def test_a_value_of_the_user_takes_the_place_of_a_cell() -> None:
    """One cell is replaced by the user's own standard, and the answer names it."""
    own = OwnConstant(id="creepage.pd2.IIIa.250V", source="my IEC 60664-1:2020, table F.5", minimum=2.6)
    found = creepage(BOOK.with_own([own]), 250.0, degree=2, group=MaterialGroup.IIIA)

    assert found.value == 2.6
    assert found.rows[0].standing is Standing.STANDARD


GRID = """
about.title = "Mine"
about.data = ["volts"]
[[grid]]
id = "mine"
title = "gap"
source = "my notes"
standing = "common practice"
unit = "mm"
across = "volts"
row_unit = "V"
gives = "minimum"
rows = [100, 200]
[[grid.columns]]
id = "first"
title = "first column"
values = [1.0, 2.0]
"""


def test_a_grid_is_read_cell_by_cell() -> None:
    """Each cell has an id, a title, its number and that of its row; the grid knows its headings."""
    table = read_table("mine.toml", GRID)
    (grid,) = table.grids

    assert [row.limit.id for row in table.rows] == ["mine.first.100V", "mine.first.200V"]
    assert table.rows[1].limit.title == "gap, first column, 200 V"
    assert (table.rows[1].limit.minimum, table.rows[1].number("volts")) == (2.0, 200.0)
    assert (grid.across, grid.rows, grid.columns) == ("volts [V]", ("100", "200"), ("first column",))
    assert grid.cells == (("mine.first.100V",), ("mine.first.200V",))


@pytest.mark.parametrize(
    ("written", "instead", "message"),
    [
        ("rows = [100, 200]", "rows = [100]", r"grid 'mine', column 'first': 2 values for 1 rows"),
        ('gives = "minimum"', 'gives = "least"', r"'gives' must be one of minimum, nominal, maximum, given 'least'"),
        ('across = "volts"', 'across = "amps"', r"'across' is 'amps', which is not listed as data under \[about\]"),
        ('across = "volts"', "", r"grid 'mine': 'across' is missing: add it"),
        ("rows = [100, 200]", "rows = [100, 100]", r"entry 'mine.first.100V': the id is there twice"),
    ],
)
def test_a_grid_that_cannot_be_read_is_told(written: str, instead: str, message: str) -> None:
    """The message names table, grid and what to do."""
    with pytest.raises(InputError, match=message):
        read_table("mine.toml", GRID.replace(written, instead))
