"""The body of a form as it comes in: fields into memory within limits, files straight to the disk of their case."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO
from urllib.parse import parse_qsl

from fastapi import Request
from python_multipart.exceptions import FormParserError
from python_multipart.multipart import MultipartParser, parse_options_header
from starlette.concurrency import run_in_threadpool

from coldpin.casefile.arrivals import COMING, Arrival
from coldpin.casefile.storage import disk_refusals
from coldpin.errors import InputError

if TYPE_CHECKING:
    from python_multipart.multipart import MultipartCallbacks

LARGEST_TEXT = 1 << 22
"""Ours: so much text in all fields together; an entry with a thousand readings is shorter. [bytes]"""

MOST_FIELDS = 2000
"""Ours: so many fields; a form with a thousand readings has fewer. [1]"""

MOST_FILES = 200
"""Ours: so many files at once, a whole afternoon's photographs. [1]"""

MULTIPART = "multipart/form-data"
URLENCODED = "application/x-www-form-urlencoded"


@dataclass(frozen=True, slots=True, kw_only=True)
class Received:
    """What a form sent.

    Parameters
    ----------
    items : tuple of tuple of str
        Name and text of every field, in order.
    arrival : Arrival or None
        Where its files stand; None where none came.
    """

    items: tuple[tuple[str, str], ...]
    arrival: Arrival | None = None


async def receive(request: Request, room: Callable[[], Arrival]) -> Received:
    """Take in the body of a form.

    Parameters
    ----------
    request : Request
        With a form, its files among its parts.
    room : callable
        Makes room for files, called where the form may hold some.

    Returns
    -------
    Received
        Its fields, and where its files stand; an arrival of which nothing came is gone again.

    Raises
    ------
    InputError
        It is no form, is cut short, or holds more than is taken; nothing of it is kept.
    StorageError
        The disk refused; nothing of it is kept.
    """
    kind, options = parse_options_header(request.headers.get("content-type") or URLENCODED)
    sort = kind.decode("latin-1").lower()
    if sort == URLENCODED:
        return Received(items=await _fields(request))
    if sort != MULTIPART or not options.get(b"boundary"):
        raise InputError(f"a form is wanted, as {URLENCODED} or as {MULTIPART} with its boundary: send one of them")
    arrival = await run_in_threadpool(room)
    parts = _Parts(arrival)
    try:
        with arrival.held(COMING):
            parser = MultipartParser(options[b"boundary"], parts.callbacks())
            async for chunk in request.stream():
                await run_in_threadpool(parser.write, chunk)
            parser.finalize()
            if not parts.ended:
                raise InputError("the form is cut short: send it again")
        if parts.files:
            arrival = arrival.arrived()
    except FormParserError as error:
        arrival.drop()
        raise InputError(f"the form cannot be read ({error}): send it again") from error
    except BaseException:
        arrival.drop()
        raise
    finally:
        parts.close()
    if not parts.files:
        arrival.drop()
    return Received(items=tuple(parts.items), arrival=arrival if parts.files else None)


async def _fields(request: Request) -> tuple[tuple[str, str], ...]:
    body = bytearray()
    async for chunk in request.stream():
        body += chunk
        if len(body) > LARGEST_TEXT:
            raise InputError(_LONG)
    try:
        return tuple(parse_qsl(body.decode(), keep_blank_values=True, errors="strict", max_num_fields=MOST_FIELDS))
    except ValueError as error:
        raise InputError(f"the form cannot be read ({error}): send it again, in UTF-8") from error


_LONG = f"the fields of the form hold more than {LARGEST_TEXT >> 20} MiB of text: file what is so long as a document"


class _Parts:
    """Takes a form part by part, as its parser meets them."""

    def __init__(self, arrival: Arrival) -> None:
        self._arrival = arrival
        self.items: list[tuple[str, str]] = []
        self.files: list[str] = []
        self.ended = False
        self._header: tuple[bytearray, bytearray] = (bytearray(), bytearray())
        self._disposition = b""
        self._name = ""
        self._text = bytearray()
        self._left = LARGEST_TEXT
        self._file: BinaryIO | None = None
        self._called = ""

    def callbacks(self) -> MultipartCallbacks:
        """Return what the parser calls."""
        return {
            "on_part_begin": self._begin,
            "on_header_field": lambda data, start, end: self._header[0].extend(data[start:end]),
            "on_header_value": lambda data, start, end: self._header[1].extend(data[start:end]),
            "on_header_end": self._header_end,
            "on_headers_finished": self._headers_end,
            "on_part_data": self._data,
            "on_part_end": self._end,
            "on_end": self._all_end,
        }

    def close(self) -> None:
        """Close what is still open."""
        if self._file is not None:
            self._file.close()

    def _begin(self) -> None:
        self._disposition, self._name, self._text, self._called = b"", "", bytearray(), ""

    def _header_end(self) -> None:
        if bytes(self._header[0]).lower() == b"content-disposition":
            self._disposition = bytes(self._header[1])
        self._header[0].clear()
        self._header[1].clear()

    def _headers_end(self) -> None:
        _, options = parse_options_header(self._disposition)
        self._name = options.get(b"name", b"").decode("utf-8", "replace")
        if not self._name:
            raise InputError("a part of the form has no name: send it again")
        self._called = options.get(b"filename", b"").decode("utf-8", "replace")
        if b"filename" not in options:
            if len(self.items) >= MOST_FIELDS:
                raise InputError(f"the form has more than {MOST_FIELDS} fields: send fewer")
        elif self._called:  # a field for files that was left empty comes without a name
            if len(self.files) >= MOST_FILES:
                raise InputError(f"more than {MOST_FILES} files at once: bring them in several goes")
            with disk_refusals(f"file {self._called!r}", self._arrival.folder):
                self._file = self._arrival.new_file(self._called)

    def _data(self, data: bytes, start: int, end: int) -> None:
        if self._file is not None:
            with disk_refusals(f"file {self._called!r}", self._arrival.folder):
                self._file.write(data[start:end])
            return
        self._left -= end - start
        if self._left < 0:
            raise InputError(_LONG)
        self._text += data[start:end]

    def _end(self) -> None:
        if self._file is not None:
            with disk_refusals(f"file {self._called!r}", self._arrival.folder):
                self._file.close()
            self._file = None
            self.files.append(self._called)
        else:
            self.items.append((self._name, self._text.decode("utf-8", "replace")))

    def _all_end(self) -> None:
        self.ended = True
