"""What a figure is drawn with: scales, marks, signs, words, and the file that they become."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.markers import MarkerStyle
from matplotlib.ticker import AutoLocator, MaxNLocator

from coldpin.report.figures.canvas import Canvas
from coldpin.report.figures.scale import EASY_STEPS, Scale, labels, marks
from coldpin.report.figures.shapes import Marker, hatching, marker_path
from coldpin.report.figures.strokes import Frame

_SVG = "{http://www.w3.org/2000/svg}"
STEPS = ((1.0, 1.5, 3.0, 6.0, 10.0), (1.0, 2.0, 5.0, 10.0), EASY_STEPS)


def drawn(canvas: Canvas) -> ElementTree.Element:
    return ElementTree.fromstring(canvas.svg())


@pytest.mark.independent("matplotlib's locator of ticks")
@given(
    place=st.integers(-1000, 1000),
    length=st.integers(1, 1000),
    most=st.integers(2, 9),
    steps=st.sampled_from(STEPS),
)
def test_where_a_scale_is_marked(place: int, length: int, most: int, steps: tuple[float, ...]) -> None:
    """Marks stand where the library puts them; the ends are such that none falls on the very rim."""
    span = length * 0.1234567
    low = place / 500 * span * math.sqrt(0.5)
    theirs = MaxNLocator(most, steps=list(steps)).tick_values(low, low + span)
    seen = [float(one) for one in theirs if low <= one <= low + span]

    assert marks(Scale(low, low + span), most, steps) == pytest.approx(seen, abs=1e-9 * span)


@pytest.mark.independent("matplotlib's locator of ticks")
def test_marks_where_none_are_asked_for() -> None:
    """The steps are those of the library."""
    theirs = AutoLocator()
    theirs.set_params(nbins=9)

    assert marks(Scale(0.0, 72.0), 9) == [one for one in theirs.tick_values(0.0, 72.0) if 0.0 <= one <= 72.0]
    assert marks(Scale(5.0, 5.0), 9) == []
    assert marks(Scale(0.0, math.inf), 9) == []


@pytest.mark.hand("one digit tells halves apart")
def test_marks_in_figures() -> None:
    """All have the same digits; nothing is minus zero."""
    assert labels([-0.5, -0.0, 0.5]) == ["−0.5", "0.0", "0.5"]
    assert labels([10.0, 20.0]) == ["10", "20"]
    assert labels([]) == []


@pytest.mark.independent("matplotlib's markers")
@pytest.mark.parametrize("marker", ["s", "D", "^", "v", "<", ">", "X", "P", "h", "|", "_", "x", (3, 0, -30)])
def test_the_corners_of_a_sign(marker: Marker) -> None:
    """They are those of the library's sign of that name."""
    style = MarkerStyle(marker)
    path = style.get_path().transformed(style.get_transform())
    theirs = {(6.0 * x, -6.0 * y) for x, y in np.asarray(path.vertices).tolist()}
    said = marker_path(marker, 6.0)[0]
    ours = {(float(x), float(y)) for x, y in re.findall(r"[ML] (\S+) (\S+)", said)}

    def beside(one: tuple[float, float], others: set[tuple[float, float]]) -> bool:
        return any(math.dist(one, other) < 0.02 for other in others)

    assert all(beside(one, ours) for one in theirs)
    assert all(beside(one, theirs) for one in ours)


@pytest.mark.parametrize("hatch", ["////", "xxxx", "||||||"])
def test_a_hatching_meets_itself(hatch: str) -> None:
    """Each line that leaves the square at one side enters it at the opposite one."""
    side, lines = hatching(hatch)
    numbers = [tuple(map(float, one)) for one in re.findall(r"M (\S+) (\S+) L (\S+) (\S+)", lines)]
    falling = {round((x + y) / side, 6) for x, y, u, v in numbers if (u - x) * (v - y) < 0.0}

    assert falling in (set(), {0.0, 1.0, 2.0})
    assert len(numbers) in (1, 3, 6)


def test_a_line_is_broken_where_there_is_no_number() -> None:
    """What is no number, or without end, is left out; a single place is no line."""
    canvas = Canvas(100.0, 100.0)
    panel = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    panel.x_marks.shown = panel.y_marks.shown = False
    panel.plot([0.0, 0.5, math.nan, 0.5, 1.0], [0.0, 0.5, 0.5, 0.5, math.inf], color="#1a5875")
    panel.plot([0.5], [0.5], color="#1a5875")
    (path,) = drawn(canvas).iter(f"{_SVG}path")

    assert path.attrib["d"] == "M 0.00 100.00 L 50.00 50.00"


def test_an_area_has_gaps_where_there_is_no_number() -> None:
    """A stepped one is constant around each place."""
    canvas = Canvas(100.0, 100.0)
    panel = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    panel.x_marks.shown = panel.y_marks.shown = False
    panel.fill_between([0.0, 0.2, 0.4, 0.6, 1.0], 0.0, [0.5, 1.0, math.nan, 0.5, 0.5], color="#1a5875", stepped=True)
    (path,) = drawn(canvas).iter(f"{_SVG}path")
    first, second = path.attrib["d"].split(" Z")[:2]

    assert "L 10.00 50.00 L 10.00 0.00 L 20.00 0.00" in " ".join(reversed(re.findall(r"L \S+ \S+", first))) or (
        "L 20.00 0.00 L 10.00 0.00 L 10.00 50.00" in first
    )
    assert second.strip().startswith("M 60.00")


@pytest.mark.hand("a tenth of four decades is 0.4 of a decade")
def test_a_logarithmic_scale() -> None:
    """What it cannot hold lies far below it."""
    scale = Scale(1.0, 1e4, logarithmic=True)

    assert scale.along([1.0, 10.0**0.4, 1e4]) == pytest.approx([0.0, 0.1, 1.0])
    assert scale.along(-1.0) < -10.0
    assert np.isnan(scale.along(math.nan))


def test_words_beside_a_place_outside_are_left_out() -> None:
    """Also where the ends of the scale are given after the words; words at a place of the panel stay."""
    canvas = Canvas(100.0, 100.0)
    panel = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    panel.annotate("in", (5.0, 0.5), (0.0, 0.0), color="#1b262c")
    panel.annotate("out", (15.0, 0.5), (0.0, 0.0), color="#1b262c")
    panel.text(-2.0, 0.5, "<beside>", color="#1b262c")
    panel.annotate("rim", (1.0, 20.0), (0.0, 0.0), color="#1b262c", frame=Frame.ROW)
    panel.set_xlim(0.0, 10.0)
    shown = {one.text for one in drawn(canvas).iter(f"{_SVG}text")}

    assert {"in", "<beside>", "rim"} <= shown
    assert "out" not in shown


def test_what_is_higher_is_written_later() -> None:
    """Words over lines over areas, unless asked for otherwise; what stands level keeps its order."""
    canvas = Canvas(100.0, 100.0)
    panel = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    panel.x_marks.shown = panel.y_marks.shown = False
    panel.text(0.5, 0.5, "word", color="#1b262c")
    panel.axhline(0.5, color="#c3ccd0")
    panel.axvspan(0.1, 0.2, facecolor="#dce8ee")
    panel.axhline(0.2, color="#56656e", zorder=0)
    said = [one.get("style", "") + (one.text or "") for one in drawn(canvas).findall(f"{_SVG}g/{_SVG}g/*")]

    assert [next(ink for ink in ("56656e", "dce8ee", "c3ccd0", "word") if ink in one) for one in said] == [
        "56656e",
        "dce8ee",
        "c3ccd0",
        "word",
    ]


def test_identifiers_are_shared_and_are_no_colours() -> None:
    """The same sign is named once in a drawing, and no name looks like an ink to a page that changes inks."""
    canvas = Canvas(100.0, 100.0)
    for _ in range(2):
        panel = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
        panel.plot([0.1, 0.9], [0.1, 0.9], color="#1a5875", marker="o", markersize=4.0, linestyle="none")
        panel.rectangle((0.2, 0.2), 0.1, 0.1, facecolor="#eef3f5", edgecolor="#7d6100", hatch="////")
    svg = canvas.svg()
    names = re.findall(r' id="([^"]+)"', svg)

    assert len(names) == len(set(names)) == 3
    assert svg.count("<use ") == 4
    assert not re.search(r"#[0-9a-fA-F]{6}", "".join(f"#{name}" for name in names))
