"""COMTRADE records built by hand, line by line and byte by byte, with claims set at will."""

from __future__ import annotations

import math
import struct
from collections.abc import Sequence

VOLTS = "{n},{name},,,{unit},{a},{b},0,-32767,32767,{ratio},1,P"


def header(
    *,
    kind: str = "ASCII",
    revision: str = "1999",
    channels: Sequence[tuple[str, str]] = (("CP", "V"),),
    status: int = 0,
    rates: Sequence[tuple[float, int]] = ((1000.0, 4),),
    a: float = 0.5,
    b: float = 1.0,
    ratio: float = 1.0,
    multiplier: float = 1.0,
) -> str:
    """Return a header; without rates the time stamps rule."""
    first = "Brackwater,recorder" + (f",{revision}" if revision != "1991" else "")
    lines = [first, f"{len(channels) + status},{len(channels)}A,{status}D"]
    lines += [
        VOLTS.format(n=n, name=name, unit=unit, a=a, b=b, ratio=ratio) for n, (name, unit) in enumerate(channels, 1)
    ]
    lines += [f"{n},ST{n},,,0" for n in range(1, status + 1)]
    timed = any(rate for rate, _ in rates)
    lines += ["50", str(len(rates) if timed else 0), *(f"{rate},{end}" for rate, end in rates)]
    lines += ["02/05/2026,12:00:00.000000", "02/05/2026,12:00:00.000000", kind]
    lines += [str(multiplier)] if revision != "1991" else []
    return "\r\n".join(lines) + "\r\n"


def ascii_samples(rows: Sequence[Sequence[object]], stamps: Sequence[object] | None = None) -> bytes:
    """Return samples as text: number, time stamp, values."""
    times = range(0, 1000 * len(rows), 1000) if stamps is None else stamps
    lines = (f"{n},{time}," + ",".join(map(str, row)) for n, (time, row) in enumerate(zip(times, rows, strict=True), 1))
    return ("\r\n".join(lines) + "\r\n").encode()


def binary_samples(
    rows: Sequence[Sequence[float]], code: str = "h", *, status: int = 0, stamps: Sequence[int] | None = None
) -> bytes:
    """Return samples as bytes: number, time stamp, values of the code of ``struct``, words of status."""
    times = range(0, 1000 * len(rows), 1000) if stamps is None else stamps
    words = b"\x01\x00" * math.ceil(status / 16)
    return b"".join(
        struct.pack(f"<II{len(row)}{code}", n, time, *row) + words
        for n, (time, row) in enumerate(zip(times, rows, strict=True), 1)
    )


def single_file(head: str, samples: bytes, kind: str = "ASCII") -> bytes:
    """Return header and samples as one file of the 2013 revision."""
    size = "" if kind == "ASCII" else f": {len(samples)}"
    start = f"--- file type: CFG ---\r\n{head}--- file type: INF ---\r\n\r\n--- file type: DAT {kind}{size} ---\r\n"
    return start.encode() + samples
