"""The timeline of switching: every delay, its limit, and words for whoever cannot see it."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import pytest

from coldpin.quantity import Quantity
from coldpin.records.assessment import PilotEvidence
from coldpin.records.pilot import LiveStretch, OutputKind, OutputReading, State, Switching, SwitchingEvent
from coldpin.report.anchors import Anchors
from coldpin.report.chapters.switching import switching_blocks
from coldpin.report.delays import limits_cited, operations_said, outcome_said
from coldpin.report.document import Paragraph, Table
from coldpin.report.figures.switching import switching
from coldpin.standards import Edition, load_book
from coldpin.standards.timing import switching_limits
from tests.report.sample import PILOT


def seconds(value: float, u: float = 0.001) -> Quantity:
    """A measured delay."""
    return Quantity(value, u, "s")


def event(kind: Switching, delays: tuple[Quantity, ...], outcome: str, **more: object) -> SwitchingEvent:
    """An event whose worst delay is the longest."""
    known: dict[str, object] = {
        "state_from": State.C2,
        "state_to": State.B2,
        "delay_s": max(delays, key=lambda delay: delay.value, default=None),
        "limit_s": 0.1,
        "limit_kind": "max",
        "operations": len(delays) or 1,
        "at_s": (0.3,),
    }
    return SwitchingEvent(event=kind, delays_s=delays, outcome=outcome, **(known | more))  # type: ignore[arg-type]  # fields by name


LATE = event(Switching.OPENS_ON_B, (seconds(0.24), seconds(0.2411), seconds(0.05)), "beyond")
NEVER = event(Switching.OPENS_ON_DIODE_LOSS, (Quantity(1.2, None, "s", low=1.2),), "not_applicable", limit_s=None)
LIVE = event(Switching.LIVE_IN_A, (), "beyond", limit_s=None, at_s=(0.1, 2.0), operations=2)
OUTPUT = OutputReading(
    kind=OutputKind.MAINS,
    stated=False,
    live=(LiveStretch(first_contact_s=None, closed_s=None, first_break_s=(0.3, 0.31), opened_s=(0.3, 0.31)),),
    amplitude_v=325.0,
)


def with_events(*events: SwitchingEvent, output: OutputReading | None = OUTPUT) -> PilotEvidence:
    """The sample's capture with these events."""
    return replace(PILOT, reading=replace(PILOT.reading, switching=events, output=output))


def words(svg: str) -> set[str]:
    """All texts of a drawing."""
    return {"".join(element.itertext()).strip() for element in ElementTree.fromstring(svg).iter() if element.text}


def test_every_event_has_its_row_limit_and_outcome() -> None:
    """Name, change of the pilot, number of operations, limit with its side, outcome and worst delay stand as text."""
    (figure,) = switching(with_events(LATE, NEVER, LIVE), Anchors())
    shown = words(figure.svg)

    assert {"opens when no longer asked (B)", "C2 to B2, 3 operations", "too late: at most 0.1 s", "beyond"} <= shown
    assert {"no limit known", "at least 1.2 s", "does not apply"} <= shown
    assert "at 100 ms, 2 s from the first sample" in shown


def test_the_description_tells_every_delay() -> None:
    """Whoever cannot see the drawing reads the worst, the limit and all operations."""
    (figure,) = switching(with_events(LATE, LIVE), Anchors())

    assert figure.alt.startswith(
        "Opens when no longer asked (B): 3 operations, worst 0.2411 s ± 0.0020 s; limit at most"
    )
    assert "all: 0.2400 s ± 0.0020 s, 0.2411 s ± 0.0020 s, 0.0500 s ± 0.0020 s." in figure.alt
    assert figure.alt.endswith("Live with no vehicle (A): 2 times, beyond.")


def test_a_minimum_is_too_early_on_its_left() -> None:
    """The side that is not allowed of a shortest time lies before it."""
    early = event(Switching.OPENS_ON_OSCILLATOR_OFF, (seconds(2.0),), "beyond", limit_s=6.0, limit_kind="min")
    (figure,) = switching(with_events(early), Anchors())

    assert "too early: at least 6 s" in words(figure.svg)


def test_odd_delays_cost_no_report() -> None:
    """A delay of nothing, or before the change, or without uncertainty, is drawn at the end of the axis or plain."""
    odd = event(Switching.OPENS_ON_FAULT, (seconds(-0.1), seconds(0.0), Quantity(0.05, None, "s")), "undecided")
    (figure,) = switching(with_events(odd), Anchors())

    assert "NaN" not in figure.svg
    assert "(± not stated)" in figure.alt
    assert switching(with_events(), Anchors()) == ()


def test_the_chapter_says_how_the_output_was_seen() -> None:
    """Kind, whether stated, and the doubt; the table has a row for each event."""
    blocks = switching_blocks(with_events(LATE, LIVE), Anchors())
    paragraph = next(block for block in blocks if isinstance(block, Paragraph))
    table = next(block for block in blocks if isinstance(block, Table))
    alone = switching_blocks(with_events(output=replace(OUTPUT, live=(), doubt="too small to tell")), Anchors())

    assert "mains (as recognised), about 230 V r.m.s. as read; live in 1 stretch" in str(paragraph)
    assert len(table.rows) == 2
    assert "never live. In doubt: too small to tell." in str(alone)
    assert switching_blocks(with_events(output=None), Anchors()) == ()


@pytest.mark.parametrize(
    ("delays", "said"),
    [
        ((Quantity(0.2, None, "s"),) * 5, "200 ms (5 times, ± not stated)"),
        ((Quantity(4.0, None, "s", low=4.0),) * 2, "at least 4 s (2 times)"),
        ((Quantity(0.2, None, "s"), Quantity(0.3, None, "s")), "200 ms, 300 ms (± not stated)"),
        ((), "once"),
    ],
)
def test_what_is_not_stated_is_said_once(delays: tuple[Quantity, ...], said: str) -> None:
    """Operations that read alike are counted; an event that has no delay says how often it was."""
    assert operations_said(event(Switching.OPENS_ON_B, delays, "undecided")) == said


def test_no_limit_is_not_said_as_nothing_found() -> None:
    """An event that no text limits says so in the table of the report and of the command."""
    assert outcome_said(NEVER) == "no limit known"
    assert outcome_said(LATE) == "beyond"
    assert outcome_said(replace(NEVER, limit_s=3.0)) == "does not apply"


@pytest.mark.published("timing.*: the times of opening under load, by edition (secondary text, address not recorded)")
def test_a_limit_names_the_edition_it_is_from() -> None:
    """Judged by the second edition, the time before opening under load is told as one of the third."""
    limit = switching_limits(load_book(), Edition.IEC_2).find(Switching.OPENS_ON_OSCILLATOR_OFF, State.C1)
    assert limit is not None
    early = event(
        Switching.OPENS_ON_OSCILLATOR_OFF,
        (seconds(4.0),),
        "beyond",
        limit_s=limit.seconds,
        limit_kind="min",
        limit=limit.limit.id,
    )
    (said,) = limits_cited((early, early, LIVE), load_book())

    assert said.startswith("at least 6 s: timing.open-under-load, IEC 61851-1:2017, edition 3.0, Table A.6")
