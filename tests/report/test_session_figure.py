"""The timeline of a charge: every phase by word or shape, marks by number, gaps hatched, and words for all of it."""

from __future__ import annotations

import math
from xml.etree import ElementTree

import numpy as np
import pytest

from coldpin.quantity import Quantity
from coldpin.records.log import Log
from coldpin.records.session import EventMark, MarkKind
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.session import session_timeline
from coldpin.session.reading import Asked, read_session
from coldpin.session.trace import trace_of
from tests.session.charges import METER, level, log_of, rest


def drawn(log: Log, *marks: EventMark, offer: float | None = 16.0) -> Figure:
    """The figure of a log with its marks."""
    offered = None if offer is None else Quantity(offer, 0.1, "A")
    reading = read_session(log, Asked(meter=METER, offer=offered, marks=marks))
    return session_timeline(reading, trace_of(log), Anchors(), name="charge.csv")


def words(svg: str) -> set[str]:
    """All texts of a drawing."""
    return {"".join(element.itertext()).strip() for element in ElementTree.fromstring(svg).iter() if element.text}


def with_gap() -> Log:
    """A charge in which everything happens, and nothing was recorded for a while."""
    keep = np.ones(10_000, np.bool_)
    keep[250:420] = False
    return log_of(keep=keep)


def test_every_kind_is_named_in_the_drawing_or_its_key() -> None:
    """A phase with room has its word, one without its shape, which the key explains; no colour carries it alone."""
    shown = words(drawn(with_gap()).svg)

    assert {"waiting", "steady", "reduced", "paused", "supply lost", "not recorded", "ended"} <= shown
    assert "current (A)" in shown


def test_a_phase_too_narrow_for_its_shape_is_in_the_key() -> None:
    """A ramp of seconds has its shape over the ribbon, and its name in the line above."""
    assert "ramp" in words(drawn(with_gap()).svg)


def test_marks_are_numbered_and_told_in_the_caption() -> None:
    """Number in the drawing, words below it."""
    unlock = EventMark(kind=MarkKind.UNLOCK, at_s=Quantity(700.0, 1.0, "s"))
    figure = drawn(with_gap(), unlock)

    assert "1" in words(figure.svg)
    assert figure.caption.endswith("Marks: 1 unlock at 0:11:40.")
    assert "Hatched: nothing was recorded. Broken line: the current offered." in figure.caption


def test_a_mark_that_is_not_placed_stands_nowhere_in_the_drawing() -> None:
    """It is counted in the caption, and takes no number from the others."""
    unlock = EventMark(kind=MarkKind.UNLOCK, at_s=Quantity(700.0, 1.0, "s"))
    elsewhere = EventMark(kind=MarkKind.LOCK_RELEASED, at_s=Quantity(300.0, 1.0, "s"), clock="watch")
    figure = drawn(with_gap(), unlock, elsewhere)

    assert "2" not in words(figure.svg)
    assert figure.caption.endswith(
        "Marks: 1 unlock at 0:11:40. Not drawn, for it is not known where in the log they lie: 1 mark."
    )


def test_whoever_cannot_see_it_is_told_phases_energy_and_losses() -> None:
    """In order, with times and levels."""
    told = drawn(with_gap()).alt

    assert told.startswith(
        "A charge over 43.9 min, 13 phases: waiting 0:00:00 to 0:01:30; ramp 0:01:30 to 0:01:50; steady"
    )
    assert "and 1 more phase. Energy 1" in told
    assert told.endswith("1 loss of the supply; nothing recorded 1 time.")


def test_a_log_of_power_alone_is_drawn_in_kilowatts() -> None:
    """And without a line of the offer, which is a current."""
    figure = drawn(log_of(current=False, voltage=False))

    assert "power (kW)" in words(figure.svg)
    assert "offered" not in figure.caption
    assert "recorded without a gap" in figure.alt


def test_the_same_log_draws_the_same_bytes() -> None:
    """A report made again is the same report."""
    assert drawn(with_gap()).svg == drawn(with_gap()).svg


@pytest.mark.parametrize("stretches", [7, 600])
def test_no_extreme_is_lost_in_what_is_drawn(stretches: int) -> None:
    """A single row without current is in the trace, however few stretches there are; a gap is a hole."""
    log = log_of((level("steady", 3000.0, 16.0), rest("paused", 1.0), level("steady", 2000.0, 16.0)))
    trace = trace_of(log, stretches=stretches)

    assert min(low for low in trace.low if low is not None) == 0.0
    assert None in trace_of(with_gap()).low
    assert len(trace.low) == stretches


def test_a_log_of_nothing_is_drawn() -> None:
    """Neither a charge nor a mark: still axes, and words."""
    figure = drawn(log_of((rest("waiting", 300.0),)), offer=None)

    assert figure.alt.startswith("A charge over 4.98 min, 1 phase: waiting 0:00:00 to 0:04:59. Energy 0")


def test_energy_that_is_not_known_is_told_as_such() -> None:
    """A log of current without a voltage has no energy."""
    log = log_of(voltage=False, power=False)
    reading = read_session(log, Asked(meter=METER))
    figure = session_timeline(reading, trace_of(log), Anchors(), name="x")

    assert math.isnan(reading.energy_wh.value)
    assert "Energy not known (the log has no power, and no voltage is stated)" in figure.alt


@pytest.mark.parametrize(("volts", "said"), [(True, "no loss of the supply"), (False, "a loss of the supply could")])
def test_without_a_voltage_no_loss_is_not_told(volts: bool, said: str) -> None:
    """What cannot be seen is not absent."""
    assert said in drawn(log_of((level("steady", 600.0, 16.0), rest("ended", 60.0)), voltage=volts)).alt


def test_a_mark_far_from_the_log_leaves_its_drawing_as_wide_as_it_is() -> None:
    """A plug pulled the next day does not press the charge into a corner."""
    parts = (level("steady", 600.0, 16.0), rest("ended", 60.0))
    late = EventMark(kind=MarkKind.PLUG_PULLED, at_s=Quantity(90_000.0, 1.0, "s"))

    assert {"0", "2", "10"} <= words(drawn(log_of(parts), late).svg)
