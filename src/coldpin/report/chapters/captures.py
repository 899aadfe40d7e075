"""The pilot as captured: the states over time, one clean cycle of each, and the figures of every run."""

from __future__ import annotations

from coldpin.quantity.model import Quantity
from coldpin.records.assessment import PilotEvidence
from coldpin.records.pilot import OfferedCurrent, Run
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
from coldpin.report.numbers import counted, measured
from coldpin.report.times import duration, stretch

RUNS_PRINTED = 300
"""Longest table of runs; the record beside the report holds all of them."""


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
    blocks += [ribbon(capture, index.anchors), *cycles(capture, index.anchors), _runs(capture)]
    blocks += glitches(capture, index.anchors)
    if len(reading.runs) > RUNS_PRINTED:
        more = f"The first {RUNS_PRINTED} of {len(reading.runs)} runs; assessment.json holds all."
        blocks.append(Paragraph((Text(more),), Role.QUIET))
    if reading.output is not None or reading.switching:
        blocks += switching_blocks(capture, index.anchors)
    blocks.append(Definitions(_facts(index, capture)))
    if capture.remarks:
        blocks.append(Listing(tuple((Text(remark),) for remark in capture.remarks)))
    return tuple(blocks)


def _facts(index: Index, capture: PilotEvidence) -> tuple[Definition, ...]:
    source = capture.reading.source
    facts = [
        Definition("Evidence", (index.to_entry(capture.entry),)),
        Definition("sha256", (Text(capture.sha256, Face.CODE),)),
        Definition(
            "Length",
            (
                Text(
                    f"{counted(source.samples, 'sample')}, one every {duration(source.sample_interval_s)}, "
                    f"{duration(source.duration_s)} in all"
                ),
            ),
        ),
        Definition("Windows of", (Text(f"edition {capture.edition}"),)),
    ]
    if capture.conditions:
        facts.append(Definition("Conditions", (Text(_pairs(capture.conditions)),)))
    if capture.dialect:
        read_as = " · ".join(f"{name} “{value}”" for name, value in capture.dialect)
        facts.append(Definition("Read as", (Text(read_as),)))
    return tuple(facts)


def _pairs(pairs: tuple[tuple[str, str], ...]) -> str:
    return "; ".join(f"{name}: {value}" for name, value in pairs)


def _runs(capture: PilotEvidence) -> Table:
    columns = (
        Column("State", 0.9),
        Column("When", 1.4),
        Column("Level", 2.1),
        Column("Frequency, duty cycle", 1.9),
        Column("Rise, fall", 1.9),
        Column("Offer to the car", 1.6),
        Column("Diode", 0.9),
    )
    rows = tuple(_run(run) for run in capture.reading.runs[:RUNS_PRINTED])
    return Table("Runs of one state: levels of the settled part, edges from 10 % to 90 %, ± at 95 %", columns, rows)


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
