"""Marks: two clocks aligned by an event that both saw, with its uncertainty; an unlock is no such event."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import InputError
from coldpin.quantity import Quantity
from coldpin.records.plain import from_json, to_json
from coldpin.records.session import ClockOffset, EventMark, MarkKind, SessionReading
from coldpin.session.marks import aligned, offset_of, seen_in_log
from coldpin.session.reading import Asked, read_session
from tests.session.charges import METER, kinds, level, log_of, lost, rest

PARTS = (level("steady", 600.0, 16.0), lost(60.0), level("steady", 600.0, 16.0))


def mark(kind: MarkKind, at_s: float, u: float | None = 0.5, clock: str = "watch", **more: object) -> EventMark:
    """One mark by a wrist watch."""
    at = Quantity(at_s, u, "s", why="" if u is not None else "not stated")
    return EventMark(kind=kind, at_s=at, clock=clock, **more)  # type: ignore[arg-type]  # fields by name


@pytest.mark.hand("seen between 112 s and 113 s, marked at 100 s with u 0.5 s: 12.5 s, u = √(0.5² + 0.2887²) = 0.577 s")
def test_the_offset_holds_the_hand_and_the_rows() -> None:
    """The middle of the bracket less the mark; both are in its uncertainty."""
    offset = offset_of(mark(MarkKind.BREAKER_OFF, 100.0), [(112.0, 113.0)])

    assert offset.offset_s.value == 12.5
    assert offset.offset_s.u == pytest.approx(math.hypot(0.5, 0.5 / math.sqrt(3.0)))


@given(st.floats(-5000.0, 5000.0))
def test_a_watch_that_is_wrong_by_anything_is_set_right(wrong: float) -> None:
    """The unlock lands where it happened, within the uncertainty of the alignment, wherever the watch stood."""
    marks = (mark(MarkKind.BREAKER_OFF, 600.2 - wrong), mark(MarkKind.UNLOCK, 900.0 - wrong))
    told = read_session(log_of(PARTS), Asked(meter=METER, marks=marks))
    unlock = next(m for m in told.marks if m.kind is MarkKind.UNLOCK)
    (clock,) = told.clocks

    assert unlock.clock == "log"
    assert unlock.at_s.u is not None
    assert unlock.at_s.value == pytest.approx(900.0, abs=2.0 * unlock.at_s.u)
    assert clock.offset_s.value == pytest.approx(wrong, abs=2.0)


@pytest.mark.parametrize("kind", [MarkKind.UNLOCK, MarkKind.OFFER_LOWERED, MarkKind.PLUG_PULLED])
def test_what_a_log_does_not_show_aligns_nothing(kind: MarkKind) -> None:
    """An unlock moves nothing in the supply."""
    with pytest.raises(InputError, match=f"by '{kind.value}': it is not visible in a log of power"):
        seen_in_log(kind, (), ())


def test_two_outages_align_nothing_by_themselves() -> None:
    """Which of the two the mark was cannot be told: the offset must be stated, and then is used."""
    log = log_of((*PARTS, lost(30.0), level("steady", 300.0, 16.0)))
    marks = (mark(MarkKind.BREAKER_OFF, 588.0), mark(MarkKind.UNLOCK, 888.0))
    nowhere = read_session(log, Asked(meter=METER, marks=marks))
    stated = ClockOffset(clock="watch", mark=MarkKind.OTHER, offset_s=Quantity(12.0, 0.3, "s"))
    told = read_session(log, Asked(meter=METER, marks=marks, offsets=(stated,)))

    assert [m.at_s.value for m in told.marks] == [600.0, 900.0]
    assert [(m.at_s.value, m.at_s.u, m.clock) for m in nowhere.marks] == [
        (588.0, None, "watch"),
        (888.0, None, "watch"),
    ]
    assert all("the log shows it 2 times (599 s to 600 s, 1259 s to 1260 s)" in m.not_placed for m in nowhere.marks)
    assert nowhere.clocks == ()


def test_a_clock_that_cannot_be_aligned_takes_nothing_of_what_needs_no_mark() -> None:
    """Phases, energy, losses of the supply and the current beside the offer are those of the log without its marks."""
    log = log_of((*PARTS, lost(30.0), level("steady", 300.0, 16.0)))
    offer = Quantity(16.5, 0.05, "A")
    marks = (mark(MarkKind.BREAKER_OFF, 588.0), mark(MarkKind.UNLOCK, 300.0), mark(MarkKind.LOCK_RELEASED, 301.0))
    bare = read_session(log, Asked(meter=METER, offer=offer))
    told = read_session(log, Asked(meter=METER, offer=offer, marks=marks))

    assert (told.phases, told.energy_wh, told.outages, told.offer) == (
        *(bare.phases, bare.energy_wh, bare.outages, bare.offer),
    )
    assert [one.outcome for one in told.offer] == ["within", "within", "within"]
    assert any(
        remark.startswith("not placed in the log: 'breaker off' at 588 s, 'unlock' at 300 s, 'lock released' at 301 s")
        and remark.endswith("state the offset, or cut the log")
        for remark in told.remarks
    )


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        (MarkKind.UNLOCK, "What followed 'unlock' is not known, for it is not placed: the clock 'watch'"),
        (
            MarkKind.LOCK_RELEASED,
            "At 'lock released' the current is not known, for it is not placed: the clock 'watch'",
        ),
        (MarkKind.OFFER_LOWERED, "What followed 'offer lowered' is not known, for it is not placed: the clock 'watch'"),
    ],
)
@pytest.mark.parametrize("breaker", [True, False])
def test_what_hangs_on_a_mark_that_is_not_placed_is_not_known(kind: MarkKind, said: str, breaker: bool) -> None:
    """Whatever its own time would meet in the log, with a breaker that the log shows twice or with none marked."""
    log = log_of((*PARTS, lost(30.0), level("steady", 300.0, 16.0), rest("ended", 60.0)))
    offer = Quantity(10.0, 0.05, "A") if kind is MarkKind.OFFER_LOWERED else None
    off = (mark(MarkKind.BREAKER_OFF, 588.0),) if breaker else ()
    told = read_session(log, Asked(meter=METER, marks=(*off, mark(kind, 1580.0, offer_a=offer))))
    reaction = next(one for one in told.reactions if one.mark is kind)

    assert reaction.statement.startswith(said)
    assert (reaction.after_s, reaction.current_at_a, reaction.followed_by, reaction.at_s.u) == (None, None, None, None)


@pytest.mark.parametrize(("kind", "sure"), [(MarkKind.STOPPED_AT_CAR, False), (MarkKind.PLUGGED_IN, True)])
def test_what_may_lie_between_leaves_no_time_sure(kind: MarkKind, sure: bool) -> None:
    """A stop by a clock that nobody aligned may be what ended the draw after the unlock."""
    parts = (level("steady", 600.0, 16.0), rest("ended", 60.0))
    marks = (mark(MarkKind.UNLOCK, 590.0, clock="log"), mark(kind, 5000.0))
    told = read_session(log_of(parts), Asked(meter=METER, marks=marks))
    after = next(one for one in told.reactions if one.mark is MarkKind.UNLOCK)

    assert after.after_s is not None
    assert (after.after_s.u is not None, "which may lie between, is not known" in after.statement) == (sure, not sure)


def test_an_offer_lowered_nobody_knows_when_leaves_the_current_beside_it_open() -> None:
    """The draw may have been above the new offer: within is said of none, and the reason is told."""
    lowered = mark(MarkKind.OFFER_LOWERED, 100.0, offer_a=Quantity(10.0, 0.05, "A"))
    told = read_session(log_of(PARTS), Asked(meter=METER, offer=Quantity(16.5, 0.05, "A"), marks=(lowered,)))

    assert [(one.outcome, one.offer_a.value) for one in told.offer] == [("undecided", 16.5), ("undecided", 16.5)]
    assert "the clock 'watch' is not aligned with that of the log" in told.offer[0].share.why


def test_the_first_mark_that_the_log_shows_once_aligns() -> None:
    """The supply was lost twice and came back once while it was logged: the breaker on is that one."""
    log = log_of((*PARTS, lost(30.0)))
    off = mark(MarkKind.BREAKER_OFF, 588.0, None)
    marks = (off, mark(MarkKind.BREAKER_ON, 648.0), mark(MarkKind.UNLOCK, 888.0))
    told = read_session(log, Asked(meter=METER, marks=marks))

    assert [(one.mark, one.offset_s.value) for one in told.clocks] == [(MarkKind.BREAKER_ON, 11.5)]
    assert [round(m.at_s.value, 1) for m in told.marks] == [599.5, 659.5, 899.5]


def test_a_clock_of_which_nothing_is_known_leaves_its_marks_without_uncertainty() -> None:
    """It is said, and no reaction time is sure."""
    told = read_session(log_of(PARTS), Asked(meter=METER, marks=(mark(MarkKind.UNLOCK, 300.0),)))

    assert told.marks[0].at_s.u is None
    assert "'watch' is not aligned with that of the log" in " ".join(told.remarks)
    assert told.marks[0].not_placed == told.marks[0].at_s.why
    assert told.clocks == ()


def test_a_breaker_that_the_log_never_shows_aligns_nothing() -> None:
    """Nor does a loss that lasts to the last row show the breaker on."""
    never = read_session(log_of(PARTS[:1]), Asked(meter=METER, marks=(mark(MarkKind.BREAKER_OFF, 588.0),)))
    lasting = read_session(log_of(PARTS[:2]), Asked(meter=METER, marks=(mark(MarkKind.BREAKER_ON, 700.0),)))

    for told in (never, lasting):
        assert told.marks[0].not_placed.endswith(
            "the log does not show it; mark one that it shows, or state the offset"
        )


def test_where_no_voltage_was_logged_the_end_of_the_draw_aligns() -> None:
    """A breaker off is seen by the draw that ends, if there is one such end."""
    parts = (level("steady", 600.0, 16.0), rest("ended", 100.0))
    marks = (mark(MarkKind.BREAKER_OFF, 100.0),)
    told = read_session(log_of(parts, voltage=False), Asked(meter=METER, marks=marks))

    assert told.clocks[0].offset_s.value == pytest.approx(499.5)


def test_a_mark_without_uncertainty_gives_an_offset_without() -> None:
    """Who does not say how surely a mark was set gets no reaction time that claims more."""
    offset = offset_of(mark(MarkKind.BREAKER_OFF, 100.0, None), [(112.0, 113.0)])
    (moved,) = aligned([mark(MarkKind.UNLOCK, 200.0)], [offset])

    assert (offset.offset_s.u, moved.at_s.u, moved.at_s.value) == (None, None, 212.5)


def test_an_end_of_the_draw_beside_a_gap_aligns_nothing() -> None:
    """A meter behind the breaker leaves a gap: the end of the charge an hour later is not the breaker."""
    parts = (level("steady", 1400.0, 16.0), rest("ended", 200.0))
    kept = np.r_[np.ones(600, np.bool_), np.zeros(300, np.bool_), np.ones(700, np.bool_)]
    log = log_of(parts, voltage=False, keep=kept)

    told = read_session(log, Asked(meter=METER, marks=(mark(MarkKind.BREAKER_OFF, 600.0),)))

    assert "the log shows it 2 times (599 s to 900 s, 1399 s to 1400 s)" in told.marks[0].not_placed


@pytest.mark.parametrize(("back", "sure"), [(660.0, True), (620.0, False)])
def test_a_second_mark_of_a_clock_holds_the_first(back: float, sure: bool) -> None:
    """A breaker that is on again at another time than the log shows leaves the clock without an uncertainty."""
    parts = (level("steady", 600.0, 16.0), lost(60.0), level("steady", 600.0, 16.0), rest("ended", 30.0))
    marks = (mark(MarkKind.BREAKER_OFF, 600.0), mark(MarkKind.BREAKER_ON, back), mark(MarkKind.UNLOCK, 900.0))
    told = read_session(log_of(parts), Asked(meter=METER, marks=marks))

    assert [offset.offset_s.u is not None for offset in told.clocks] == [sure]
    assert [offset.contradicted == "" for offset in told.clocks] == [sure]
    assert any("by the offset taken for the clock 'watch'" in remark for remark in told.remarks) is not sure


def test_a_stated_offset_of_the_wrong_sign_is_questioned() -> None:
    """It puts the breaker where the voltage was there."""
    parts = (level("steady", 600.0, 16.0), lost(60.0), level("steady", 600.0, 16.0), rest("ended", 30.0))
    offset = ClockOffset(clock="watch", mark=MarkKind.OTHER, offset_s=Quantity(-12.0, 0.5, "s"))
    marks = (mark(MarkKind.BREAKER_OFF, 588.0),)
    told = read_session(log_of(parts), Asked(meter=METER, marks=marks, offsets=(offset,)))

    assert told.clocks[0].offset_s.u is None
    assert told.clocks[0].contradicted == told.clocks[0].offset_s.why
    assert told.clocks[0].contradicted.endswith("which shows it at 599 s to 600 s")
    assert any("the offset of another sign" in remark for remark in told.remarks)


def test_that_the_log_contradicts_a_clock_is_written_and_read_and_may_be_missing() -> None:
    """A record from before it was told holds a clock that nothing contradicts."""
    parts = (level("steady", 600.0, 16.0), lost(60.0), level("steady", 600.0, 16.0), rest("ended", 30.0))
    offset = ClockOffset(clock="watch", mark=MarkKind.OTHER, offset_s=Quantity(-12.0, 0.5, "s"))
    asked = Asked(meter=METER, marks=(mark(MarkKind.BREAKER_OFF, 588.0),), offsets=(offset,))
    written = json.loads(to_json(read_session(log_of(parts), asked)))
    back = from_json(SessionReading, json.dumps(written), where="the record")
    del written["clocks"][0]["contradicted"]
    earlier = from_json(SessionReading, json.dumps(written), where="an earlier record")

    assert back.clocks[0].contradicted.startswith("by the offset taken for the clock 'watch'")
    assert earlier.clocks[0].contradicted == ""


def test_a_clock_that_nobody_aligned_changes_no_phase() -> None:
    """A plug pulled at some time of a watch ends no charge in the middle of the log."""
    parts = (level("steady", 600.0, 16.0), rest("paused", 600.0), level("steady", 600.0, 16.0), rest("ended", 30.0))
    pulled = mark(MarkKind.PLUG_PULLED, 900.0)
    told = read_session(log_of(parts), Asked(meter=METER, marks=(pulled,)))

    assert kinds(told) == ["steady", "paused", "steady", "ended"]


def test_a_clock_that_the_log_contradicts_shows_no_loss_of_the_supply() -> None:
    """Its breaker lies in a pause with the voltage there, by an offset of the wrong sign."""
    parts = (level("steady", 600.0, 16.0), lost(60.0), level("steady", 600.0, 16.0), rest("ended", 300.0))
    marks = (mark(MarkKind.BREAKER_OFF, 600.0), mark(MarkKind.BREAKER_ON, 660.0))
    offset = ClockOffset(clock="watch", mark=MarkKind.OTHER, offset_s=Quantity(700.0, 0.5, "s"))
    told = read_session(log_of(parts), Asked(meter=METER, marks=marks, offsets=(offset,)))

    assert [round(outage.start_s, 1) for outage in told.outages] == [599.5]


@pytest.mark.parametrize("second", [None, MarkKind.BREAKER_OFF])
def test_a_breaker_whose_return_only_the_log_shows_is_on_from_then_on(second: MarkKind | None) -> None:
    """Marked off alone, to align a clock: the charge that ends later ended, and no supply was lost by marks."""
    parts = (level("steady", 600.0, 16.0), lost(60.0), level("steady", 600.0, 16.0), rest("ended", 300.0))
    marks = [mark(MarkKind.BREAKER_OFF, 599.5, clock="log")]
    if second is not None:
        marks.append(mark(second, 599.9, clock="log"))
    told = read_session(log_of(parts), Asked(meter=METER, marks=tuple(marks)))

    assert kinds(told) == ["steady", "supply lost", "steady", "ended"]
    assert [(outage.shown_by, round(outage.start_s, 1)) for outage in told.outages] == [("voltage", 599.5)]
