"""Which encoding the text of a capture has, and where its lines end."""

from __future__ import annotations

import codecs
from dataclasses import dataclass

from coldpin.capture.signature import UTF8_MARK, UTF16_MARKS

NOT_UTF8 = "the text is not UTF-8 and was read as Latin-1: check signs such as 'µ' and '°', or say --encoding"


@dataclass(frozen=True, slots=True, kw_only=True)
class Encoding:
    """An encoding (a name of Python's codecs), where it came from, and what ends a line."""

    name: str
    origin: str
    line_end: bytes


def find_encoding(head: bytes, chosen: str = "") -> Encoding:
    """Say which encoding the first bytes of a text are in.

    A mark decides; else UTF-8 if the bytes are that, else Latin-1, which takes any byte and is therefore said.

    Parameters
    ----------
    head : bytes
        The first bytes of the file; the last character may be cut.
    chosen : str
        The encoding given by hand, or the empty text.

    Returns
    -------
    Encoding
        The encoding.

    Examples
    --------
    >>> find_encoding("Zeit (µs)".encode("latin-1")).name, find_encoding("Zeit (µs)".encode("utf-16")).name
    ('latin-1', 'utf-16')
    """
    if chosen:
        return Encoding(name=chosen, origin="given by hand", line_end=_line_end(decode(head, chosen)))
    if head.startswith(UTF16_MARKS):
        return Encoding(name="utf-16", origin="from the mark of the file", line_end=_line_end(decode(head, "utf-16")))
    name, origin = "utf-8", "seen in the first rows"
    if head.startswith(UTF8_MARK):
        origin = "from the mark of the file"
    elif not _is_utf8(head):
        name = "latin-1"
    return Encoding(name=name, origin=origin, line_end=_line_end(decode(head, name)))


def decode(data: bytes, encoding: str) -> str:
    """Return bytes as text, with a sign of replacement for what is not in the encoding.

    Parameters
    ----------
    data : bytes
        The bytes; a mark at their start is left out.
    encoding : str
        The encoding.

    Returns
    -------
    str
        The text; a last character that is cut is left out.
    """
    decoder = codecs.getincrementaldecoder(encoding)(errors="replace")
    return decoder.decode(data, final=False).removeprefix("\ufeff")


def _is_utf8(head: bytes) -> bool:
    try:
        codecs.getincrementaldecoder("utf-8")().decode(head, final=False)
    except UnicodeDecodeError:
        return False
    return True


def _line_end(text: str) -> bytes:
    return b"\r" if "\r" in text and "\n" not in text else b"\n"
