"""The levels of a long capture made and kept, so that any window of it is drawn at once: long work, done once."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np

from coldpin.capture.frames import FrameSource
from coldpin.workbench.capture_reading import open_capture
from coldpin.workbench.shelving import open_bench
from coldpin.workbench.wave_captures import find_capture, wave_key
from coldpin.workbench.wave_kept import HEAD, SCHEMA, kept_size
from coldpin.workbench.wave_levels import WaveBuilder, plan_levels

CHUNK = 1 << 22
"""Ours: so many samples are read together when levels are made. [1]"""


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

        bench.case.waves.write(key, pieces(), size=kept_size(plan, channels, copied=copied))
    return key
