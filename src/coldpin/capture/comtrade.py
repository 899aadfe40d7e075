"""The reader of IEEE COMTRADE records (C37.111, 1991 to 2013): a header and its samples, in two files or in one.

The samples are taken out by the library ``comtrade``. What a header claims is held against what is there before, so
that a false claim allocates nothing, and the segments of equal steps are found here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.comtrade_parts import Header, count_rows, is_comtrade, read_header, read_parts
from coldpin.capture.header import unit_kind
from coldpin.capture.in_memory import assemble
from coldpin.capture.preamble import StatedStep
from coldpin.capture.record import Capture, Reader, Request
from coldpin.capture.said import ASSUMED, FROM_HEADER, Said, dialect_of, follow, pick_channels
from coldpin.capture.segments import Segment, by_rates, by_times, choose_segment
from coldpin.capture.source import CaptureFile
from coldpin.capture.timing import TimeColumn, Timing, settle
from coldpin.errors import CaptureError
from coldpin.quantity.units import find_unit
from coldpin.records.dialect import Dialect

_APPLIES = ("voltage", "output", "unit", "encoding", "step", "scale", "output_scale", "segment")
_TITLE = "a COMTRADE record"
_MISSING_FLOAT = -float(np.finfo(np.float32).max)
"""The mark of a missing sample in FLOAT32 records, the largest negative number; from memory, no public text found."""


def read_comtrade(path: Path, request: Request) -> Capture:
    """Read a COMTRADE record.

    Parameters
    ----------
    path : Path
        The header (its samples are looked for beside it), or the single file with both.
    request : Request
        A dialect, choices by hand, a dialect remembered, progress, the file of samples.

    Returns
    -------
    Capture
        The capture, with the file of samples as its companion.

    Raises
    ------
    CaptureError
        A file is missing or damaged, or no channel holds volts.
    AmbiguousDialect
        Several channels, or several stretches of equal steps, may be meant.
    """
    with CaptureFile(path) as file:
        return follow(
            file,
            request,
            "comtrade",
            applies=_APPLIES,
            title=_TITLE,
            read=lambda said: _capture(file, path, said, request),
            remark=_remarked,
        )


def sniff_comtrade(path: Path, request: Request) -> Dialect:
    """Say how a COMTRADE record would be read; its stretches of equal steps are found in its samples.

    Parameters
    ----------
    path : Path
        The header, or the single file with both.
    request : Request
        A dialect, choices by hand, a dialect remembered.

    Returns
    -------
    Dialect
        The dialect, each field with its origin.

    Raises
    ------
    CaptureError
        A file is missing or damaged, or no channel holds volts.
    """
    return read_comtrade(path, request).dialect


COMTRADE = Reader(
    name="comtrade",
    title="IEEE COMTRADE records (.cfg with .dat, .cff)",
    endings=(".cfg", ".cff"),
    sniffs=is_comtrade,
    read=read_comtrade,
    sniff=sniff_comtrade,
    source="IEEE C37.111-1999 and C37.111-2013 (IEC 60255-24), as the library comtrade reads them",
)


def _remarked(capture: Capture, text: str) -> Capture:
    both = (text, *capture.remarks)
    return replace(capture, remarks=both, waveform=replace(capture.waveform, remarks=both))


def _capture(file: CaptureFile, path: Path, said: Said, request: Request) -> Capture:
    head, samples, companion = read_parts(file, path, request)
    header = read_header(head, said)
    if request.progress is not None:
        request.progress(0.0)
    rows, content, remarks = count_rows(header, samples)
    record = _record(header, rows, content)
    segments = _segments(header, record)
    segment, chosen = choose_segment(segments, said)
    channels = record.cfg.analog_channels
    names = [str(channel.name).strip() or str(index + 1) for index, channel in enumerate(channels)]
    voltage, output, origin = pick_channels(said, names, _volt_channels(channels, said))
    units, unit_origin, unit_remarks = _units(channels, names, voltage, output, said)
    scale, beside = said.number("scale"), said.number("output_scale")
    scale, output_scale = 1.0 if scale is None else scale, 1.0 if beside is None else beside
    timing = _timing(header, record, segment, said)
    chosen_names = {"voltage": _label(names, voltage), "output": "" if output is None else _label(names, output)}
    dialect = dialect_of(
        said,
        **chosen_names,
        encoding=header.encoding,
        units={_label(names, index): unit for index, unit in units.items()},
        step=None if timing.origin == "from the time column" else timing.step,
        scale=scale,
        output_scale=output_scale,
        segment=segment.number if len(segments) > 1 else None,
        origin={
            **origin,
            "units": unit_origin,
            "step": said.where("step", timing.origin),
            "scale": said.where("scale", ASSUMED),
            **({"segment": said.where("segment", "")} if len(segments) > 1 else {}),
        },
    )
    pilot = _volts(record, header, voltage, segment, _factor(units[voltage]) * scale)
    capture = assemble(
        pilot,
        None if output is None else _volts(record, header, output, segment, _factor(units[output]) * output_scale),
        timing,
        dialect=dialect,
        remarks=(
            *header.remarks,
            *remarks,
            *chosen,
            *unit_remarks,
            *_ratio_remarks(channels, names, [index for index in (voltage, output) if index is not None]),
            *said.remembered_scale(),
        ),
        reader=COMTRADE.name,
        preamble=header.lines[: 2 + header.analog],
    )
    if request.progress is not None:
        request.progress(1.0)
    resolution = capture.waveform.resolution
    if resolution is None and header.kind != "FLOAT32":
        resolution = abs(channels[voltage].a * _factor(units[voltage]) * scale) or None
    return replace(capture, companion=companion, waveform=replace(capture.waveform, resolution=resolution))


def _label(names: Sequence[str], index: int) -> str:
    return names[index] if list(names).count(names[index]) == 1 and not names[index].isdecimal() else str(index + 1)


def _factor(unit: str) -> float:
    return float(find_unit(unit).factor)


def _record(header: Header, rows: int, content: str | bytes) -> Any:
    """Let the library take the samples out, in 64 bits."""
    import comtrade  # type: ignore[import-untyped]  # the library has no types

    record = comtrade.Comtrade(use_numpy_arrays=True, use_double_precision=True, ignore_warnings=True)
    try:
        with np.errstate(over="raise", invalid="raise"):
            record.read(header.clamped(rows), content)
    except FloatingPointError:
        raise CaptureError(
            "a sample times the factor of its channel is beyond all numbers: the record is damaged; copy or export it "
            "again"
        ) from None
    except (comtrade.ComtradeError, ValueError, IndexError, TypeError, KeyError, OverflowError) as error:
        where = _bad_row(header, content) if isinstance(content, str) else ""
        raise CaptureError(
            f"it cannot be read{where or f' ({error})'}: the record is damaged; copy or export it again"
        ) from None
    return record


def _bad_row(header: Header, content: str) -> str:
    """Name the first row that holds something else than numbers."""
    for number, row in enumerate(content.split("\n"), start=1):
        for cell in row.split(","):
            try:
                float(cell or "0")
            except ValueError:
                return f", since sample {number} of {header.kind} holds {cell[:40]!r}, no number"
    return ""


def _segments(header: Header, record: Any) -> tuple[Segment, ...]:
    times = np.asarray(record.time, np.float64)
    if header.by_stamps:
        multiplier = float(record.cfg.timemult)
        if not (multiplier > 0.0 and math.isfinite(multiplier)):
            raise CaptureError(f"its header states a time multiplier of {multiplier:g}: it is damaged; copy it again")
        return by_times(times, quantum=float(record.cfg.time_base) * multiplier)
    return by_rates(times, tuple((rate, min(end, times.size)) for rate, end in header.rates))


def _timing(header: Header, record: Any, segment: Segment, said: Said) -> Timing:
    def refuse(text: str, line: int | None) -> CaptureError:
        return CaptureError(text if line is None else f"sample {line}: {text}")

    times = np.asarray(record.time, np.float64)[segment.first : segment.last + 1]
    if segment.rate is not None:
        stated = StatedStep(value=1.0 / segment.rate, half_width=0.0, line=header.rates_line + 1, text="")
        timing = settle(None, by_hand=said.number("step"), stated=stated, refuse=refuse)
        return replace(timing, start=float(times[0]))
    quantum = float(record.cfg.time_base) * float(record.cfg.timemult)
    column = TimeColumn(
        times=times,
        place=math.ceil(math.log10(quantum)),
        digits=np.iinfo(np.int64).bits,
        factor=1.0,
        row=lambda index: segment.first + index + 1,
        name="time stamp",
    )
    return settle(column, by_hand=said.number("step"), stated=None, refuse=refuse)


def _volts(record: Any, header: Header, index: int, segment: Segment, factor: float) -> NDArray[np.float64]:
    channel = record.cfg.analog_channels[index]
    values = np.array(record.analog[index][segment.first : segment.last + 1], np.float64)
    if header.kind == "FLOAT32":
        values[values == channel.a * _MISSING_FLOAT + channel.b] = np.nan
    if factor != 1.0:
        values *= factor
    return values


def _volt_channels(channels: Sequence[Any], said: Said) -> list[int]:
    """Return the channels that may be the voltage without being named: those in volts, else those without a unit."""
    if said.choices.voltage_unit:
        return list(range(len(channels)))
    kinds = [_kind(str(channel.uu).strip()) for channel in channels]
    volts = [index for index, kind in enumerate(kinds) if kind == "voltage"]
    return volts or [index for index, kind in enumerate(kinds) if not kind]


def _kind(unit: str) -> str:
    """Return the kind of a unit, empty for none and for one that nobody knows."""
    return unit_kind(unit) if unit else ""


def _units(
    channels: Sequence[Any], names: Sequence[str], voltage: int, output: int | None, said: Said
) -> tuple[dict[int, str], str, tuple[str, ...]]:
    units: dict[int, str] = {}
    origin, remarks = [], []
    for index in (voltage, output):
        if index is None:
            continue
        unit, where = str(channels[index].uu).strip(), FROM_HEADER
        kind = _kind(unit)
        if said.choices.voltage_unit:
            unit, where = said.choices.voltage_unit, "given by hand"
        elif not kind and names[index] in said.base.units and "units" in said.kept:
            unit, where = said.base.units[names[index]], said.where("units", "")
        elif not kind:
            told = f"has the unit {unit!r}, which is none of voltage" if unit else "has no unit"
            remarks.append(f"channel {names[index]!r} {told}; V was taken (--unit says another)")
            unit, where = "V", ASSUMED
        elif kind != "voltage":
            raise CaptureError(
                f"channel {names[index]!r} is in {unit!r}, a unit of {kind}: name another with --voltage, or say what "
                "it stands for with --unit and --scale"
            )
        units[index] = unit
        origin.append(f"{_label(names, index)}: {where}")
    return units, "; ".join(origin), tuple(remarks)


def _ratio_remarks(channels: Sequence[Any], names: Sequence[str], used: Sequence[int]) -> tuple[str, ...]:
    remarks = []
    for index in used:
        channel = channels[index]
        side = "primary" if str(channel.pors).strip().upper() == "P" else "secondary"
        if channel.primary != channel.secondary:
            remarks.append(
                f"channel {names[index]!r} holds values of the {side} side of a transformer of {channel.primary:g} to "
                f"{channel.secondary:g}; the ratio was not applied (--scale applies one)"
            )
        if channel.skew:
            remarks.append(f"channel {names[index]!r} states a time skew of {channel.skew:g} µs, which was not applied")
    return tuple(remarks)
