"""Speed of making a photograph ready to measure in, and of an outline on it, beside reading its pixels alone."""

from __future__ import annotations

import os
import tempfile
import time
from pathlib import Path
from statistics import median

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from coldpin.insulation.outline_proposing import ProposingChoices, propose_outline
from coldpin.records.board import Role
from coldpin.simulator.board_camera import VirtualCamera, draw_camera
from coldpin.simulator.board_card import LyingCard, yard_card
from coldpin.simulator.board_layout import CrossingPlan, lay_out
from coldpin.simulator.board_picture import Film, Scene, take_picture
from coldpin.workbench.photographs import PhotoChoices, look_at_photo
from tools.measured_page import table

RUNS = 7
OUTLINE_RUNS = 3
SIZES = ((2000, 1500), (4000, 3000))
"""Width and height of the pictures; the goal is for the larger. [px]"""

GOAL = 1.0
"""Asked for: the intake of twelve megapixels with a card. [s]"""


def write_photo(target: Path, size: tuple[int, int]) -> None:
    """Write a photograph of a virtual board with a scale card beside it.

    Parameters
    ----------
    target : Path
        The JPEG file to write.
    size : tuple of int
        Width and height. [px]
    """
    draws = np.random.default_rng(1)
    board = lay_out([CrossingPlan()])
    card = LyingCard(card=yard_card(), at=(board.width + 14.0, 10.0, 0.3), turn_deg=2.0)
    camera = draw_camera(draws, over=(-5.0, -5.0, board.width + 135.0, 90.0), size=size)
    picture = take_picture(Scene(board=board, card=card), camera, Film(), seed=draws)
    Image.fromarray(picture).save(target, quality=90)


def outlined(size: tuple[int, int]) -> tuple[NDArray[np.uint8], NDArray[np.float64]]:
    """Render a virtual board, and find a point on a pad of it.

    Parameters
    ----------
    size : tuple of int
        Width and height. [px]

    Returns
    -------
    tuple of NDArray
        The picture, and the point as an array of shape (1, 2). [px]
    """
    draws = np.random.default_rng(1)
    board = lay_out([CrossingPlan(gap_mm=6.0, slot_mm=2.0)])
    camera: VirtualCamera = draw_camera(draws, over=(-5.0, -5.0, board.width + 5.0, board.height + 5.0), size=size)
    picture = take_picture(Scene(board=board), camera, Film(), seed=draws)
    pad = next(shape for shape in board.features if shape.role is Role.CONDUCTOR)
    return picture, camera.project(pad.outline).mean(axis=0, keepdims=True)


def _timed_outline(size: tuple[int, int]) -> list[float]:
    picture, point = outlined(size)
    choices = ProposingChoices(snap=True)
    propose_outline(picture, point, choices)
    times = []
    for _ in range(OUTLINE_RUNS):
        begin = time.perf_counter()
        propose_outline(picture, point, choices)
        times.append(time.perf_counter() - begin)
    return times


def _timed(path: Path) -> tuple[list[float], list[float]]:
    choices = PhotoChoices(bar_along="90.00 mm ± 0.03 mm", bar_across="60.00 mm ± 0.03 mm", pick_u_px=1.0)
    look_at_photo(path, choices)
    times, references = [], []
    for _ in range(RUNS):
        begin = time.perf_counter()
        look_at_photo(path, choices)
        between = time.perf_counter()
        with Image.open(path) as image:
            np.asarray(image.convert("L"))
        times.append(between - begin)
        references.append(time.perf_counter() - between)
    return times, references


def section() -> tuple[str, bool]:
    """Time the intake of two pictures and return the text of the section.

    Returns
    -------
    tuple of str and bool
        A table, and whether the goal is reached.
    """
    rows, medians = [], []
    with tempfile.TemporaryDirectory() as folder:
        for width, height in SIZES:
            path = Path(folder) / "board.jpg"
            write_photo(path, (width, height))
            times, references = _timed(path)
            medians.append(median(times))
            last = (width, height) == SIZES[-1]
            reached = not last or medians[-1] <= GOAL
            rows.append(
                [
                    f"a photograph of {width * height / 1e6:.0f} megapixels with a card, made ready to measure in",
                    f"{medians[-1]:.2f} s",
                    f"{min(times):.2f} s to {max(times):.2f} s",
                    f"≤ {GOAL:g} s" + ("" if reached else ", **not reached**") if last else "",
                    f"{medians[-1] / median(references):.2g}",
                ]
            )
            grown = _timed_outline((width, height))
            rows.append(
                [
                    f"an outline on {width * height / 1e6:.0f} megapixels, grown from a point and laid to the edges",
                    f"{median(grown):.2f} s",
                    f"{min(grown):.2f} s to {max(grown):.2f} s",
                    "",
                    f"{median(grown) / median(references):.2g}",
                ]
            )
    text = (
        f"Photographs, within one process, {RUNS} runs in turns with decoding the same file to grey, and "
        f"{OUTLINE_RUNS} of an outline; load average at the end {os.getloadavg()[0]:.1f}.\n\n"
    )
    reached_all = medians[-1] <= GOAL
    return text + table(["photographs", "median", "lowest to highest", "goal", "over the reference"], rows), reached_all


if __name__ == "__main__":
    print(section()[0])
