"""What forms send, whatever it is: read back as it was typed, cut anywhere, refused in words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from fastapi import Request
from hypothesis import given, settings
from hypothesis import strategies as st

from coldpin.casefile.arrivals import Arrival, arrivals, new_arrival
from coldpin.errors import InputError
from coldpin.web.forms import Typed, read_form
from coldpin.web.receiving import LARGEST_TEXT, MOST_FILES, MULTIPART, URLENCODED, Received, receive
from tests.web.awaited import awaited

LINE = st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), min_size=1, max_size=30).map(str.strip)
WORD = LINE.filter(bool).filter(lambda text: text.splitlines() == [text])
BOUNDARY = "cut-here"


@given(
    one=st.dictionaries(st.sampled_from(["who", "note", "instrument", "reason", "ambient"]), WORD),
    readings=st.lists(WORD, max_size=5),
    conditions=st.dictionaries(WORD, WORD, max_size=4),
    pairs=st.dictionaries(WORD, WORD, max_size=4),
    choices=st.dictionaries(WORD, st.lists(WORD, min_size=1, max_size=3).map(tuple), max_size=3),
)
def test_a_form_is_read_back_as_it_was_typed(
    one: dict[str, str],
    readings: list[str],
    conditions: dict[str, str],
    pairs: dict[str, str],
    choices: dict[str, tuple[str, ...]],
) -> None:
    """What a form holds it sends again: fields, readings in order, conditions, pairs, choices."""
    typed = Typed(one=one, readings=tuple(readings), conditions=conditions, pairs=pairs, choices=choices)
    sent = [(name, text) for name, texts in typed.fields().items() for text in texts]

    assert read_form(sent) == typed


@given(items=st.lists(st.tuples(st.text(max_size=20), st.text(max_size=20))))
def test_any_fields_are_read_or_refused_by_name(items: list[tuple[str, str]]) -> None:
    """Never anything but what was typed, or one message that names the field."""
    refused = ""
    typed = Typed()
    try:
        typed = read_form(items)
    except InputError as error:
        refused = str(error)
    all_of_it = "\n".join(text for _, text in items)
    assert all(reading in all_of_it for reading in typed.readings)
    assert not refused or re.search(r"^field .+ (is not one of this form|was sent twice)", refused, flags=re.DOTALL)


def test_empty_fields_say_nothing_and_unlike_ones_are_refused() -> None:
    """A blank that was left empty is no reading; a field that stands once is not sent with two texts."""
    typed = read_form([("reading", " "), ("reading", "52 mΩ"), ("readings", "53 mΩ\n\n 54 mΩ "), ("who", "Ines")])
    assert typed.readings == ("52 mΩ", "53 mΩ", "54 mΩ")
    assert read_form([("pair.L > L1", ""), ("pair.L > L1", "joined")]).pairs == {"L > L1": "joined"}
    with pytest.raises(InputError, match="field 'who' was sent twice, as 'Ines' and 'Piet': send one"):
        read_form([("who", "Ines"), ("who", "Piet")])


def multipart(*parts: tuple[str, str, bytes]) -> bytes:
    """A body of parts: name, name of the file or nothing, content."""
    told = b""
    for name, file, content in parts:
        called = f'; filename="{file}"' if file else ""
        head = f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"{called}\r\n\r\n'
        told += head.encode() + content + b"\r\n"
    return told + f"--{BOUNDARY}--\r\n".encode()


def sent(pieces: list[bytes], kind: str, case: Path) -> Received:
    """Take in a body that comes in pieces."""

    def come() -> Iterator[dict[str, Any]]:
        yield from ({"type": "http.request", "body": piece, "more_body": True} for piece in pieces)
        yield {"type": "http.request", "body": b"", "more_body": False}

    coming = come()

    async def next_piece() -> dict[str, Any]:
        return next(coming)

    scope = {"type": "http", "method": "POST", "path": "/", "headers": [(b"content-type", kind.encode())]}
    return awaited(receive(Request(scope, next_piece), lambda: new_arrival(case)))


@settings(max_examples=30, deadline=None)
@given(cuts=st.lists(st.integers(min_value=0, max_value=400), max_size=6))
def test_a_body_may_be_cut_anywhere(tmp_path_factory: pytest.TempPathFactory, cuts: list[int]) -> None:
    """Files come out byte for byte, fields as typed, however the network cut the body."""
    case = tmp_path_factory.mktemp("case")
    content = f"0,1\r\n1,2\r\n--{BOUNDARY}x\r\n".encode() + bytes(range(256))
    body = multipart(("who", "", "Ines Ω".encode()), ("file", "a.csv", content), ("file", "a.csv", b"other"))
    places = sorted({0, len(body), *(min(cut, len(body)) for cut in cuts)})
    pieces = [body[start:end] for start, end in pairwise(places)]

    received = sent(pieces, f"{MULTIPART}; boundary={BOUNDARY}", case)

    assert received.items == (("who", "Ines Ω"),)
    assert received.arrival is not None
    assert received.arrival.names() == ("a-2.csv", "a.csv")
    assert received.arrival.file("a.csv").read_bytes() == content
    received.arrival.drop()
    assert arrivals(case) == ()


@pytest.mark.parametrize(
    ("body", "kind", "message"),
    [
        (multipart(("file", "a.csv", b"1"))[:-8], f"{MULTIPART}; boundary={BOUNDARY}", "cut short"),
        (b"nonsense", f"{MULTIPART}; boundary={BOUNDARY}", "cannot be read"),
        (b"", MULTIPART, "a form is wanted"),
        (b"{}", "application/json", "a form is wanted"),
        (b"who=%ff", URLENCODED, "in UTF-8"),
        (multipart(("", "", b"1")), f"{MULTIPART}; boundary={BOUNDARY}", "has no name"),
        (multipart(("note", "", b"x" * (LARGEST_TEXT + 1))), f"{MULTIPART}; boundary={BOUNDARY}", "4 MiB of text"),
        (b"note=" + b"x" * LARGEST_TEXT, URLENCODED, "4 MiB of text"),
        (
            multipart(*(("file", f"{number}.txt", b"1") for number in range(MOST_FILES + 1))),
            f"{MULTIPART}; boundary={BOUNDARY}",
            f"more than {MOST_FILES} files",
        ),
    ],
)
def test_what_is_no_form_is_refused_and_leaves_nothing(tmp_path: Path, body: bytes, kind: str, message: str) -> None:
    """Cut short, garbled, of another kind, too long, too many: one message, and no file behind."""
    with pytest.raises(InputError, match=message):
        sent([body], kind, tmp_path)
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_a_field_for_files_that_was_left_empty_brings_none(tmp_path: Path) -> None:
    """As browsers send it: a part with a file name that is empty."""
    body = multipart(("file", '"; x="', b"")).replace(b'filename=""; x=""', b'filename=""')
    received = sent([body], f"{MULTIPART}; boundary={BOUNDARY}", tmp_path)
    assert received.arrival is None


def test_a_full_disk_is_told_and_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The message says that what was acknowledged before is there."""
    from coldpin.errors import StorageError

    def refuse(self: Arrival, name: str) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Arrival, "new_file", refuse)
    with pytest.raises(StorageError, match="everything acknowledged before is still there"):
        sent([multipart(("file", "a.csv", b"1"))], f"{MULTIPART}; boundary={BOUNDARY}", tmp_path)
    assert arrivals(tmp_path) == ()
