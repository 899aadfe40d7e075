"""What a page tells of a cable is what its findings tell: one reckoning, the same digits."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from coldpin.quantity import Quantity, format_figure
from coldpin.records.assessment import Assessment
from coldpin.records.finding import Finding
from coldpin.workbench.brackwater import STORY
from coldpin.workbench.demo import DemoResult
from coldpin.workbench.lead_at import lead_at


@pytest.fixture(params=range(len(STORY)), ids=[story.folder for story in STORY])
def made(request: pytest.FixtureRequest, demo: DemoResult) -> Assessment:
    """Each lead of the yard, read back from the record it wrote: what the twins of its pages are made of."""
    which: int = request.param
    return demo.written[which].assessment


def quantities(made: Assessment, check: str) -> Iterator[tuple[Finding, Quantity]]:
    """The findings of a check that found a quantity."""
    for finding in made.findings:
        if finding.check == check and finding.quantity is not None:
            yield finding, finding.quantity


def alike(one: Quantity, other: Quantity) -> bool:
    """Whether both print alike and are one number."""
    return format_figure(one) == format_figure(other) and one.value == other.value


def test_faults_on_the_page_are_those_of_their_findings(made: Assessment) -> None:
    """Loop, what each conductor bears, and its area, in the same words."""
    told = lead_at(made).faults
    said = {statement for one in told for statement in one.statements}
    borne = {each.conductor: each.withstand_a2s for one in told for each in one.conductors}

    found = [finding for finding, _ in quantities(made, "fault-loop")]
    assert all(finding.statement in said for finding in found)
    for finding, quantity in quantities(made, "fault-withstand"):
        assert alike(quantity, borne[finding.id.removeprefix("fault-withstand.")])
        assert finding.statement in said
        found.append(finding)
    assert found or not told


def test_the_drop_on_the_page_is_that_of_its_finding(made: Assessment) -> None:
    """At the rated current, as warm as in the table: the record that the page asks holds that very drop."""
    ends = made.cable.end_to_end
    assert ends is not None
    assert ends.drop is not None
    for finding, quantity in quantities(made, "voltage-drop"):
        if finding.id == "voltage-drop.lead":
            assert alike(quantity, ends.drop.lead_percent)
            assert finding.statement == ends.drop.statements[0]


def test_the_sizes_of_a_conductor_are_one_number(made: Assessment) -> None:
    """Of its reading, of the fault that it bears, and of the copper that conducts as well."""
    ends = made.cable.end_to_end
    assert ends is not None
    areas = {one.entry: one.reading.equivalent_area_mm2 for one in made.cable.conductors}
    for core in (ends.line, ends.earth):
        if core is not None:
            assert alike(core.core.area, areas[core.entry])
    for told in made.cable.cores:
        size = told.estimate.copper_equivalent_mm2
        read = [areas[entry] for entry in told.entries if entry in areas]
        if size is not None and len(read) == 1:
            assert alike(size, read[0])
    per_km = {one.entry: one.reading.resistance_20c_ohm_per_km for one in made.cable.conductors}
    for finding, quantity in quantities(made, "conductor-resistance"):
        assert alike(quantity, per_km[finding.evidence[0]])


def test_the_heat_of_a_part_is_one_number(made: Assessment) -> None:
    """Of the run on the page and of its finding."""
    told = [
        rise
        for one in made.cable.heating
        for rise in (one.rise.end_rise_k, one.rise.end_temperature_c, one.rise.at_rated_c)
        if rise is not None
    ]
    for finding, quantity in quantities(made, "heating"):
        near = [rise for rise in told if rise.unit == quantity.unit and abs(rise.value - quantity.value) < NEAR]
        assert all(format_figure(rise) == format_figure(quantity) for rise in near), finding.id


NEAR = 0.05
"""Figures so near to each other are meant to be one. [K]"""
