"""The charges of a case: each charging log read, with its meter, its marks, and what the unit offered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from coldpin.checks.evidence import BenchEvidence, LogEvidence
from coldpin.checks.offered_current import largest_offer
from coldpin.checks.readings import claimed, condition, readings
from coldpin.errors import EntryError, InputError
from coldpin.quantity import Quantity, format_figure
from coldpin.records.entry import Entry
from coldpin.records.log import LogQuantity
from coldpin.records.session import ClockOffset, EventMark, MarkKind, SessionReading
from coldpin.session.marks import LOG_CLOCK
from coldpin.session.meter import Meter
from coldpin.session.reading import Asked, read_session
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.session import follow_time
from coldpin.standards.table import needed

LOG = "charging log"
MARK = "event mark"
VEHICLE = "vehicle recorded"
NOT_OFFERED = "{}; what was offered in this charge is neither stated nor marked"
"""Why an offer that was taken from elsewhere decides nothing."""

THIS_CAR = "Seen on this car; another may do otherwise."
"""What every finding from a charge says: the car has half of it in its hands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """A charge as read, with the entry of its log and the entries of the marks beside it.

    ``vehicle`` is the entry of the one car that was recorded, where the log names none.
    """

    entry: Entry
    reading: SessionReading
    marks: tuple[Entry, ...] = ()
    vehicle: Entry | None = None

    @property
    def evidence(self) -> tuple[str, ...]:
        """The ids of all entries it rests on."""
        recorded = () if self.vehicle is None else (self.vehicle.id,)
        return (self.entry.id, *(mark.id for mark in self.marks), *recorded)

    @property
    def remarks(self) -> tuple[str, ...]:
        """That it was seen on one car, and on which."""
        car = self.entry.conditions.get("car", "")
        if not car and self.vehicle is not None:
            car = self.vehicle.conditions.get("car", "") or f"the one recorded in {self.vehicle.id}"
        return (THIS_CAR + (f" It was: {car}." if car else " Which car it was is not recorded."),)


def charges(bench: BenchEvidence) -> tuple[Charge, ...]:
    """Return the charges of a case.

    Parameters
    ----------
    bench : BenchEvidence
        With charging logs as read.

    Returns
    -------
    tuple of Charge
        In the order of their entries.

    Raises
    ------
    EntryError
        A log holds no charge that can be read, or a mark or condition cannot be read.
    CaseError
        The claimed current cannot be read.
    """
    return bench.once(charges.__qualname__, partial(_read, bench))


def _read(bench: BenchEvidence) -> tuple[Charge, ...]:
    logs = tuple(log for log in bench.logs if log.entry.shows == LOG)
    return tuple(_charge(bench, log, logs) for log in logs)


def _charge(bench: BenchEvidence, log: LogEvidence, logs: Sequence[LogEvidence]) -> Charge:
    entry = log.entry
    entries = tuple(mark for mark in bench.showing(MARK) if _belongs(mark, log, logs))
    marks = tuple(mark for one in entries for mark in _marks(bench, one))
    gap = condition(entry, "gap", "s")
    asked = Asked(
        voltage=condition(entry, "voltage", "V"),
        offer=offer_of(bench, entry),
        marks=marks,
        offsets=_offsets(entries),
        gap_from_s=None if gap is None else gap.value,
        follow_s=needed(follow_time(bench.book), "maximum"),
        meter=meter_of(bench, entry),
    )
    try:
        reading = read_session(log.log, asked)
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error
    recorded = () if entry.conditions.get("car", "") else bench.showing(VEHICLE)
    return Charge(entry=entry, reading=reading, marks=entries, vehicle=recorded[0] if len(recorded) == 1 else None)


def _belongs(mark: Entry, log: LogEvidence, logs: Sequence[LogEvidence]) -> bool:
    if not mark.conditions.get("log", "") and len(logs) > 1:
        raise EntryError.of(mark.id, "there are several charging logs: name the one it belongs to (condition 'log')")
    return belongs(mark, log.entry)


def belongs(mark: Entry, log: Entry) -> bool:
    """Say whether a mark is beside a log.

    Parameters
    ----------
    mark : Entry
        An event mark.
    log : Entry
        The entry of a charging log.

    Returns
    -------
    bool
        True where it names the entry or its file, or names none: then it belongs to the only one there is.
    """
    named = mark.conditions.get("log", "")
    files = () if log.evidence is None else log.evidence.files
    return not named or named == log.id or any(named in (piece.file, piece.original_name) for piece in files)


def offer_of(bench: BenchEvidence, entry: Entry) -> Quantity | None:
    """Return the current offered at the beginning of a charge.

    Parameters
    ----------
    bench : BenchEvidence
        With the claims of the case.
    entry : Entry
        The entry of the log.

    Returns
    -------
    Quantity or None
        As stated with the log; else the largest offer of any capture, else the declared current, neither with an
        uncertainty: nobody saw it offered in this charge, and a unit may be set lower. None where there is none. [A]

    Raises
    ------
    EntryError
        The condition cannot be read.
    CaseError
        The claim cannot be read.
    """
    stated = condition(entry, "offer", "A")
    if stated is not None:
        return stated
    captured, declared = largest_offer(bench), claimed(bench, "declared_current", "A")
    if captured is not None:
        return Quantity(captured[0].value, None, "A", why=f"it is {NOT_OFFERED.format('the largest of the captures')}")
    if declared is not None:
        return Quantity(declared, None, "A", why=f"it is {NOT_OFFERED.format('the current by the claim')}")
    return None


def meter_of(bench: BenchEvidence, entry: Entry) -> Meter:
    """Return the meter of an entry with what its maker states.

    Parameters
    ----------
    bench : BenchEvidence
        With the instruments of the shelf.
    entry : Entry
        The entry.

    Returns
    -------
    Meter
        Without statements where no instrument is named.

    Raises
    ------
    EntryError
        The instrument is not on the shelf, or a statement of it cannot be read.
    """
    if not entry.instrument:
        return Meter()
    if entry.instrument not in bench.instruments:
        known = ", ".join(sorted(bench.instruments)) or "none"
        raise EntryError.of(entry.id, f"instrument {entry.instrument!r} is not on the shelf (known: {known})")
    statements = bench.instruments[entry.instrument].statements
    try:
        return Meter(
            id=entry.instrument,
            statements={
                quantity: parse_accuracy(statements[quantity.value])
                for quantity in LogQuantity
                if statements.get(quantity.value)
            },
        )
    except InputError as error:
        raise EntryError.of(entry.id, f"instrument {entry.instrument!r}: {error}") from error


def _marks(bench: BenchEvidence, entry: Entry) -> tuple[EventMark, ...]:
    kind = MarkKind(entry.conditions.get("event") or MarkKind.OTHER)
    offered = condition(entry, "offer", "A")
    return tuple(
        EventMark(
            kind=kind,
            at_s=measured.quantity
            if measured.quantity.u is not None
            else replace(measured.quantity, why="how surely the mark was set is not stated"),
            clock=entry.conditions.get("clock") or LOG_CLOCK,
            who=entry.who,
            offer_a=offered,
            note=entry.note,
        )
        for measured in readings(bench, entry)
    )


def _offsets(entries: Sequence[Entry]) -> tuple[ClockOffset, ...]:
    found: dict[str, ClockOffset] = {}
    for entry in entries:
        offset, clock = condition(entry, "offset", "s"), entry.conditions.get("clock", "")
        if offset is not None and clock:
            found.setdefault(clock, ClockOffset(clock=clock, mark=MarkKind.OTHER, offset_s=offset))
    return tuple(found.values())


def told(quantity: Quantity | None) -> str:
    """Return a quantity as it stands in a sentence, or that it is not known.

    Parameters
    ----------
    quantity : Quantity or None
        What was measured.

    Returns
    -------
    str
        With its uncertainty.
    """
    return "not known" if quantity is None else format_figure(quantity)
