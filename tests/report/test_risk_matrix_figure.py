"""The matrix of scenarios as a drawing by itself: nothing of its list is cut off at the edge."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.report.anchors import Anchors
from coldpin.report.figures.drawing import WIDTH_MM, letter
from coldpin.report.figures.risk_matrix import LONGEST, matrix_alone, matrix_told, risk_matrix
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


def _found(pattern: re.Pattern[str], text: str) -> str:
    match = pattern.search(text)
    assert match is not None
    return match[1]
