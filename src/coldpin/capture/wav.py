"""The reader of WAV files: whole numbers of 8 to 32 bits or floats, one channel or several side by side."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from coldpin.capture.frames import BITS, PACKED_WIDTH, Channel, FrameSource, look, whole
from coldpin.capture.level import coupling_remarks, scale_step
from coldpin.capture.plan import ASSUMED
from coldpin.capture.record import Capture, Reader, Request
from coldpin.capture.said import FROM_HEADER, Said, dialect_of, follow, pick_channels
from coldpin.capture.source import CaptureFile
from coldpin.capture.timing import format_time
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect

_APPLIES = ("voltage", "output", "step", "scale", "output_scale")
_TITLE = "a WAV sound file"

_PCM, _FLOAT, _EXTENSIBLE = 0x0001, 0x0003, 0xFFFE
_SUBFORMAT_END = bytes.fromhex("000000001000800000aa00389b71")
_UNKNOWN_SIZE = 0xFFFFFFFF
_MOST_CHUNKS = 1 << 10
"""Parts of a file looked at before it is taken for damaged."""

_FILE_HEAD = struct.calcsize("<4sI4s")
_CHUNK_HEAD = struct.calcsize("<4sI")
_CLASSIC = "HHIIHH"
"""Tag, channels, samples a second, bytes a second, bytes of a sample of each channel, bits."""

_EXTENSION = "HHI16s"
"""Behind it in the extensible form: its length, bits that mean something, places of the channels, sub-format."""

_MOST_CHANNELS = 1 << 10


@dataclass(frozen=True, slots=True, kw_only=True)
class _Form:
    """What the header of a WAV file says of its samples."""

    order: str
    floats: bool
    channels: int
    rate: int
    frame: int

    @property
    def width(self) -> int:
        return self.frame // self.channels

    @property
    def stored(self) -> np.dtype[Any]:
        if self.floats:
            return np.dtype(f"{self.order}f{self.width}")
        if self.width == 1:
            return np.dtype(np.uint8)
        return np.dtype(f"{self.order}i{4 if self.width == PACKED_WIDTH else self.width}")

    @property
    def half_span(self) -> float:
        """How many steps full scale is; samples of 24 bits stand in the upper bits of 32."""
        return 1.0 if self.floats else 2.0 ** (BITS * self.stored.itemsize - 1)

    @property
    def ends(self) -> tuple[int, int] | None:
        """The lowest and highest value that can be stored."""
        if self.floats:
            return None
        limits = np.iinfo(self.stored)
        step = 1 << BITS if self.width == PACKED_WIDTH else 1
        return int(limits.min), int(limits.max) + 1 - step


def open_wav(path: Path, request: Request) -> FrameSource:
    """Open a WAV file, so that its samples can be read from any place.

    Parameters
    ----------
    path : Path
        The file.
    request : Request
        A dialect, choices by hand, a dialect remembered.

    Returns
    -------
    FrameSource
        The capture on disk.

    Raises
    ------
    CaptureError
        The file cannot be read, or its volts at full scale are not known.
    """
    file = CaptureFile(path)
    try:
        form, place, size, remarks = _header(file)
        return follow(
            file,
            request,
            "wav",
            applies=_APPLIES,
            title=_TITLE,
            read=lambda said: _source(file, said, form, place, size, remarks),
            remark=lambda source, text: replace(source, remarks=(text, *source.remarks)),
        )
    except BaseException:
        file.close()
        raise


def read_wav(path: Path, request: Request) -> Capture:
    """Read a WAV file.

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
        The file cannot be read, or its volts at full scale are not known.
    """
    return whole(open_wav(path, request), request.progress)


def sniff_wav(path: Path, request: Request) -> Dialect:
    """Say how a WAV file would be read.

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
        The file cannot be read.
    """
    with open_wav(path, request) as source:
        return source.dialect


def is_wav(head: bytes) -> bool:
    r"""Say whether the first bytes are those of a WAV file.

    Parameters
    ----------
    head : bytes
        The first bytes of the file.

    Returns
    -------
    bool
        True for the classic form, its big-endian relative, and the two for long files.

    Examples
    --------
    >>> is_wav(b"RIFF\x24\x00\x00\x00WAVEfmt "), is_wav(b"RIFF\x24\x00\x00\x00AVI ")
    (True, False)
    """
    return head[:4] in (b"RIFF", b"RIFX", b"RF64", b"BW64") and head[_CHUNK_HEAD:_FILE_HEAD] == b"WAVE"


WAV = Reader(
    name="wav",
    title="WAV sound (.wav)",
    endings=(".wav", ".wave", ".rf64", ".bw64"),
    sniffs=is_wav,
    read=read_wav,
    sniff=sniff_wav,
    source="IBM and Microsoft, Multimedia Programming Interface and Data Specifications 1.0 (RIFF WAVE); ITU-R BS.2088",
    open=open_wav,
)


def _header(file: CaptureFile) -> tuple[_Form, int, int, tuple[str, ...]]:
    """Return the form of the samples, the place and size of the data, and what is to be said of them."""
    order = ">" if file.head(4) == b"RIFX" else "<"
    form: _Form | None = None
    found: tuple[int, int] | None = None
    long_size = 0
    for name, place, size in _chunks(file, order):
        if name == b"ds64":
            long_size = int(struct.unpack("<QQ", _bytes(file, place, struct.calcsize("<QQ")))[1])
        elif name == b"fmt ":
            form = _form(file, place, size, order)
        elif name == b"data":
            if found is not None:
                raise file.error(
                    "it holds two stretches of samples (two 'data' chunks), and nothing says whether time runs on from "
                    "one to the next: export the capture again as one"
                )
            found = place, long_size if size == _UNKNOWN_SIZE and long_size else size
    if form is None:
        raise file.error("it has no 'fmt ' chunk, which tells what its samples are: export the capture again")
    if found is None:
        raise file.error("it has no 'data' chunk, which holds the samples: export the capture again")
    place, claimed = found
    size, remarks = _size(file.size - place, claimed, form.frame)
    return form, place, size // form.frame, remarks


def _size(there: int, claimed: int, frame: int) -> tuple[int, tuple[str, ...]]:
    """Return how many bytes of samples there are, whatever the header claims, and what is to be said of it."""
    remarks = []
    if claimed == _UNKNOWN_SIZE:
        remarks.append("the header does not say how long the samples are, as of a stream: read to the end of the file")
    elif claimed > there:
        remarks.append(
            f"the header claims {claimed} bytes of samples, {there} are there: the file is cut short; "
            "what is there was read"
        )
    size = min(claimed, there)
    if size % frame:
        odd = size % frame
        remarks.append(f"left out at the end: {odd} byte{'s' * (odd > 1)}, less than one sample of each channel")
    return size, tuple(remarks)


def _chunks(file: CaptureFile, order: str) -> Iterator[tuple[bytes, int, int]]:
    """Yield name, place and claimed size of each part of the file, up to one that leads out of it."""
    place = _FILE_HEAD
    for _ in range(_MOST_CHUNKS):
        if place + _CHUNK_HEAD > file.size:
            return
        name, size = struct.unpack(f"{order}4sI", _bytes(file, place, _CHUNK_HEAD))
        place += _CHUNK_HEAD
        if name == b"data" and size == 0 and place < file.size and not _is_chunk(file, place, order):
            size = _UNKNOWN_SIZE  # a writer that was stopped, or writes a stream, leaves the zero it began with
        yield name, place, size
        if name == b"data" and place + size > file.size:
            return
        place += size + size % 2
    raise file.error(f"it has more than {_MOST_CHUNKS} chunks, as no WAV file has: it is damaged; copy it again")


def _is_chunk(file: CaptureFile, place: int, order: str) -> bool:
    if place + _CHUNK_HEAD > file.size:
        return False
    name, size = struct.unpack(f"{order}4sI", _bytes(file, place, _CHUNK_HEAD))
    return bool(name.isascii() and name.decode("ascii").isprintable() and place + _CHUNK_HEAD + size <= file.size)


def _bytes(file: CaptureFile, place: int, size: int) -> bytes:
    into = bytearray(size)
    if place + size > file.size:
        raise file.error(f"its header is cut short at byte {file.size}: copy it again from where it came")
    file.read_at(place, memoryview(into))
    return bytes(into)


def _form(file: CaptureFile, place: int, size: int, order: str) -> _Form:
    classic, extension = struct.calcsize(f"<{_CLASSIC}"), struct.calcsize(f"<{_EXTENSION}")
    if size < classic:
        raise file.error(f"its 'fmt ' chunk has {size} bytes, {classic} at least are needed: export the capture again")
    tag, channels, rate, _, frame, bits = struct.unpack(f"{order}{_CLASSIC}", _bytes(file, place, classic))
    if tag == _EXTENSIBLE and size >= classic + extension:
        *_, subformat = struct.unpack(f"{order}{_EXTENSION}", _bytes(file, place + classic, extension))
        known = subformat[2:] == _SUBFORMAT_END
        tag = struct.unpack(f"{order}H", subformat[:2])[0] if known else tag
    if tag not in (_PCM, _FLOAT):
        raise file.error(
            f"its samples are compressed or coded (format tag 0x{tag:04X}); whole numbers (PCM) and floats are read: "
            "export the capture as PCM"
        )
    widths = (np.float32().itemsize, np.float64().itemsize) if tag == _FLOAT else (1, 2, PACKED_WIDTH, 4)
    if not 0 < channels <= _MOST_CHANNELS or frame % channels or frame // channels not in widths:
        raise file.error(
            f"its header says {channels} channels in {frame} bytes a sample, {bits} bits each, which cannot be: "
            f"read are {', '.join(str(BITS * width) for width in widths)} bits: export the capture again"
        )
    return _Form(order=order, floats=tag == _FLOAT, channels=channels, rate=rate, frame=frame)


def _source(
    file: CaptureFile, said: Said, form: _Form, place: int, frames: int, remarks: tuple[str, ...]
) -> FrameSource:
    if not frames:
        raise CaptureError("it holds no samples: export the capture again")
    names = [str(index + 1) for index in range(form.channels)]
    voltage, output, origin = pick_channels(said, names)
    scale, output_scale = _scales(said, form, output is not None)
    step, stepped, more = _step(said, form)
    pilot = _channel(form, place, voltage, scale)
    levels = look(file, pilot, frames)
    smallest = None if form.floats else abs(pilot.gain) * (1 << BITS if form.width == PACKED_WIDTH else 1)
    return FrameSource(
        file=file,
        pilot=pilot,
        output=None if output is None else _channel(form, place, output, output_scale),
        samples=frames,
        sample_interval=step,
        resolution=scale_step(levels) or smallest,
        overload=form.ends,
        remarks=(*remarks, *more, *said.assumed_scale(), *said.remembered_scale(), *coupling_remarks(levels)),
        reader=said.format,
        dialect=dialect_of(
            said,
            voltage=names[voltage],
            output="" if output is None else names[output],
            step=step,
            scale=scale,
            output_scale=output_scale,
            origin={
                **origin,
                "step": stepped,
                "scale": said.where("scale", ASSUMED),
                **({} if output is None else {"output_scale": said.where("output_scale", "as for the pilot")}),
            },
        ),
    )


def _channel(form: _Form, place: int, index: int, scale: float) -> Channel:
    gain = scale / form.half_span
    return Channel(
        first=place + index * form.width,
        stride=form.frame,
        stored=form.stored,
        kept=form.stored.newbyteorder("="),
        gain=gain,
        zero=-scale if form.stored == np.uint8 else 0.0,
        packed=not form.floats and form.width == PACKED_WIDTH,
    )


def _scales(said: Said, form: _Form, has_output: bool) -> tuple[float, float]:
    scale = said.number("scale")
    if scale is None and not form.floats:
        raise CaptureError(
            "a WAV file holds no volts, only parts of full scale: say the volts at full scale with --scale; to find "
            "them, record a known direct voltage and divide it by the part of full scale that it reaches"
        )
    scale = 1.0 if scale is None else scale
    beside = said.number("output_scale")
    return scale, scale if beside is None or not has_output else beside


def _step(said: Said, form: _Form) -> tuple[float, str, tuple[str, ...]]:
    stated = 1.0 / form.rate if form.rate else None
    step = said.number("step")
    if step is None:
        if stated is None:
            raise CaptureError("its header says 0 samples a second: give --rate or --step")
        return stated, FROM_HEADER, ()
    where = said.where("step", FROM_HEADER)
    if stated is None or step == stated:
        return step, where, ()
    remark = (
        f"the step given, {format_time(step)}, is not that of the header, {format_time(stated)}; the one given was used"
    )
    return step, where, (remark,)
