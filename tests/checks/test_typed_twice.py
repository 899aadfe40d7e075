"""A reading that was typed twice: asked about, and no second operation."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks import run_checks
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Outcome
from coldpin.records.insulation_words import TO_EARTH
from tests.checks.bench import entry, evidence

AC = "trip time with alternating residual current"


def operations(*minutes: int) -> list[Entry]:
    """One operation each, all of the same time, alternating in their start, at these minutes."""
    return [
        replace(
            entry(
                AC,
                name=f"e{place}",
                readings=("24 ms",),
                instrument="scope",
                conditions={"current": "31 mA ± 0.5 mA", "start": ("0°", "180°")[place % 2]},
            ),
            made=f"2026-05-02T10:{minute:02d}:{7 * place:02d}+00:00",
        )
        for place, minute in enumerate(minutes)
    ]


def threshold(entries: list[Entry]) -> Finding:
    """What is said of the time at the rated current."""
    findings = run_checks(evidence(*entries)).findings
    return next(one for one in findings if one.id == "residual-alternating.threshold")


@pytest.mark.hand("six operations, two minutes apart, and the same six within one minute: one each way")
def test_operations_that_were_typed_again_are_no_operations() -> None:
    """Six of them show that it is in time; two that were typed three times do not, and it is asked."""
    apart, again = threshold(operations(0, 2, 4, 6, 8, 10)), threshold(operations(0, 0, 0, 0, 0, 0))

    assert (apart.outcome, apart.worst_of) == (Outcome.WITHIN, 6)
    assert not any("there twice" in one for one in apart.remarks)
    assert (again.outcome, again.worst_of, again.evidence) == (Outcome.UNDECIDED, 2, ("e0", "e1"))
    assert "2 operations were done, where at least 5 are wanted" in again.statement
    asked = [one for one in again.remarks if "was it measured twice?" in one]
    assert len(asked) == 4
    assert "entries e0 and e2:" in asked[0]


@pytest.mark.parametrize(
    "other",
    [
        {"readings": ("25 ms",)},
        {"instrument": "stopwatch"},
        {"made": "2026-05-02T10:01:30+00:00"},
        {"kind": EntryKind.CORRECTION},
        {"conditions": {"current": "31 mA ± 0.5 mA", "start": "180°"}},
        {"supply_voltage": "231 V ± 1 V"},
    ],
    ids=lambda other: next(iter(other)),
)
def test_what_differs_in_anything_was_not_typed_again(other: dict[str, object]) -> None:
    """Each alone: value, instrument, time, kind, condition, supply; a note, or who wrote, makes no difference."""
    (first,) = operations(0)
    alike = replace(first, id="again", note="once more", who="Tomas", made="2026-05-02T10:00:50+00:00")

    assert evidence(first, alike).typed_twice == {"again": "e0"}
    assert evidence(first, replace(alike, **other)).typed_twice == {}  # type: ignore[arg-type]  # fields by name


@pytest.mark.hand("five openings, two minutes apart; typed within one minute they are one")
def test_openings_that_were_typed_again_are_no_operations() -> None:
    """As with residual currents; five that were timed are enough, one that was typed five times is not."""

    def opening(apart: str) -> Finding:
        entries = [
            replace(
                entry("opening time after C to B", name=f"e{place}", readings=("60 ms",), instrument="scope"),
                made=f"2026-05-02T10:{apart.format(2 * place)}+00:00",
            )
            for place in range(5)
        ]
        return next(one for one in run_checks(evidence(*entries)).findings if one.id == "opening.time")

    apart, again = opening("{:02d}:00"), opening("00:{:02d}")

    assert (apart.outcome, apart.worst_of) == (Outcome.WITHIN, 5)
    assert (again.outcome, again.worst_of) == (Outcome.UNDECIDED, 1)
    assert sum("was it measured twice?" in one for one in again.remarks) == 4


def test_what_is_added_and_not_counted_is_no_matter_of_it() -> None:
    """Two capacitors of one value are two, whenever they were written down."""
    pair = [
        entry(TO_EARTH, name=name, readings=("2.35 nF ± 1 %",), conditions={"pole": "L", "all found": "yes"})
        for name in ("e1", "e2")
    ]
    told = evidence(*pair)

    assert told.typed_twice == {"e2": "e1"}
    assert told.showing(TO_EARTH) == tuple(pair)
    assert [one for one in run_checks(told).findings if any("there twice" in remark for remark in one.remarks)] == []


def test_repeats_of_one_entry_all_count() -> None:
    """Five readings of one entry are five operations, whatever they say."""
    ways = [replace(one, readings=("24 ms",) * 3) for one in operations(0, 0)]

    assert threshold(ways).worst_of == 6
    assert threshold(ways).outcome is Outcome.WITHIN
