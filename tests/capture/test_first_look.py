"""What a file is at first sight: by its content, never by its name; what can be read in two ways asks."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.capture.choices import CHOICES
from coldpin.capture.first_look import LONGEST_ROW, SHOWN_ROWS, first_look, try_as
from coldpin.capture.log_choices import LOG_CHOICES
from coldpin.errors import CaptureError, UnknownName
from coldpin.records.file_words import Sort
from coldpin.records.log import LogQuantity
from coldpin.workbench.reading_options import READ_BY
from tests.workbench.quay import capture_text

STAMPED = "time;Power (W);Temperature (°C)\n2026-05-02 10:00:00;5,2;21,0\n2026-05-02 10:01:00;6,1;21,5\n"
TWO = "t,CH1,CH2\ns,V,V\n" + "".join(f"{n * 1e-5:.5f},{n % 7},0.0\n" for n in range(50))


@pytest.mark.parametrize(
    ("content", "sort"),
    [
        (b"\x89PNG\r\n\x1a\n" + b"\0" * 20, Sort.PICTURE),
        (b"\xff\xd8\xff\xe0" + b"\0" * 20, Sort.PICTURE),
        (b"\0\0\0\x18ftypheic" + b"\0" * 20, Sort.PICTURE),
        (b"\0\0\0\x18ftypisom" + b"\0" * 20, Sort.VIDEO),
        (b"\x1aE\xdf\xa3" + b"\0" * 20, Sort.VIDEO),
        (b"%PDF-1.7\n", Sort.PAPER),
        (b"<!doctype html><title>16 A</title>", Sort.PAGE),
        (b'{"type": "FeatureCollection", "features": []}', Sort.BOARD),
        (b'{"a": 1}', Sort.OTHER),
        (capture_text(), Sort.CAPTURE),
        (TWO.encode(), Sort.CAPTURE),
        (b"0,1,5\n1,2,5\n2,3,5\n", Sort.CAPTURE),
        (STAMPED.encode(), Sort.LOG),
        (b"2026-05-02 10:00:00,5\n2026-05-02 10:01:00,6\n", Sort.LOG),
        ("Bought on 2 May 2026 for 89 €.\nSeller: a stall at the quay.\n".encode(), Sort.PAPER),
        (bytes(range(256)), Sort.OTHER),
    ],
)
def test_a_file_is_what_its_content_is(tmp_path: Path, content: bytes, sort: Sort) -> None:
    """Whatever it is called."""
    file = tmp_path / "called.txt"
    file.write_bytes(content)
    assert first_look(file).sort is sort


def test_what_can_be_read_in_two_ways_asks_and_a_choice_answers(tmp_path: Path) -> None:
    """The columns are named, the first rows shown as they stand."""
    file = tmp_path / "two.csv"
    file.write_text(TWO, encoding="utf-8")
    look = first_look(file)
    assert look.dialect is None
    assert "2 columns can be the voltage" in look.asks
    assert look.columns == ("t", "CH1", "CH2")
    assert look.rows == tuple(TWO.splitlines()[:SHOWN_ROWS])
    dialect, asks = try_as(file, Sort.CAPTURE, {"voltage": "CH1", "output": "CH2"})
    assert asks == ""
    assert dialect is not None
    assert (dialect.voltage, dialect.output) == ("CH1", "CH2")


def test_a_log_tells_what_its_columns_hold(tmp_path: Path) -> None:
    """By name and unit; with choices that say otherwise, otherwise."""
    file = tmp_path / "log.csv"
    file.write_text(STAMPED, encoding="utf-8")
    assert first_look(file).quantities == (LogQuantity.POWER, LogQuantity.TEMPERATURE)
    dialect, _ = try_as(file, Sort.LOG, {"column": ["current=2:A"]})
    assert dialect is not None
    assert dialect.log is not None
    assert "current" in dialect.log.columns.values()
    assert "kW" in try_as(file, Sort.LOG, {"column": ["power=2:V"]})[1]
    with pytest.raises(UnknownName, match="option of a capture"):
        try_as(file, Sort.CAPTURE, {"colour": "red"})


@given(content=st.binary(max_size=2000))
def test_nothing_that_is_brought_cannot_be_looked_at(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    """Whatever the bytes: a sort, and rows within bounds."""
    file = tmp_path_factory.mktemp("any") / "any.bin"
    file.write_bytes(content)
    look = first_look(file)
    assert len(look.rows) <= SHOWN_ROWS
    assert all(len(row) <= LONGEST_ROW for row in look.rows)


def test_what_is_not_there_is_told(tmp_path: Path) -> None:
    """One message."""
    with pytest.raises(CaptureError):
        first_look(tmp_path / "nothing.csv")


def test_every_option_by_hand_can_be_said_on_the_page() -> None:
    """The fields of the question are the options of the readers, each once."""
    assert sorted(one.name for one in READ_BY[Sort.CAPTURE]) == sorted(CHOICES)
    assert sorted(one.name for one in READ_BY[Sort.LOG]) == sorted(LOG_CHOICES)
