"""Speed of reading a long log: a month of rows a second, with dates written out, beside polars reading its columns."""

from __future__ import annotations

import os
import tempfile
from functools import partial
from pathlib import Path
from statistics import median

import numpy as np
import polars as pl

from coldpin.capture.log import read_log
from tools.measured_page import table
from tools.timing import in_turns, tell, timed

RUNS = 5
ROWS = 2_592_000
SHARES = (0.25, 0.5, 1.0)
"""Parts of the month, by which it is seen how the time grows."""

GOAL = 6.0
"""Ours: a month is read in the time in which a person looks up and back. [s]"""


def write_log(target: Path, rows: int) -> None:
    """Write a log of voltage, current, power and temperature, a row a second, one power in a thousand missing.

    Parameters
    ----------
    target : Path
        The file to write.
    rows : int
        How many rows.
    """
    draws = np.random.default_rng(1)
    begun = pl.datetime(2026, 5, 1)
    stamps = pl.select(
        (begun + pl.duration(seconds=pl.int_range(rows))).dt.to_string("%Y-%m-%d %H:%M:%S").alias("Time")
    )
    frame = stamps.with_columns(
        pl.Series("Voltage (V)", np.round(230.0 + draws.normal(0.0, 1.0, rows), 1)),
        pl.Series("Current (A)", np.round(16.0 + draws.normal(0.0, 0.1, rows), 2)),
        pl.Series("Power (W)", np.round(3600.0 + draws.normal(0.0, 5.0, rows))),
        pl.Series("Plug (°C)", np.round(30.0 + draws.normal(0.0, 1.0, rows), 1)),
    )
    lost = pl.Series(draws.random(rows) < 1e-3)
    frame.with_columns(pl.when(lost).then(None).otherwise(pl.col("Power (W)")).alias("Power (W)")).write_csv(target)


def _timed(path: Path) -> list[tuple[float, ...]]:
    return in_turns(
        partial(timed, partial(read_log, path)),
        partial(timed, partial(pl.read_csv, path, try_parse_dates=True)),
        runs=RUNS,
    )


def section() -> tuple[str, bool]:
    """Time the reading of parts of a month and return the text of the section.

    Returns
    -------
    tuple of str and bool
        A table, and whether the goal is reached.
    """
    rows, medians = [], []
    with tempfile.TemporaryDirectory() as folder:
        for share in SHARES:
            path = Path(folder) / "log.csv"
            tell(f"a log of {share * ROWS:.3g} rows")
            write_log(path, int(share * ROWS))
            times, references = _timed(path)
            medians.append(median(times))
            reached = share < 1.0 or medians[-1] <= GOAL
            rows.append(
                [
                    f"a log of {share * ROWS:.3g} rows, five columns, dates written out",
                    f"{medians[-1]:.2f} s",
                    f"{min(times):.2f} s to {max(times):.2f} s",
                    f"≤ {GOAL:g} s" + ("" if reached else ", **not reached**") if share == 1.0 else "",
                    f"{medians[-1] / median(references):.2g}",
                ]
            )
    growth = float(np.polyfit(np.log(SHARES), np.log(medians), 1)[0])
    text = (
        f"Logs, within one process, up to {RUNS} runs in turns with polars reading the same columns; the time grows as "
        f"n^{growth:.2f}; load average at the end {os.getloadavg()[0]:.1f}.\n\n"
    )
    return text + table(["logs", "median", "lowest to highest", "goal", "over the reference"], rows), medians[
        -1
    ] <= GOAL


if __name__ == "__main__":
    print(section()[0])
