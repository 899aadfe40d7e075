"""Measure the reading of long charging logs: a month at one row a second, beside one plain pass over its columns."""

from __future__ import annotations

import sys
from functools import partial
from statistics import median

import numpy as np

from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.records.plain import to_json
from coldpin.records.session import TraceOf
from coldpin.session.meter import Meter
from coldpin.session.reading import Asked, read_session
from coldpin.session.trace import trace_between, trace_rows
from coldpin.standards.accuracy import parse_accuracy
from tools.bench_stream import growth
from tools.measured_page import table
from tools.timing import LEAST_RUNS, in_turns, tell, timed

MONTH = 2_600_000
"""Rows of a month at one a second."""

SIZES = (MONTH // 16, MONTH // 8, MONTH // 4, MONTH // 2, MONTH)
GOAL_S = 3.0
GOAL_GROWTH = 1.1
GOAL_DRAWN_S = 0.05
STRETCHES_ON_A_SCREEN = 1200
PARTS_DRAWN = (
    ("the whole month", 0.0, float(MONTH)),
    ("one day", 1e6, 1e6 + 86_400.0),
    ("ten minutes", 1e6, 1e6 + 600.0),
)
"""Parts of the month that are drawn, from the first row. [s]"""
RUNS = 5
METER = Meter(
    statements={
        LogQuantity.POWER: parse_accuracy("1 % + 2 W"),
        LogQuantity.CURRENT: parse_accuracy("1 % + 0.02 A"),
        LogQuantity.VOLTAGE: parse_accuracy("0.5 %"),
    }
)


def make_log(rows: int, *, restless: bool = False, gaps: bool = False) -> Log:
    """Make a log of daily charges with noise, a reduced hour each, and a wandering voltage.

    Parameters
    ----------
    rows : int
        How many, one a second. [1]
    restless : bool
        Whether the current jumps at every third row, so that no stretch holds more.
    gaps : bool
        Whether nothing was recorded for ten seconds of every two minutes.

    Returns
    -------
    Log
        Current, voltage and power, in steps of a meter.
    """
    random = np.random.default_rng(1)
    day = np.concatenate(
        [np.zeros(28_800), np.linspace(0.0, 16.0, 20), np.full(18_000, 16.0), np.full(3600, 10.0), np.zeros(35_980)]
    )
    current = np.resize(day, rows)
    if restless:
        # two of three rows are alike, so that it does not pass for noise
        current = np.repeat(random.uniform(6.0, 16.0, rows // 3 + 1), 3)[:rows]
    else:
        current = np.where(current > 0.0, current + random.normal(0.0, 0.03, rows), 0.0)
    voltage = 231.0 + 3.0 * np.sin(np.arange(rows) / 5000.0) + random.normal(0.0, 0.2, rows)
    columns = (
        (LogQuantity.CURRENT, current, 0.01),
        (LogQuantity.VOLTAGE, voltage, 0.1),
        (LogQuantity.POWER, 0.99 * current * voltage, 1.0),
    )
    kept = np.arange(rows) % 120 >= 10 if gaps else np.ones(rows, np.bool_)
    return Log(
        time_s=np.arange(float(rows))[kept],
        channels=tuple(
            LogChannel(
                name=quantity.value,
                quantity=quantity,
                unit="",
                values=(np.round(values / step) * step)[kept],
                resolution=step,
            )
            for quantity, values, step in columns
        ),
    )


def plain_pass(log: Log) -> float:
    """Sum the columns of a log once, which is the least that anything made from them can do.

    Parameters
    ----------
    log : Log
        The log.

    Returns
    -------
    float
        The sums together, so that nothing is left out.
    """
    return float(np.sum(log.time_s)) + sum(float(np.sum(channel.values)) for channel in log.channels)


def section() -> tuple[str, bool]:
    """Measure, and return the text of the section with whether every goal is reached.

    Returns
    -------
    tuple of str and bool
        Markdown, and whether the goals are reached.
    """
    rows = []
    reached = True
    asked = Asked(meter=METER)
    for name, restless, gaps in (
        ("a month at 1 s, a charge a day", False, False),
        ("another current at every third row", True, False),
        ("ten seconds of every two minutes missing", False, True),
    ):
        tell(f"charging log: {name}")
        log = make_log(MONTH, restless=restless, gaps=gaps)
        times, passes = in_turns(
            partial(timed, partial(read_session, log, asked)), partial(timed, partial(plain_pass, log)), runs=RUNS
        )
        middle = median(times)
        sizes = [make_log(size, restless=restless, gaps=gaps) for size in SIZES]
        parts = in_turns(*(partial(timed, partial(read_session, part, asked)) for part in sizes), runs=LEAST_RUNS)
        by_size = [*map(median, parts)]
        exponent = growth(list(SIZES), by_size)
        within = middle <= GOAL_S and (restless or exponent <= GOAL_GROWTH)
        reached = reached and within
        rows.append(
            [
                name,
                f"{middle:.2f} s",
                f"{min(times):.2f} s to {max(times):.2f} s",
                f"≤ {GOAL_S:g} s, n^{GOAL_GROWTH:g}" + ("" if within else ", **not reached**"),
                f"n^{exponent:.2f}",
                f"{middle / median(passes):.0f}",
            ]
        )
    head = ["charging log", "median", "lowest to highest", "goal", "growth", "times one pass over the columns"]
    text = f"Logs of {MONTH / 1e6:g} million rows read to phases, energy and outages, up to {RUNS} runs.\n\n"
    parts_drawn, drawn_in_time = drawn()
    return text + table(head, rows) + parts_drawn, reached and drawn_in_time


def drawn() -> tuple[str, bool]:
    """Measure how long parts of a month take to be told for drawing, as the page is told them.

    Returns
    -------
    tuple of str and bool
        Markdown, and whether the goal is reached.
    """
    held = trace_rows(make_log(MONTH))
    lines, reached = [], True
    for name, start, end in (
        ("the whole month", 0.0, MONTH),
        ("one day", 1e6, 1e6 + 86_400),
        ("ten minutes", 1e6, 1e6 + 600),
    ):
        tell(f"charging log, drawn: {name}")
        tell_part = partial(trace_between, held, TraceOf.CURRENT, start=start, end=end, stretches=STRETCHES_ON_A_SCREEN)
        (times,) = in_turns(partial(timed, lambda part=tell_part: to_json(part())), runs=RUNS)  # type: ignore[misc]  # bound here
        within = median(times) <= GOAL_DRAWN_S
        reached = reached and within
        goal = f"≤ {1e3 * GOAL_DRAWN_S:g} ms" + ("" if within else ", **not reached**")
        lines.append(
            [name, f"{1e3 * median(times):.1f} ms", f"{1e3 * min(times):.1f} ms to {1e3 * max(times):.1f} ms", goal]
        )
    return "\n" + table(["part of a month, told for drawing", "median", "lowest to highest", "goal"], lines), reached


if __name__ == "__main__":
    told, all_reached = section()
    print(told)
    sys.exit(0 if all_reached else 1)
