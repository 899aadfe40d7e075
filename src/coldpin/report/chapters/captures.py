"""The pilot as captured: the states over time, one clean cycle of each, and the figures of every run."""

from __future__ import annotations

from collections.abc import Sequence

from coldpin.quantity.model import Quantity
from coldpin.records.assessment import PilotEvidence
from coldpin.records.pilot import Diode, Meaning, OfferedCurrent, Run, State
from coldpin.report.chapters.switching import switching_blocks
from coldpin.report.document import (
    Block,
    Break,
    Column,
    Definition,
    Definitions,
    Face,
    Heading,
    Line,
    Listing,
    Paragraph,
    Role,
    Row,
    Table,
    Text,
)
from coldpin.report.figures.cycles import cycles
from coldpin.report.figures.glitches import glitches
from coldpin.report.figures.ribbon import ribbon
from coldpin.report.index import Index, stacked
from coldpin.report.numbers import counted, measured, span
from coldpin.report.times import duration, stretch

RUNS_PRINTED = 8
"""Up to how many runs a capture is told run by run; a longer one is told by state, and the record holds every run.

Ours: seven runs are one walk through the states and back, and a table of eight rows is read at a glance.
"""


def captures(index: Index) -> tuple[Block, ...]:
    """Return the chapter on the pilot captures.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where nothing was captured.
    """
    if not index.captures:
        return ()
    blocks: list[Block] = [
        Heading(2, "The pilot as captured", index.anchors.fresh("pilot")),
        Paragraph(
            (
                Text(
                    "The pilot is the one wire by which lead and car speak: its voltage tells whether a car is "
                    "connected and asks for power, the width of its pulses how much current may be drawn."
                ),
            )
        ),
    ]
    for capture in index.captures:
        blocks += _capture(index, capture)
    return tuple(blocks)


def _capture(index: Index, capture: PilotEvidence) -> tuple[Block, ...]:
    anchor = index.anchors.place("capture", capture.entry) or index.anchors.fresh("capture-again")
    reading = capture.reading
    blocks: list[Block] = [Heading(3, f"Capture {capture.file or capture.entry}", anchor)]
    blocks += [ribbon(capture, index.anchors), *cycles(capture, index.anchors)]
    if len(reading.runs) > RUNS_PRINTED:
        more = f"{counted(len(reading.runs), 'run')}, told by state; assessment.json holds each of them."
        blocks += [Paragraph((Text(more),), Role.QUIET), _states(reading.runs)]
    else:
        blocks.append(_runs(reading.runs))
    blocks += glitches(capture, index.anchors)
    if reading.output is not None or reading.switching:
        blocks += switching_blocks(capture, index.anchors)
    blocks.append(Definitions(_facts(index, capture)))
    if capture.remarks:
        blocks.append(Listing(tuple((Text(remark),) for remark in capture.remarks)))
    return tuple(blocks)


def _facts(index: Index, capture: PilotEvidence) -> tuple[Definition, ...]:
    source = capture.reading.source
    length = (
        f"{counted(source.samples, 'sample')}, one every {duration(source.sample_interval_s)}, "
        f"{duration(source.duration_s)} in all; windows of edition {capture.edition}"
    )
    facts = [
        Definition("Evidence", (index.to_entry(capture.entry), Break(), Text(f"sha256 {capture.sha256}", Face.CODE))),
        Definition("Samples", (Text(length),)),
    ]
    if capture.conditions:
        conditions = "; ".join(f"{name}: {value}" for name, value in capture.conditions)
        facts.append(Definition("Conditions", (Text(conditions),)))
    if capture.dialect:
        read_as = " · ".join(f"{name} “{value}”" for name, value in capture.dialect)
        facts.append(Definition("Read as", (Text(read_as),)))
    return tuple(facts)


def _runs(runs: Sequence[Run]) -> Table:
    """Tell each run by itself."""
    columns = (Column("State", 0.7), Column("When", 1.4), *_FIGURES)
    rows = tuple(_run(run) for run in runs)
    return Table("Runs of one state: levels of the settled part, edges from 10 % to 90 %, ± at 95 %", columns, rows)


_FIGURES = (
    Column("Level", 2.3),
    Column("Frequency, duty cycle", 2.1),
    Column("Rise, fall", 1.5),
    Column("Offer to the car", 1.6),
    Column("Diode", 0.9),
)


def _states(runs: Sequence[Run]) -> Table:
    """Tell many runs by state, and apart where the diode is seen otherwise."""
    columns = (Column("State", 0.7), Column("Runs, how long", 1.4), *_FIGURES)
    alike: dict[tuple[State, Diode], list[Run]] = {}
    for run in runs:
        alike.setdefault((run.state, run.diode), []).append(run)
    caption = "Runs by state: least to greatest of all runs, ± the largest half-width at 95 % of any"
    return Table(caption, columns, tuple(_state(group) for group in alike.values()))


def _state(runs: Sequence[Run]) -> Row:
    first = runs[0]
    pulses = [span(run.frequency_hz for run in runs), span(run.duty_percent for run in runs)]
    cycles_seen = sum(run.cycles for run in runs)
    seen = (Break(), Text(counted(cycles_seen, "cycle"), Face.QUIET)) if cycles_seen else ()
    shortest, longest = (duration(end(run.end_s - run.start_s for run in runs)) for end in (min, max))
    lasted = shortest if shortest == longest else f"{shortest} to {longest}"
    levels = [("high", span(run.high_v for run in runs)), ("low", span(run.low_v for run in runs))]
    return Row(
        (
            (Text(first.state.value, Face.STRONG),),
            (Text(f"{counted(len(runs), 'run')}, {lasted}"), *seen),
            stacked(Text(f"{word} {level}") for word, level in levels if level) or (Text("–"),),
            stacked(Text(figure) for figure in pulses if figure) or (Text("–"),),
            stacked(Text(edge) for edge in _edges_of(runs)) or (Text("–"),),
            stacked(Text(offer) for offer in _offers(runs)) or (Text("–"),),
            (Text(first.diode.value),),
        )
    )


def _edges_of(runs: Sequence[Run]) -> list[str]:
    """Return the span of rise and of fall, and how many runs resolve neither."""
    said = [("rise", span(run.rise_s for run in runs)), ("fall", span(run.fall_s for run in runs))]
    lines = [f"{word} {figure}" for word, figure in said if figure]
    below = [run.edges_below_s for run in runs if run.edges_below_s is not None and None in (run.rise_s, run.fall_s)]
    if below:
        some = "" if len(below) == len(runs) and not lines else f" in {counted(len(below), 'run')}"
        lines.append(f"below resolution (< {duration(max(below))}){some}")
    return lines


def _offers(runs: Sequence[Run]) -> list[str]:
    """Return the span of the currents offered, and what else a duty cycle meant."""
    offers = [run.offered_current_a for run in runs if run.offered_current_a is not None]
    current = span(offer.current for offer in offers if offer.meaning is Meaning.CURRENT)
    others = dict.fromkeys(_MEANINGS[o.meaning.value] for o in offers if o.meaning is not Meaning.CURRENT)
    return [line for line in (current, *others) if line]


def _run(run: Run) -> Row:
    cycles_seen = (Break(), Text(counted(run.cycles, "cycle"), Face.QUIET)) if run.cycles else ()
    levels = [text for text in (_level("high", run.high_v), _level("low", run.low_v)) if text]
    pulses = [measured(figure) for figure in (run.frequency_hz, run.duty_percent) if figure is not None]
    return Row(
        (
            (Text(run.state.value, Face.STRONG),),
            (Text(stretch(run.start_s, run.end_s)), *cycles_seen),
            stacked(Text(level) for level in levels) or (Text("–"),),
            stacked(Text(figure) for figure in pulses) or (Text("–"),),
            stacked(Text(edge) for edge in _edges(run)) or (Text("–"),),
            _offer(run.offered_current_a),
            (Text(run.diode.value),),
        )
    )


def _edges(run: Run) -> list[str]:
    """Return what is said of rise and fall; one sentence where both are below the resolution."""
    times = (("rise", run.rise_s), ("fall", run.fall_s))
    below = "" if run.edges_below_s is None else f"below resolution (< {duration(run.edges_below_s)})"
    if below and run.rise_s is None and run.fall_s is None:
        return [below]
    return [f"{word} {below if time is None else measured(time)}" for word, time in times if time is not None or below]


def _level(word: str, level: Quantity | None) -> str:
    return f"{word} {measured(level)}" if level is not None else ""


def _offer(offer: OfferedCurrent | None) -> Line:
    if offer is None:
        return (Text("–"),)
    if offer.meaning.value != "current":
        return (Text(_MEANINGS[offer.meaning.value]),)
    return (Text(measured(offer.current)),)


_MEANINGS = {
    "digital": "current agreed by data",
    "none": "no current may be drawn",
    "forbidden": "a duty cycle that is not allowed",
}
