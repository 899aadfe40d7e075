"""Evidence: files kept as they came, known by their sha256, never rewritten."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from coldpin.casefile.free_space import require_room
from coldpin.casefile.storage import Unfinished, disk_refusals, make_folder
from coldpin.casefile.untrusted import names_in, open_regular, printable, problem, require_folder
from coldpin.errors import CaseError, ColdpinError
from coldpin.records.assessment import Problem
from coldpin.records.entry import Entry, EvidenceFile

CHUNK = 1 << 20
"""How much is copied at a time. [bytes]"""

MEDIA = ("capture", "log", "photograph", "video", "document", "listing")

HASH_LETTERS = 16
_LONGEST_STEM = 80
_LONGEST_SUFFIX = 16
_UNWANTED = re.compile(r"[^\w.+-]+")
_HASH_IN_NAME = re.compile(rf"-([0-9a-f]{{{HASH_LETTERS}}})(\.[^.]*)?$")


def file_evidence(
    folder: Path, path: Path, media: str, *, progress: Callable[[float], None] | None = None
) -> EvidenceFile:
    """Copy a file into the evidence folder, byte for byte.

    Parameters
    ----------
    folder : Path
        The case's ``evidence``.
    path : Path
        The file as it came; it is left where it is.
    media : str
        What it is: "capture", "log", "photograph", "video", "document", "listing".
    progress : callable, optional
        Told the fraction done; what it raises stops the copying and leaves nothing behind.

    Returns
    -------
    EvidenceFile
        Its name in the case, original name, sha256 and size. A file with the same bytes is filed once.

    Raises
    ------
    CaseError
        It is missing, empty, a link, a folder or a device, or it changed while it was copied.
    StorageError
        There is no room, or the disk refused; nothing was filed.
    """
    if media not in MEDIA:
        raise CaseError(f"evidence of the sort {media!r} is not known; known: {', '.join(MEDIA)}")
    make_folder(folder, what="the folder of evidence")
    what = f"evidence {path.name!r}"
    with open_regular(path) as source, disk_refusals(what, folder), Unfinished(folder) as copy:
        before = os.fstat(source)
        if before.st_size == 0:
            raise CaseError(f"{path} is empty (0 bytes): copy it again from where it came")
        require_room(folder, before.st_size, what=str(path))
        digest, size = hashlib.sha256(), 0
        while piece := _read(source, path):
            digest.update(piece)
            copy.write(piece)
            size += len(piece)
            if size > before.st_size:
                break  # it grows, perhaps as fast as we read
            if progress is not None:
                progress(size / before.st_size)
        after = os.fstat(source)
        if size != before.st_size or after.st_mtime_ns != before.st_mtime_ns or after.st_size != before.st_size:
            raise CaseError(f"{path} changed while it was copied: wait until its writer has finished and file it again")
        sha256 = digest.hexdigest()
        name = _already_filed(folder, sha256) or name_for(path.name, sha256)
        copy.protect()
        if not copy.place_new(folder / name):
            require_same(folder / name, sha256)
    return EvidenceFile(media=media, file=name, original_name=plain_name(path.name), sha256=sha256, size=size)


def name_for(original: str, sha256: str) -> str:
    """Return a readable file name that no other content has.

    Parameters
    ----------
    original : str
        Name the file came with.
    sha256 : str
        Of its content.

    Returns
    -------
    str
        The original without what file systems dislike, and the first letters of the sha256.

    Examples
    --------
    >>> name_for("Pilot trace #3.CSV", "0123456789abcdef" + 48 * "0")
    'Pilot_trace_3-0123456789abcdef.CSV'
    >>> name_for("../../etc/passwd", "0123456789abcdef" + 48 * "0")
    'passwd-0123456789abcdef'
    """
    last = unicodedata.normalize("NFC", plain_name(original)).replace("\\", "/").rsplit("/", 1)[-1]
    stem, dot, suffix = last.rpartition(".")
    if not stem or not dot:
        stem, suffix = last, ""
    stem = _shortened(_UNWANTED.sub("_", stem).strip("._-"), _LONGEST_STEM) or "file"
    suffix = _shortened(_UNWANTED.sub("", suffix).strip("._-"), _LONGEST_SUFFIX)
    return f"{stem}-{sha256[:HASH_LETTERS]}" + (f".{suffix}" if suffix else "")


def plain_name(name: str) -> str:
    """Return the name a file came with as it may be printed and kept.

    Parameters
    ----------
    name : str
        As the system gives it.

    Returns
    -------
    str
        Without half characters and control characters.

    Examples
    --------
    >>> plain_name("a" + chr(7) + ".csv")
    'a_.csv'
    """
    plain = name.encode("utf-8", "replace").decode()
    return "".join("_" if unicodedata.category(character) == "Cc" else character for character in plain)


def evidence_path(folder: Path, file: EvidenceFile) -> Path:
    """Return where a filed piece of evidence stands.

    Parameters
    ----------
    folder : Path
        The case's ``evidence``.
    file : EvidenceFile
        As an entry names it.

    Returns
    -------
    Path
        A plain file inside the folder, of the size that was filed.

    Raises
    ------
    CaseError
        The name leads out of the folder, or the file is missing, a link, or of another size than filed.
    """
    name = file.file
    if not name:
        raise CaseError(f"evidence at {file.address!r} is an address; nothing of it is in the case")
    if name in (".", "..") or "/" in name or "\\" in name or "\0" in name or ":" in name:
        raise CaseError(f"evidence {name!r} is not the name of a file in the folder of evidence: it is not opened")
    require_folder(folder, what="the folder of evidence")
    path = folder / name
    with open_regular(path) as descriptor:
        size = os.fstat(descriptor).st_size
    if size != file.size:
        raise CaseError(
            f"{folder.name}/{name} has {size} bytes; {file.size} were filed: it was changed since; put the original "
            "back"
        )
    return path


def check_evidence(
    folders: Mapping[str, Path], entries: Iterable[Entry], *, progress: Callable[[float], None] | None = None
) -> tuple[Problem, ...]:
    """Compare every filed piece of evidence with its sha256.

    A match says that the file is unchanged since it was filed, not when it was made.

    Parameters
    ----------
    folders : mapping of str to Path
        The folder of each kind of evidence that has one of its own (``boards``), and under the empty text that of all
        others.
    entries : iterable of Entry
        All entries, those struck through among them.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    tuple of Problem
        What is missing, changed, or named by no entry.
    """
    every = (file for entry in entries if entry.evidence for file in entry.evidence.files)
    files = {(folders.get(file.media, folders[""]), file.file): file for file in every}
    problems = []
    total, done = sum(file.size for file in files.values()) or 1, 0
    for (folder, name), file in sorted(files.items()):
        try:
            require_same(evidence_path(folder, file), file.sha256)
        except ColdpinError as error:
            problems.append(problem(f"{folder.name}/{name}", error, root=folder.parent))
        done += file.size
        if progress is not None:
            progress(min(1.0, done / total))
    told = "is named by no entry: add it to the case, or move it out"
    for folder in folders.values():
        unnamed = (name for name in names_in(folder) if (folder, name) not in files)
        problems += [Problem(where=f"{folder.name}/{printable(name)}", what=told) for name in unnamed]
    return tuple(problems)


def _already_filed(folder: Path, sha256: str) -> str:
    for name in names_in(folder):
        found = _HASH_IN_NAME.search(name)
        if found and sha256.startswith(found[1]):
            with contextlib.suppress(CaseError):
                require_same(folder / name, sha256)
                return name
    return ""


def require_same(path: Path, sha256: str) -> None:
    """Refuse a file that is not what was filed.

    Parameters
    ----------
    path : Path
        The file.
    sha256 : str
        Of what was filed.

    Raises
    ------
    CaseError
        It has another sha256, or cannot be read.
    """
    digest = hashlib.sha256()
    with open_regular(path) as descriptor:
        while piece := os.read(descriptor, CHUNK):
            digest.update(piece)
    if digest.hexdigest() != sha256:
        raise CaseError(
            f"{path.parent.name}/{path.name} is not what was filed (sha256 {digest.hexdigest()[:12]}…, filed "
            f"{sha256[:12]}…): it was changed since; put the original back"
        )


def _read(source: int, path: Path) -> bytes:
    try:
        return os.read(source, CHUNK)
    except OSError as error:
        raise CaseError(f"{path} cannot be read ({error.strerror}): copy it again from where it came") from error


def _shortened(text: str, longest: int) -> str:
    """Cut a text to so many bytes, between characters."""
    return text.encode()[:longest].decode("utf-8", "ignore")
