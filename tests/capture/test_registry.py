"""Readers stand in one registry; the content of a file decides, and what cannot be read is named."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from importlib.metadata import EntryPoint
from pathlib import Path

import numpy as np
import pytest

from coldpin.capture import READERS, Capture, Reader, Request, all_readers, read_waveform, registry
from coldpin.capture.signature import content_signature, is_text
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect
from coldpin.records.waveform import Waveform

Write = Callable[..., Path]


def read_beeps(path: Path, request: Request) -> Capture:
    """Read the capture of an invented format: a word and then one byte a sample."""
    volts = np.frombuffer(path.read_bytes()[5:], np.uint8).astype(np.float64)
    return Capture(waveform=Waveform(voltage=volts, sample_interval=1.0), dialect=Dialect(), reader="beeps")


BEEPS = Reader(
    name="beeps",
    title="Beeps",
    endings=(".beep",),
    sniffs=lambda head: head.startswith(b"BEEPS"),
    read=read_beeps,
    sniff=lambda *_: Dialect(),
    source="this test",
)


@pytest.fixture
def entry_points(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., None]]:
    """A function that puts entry points of other packages in place."""

    def put(*points: EntryPoint) -> None:
        monkeypatch.setattr(registry, "entry_points", lambda group: points if group == "coldpin.readers" else ())
        all_readers.cache_clear()

    yield put
    monkeypatch.undo()
    all_readers.cache_clear()


def point(name: str, value: str) -> EntryPoint:
    """Return an entry point of the group of readers."""
    return EntryPoint(name=name, value=value, group="coldpin.readers")


def test_a_reader_is_a_whole_record() -> None:
    """Each reader has a name, a line for people, endings with their dot, and a source."""
    assert [reader.name for reader in READERS] == ["wav", "npy", "npz", "parquet", "comtrade", "text", "raw"]
    for reader in READERS:
        assert reader.title
        assert reader.source
        assert all(ending.startswith(".") and ending == ending.lower() for ending in reader.endings)


def test_another_package_can_bring_a_reader(
    write: Write, entry_points: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A reader from an entry point reads what it knows by content, whatever the ending, and ours the rest."""
    monkeypatch.setattr(registry, "_beeps", BEEPS, raising=False)
    entry_points(point("beeps", "coldpin.capture.registry:_beeps"))

    beeps = read_waveform(write(b"BEEPS\x01\x02", "a.csv"))
    text = read_waveform(write("t;U\n0,5;1\n1,5;2\n", "a.beep"))

    assert (beeps.reader, beeps.waveform.voltage.tolist()) == ("beeps", [1.0, 2.0])
    assert beeps.remarks == ("the ending '.csv' is not one of beeps captures; the content is, and was read as such",)
    assert text.reader == "text"
    assert beeps.waveform.remarks == beeps.remarks


def test_a_broken_reader_costs_itself_only(write: Write, entry_points: Callable[..., None]) -> None:
    """A reader that cannot be loaded, or is none, is remarked; captures are read as before."""
    entry_points(point("gone", "no.such.module:READER"), point("wrong", "coldpin.errors:InputError"))

    capture = read_waveform(write("t;U\n0,5;1\n1,5;2\n"))

    assert capture.waveform.voltage.tolist() == [1.0, 2.0]
    assert capture.remarks[0].startswith("the reader 'gone' (no.such.module:READER) could not be loaded: No module")
    assert capture.remarks[1] == "the reader 'wrong' (coldpin.errors:InputError) is no Reader record"


@pytest.mark.published(
    "PNG (W3C) 5.2; JPEG (ISO/IEC 10918-1) B.1; RIFF/AVI; RFC 3533 (Ogg); ISO/IEC 14496-12; PDF (ISO 32000) 7.5.2; "
    "the ZIP application note; RFC 1952; the format descriptions of HDF5 and MAT level 5"
)
@pytest.mark.parametrize(
    ("head", "name"),
    [
        (b"\x89PNG\r\n\x1a\n", "a PNG picture"),
        (b"\xff\xd8\xff\xe0", "a JPEG picture"),
        (b"RIFF\x00\x00\x00\x00AVI ", "an AVI video"),
        (b"OggS\x00\x02", "an Ogg sound file"),
        (b"\x00\x00\x00\x20ftypisom", "an MP4 or HEIF file"),
        (b"%PDF-1.7", "a PDF document"),
        (b"PK\x03\x04", "a ZIP archive"),
        (b"\x1f\x8b\x08", "a gzip archive"),
        (b"\x89HDF\r\n\x1a\n", "an HDF5 file"),
        (b"MATLAB 5.0 MAT-file, ", "a MAT file"),
        (b"\xef\xbb\xbf\r\n<!DOCTYPE html>", "a web page"),
        (b'{"a": 1}', "a JSON document"),
    ],
)
def test_content_is_named(write: Write, head: bytes, name: str) -> None:
    """What is no capture is called by what it is, whatever its name says."""
    assert content_signature(head).startswith(name)
    assert not is_text(head)
    with pytest.raises(CaptureError, match=f"its name ends in '.csv', but its content is {name}"):
        read_waveform(write(head))


def test_a_file_without_ending_is_read_by_its_content(write: Write) -> None:
    """No ending is no reason to remark."""
    assert read_waveform(write("Time (s);Pilot (V)\n0,5;1\n1,5;2\n", "pilot")).remarks == ()
    with pytest.raises(CaptureError, match="capture pilot: its content is a PNG picture"):
        read_waveform(write(b"\x89PNG\r\n\x1a\n", "pilot"))


def test_what_is_not_there_is_said(tmp_path: Path) -> None:
    """A missing file, a folder and a forbidden file are errors of captures."""
    with pytest.raises(CaptureError, match=r"nothing.csv: there is no such file: check the name and the folder"):
        read_waveform(tmp_path / "nothing.csv")
    with pytest.raises(CaptureError, match="it is not a regular file"):
        read_waveform(tmp_path)
    with pytest.raises(CaptureError, match="it cannot be opened"):
        read_waveform("pilot\x00.csv")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    """Something that is no file, such as a named pipe, is refused at once."""
    pipe = tmp_path / "pilot.csv"
    os.mkfifo(pipe)

    with pytest.raises(CaptureError, match="it is not a regular file: give the file that holds the samples"):
        read_waveform(pipe)


def test_reading_runs_nothing_that_a_file_holds(write: Write) -> None:
    """What a spreadsheet would carry out is text here."""
    with pytest.raises(CaptureError, match=r"row 4, column 'Pilot': '=1\+1' is not a number"):
        read_waveform(write("Time (s),Pilot (V)\n0.0,1\n0.1,2\n0.2,=1+1\n0.3,3\n0.4,3\n"))


def test_what_is_imported_to_say_help_is_little() -> None:
    """The parser of batches is loaded when a file is read, not when the package is."""
    code = "import sys, coldpin.capture; sys.exit('polars' in sys.modules)"

    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
