"""Residual currents put on the two units that have something against them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count

from coldpin.records.residual_words import DIRECTIONS, PHASES, RESIDUAL_CAPTURE, TRIP_CURRENT, TRIP_TIME
from coldpin.records.trip_test import ResidualKind
from coldpin.workbench.brackwater.step import FULL_SCALE, SENSOR, Leaked, Read, Step, Told

ALTERNATING, PULSATING, SMOOTH = ResidualKind.ALTERNATING, ResidualKind.PULSATING, ResidualKind.SMOOTH

HALF = "14.25 mA ± 0.75 mA"
WHOLE = ("31.5 mA ± 1.5 mA", "63 mA ± 3 mA", "157.5 mA ± 7.5 mA")
HALF_WAVES = ("44.1 mA ± 2.1 mA", "88.2 mA ± 4.2 mA", "220.5 mA ± 10.5 mA")
HELD = "2.90 mA ± 0.05 mA"
DIRECT = ("6.20 mA ± 0.10 mA", "62.0 mA ± 0.7 mA", "205 mA ± 3 mA")
"""What tester and source put on, with the limits that their makers state: none below the row's current."""

TESTER, SOURCE = "residual current tester", "direct current source"
TIMES = 3
"""Each way; six in all, where the sheet asks for five. [1]"""


def _clock(start: str) -> Iterator[str]:
    """Yield the minutes from a time on: each way of a current is done within one."""
    hours, minutes = (int(part) for part in start.split(":"))
    for late in count():
        yield f"{hours + (minutes + late) // 60:02d}:{(minutes + late) % 60:02d}"


def _tests(
    clock: Iterator[str], kind: ResidualKind, currents: tuple[str, ...], *, note: str, volts: str
) -> Iterator[Step]:
    for current in currents:
        for way in PHASES if kind is ALTERNATING else DIRECTIONS:
            yield Read(
                at=next(clock),
                shows=TRIP_TIME[kind],
                repeats=TIMES,
                note=note,
                conditions={"current": current, "start" if kind is ALTERNATING else "polarity": way, "supply": "mains"},
                instrument="logger" if kind is SMOOTH else TESTER,
                supply=volts,
            )
            note = ""


def _rises(
    clock: Iterator[str], kind: ResidualKind, *, rate: str, note: str, instrument: str, volts: str
) -> Iterator[Step]:
    for way in DIRECTIONS:
        yield Read(
            at=next(clock),
            shows=TRIP_CURRENT[kind],
            repeats=TIMES,
            note=note,
            conditions={"rate": rate, "polarity": way, "supply": "mains"},
            instrument=instrument,
            supply=volts,
        )


def _skerrow() -> Iterator[Step]:
    clock, volts = _clock("17:50"), "230.8 V"
    yield Told(
        at="17:45",
        shows="remark",
        note="Box wired with the plug out: from the output's line to the adapter's neutral, ahead of the lead. Fuse "
        "in, lid on; the yard's own device keeps quiet at the first current.",
    )
    yield from _tests(clock, ALTERNATING, (HALF,), note="Tester on the box's terminals; it stays on.", volts=volts)
    yield Leaked(
        at=next(clock),
        shows=RESIDUAL_CAPTURE,
        file="skerrow_residual.npz",
        note="Box and phase switch: 30 mA, 60 mA and 150 mA, three times each way; clamp on its lead.",
        conditions={
            "sensor": "50 mV/mA ± 1 %",
            "form": ALTERNATING.value,
            "supply": "mains",
            "output kind": "mains",
            **SENSOR,
            **FULL_SCALE,
        },
        instrument="logger",
        supply=volts,
    )
    yield from _tests(clock, PULSATING, HALF_WAVES, note="Half waves from the tester.", volts=volts)
    ramp = "The tester's own slow rise of half waves."
    yield from _rises(clock, PULSATING, rate="1 mA/s", note=ramp, instrument=TESTER, volts=volts)
    source = "The isolated source on the neutral's two ends, over its closed contact; cursors of the logger."
    yield from _tests(clock, SMOOTH, (HELD, *DIRECT), note=source, volts=volts)
    turned = "Turned up by the source itself, without steps."
    yield from _rises(clock, SMOOTH, rate="0.05 mA/s", note=turned, instrument=SOURCE, volts=volts)


def _dunmarr() -> Iterator[Step]:
    clock, volts = _clock("18:34"), "230.1 V"
    yield Told(
        at="18:31",
        shows="remark",
        note="Tester between the output's line and the neutral terminal ahead of the unit, clamped with the board off.",
    )
    yield from _tests(clock, ALTERNATING, (HALF, *WHOLE), note="It holds at half and acts at once above.", volts=volts)
    yield from _tests(clock, PULSATING, HALF_WAVES, note="Half waves from the tester.", volts=volts)
    deaf = (
        "The isolated source on the neutral's two ends: the contactor stays in. Twelve seconds by the clock, each time."
    )
    yield from _tests(clock, SMOOTH, DIRECT, note=deaf, volts=volts)


SKERROW_RESIDUAL: tuple[Step, ...] = tuple(_skerrow())
"""It says 30 mA, type A and 6 mA of direct current, and does what it says."""

DUNMARR_RESIDUAL: tuple[Step, ...] = tuple(_dunmarr())
"""It says the same and needs no other device before it; smooth direct current it does not see at all."""
