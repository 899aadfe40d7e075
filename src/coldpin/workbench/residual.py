"""A quick look at a test with residual currents: what is asked, which box drives it, and how times stand to it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from coldpin.capture import read_waveform
from coldpin.errors import InputError, OutsideRange
from coldpin.protection.residual_load import residual_load
from coldpin.protection.trip_test import WAYS, judge_trips
from coldpin.quantity import AtLeast, AtMost, Quantity, parse_quantity, parse_reading, rectangular
from coldpin.records.trip_test import ResidualDevice, ResidualKind, ResidualLoad, RowRole, TripOperation, TripTest
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.book import Book, load_book
from coldpin.standards.residual_current import find_residual_device, trip_rows
from coldpin.workbench.look import output_sensor, scope_accuracy
from coldpin.workbench.residual_evidence import ResidualSetting, read_residual_capture, read_sensor


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualCaptureAsked:
    """A capture of residual current and output, and what is said of it, as a person writes it."""

    path: Path
    sensor: str
    choices: Mapping[str, str | float | int] | None = None
    form_stated: bool = False
    vertical: str = ""
    timebase: str = ""
    full_scale: str = ""
    output_kind: str = ""
    output_delay: str = ""


def tell_trip_test(
    *,
    form: str = "alternating",
    rated: str = "",
    kind: str = "",
    direct: str = "",
    in_cable: bool = False,
    selective: bool = False,
    current: str = "",
    one_way: Sequence[str] = (),
    other_way: Sequence[str] = (),
    accuracy: str = "",
    supply: str = "",
    capture: ResidualCaptureAsked | None = None,
    progress: Callable[[float], None] | None = None,
) -> TripTest:
    """Say what is asked of a residual-current device, and how times that were read stand to it.

    Parameters
    ----------
    form : str
        "alternating", "pulsating" or "smooth".
    rated : str
        Rated residual operating current: "30 mA".
    kind : str
        Type: "AC", "A", "F", "B", "class A", "CCID5", "CCID20".
    direct : str
        Smooth direct current at which it acts: "6 mA".
    in_cable : bool
        Whether it is an in-cable unit.
    selective : bool
        Whether it is delayed (type S).
    current : str
        What flowed, with its limits: "31.5 mA ± 1.5 mA".
    one_way, other_way : sequence of str
        Times to trip, begun at 0° or positive, and at 180° or negative: "24 ms", "> 2 s".
    accuracy : str
        Of the clock, as its maker writes it: "1 % + 1 ms".
    supply : str
        Voltage for which the resistor boxes are reckoned: "230 V"; left out, none is.
    capture : ResidualCaptureAsked, optional
        A capture in place of times, or beside them.
    progress : callable, optional
        Told the fraction done of reading a capture.

    Returns
    -------
    TripTest
        Rows, boxes, and the placements of what was done.

    Raises
    ------
    CaptureError
        The capture cannot be read, or only in more than one way.
    QuantityTextError
        A text cannot be read, or has no unit.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        A value is one that cannot be.
    UnknownName
        There is no such type.
    InputError
        Times are given without the current that flowed.

    Examples
    --------
    >>> told = tell_trip_test(
    ...     current="31.5 mA ± 1.5 mA",
    ...     one_way=["24 ms"] * 3,
    ...     other_way=["26 ms"] * 3,
    ...     accuracy="1 % + 1 ms",
    ... )
    >>> [(placed.row.name, placed.outcome.value) for placed in told.placements]
    [('threshold', 'within')]
    """
    book, wanted = load_book(), ResidualKind(form)
    device = find_residual_device(rated=rated, kind=kind, direct=direct, in_cable=in_cable, selective=selective)
    done = list(_written(wanted, current, (one_way, other_way), accuracy))
    remarks: tuple[str, ...] = ()
    if capture is not None:
        setting = ResidualSetting(
            sensor=read_sensor(capture.sensor),
            kind=wanted if capture.form_stated else None,
            output=output_sensor(capture.output_kind, capture.output_delay),
            accuracy=scope_accuracy(capture.vertical, capture.timebase, capture.full_scale, "scope"),
            name=capture.path.name,
        )
        taken = read_waveform(capture.path, choices=capture.choices or {}, progress=progress)
        reading = read_residual_capture(taken.waveform, setting, book)
        done += reading.operations
        remarks = (*taken.remarks, *reading.remarks)
    told = judge_trips(done, device, wanted, book)
    boxes = tuple(_boxes(device, wanted, supply, book)) if supply else ()
    return replace(told, boxes=boxes, remarks=(*told.remarks, *remarks))


def _written(
    kind: ResidualKind, current: str, times: tuple[Sequence[str], Sequence[str]], accuracy: str
) -> Iterator[TripOperation]:
    if not any(times):
        return
    if not current:
        raise InputError("the residual current is missing: say what flowed, with its limits, as '31.5 mA ± 1.5 mA'")
    flowed = parse_quantity(current, "mA")
    if not flowed.value > 0.0:
        raise OutsideRange(f"the residual current is {current!r}: it must be above 0 mA")
    for way, texts in zip(WAYS[kind], times, strict=True):
        for text in texts:
            time, tripped = _time(text, accuracy)
            yield TripOperation(kind=kind, current_ma=flowed, time_s=time, tripped=tripped, way=way)


def _time(text: str, accuracy: str) -> tuple[Quantity, bool]:
    read = parse_reading(text, "s")
    if isinstance(read, AtMost):
        half = 0.5 * read.edge.value
        return rectangular(half, half, "s", id=f"{text}: below", label="below the clock's range"), True
    quantity = read.edge if isinstance(read, AtLeast) else read
    if quantity.value < 0.0:
        raise OutsideRange(f"time to trip {text!r} is below zero")
    if accuracy and quantity.u is None:
        exact = replace(quantity, u=0.0, low=None, high=None, why="")
        quantity = parse_accuracy(accuracy).apply(exact, id="clock: time", label="clock")
    return quantity, not isinstance(read, AtLeast)


def _boxes(device: ResidualDevice, kind: ResidualKind, supply: str, book: Book) -> Iterator[ResidualLoad]:
    """Reckon the box of each row that a resistor drives from the mains."""
    volts = parse_quantity(supply, "V").value
    if kind is not ResidualKind.ALTERNATING:
        return
    for row in trip_rows(book, device, kind):
        if row.role is not RowRole.RISE:
            yield residual_load(book, current_ma=row.current_ma, voltage=volts, hold=row.role is RowRole.HOLD)
