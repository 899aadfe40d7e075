"""The figures: what is drawn is what was read, the same bytes each time, and odd data costs no report."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.figure import Figure as Canvas
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from coldpin.pilot.tolerances import boundary_chart
from coldpin.quantity.model import Quantity
from coldpin.records.assessment import GlitchPicture, PilotEvidence, Trace
from coldpin.records.boundary import BoundaryAnswer, Recognition
from coldpin.records.finding import Outcome
from coldpin.records.pilot import Glitch, Glitches, GlitchWidths, PilotReading, Run, State
from coldpin.report.anchors import Anchors
from coldpin.report.build import build_document
from coldpin.report.document import Figure
from coldpin.report.figures import drawing
from coldpin.report.figures.boundary import boundary
from coldpin.report.figures.cycles import cycles
from coldpin.report.figures.drawing import Ink, letter
from coldpin.report.figures.glitches import glitches
from coldpin.report.figures.ribbon import joined_for_drawing, ribbon
from coldpin.report.figures.strips import strips
from coldpin.standards import Edition, load_book
from tests.report.sample import EXTRA_LOW, FINDINGS, PILOT, PILOT_LEVEL_C, SAMPLE

_SVG = "{http://www.w3.org/2000/svg}"


def words(figure: Figure) -> list[str]:
    root = ElementTree.fromstring(figure.svg)
    return ["".join(element.itertext()).strip() for element in root.iter(f"{_SVG}text")]


def reading(*runs: Run, duration: float = 12.0) -> PilotReading:
    return replace(PILOT.reading, runs=runs, source=replace(PILOT.reading.source, duration_s=duration))


def test_the_ribbon_names_states_and_how_long_they_last() -> None:
    """Each run with room has its state, its length and what it means; the one without room is counted."""
    figure = ribbon(PILOT, Anchors())

    assert [word for word in words(figure) if re.fullmatch(r"[A-F][12]?", word)] == ["A1", "B1", "B2", "C2", "A1"]
    assert {"2.1 s", "3.2 s", "4.2 s", "no car", "car asks for power", "time (s)", "pilot to earth (V)"} <= set(
        words(figure)
    )
    assert figure.caption.endswith("1 run too short to label; the table gives all.")


@pytest.mark.hand("A1 B1 B2 C2 undefined A1 are five changes; the traces end at 12.1 V and −9.8 V")
def test_the_ribbon_is_told_in_words() -> None:
    """The description holds span, extremes and states in order."""
    alt = ribbon(PILOT, Anchors()).alt

    assert alt.startswith(
        "Pilot voltage over 12 s, between −9.8 V and 12.1 V, with 5 changes of state: A1 for 2.1 s, B1"
    )
    assert "C2 for 4.2 s, undefined for 20 ms, A1 for 1.58 s." in alt


def test_states_differ_by_more_than_colour() -> None:
    """States with pulses carry stripes, and no fill stands without its letter."""
    svg = ribbon(PILOT, Anchors()).svg
    still = replace(PILOT, reading=reading(*(run for run in PILOT.reading.runs if not run.state.oscillating)))

    assert "<pattern" in svg
    assert "<pattern" not in ribbon(still, Anchors()).svg


def test_the_envelope_keeps_its_extremes() -> None:
    """A single spike in one stretch reaches into the axes as far as it was high."""
    high = list(PILOT.trace.high_v)
    high[600] = 30.0
    spiked = replace(PILOT, trace=replace(PILOT.trace, high_v=tuple(high)))

    assert "30 V" in ribbon(spiked, Anchors()).alt
    assert "30" in words(ribbon(spiked, Anchors()))


def test_a_cycle_shows_levels_beside_windows() -> None:
    """Each panel names its state, its levels with uncertainty, and the windows they are judged against."""
    (figure,) = cycles(PILOT, Anchors())

    assert {"State B2", "State C2", "State A1"} <= set(words(figure))
    assert {"high 8.960 V ± 0.059 V", "window 8.37 to 9.59 V", "low −9.700 V ± 0.098 V"} <= set(words(figure))
    assert figure.alt.startswith("State B2: high level 8.960 V ± 0.059 V, window 8.37 to 9.59 V; low level")
    assert "IEC 61851-1, edition 3.0 (2017), Table A.4" in figure.caption


def test_an_open_window_says_which_side_is_bound() -> None:
    """A window with one edge reads "at least" or "at most"."""
    picture = replace(PILOT.cycles[0], high_window_v=(8.37, None), low_window_v=(None, -11.4))
    (figure,) = cycles(replace(PILOT, cycles=(picture,)), Anchors())

    assert {"window: at least 8.37 V", "window: at most −11.4 V"} <= set(words(figure))


def test_many_cycles_go_over_several_figures() -> None:
    """Seven panels make two figures, each with an anchor of its own."""
    figures = cycles(replace(PILOT, cycles=PILOT.cycles[:1] * 7), Anchors())

    assert [sum(word == "State B2" for word in words(figure)) for figure in figures] == [6, 1]
    assert len({figure.anchor for figure in figures}) == 2


def _struck() -> PilotEvidence:
    """The sample capture with three glitches, two of them drawn."""
    trace = Trace(
        time_s=tuple((step - 20) * 1e-6 for step in range(60)),
        low_v=tuple(3.0 if 20 <= step < 28 else 9.0 for step in range(60)),
        high_v=tuple(3.0 if 20 <= step < 28 else 9.0 for step in range(60)),
        every_sample=True,
    )
    longest = (
        Glitch(start_s=0.05, width_s=8e-6, state=State.B2, peak_v=3.0),
        Glitch(start_s=0.07, width_s=2e-6, state=State.C2, peak_v=-14.2),
    )
    listed = Glitches(
        count=3,
        widths=(
            GlitchWidths(above_s=1e-6, up_to_s=2e-6, count=2),
            GlitchWidths(above_s=2e-6, up_to_s=5e-6, count=0),
            GlitchWidths(above_s=5e-6, up_to_s=1e-5, count=1),
        ),
        longest=longest,
    )
    pictures = tuple(GlitchPicture(glitch=glitch, around=trace, near=trace) for glitch in longest)
    return replace(PILOT, reading=replace(PILOT.reading, glitches=listed), glitches=pictures)


def test_glitches_are_counted_by_width_and_the_longest_drawn() -> None:
    """Counts, the ends of the classes, state, time, width and peak stand in the figure and in its description."""
    (figure,) = glitches(_struck(), Anchors())
    shown = words(figure)

    assert {"1 µs", "2 µs", "5 µs", "10 µs", "B2 at 0.05 s", "8 µs, reaching 3 V", "2 µs, reaching −14.2 V"} <= set(
        shown
    )
    assert "3 glitches: 2 longer than 1 µs and up to 2 µs; 1 longer than 5 µs and up to 10 µs." in figure.alt
    assert "8 µs in B2 at 0.05 s reaching 3 V" in figure.alt
    assert "the 2 longest" in figure.caption


def test_no_glitches_no_figure() -> None:
    """A clean capture has none; one whose pictures were left out still has its counts."""
    assert glitches(PILOT, Anchors()) == ()
    (figure,) = glitches(replace(_struck(), glitches=()), Anchors())
    assert "Below" not in figure.caption


def test_strips_show_each_number_with_limit_value_and_word() -> None:
    """Every finding with number and limit has a strip; the outcome stands there as a word."""
    (figure,) = strips(FINDINGS, Anchors())
    shown = words(figure)

    assert shown.count("beyond") == 3
    assert shown.count("within") == 3
    assert shown.count("undecided") == 1
    assert {"5.47 V", "6.53 V", "50 V", "1 MΩ", "6.44 V ± 0.12 V"} <= set(shown)
    assert "High level of the pilot in state C2: 6.44 V ± 0.12 V, limit 5.47 V to 6.53 V, undecided." in figure.alt


def test_a_value_beyond_is_drawn_beyond() -> None:
    """The marker stands right of a maximum that it exceeds, left of one that it keeps."""

    def places(value: float) -> tuple[float, float]:
        finding = replace(FINDINGS[0], quantity=Quantity(value, 1.0, "V"), limit=EXTRA_LOW)
        (figure,) = strips((finding,), Anchors())
        root = ElementTree.fromstring(figure.svg)
        marker = next(float(element.attrib["x"]) for element in root.iter(f"{_SVG}use"))
        lines = [element.attrib["d"] for element in root.iter(f"{_SVG}path") if Ink.QUIET in element.get("style", "")]
        edge = float(re.split(r"[ML ]+", lines[0].strip())[1])
        return marker, edge

    above, limit_above = places(231.0)
    below, limit_below = places(12.0)

    assert above > limit_above
    assert below < limit_below


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_value_that_is_no_number_is_not_drawn(value: float) -> None:
    """It stays in the table and costs no figure."""
    finding = replace(FINDINGS[0], quantity=Quantity(value, None, "V"), limit=EXTRA_LOW)

    assert strips((finding,), Anchors()) == ()


def test_equal_value_and_limit_still_has_a_scale() -> None:
    """A limit of zero met exactly is drawn all the same."""
    finding = replace(FINDINGS[0], quantity=Quantity(0.0, 0.0, "V"), limit=replace(EXTRA_LOW, maximum=0.0))

    assert len(strips((finding,), Anchors())) == 1


EMPTY = Trace(time_s=(), low_v=(), high_v=(), every_sample=True)
NOT_NUMBERS = Trace(time_s=(0.0, 1.0), low_v=(math.nan, math.nan), high_v=(math.nan, math.nan), every_sample=False)


@pytest.mark.parametrize(
    "capture",
    [
        replace(PILOT, trace=EMPTY, reading=reading()),
        replace(PILOT, trace=NOT_NUMBERS),
        replace(PILOT, reading=reading(duration=0.0)),
        replace(PILOT, reading=reading(*PILOT.reading.runs * 60)),
        replace(PILOT, reading=reading(replace(PILOT.reading.runs[0], state=State.E), duration=86_400.0)),
    ],
    ids=["empty", "no numbers", "no length", "many runs", "a day in E"],
)
def test_an_odd_capture_costs_no_report(capture: PilotEvidence) -> None:
    """Whatever a capture holds, a figure is drawn and told."""
    figure = ribbon(capture, Anchors())

    assert ElementTree.fromstring(figure.svg).tag == f"{_SVG}svg"
    assert figure.alt.startswith("Pilot voltage over")


def test_odd_cycles_cost_no_report() -> None:
    """Cycles without samples are passed over; those without numbers are drawn with their windows."""
    empty = replace(PILOT.cycles[0], trace=EMPTY)
    blank = replace(PILOT.cycles[0], trace=NOT_NUMBERS)
    bare = replace(blank, state="X", high_window_v=(None, None), low_window_v=(None, None))

    assert cycles(replace(PILOT, cycles=(empty,)), Anchors()) == ()
    assert len(cycles(replace(PILOT, cycles=(blank,)), Anchors())) == 1
    assert "State X: no settled level." in cycles(replace(PILOT, cycles=(bare,)), Anchors())[0].alt


def test_the_same_data_gives_the_same_bytes() -> None:
    """No date, no random identifier."""
    assert ribbon(PILOT, Anchors()).svg == ribbon(PILOT, Anchors()).svg
    assert "<metadata" not in ribbon(PILOT, Anchors()).svg


def test_only_the_named_colours_are_used() -> None:
    """Every colour is one that a page can change: none slips in from the library."""
    drawn = [ribbon(PILOT, Anchors()), *cycles(PILOT, Anchors()), *strips(FINDINGS, Anchors())]
    used = {shade for figure in drawn for shade in re.findall(r"#[0-9a-fA-F]{6}\b", figure.svg)}

    assert used <= {ink.value for ink in Ink}


def test_text_is_cut_where_there_is_no_room() -> None:
    """Long text ends in an ellipsis."""
    assert letter("a" * 30, longest=10) == "a" * 9 + "…"
    assert letter(" two\nlines ") == "two lines"
    assert PILOT_LEVEL_C.nominal == 6.0


def test_undecided_is_an_open_sign() -> None:
    """Undecided differs from within and beyond by shape and by being hollow."""
    (open_one,) = strips([f for f in FINDINGS if f.outcome is Outcome.UNDECIDED], Anchors())
    (closed,) = strips([f for f in FINDINGS if f.id == "pilot.high.B2"], Anchors())

    assert re.search(r"fill: none; stroke: #7d6100", open_one.svg)
    assert re.search(r"fill: #1a5875; stroke: #1a5875", closed.svg)


def test_an_envelope_has_no_gaps_that_the_pilot_has_not() -> None:
    """Stretches shorter than a cycle, some with the low half only, are joined; highest and lowest stay."""
    count = 1000
    halves = Trace(
        time_s=tuple((at + 0.5) * 8e-4 for at in range(count)),
        low_v=tuple(-12.0 - (at == 400) for at in range(count)),
        high_v=tuple(9.0 + 2.0 * (at == 701) if at % 5 else -11.9 for at in range(count)),
        every_sample=False,
    )
    run = replace(PILOT.reading.runs[2], start_s=0.0, end_s=0.8, cycles=800)
    drawn = joined_for_drawing(replace(PILOT, trace=halves, reading=reading(run, duration=0.8)))

    assert min(drawn.high_v) == 9.0
    assert (min(drawn.low_v), max(drawn.high_v)) == (-13.0, 11.0)
    assert 300 <= len(drawn.time_s) <= 400


def load(state: str, ohm: float, volt: float | None, answer: Recognition, **more: str) -> BoundaryAnswer:
    level = None if volt is None else Quantity(volt, 0.06, "V")
    return BoundaryAnswer(state=state, resistance=Quantity(ohm, 4.0, "Ω"), level=level, answer=answer, **more)


ANSWERS = (
    load("B", 1870.0, 8.02, Recognition.RECOGNISED, fitted="R2 1870 Ω"),
    load("C", 612.0, 4.93, Recognition.NOT_RECOGNISED, fitted="R2 1870 Ω, R3 910 Ω"),
    load("D", 130.0, None, Recognition.UNDECIDED, because="the output was not watched"),
)


def test_boundary_resistances_show_windows_and_answers_as_words() -> None:
    """Each window has its ends on both axes, each answer its load, level and word; shape and word tell them apart."""
    figure = boundary(boundary_chart(load_book(), Edition.IEC_3, ANSWERS), Anchors())
    shown = words(figure)

    assert {"B", "C", "D", "1870", "4610", "612", "1254", "130", "412"} <= set(shown)
    assert {"8.06", "9.99", "4.99", "6.99", "2.00", "4.00"} <= set(shown)
    assert {"recognised", "not recognised", "undecided: the output was not watched"} <= set(shown)
    assert {"B: R2 1870 Ω, 8.02 V ± 0.12 V", "D: 130.0 Ω ± 7.8 Ω"} <= set(shown)
    assert "State C: R3 from 909 Ω to 1723 Ω with R2 at its own ends, a load of 612 Ω to 1254 Ω" in figure.alt
    assert "C with R2 1870 Ω, R3 910 Ω, 4.93 V ± 0.12 V: not recognised." in figure.alt


def test_without_answers_the_chart_says_what_is_asked_of_any_unit() -> None:
    """The windows stand there with their standing, and no mark is spoken of."""
    figure = boundary(boundary_chart(load_book(), Edition.IEC_3), Anchors())

    assert "(standing: memory)." in " ".join(words(figure))
    assert "Marks" not in figure.caption


def test_repeats_of_one_load_share_a_label_and_the_rest_is_counted() -> None:
    """Nine repeats of three answers: each mark names its nine lines, and lines without room are counted."""
    figure = boundary(boundary_chart(load_book(), Edition.IEC_3, ANSWERS * 9), Anchors())

    assert "1, 4, 7, 10, 13, 16, 19, 22, 25" in words(figure)
    assert "and 3 more" in words(figure)


def test_odd_answers_cost_no_chart() -> None:
    """A load of nothing, a level below zero and an unknown uncertainty are drawn as far as they can be."""
    odd = (
        BoundaryAnswer(state="B", resistance=Quantity(0.0, None, "Ω"), level=None, answer=Recognition.UNDECIDED),
        BoundaryAnswer(
            state="D", resistance=Quantity(5e6, 1e6, "Ω"), level=Quantity(-1.0, None, "V"), answer=Recognition.UNDECIDED
        ),
    )

    assert "undecided" in words(boundary(boundary_chart(load_book(), Edition.IEC_3, odd), Anchors()))


def test_a_finding_with_a_chart_brings_it_into_the_report() -> None:
    """The chart stands under its finding, numbered with the other figures."""
    chart = boundary_chart(load_book(), Edition.IEC_3, ANSWERS)
    found = (replace(SAMPLE.findings[0], boundary=chart), *SAMPLE.findings[1:])
    document = build_document(replace(SAMPLE, findings=found))

    assert sum(isinstance(block, Figure) and "figure-boundary" in block.anchor for block in document.blocks) == 1


def test_a_line_of_text_is_measured_once_as_the_library_does(monkeypatch: pytest.MonkeyPatch) -> None:
    """Drawn again, a figure measures nothing and is the same to the byte; full, the memory begins anew."""

    def paint(canvas: Canvas) -> None:
        canvas.text(0.1, 0.5, "−12.5 V", fontsize=7.0, fontweight="bold", ha="right")

    monkeypatch.setattr(drawing, "_LINES", {})
    first = drawing.draw(40.0, 20.0, paint)
    kind = FontProperties(family="DejaVu Sans", size=7.0, weight="bold")
    assert {key[0]: size for key, size in drawing._LINES.items()}["−12.5 V"] == pytest.approx(
        text_to_path.get_text_width_height_descent("−12.5 V", kind, ismath=False)
    )
    with monkeypatch.context() as patch:
        patch.setattr(RendererSVG, "get_text_width_height_descent", None)
        assert drawing.draw(40.0, 20.0, paint) == first
    monkeypatch.setattr(drawing, "MOST_LINES", 1)
    assert drawing.draw(40.0, 20.0, lambda canvas: (canvas.text(0.1, 0.5, "another"), None)[1]) != first
    assert "−12.5 V" not in {key[0] for key in drawing._LINES}
