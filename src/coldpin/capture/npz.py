"""The reader of NumPy's archives of named arrays; objects are never unpacked."""

from __future__ import annotations

import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.choices import rate_in_hertz
from coldpin.capture.in_memory import assemble
from coldpin.capture.named import APPLIES, FIRST_ROWS, Roles, settle_roles, settle_time
from coldpin.capture.npy import ArrayHeader, dialect_for, kept_type, read_header
from coldpin.capture.preamble import StatedStep
from coldpin.capture.record import Capture, Progress, Reader, Request
from coldpin.capture.said import Said, follow
from coldpin.capture.source import BLOCK_BYTES, CaptureFile
from coldpin.capture.table import LARGEST_CLAIM
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect
from coldpin.records.unpacking import MOST_RATIO, unpacks_too_far

STEP_NAMES = frozenset({"step", "dt", "sample_interval", "sampling_interval"})
"""Names of a single number that is the time between samples. [s]"""

RATE_NAMES = frozenset({"rate", "fs", "sample_rate", "samplerate", "sampling_rate"})
"""Names of a single number that is the samples a second. [Hz]"""

LARGEST_PACKED = 256 << 20
"""Ours: packed arrays of one capture are unpacked up to this size, all at once in memory. Longer ones are read in
parts, which only samples that lie unpacked in their file allow. [bytes]"""

_ENDING = ".npy"
_LONGEST_HEADER = 1 << 16
_MOST_MEMBERS = 1 << 10
_LOCAL_HEADER = "<4s5H3I2H"
"""What stands before a member's name; the last but one of its numbers is the length of the name. [byte]"""

_TITLE = "an archive of NumPy arrays"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Member:
    """An array in the archive: its name, its header, its first values, None where they are no real numbers."""

    name: str
    header: ArrayHeader
    first: NDArray[Any] | None


def read_npz(path: Path, request: Request) -> Capture:
    """Read an archive of arrays.

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
        It holds no array that can be the voltage, or several, or is damaged.
    """
    with CaptureFile(path) as file, _archive(path, file) as archive:
        return follow(
            file,
            request,
            "npz",
            applies=APPLIES,
            title=_TITLE,
            read=lambda said: _capture(file, archive, said, request.progress),
            remark=_remarked,
        )


def sniff_npz(path: Path, request: Request) -> Dialect:
    """Say how an archive of arrays would be read, from the beginnings of its arrays.

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
        It holds no array that can be the voltage, or several, or is damaged.
    """

    def plan(said: Said) -> Dialect:
        roles, stated, _ = _plan(archive, said)
        origin = "given by hand" if said.number("step") is not None else "from the header"
        step = said.number("step") or (stated.value if stated else 0.0)
        return dialect_for(said, roles, origin if step else "from the time column", step)

    with CaptureFile(path) as file, _archive(path, file) as archive:
        return follow(file, request, "npz", applies=APPLIES, title=_TITLE, read=plan, remark=lambda dialect, _: dialect)


def is_npz(head: bytes) -> bool:
    """Say whether the first bytes are those of an archive whose first member is an array.

    Parameters
    ----------
    head : bytes
        The first bytes of the file.

    Returns
    -------
    bool
        True for an archive of arrays.
    """
    place = struct.calcsize(_LOCAL_HEADER)
    if not head.startswith(b"PK\x03\x04") or len(head) < place:
        return False
    length = struct.unpack_from(_LOCAL_HEADER, head)[-2]
    return head[place : place + length].endswith(_ENDING.encode())


NPZ = Reader(
    name="npz",
    title="archives of NumPy arrays (.npz)",
    endings=(".npz",),
    sniffs=is_npz,
    read=read_npz,
    sniff=sniff_npz,
    source="numpy.savez: a ZIP archive (the ZIP application note) of NumPy Enhancement Proposal 1 arrays",
)


def _remarked(capture: Capture, text: str) -> Capture:
    both = (text, *capture.remarks)
    return replace(capture, remarks=both, waveform=replace(capture.waveform, remarks=both))


_DAMAGE = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError, ValueError)
"""What the archive's reader raises for damaged, encrypted or unknown content."""


@contextmanager
def _archive(path: Path, file: CaptureFile) -> Iterator[zipfile.ZipFile]:
    try:
        with zipfile.ZipFile(path) as archive:
            _refuse_bomb(file, archive)
            yield archive
    except _DAMAGE:
        raise file.error("the archive is damaged: copy it again from where it came") from None


def _refuse_bomb(file: CaptureFile, archive: zipfile.ZipFile) -> None:
    """Refuse what unpacks too far before anything is unpacked; of a member no more is read than the archive states."""
    for info in archive.infolist():
        if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):  # others are unpacked without bound
            raise file.error(
                f"array {info.filename.removesuffix(_ENDING)!r} is packed in an uncommon way: save it with numpy.savez"
            )
    total = sum(info.file_size for info in archive.infolist())
    if unpacks_too_far(packed=file.size, unpacked=total):
        raise file.error(
            f"it has {file.size} bytes and would unpack to {total}, more than {MOST_RATIO} times as many: it was not "
            "unpacked; if it is a capture, save it unpacked (numpy.savez, numpy.save)"
        )


NO_ARRAY = ArrayHeader(dtype=np.dtype("V1"), fortran=False, shape=(), size=0)
"""Stands in for the header of what holds no real numbers, or cannot be read."""


def _members(archive: zipfile.ZipFile) -> list[_Member]:
    infos = [info for info in archive.infolist() if info.filename.endswith(_ENDING)]
    if len(infos) > _MOST_MEMBERS:
        raise CaptureError(
            f"it holds {len(infos)} arrays; at most {_MOST_MEMBERS} are looked at: save the capture alone"
        )
    members = []
    for info in infos:
        with archive.open(info) as stream:
            head = stream.read(_LONGEST_HEADER)
        name = info.filename.removesuffix(_ENDING)
        try:
            header = read_header(head)
            kept = kept_type(header.dtype)
        except CaptureError:
            members.append(_Member(name=name, header=NO_ARRAY, first=None))  # an error only if it is wanted
            continue
        size = len(head) - header.size
        room = header.dtype.itemsize * FIRST_ROWS
        raw = head[header.size : header.size + min(room, size - size % header.dtype.itemsize)]
        members.append(_Member(name=name, header=header, first=np.frombuffer(raw, header.dtype).astype(kept)))
    return members


def _plan(archive: zipfile.ZipFile, said: Said) -> tuple[Roles, StatedStep | None, list[_Member]]:
    members = _members(archive)
    columns = [member for member in members if member.first is None or _is_column(member.header)]
    if not any(member.first is not None for member in columns):
        shapes = ", ".join(f"{member.name} {member.header.shape}" for member in members) or "none"
        raise CaptureError(
            f"it holds no array of numbers in one column (arrays: {shapes}): save voltage and time as arrays of shape "
            "(n,), or one array as .npy"
        )
    by_hand = said.number("step")
    stated = None if by_hand is not None else _stated(members)
    known = replace(said, choices=replace(said.choices, step=stated.value)) if stated else said
    roles = settle_roles(known, [member.name for member in columns], [member.first for member in columns])
    return roles, stated, columns


def _is_column(header: ArrayHeader) -> bool:
    return len(header.shape) == 1 and header.shape[0] > 1


def _stated(members: list[_Member]) -> StatedStep | None:
    """Return the step that a single number of a usual name states."""
    for line, member in enumerate(members, start=1):
        name = member.name.casefold()
        if member.first is None or member.first.size != 1 or member.header.shape not in ((), (1,)):
            continue
        value = float(member.first[0])
        if name in STEP_NAMES | RATE_NAMES and value > 0.0 and np.isfinite(value):
            step = value if name in STEP_NAMES else 1.0 / rate_in_hertz(value, "Hz")
            if not np.isfinite(step):
                raise CaptureError(
                    f"array {member.name!r} states a rate of {value:g} Hz, whose step is beyond all numbers: give "
                    "--step or --rate"
                )
            return StatedStep(value=step, half_width=0.0, line=line, text=f"{member.name} = {value:g}")
    return None


def _capture(file: CaptureFile, archive: zipfile.ZipFile, said: Said, progress: Progress | None) -> Capture:
    roles, stated, columns = _plan(archive, said)
    used = {role: index for role, index in _used(roles).items() if index is not None}
    lengths = {role: columns[index].header.shape for role, index in used.items()}
    if len(set(lengths.values())) > 1:
        told = ", ".join(f"{columns[index].name!r} has {lengths[role][0]}" for role, index in used.items())
        raise CaptureError(f"its arrays are not of one length ({told}): name those of one capture, or save it again")
    values = {
        role: _values(archive, columns[index], len(used), progress if role == "voltage" else None)
        for role, index in used.items()
    }
    times = values.get("time")
    timing = settle_time(
        said,
        roles,
        None if times is None else times.astype(np.float64) * roles.time_factor,
        stored=None if times is None else times.dtype,
        stated=stated,
        refuse=lambda text, line: file.error(text, line=line),
    )
    output = values.get("output")
    return assemble(
        values["voltage"].astype(np.float64) * roles.gain,
        None if output is None else output.astype(np.float64) * roles.output_gain,
        timing,
        dialect=dialect_for(said, roles, timing.origin, timing.step),
        remarks=roles.remarks,
        reader=NPZ.name,
    )


def _used(roles: Roles) -> dict[str, int | None]:
    return {"time": roles.columns.time, "voltage": roles.columns.voltage, "output": roles.columns.output}


def _values(archive: zipfile.ZipFile, member: _Member, columns: int, progress: Progress | None) -> NDArray[Any]:
    header = member.header
    count = header.shape[0]
    if count * columns * max(header.dtype.itemsize, np.float64().itemsize) > LARGEST_CLAIM:
        raise CaptureError(
            f"array {member.name!r} claims {count} samples, which in memory exceed the {LARGEST_CLAIM >> 30} GiB that "
            "one capture may take: cut it into shorter ones"
        )
    info = archive.getinfo(member.name + _ENDING)
    if info.compress_type != zipfile.ZIP_STORED and count * columns * np.float64().itemsize > LARGEST_PACKED:
        raise CaptureError(
            f"array {member.name!r} is packed and has {count} samples, which in memory exceed the "
            f"{LARGEST_PACKED >> 20} MiB that are unpacked at once: save it unpacked as one array (numpy.save), "
            "which is read in parts"
        )
    there = info.file_size - header.size
    if count * header.dtype.itemsize > there:
        raise CaptureError(
            f"array {member.name!r} claims {count} samples, {there // header.dtype.itemsize} are there: the file is "
            "cut short; copy it again"
        )
    values = np.empty(count, header.dtype)
    with archive.open(member.name + _ENDING) as stream:
        stream.read(header.size)
        _fill(stream, values, progress)
    return values


def _fill(stream: IO[bytes], values: NDArray[Any], progress: Progress | None) -> None:
    into, done = values.view(np.uint8).data, 0
    while done < len(into):
        piece = stream.read(min(BLOCK_BYTES, len(into) - done))
        if not piece:
            raise EOFError("an array ends early")
        into[done : done + len(piece)] = piece
        done += len(piece)
        if progress is not None:
            progress(done / len(into))
