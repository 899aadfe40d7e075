"""A folder as one zip file, and back: what comes from outside is refused where it could do harm."""

from __future__ import annotations

import hashlib
import os
import re
import stat
import struct
import unicodedata
import zipfile
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from coldpin.casefile.free_space import require_room
from coldpin.casefile.storage import disk_refusals
from coldpin.casefile.untrusted import open_regular, printable
from coldpin.errors import CaseError
from coldpin.records.unpacking import unpacks_too_far

MOST_FILES = 100_000
"""Ours: a case of years has some thousands of entries; more files than this are not one case."""

MOST_UNPACKED = 1 << 36
"""Ours: largest content of a bundle, so that a lying archive cannot fill any disk. [bytes]"""

LONGEST_NAME = 240
"""Ours: characters of a file's name with its folders; file systems take little more. [characters]"""

CHUNK = 1 << 20
"""How much is copied at a time. [bytes]"""

SEAL = b"coldpin seal sha256 "
"""The comment at the end of an archive of ours: this, then the sha256 of every byte before it, in hexadecimal."""

_DIGITS = 64
_FIRST_DATE = (1980, 1, 1, 0, 0, 0)
"""The earliest date a zip can hold; ours tell none, so that one content gives one archive."""

_MODE = 0o644
_MODE_SHIFT = 16
"""An archive keeps the sort of a file and who may read it in the upper half of a word."""

_END = struct.Struct("<4s4H2LH")
_COMMENT_LENGTH = 2
_DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    struct.error,
    OSError,
    ValueError,
    OverflowError,
    MemoryError,
)
"""What the reader of archives raises for damaged, cut, locked or unknown content."""

_FORBIDDEN = re.compile(r'[\\:*?"<>|]')
_DEVICE = re.compile(r"(?:con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]|conin\$|conout\$)(?:\..*)?", re.IGNORECASE)
"""Names that some systems take for a device, whatever their ending and folder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unpacked:
    """What was unpacked: the one folder in the archive, how many files, and whether the archive is as it was packed."""

    folder: Path
    files: int
    sealed: bool | None


def pack(folder: Path, target: Path) -> None:
    """Write a folder as one zip file, sealed; the same content always gives the same bytes.

    Parameters
    ----------
    folder : Path
        What is packed, under its own name.
    target : Path
        The file to write; whoever calls this gives it its place.

    Raises
    ------
    CaseError
        The folder holds something that is no plain file, or is called as a device is on some systems.
    StorageError
        The disk refused.
    """
    if _DEVICE.fullmatch(folder.name):
        raise CaseError(
            f"a folder {folder.name!r} cannot be packed: some systems take the name for a device; rename it"
        )
    names = sorted(path.relative_to(folder.parent).as_posix() for path in folder.rglob("*") if not path.is_dir())
    with disk_refusals("the bundle", target.parent):
        with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as packed:
            for name in names:
                told = zipfile.ZipInfo(name, _FIRST_DATE)
                told.compress_type = zipfile.ZIP_DEFLATED
                told.external_attr = (stat.S_IFREG | _MODE) << _MODE_SHIFT
                told.create_system = 3
                with open_regular(folder.parent / name) as source:
                    told.file_size = os.fstat(source).st_size
                    with packed.open(told, "w") as member:
                        while piece := os.read(source, CHUNK):
                            member.write(piece)
            packed.comment = SEAL + b"0" * _DIGITS
        with target.open("r+b") as written:
            seal = _hash_before(written.fileno(), target.stat().st_size - _DIGITS)
            written.seek(-_DIGITS, os.SEEK_END)
            written.write(seal.encode())


def unpack(source: Path, folder: Path) -> Unpacked:
    """Unpack an archive that anybody may have made, or refuse all of it before anything is written outside ``folder``.

    Parameters
    ----------
    source : Path
        The archive.
    folder : Path
        An empty folder.

    Returns
    -------
    Unpacked
        Its one folder.

    Raises
    ------
    CaseError
        It is no archive, is damaged, leads out of the folder, holds links, the same name twice, or far more than its
        size lets expect.
    StorageError
        There is no room.
    """
    with open_regular(source) as descriptor:
        size = os.fstat(descriptor).st_size
        try:
            with os.fdopen(os.dup(descriptor), "rb") as stream, zipfile.ZipFile(stream) as packed:
                members = packed.infolist()
                _refuse_shape(source, packed, members, size)
                top = _top(source, members)
                total = sum(member.file_size for member in members)
                require_room(folder, total, what=f"what is in {source.name}")
                for member in members:
                    _unpack_one(packed, member, folder)
                sealed = _sealed(descriptor, size, packed.comment)
        except _DAMAGE as error:
            raise CaseError(f"{source} is no zip file, or a damaged one ({error}): fetch it again") from error
    return Unpacked(folder=folder / top, files=sum(not member.is_dir() for member in members), sealed=sealed)


def _refuse_shape(source: Path, packed: zipfile.ZipFile, members: list[zipfile.ZipInfo], size: int) -> None:
    """Refuse an archive before anything of it is unpacked."""
    if not members:
        raise CaseError(f"{source} is empty: fetch it again")
    if len(members) > MOST_FILES:
        raise CaseError(f"{source} holds {len(members)} files; at most {MOST_FILES} are unpacked: it is no bundle")
    for member in members:
        _refuse_member(source, member)
    _refuse_twice(source, members)
    total = sum(member.file_size for member in members)
    if total > MOST_UNPACKED or unpacks_too_far(packed=size, unpacked=total):
        raise CaseError(
            f"{source} has {size} bytes and would unpack to {total}: it is made to fill the disk and was not unpacked"
        )
    starts = sorted((member.header_offset, member.compress_size) for member in members)
    ends = [*(start for start, _ in starts[1:]), packed.start_dir]
    for (start, length), end in zip(starts, ends, strict=True):
        if start + length > end:
            raise CaseError(
                f"{source} holds files that overlap each other: it is made to fill the disk and was not unpacked"
            )


def _refuse_member(source: Path, member: zipfile.ZipInfo) -> None:
    name = printable(member.orig_filename[:LONGEST_NAME])
    parts = member.filename.removesuffix("/").split("/")
    if member.orig_filename.startswith("/") or _FORBIDDEN.search(member.orig_filename) or ".." in parts:
        raise CaseError(f"{source} holds {name!r}, a name that leads out of its folder: it was not unpacked")
    if any(part != part.strip().rstrip(".") or not part for part in parts) or _unprintable(member.orig_filename):
        raise CaseError(f"{source} holds {name!r}, which is no plain file name: it was not unpacked")
    if any(_DEVICE.fullmatch(part) for part in parts):
        raise CaseError(f"{source} holds {name!r}, a name that some systems take for a device: it was not unpacked")
    if len(member.orig_filename) > LONGEST_NAME:
        raise CaseError(f"{source} holds a name of {len(member.orig_filename)} characters: it was not unpacked")
    mode = member.external_attr >> _MODE_SHIFT
    if stat.S_IFMT(mode) not in (0, stat.S_IFREG, stat.S_IFDIR):
        raise CaseError(f"{source} holds {name!r}, a link or another special file: it was not unpacked")
    if member.flag_bits & 1:
        raise CaseError(f"{source} holds {name!r} locked by a password: fetch the bundle as it was made")
    if member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise CaseError(f"{source} holds {name!r} packed in an uncommon way: pack it again as a plain zip file")


def _unprintable(name: str) -> bool:
    return any(unicodedata.category(character) in ("Cc", "Cf", "Cs") for character in name)


def _refuse_twice(source: Path, members: Iterable[zipfile.ZipInfo]) -> None:
    """Refuse names that are one name on some disk, and a file where another name needs a folder."""
    seen: dict[str, str] = {}
    files: set[str] = set()
    for member in members:
        folded = unicodedata.normalize("NFC", member.filename.removesuffix("/")).casefold()
        if folded in seen:
            raise CaseError(
                f"{source} holds {printable(member.filename)!r} twice (or beside {printable(seen[folded])!r}, one "
                "name to many disks): it was not unpacked"
            )
        seen[folded] = member.filename
        if not member.is_dir():
            files.add(folded)
    for folded, name in seen.items():
        parts = folded.split("/")
        if any("/".join(parts[:depth]) in files for depth in range(1, len(parts))):
            raise CaseError(f"{source} holds {printable(name)!r} inside what is a file: it was not unpacked")


def _top(source: Path, members: list[zipfile.ZipInfo]) -> str:
    tops = {member.filename.split("/", 1)[0] for member in members}
    if len(tops) != 1 or any("/" not in member.filename for member in members):
        raise CaseError(f"{source} does not hold one folder and nothing beside it: this is no bundle")
    return tops.pop()


def _unpack_one(packed: zipfile.ZipFile, member: zipfile.ZipInfo, folder: Path) -> None:
    path = folder / member.filename
    if member.is_dir():
        path.mkdir(parents=True, exist_ok=True)
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
    with packed.open(member) as source, os.fdopen(os.open(path, flags, _MODE), "wb") as target:
        while piece := source.read(CHUNK):
            target.write(piece)


def _sealed(descriptor: int, size: int, comment: bytes) -> bool | None:
    """Say whether the archive is as it was packed; None where another program packed it, which leaves no comment."""
    if not comment and size >= _END.size:
        end = os.pread(descriptor, _END.size, size - _END.size)
        # whoever cuts our seal off leaves the note of its length behind
        return None if end.startswith(b"PK\5\6") and not any(end[-_COMMENT_LENGTH:]) else False
    if not comment.startswith(SEAL) or len(comment) != len(SEAL) + _DIGITS:
        return False
    if os.pread(descriptor, len(comment), size - len(comment)) != comment:
        return False
    return _hash_before(descriptor, size - _DIGITS).encode() == comment[len(SEAL) :]


def _hash_before(descriptor: int, end: int) -> str:
    digest, place = hashlib.sha256(), 0
    while place < end and (piece := os.pread(descriptor, min(CHUNK, end - place), place)):
        digest.update(piece)
        place += len(piece)
    return digest.hexdigest()
