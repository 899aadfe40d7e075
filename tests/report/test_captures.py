"""The captures: few runs are told one by one, many by state, and nothing of their figures is hidden by it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.quantity.model import Quantity
from coldpin.records.pilot import Diode, Meaning, OfferedCurrent, Run, State
from coldpin.report import build_document
from coldpin.report.chapters.captures import RUNS_PRINTED
from coldpin.report.document import Table, lines_of, text_of
from tests.report.sample import PILOT, SAMPLE


def volts(value: float, half: float) -> Quantity:
    """Return a level with the half-width of its 95 % interval."""
    return Quantity(value, half / 1.959964, "V")


def run(state: State, start: float, lasts: float, high: float, half: float = 0.10, **more: object) -> Run:
    """Return a run; what is not said was not measured."""
    told: dict[str, object] = {
        "cycles": 100,
        "low_v": None,
        "frequency_hz": None,
        "duty_percent": None,
        "offered_current_a": None,
        "diode": Diode.PRESENT,
    } | more
    return Run(state=state, start_s=start, end_s=start + lasts, high_v=volts(high, half), **told)  # type: ignore[arg-type]  # whatever figure a test asks for


def table_of(*runs: Run) -> Table:
    """Return the table of runs of a capture that holds these."""
    capture = replace(PILOT, reading=replace(PILOT.reading, runs=runs))
    blocks = build_document(replace(SAMPLE, pilot=(capture,), findings=())).blocks
    return next(block for block in blocks if isinstance(block, Table) and block.caption.startswith("Runs"))


def cells(table: Table) -> list[list[str]]:
    return [[text_of(cell) for cell in row.cells] for row in table.rows]


def test_few_runs_are_told_one_by_one() -> None:
    """Up to the most there is a row for each run, though its state comes again."""
    runs = tuple(run(State.B2, float(number), 0.5, 9.0) for number in range(RUNS_PRINTED))

    assert len(table_of(*runs).rows) == RUNS_PRINTED


@pytest.mark.hand("spans and largest half-widths read off the runs as written down here")
def test_many_runs_are_told_by_state_with_their_whole_span() -> None:
    """Each row says how often, how long, from the least value to the greatest, with the largest half-width."""
    runs = [
        *(run(State.B2, float(number), 0.30 + 0.05 * number, 8.90 + 0.01 * number) for number in range(6)),
        *(run(State.C2, 10.0 + number, 0.4, 6.0, half=0.05 + 0.01 * number) for number in range(6)),
    ]

    assert cells(table_of(*runs)) == [
        ["B2", "6 runs, 300 ms to 550 ms\n600 cycles", "high 8.90 to 8.95 V ± 0.10 V", "–", "–", "–", "present"],
        ["C2", "6 runs, 400 ms\n600 cycles", "high 6.00 V ± 0.10 V", "–", "–", "–", "present"],
    ]


def test_a_state_seen_with_and_without_diode_is_told_twice() -> None:
    """Runs with the diode there and gone are never mixed: their levels differ for a reason."""
    with_diode = [run(State.C2, float(number), 0.4, 6.0) for number in range(6)]
    without = [run(State.C2, 9.0 + number, 0.4, 5.7, diode=Diode.ABSENT) for number in range(6)]

    assert [(row[0], row[2], row[-1]) for row in cells(table_of(*with_diode, *without))] == [
        ("C2", "high 6.00 V ± 0.10 V", "present"),
        ("C2", "high 5.70 V ± 0.10 V", "absent"),
    ]


def test_one_run_of_unknown_uncertainty_shows_in_its_state() -> None:
    """A half-width that one run lacks is not made up from the others."""
    runs = [run(State.B2, float(number), 0.4, 9.0) for number in range(RUNS_PRINTED)]
    vague = replace(runs[0], high_v=Quantity(8.8, None, "V"))

    assert cells(table_of(*runs, vague))[0][2] == "high 8.8 to 9 V (uncertainty not known)"


def test_edges_and_offers_of_a_state_are_all_told() -> None:
    """Resolved edges by their span, the others by the largest bound; an offer that is no current by what it means."""
    offer = OfferedCurrent(current=Quantity(16.0, 0.1, "A"), meaning=Meaning.CURRENT)
    sharp = [
        run(State.B2, float(number), 0.4, 9.0, rise_s=Quantity(8e-6, 1e-7, "s"), edges_below_s=2e-6)
        for number in range(5)
    ]
    blunt = [
        run(State.B2, 8.0 + number, 0.4, 9.0, edges_below_s=1e-6 * (5 + number), offered_current_a=offer)
        for number in range(5)
    ]
    none = run(State.B2, 20.0, 0.4, 9.0, offered_current_a=replace(offer, meaning=Meaning.NONE))
    row = cells(table_of(*sharp, *blunt, none))[0]

    assert row[4] == "rise 8.00 µs ± 0.20 µs\nbelow resolution (< 9 µs) in 10 runs"
    assert row[5] == "16.00 A ± 0.20 A\nno current may be drawn"


def test_the_reader_is_told_where_every_run_is() -> None:
    """Where runs are put together the report says how many they were and what holds each of them."""
    runs = tuple(run(State.B2, float(number), 0.5, 9.0) for number in range(12))
    capture = replace(PILOT, reading=replace(PILOT.reading, runs=runs))
    blocks = build_document(replace(SAMPLE, pilot=(capture,), findings=())).blocks
    said = [text_of(line) for block in blocks for line in lines_of(block)]

    assert "12 runs, told by state; assessment.json holds each of them." in said
