"""The time between samples: never a difference of rounded times; column, statement and hand held against each other."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from coldpin.capture import read_waveform
from coldpin.errors import AmbiguousDialect, CaptureError

Write = Callable[..., Path]


def capture_text(times: list[str], *, unit: str = "s", above: str = "") -> str:
    """Return a capture with the given times as written."""
    return f"{above}Time ({unit}),Pilot (V)\n" + "".join(f"{time},{i % 7}.5\n" for i, time in enumerate(times))


ROUNDED = [f"{n * 32.497e-3:.2f}" for n in range(512)]
"""512 samples 32.497 µs apart, in milliseconds rounded to 0.01: neighbours are 0.03 or 0.04 apart."""


@pytest.mark.hand("times written to 0.01 ms, 32.497 µs apart")
def test_the_step_stated_goes_before_a_rounded_column(write: Write) -> None:
    """The header's step is used as it stands; the column agrees within its rounding and is not differentiated."""
    assert {round(float(b) - float(a), 2) for a, b in itertools.pairwise(ROUNDED)} == {0.03, 0.04}

    waveform = read_waveform(write(capture_text(ROUNDED, unit="ms", above="Sample Interval: 32.497 us\n"))).waveform

    assert waveform.sample_interval == 32.497e-6
    assert waveform.remarks == ()


@pytest.mark.hand("span 511 · 32.497 µs = 16.606 ms, written 16.61: step 16.61/511 = 32.505 µs ± 10/511 µs")
def test_a_rounded_column_alone_gives_its_span(write: Write) -> None:
    """Without a statement the step comes from the whole span, with the limits that the rounding leaves."""
    waveform = read_waveform(write(capture_text(ROUNDED, unit="ms"))).waveform

    assert waveform.sample_interval == pytest.approx(16.61e-3 / 511, rel=1e-11)
    (remark,) = waveform.remarks
    assert remark.startswith("the time column is rounded: its span gives a step of 32.505 µs ± 19.569 ns (limits)")


@pytest.mark.hand("the last digit coarser than the step: ten samples share a time")
def test_a_column_rounded_beyond_the_step_is_still_even(write: Write) -> None:
    """Equal times that rounding explains are no fault."""
    times = [f"{n * 1e-4:.3f}" for n in range(400)]

    waveform = read_waveform(write(capture_text(times))).waveform

    assert waveform.sample_interval == pytest.approx(0.04 / 399, rel=1e-9)
    assert "is rounded" in waveform.remarks[0]


@pytest.mark.parametrize("form", ["{:.6e}", "{:.7g}", "{:.9f}", "{!r}"])
@pytest.mark.parametrize("start", [0.0, -0.0123, 5.0])
def test_any_way_of_writing_equal_steps_is_even(write: Write, form: str, start: float) -> None:
    """Powers of ten, few significant digits, many places, every digit there is."""
    times = [form.format(start + 2e-5 * n) for n in range(3000)]

    waveform = read_waveform(write(capture_text(times))).waveform

    assert waveform.sample_interval == pytest.approx(2e-5, rel=1e-4)
    assert waveform.start == float(times[0])


@pytest.mark.hand("single precision has 24 binary digits")
def test_times_computed_in_single_precision_are_even(write: Write) -> None:
    """An instrument that counts time in 32 bits is forgiven what 32 bits cost."""
    times = [f"{float(np.float32(0.5) + np.float32(n) * np.float32(1e-6)):.10f}" for n in range(2000)]

    assert read_waveform(write(capture_text(times))).waveform.sample_interval == pytest.approx(1e-6, rel=1e-3)


@pytest.mark.hand("epoch seconds leave 0.24 µs in a 64-bit float")
def test_seconds_since_an_epoch_are_even(write: Write) -> None:
    """A large start costs digits, which is allowed for."""
    times = [f"{1900000000 + n * 1e-3:.6f}" for n in range(500)]

    assert read_waveform(write(capture_text(times))).waveform.sample_interval == pytest.approx(1e-3, rel=1e-6)


@pytest.mark.hand("gap put in by hand")
@pytest.mark.parametrize("lost", [1, 3, 200])
def test_a_gap_is_named(write: Write, lost: int) -> None:
    """Samples left out in the middle make the file a log; the largest gap is named with its rows."""
    times = [f"{n * 1e-3:.4f}" for n in range(1000) if not 400 < n <= 400 + lost]

    with pytest.raises(CaptureError) as caught:
        read_waveform(write(capture_text(times)))

    assert re.search(
        rf"row 403: the rows are not evenly spaced: the largest gap is {lost + 1} ms from row 402 to this row, "
        r"where 1 ms is usual; this is a log, not a waveform",
        str(caught.value),
    )


@pytest.mark.hand("jitter drawn from a fixed generator")
def test_uneven_clocks_make_a_log(write: Write) -> None:
    """Steps that wander by a tenth of a step are not equal steps."""
    times = np.cumsum(1e-3 * (1.0 + 0.1 * np.random.default_rng(5).standard_normal(500)))

    with pytest.raises(CaptureError, match="not evenly spaced"):
        read_waveform(write(capture_text([f"{time:.9f}" for time in times])))


@pytest.mark.hand("by eye")
def test_time_going_back_names_row_and_amount(write: Write) -> None:
    """A segment that begins anew is refused at its first row, counted as an editor counts."""
    times = [f"{n * 1e-6:.6f}" for n in range(1000)] * 2

    with pytest.raises(CaptureError, match=r"pilot.csv, row 1003: time goes back by 999 µs; .* cut it before this row"):
        read_waveform(write("note\n" + capture_text(times)))


def test_rows_are_counted_past_blanks_and_comments(write: Write) -> None:
    """Lines passed over still count."""
    rows = ["0.0,1", "", "0.1,2", "# clip moved", "0.2,3", "", "", "0.1,4"]

    with pytest.raises(CaptureError, match=r"row 9: time goes back by 100 ms"):
        read_waveform(write("Time (s),Pilot (V)\n" + "\n".join(rows) + "\n"))


def test_the_cut_is_made_by_hand(write: Write) -> None:
    """What the message says to do works: rows before a line are passed over, also a million of them."""
    times = [f"{n * 1e-3:.3f}" for n in range(3000)]
    path = write(capture_text([*times, *times]))

    capture = read_waveform(path, choices={"skip_rows": 3001, "time": 1, "voltage": 2})

    assert (capture.rows_kept, capture.waveform.start) == (3000, 0.0)
    assert capture.dialect.skip_rows == 3001
    again = read_waveform(path, dialect=capture.dialect)
    assert again.waveform.voltage.tolist() == capture.waveform.voltage.tolist()
    with pytest.raises(CaptureError, match="it ends before line 9001: say a smaller --skip-rows"):
        read_waveform(path, choices={"skip_rows": 9000})


@pytest.mark.parametrize(
    ("above", "said"),
    [
        (
            "Sample Interval: 2e-3\n",
            r"line 1 states a step of 2 ms \('Sample Interval: 2e-3'\), but the time column 'Time'",
        ),
        ("Sample Rate: 999 Hz\n", "line 1 states a step of 1.001 ms"),
        ("Sample Interval: 1.0015e-3\n", "line 1 states a step of 1.0015 ms"),
    ],
)
def test_a_statement_that_is_not_the_column_is_refused(write: Write, above: str, said: str) -> None:
    """A step stated that the span of the column contradicts is an error with both values."""
    times = [f"{n * 1e-3:.3f}" for n in range(3000)]

    with pytest.raises(CaptureError, match=said):
        read_waveform(write(capture_text(times, above=above)))


@pytest.mark.hand("1.02 ms rounded to 1.0 ms is not rounding by its last digit but by a fiftieth")
def test_a_rounded_statement_yields_to_a_finer_column(write: Write) -> None:
    """A step stated with fewer digits than the column has is only held against it."""
    times = [f"{n * 1.0004e-3:.7f}" for n in range(3000)]

    waveform = read_waveform(write(capture_text(times, above="Sample Interval: 1.000e-3\n"))).waveform

    assert waveform.sample_interval == pytest.approx(1.0004e-3, rel=1e-9)
    assert "line 1 states a step of 1 ms, rounded; the time column says 1.0004 ms, which was used" in waveform.remarks


def test_statements_that_differ_are_asked_about(write: Write) -> None:
    """Two steps stated that are not one are listed."""
    with pytest.raises(AmbiguousDialect, match=r"line 1 .* and line 2 .* say --step 1e-06 or --step 5e-07"):
        read_waveform(write("Sample Interval: 1 us\nSample Rate: 2 MHz\nPilot (V)\n1\n2\n"))


def test_statements_that_agree_are_one(write: Write) -> None:
    """Interval and rate of one recording, and one of each channel, are the same step."""
    above = "Sample Rate: 30.772 kHz\nSample Interval: 32.497 us\nIncrement;3.2497e-05;3.2497e-05\n"

    assert read_waveform(write(above + "Pilot (V);Room (°C)\n1;2\n2;3\n")).waveform.sample_interval == 32.497e-6


@pytest.mark.parametrize(
    "line",
    ["Samples per cycle: 512", "Time of day: 12.5", "Vertical increment: 0.04", "Record length: 5000", "Steps: 3"],
)
def test_other_lines_state_no_step(write: Write, line: str) -> None:
    """A nominal count, a level or a length is not taken for a step."""
    with pytest.raises(CaptureError, match="there is no time column and the lines above"):
        read_waveform(write(f"{line}\nPilot (V)\n1\n2\n"))


def test_a_statement_that_cannot_be_read_is_said(write: Write) -> None:
    """A step in another decimal sign, or an unknown unit, is not guessed at."""
    text = "Sample Interval: 1.5\nSample Interval: 2 fortnights\nTime (s);Pilot (V)\n0,0;1,5\n0,1;2,5\n"

    remarks = read_waveform(write(text)).remarks

    assert [remark for remark in remarks if "cannot be read here ('Sample Interval: 1.5'" in remark]
    assert [remark for remark in remarks if "cannot be read here ('Sample Interval: 2 fortnights'" in remark]


@pytest.mark.hand("by eye")
@pytest.mark.parametrize(
    ("line", "step"),
    [
        ("Sample interval: 1,000000 ms", 1e-3),
        ("Sample interval: 0,5 ms", 5e-4),
        ("Sample interval = 2us", 2e-6),
        ("Sample interval,2,us", 2e-6),
        ("Sample interval,2,2,us,,", 2e-6),
        ("Sample interval (us),2", 2e-6),
        ("Sample interval (us): 2,,,", 2e-6),
        ('"Sample interval","2","us"', 2e-6),
        ("Sample interval,1,000000", None),
        ("Sample interval,1,2,us", None),
        ("Sample interval: 1.000.000 ns", None),
        ("Sample interval: 1 000 ns", None),
        ("Sample interval: 1_000 ns", None),
        ("Sample interval: -1 us", None),
        ("Sample interval: 0", None),
        ("Sample interval: 1e-6x", None),
    ],
)
def test_a_statement_is_read_as_a_whole_or_not_at_all(write: Write, line: str, step: float | None) -> None:
    """In a file of whole numbers between commas, a comma in a statement is a decimal sign or a fault, never a cut."""
    path = write(f"{line}\nPilot (V),Room (°C)\n1,21\n2,21\n")

    if step is not None:
        assert read_waveform(path).waveform.sample_interval == step
        return
    with pytest.raises(CaptureError, match="there is no time column and the lines above the data state no time"):
        read_waveform(path)


@pytest.mark.hand("by eye")
def test_the_hand_goes_before_all(write: Write) -> None:
    """A step by hand is used; where column or statement say otherwise, that is remarked."""
    times = [f"{n * 1e-3:.3f}" for n in range(50)]
    path = write(capture_text(times, above="Sample Rate: 5 Hz\n"))

    capture = read_waveform(path, choices={"step": "2 ms"})

    assert capture.waveform.sample_interval == 2e-3
    assert capture.dialect.origin["step"] == "given by hand"
    assert capture.remarks == ("the step given by hand, 2 ms, is not that of the time column, 1 ms",)
    assert read_waveform(path, choices={"rate": "1 kHz"}).remarks == ()


def test_the_hand_can_overrule_a_broken_column(write: Write) -> None:
    """With a step by hand, times that are missing or uneven cost a remark."""
    path = write(capture_text(["", "0.001", "0.005"]))

    capture = read_waveform(path, choices={"step": 1e-3})

    assert (capture.waveform.sample_interval, capture.waveform.start) == (1e-3, 0.0)
    assert capture.remarks[0].startswith("the step given by hand was used although the time column says otherwise")


@pytest.mark.hand("by eye")
def test_where_the_step_came_from_is_kept(write: Write) -> None:
    """The dialect holds a step only where the time column does not say it."""
    from_column = read_waveform(write(capture_text(["0.0", "0.1", "0.2"]))).dialect
    stated = read_waveform(write("Increment: 1e-3\nPilot (V)\n1\n2\n")).dialect

    assert (from_column.step, from_column.origin["step"]) == (None, "from the time column")
    assert (stated.step, stated.origin["step"]) == (1e-3, "from the header")
