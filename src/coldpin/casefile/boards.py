"""Drawings of boards: every save a new version, none ever rewritten."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from coldpin.casefile.evidence import HASH_LETTERS, name_for, plain_name
from coldpin.casefile.free_space import require_room
from coldpin.casefile.storage import Unfinished, disk_refusals, make_folder
from coldpin.casefile.untrusted import names_in
from coldpin.errors import CaseError
from coldpin.records.entry import EvidenceFile

MEDIA = "board"
"""What a drawing is called among pieces of evidence; it is kept in a folder of its own."""

FOLDER = "boards"

_VERSION = re.compile(r"(?P<board>.+)-v(?P<version>[0-9]{2,6})-(?P<hash>[0-9a-f]+)\.geojson")


def file_board(folder: Path, data: bytes, *, board: str, original_name: str) -> EvidenceFile:
    """Keep a drawing as the next version of its board; whoever calls this holds the case's edit lock.

    Parameters
    ----------
    folder : Path
        The case's ``boards``; made where it is missing.
    data : bytes
        The drawing, as it came.
    board : str
        What the board is called: versions are counted for each name.
    original_name : str
        What the file was called where it came from.

    Returns
    -------
    EvidenceFile
        To be named by an entry; what is the newest version already, to the byte, is not filed again.

    Raises
    ------
    CaseError
        Another program takes the name at the same time.
    StorageError
        There is no room, or the disk refused; nothing was filed.

    Examples
    --------
    >>> import tempfile
    >>> folder = Path(tempfile.mkdtemp()) / "boards"
    >>> [file_board(folder, data, board="main board", original_name="b.json").file[:14] for data in (b"1", b"2")]
    ['main_board-v01', 'main_board-v02']
    """
    make_folder(folder, what="the folder of boards")
    sha256 = hashlib.sha256(data).hexdigest()
    # name_for makes a text fit for a file's name; its hash is put behind the version instead
    stem = name_for(f"{board}.x", sha256).rpartition("-")[0]
    earlier = {int(found["version"]): found["hash"] for found in _versions(folder) if found["board"] == stem}
    newest = max(earlier, default=0)
    is_filed = newest > 0 and sha256.startswith(earlier[newest])
    name = f"{stem}-v{newest if is_filed else newest + 1:02d}-{sha256[:HASH_LETTERS]}.geojson"
    if not is_filed:
        _write(folder / name, data, what=f"the drawing of board {board!r}")
    return EvidenceFile(media=MEDIA, file=name, original_name=plain_name(original_name), sha256=sha256, size=len(data))


def version_of(file: EvidenceFile) -> int:
    """Return which version of its board a filed drawing is.

    Parameters
    ----------
    file : EvidenceFile
        As an entry names it.

    Returns
    -------
    int
        From 1; 0 where its name tells none.

    Examples
    --------
    >>> version_of(EvidenceFile(media="board", file="main_board-v02-0123456789abcdef.geojson"))
    2
    """
    found = _VERSION.fullmatch(file.file)
    return int(found["version"]) if found else 0


def _write(path: Path, data: bytes, *, what: str) -> None:
    require_room(path.parent, len(data), what=what)
    with disk_refusals(what, path.parent), Unfinished(path.parent) as unfinished:
        unfinished.write(data)
        unfinished.protect()
        if not unfinished.place_new(path):
            raise CaseError(f"{path.name} is there already, and another program made it just now: do it again")


def _versions(folder: Path) -> list[re.Match[str]]:
    return [found for name in names_in(folder) if (found := _VERSION.fullmatch(name))]
