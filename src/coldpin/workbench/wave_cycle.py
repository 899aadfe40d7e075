"""The figures of one cycle of a wave, and the windows by which the levels of its case are told."""

from __future__ import annotations

import math
from pathlib import Path

from coldpin.errors import InputError
from coldpin.pilot.one_cycle import AROUND, figures_at, state_bands
from coldpin.records.wave import CycleFigures, StateBand
from coldpin.standards.book import load_book
from coldpin.workbench.look import accuracy_of
from coldpin.workbench.opening import edition_for
from coldpin.workbench.shelving import open_bench
from coldpin.workbench.wave_captures import find_capture
from coldpin.workbench.waves import Wave

MOST_AROUND = 1 << 20
"""Ours: the figures of a cycle are found in no more samples than this. [1]"""


def cycle_of_wave(folder: Path | str, entry: str, wave: Wave, at: float) -> CycleFigures | None:
    """Return the figures of the cycle, or of the level, that stands at a time of a wave.

    Parameters
    ----------
    folder : Path or str
        The case.
    entry : str
        Id of the entry that filed it.
    wave : Wave
        The wave, opened.
    at : float
        From the first sample. [s]

    Returns
    -------
    CycleFigures or None
        With the accuracy of the instrument; None where the wave has to be prepared first.

    Raises
    ------
    UnknownName
        There is no such capture.
    InputError
        The time lies outside the capture, or case or file cannot be read.
    """
    if wave.samples == 0:
        return None
    interval = wave.sample_interval
    if not 0.0 <= at < wave.samples * interval:
        raise InputError(f"the time {at:g} s was asked for; the capture lasts {wave.samples * interval:g} s")
    middle, half = int(at / interval), min(math.ceil(AROUND / interval), MOST_AROUND // 2)
    first = max(middle - half, 0)
    part = wave.part(first, middle + half + 1)
    if part is None:
        return None
    bench = open_bench(folder)
    found = find_capture(bench, entry)
    description = bench.case.description()
    return figures_at(
        part,
        at,
        first_s=first * interval,
        book=load_book().with_own(description.constants),
        edition=edition_for(description),
        accuracy=accuracy_of(
            bench.instruments.get(found.instrument), found.conditions.get("full scale", ""), found.instrument
        ),
    )


def bands_of_case(folder: Path | str) -> tuple[StateBand, ...]:
    """Return the windows by which the levels of a case are told and judged.

    Parameters
    ----------
    folder : Path or str
        The case.

    Returns
    -------
    tuple of StateBand
        One for each state.

    Raises
    ------
    CaseError
        The case cannot be read.
    """
    description = open_bench(folder).case.description()
    return state_bands(load_book().with_own(description.constants), edition_for(description))
