"""Event marks as text: every way to write one, by whatever clock, and what is refused."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.checks.event_marks import parse_mark, parse_offset, parse_price
from coldpin.errors import InputError, UnknownName
from coldpin.records.session import MarkKind

BEGAN = "2026-05-02T13:30:00"


@given(
    st.floats(0.0, 1e6).map(lambda value: round(value, 1)),
    st.sampled_from([kind for kind in MarkKind if "offer" not in kind.value]),
    st.sampled_from(["log", "watch", "phone of Ines"]),
    st.sampled_from(["", " ± 1 s", " ± 500 ms"]),
)
def test_a_mark_is_read_as_it_was_written(at: float, kind: MarkKind, clock: str, limits: str) -> None:
    """Time, limits, clock and event come back."""
    by = "" if clock == "log" else f" @{clock}"
    mark = parse_mark(f"{at:g} s{limits}{by} = {kind.value}")

    assert (mark.kind, mark.clock) == (kind, clock)
    assert mark.at_s.value == pytest.approx(float(f"{at:g}"))
    assert (mark.at_s.u is None) == (not limits)
    assert bool(mark.at_s.why) == (not limits)


@given(st.integers(0, 86_399))
def test_a_time_of_day_is_the_next_one_after_the_first_row(seconds: int) -> None:
    """Within the day that begins with the log."""
    when = datetime.fromisoformat(BEGAN) + timedelta(seconds=seconds)

    assert parse_mark(f"{when:%H:%M:%S} = unlock", began=BEGAN).at_s.value == seconds


@pytest.mark.parametrize(
    ("text", "began", "seconds"),
    [
        ("2026-05-03T13:30:10 = unlock", BEGAN, 86_410.0),
        ("2026-05-03 13:30:10 ± 2 s = unlock", BEGAN, 86_410.0),
        ("13:31 = unlock", BEGAN, 60.0),
        ("9:00:00 = unlock", BEGAN, 70_200.0),
        ("13:30:10,5 = unlock", BEGAN, 10.5),
        ("2026-05-02T11:31:00+00:00 = unlock", "2026-05-02T13:30:00+02:00", 60.0),
        ("2026-05-02T13:31:00 = unlock", "2026-05-02T13:30:00+02:00", 60.0),
        ("2.5 min = unlock", "", 150.0),
    ],
)
def test_ways_to_write_a_time(text: str, began: str, seconds: float) -> None:
    """A date, a time of day, with or without zone, or a count with its unit."""
    assert parse_mark(text, began=began).at_s.value == seconds


@pytest.mark.parametrize(
    ("text", "kind", "offer"),
    [
        ("10 s = offer lowered to 10 A ± 0.2 A", MarkKind.OFFER_LOWERED, 10.0),
        ("10 s = offer raised 16 A", MarkKind.OFFER_RAISED, 16.0),
        ("10 s = offer lowered, 6000 mA", MarkKind.OFFER_LOWERED, 6.0),
    ],
)
def test_an_offer_has_its_current(text: str, kind: MarkKind, offer: float) -> None:
    """In any unit of a current."""
    mark = parse_mark(text)

    assert mark.kind is kind
    assert mark.offer_a is not None
    assert mark.offer_a.value == offer


@pytest.mark.parametrize("text", ["unlock", "= unlock", "10 s =", "", "25:99 = unlock", "10 = unlock", "soon = unlock"])
def test_what_is_no_mark_is_refused(text: str) -> None:
    """No time, no event, no unit, no such time of day."""
    with pytest.raises(InputError):
        parse_mark(text, began=BEGAN)


def test_an_unknown_event_lists_those_that_there_are() -> None:
    """With the nearest one named."""
    with pytest.raises(UnknownName, match=r"did you mean 'lock released'\? Known: breaker off, breaker on"):
        parse_mark("10 s = lock release")


@pytest.mark.parametrize("text", ["12 s", "=12 s", "watch=12"])
def test_an_offset_names_clock_and_unit(text: str) -> None:
    """Whose, and in what."""
    with pytest.raises(InputError):
        parse_offset(text)


@pytest.mark.parametrize("text", ["0.35", "0.35 EUR", "EUR/kWh", "0.35 EUR/MWh", "-1 EUR/kWh"])
def test_a_price_is_an_amount_a_currency_and_a_kilowatt_hour(text: str) -> None:
    """Anything else is refused with the form to write."""
    with pytest.raises(InputError, match=r"such as '0\.35 EUR/kWh'"):
        parse_price(text)


@pytest.mark.hand("put forward an hour after half an hour: 15:00 was shown half an hour after 13:30, 14:15 never")
def test_a_clock_that_was_put_forward() -> None:
    """A time of its calendar is told as the clock ran; a skipped one was never shown."""
    steps = [(1800.0, 3600.0)]

    assert parse_mark("15:00:00 = unlock", began=BEGAN, clock_steps=steps).at_s.value == 1800.0
    assert parse_mark("13:45:00 = unlock", began=BEGAN, clock_steps=steps).at_s.value == 900.0
    with pytest.raises(InputError, match="showed this time never"):
        parse_mark("14:15:00 = unlock", began=BEGAN, clock_steps=steps)


@pytest.mark.hand("put back an hour after an hour: 13:45 was shown after 15 minutes and after 75")
def test_a_clock_that_was_put_back() -> None:
    """A time that was shown twice is refused; the watch of another is not the log's clock."""
    steps = [(3600.0, -3600.0)]

    with pytest.raises(InputError, match="showed this time twice"):
        parse_mark("13:45:00 = unlock", began=BEGAN, clock_steps=steps)
    assert parse_mark("13:45:00 @watch = unlock", began=BEGAN, clock_steps=steps).at_s.value == 900.0
    assert parse_mark("14:45:00 = unlock", began=BEGAN, clock_steps=steps).at_s.value == 8100.0
