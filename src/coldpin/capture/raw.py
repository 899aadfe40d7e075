"""The reader of raw files: samples and nothing else, of a type that only a person can say."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from coldpin.capture.frames import BITS, Channel, FrameSource, look, whole
from coldpin.capture.level import scale_step
from coldpin.capture.plan import ASSUMED
from coldpin.capture.record import Capture, Reader, Request
from coldpin.capture.said import Said, dialect_of, follow, pick_channels
from coldpin.capture.source import CaptureFile
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect

_APPLIES = ("voltage", "output", "step", "scale", "output_scale", "channels")
_MOST_CHANNELS = 1 << 10


def open_raw(path: Path, request: Request) -> FrameSource:
    """Open a raw file, so that its samples can be read from any place.

    Parameters
    ----------
    path : Path
        The file.
    request : Request
        A dialect, choices by hand, a dialect remembered; one of them names the format, such as "raw int16".

    Returns
    -------
    FrameSource
        The capture on disk.

    Raises
    ------
    CaptureError
        The step, or the volts at full scale of whole numbers, are not known, or there are no samples.
    """
    name = raw_format(request)
    file = CaptureFile(path)
    try:
        return follow(
            file,
            request,
            name,
            applies=_APPLIES,
            title=f"a file read as {name}",
            read=lambda said: _source(file, said),
            remark=lambda source, text: replace(source, remarks=(text, *source.remarks)),
        )
    except BaseException:
        file.close()
        raise


def raw_format(request: Request) -> str:
    """Return the name of the raw format that is asked for.

    Parameters
    ----------
    request : Request
        Choices by hand, a dialect, a dialect remembered, in this order.

    Returns
    -------
    str
        Such as "raw int16", the empty text if none is.

    Examples
    --------
    >>> raw_format(Request(remembered=Dialect(format="raw uint8")))
    'raw uint8'
    """
    said = request.choices.format or next((d.format for d in (request.dialect, request.remembered) if d), "")
    return said if said.startswith("raw ") else ""


def read_raw(path: Path, request: Request) -> Capture:
    """Read a raw file.

    Parameters
    ----------
    path : Path
        The file.
    request : Request
        A dialect, choices by hand, a dialect remembered, progress.

    Returns
    -------
    Capture
        The capture.

    Raises
    ------
    CaptureError
        Something that the file does not say is not known, or there are no samples.
    """
    return whole(open_raw(path, request), request.progress)


def sniff_raw(path: Path, request: Request) -> Dialect:
    """Say how a raw file would be read.

    Parameters
    ----------
    path : Path
        The file.
    request : Request
        A dialect, choices by hand, a dialect remembered.

    Returns
    -------
    Dialect
        The dialect, each field with its origin.

    Raises
    ------
    CaptureError
        Something that the file does not say is not known, or there are no samples.
    """
    with open_raw(path, request) as source:
        return source.dialect


RAW = Reader(
    name="raw",
    title='Raw samples, if --format says which ("raw int16")',
    endings=(".raw", ".bin", ".pcm"),
    sniffs=lambda _: False,
    read=read_raw,
    sniff=sniff_raw,
    source="numbers as processors hold them: two's complement, IEEE 754",
    open=open_raw,
)
"""Read only if its format is named: nothing in such a file tells it from any other."""


def _source(file: CaptureFile, said: Said) -> FrameSource:
    stored = _stored(said.format)
    channels = _channels(said)
    scale = said.number("scale")
    step = said.number("step")
    wanted = ["--rate (or --step)"] if step is None else []
    if scale is None and stored.kind in "iu":
        wanted.append("--scale (volts at full scale)")
    if step is None or wanted:
        raise CaptureError(f"a raw file says nothing of its samples: give {' and '.join(wanted)}")
    frame = channels * stored.itemsize
    frames, odd = divmod(file.size, frame)
    if not frames:
        raise CaptureError(f"it has {file.size} bytes, less than one sample of each channel ({frame})")
    names = [str(index + 1) for index in range(channels)]
    voltage, output, origin = pick_channels(said, names)
    scale = 1.0 if scale is None else scale
    beside = said.number("output_scale")
    output_scale = scale if beside is None or output is None else beside
    pilot = _channel(stored, frame, voltage, scale)
    levels = look(file, pilot, frames)
    left = f"left out at the end: {odd} byte{'s' * (odd > 1)}, less than one sample of each channel"
    limits = None if stored.kind == "f" else np.iinfo(stored.name)
    return FrameSource(
        file=file,
        pilot=pilot,
        output=None if output is None else _channel(stored, frame, output, output_scale),
        samples=frames,
        sample_interval=step,
        resolution=scale_step(levels) or (None if limits is None else abs(pilot.gain)),
        overload=None if limits is None else (int(limits.min), int(limits.max)),
        remarks=(*((left,) if odd else ()), *said.assumed_scale(), *said.remembered_scale()),
        reader=RAW.name,
        dialect=dialect_of(
            said,
            voltage=names[voltage],
            output="" if output is None else names[output],
            step=step,
            scale=scale,
            output_scale=output_scale,
            channels=channels,
            origin={
                **origin,
                "format": said.where("format", ASSUMED),
                "step": said.where("step", ASSUMED),
                "scale": said.where("scale", ASSUMED),
                "channels": said.where("channels", ASSUMED),
            },
        ),
    )


def _stored(name: str) -> np.dtype[np.generic]:
    words = name.split()
    return np.dtype(words[1]).newbyteorder(">" if "big-endian" in words else "<")


def _channels(said: Said) -> int:
    channels = said.choices.channels
    if channels is None and "channels" in said.kept:
        channels = said.base.channels
    if channels is None:
        return 1
    if channels > _MOST_CHANNELS:
        raise CaptureError(f"--channels {channels} cannot be meant; at most {_MOST_CHANNELS} stand side by side")
    return channels


def _channel(stored: np.dtype[np.generic], frame: int, index: int, scale: float) -> Channel:
    half_span = 1.0 if stored.kind == "f" else 2.0 ** (BITS * stored.itemsize - 1)
    return Channel(
        first=index * stored.itemsize,
        stride=frame,
        stored=stored,
        kept=stored.newbyteorder("="),
        gain=scale / half_span,
        zero=-scale if stored.kind == "u" else 0.0,
    )
