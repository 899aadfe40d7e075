"""Speed of a drawing that is being made on the page: followed while a corner is dragged, judged when it rests."""

from __future__ import annotations

import hashlib
import os
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median

from coldpin.capture.board_file import render_board
from coldpin.insulation.outline_proposing import ProposingChoices
from coldpin.records.case import Build, Cable, Electronics
from coldpin.simulator.brackwater_boards import draw_on_photograph, photograph
from coldpin.simulator.brackwater_specimens import DUNMARR_32, PELLWICK_20, SKERROW_16
from coldpin.workbench import new_case
from coldpin.workbench.drawing_desk import DrawingDesk
from coldpin.workbench.outlines import propose_one
from tools.measured_page import table

RUNS = 7
GOAL = 0.1
"""Asked for: the ways between two nets of a drawing of the demonstration while a corner is dragged. [s]"""

POINTED = "300,900 = mains L"
"""Copper of the first photograph, in a picture of 4 million pixels."""


def _times(work: Callable[[], object]) -> list[float]:
    work()
    times = []
    for _ in range(RUNS):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return times


def _row(what: str, times: list[float], goal: str = "") -> list[str]:
    said = (f"{1e3 * one:.0f} ms" for one in (median(times), min(times), max(times)))
    middle, low, high = said
    return [what, middle, f"{low} to {high}", goal]


def section() -> tuple[str, bool]:
    """Time the slowest pair of nets of the three boards, and an outline that is pointed at.

    Returns
    -------
    tuple of str and bool
        A table, and whether the goal is reached.
    """
    followed: list[list[float]] = []
    judged: list[list[float]] = []
    with tempfile.TemporaryDirectory() as folder:
        case = new_case(
            Path(folder) / "case",
            make="Skerrow",
            model="16",
            charging_mode=2,
            build=Build.PORTABLE,
            cable=Cable.ATTACHED,
            electronics=Electronics.IN_CABLE,
        )
        picture = Path(folder) / "board.jpg"
        picture.write_bytes(photograph(SKERROW_16))
        for specimen in (SKERROW_16, PELLWICK_20, DUNMARR_32):
            sha256 = hashlib.sha256(photograph(specimen)).hexdigest()
            data = render_board(draw_on_photograph(specimen, picture=sha256))
            desk = DrawingDesk.open(case.folder)
            for pair in desk.look(data).pairs:
                followed.append(_times(partial(desk.follow, data, pair.nets)))
                judged.append(_once_each(case.folder, data, pair.nets))
        outlined = _times(partial(propose_one, picture, POINTED, choices=ProposingChoices(snap=True)))
    slowest = max(followed, key=median)
    reached = median(slowest) <= GOAL
    rows = [
        _row(
            "the ways between two nets while a corner is dragged, the slowest of twelve pairs",
            slowest,
            f"≤ {1e3 * GOAL:.0f} ms" + ("" if reached else ", **not reached**"),
        ),
        _row("the same pair of nets judged when the drawing rests, the slowest", max(judged, key=median)),
        _row("an outline proposed at a point of 4 megapixels", outlined),
    ]
    text = (
        f"Drawings on the page, boards of the demonstration, within one process, {RUNS} runs each; load average at "
        f"the end {os.getloadavg()[0]:.1f}.\n\n"
    )
    return text + table(["drawings", "median", "lowest to highest", "goal"], rows), reached


def _once_each(folder: Path, data: bytes, nets: tuple[str, str]) -> list[float]:
    """Time judging on a desk that has seen nothing of the drawing yet."""
    times = []
    for _ in range(RUNS):
        desk = DrawingDesk.open(folder)
        begin = time.perf_counter()
        desk.judge(data, nets)
        times.append(time.perf_counter() - begin)
    return times
