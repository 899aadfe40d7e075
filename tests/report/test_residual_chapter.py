"""The chapter on residual currents and its chart: what was put on, what is asked, what stays private."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import pytest

from coldpin.protection.trip_test import judge_trips
from coldpin.quantity import parse_quantity
from coldpin.records.assessment import Assessment
from coldpin.records.plain import from_json, to_json
from coldpin.records.trip_test import ResidualKind, ResidualPicture, TripOperation, TripTest
from coldpin.report import build_document, render_html, render_pdf
from coldpin.report.anchors import Anchors
from coldpin.report.document import Document, Figure, Heading, lines_of, text_of
from coldpin.report.figures.trip import trip
from coldpin.standards.book import load_book
from coldpin.standards.residual_current import find_residual_device
from tests.report.sample import SAMPLE

ENTRY = next(entry.id for entry in SAMPLE.entries if not entry.private)
PRIVATE = next(entry.id for entry in SAMPLE.entries if entry.private)
DEVICE = replace(find_residual_device(rated="30 mA", kind="A", direct="6 mA"), said_by="what plate or papers say")


def done(
    current: str, time: str, *, kind: ResidualKind, way: str, tripped: bool = True, entry: str = ENTRY, **more: float
) -> TripOperation:
    return TripOperation(
        kind=kind,
        current_ma=parse_quantity(current, "mA"),
        time_s=parse_quantity(time, "s"),
        way=way,
        tripped=tripped,
        entry=entry,
        **more,  # type: ignore[arg-type]  # fields by name
    )


def alternating(entry: str = ENTRY) -> TripTest:
    """Three currents that trip it and one that does not."""
    kind = ResidualKind.ALTERNATING
    seen = [
        done(current, time, kind=kind, way=way, tripped=tripped, entry=entry)
        for way in ("0°", "180°")
        for current, time, tripped in (
            ("14.5 mA ± 0.3 mA", "2 s ± 0.01 s", False),
            ("31 mA ± 0.5 mA", "31 ms ± 1 ms", True),
            ("62 mA ± 1 mA", "0.2 s ± 0.001 s", True),
        )
    ]
    return judge_trips(seen, DEVICE, kind, load_book())


def smooth() -> TripTest:
    """Deaf at once, and while it rises."""
    kind = ResidualKind.SMOOTH
    seen = [
        done("6.2 mA ± 0.1 mA", "12 s ± 0.1 s", kind=kind, way="positive", tripped=False),
        done("33 mA ± 0.2 mA", "62 s", kind=kind, way="negative", tripped=False, rate_ma_s=0.5),
    ]
    return judge_trips(seen, DEVICE, kind, load_book())


def document(*tests: TripTest) -> Document:
    return build_document(replace(SAMPLE, trips=tests))


def words(built: Document) -> str:
    return "\n".join(text_of(line) for block in built.blocks for line in lines_of(block))


@pytest.mark.hand("the record above")
def test_the_chapter_tells_every_row_with_what_was_seen() -> None:
    """Current, what is asked, the worst operation; what was not tested says so."""
    told = words(document(alternating(), smooth()))

    assert "Judged as a device of 30 mA type A, 6 mA d.c.: what plate or papers say." in told
    assert "acts within 0.3 s" in told
    assert "does not act" in told
    assert "not tested" in told
    assert "not within 12 s" in told
    assert "had not acted at 33" in told
    assert "0.50 mA/s" in told
    assert "fails" not in told


def picture(entry: str = ENTRY, *, tripped: bool = True) -> ResidualPicture:
    """A captured current of three periods, and the output that dies or stays."""
    time = tuple(at / 1000.0 for at in range(-60, 100))
    current = tuple((0.0, 0.0) if not 0.0 <= at <= 0.031 else (44.0 * at, 45.0 * at) for at in time)
    output = tuple((-300.0, 300.0) if at < 0.031 or not tripped else (0.0, 0.0) for at in time)
    return ResidualPicture(
        operation=done(
            "31 mA ± 0.5 mA", "31 ms ± 1 ms", kind=ResidualKind.ALTERNATING, way="0°", tripped=tripped, entry=entry
        ),
        began_s=(-0.0004, 0.0),
        opened_s=(0.0309, 0.0311) if tripped else None,
        time_s=time,
        current_ma=current,
        output_v=output,
        file="box.npz",
    )


@pytest.mark.hand("the record above")
@pytest.mark.parametrize("tripped", [True, False])
def test_a_captured_operation_is_drawn_under_its_form(tripped: bool) -> None:
    """Current and output on one axis of time, told in words; a private one is not drawn."""
    built = build_document(replace(SAMPLE, trips=(alternating(),), leaks=(picture(tripped=tripped),)))
    (drawn,) = [block for block in built.blocks if isinstance(block, Figure) and "as captured" in block.caption]
    hidden = build_document(replace(SAMPLE, trips=(alternating(),), leaks=(picture(PRIVATE),)))

    said = "the output was dead after 0.03100 s" if tripped else "the output stayed live for 0.031 s"
    assert said in drawn.alt
    assert "box.npz" in drawn.caption
    texts = "".join(ElementTree.fromstring(drawn.svg).itertext())
    assert "current (mA)" in texts
    assert "output (V)" in texts
    assert not any(isinstance(block, Figure) and "as captured" in block.caption for block in hidden.blocks)


def test_without_tests_there_is_no_chapter() -> None:
    """Nothing was put on, so nothing is told."""
    assert all(block.text.find("Residual currents") < 0 for block in document().blocks if isinstance(block, Heading))


def test_what_is_private_is_not_told() -> None:
    """A test by a private entry alone leaves no chapter."""
    assert "Judged as a device" not in words(document(alternating(PRIVATE)))


@pytest.mark.hand("six marks, two of them open with an arrow")
def test_the_chart_can_be_read_without_seeing_it() -> None:
    """An image with a description of what was asked and seen; the same bytes each time."""
    figure = trip(alternating(), Anchors())
    again = trip(alternating(), Anchors())

    assert isinstance(figure, Figure)
    assert figure.svg == again.svg
    assert "6 operations with alternating residual current, of which 2 did not trip." in figure.alt
    texts = "".join(ElementTree.fromstring(figure.svg).itertext())
    for word in ("0.3 s", "0.15 s", "0.04 s", "holds", "tripped, 180°"):
        assert word in texts


@pytest.mark.hand("a straight line on both logarithmic axes, from 6 mA to 264 mA")
def test_the_chart_of_an_inverse_curve_has_its_ends() -> None:
    """North American devices have one curve in place of steps."""
    device = find_residual_device(kind="class A")
    kind = ResidualKind.ALTERNATING
    test = judge_trips([done("20 mA ± 0.2 mA", "0.5 s ± 0.01 s", kind=kind, way="0°")], device, kind, load_book())
    texts = "".join(ElementTree.fromstring(trip(test, Anchors()).svg).itertext())

    assert "5.59 s" in texts
    assert "0.025 s" in texts


def test_a_form_that_need_not_be_seen_has_no_chart() -> None:
    """It is told in a remark."""
    kind = ResidualKind.PULSATING
    seen = [done("44 mA ± 2 mA", "2 s ± 0.01 s", kind=kind, way="positive", tripped=False)]
    told = words(document(judge_trips(seen, find_residual_device(kind="AC"), kind, load_book())))

    assert "need not see pulsating direct current" in told
    assert "acts within" not in told.split("Residual currents", 1)[1].split("\nPulsating", 1)[-1][:300]


def test_the_record_goes_to_json_and_back_and_onto_paper() -> None:
    """Nothing is lost, and both renderings take it."""
    whole = replace(SAMPLE, trips=(alternating(), smooth()))

    assert to_json(from_json(Assessment, to_json(whole), where="assessment.json")) == to_json(whole)
    built = build_document(whole)
    assert "figure-trip" in render_html(built)
    assert render_pdf(built).startswith(b"%PDF")
