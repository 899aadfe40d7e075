"""A capture that stays where it is, read in one pass: runs of states with their figures."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

from coldpin.pilot.diode import compare_loads, read_diode
from coldpin.pilot.duty_cycle import offered_current
from coldpin.pilot.figures import Source, stated_step, without_steps
from coldpin.pilot.levels import without_clipped
from coldpin.pilot.reading import EXACT_RUNS
from coldpin.pilot.states import Windows, windows_of
from coldpin.pilot.stream.engine import Engine
from coldpin.pilot.stream.figures import level_of_sums, one_value, timing_of_sums, variance_within
from coldpin.pilot.stream.gather import gather
from coldpin.pilot.stream.glitch_sums import listed
from coldpin.pilot.stream.plan import Plan, plan_of, source_scale
from coldpin.pilot.stream.spans import SpanRun, runs_of, runs_without_flicker
from coldpin.pilot.timing import Timing
from coldpin.quantity import Quantity
from coldpin.records import pilot as records
from coldpin.records.pilot import PilotReading, Run, State
from coldpin.records.samples import SampleSource
from coldpin.standards.accuracy import ScopeAccuracy
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition
from coldpin.standards.pilot import DutyZone, Generator, duty_zones, generator

SCALE_SHARE = 0.1
"""The part of the work that finding the scale takes where all of the capture must be gone through for it. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rules:
    """What the edition says."""

    windows: Windows
    zones: tuple[DutyZone, ...]
    generator: Generator


def read_pilot_stream(
    source: SampleSource,
    *,
    book: Book,
    edition: Edition,
    accuracy: ScopeAccuracy | None = None,
    hands: int | None = None,
    engine: Engine | None = None,
    progress: Callable[[float], None] | None = None,
) -> PilotReading:
    """Read a capture of the pilot of any length in bounded memory: which states it went through, and their figures.

    States, levels, duty cycle, frequency and offered current are those of :func:`coldpin.pilot.read_pilot`, made from
    sums; outliers are set aside a quarter of a second at a time instead of over a whole run. They do not depend on how
    the capture is cut or how many hands read. Not told: rise and fall, dips within a plateau, an offer that steps or
    a diode that goes while the state stays (the run is not split there), and what an output beside the pilot did.

    Parameters
    ----------
    source : SampleSource
        The capture.
    book : Book
        The constants.
    edition : Edition
        The edition whose windows and duty zones are used.
    accuracy : ScopeAccuracy or None
        What is stated of the instrument.
    hands : int or None
        How many threads read at once; None for one a core.
    engine : Engine or None
        Who does the work; None for the one that is done first.
    progress : callable or None
        Is told the part done, 0 to 1; it may raise to cancel.

    Returns
    -------
    PilotReading
        The runs in order of time, without gap.

    Raises
    ------
    InputError
        The capture has no samples, or its interval is not a positive time.
    """
    tell = progress or (lambda _: None)
    tell(0.0)
    rules = _Rules(
        windows=windows_of(book, edition),
        zones=tuple(duty_zones(book, edition)),
        generator=generator(book, edition),
    )
    resolution = source.resolution if source.resolution is not None else stated_step(accuracy)
    scale = source_scale(source, resolution, progress=lambda part: tell(SCALE_SHARE * part))
    plan = plan_of(
        samples=source.samples,
        scale=scale,
        windows=rules.windows,
        stored=source.dtype,
        gain=source.gain,
        zero=source.zero,
        overload=source.overload,
    )
    spans, glitches = gather(
        source,
        plan,
        hands=hands,
        progress=lambda part: tell(SCALE_SHARE + (1.0 - SCALE_SHARE) * part),
        engine=engine,
    )
    found = runs_without_flicker(runs_of(spans, plan.shortest_run), plan)
    # names what only this capture shares, so that two captures are never taken for the same reading
    mark = hashlib.blake2b(repr(found).encode(), digest_size=6).hexdigest()
    runs = [
        _read_run(
            run,
            plan,
            rules,
            Source(
                scale=scale,
                accuracy=None if accuracy is None else without_steps(accuracy),
                name=f"capture {mark}, run {place + 1}",
                exact=len(found) <= EXACT_RUNS,
            ),
        )
        for place, run in enumerate(found)
    ]
    told = compare_loads(runs)
    tell(1.0)
    return PilotReading(
        schema="coldpin.pilot/1",
        source=records.Source(
            samples=source.samples,
            sample_interval_s=source.sample_interval,
            duration_s=source.samples * source.sample_interval,
        ),
        runs=told,
        glitches=listed(glitches, told, plan),
    )


def _read_run(run: SpanRun, plan: Plan, rules: _Rules, source: Source) -> Run:
    sums = run.sums
    high: Quantity | None = None
    low: Quantity | None = None
    timing = Timing()
    if sums.cycle_time + sums.block_time < run.other_time:
        # states that change faster than a run lasts: a mean over them is the level of none
        pass
    elif sums.cycle_time > sums.block_time:
        high, low = (
            without_clipped(
                level_of_sums(own, source, plan.gain, what),
                one_value=one_value(own),
                other_variance=variance_within(other),
                step=source.scale.step,
            )
            for what, own, other in (("high level", sums.high, sums.low), ("low level", sums.low, sums.high))
        )
        timing = timing_of_sums(sums.time, sums.batches, source)
    elif sums.blocks:
        high, low = _steady(run, plan, source)
    offers = timing.duty is not None and run.state.oscillating
    interval = plan.scale.interval
    return Run(
        state=run.state,
        start_s=run.first * interval,
        end_s=run.stop * interval,
        cycles=run.cycles,
        high_v=high,
        low_v=low,
        frequency_hz=timing.frequency,
        duty_percent=timing.duty,
        offered_current_a=offered_current(timing.duty, rules.zones) if offers and timing.duty is not None else None,
        diode=read_diode(run.state, high, low, windows=rules.windows, generator=rules.generator),
    )


def _steady(run: SpanRun, plan: Plan, source: Source) -> tuple[Quantity | None, Quantity | None]:
    sums = run.sums
    # what ripples within one state has its level in the middle of it
    if run.state in (State.UNDEFINED, State.E) and sums.steady < 0.5 * sums.blocks:
        return (
            level_of_sums(sums.rest_upper, source, plan.gain, "upper level"),
            level_of_sums(sums.rest_lower, source, plan.gain, "lower level"),
        )
    name = "low level" if run.state is State.F else "high level"
    level = level_of_sums(sums.rest, source, plan.gain, name)
    if run.state is State.F or (run.state is State.UNDEFINED and level is not None and level.value < 0.0):
        return None, level
    return level, None
