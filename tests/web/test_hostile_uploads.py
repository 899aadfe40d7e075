"""Files that mean no good: refused with a message, or kept as they came and given back as nothing that runs."""

from __future__ import annotations

import io
import json
import re
import struct
import tracemalloc
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from fastapi.testclient import TestClient

from coldpin.casefile import open_case
from coldpin.web.app import create_app
from tests.web.served import JSON
from tests.workbench.quay import make_case, make_shelf

CASE = "skerrow-16"
BOMB = 1 << 30
"""Bytes that a small file claims to hold. [bytes]"""
MOST_MEMORY = 96 << 20
"""Ours: what reading or refusing one of these may take of the memory, a tenth of what they claim. [bytes]"""


def png(width: int, height: int) -> bytes:
    """A picture of one colour, whatever its size: nothing compresses better."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    packing = zlib.compressobj(9)
    rows = b"".join(packing.compress(bytes(1 << 20)) for _ in range(8)) + packing.flush()
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def archive_bomb() -> bytes:
    """An archive of an array that unpacks to a gigabyte."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive, archive.open("voltage.npy", "w") as inner:
        np.lib.format.write_array_header_1_0(inner, {"descr": "<f8", "fortran_order": False, "shape": (BOMB // 8,)})
        for _ in range(64):
            inner.write(bytes(1 << 20))
    return packed.getvalue()


def array_that_claims_much() -> bytes:
    """The head of an array of a terabyte, and nothing behind it."""
    told = io.BytesIO()
    np.lib.format.write_array_header_1_0(told, {"descr": "<f8", "fortran_order": False, "shape": (1 << 37,)})
    return told.getvalue()


def array_of_objects() -> bytes:
    """An array that would run what it holds when it is read."""
    told = io.BytesIO()
    np.save(told, np.array([print], dtype=object), allow_pickle=True)
    return told.getvalue()


SCRIPT = b"<html><script>alert(1)</script></html>"
FILES = {
    "page.html": SCRIPT,
    "page.png": SCRIPT,
    "drawing.svg": b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'><script>alert(1)</script></svg>",
    "script.js": b"alert(1)",
    "empty.csv": b"",
    "nothing.csv": b"\x00" * 4096,
    "letters.csv": b"\xff\xfe" + bytes(range(256)) * 16,
    "line.csv": b"1," * 2_000_000,
    "columns.csv": b"\n".join(b",".join([b"1"] * 3000) for _ in range(50)),
    "numbers.csv": b"Time (s),Voltage (V)\n" + b"\n".join(b"1e999,nan" for _ in range(500)),
    "deep.geojson": b'{"type":"FeatureCollection","features":' + b"[" * 100_000,
    "wide.geojson": json.dumps({"type": "FeatureCollection", "features": [{"type": "Feature"}] * 500}).encode(),
    "bomb.npz": archive_bomb(),
    "claims.npy": array_that_claims_much(),
    "objects.npy": array_of_objects(),
    "bomb.zip": archive_bomb(),
    "large.png": png(60_000, 60_000),
    "sound.wav": b"RIFF\xff\xff\xff\xffWAVEfmt \x10\x00\x00\x00\x01\x00"
    + b"\xff" * 6
    + bytes(8)
    + b"data\xff\xff\xff\xff",
    "table.parquet": b"PAR1" + b"\xff" * 64 + b"\xff\xff\xff\x7fPAR1",
    "record.cfg": b"x,y,1999\n99999999,99999999A,0D\n",
}
WORDS = ("pilot capture", "charging log", "board drawing", "photograph")

NAMES = (
    "../../../evil.csv",
    "..\\..\\evil.csv",
    "/etc/evil.csv",
    "C:\\Windows\\evil.csv",
    "CON",
    "aux.csv",
    ".hidden",
    "..",
    "x" * 400 + ".csv",
    "ü" * 300,
    "line\r\nset-cookie: foe=1.csv",
    'quote".csv; filename="other.html',
    "\u202egpj.exe",
    "nul\x00l.csv",
    "\U0001f50c.csv",
    "trailing. ",
    "-rf",
    "%2e%2e%2fevil",
)


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shelf of its own."""
    made = make_shelf(tmp_path_factory.mktemp("uploads") / "below" / "shelf")
    make_case(made)
    return made


@pytest.fixture(scope="module")
def client(shelf: Path) -> Iterator[TestClient]:
    """Brings files to it; what breaks inside is raised here."""
    with TestClient(create_app(shelf), base_url="http://127.0.0.1", follow_redirects=False) as asker:
        yield asker


def outside(shelf: Path) -> set[Path]:
    """Every file near the shelf that is not in its case."""
    near = shelf.parent.parent
    return {path for path in near.rglob("*") if path.is_file() and shelf / CASE not in path.parents}


@pytest.mark.parametrize("name", FILES)
def test_a_file_is_refused_in_words_or_kept_as_it_came(
    client: TestClient, shelf: Path, proving: bool, name: str
) -> None:
    """Whatever it is said to show, and without the memory that it claims; the page of what waits shows it too."""
    before = outside(shelf)
    if proving:  # three times slower
        tracemalloc.start()
    for word in WORDS:
        sent = {"file": (name, FILES[name])}
        answer = client.post(f"/case/{CASE}/record/{word}", data={"who": "Ines"}, files=sent, headers=JSON)
        assert answer.status_code in (201, 422), (word, answer.text)
        told = answer.json()
        if answer.status_code == 201:
            (entry,) = told["entries"]
            given = client.get(f"/case/{CASE}/entry/{entry['id']}/file")
            assert given.content == FILES[name]
            require_harmless(given.headers)
        else:
            assert len(told["error"]) > 20
            assert str(shelf) not in told["error"]
    held = client.post(f"/case/{CASE}/add", files={"file": (name, FILES[name])}, data={"hold": "yes"}, headers=JSON)
    assert held.status_code in (201, 202, 422), held.text
    if "token" in held.json():
        page = client.get(f"/case/{CASE}/add/{held.json()['token']}")
        assert page.status_code in (200, 422), page.text
        assert client.post(f"/case/{CASE}/add/{held.json()['token']}/away", headers=JSON).status_code < 300
    if proving:
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        assert most < MOST_MEMORY
    assert outside(shelf) == before
    assert open_case(shelf / CASE).entries().problems == ()


def require_harmless(headers: object) -> None:
    """Hold the head of a file that is given back to what lets it do nothing: a picture, or something to be kept."""
    told = dict(headers)  # type: ignore[call-overload]  # as a mapping
    kind = told["content-type"]
    assert re.fullmatch(r"image/(png|jpeg|webp|gif)|application/octet-stream", kind), kind
    if kind == "application/octet-stream":
        assert told["content-disposition"].startswith("attachment")
    assert "script-src" not in told["content-security-policy"]
    assert "default-src 'none'" in told["content-security-policy"]
    assert told["x-content-type-options"] == "nosniff"
    assert "set-cookie" not in told


@pytest.mark.parametrize("name", NAMES)
def test_a_name_leads_nowhere_and_ends_no_line(client: TestClient, shelf: Path, name: str) -> None:
    """What a file is called decides neither where it stands nor what the head of an answer says."""
    before = outside(shelf)
    quoted = name.encode().replace(b'"', b"%22").replace(b"\r\n", b"%0D%0A")
    for sent in (quoted, name.encode().replace(b"\r\n", b"\n "), name.encode()):
        body = (
            b'--x\r\ncontent-disposition: form-data; name="who"\r\n\r\nInes\r\n'
            b'--x\r\ncontent-disposition: form-data; name="file"; filename="' + sent + b'"\r\n\r\nwords\r\n--x--\r\n'
        )
        head = JSON | {"content-type": "multipart/form-data; boundary=x"}
        answer = client.post(f"/case/{CASE}/record/document", content=body, headers=head)
        assert answer.status_code in (201, 400, 422), answer.text
        if answer.status_code != 201:
            continue
        (entry,) = answer.json()["entries"]
        path = shelf / CASE / "evidence" / entry["evidence"]["file"]
        assert path.resolve().parent == (shelf / CASE / "evidence").resolve()
        assert path.read_bytes() == b"words"
        assert not any(character < " " for character in entry["evidence"]["original_name"])
        require_harmless(client.get(f"/case/{CASE}/entry/{entry['id']}/file").headers)
    assert outside(shelf) == before
    assert open_case(shelf / CASE).entries().problems == ()


FORM = "multipart/form-data; boundary=x"
LINES = "application/x-www-form-urlencoded"
NOTE = b'--x\r\ncontent-disposition: form-data; name="note"\r\n\r\na\r\n'
FILE = b'--x\r\ncontent-disposition: form-data; name="file"; filename="a"\r\n\r\na\r\n'
BROKEN = {
    "no boundary": ("multipart/form-data", b"--x\r\n\r\n--x--"),
    "no part": (FORM, b""),
    "cut short": (FORM, FILE),
    "no name": (FORM, b"--x\r\ncontent-disposition: form-data\r\n\r\na\r\n--x--"),
    "no head": (FORM, b"--x\r\na\r\n--x--"),
    "long head": (FORM, b"--x\r\na: " + b"b" * 100_000 + b"\r\n\r\na\r\n--x--"),
    "many heads": (FORM, b"--x\r\n" + b"a: b\r\n" * 10_000 + b"\r\na\r\n--x--"),
    "many parts": (FORM, NOTE * 5000 + b"--x--"),
    "many files": (FORM, FILE * 500 + b"--x--"),
    "long field": (LINES, b"who=Ines&note=" + b"x" * 6_000_000),
    "many fields": (LINES, b"reading=1&" * 100_000),
    "bad letters": (LINES, b"who=%ff%fe&note=%c3%28&%00=%00"),
    "of another kind": ("text/xml", b"<a/>"),
    "as JSON": ("application/json", b'{"who": "Ines", "note": ' + b"[" * 100_000),
}


@pytest.mark.parametrize("name", BROKEN)
@pytest.mark.parametrize("address", ["record/remark", "record/document", "add"])
def test_a_form_that_is_none_is_refused_in_words(client: TestClient, shelf: Path, name: str, address: str) -> None:
    """And leaves nothing behind, neither an entry nor a file that waits."""
    kind, body = BROKEN[name]
    before = {path for path in shelf.rglob("*") if path.is_file()}
    answer = client.post(f"/case/{CASE}/{address}", content=body, headers=JSON | {"content-type": kind})
    assert answer.status_code in (400, 413, 415, 422), answer.text
    assert len(answer.text) > 20
    assert {path for path in shelf.rglob("*") if path.is_file()} == before
