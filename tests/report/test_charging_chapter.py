"""The chapter on charges: phases with their means, what followed what was done, the log they are from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from coldpin.quantity import Quantity
from coldpin.records.assessment import Assessment
from coldpin.records.charge import ChargeEvidence
from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.records.plain import from_json, to_json
from coldpin.records.session import EventMark, MarkKind
from coldpin.report import build_document, render_html, render_pdf
from coldpin.report.document import Document, Heading, Table, lines_of, text_of
from coldpin.session.meter import Meter
from coldpin.session.reading import Asked, read_session
from coldpin.session.trace import trace_of
from coldpin.standards.accuracy import parse_accuracy
from tests.report.sample import SAMPLE

ENTRY = next(entry.id for entry in SAMPLE.entries if not entry.private)
PRIVATE = next(entry.id for entry in SAMPLE.entries if entry.private)


def charge_log() -> Log:
    """Ten minutes of waiting, half an hour at 16 A, ten minutes at 6 A, and the end; a row every 5 s."""
    time = np.arange(0.0, 3600.0, 5.0)
    current = np.select([time < 600.0, time < 2400.0, time < 3000.0], [0.0, 16.0, 6.0], 0.0)
    channels = (
        LogChannel(name="I", quantity=LogQuantity.CURRENT, unit="A", values=current, resolution=0.01),
        LogChannel(name="P", quantity=LogQuantity.POWER, unit="W", values=230.0 * current, resolution=1.0),
    )
    return Log(time_s=time, channels=channels, began="2026-05-02T10:00:00")


def charge(entry: str = ENTRY) -> ChargeEvidence:
    """That log read, with an offer and a mark."""
    log = charge_log()
    mark = EventMark(kind=MarkKind.UNLOCK, at_s=Quantity(2390.0, 1.0, "s"), who="Ines")
    reading = read_session(log, Asked(offer=Quantity(16.0, 0.1, "A"), marks=(mark,)))
    return ChargeEvidence(
        entry=entry,
        file="harbour.csv",
        sha256="0" * 64,
        conditions=(("car", "a small van"),),
        dialect=(("time column", "Time"),),
        reading=reading,
        trace=trace_of(log),
        remarks=("the clock was put forward",),
    )


def document(*charges: ChargeEvidence) -> Document:
    return build_document(replace(SAMPLE, charges=charges))


def words(built: Document) -> str:
    return "\n".join(text_of(line) for block in built.blocks for line in lines_of(block))


def test_nothing_is_printed_where_no_charge_was_logged() -> None:
    """No heading, no empty table."""
    assert not any(isinstance(block, Heading) and "Charging" in block.text for block in document().blocks)


@pytest.mark.hand("half an hour at 16 A and 230 V, ten minutes at 6 A: 1840 Wh + 230 Wh")
def test_phases_and_energy_are_told() -> None:
    """A row for each phase with its means, and the energy over all of them."""
    built = document(charge())
    table = next(b for b in built.blocks if isinstance(b, Table) and b.caption.startswith("Phases"))
    rows = [[text_of(cell) for cell in row.cells] for row in table.rows]

    assert [row[0] for row in rows] == ["waiting", "steady", "reduced", "ended"]
    assert rows[1][3].startswith("16")
    assert rows[2][4].startswith("1380 W")
    assert "2070" in words(built)


def test_what_followed_a_mark_is_told_with_the_car() -> None:
    """The unlocking, which no log of power shows, and the conditions of the entry."""
    told = words(document(charge()))

    assert "unlock" in told
    assert "car: a small van" in told
    assert "the clock was put forward" in told


def test_a_private_charge_is_not_told() -> None:
    """What is kept private is in no chapter."""
    told = words(document(charge(PRIVATE)))

    assert "harbour.csv" not in told


def with_gap() -> ChargeEvidence:
    """The same charge with ten minutes that were not recorded."""
    log = charge_log()
    kept = (log.time_s < 1200.0) | (log.time_s > 1800.0)
    channels = tuple(replace(channel, values=channel.values[kept]) for channel in log.channels)
    short = replace(log, time_s=log.time_s[kept], channels=channels)
    return replace(charge(), reading=read_session(short), trace=trace_of(short))


def test_what_was_not_recorded_is_a_dash_and_a_bound() -> None:
    """A gap has no mean; the energy that may have gone by in it is told by its bounds."""
    built = document(with_gap())
    table = next(b for b in built.blocks if isinstance(b, Table) and b.caption.startswith("Phases"))
    (gap,) = [row for row in table.rows if text_of(row.cells[0]) == "not recorded"]

    assert [text_of(cell) for cell in gap.cells[3:5]] == ["–", "–"]
    assert "Not recorded" in words(built)


@pytest.mark.parametrize("told", [charge, with_gap])
def test_the_chapter_is_made_from_the_record_alone(told: Callable[[], ChargeEvidence]) -> None:
    """Written as JSON and read back the page is the same, and it can be printed."""
    whole = replace(SAMPLE, charges=(told(),))

    again = from_json(Assessment, to_json(whole), where="assessment.json")

    assert render_html(build_document(again)) == render_html(build_document(whole))
    assert render_pdf(build_document(again)).startswith(b"%PDF")


def made_of(log: Log, asked: Asked | None = None) -> ChargeEvidence:
    """A log read without more."""
    return replace(charge(), reading=read_session(log, asked), trace=trace_of(log))


def gap_log(*, volts: bool = True) -> Log:
    """Sixteen amperes with ten minutes without a row."""
    log = charge_log()
    kept = (log.time_s < 1200.0) | (log.time_s >= 1800.0)
    channels = [replace(channel, values=channel.values[kept]) for channel in log.channels]
    if volts:
        ones = np.full(int(np.count_nonzero(kept)), 230.0)
        channels.append(LogChannel(name="U", quantity=LogQuantity.VOLTAGE, unit="V", values=ones, resolution=0.1))
    return Log(time_s=log.time_s[kept], channels=tuple(channels))


def test_what_was_recorded_stands_before_what_may_have_gone_by() -> None:
    """Half of what a gap may hold is no reading: the energy recorded is told first."""
    told = words(document(made_of(gap_log())))

    assert "Energy recorded" in told
    assert "With what may have gone by unrecorded" in told


@pytest.mark.parametrize("volts", [True, False])
def test_that_no_supply_was_lost_is_said_where_it_was_seen_alone(volts: bool) -> None:
    """Without a voltage a loss of the supply leaves no trace."""
    told = words(document(made_of(gap_log(volts=volts))))

    assert ("never while it was recorded" in told) is volts
    assert ("no voltage was logged" in told) is not volts


def test_an_energy_that_is_a_most_is_told_as_one() -> None:
    """Voltage times current is apparent power: below that, by a power factor nobody knows."""
    log = charge_log()
    amperes = Log(time_s=log.time_s, channels=log.channels[:1])
    accuracy = {LogQuantity.CURRENT: parse_accuracy("1 %")}
    asked = Asked(voltage=Quantity(230.0, 1.0, "V"), meter=Meter(statements=accuracy))
    told = words(document(made_of(amperes, asked)))

    assert "Energy\nbelow 2" in told
    assert "Without ±: voltage times current: the true power is smaller by the power factor, which is not known" in told


def test_what_looks_implausible_is_asked_apart() -> None:
    """A question is no remark among others."""
    log = charge_log()
    small = Log(time_s=log.time_s, channels=(replace(log.channels[0], values=log.channels[0].values / 1000.0),))

    assert charge().questions == ()
    assert [one[:36] for one in made_of(small).questions] == ["the largest current is 0.016 A: no c"]
