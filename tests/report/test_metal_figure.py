"""The figure of metal and area: one row for each metal, words beside, the same bytes each time."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from coldpin.copper.metal import estimate_metal
from coldpin.copper.metal_evidence import MassEvidence, MetalEvidence, ResistanceEvidence
from coldpin.quantity import Quantity
from coldpin.records.metal import MetalEstimate
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.metal import metal
from coldpin.standards import load_book

RESISTANCE = ResistanceEvidence(per_metre=Quantity(7.4, 0.025, "Ω/km"))
MASS = MassEvidence(per_metre=Quantity(22.1, 0.1, "g/m"))
UNLIKELY = MassEvidence(per_metre=Quantity(3.0, 0.01, "g/m"))


def told(*evidence: MetalEvidence, nominal: float | None = 2.5) -> MetalEstimate:
    """An estimate."""
    return estimate_metal(evidence, load_book(), nominal_mm2=nominal)


def words(figure: Figure) -> list[str]:
    """All texts of the drawing."""
    root = ElementTree.fromstring(figure.svg)
    return ["".join(one.itertext()).strip() for one in root.iter("{http://www.w3.org/2000/svg}text")]


def test_every_metal_has_its_row_in_words() -> None:
    """Name, probability and area stand as text; what lies off the axis is said at its rim."""
    shown = words(metal(told(RESISTANCE, MASS), Anchors()))

    assert {"copper", "copper, tinned", "clad aluminium", "10 % copper", "15 % copper", "aluminium"} <= set(shown)
    assert {"copper on steel", "probability", "area of metal (mm²)", "2.5"} <= set(shown)
    assert shown.count("< 0.1 %") == 4
    assert "larger →" in shown
    assert any(word.startswith("2.39") and " to 2.4" in word for word in shown)


def test_copper_and_the_others_differ_by_more_than_colour() -> None:
    """What is not copper is hatched."""
    assert "<pattern" in metal(told(RESISTANCE), Anchors()).svg
    assert "<pattern" not in metal(told(RESISTANCE, MASS), Anchors()).svg


def test_it_is_told_in_words() -> None:
    """Whoever cannot see it reads the statement and every row."""
    figure = metal(told(RESISTANCE, MASS), Anchors(), subject="the neutral conductor")

    assert figure.alt.startswith("The core is copper, plain or tinned (more than 99.9 %)")
    assert "Clad aluminium, 10 % copper: < 0.1 %, area " in figure.alt
    assert "keeps the marked size from 2.24 mm² on" in figure.alt
    assert figure.caption.startswith("What the neutral conductor may be made of, over its area.")


def test_without_a_size_there_is_no_triangle() -> None:
    """Nothing is said of a size that nobody marked."""
    figure = metal(told(RESISTANCE, MASS, nominal=None), Anchors())

    assert "Triangle" not in figure.caption
    assert "marked size" not in figure.alt


def test_what_no_metal_explains_has_no_bell() -> None:
    """Each row says that it does not fit, and no probability is drawn."""
    figure = metal(told(RESISTANCE, UNLIKELY), Anchors())

    assert words(figure).count("does not fit") == 6
    assert "none has a probability" in figure.caption
    assert figure.alt.startswith("No metal of the list explains these together")


@pytest.mark.parametrize(
    "evidence", [(), (MASS,), (ResistanceEvidence(per_metre=Quantity(1e-3, 1e-4, "Ω/km")),), (RESISTANCE, UNLIKELY)]
)
def test_odd_evidence_costs_no_report(evidence: tuple[MetalEvidence, ...]) -> None:
    """Nothing known, one number, a slip of a thousand: there is a figure, with marks on its axis."""
    figure = metal(told(*evidence), Anchors())

    assert "NaN" not in figure.svg
    assert "nan" not in figure.alt
    assert figure.svg == metal(told(*evidence), Anchors()).svg
