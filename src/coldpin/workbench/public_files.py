"""A file of a case as anybody may have it: private texts exchanged, pictures as pixels alone, or left out with why."""

from __future__ import annotations

import codecs
import html
import json
import os
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from coldpin.capture.bare_picture import bare_picture, is_picture
from coldpin.casefile.boards import MEDIA as BOARD
from coldpin.casefile.camera_marks import camera_marks
from coldpin.casefile.untrusted import open_regular, parse_json, read_regular, walk
from coldpin.errors import CaptureError, CaseError, MissingExtra
from coldpin.records.entry import EvidenceFile
from coldpin.records.unpacking import unpacks_too_far
from coldpin.records.withheld import WithheldText
from coldpin.workbench.withholding import NO_PICTURE, Swap, folded, how_found, mapped, may_show, swapper

LARGEST_CHANGED = 1 << 28
"""Ours: a file larger than this is searched and not written anew. [bytes]"""

HEAD = 1 << 16
"""Ours: what an instrument writes above its numbers lies within so much of a file. [bytes]"""

MOST_UNPACKED = 1 << 32
"""Ours: arrays that unpack to more than this are not searched. [bytes]"""

_CHUNK = 1 << 22
_LONGEST_FOUND = 512
"""Longest text that is found across the border of two pieces. [bytes]"""

_ONE_BYTE, _MORE_BYTES = ("utf-8", "latin-1"), ("utf-16-le", "utf-16-be", "utf-32-le")

_OF_INSTRUMENTS = ("capture", "log")
_ARRAYS = (b"PK\x03\x04", b"\x93NUMPY", b"PAR1", b"RIFF")
_NUMERIC_LINE = re.compile(r"[^\W\d_]{2}")
_TAG = re.compile(r"<[^>]{0,2000}>")
_UNWANTED_IN_FILES = re.compile(r"[\s,;]+")

VIDEO = "a video holds what its camera wrote, place and device among it, and is not looked into"
CLOSED = "a file of this form is not looked into, so that it may hold what is private"


_TELLS = re.compile(
    r"lat(?:itude)?|lon(?:g(?:itude)?)?|lng|gps.*|geo.*|position|location|place|address|"
    r"vin|vehicle id(?:entification)?.*|(?:registration|licen[cs]e|number) plate|plate|"
    r"(?:device |meter )?(?:serial|serial (?:no|nr|number)|s/n|imei|iccid|mac|mac address|ssid)|rfid.*|"
    r"(?:card|user|driver|owner|customer)(?: (?:id|name|no|number))?",
    re.IGNORECASE,
)
"""Heads of columns that may tell where a log was taken, with which vehicle, or whose it is."""

_CELLS = re.compile(r"[,;\t|]")
_UNIT = re.compile(r"\s*[\[(][^\])]*[\])]\s*$")


@dataclass(frozen=True, slots=True, kw_only=True)
class PublicFile:
    """A file as it may be handed on: ``data`` is None where it is as it came; ``changed`` says what was done to it.

    Where it is left out, ``why`` says so and there is nothing else.
    """

    data: bytes | None = None
    changed: str = ""
    why: str = ""


def public_picture(path: Path) -> PublicFile:
    """Return a picture as it may be handed on: as it came where nothing stands beside its pixels, else made anew.

    Parameters
    ----------
    path : Path
        A file that begins as a picture does.

    Returns
    -------
    PublicFile
        The picture; left out where it cannot be read, or the library that reads pictures is not installed.
    """
    try:
        told = camera_marks(read_regular(path, limit=LARGEST_CHANGED))
        if not told:
            return PublicFile()
        return PublicFile(data=bare_picture(path), changed=f"its pixels alone, made anew; taken out: {told}")
    except MissingExtra as error:
        return PublicFile(why=str(error))
    except (CaptureError, CaseError):
        return PublicFile(why="the picture cannot be read, so that what stands beside its pixels cannot be taken out")


def public_file(
    path: Path, file: EvidenceFile, texts: Iterable[WithheldText], pictures: Mapping[str, str]
) -> PublicFile:
    """Return a file that is no picture as it may be handed on.

    Parameters
    ----------
    path : Path
        Where it stands.
    file : EvidenceFile
        As an entry names it.
    texts : iterable of WithheldText
        What is withheld.
    pictures : mapping of str to str
        The sha256 of each picture that was made anew, by that of the picture it came as.

    Returns
    -------
    PublicFile
        The file, or why it is left out.
    """
    wanted = tuple(texts)
    if file.media == "video":
        return PublicFile(why=VIDEO)
    if file.size > LARGEST_CHANGED:
        return _searched(_pieces(path), wanted) if file.media in _OF_INSTRUMENTS else PublicFile(why=CLOSED)
    data = read_regular(path, limit=LARGEST_CHANGED)
    if file.media == BOARD:
        return _board(data, wanted, pictures)
    coding = _coding(data)
    if coding:
        return _text(data, coding, wanted, of_instrument=file.media in _OF_INSTRUMENTS)
    if file.media not in _OF_INSTRUMENTS:
        return PublicFile(why=NO_PICTURE if file.media == "photograph" else CLOSED)
    return _searched(_inside(path, data), wanted)


def told_in_file(path: Path, file: EvidenceFile) -> tuple[str, bool]:
    """Return what of a file may have been written by people, and whether an instrument wrote it above its numbers.

    Parameters
    ----------
    path : Path
        Where it stands.
    file : EvidenceFile
        As an entry names it.

    Returns
    -------
    tuple of str and bool
        Nothing of a picture and of what is no text.
    """
    if is_picture(path) or file.media == "video":
        return "", False
    with open_regular(path) as source:
        data = _first(source)
    coding = _coding(data)
    if not coding:
        return "", False
    read = data.decode(coding, "ignore")
    if file.media not in _OF_INSTRUMENTS:
        return html.unescape(read), False
    return "\n".join(line for line in read.splitlines() if _NUMERIC_LINE.search(line)), True


def telling_columns(head: str) -> tuple[str, ...]:
    """Name the columns of a log that may tell a place, a vehicle, a device or a person: their numbers stay in a copy.

    Parameters
    ----------
    head : str
        What stands above the numbers.

    Returns
    -------
    tuple of str
        The heads of such columns as they are written, each once.

    Examples
    --------
    >>> telling_columns("Time,Power (W),Latitude [deg],Longitude [deg],VIN")
    ('Latitude [deg]', 'Longitude [deg]', 'VIN')
    >>> telling_columns("Time;Plug temperature;Platform")
    ()
    """
    found: dict[str, None] = {}
    for line in head.splitlines():
        cells = [cell.strip().strip("\"'").strip() for cell in _CELLS.split(line)]
        if len(cells) > 1:
            plain = [" ".join(_UNIT.sub("", cell).replace("_", " ").split()) for cell in cells]
            found |= dict.fromkeys(cell for cell, name in zip(cells, plain, strict=True) if _TELLS.fullmatch(name))
    return tuple(found)


def told_of_columns(names: Iterable[str]) -> str:
    """Say what to do about columns that may tell a place, a vehicle, a device or a person.

    Parameters
    ----------
    names : iterable of str
        The heads of the columns.

    Returns
    -------
    str
        A sentence; empty where there are none.

    Examples
    --------
    >>> told_of_columns(["VIN"])[:52]
    "what stands under 'VIN' may tell a place, a vehicle,"
    """
    listed = ", ".join(repr(name) for name in names)
    if not listed:
        return ""
    return (
        f"what stands under {listed} may tell a place, a vehicle, a device or a person, and columns are handed on in a "
        "bundle as they are: file a copy without them and withdraw this entry, or keep the entry private, when no "
        "check rests on it"
    )


def in_files(texts: Iterable[WithheldText]) -> Swap:
    """Return what exchanges withheld texts in a file that programs read: no placeholder in it looks like two columns.

    Parameters
    ----------
    texts : iterable of WithheldText
        What is withheld.

    Returns
    -------
    callable
        Takes a text and returns it without them.
    """
    return swapper(
        WithheldText(
            placeholder=_UNWANTED_IN_FILES.sub("-", one.placeholder), text=one.text, what=one.what, found=one.found
        )
        for one in texts
    )


def _first(descriptor: int) -> bytes:
    return os.read(descriptor, HEAD)


def _coding(data: bytes) -> str:
    """Return how a file is written, if it is text: what begins with a mark, UTF-8, else one byte to a letter."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    if b"\0" in data or data.startswith((*_ARRAYS, b"%PDF")):
        return ""
    try:
        codecs.getincrementaldecoder("utf-8")().decode(data)
    except UnicodeDecodeError:
        return "latin-1"
    return "utf-8"


def _text(data: bytes, coding: str, texts: tuple[WithheldText, ...], *, of_instrument: bool) -> PublicFile:
    read = data.decode(coding, "strict")
    plainly = _plainly(read)
    quick = folded(plainly)
    found = [one for one in texts if may_show(quick, one.text) and how_found(one.text).search(plainly)]
    if not found:
        return PublicFile()
    swap = in_files(texts)
    if of_instrument:
        lines = read.splitlines(keepends=True)
        changed = "".join(swap(line) if _NUMERIC_LINE.search(line) else line for line in lines)
        left = "".join(line for line in changed.splitlines(keepends=True) if _NUMERIC_LINE.search(line))
    else:
        changed = left = swap(read)
    plainly = _plainly(left)
    if any(how_found(one.text).search(plainly) for one in texts):
        return PublicFile(why=f"it holds {found[0].what} in a form that cannot be taken out")
    if changed == read:
        return PublicFile()
    return PublicFile(data=changed.encode(coding, "replace"), changed=_withheld_in_it(found))


def _withheld_in_it(found: Iterable[WithheldText]) -> str:
    return f"withheld in it: {', '.join(one.placeholder for one in found)}"


def _plainly(read: str) -> str:
    """Return a text beside what a browser would show of it."""
    return f"{read}\n{html.unescape(_TAG.sub('', read))}" if "<" in read or "&" in read else read


def _board(data: bytes, texts: tuple[WithheldText, ...], pictures: Mapping[str, str]) -> PublicFile:
    """Exchange texts in a drawing, and the picture it was made over for the one that is handed on."""
    try:
        plain = parse_json(data, where="the drawing")
    except CaseError:
        return _text(data, "utf-8", texts, of_instrument=False) if _coding(data) == "utf-8" else PublicFile(why=CLOSED)
    strings = [value for _, value in walk(plain) if isinstance(value, str)]
    found = [one for one in texts if any(how_found(one.text).search(text) for text in strings)]
    over = [text for text in strings if text in pictures]
    if not found and not over:
        return PublicFile()
    swap = in_files(found)
    changed = mapped(plain, lambda text: pictures.get(text) or swap(text))
    if any(how_found(one.text).search(str(value)) for one in found for _, value in walk(changed)):
        return PublicFile(why=f"it holds {found[0].what} as the name of something")
    said = [_withheld_in_it(found)] if found else []
    said += ["it names the picture as that is handed on"] if over else []
    return PublicFile(data=(json.dumps(changed, ensure_ascii=False, indent=1) + "\n").encode(), changed="; ".join(said))


def _searched(pieces: Iterable[bytes], texts: tuple[WithheldText, ...]) -> PublicFile:
    """Look through what cannot be written anew: it is handed on as it came, or not at all."""
    forms = [(one, _bytes_of(one.text), _parts_of(one.text)) for one in texts]
    before = b""
    for piece in pieces if texts else ():
        held = before + piece
        # letters of two or four bytes each are those of one with nothing between
        close = held.replace(b"\0", b"")
        lower = held.lower(), close.lower()
        likely = ((one, form) for one, form, parts in forms if any(part in low for part in parts for low in lower))
        shown = next((one for one, form in likely if form.search(held) or form.search(close)), None)
        if shown is not None:
            return PublicFile(why=f"it holds {shown.what}, and a file of this form is not written anew")
        before = held[-_LONGEST_FOUND:]
    return PublicFile()


def _parts_of(text: str) -> tuple[bytes, ...]:
    """Return what must be among bytes of lower case, one of these or the other, where the text can be found there."""
    words = text.split()
    longest = max(words, key=len, default="")
    parts = [longest.encode(coding, "ignore").lower() for coding in _ONE_BYTE]
    parts += [" ".join(words).encode(coding).lower() for coding in _MORE_BYTES]
    return tuple(dict.fromkeys(parts))


def _bytes_of(text: str) -> re.Pattern[bytes]:
    """Return how a text is found among bytes: in every coding that programs write, not within another word."""
    words = text.split()
    ways = [rb"[\s_-]+".join(re.escape(word.encode(coding, "ignore")) for word in words) for coding in _ONE_BYTE]
    ways += [re.escape(" ".join(words).encode(coding)) for coding in _MORE_BYTES]
    return re.compile(rb"(?<![0-9A-Za-z])(?:" + rb"|".join(dict.fromkeys(ways)) + rb")(?![0-9A-Za-z])", re.IGNORECASE)


def _pieces(path: Path) -> Iterator[bytes]:
    with open_regular(path) as source:
        while piece := os.read(source, _CHUNK):
            yield piece


def _inside(path: Path, data: bytes) -> Iterator[bytes]:
    """Give the bytes of a file, and of each file in it where it is an archive of arrays."""
    yield data
    if not data.startswith(b"PK\x03\x04"):
        return
    try:
        with zipfile.ZipFile(path) as held:
            total = sum(member.file_size for member in held.infolist())
            if total > MOST_UNPACKED or unpacks_too_far(packed=path.stat().st_size, unpacked=total):
                raise CaseError(f"{path.name} unpacks to more than is looked through")
            for member in held.infolist():
                with held.open(member) as source:
                    while piece := source.read(_CHUNK):
                        yield piece
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, ValueError, zlib.error) as error:
        raise CaseError(f"{path.name} is a damaged archive ({error})") from error
