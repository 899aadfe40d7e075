"""The map of current and ambient as drawn: every limit, current and test is in it, and in words beside it."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from coldpin.copper.air_film import arrange
from coldpin.copper.current_map import AccessoryRise, charted, current_map
from coldpin.copper.steady import HeatedCable
from coldpin.quantity import Quantity
from coldpin.records.current_map import CurrentChart, TestedPoint
from coldpin.records.finding import Limit, Standing
from coldpin.report.anchors import Anchors
from coldpin.report.figures.current_map import current_map as figure
from coldpin.report.figures.drawing import Ink
from coldpin.standards import load_book
from coldpin.standards.cable_heating import touch_temperature
from coldpin.standards.cable_ratings import insulation_temperature

BOOK = load_book()
PLUG = Limit(
    id="accessory.rise.test",
    title="rise of a plug",
    unit="K",
    maximum=45.0,
    source="made up for a test",
    standing=Standing.MEMORY,
)


def chart(**changed: object) -> CurrentChart:
    cable = HeatedCable(
        diameter=Quantity(0.0112, 0.0, "m"),
        inner=Quantity(0.83, 0.0, "K·m/W"),
        resistance=Quantity(0.0127, 0.0, "Ω/m"),
        coefficient=0.00393,
        cores=2,
    )
    given: dict[str, object] = {
        "offered": 20.0,
        "rated": 16.0,
        "max_ambient": 40.0,
        "tested": (TestedPoint(current=13.0, ambient=22.0, sheath=36.44),),
        "accessory": AccessoryRise(rise=28.0, current=13.0, ambient=22.0, limit=PLUG, exponent=(0.0, 0.25)),
        "words": "3G2.5, 11.2 mm across",
    }
    found = current_map(
        cable,
        arrange(BOOK, "on a surface"),
        metal_limit=insulation_temperature(BOOK, "charging"),
        touch_limit=touch_temperature(BOOK),
        **given | changed,  # type: ignore[arg-type]  # the words are those of the function
    )
    return charted(found)


@pytest.fixture(scope="module")
def svg() -> str:
    """The drawing of the thin lead."""
    return figure(chart(), Anchors()).svg


def words(drawing: str) -> str:
    """All texts of a drawing, one after the other."""
    found = ["".join(element.itertext()) for element in ElementTree.fromstring(drawing).iter() if element.text]
    return re.sub(r"\s+", " ", " ".join(found))


def test_everything_on_the_map_is_named(svg: str) -> None:
    """Each line with limit and standing, each current, the hottest air and the test stand in the drawing as text."""
    told = words(svg)

    for one in ("metal at 90 °C", "sheath at 60 °C", "plug or coupler at 45 K", "standing: memory", "offered 20 A"):
        assert one in told
    for one in ("marked 16 A", "hottest air 40 °C", "tested: 13 A in 22 °C", "sheath 36.4 °C", "ambient (°C)"):
        assert one in told
    assert "Taken for: 3G2.5, 11.2 mm across" in told


def test_currents_close_to_each_other_share_one_word() -> None:
    """15.9 A offered and 16 A marked are not printed one upon the other."""
    assert "offered 15.9 A, marked 16 A" in words(figure(chart(offered=15.9), Anchors()).svg)


def test_only_inks_are_used(svg: str) -> None:
    """A page can put its dark inks in the place of every colour of the drawing."""
    used = set(re.findall(r"#[0-9a-f]{6}", svg))

    assert used - {"#ffffff"} <= {ink.value for ink in Ink}


def test_the_same_bytes_every_time(svg: str) -> None:
    """Two drawings of one map are the same."""
    assert figure(chart(), Anchors()).svg == svg


def test_told_in_words() -> None:
    """The description says each limit with current, band and source, in the hottest air."""
    found = chart()
    sheath = found.lines[1]
    at_40 = found.ambient.index(40.0)
    alt = figure(found, Anchors()).alt

    assert f"{sheath.middle[at_40]:.1f} A at 40 °C ({sheath.low[at_40]:.1f} A to {sheath.high[at_40]:.1f} A)" in alt
    assert "Offered: 20 A. Marked: 16 A. Hottest air: 40 °C." in alt
    assert "Tested: 13 A in 22 °C, sheath 36.4 °C in the end." in alt


def test_a_map_of_little() -> None:
    """With one current alone, offered and marked alike, nothing else is told; in air too hot the air is blamed."""
    alone = figure(chart(rated=20.0, tested=(), accessory=None, words="", max_ambient=60.0), Anchors())

    assert "offered and marked 20 A" in words(alone.svg)
    assert "the air of 60 °C alone reaches it" in alone.alt
    assert "Tested" not in alone.alt
    unnamed = figure(chart(max_ambient=None), Anchors())
    assert "at 30 °C" in unnamed.alt


def test_a_line_beyond_the_map_is_told() -> None:
    """A plug whose rise stays small has its line beyond the map."""
    cool = AccessoryRise(rise=2.0, current=13.0, ambient=22.0, limit=PLUG, exponent=(0.0, 0.25))
    found = chart(accessory=cool)

    assert "plug or coupler at 45 K above the air (rise of a plug; made up for a test, standing: memory): beyond" in (
        figure(found, Anchors()).alt
    )
    assert figure(replace(found, arrangement=""), Anchors()).caption.startswith("How warm the lead becomes in the end:")
