"""What the output did when the pilot changed: a figure, a table with every operation, and how the output was seen."""

from __future__ import annotations

from coldpin.records.assessment import PilotEvidence
from coldpin.records.pilot import OutputKind, OutputReading, SwitchingEvent
from coldpin.report.anchors import Anchors
from coldpin.report.delays import delay_limit_said, delay_said, event_said, height_said, operations_said, outcome_said
from coldpin.report.document import Align, Block, Column, Paragraph, Role, Row, Table, Text
from coldpin.report.figures.switching import switching
from coldpin.report.numbers import counted

_SEEN = {
    OutputKind.MAINS: "mains",
    OutputKind.LEVEL: "a d.c. level that is up while the output is live",
    OutputKind.COIL: "the coil of the relay, which moves before the contacts do and does not show them",
}


def switching_blocks(capture: PilotEvidence, anchors: Anchors) -> tuple[Block, ...]:
    """Return what a capture shows of the output.

    Parameters
    ----------
    capture : PilotEvidence
        A capture as read.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    tuple of Block
        How the output was seen, the figure and the table; the last two only where it answered a change of the pilot.
    """
    blocks: list[Block] = []
    output, events = capture.reading.output, capture.reading.switching
    if output is not None:
        blocks.append(Paragraph((Text(_seen(output)),), Role.QUIET))
    if events:
        blocks += [*switching(capture, anchors), _table(events)]
    return tuple(blocks)


def _seen(output: OutputReading) -> str:
    known = "as stated" if output.stated else "as recognised"
    said = f"The second channel shows {_SEEN[output.kind]} ({known}), {height_said(output)}"
    live = f"live in {counted(len(output.live), 'stretch', 'stretches')}" if output.live else "never live"
    doubt = f" In doubt: {output.doubt}." if output.doubt else ""
    return f"{said}; {live}.{doubt}"


def _table(events: tuple[SwitchingEvent, ...]) -> Table:
    columns = (
        Column("Switching", 1.5),
        Column("Pilot", 0.8),
        Column("Worst delay", 1.2, Align.END),
        Column("All operations", 2.1),
        Column("Limit as known", 1.0, Align.END),
        Column("Outcome", 1.4),
    )
    return Table("Switching of the output", columns, tuple(_row(event) for event in events))


def _row(event: SwitchingEvent) -> Row:
    outcome = outcome_said(event)
    return Row(
        (
            (Text(event_said(event.event)),),
            (Text(f"{event.state_from.value} to {event.state_to.value}"),),
            (Text(delay_said(event.delay_s)),),
            (Text(operations_said(event)),),
            (Text(delay_limit_said(event)),),
            (Text(f"{outcome}: {event.why}" if event.why else outcome),),
        )
    )
