"""The matrix of scenarios as a drawing by itself: nothing of its list is cut off at the edge."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.records.scenario import RiskLevel
from coldpin.report.anchors import Anchors
from coldpin.report.figures.drawing import WIDTH_MM, Ink, letter
from coldpin.report.figures.risk_matrix import FILLS, INKS, LONGEST, matrix_alone, matrix_told, numbers_at, risk_matrix
from coldpin.report.html import figure_alone
from tests.report.test_injuries_chapter import assessed

SIZE = re.compile(r"([0-9.]+)px")
PLACE = re.compile(r"translate\(([0-9.]+) ")


@pytest.mark.independent("the widths of the letters, from the font itself")
def test_the_whole_list_stands_within_the_drawing() -> None:
    """Every scenario there is, in the font that the drawing asks for."""
    made = assessed()
    assert made.risk is not None
    scenarios = tuple(replace(made.scenarios[0], id=plan.id, title=plan.title) for plan in SCENARIOS)
    drawn = ElementTree.fromstring(risk_matrix(made.risk, scenarios, Anchors()).svg)  # we drew it
    edge = float(drawn.attrib["viewBox"].split()[2])
    wanted = {letter(plan.title, longest=LONGEST) for plan in SCENARIOS}
    ends = {}
    for text in drawn.iter("{http://www.w3.org/2000/svg}text"):
        if text.text in wanted:
            size = SIZE.search(text.attrib["style"])
            begins = float(text.attrib["x"]) if "x" in text.attrib else float(_found(PLACE, text.attrib["transform"]))
            assert size is not None
            shape = TextPath((0.0, 0.0), text.text, size=float(size[1]), prop=FontProperties(family="DejaVu Sans"))
            ends[text.text] = begins + shape.get_extents().x1
    assert ends.keys() == wanted
    assert max(ends.values()) < edge * (1.0 - 1.0 / WIDTH_MM), "a millimetre is left"


def test_the_matrix_by_itself_has_every_number_and_no_name() -> None:
    """Names are set as text by what shows it; its words are those of the one with names."""
    made = assessed()
    assert made.risk is not None
    figure = matrix_alone(made.risk, made.scenarios, Anchors())
    drawn = [
        one.text for one in ElementTree.fromstring(figure.svg).iter("{http://www.w3.org/2000/svg}text")
    ]  # we drew it
    assert {str(place) for place in range(1, len(made.scenarios) + 1)} <= set(drawn)
    assert not {letter(one.title, longest=LONGEST) for one in made.scenarios} & set(drawn)
    assert (figure.width_mm < WIDTH_MM, figure.alt) == (True, matrix_told(made.scenarios))


def test_levels_have_the_inks_of_open_and_bad_and_none_that_of_good() -> None:
    """As in the words beside the matrix; each fill has its own shade in the dark, and on paper."""
    assert (INKS[RiskLevel.MEDIUM], INKS[RiskLevel.HIGH], INKS[RiskLevel.SERIOUS]) == (
        Ink.OCHRE,
        Ink.COPPER,
        Ink.COPPER,
    )
    assert {FILLS[level] for level in RiskLevel} == {"none", Ink.SAND, Ink.EMBER}
    made = assessed()
    assert made.risk is not None
    figure = matrix_alone(made.risk, made.scenarios, Anchors())
    assert not {Ink.COLD, Ink.DEEP, Ink.MIST} & set(re.findall(r"#[0-9a-f]{6}", figure.svg))
    assert "H high" in risk_matrix(made.risk, made.scenarios, Anchors()).caption


def test_an_open_mark_is_filled_with_the_ground_of_its_page() -> None:
    """In the dark as in the light: white there would be a full mark."""
    made = assessed()
    assert made.risk is not None
    assert any(one.mildest != one.worst for one in made.scenarios)
    shown = figure_alone(matrix_alone(made.risk, made.scenarios, Anchors()))
    drawn = shown.partition("</style>")[2]
    assert "fill: var(--paper)" in drawn
    assert not re.search(r"#fff\b|#ffffff|white", drawn)


def test_numbers_of_neighbours_do_not_stand_in_one_line() -> None:
    """A row of equal bars, and one that falls by little."""
    for bars in ([-3.0] * 6, [-3.0, -3.05, -2.9, -2.75, -6.0, -6.1]):
        found = numbers_at(bars)
        assert all(abs(right - left) > 0.25 for left, right in pairwise(found)), found
        assert all(0.0 < above - bar < 0.7 for above, bar in zip(found, bars, strict=True)), found


def _found(pattern: re.Pattern[str], text: str) -> str:
    match = pattern.search(text)
    assert match is not None
    return match[1]
