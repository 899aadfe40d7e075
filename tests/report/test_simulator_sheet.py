"""The sheet of the vehicle simulator: one page, cautions first, nothing lost on the way to paper."""

from __future__ import annotations

from pathlib import Path

import pytest

from coldpin.report.document import Callout, CalloutKind, Heading, Table, lines_of, text_of
from coldpin.report.lettering import for_print
from coldpin.report.pdf import render_pdf, set_in_type
from coldpin.report.simulator_sheet import build_sheet
from coldpin.standards import Edition
from coldpin.workbench import plan_vehicle_simulator, write_simulator_sheet
from tests.pdf_reading import page_texts


@pytest.mark.parametrize(("series", "edition"), [("E24", Edition.IEC_3), ("E24", Edition.SAE), ("E96", Edition.IEC_2)])
def test_the_sheet_is_one_page(series: str, edition: Edition) -> None:
    """Whatever is asked for, it can be pinned up; the typesetter has nothing to remark."""
    pdf, remarks = set_in_type(build_sheet(plan_vehicle_simulator(edition=edition, series=series)))

    assert len(page_texts(pdf)) == 1
    assert remarks == ()


def test_cautions_stand_before_everything_else() -> None:
    """After the title come the cautions, then what never to leave bare, then the first number."""
    plan = plan_vehicle_simulator()
    blocks = build_sheet(plan).blocks
    kinds = [type(block) for block in blocks]
    caution = blocks[1]

    assert isinstance(blocks[0], Heading)
    assert isinstance(caution, Callout)
    assert caution.kind is CalloutKind.CAUTION
    assert [text_of(line) for line in caution.items] == list(plan.cautions)
    assert kinds.index(Table) > 2
    assert "Mains voltage kills." in text_of(caution.items[0])


def test_every_position_and_part_is_on_paper() -> None:
    """What the record holds can be read off the page, minus signs and ohms included."""
    plan = plan_vehicle_simulator(series="E96")
    sheet = build_sheet(plan)
    (text,) = page_texts(render_pdf(sheet))
    flat = " ".join(text.split())

    for position in plan.positions:
        assert position.name in flat
    for network in plan.networks:
        assert network.name in flat
    for said in ("8.98 ± 0.05", "−8.79 ± 0.02", "4020 + 590", "2713 to 2767", "coldpin certifies nothing"):
        assert said in flat
    written = " ".join(text_of(line) for block in sheet.blocks for line in lines_of(block))
    assert for_print(written) == written


def test_the_sheet_is_written_in_place_of_an_earlier_one(tmp_path: Path) -> None:
    """The same plan gives the same bytes."""
    target = tmp_path / "sheet.pdf"
    plan = plan_vehicle_simulator()
    first = write_simulator_sheet(plan, target).read_bytes()

    assert write_simulator_sheet(plan, target).read_bytes() == first
    assert [path.name for path in tmp_path.iterdir()] == ["sheet.pdf"]
