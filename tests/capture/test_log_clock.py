"""The clock of a logger: put back, put forward, past midnight, too coarse; the time of a log only rises."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.capture.log import read_log
from coldpin.capture.log_clock import settle_clock
from coldpin.errors import CaptureError

Write = Callable[..., Path]


def log_text(stamps: list[str]) -> str:
    """Return a log with the given stamps as written."""
    return "Time,Power (W)\n" + "".join(f"{stamp},{n % 7}.5\n" for n, stamp in enumerate(stamps))


def by_minutes(*minutes: int, day: str = "2026-10-25") -> list[str]:
    """Return stamps at minutes after midnight."""
    return [f"{day} {minute // 60:02d}:{minute % 60:02d}:00" for minute in minutes]


@pytest.mark.hand("02:59 is followed by 02:00: back by 59 min, of which one usual step of 1 min is time")
def test_the_end_of_summer_time_is_a_setting_of_the_clock(write: Write) -> None:
    """The stamps go back by an hour: the time goes on by the usual step, and what was done is said."""
    read = read_log(write(log_text(by_minutes(177, 178, 179, 120, 121, 122))))

    (step,) = read.log.clock_steps
    assert (step.row, step.seconds) == (3, -3600.0)
    assert read.log.time_s.tolist() == [0.0, 60.0, 120.0, 180.0, 240.0, 300.0]
    (remark,) = read.remarks
    assert remark.startswith(
        "row 5: the time goes back by 59 min; taken for a setting of the clock by 1 h, as at the end"
    )


@pytest.mark.hand("02:00 is followed by 03:01: 61 min, one usual step of 1 min and the hour")
def test_a_jump_ahead_is_a_gap_unless_said_by_hand(write: Write) -> None:
    """An outage of an hour and the begin of summer time look alike: the gap stays, with the option to type."""
    path = write(log_text(by_minutes(118, 119, 120, 181, 182)))

    gap = read_log(path)
    said = read_log(path, choices={"clock_step": "5=1 h"})
    kept = read_log(path, dialect=said.dialect)

    assert gap.log.time_s.tolist() == [0.0, 60.0, 120.0, 3780.0, 3840.0]
    assert gap.log.clock_steps == ()
    assert gap.remarks[0] == "gaps longer than three usual steps of 1 min: 1, the longest 61 min before row 5"
    assert "say --clock-step '5=1 h'" in gap.remarks[1]
    for read in (said, kept):
        assert read.log.time_s.tolist() == [0.0, 60.0, 120.0, 180.0, 240.0]
        assert [(step.row, step.seconds) for step in read.log.clock_steps] == [(3, 3600.0)]
        assert read.remarks == ("row 5: the clock was put forward by 1 h, as was said by hand",)


def test_stamps_with_their_zone_need_no_setting(write: Write) -> None:
    """A logger that writes its zone tells the end of summer time by itself."""
    stamps = ["2026-10-25T02:59:30+02:00", "2026-10-25T02:00:00+01:00", "2026-10-25T02:00:30+01:00"]

    read = read_log(write(log_text(stamps)))

    assert read.log.time_s.tolist() == [0.0, 30.0, 60.0]
    assert (read.log.clock_steps, read.log.began) == ((), "2026-10-25T02:59:30+02:00")


@pytest.mark.hand("10:00:30 is followed by 10:00:13 in a log at 10 s: the clock went back by 27 s")
def test_a_clock_set_by_hand(write: Write) -> None:
    """Any setting back is told by how much, as far as the usual step tells."""
    stamps = [f"2026-05-02 10:00:{second:02d}" for second in (0, 10, 20, 30, 13, 23, 33, 43)]

    log = read_log(write(log_text(stamps))).log

    assert log.time_s.tolist() == [float(10 * n) for n in range(8)]
    assert log.clock_steps[0].seconds == -27.0


def test_times_of_day_run_past_midnight(write: Write) -> None:
    """Without a date, a fall by nearly a day is midnight."""
    read = read_log(write(log_text(["23:59:40", "23:59:50", "00:00:00", "00:00:10"])))

    assert read.log.time_s.tolist() == [0.0, 10.0, 20.0, 30.0]
    assert read.log.clock_steps == ()
    assert read.remarks == ("the times of day begin anew once: taken for midnight",)


def test_a_count_that_starts_again(write: Write) -> None:
    """Two runs in one file: the second goes on where the first ended, and that is said."""
    rows = "".join(f"{n},5\n" for n in [0, 1, 2, 3, 0, 1, 2])

    read = read_log(write("Time (s),Power (W)\n" + rows))

    assert read.log.time_s.tolist() == [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
    assert "how long it really took cannot be told" in read.remarks[0]


@pytest.mark.hand("two rows a second: the second of each pair half a second later")
def test_rows_of_one_stamp_share_its_last_place(write: Write) -> None:
    """Stamps coarser than the step are spread, never beyond the next."""
    stamps = [f"2026-05-02 10:00:0{second}" for second in (0, 0, 1, 1, 2, 2)]

    read = read_log(write(log_text(stamps)))

    assert read.log.time_s.tolist() == [0.0, 0.5, 1.0, 1.5, 2.0, 2.5]
    assert read.remarks == (
        "rows with the time of the row above: 3; spread evenly within the last place written (1 s)",
    )


def test_rows_out_of_order_are_refused(write: Write) -> None:
    """Two rows exchanged are no setting of the clock."""
    stamps = [f"2026-05-02 10:00:{second:02d}" for second in (0, 10, 20, 40, 30, 50, 60 - 1)]

    with pytest.raises(CaptureError, match=r"row 6: its time lies before that of the row above.*out of order"):
        read_log(write(log_text(stamps)))


@pytest.mark.parametrize(
    ("wrong", "said"), [(3600.0, "59.98 min after that of"), (-3600.0, "60.02 min before that of")]
)
def test_one_stamp_that_is_an_hour_off_is_no_setting_of_the_clock(write: Write, wrong: float, said: str) -> None:
    """Row 301 of 600 lies an hour ahead or behind: taken for a setting it would make the log an hour longer."""
    seconds = [float(second) for second in range(600)]
    seconds[300] += wrong
    rows = "".join(f"{second:g},3500\n" for second in seconds)

    with pytest.raises(CaptureError, match=rf"row 302: its time lies {said}.*one stamp is wrong"):
        read_log(write("Time (s),Power (W)\n" + rows))


def test_rows_without_a_time_are_left_out(write: Write) -> None:
    """A row that cannot be placed is counted, not placed by guess."""
    read = read_log(write(log_text(["2026-05-02 10:00:00", "", "2026-05-02 10:00:20"])))

    assert read.log.time_s.tolist() == [0.0, 20.0]
    assert (read.rows_read, read.rows_kept) == (3, 2)
    assert "rows without a time, left out: 1 of 3" in read.remarks


def test_a_setting_that_would_turn_time_back_is_refused(write: Write) -> None:
    """By hand no more can be taken than there is."""
    path = write(log_text(by_minutes(118, 119, 130, 131)))

    with pytest.raises(
        CaptureError, match=r"row 4: --clock-step says .* by 1 h, but the time would then go back by 49 min"
    ):
        read_log(path, choices={"clock_step": "4=1 h"})


def test_a_time_that_no_log_has_is_refused(write: Write) -> None:
    """A digit too many in a time is named with its row, not taken for an outage of a thousand years."""
    path = write("Time (s),Power (W)\n0,1\n1,2\n20000000000000,3\n3,4\n")

    with pytest.raises(CaptureError, match=r"row 4: its time lies .* from that of the first row"):
        read_log(path)


@given(
    steps=st.lists(st.integers(0, 7200), min_size=1, max_size=60),
    settings=st.lists(st.tuples(st.integers(1, 60), st.integers(-90_000, -1)), max_size=4),
    resolution=st.sampled_from([1.0, 60.0]),
)
def test_time_always_rises(steps: list[int], settings: list[tuple[int, int]], resolution: float) -> None:
    """Whatever the stamps: the time rises, or the rows are refused as out of order; stamps and settings add up."""
    stamps = np.concatenate(([0.0], np.cumsum(np.array(steps, float))))
    for row, seconds in settings:
        stamps[row:] += seconds
    said, clock = "", None
    try:
        clock = settle_clock(
            stamps, resolution=resolution, by_hand={}, line=lambda row: row, refuse=lambda text, _: CaptureError(text)
        )
    except CaptureError as error:
        said = str(error)

    assert clock is None or (np.diff(clock.time_s) > 0.0).all()
    assert (clock is None) == ("out of order" in said)
    if clock is not None:
        shown = clock.time_s + sum(
            (row_step(step.row, stamps.size) * step.seconds for step in clock.steps), np.zeros(1)
        )
        assert np.abs(shown - stamps).max() <= resolution


def row_step(row: int, rows: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Return an array that is one from a row on."""
    return (np.arange(rows) >= row).astype(np.float64)
