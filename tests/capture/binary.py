"""Small files of samples, built by hand byte by byte, for the tests of readers."""

from __future__ import annotations

import struct

import numpy as np
from numpy.typing import NDArray


def chunk(name: bytes, data: bytes, *, claim: int | None = None) -> bytes:
    """Return one part of a RIFF file; it may claim another length than it has."""
    size = len(data) if claim is None else claim
    return name + struct.pack("<I", size) + data + b"\x00" * (len(data) % 2)


def wav(
    samples: bytes,
    *,
    bits: int = 16,
    channels: int = 1,
    rate: int = 48000,
    tag: int = 1,
    claim: int | None = None,
    before: bytes = b"",
    after: bytes = b"",
    kind: bytes = b"RIFF",
) -> bytes:
    """Return a WAV file with what its header says set at will."""
    frame = channels * bits // 8
    form = struct.pack("<HHIIHH", tag, channels, rate, rate * frame, frame, bits)
    body = b"WAVE" + before + chunk(b"fmt ", form) + chunk(b"data", samples, claim=claim) + after
    return kind + struct.pack("<I", len(body) & 0xFFFFFFFF) + body


def pilot_counts(samples: int = 480, *, high: int = 24000, low: int = -24576) -> NDArray[np.int16]:
    """Return a pulse of 1 kHz at 48 kS/s with a fifth of it high, in counts, with a little noise."""
    noise = np.random.default_rng(1).integers(-20, 21, samples)
    counts: NDArray[np.int16] = (np.where(np.arange(samples) % 48 < 10, high, low) + noise).astype(np.int16)
    return counts
