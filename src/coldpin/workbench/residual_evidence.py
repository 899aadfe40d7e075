"""Captures of residual current and output: read, paired to operations, and given to the checks."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import partial
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldpin.capture import dialect_lines
from coldpin.checks.evidence import BenchEvidence, ResidualEvidence
from coldpin.checks.residual_current import trip_test
from coldpin.errors import EntryError, InputError
from coldpin.pilot.delay import UNSTATED_SENSOR, Chain, delay_at_least, delay_between
from coldpin.pilot.output import OutputSensor, read_output
from coldpin.protection.residual_waveform import CurrentSensor, mains_frequency, read_residual
from coldpin.quantity import Quantity, format_value, in_unit, parse_quantity, propagate
from coldpin.records.assessment import Problem
from coldpin.records.case import OwnConstant
from coldpin.records.entry import Entry
from coldpin.records.keeping import Keeping, made_anew
from coldpin.records.pilot import LiveStretch, OutputKind
from coldpin.records.residual_words import RESIDUAL_CAPTURE
from coldpin.records.trip_test import (
    ResidualKind,
    ResidualPicture,
    ResidualPulse,
    ResidualReading,
    TripOperation,
    TripTest,
)
from coldpin.records.waveform import Waveform
from coldpin.standards.accuracy import ScopeAccuracy
from coldpin.standards.book import Book
from coldpin.standards.table import needed
from coldpin.workbench.capture_reading import kept_of_capture, read_capture
from coldpin.workbench.look import accuracy_of, output_sensor
from coldpin.workbench.same_recording import Recordings
from coldpin.workbench.shelving import Bench

SEEN_AT_COIL = "relay coil"
SENSOR_UNIT = "Ω"
"""Volts per ampere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualSetting:
    """How a capture of residual current and output was taken.

    ``sensor`` is what the first channel gives for a current [Ω], ``kind`` the form where somebody stated it, ``output``
    what is said of the second channel, ``accuracy`` what of the scope. ``dwell`` is how long each step of a rise was
    held, 0 where it rose without steps. [s] ``name`` names the capture.
    """

    sensor: Quantity
    kind: ResidualKind | None = None
    output: OutputSensor = field(default_factory=OutputSensor)
    accuracy: ScopeAccuracy | None = None
    dwell: float = 0.0
    name: str = "capture"


def read_residual_capture(waveform: Waveform, setting: ResidualSetting, book: Book) -> ResidualReading:
    """Read residual currents beside the output, and pair each with what the output did.

    Parameters
    ----------
    waveform : Waveform
        The current on the first channel, the output on the second.
    setting : ResidualSetting
        How it was taken.
    book : Book
        The constants, for the voltage that may be touched.

    Returns
    -------
    ResidualReading
        Currents, operations, and remarks on currents of which nothing can be said.

    Raises
    ------
    InputError
        There is no second channel, or the capture is too short.
    """
    if waveform.output is None:
        raise InputError("residual current capture: the output is missing: take it on the second channel and name it")
    sensor = CurrentSensor(
        volts_per_ampere=setting.sensor,
        accuracy=setting.accuracy,
        kind=setting.kind,
        frequency=mains_frequency(waveform.output, waveform.sample_interval),
    )
    pulses = read_residual(waveform.voltage, waveform.sample_interval, sensor, overload=waveform.overload)
    output = read_output(
        waveform.output,
        waveform.sample_interval,
        kind=setting.output.kind,
        touch=needed(book.limit("touch.ac"), "maximum"),
    )
    live = () if output is None else output.live
    kind = OutputKind.MAINS if output is None else output.kind
    chain = Chain(
        sensor=setting.output, kind=kind, accuracy=setting.accuracy, name=setting.name, cause="residual current"
    )
    operations, remarks, drawn = [], [], []
    if output is None or output.doubt:
        remarks.append(output.doubt if output is not None else "the second channel shows nothing")
        live = ()
    for pulse in pulses:
        operation, why = _operation(pulse, live, waveform.duration, chain)
        if operation is not None:
            risen = operation.rate_ma_s is not None
            operations.append(replace(operation, dwell_s=setting.dwell) if risen else operation)
            drawn.append((operations[-1], pulse))
        if why:
            remarks.append(f"at {format_value(float(f'{pulse.began_s[0]:.4g}'), 's')}: {why}")
    if not pulses:
        remarks.append("no residual current stands out of the noise: check 'sensor' and the range of the channel")
    return ResidualReading(
        pulses=pulses,
        operations=tuple(operations),
        duration_s=waveform.duration,
        picture=_picture(waveform, drawn, live, setting) if drawn else None,
        remarks=tuple(remarks),
    )


def _picture(
    waveform: Waveform,
    drawn: list[tuple[TripOperation, ResidualPulse]],
    live: tuple[LiveStretch, ...],
    setting: ResidualSetting,
) -> ResidualPicture:
    """Cut out the slowest operation, or the largest current that did not trip where none did."""
    tripped = [one for one in drawn if one[0].tripped]
    if tripped:
        operation, pulse = max(tripped, key=lambda one: one[0].time_s.value)
    else:
        operation, pulse = max(drawn, key=lambda one: one[0].current_ma.value)
    zero = pulse.began_s[1]
    stretch = next((one for one in live if _live_at(one, pulse.began_s)), None)
    opened = stretch.opened_s if stretch is not None and operation.tripped else None
    lasts = operation.time_s.value
    around = max(AROUND, 0.1 * lasts)
    step = waveform.sample_interval
    first = max(0, int((zero - around) / step))
    last = min(waveform.samples, int((zero + lasts + around) / step) + 1)
    assert waveform.output is not None, "a capture without the output was refused"
    middle = float(np.nanmedian(waveform.voltage[: max(2, int(pulse.began_s[0] / step))]))
    current = 1000 * (waveform.voltage[first:last] - middle) / setting.sensor.value
    return ResidualPicture(
        operation=operation,
        began_s=(pulse.began_s[0] - zero, pulse.began_s[1] - zero),
        opened_s=None if opened is None else (opened[0] - zero, opened[1] - zero),
        time_s=tuple(((first + 0.5 * sum(cut)) * step - zero) for cut in _cuts(last - first)),
        current_ma=_ends(current),
        output_v=_ends(waveform.output[first:last]),
    )


AROUND = 0.06
"""Ours: a picture shows at least so much before the current and behind the opening, three periods of the mains. [s]"""

STRETCHES = 700
"""As many stretches as a page has room for. [1]"""


def _cuts(samples: int) -> list[tuple[int, int]]:
    """Return first and one past the last sample of each stretch of a picture."""
    ends = np.unique(np.linspace(0, samples, min(samples, STRETCHES) + 1).astype(int)).tolist()
    return list(pairwise(ends))


def _ends(samples: NDArray[np.float64]) -> tuple[tuple[float, float], ...]:
    """Return the lowest and the highest sample of each stretch; a missing one counts as nothing."""
    whole = np.nan_to_num(samples)
    return tuple((float(whole[a:b].min()), float(whole[a:b].max())) for a, b in _cuts(whole.size))


def _operation(
    pulse: ResidualPulse, live: tuple[LiveStretch, ...], duration: float, chain: Chain
) -> tuple[TripOperation | None, str]:
    """Pair a current with the end of the output that was live when it began; say why where there is none."""
    if pulse.kind is None:
        return None, pulse.why
    stretch = next((one for one in live if _live_at(one, pulse.began_s)), None)
    if stretch is None:
        return None, "the output was not live when the current began"
    opened = stretch.opened_s
    ended = (duration, duration) if pulse.ended_s is None else pulse.ended_s
    made = TripOperation(
        kind=pulse.kind,
        current_ma=pulse.current_ma,
        time_s=Quantity(0.0, None, "s"),
        way=pulse.way,
        angle_deg=pulse.angle_deg,
        rate_ma_s=pulse.rate_ma_s,
        at_coil=chain.kind is OutputKind.COIL,
    )
    late = 0.0 if chain.sensor.delay is None else chain.sensor.delay.value
    if opened is not None and opened[0] <= ended[1] + _shown_late(chain):
        delay = delay_between(pulse.began_s, opened, chain)
        current = _at(pulse, 0.5 * (opened[0] + opened[1]) - late)
        return replace(made, current_ma=current, time_s=delay.quantity), pulse.why
    watched = max(0.0, ended[0] - pulse.began_s[1])
    open_delay = delay_at_least(watched, chain)
    time = replace(open_delay.quantity, high=None)
    current = _at(pulse, ended[0])
    return replace(made, current_ma=current, time_s=time, tripped=False), pulse.why


PARTING = 0.02
"""Ours: contacts that were ordered to open while a current flowed part within so long after its end. [s]"""


def _shown_late(chain: Chain) -> float:
    """Return how long after the end of a current the opening may be shown that ended it. [s]"""
    late = chain.sensor.delay
    if late is None or late.u is None:
        return UNSTATED_SENSOR + (0.0 if late is None else late.value)
    return (late.value if late.high is None else late.high) + PARTING


def _live_at(stretch: LiveStretch, began: tuple[float, float]) -> bool:
    begun = stretch.first_contact_s is None or stretch.first_contact_s[1] <= began[1]
    return begun and (stretch.opened_s is None or stretch.opened_s[1] >= began[0])


def _at(pulse: ResidualPulse, when: float) -> Quantity:
    """Return what flowed at an instant: of a rise what it had risen to. [mA]"""
    if pulse.rate_ma_s is None:
        return pulse.current_ma
    since = max(0.0, when - pulse.began_s[1])
    risen = pulse.current_ma.value + pulse.rate_ma_s * since
    if pulse.current_ma.u is None or not pulse.current_ma.value:
        return Quantity(risen, None, "mA", why=pulse.current_ma.why)
    # sensor and scope are off by the same part all along the rise
    part = risen / pulse.current_ma.value
    return propagate(lambda current: current * part, {"current": pulse.current_ma}, "mA", monte_carlo=False)


def setting_of(bench: Bench, entry: Entry) -> ResidualSetting:
    """Return how a filed capture was taken, by its conditions.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        The entry.

    Returns
    -------
    ResidualSetting
        Sensor, form, output, accuracy.

    Raises
    ------
    InputError
        The sensor is missing, or something cannot be read.
    """
    stated = entry.conditions
    kind = "coil" if stated.get("seen at") == SEEN_AT_COIL else stated.get("output kind", "")
    return ResidualSetting(
        sensor=read_sensor(stated.get("sensor", "")),
        kind=ResidualKind(stated["form"]) if stated.get("form") else None,
        output=output_sensor(kind, stated.get("output delay", "")),
        accuracy=accuracy_of(bench.instruments.get(entry.instrument), stated.get("full scale", ""), entry.instrument),
        dwell=parse_quantity(stated["dwell"], "s").value if stated.get("dwell") else 0.0,
        name=entry.id,
    )


def read_sensor(text: str) -> Quantity:
    """Return what a current sensor gives, as a person writes it.

    Parameters
    ----------
    text : str
        Volts per ampere: "10 Ω ± 1 %" of a shunt, "0.1 V/mA ± 1 %" of a clamp.

    Returns
    -------
    Quantity
        In ohm.

    Raises
    ------
    InputError
        Nothing is said, or it cannot be read.

    Examples
    --------
    >>> read_sensor("0.1 V/mA ± 1 %").value, read_sensor("10 Ω").value
    (100.0, 10.0)
    """
    if not text:
        raise InputError("the current's sensor is missing: state 'sensor', as '10 Ω ± 1 %' of a shunt or '0.1 V/mA'")
    try:
        return parse_quantity(text, SENSOR_UNIT)
    except InputError:
        ratio = parse_quantity(text, "V/A")
        return replace(in_unit(ratio, "V/A"), unit=SENSOR_UNIT)


def read_residuals(
    bench: Bench,
    entries: tuple[Entry, ...],
    book: Book,
    problems: list[Problem],
    *,
    keep: Keeping = made_anew,
    constants: tuple[OwnConstant, ...] = (),
) -> tuple[ResidualEvidence, ...]:
    """Read every capture of residual current; what cannot be read costs itself only.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entries : tuple of Entry
        The usable entries of the case.
    book : Book
        The constants.
    problems : list of Problem
        Where what could not be used is told.
    keep : Keeping
        Gives back what was read before.
    constants : tuple of OwnConstant
        The case's own, which stand in the book.

    Returns
    -------
    tuple of ResidualEvidence
        In the order of the entries.
    """
    found = []
    met = Recordings()
    for entry in entries:
        if entry.shows != RESIDUAL_CAPTURE:
            continue
        try:
            reading = kept_of_capture(
                bench, entry, keep, "residual currents", constants, partial(_reading, bench, entry, book)
            )
        except InputError as error:
            if all(problem.what != str(error) for problem in problems):
                problems.append(Problem(where=f"entry {entry.id}", what=str(error)))
            continue
        if told := met.again(entry, _read_by(bench, entry)):
            problems.append(told)
            continue
        operations = tuple(replace(one, entry=entry.id) for one in reading.operations)
        picture = reading.picture
        if picture is not None and entry.evidence is not None:
            named = replace(picture.operation, entry=entry.id)
            picture = replace(picture, operation=named, file=entry.evidence.original_name or entry.evidence.file)
        found.append(ResidualEvidence(entry=entry, reading=replace(reading, operations=operations, picture=picture)))
    return tuple(found)


def _read_by(bench: Bench, entry: Entry) -> tuple[tuple[str, str], ...]:
    """Return how the capture of an entry was read, in words that can be compared."""
    dialect = bench.case.dialect_for(entry.evidence.sha256) if entry.evidence else None
    return dialect_lines(dialect) if dialect else ()


def _reading(bench: Bench, entry: Entry, book: Book) -> ResidualReading:
    return read_residual_capture(read_capture(bench, entry).waveform, setting_of(bench, entry), book)


def trip_tests(seen: BenchEvidence) -> tuple[TripTest, ...]:
    """Return the tests of a case with residual currents, one for each form that was put on.

    Parameters
    ----------
    seen : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of TripTest
        What cannot be used is left out here, for the checks tell it.
    """
    left, found = seen, []
    for kind in ResidualKind:
        while True:
            try:
                test = trip_test(left, kind)
            except EntryError as error:
                left = left.without(error.entry)
                continue
            except InputError:
                break
            found += [] if test is None else [test]
            break
    return tuple(found)
