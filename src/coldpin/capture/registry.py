"""The readers of captures: ours in an explicit tuple, others' by the entry-point group ``coldpin.readers``."""

from __future__ import annotations

from functools import cache
from importlib.metadata import EntryPoint, entry_points
from pathlib import Path

from coldpin.capture.comtrade import COMTRADE
from coldpin.capture.npy import NPY
from coldpin.capture.npz import NPZ
from coldpin.capture.parquet import PARQUET
from coldpin.capture.raw import RAW, raw_format
from coldpin.capture.record import Reader, Request
from coldpin.capture.signature import content_signature
from coldpin.capture.source import CaptureFile
from coldpin.capture.text import TEXT
from coldpin.capture.wav import WAV
from coldpin.errors import UnknownName
from coldpin.records.file_words import RAW_SAMPLES

READERS: tuple[Reader, ...] = (WAV, NPY, NPZ, PARQUET, COMTRADE, TEXT, RAW)
"""Our readers."""

GROUP = "coldpin.readers"
_HEAD = 4096


@cache
def all_readers() -> tuple[tuple[Reader, ...], tuple[str, ...]]:
    """Return all readers, those of other packages first, and what is to be said of those that did not load.

    Returns
    -------
    tuple
        The readers; remarks.

    Examples
    --------
    >>> [reader.name for reader in all_readers()[0]][-2:]
    ['text', 'raw']
    """
    found: list[Reader] = []
    remarks: list[str] = []
    for point in sorted(entry_points(group=GROUP), key=lambda point: point.name):
        reader = _load(point)
        if isinstance(reader, Reader):
            found.append(reader)
        else:
            remarks.append(reader)
    return (*found, *READERS), tuple(remarks)


def _load(point: EntryPoint) -> Reader | str:
    try:
        reader = point.load()
    except Exception as error:  # a package of somebody else's may fail in any way; it costs its own reader only
        return f"the reader {point.name!r} ({point.value}) could not be loaded: {error}"
    return reader if isinstance(reader, Reader) else f"the reader {point.name!r} ({point.value}) is no Reader record"


def find_reader(path: Path, request: Request) -> tuple[Reader, tuple[str, ...]]:
    """Return the reader for a file: its content decides, not its name; a raw file has to be called so.

    Parameters
    ----------
    path : Path
        The file.
    request : Request
        Choices by hand (an encoding: UTF-16 without a mark looks like no text; a format), a dialect, one remembered.

    Returns
    -------
    tuple
        The reader; remarks.

    Raises
    ------
    CaptureError
        No reader reads such content, or the format named is another; the message names the content.
    UnknownName
        The format named is unknown.
    """
    readers, remarks = all_readers()
    wanted = _wanted(request, readers)
    encoding = request.choices.encoding or (request.dialect.encoding if request.dialect else "")
    with CaptureFile(path) as file:
        if file.size == 0:
            raise file.error("the file is empty: export the capture again")
        head = file.head(_HEAD)
        if wanted == RAW.name:
            return RAW, (*remarks, *_ending_remark(RAW, path))
        if wanted in ("", TEXT.name) and encoding.startswith("utf-16") and not content_signature(head):
            return TEXT, remarks
        found = next((reader for reader in readers if reader.sniffs(head)), None)
        if found is None and raw_format(request):  # remembered for the instrument, and the content is nothing else
            return RAW, (*remarks, *_ending_remark(RAW, path))
        if found is None:
            raise file.error(_refused(path, head, readers))
        if wanted not in ("", found.name):
            raise file.error(
                f"--format {request.choices.format} was given, but the content is that of {found.name} captures: "
                "leave the option out, or give the file that is meant"
            )
        return found, (*remarks, *_ending_remark(found, path))


def _wanted(request: Request, readers: tuple[Reader, ...]) -> str:
    """Return the name of the reader that is to be taken, by hand or by the dialect kept with the file."""
    if raw_format(Request(dialect=request.dialect, choices=request.choices)):
        return RAW.name
    known = [reader.name for reader in readers if reader is not RAW]
    if request.choices.format and request.choices.format not in known:
        raise UnknownName.among(
            "format of a capture", request.choices.format, (*known, *(f"raw {name}" for name in RAW_SAMPLES))
        )
    return request.choices.format


def _ending_remark(reader: Reader, path: Path) -> tuple[str, ...]:
    ending = path.suffix.lower()
    if ending in reader.endings or not ending:
        return ()
    return (f"the ending {path.suffix!r} is not one of {reader.name} captures; the content is, and was read as such",)


def _refused(path: Path, head: bytes, readers: tuple[Reader, ...]) -> str:
    kinds = "; ".join(reader.title for reader in readers)
    content = content_signature(head)
    if path.with_suffix(".cfg").is_file() and path.suffix.lower() == ".dat":
        return f"it holds the samples of a COMTRADE record: give its header, {path.with_suffix('.cfg').name}, instead"
    if content:
        name = f"its name ends in {path.suffix!r}, but its" if path.suffix else "its"
        said = f"{name} content is {content}"
    elif _like_utf16(head):
        return (
            "it holds NUL characters at every other place, as UTF-16 text without its mark does: "
            "say --encoding utf-16-le or --encoding utf-16-be"
        )
    else:
        said = "its content is binary, not text"
    return f"{said}; readable are: {kinds}: export the samples as one of these"


def _like_utf16(head: bytes) -> bool:
    even, odd = head[::2], head[1::2]
    least, most = sorted((even.count(0), odd.count(0)))
    return most > 10 * least and 2 * most > len(even)
