"""A capture of a case looked at in any zoom: opened once, long ones by levels kept in the case's cache.

A capture that is not long is held in memory. Of a long one whose samples lie evenly in its file, these are read from
there, and its levels from the cache; one that has to be read from its beginning is copied beside its levels, as
numbers. Making them is long work; until it is done, windows that are not wide are drawn all the same.
"""

from __future__ import annotations

import hashlib
import json
import math
import os
import weakref
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.frames import FrameSource
from coldpin.errors import CaseError, InputError, UnknownName
from coldpin.pilot.one_cycle import AROUND, figures_at, state_bands
from coldpin.records.entry import Entry
from coldpin.records.exact import to_exact
from coldpin.records.wave import CycleFigures, StateBand, WaveChannel, WaveCut
from coldpin.records.waveform import Waveform
from coldpin.standards.book import load_book
from coldpin.workbench.assessing import CAPTURE, edition_for
from coldpin.workbench.capture_reading import (
    ASIDE,
    LONG,
    capture_files,
    choices_of,
    dialect_of,
    is_seekable,
    open_capture,
    read_capture,
)
from coldpin.workbench.long_capture import window
from coldpin.workbench.look import accuracy_of
from coldpin.workbench.shelving import Bench, open_bench
from coldpin.workbench.wave_levels import (
    Cut,
    Extremes,
    LevelPlan,
    WaveBuilder,
    cut_for,
    envelope,
    plan_levels,
)

SCHEMA: Final = "coldpin.wave/1"

MOST_COLUMNS = 1 << 12
"""Ours: the widest screen there is has no more columns. [1]"""

DIRECT = 1 << 20
"""Ours: while the levels are not made, a window of so many samples is drawn from the file itself. [1]"""

MOST_AROUND = 1 << 20
"""Ours: the figures of a cycle are found in no more samples than this. [1]"""

CHUNK = 1 << 22
"""Ours: so many samples are read together when levels are made. [1]"""

HEAD = 1 << 12
"""Bytes at the beginning of a kept wave that say what is in it, filled up with spaces."""

CHANNELS = ("pilot", "output")


class Samples(Protocol):
    """Where the samples of an opened wave come from."""

    def __call__(self, first: int, stop: int) -> Waveform:
        """Return a part of the capture.

        Parameters
        ----------
        first, stop : int
            Its first sample and one past its last. [1]

        Returns
        -------
        Waveform
            The pilot, and the output where there is one.
        """
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    """A wave in the cache: its levels, and where it was copied its samples."""

    descriptor: int
    plan: LevelPlan
    channels: int
    copied: bool
    sample_interval: float
    start: float
    resolution: float | None

    def level(self, channel: int, place: int, first: int, count: int) -> Extremes:
        """Return blocks of a level."""
        size = 2 * np.dtype(np.float32).itemsize
        before = sum(self.plan.counts[:place]) + channel * sum(self.plan.counts)
        data = _read(self.descriptor, self._levels + size * (before + first), size * count)
        return np.frombuffer(data, "<f4").reshape(count, 2)

    def samples(self, first: int, stop: int) -> Waveform:
        """Return samples that were copied."""
        row = self.channels * np.dtype(np.float64).itemsize
        data = _read(self.descriptor, HEAD + row * first, row * (stop - first))
        table = np.frombuffer(data, "<f8").reshape(stop - first, self.channels)
        return Waveform(
            voltage=np.ascontiguousarray(table[:, 0]),
            sample_interval=self.sample_interval,
            start=self.start + first * self.sample_interval,
            output=np.ascontiguousarray(table[:, 1]) if self.channels > 1 else None,
            resolution=self.resolution,
        )

    @property
    def _levels(self) -> int:
        copied = self.plan.samples * self.channels * np.dtype(np.float64).itemsize if self.copied else 0
        return HEAD + copied


class Wave:
    """A capture opened for being looked at; it may be used by several threads at once.

    Parameters
    ----------
    key : str
        Changes when anything does that the wave is made of.
    samples : int
        How many it has; 0 where that is not known yet. [1]
    sample_interval : float
        From one to the next. [s]
    channels : int
        1, or 2 with an output.
    read : callable or None
        Gives its samples; None where they have to be copied first.
    kept : object or None
        Its levels; None where it has none or they are not made yet.
    prepared : bool
        Whether any window can be drawn.

    Attributes
    ----------
    columns : tuple of str
        The columns or channels of the file that it is read from, that of the pilot first.
    """

    def __init__(
        self,
        key: str,
        *,
        samples: int,
        sample_interval: float,
        channels: int,
        read: Samples | None,
        kept: _Kept | None,
        prepared: bool,
    ) -> None:
        self.key, self.samples, self.sample_interval = key, samples, sample_interval
        self.channels = CHANNELS[:channels]
        self.prepared = prepared
        self.columns: tuple[str, ...] = ()
        self._read, self._kept = read, kept

    def cut(self, first: int, count: int, columns: int) -> tuple[Cut, tuple[Extremes, ...]] | None:
        """Return a window as the lowest and highest sample of each column.

        Parameters
        ----------
        first, count : int
            The window, in samples. [1]
        columns : int
            How many columns, but for one more at an edge; `MOST_COLUMNS` at most. [1]

        Returns
        -------
        tuple of Cut and (tuple of NDArray), or None
            What is drawn, and for each channel an array of shape (columns, 2) [V]; None where the wave has to be
            prepared for so wide a window.

        Raises
        ------
        InputError
            The window lies outside the capture, or the file cannot be read.
        """
        if self._read is None or (not self.prepared and count > DIRECT):
            return None
        if columns > MOST_COLUMNS:
            raise InputError(f"{columns} columns were asked for; at most {MOST_COLUMNS} are given at once")
        cut = cut_for(self.samples, first=first, count=count, columns=columns)
        kept = self._kept
        if kept is not None and cut.per_column >= kept.plan.first_block:
            return cut, tuple(
                envelope(cut, kept.plan, volts=_no_samples, level=partial(kept.level, channel))
                for channel in range(len(self.channels))
            )
        part = self._read(cut.first, cut.stop)
        read = (part.voltage,) if part.output is None else (part.voltage, part.output)
        return cut, tuple(envelope(cut, None, volts=partial(_given, own), level=_no_level) for own in read)

    def part(self, first: int, stop: int) -> Waveform | None:
        """Return some of the samples.

        Parameters
        ----------
        first, stop : int
            The first sample and one past the last; what lies outside the capture is left out. [1]

        Returns
        -------
        Waveform or None
            None where the samples have to be copied first.

        Raises
        ------
        InputError
            The file cannot be read.
        """
        if self._read is None:
            return None
        return self._read(max(first, 0), min(stop, self.samples))


def _given(volts: NDArray[np.float64], first: int, count: int) -> NDArray[np.float64]:
    assert volts.size == count, f"samples {first} to {first + count} were read"
    return volts


def _no_samples(first: int, count: int) -> NDArray[np.float64]:
    raise AssertionError(f"levels hold what is coarser than a block, samples {first} to {first + count} were asked for")


def _no_level(place: int, first: int, count: int) -> Extremes:
    raise AssertionError(f"there are no levels, blocks {first} to {first + count} of {place} were asked for")


def _read(descriptor: int, place: int, size: int) -> bytes:
    data = os.pread(descriptor, size, place)
    if len(data) != size:
        raise CaseError("the prepared wave was cut short: delete the folder 'cache' of the case and open it once more")
    return data


def find_capture(bench: Bench, entry: str) -> Entry:
    """Return the entry of a capture of the pilot, corrected or not.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : str
        Its id, in full.

    Returns
    -------
    Entry
        The entry.

    Raises
    ------
    UnknownName
        There is no such entry, or it files no capture.
    CaseError
        The case cannot be read.
    """
    by_id = {one.id: one for one in bench.case.entries().entries if is_pilot_capture(one)}
    if entry not in by_id:
        raise UnknownName.among("capture", entry, by_id)
    return by_id[entry]


def is_pilot_capture(entry: Entry) -> bool:
    """Say whether an entry files a capture of the pilot.

    Parameters
    ----------
    entry : Entry
        The entry.

    Returns
    -------
    bool
        False for anything else, and for what takes a capture back.
    """
    return entry.shows == CAPTURE and entry.evidence is not None and bool(entry.evidence.file)


def _columns(bench: Bench, entry: Entry) -> tuple[str, ...]:
    """Return the columns or channels a capture is read from, that of the pilot first."""
    filed, now = dialect_of(bench, entry), choices_of(bench, entry)
    names = (now.get("voltage", filed.voltage), now.get("output", filed.output))
    return tuple(str(name) for name in names if name)


def wave_key(bench: Bench, entry: Entry) -> str:
    """Return what tells one wave from another: it changes when file, size, time, or the way it is read does.

    The file is not read for it, which for a long one would take longer than all else.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed capture.

    Returns
    -------
    str
        64 hexadecimal digits.

    Raises
    ------
    InputError
        The file is gone or cannot be read.
    """
    marks = [
        (path.name, seen.st_size, seen.st_mtime_ns, seen.st_ino)
        for path in capture_files(bench, entry)
        for seen in (path.stat(),)
    ]
    sha256 = entry.evidence.sha256 if entry.evidence else ""
    made_of = (SCHEMA, sha256, tuple(marks), dialect_of(bench, entry), tuple(sorted(choices_of(bench, entry).items())))
    return hashlib.sha256(to_exact(made_of)).hexdigest()


def open_wave(folder: Path | str, entry: str) -> Wave:
    """Open a capture of a case for being looked at.

    Parameters
    ----------
    folder : Path or str
        The case.
    entry : str
        Id of the entry that filed it.

    Returns
    -------
    Wave
        Prepared, where it is short or its levels are in the cache. Its files are closed when nobody holds it any more.

    Raises
    ------
    UnknownName
        There is no such capture.
    InputError
        The file is gone or cannot be read.
    """
    bench = open_bench(folder)
    found = find_capture(bench, entry)
    wave = _opened(bench, found)
    wave.columns = _columns(bench, found)
    return wave


def _opened(bench: Bench, found: Entry) -> Wave:
    key = wave_key(bench, found)
    seekable = is_seekable(dialect_of(bench, found))
    evidence = found.evidence
    assert evidence is not None, "a capture names its file"
    if not seekable and evidence.size <= ASIDE:
        return _held(key, read_capture(bench, found).waveform)
    with ExitStack() as files:
        kept = _kept(bench, key, files)
        if not seekable:
            wave = _copied(key, kept)
        else:
            source = files.enter_context(open_capture(bench, found))
            if not isinstance(source, FrameSource):
                wave = _copied(key, kept)
            elif source.samples <= LONG:
                return _held(key, window(source, 0, source.samples))
            else:
                wave = _on_disk(key, source, kept)
        # whoever still draws from it holds it: only then are its files closed
        weakref.finalize(wave, files.pop_all().close)
        return wave


def _held(key: str, waveform: Waveform) -> Wave:
    def read(first: int, stop: int) -> Waveform:
        return replace(
            waveform,
            voltage=waveform.voltage[first:stop],
            output=None if waveform.output is None else waveform.output[first:stop],
            overload=None if waveform.overload is None else waveform.overload[first:stop],
        )

    return Wave(
        key,
        samples=waveform.samples,
        sample_interval=waveform.sample_interval,
        channels=1 if waveform.output is None else 2,
        read=read,
        kept=None,
        prepared=True,
    )


def _copied(key: str, kept: _Kept | None) -> Wave:
    if kept is None or not kept.copied:
        return Wave(key, samples=0, sample_interval=0.0, channels=1, read=None, kept=None, prepared=False)
    return Wave(
        key,
        samples=kept.plan.samples,
        sample_interval=kept.sample_interval,
        channels=kept.channels,
        read=kept.samples,
        kept=kept,
        prepared=True,
    )


def _on_disk(key: str, source: FrameSource, kept: _Kept | None) -> Wave:
    fits = kept is not None and kept.plan.samples == source.samples
    return Wave(
        key,
        samples=source.samples,
        sample_interval=source.sample_interval,
        channels=1 if source.output is None else 2,
        read=lambda first, stop: window(source, first, stop),
        kept=kept if fits else None,
        prepared=fits,
    )


def _kept(bench: Bench, key: str, files: ExitStack) -> _Kept | None:
    """Return a wave of the cache; what is damaged there counts as not made."""
    try:
        descriptor = files.enter_context(bench.case.waves.open(key))
    except CaseError:
        return None
    try:
        said = json.loads(os.pread(descriptor, HEAD, 0))
        kept = _Kept(
            descriptor=descriptor,
            plan=plan_levels(int(said["samples"])),
            channels=int(said["channels"]),
            copied=bool(said["copied"]),
            sample_interval=float(said["sample_interval"]),
            start=float(said["start"]),
            resolution=None if said["resolution"] is None else float(said["resolution"]),
        )
    except (ValueError, KeyError, TypeError, OSError):
        return None
    whole = os.fstat(descriptor).st_size == _size(kept.plan, kept.channels, copied=kept.copied)
    return kept if whole and said.get("schema") == SCHEMA else None


def _size(plan: LevelPlan, channels: int, *, copied: bool) -> int:
    samples = plan.samples * channels * np.dtype(np.float64).itemsize if copied else 0
    return HEAD + samples + channels * sum(plan.counts) * 2 * np.dtype(np.float32).itemsize


def prepare_wave(folder: Path | str, entry: str, *, progress: Callable[[float], None] | None = None) -> str:
    """Make the levels of a capture, so that any window of it is drawn at once.

    Parameters
    ----------
    folder : Path or str
        The case.
    entry : str
        Id of the entry that filed it.
    progress : callable, optional
        Told the fraction done; what it raises stops the work and leaves nothing behind.

    Returns
    -------
    str
        The key under which they are kept.

    Raises
    ------
    UnknownName
        There is no such capture.
    InputError
        The file is gone or cannot be read.
    StorageError
        The disk refused.
    """
    bench = open_bench(folder)
    found = find_capture(bench, entry)
    key = wave_key(bench, found)
    with open_capture(bench, found) as source:
        copied = not isinstance(source, FrameSource)
        has_output = bool(source.dialect.output)
        channels = 2 if has_output else 1
        plan = plan_levels(source.samples)
        head = {
            "schema": SCHEMA,
            "samples": source.samples,
            "channels": channels,
            "copied": copied,
            "sample_interval": source.sample_interval,
            "start": source.start,
            "resolution": source.resolution,
        }

        builder = WaveBuilder(
            plan, gain=source.gain, zero=source.zero, output=channels > 1, progress=progress or (lambda _: None)
        )

        def pieces() -> Iterator[bytes]:
            yield json.dumps(head).encode().ljust(HEAD)
            for stored, output in source.chunks(CHUNK):
                builder.take(stored, output)
                if copied:
                    pilot = stored * source.gain + source.zero
                    yield np.stack([pilot] if output is None else [pilot, output], axis=1).astype("<f8").tobytes()
            for levels in builder.finish():
                for level in levels:
                    yield np.ascontiguousarray(level, "<f4").tobytes()

        bench.case.waves.write(key, pieces(), size=_size(plan, channels, copied=copied))
    return key


def cut_record(wave: Wave, *, first: int, count: int, columns: int) -> WaveCut | None:
    """Return a window of a wave as a record.

    Parameters
    ----------
    wave : Wave
        The wave.
    first, count : int
        The window, in samples. [1]
    columns : int
        How many columns at most, but for one more at an edge. [1]

    Returns
    -------
    WaveCut or None
        None where the wave has to be prepared for so wide a window.

    Raises
    ------
    InputError
        The window lies outside the capture, or the file cannot be read.
    """
    found = wave.cut(first, count, columns)
    if found is None:
        return None
    cut, channels = found
    return _record(
        wave,
        cut,
        tuple(
            WaveChannel(name=name, low_v=_numbers(volts[:, 0]), high_v=_numbers(volts[:, 1]))
            for name, volts in zip(wave.channels, channels, strict=True)
        ),
    )


def cut_bytes(wave: Wave, *, first: int, count: int, columns: int) -> tuple[WaveCut, bytes] | None:
    """Return a window of a wave as numbers of 32 bits, little-endian: quicker to send and to draw than text.

    Of each channel the lowest of all columns come first, then the highest of all; where each column is one sample,
    the samples alone. NaN stands for a column without samples. Places and times are in the record, in 64 bits.

    Parameters
    ----------
    wave : Wave
        The wave.
    first, count : int
        The window, in samples. [1]
    columns : int
        How many columns at most, but for one more at an edge. [1]

    Returns
    -------
    tuple of WaveCut and bytes, or None
        What the bytes are, its channels named and empty; None where the wave has to be prepared for so wide a window.

    Raises
    ------
    InputError
        The window lies outside the capture, or the file cannot be read.
    """
    found = wave.cut(first, count, columns)
    if found is None:
        return None
    cut, channels = found
    sides = slice(0, 1 if cut.per_column == 1 else 2)
    data = b"".join(np.ascontiguousarray(volts[:, sides].T, "<f4").tobytes() for volts in channels)
    return _record(wave, cut, tuple(WaveChannel(name=name, low_v=(), high_v=()) for name in wave.channels)), data


def _record(wave: Wave, cut: Cut, channels: tuple[WaveChannel, ...]) -> WaveCut:
    return WaveCut(
        schema=SCHEMA,
        first=cut.first,
        stop=cut.stop,
        samples_per_column=cut.per_column,
        start_s=cut.first * wave.sample_interval,
        sample_interval_s=wave.sample_interval,
        channels=channels,
    )


def _numbers(values: NDArray[np.float32]) -> tuple[float | None, ...]:
    return tuple(None if math.isnan(value) else value for value in values.tolist())


def cycle_of_wave(folder: Path | str, entry: str, wave: Wave, at: float) -> CycleFigures | None:
    """Return the figures of the cycle, or of the level, that stands at a time of a wave.

    Parameters
    ----------
    folder : Path or str
        The case.
    entry : str
        Id of the entry that filed it.
    wave : Wave
        The wave, opened.
    at : float
        From the first sample. [s]

    Returns
    -------
    CycleFigures or None
        With the accuracy of the instrument; None where the wave has to be prepared first.

    Raises
    ------
    UnknownName
        There is no such capture.
    InputError
        The time lies outside the capture, or case or file cannot be read.
    """
    if wave.samples == 0:
        return None
    interval = wave.sample_interval
    if not 0.0 <= at < wave.samples * interval:
        raise InputError(f"the time {at:g} s was asked for; the capture lasts {wave.samples * interval:g} s")
    middle, half = int(at / interval), min(math.ceil(AROUND / interval), MOST_AROUND // 2)
    first = max(middle - half, 0)
    part = wave.part(first, middle + half + 1)
    if part is None:
        return None
    bench = open_bench(folder)
    found = find_capture(bench, entry)
    description = bench.case.description()
    return figures_at(
        part,
        at,
        first_s=first * interval,
        book=load_book().with_own(description.constants),
        edition=edition_for(description),
        accuracy=accuracy_of(
            bench.instruments.get(found.instrument), found.conditions.get("full scale", ""), found.instrument
        ),
    )


def bands_of_case(folder: Path | str) -> tuple[StateBand, ...]:
    """Return the windows by which the levels of a case are told and judged.

    Parameters
    ----------
    folder : Path or str
        The case.

    Returns
    -------
    tuple of StateBand
        One for each state.

    Raises
    ------
    CaseError
        The case cannot be read.
    """
    description = open_bench(folder).case.description()
    return state_bands(load_book().with_own(description.constants), edition_for(description))
