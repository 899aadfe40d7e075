"""A capture of a case opened for being looked at.

One that is not long is held in memory. Of a long one whose samples lie evenly in its file, these are read from there,
and its levels from the cache; one that has to be read from its beginning was copied beside its levels, as numbers.
"""

from __future__ import annotations

import weakref
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

from coldpin.capture.frames import FrameSource
from coldpin.records.entry import Entry
from coldpin.records.waveform import Waveform
from coldpin.workbench.capture_reading import ASIDE, LONG, dialect_of, is_seekable, open_capture, read_capture
from coldpin.workbench.long_capture import window
from coldpin.workbench.shelving import Bench, open_bench
from coldpin.workbench.wave_captures import find_capture, wave_columns, wave_key
from coldpin.workbench.wave_kept import KeptWave, find_kept
from coldpin.workbench.waves import Wave


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
    wave.columns = wave_columns(bench, found)
    return wave


def _opened(bench: Bench, found: Entry) -> Wave:
    key = wave_key(bench, found)
    seekable = is_seekable(dialect_of(bench, found))
    evidence = found.evidence
    assert evidence is not None, "a capture names its file"
    if not seekable and evidence.size <= ASIDE:
        return _held(key, read_capture(bench, found).waveform)
    with ExitStack() as files:
        kept = find_kept(bench, key, files)
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


def _copied(key: str, kept: KeptWave | None) -> Wave:
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


def _on_disk(key: str, source: FrameSource, kept: KeptWave | None) -> Wave:
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
