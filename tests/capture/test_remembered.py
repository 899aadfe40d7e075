"""A dialect remembered for an instrument is tried first, and dropped with a remark where it does not fit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from coldpin.capture import read_waveform, sniff
from coldpin.errors import AmbiguousDialect, CaptureError
from coldpin.records.dialect import Dialect

Write = Callable[..., Path]
DROPPED = "the dialect remembered for this instrument does not fit"


def learned(write: Write, text: str, **choices: str | float | int) -> Dialect:
    """Return the dialect of a first capture of an instrument."""
    return read_waveform(write(text, "first.csv"), choices=choices).dialect


@pytest.mark.hand("by eye")
def test_what_was_chosen_once_is_remembered(write: Write) -> None:
    """A choice among columns is not asked again, and shown as remembered."""
    text = "Time (ms);CH1 (V);CH2 (V)\n0,0;1,5;2,5\n0,1;3,5;4,5\n"
    dialect = learned(write, text, voltage="CH2")
    path = write(text.replace("4,5", "6,5"))

    with pytest.raises(AmbiguousDialect):
        read_waveform(path)
    capture = read_waveform(path, remembered=dialect)

    assert capture.waveform.voltage.tolist() == [2.5, 6.5]
    assert capture.dialect.origin["voltage"] == "remembered for this instrument"
    assert capture.remarks == ()
    assert sniff(path, remembered=dialect).voltage == "CH2"


def test_the_hand_goes_before_memory(write: Write) -> None:
    """A choice by hand is used in place of the remembered one."""
    text = "Time (ms);CH1 (V);CH2 (V)\n0,0;1,5;2,5\n0,1;3,5;4,5\n"
    dialect = learned(write, text, voltage="CH2")

    capture = read_waveform(write(text), remembered=dialect, choices={"voltage": "CH1"})

    assert capture.waveform.voltage.tolist() == [1.5, 3.5]
    assert capture.dialect.origin["voltage"] == "given by hand"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("Time (ms),Pilot (V)\n0.0,1.5\n0.1,2.5\n", "no rows of numbers follow line 1"),
        ("Time (ms);Probe (V)\n0,0;1,5\n0,1;2,5\n", "unknown column for --voltage 'Pilot'"),
        ("Time (ms);Pilot (mV)\n0,0;1500\n0,1;2500,0\n", "column 'Pilot' is in 'mV' here, not in 'V'"),
        ("a title\nTime (ms);Pilot (V)\n0,0;1,5\n0,1;2,5\n", "line 1 does not hold the header"),
        ("0,0;1,5\n0,1;2,5\n", "line 1 does not hold the header"),
        ("Time (ms);Pilot (V)\n0.0;1.5\n0.1;2.5\n", "no rows of numbers follow"),
        ("Time (ms);Pilot (V)\n" + "0;1\n" * 3 + "4;1,5\n", ""),
    ],
)
def test_what_does_not_fit_is_dropped_and_said(write: Write, text: str, why: str) -> None:
    """Another separator, name, unit, preamble or sign: the file itself decides, and the remark says why."""
    dialect = learned(write, "Time (ms);Pilot (V)\n0,0;1,5\n0,1;2,5\n")
    path = write(text)

    if not why:
        with pytest.raises(CaptureError):
            read_waveform(path, remembered=dialect)
        return
    capture = read_waveform(path, remembered=dialect)

    assert capture.waveform.voltage.tolist() == [1.5, 2.5]
    assert capture.remarks[0].startswith(f"{DROPPED} (")
    assert why in capture.remarks[0]


def test_a_remembered_count_of_lines_does_not_swallow_samples(write: Write) -> None:
    """A shorter preamble does not turn samples into preamble."""
    dialect = learned(write, "one\ntwo\nthree\n0,0;1,5\n0,1;2,5\n0,2;3,5\n0,3;4,5\n")

    capture = read_waveform(write("0,0;1,5\n0,1;2,5\n0,2;3,5\n0,3;4,5\n0,4;5,5\n"), remembered=dialect)

    assert capture.rows_kept == 5
    assert "rows of numbers stand above the first row it names" in capture.remarks[0]


@pytest.mark.hand("each file states its own step")
def test_the_step_is_never_remembered(write: Write) -> None:
    """The time between samples belongs to a recording: another rate gives another frequency."""
    dialect = learned(write, "Increment: 1e-6\nPilot (V)\n1.5\n2.5\n")
    assert dialect.step == 1e-6

    other = read_waveform(write("Increment: 4e-6\nPilot (V)\n1.5\n2.5\n"), remembered=dialect)

    assert other.waveform.sample_interval == 4e-6
    assert other.dialect.origin["step"] == "from the header"
    with pytest.raises(CaptureError, match="there is no time column"):
        read_waveform(write("Increment: unknown\nPilot (V)\n1.5\n2.5\n"), remembered=dialect)


def test_a_step_by_hand_is_not_remembered_either(write: Write) -> None:
    """What was true of one recording is not assumed of the next."""
    dialect = learned(write, "Pilot (V)\n1.5\n2.5\n", step="1 us")

    with pytest.raises(CaptureError, match="give --step or --rate"):
        read_waveform(write("Pilot (V)\n1.5\n2.5\n"), remembered=dialect)


@pytest.mark.hand("by eye")
def test_a_factor_and_a_unit_from_before_are_said(write: Write) -> None:
    """Numbers that owe something to an earlier capture say so."""
    dialect = learned(write, "Time (ms);Pilot\n0,0;1,5\n0,1;2,5\n", scale=10, unit="mV")

    capture = read_waveform(write("Time (ms);Pilot\n0,0;1,5\n0,1;2,5\n"), remembered=dialect)

    assert capture.waveform.voltage.tolist() == pytest.approx([0.015, 0.025], rel=1e-15)
    assert [remark.split(",")[0] for remark in capture.remarks] == [
        "the unit of column 'Pilot'",
        "the factor on the voltage",
    ]
    assert capture.dialect.origin["scale"] == "remembered for this instrument"


def test_memory_of_another_encoding_is_dropped(write: Write) -> None:
    """A remembered UTF-16 does not make another text unreadable."""
    text = "Time (ms);Pilot (V)\n0,0;1,5\n0,1;2,5\n"
    dialect = read_waveform(write(text, encoding="utf-16")).dialect

    capture = read_waveform(write(text), remembered=dialect)

    assert capture.waveform.voltage.tolist() == [1.5, 2.5]
    assert capture.remarks[0].startswith(DROPPED)


def test_a_kept_dialect_is_followed_to_the_letter(write: Write) -> None:
    """A dialect kept with the evidence is not dropped: what does not fit is an error."""
    text = "Time (ms);Pilot (V)\n0,0;1,5\n0,1;2,5\n"
    dialect = learned(write, text)

    with pytest.raises(CaptureError, match="line 1 does not hold the header that the dialect has there"):
        read_waveform(write("title\n" + text), dialect=dialect)
    with pytest.raises(CaptureError, match="no rows of numbers follow line 1, where the dialect has them"):
        read_waveform(write(text), dialect=replace(dialect, delimiter=","))
    with pytest.raises(CaptureError, match="unknown column for --voltage 'CH9'"):
        read_waveform(write(text), dialect=replace(dialect, voltage="CH9"))


@pytest.mark.hand("99999 declared missing by the dialect")
def test_marks_declared_by_a_kept_dialect_hold(write: Write) -> None:
    """A number that the dialect declares a mark is no sample, by either way of reading."""
    text = "Time (ms);Pilot (V)\n" + "".join(f"{n};{99999 if n == 7 else n}\n" for n in range(50))
    dialect = replace(learned(write, text), missing=("", "99999"))

    capture = read_waveform(write(text), dialect=dialect)

    assert "1 of 50 samples of the voltage are missing" in capture.remarks


@pytest.mark.hand("a mark of comment declared by the dialect")
def test_a_sign_of_comment_declared_by_a_kept_dialect_holds(write: Write) -> None:
    """Lines that begin with the declared sign are passed over."""
    dialect = replace(learned(write, "t;U\n0,5;1,5\n1,5;2,5\n"), comment_prefix="%")

    capture = read_waveform(write("t;U\n0,5;1,5\n% moved\n1,5;2,5\n"), dialect=dialect)

    assert capture.rows_kept == 2
    assert "passed over among the rows: 1 line of comment" in capture.remarks


@pytest.mark.parametrize(
    "content",
    [b"Time (ms);Pilot\n0,0;1,5\n0,1;2,5\n", "Time (µs);Pilot (V)\n0,0;1,5\n0,1;2,5\n".encode("latin-1")],
)
def test_what_was_taken_for_granted_is_said_again(write: Write, content: bytes) -> None:
    """Reading by a kept dialect repeats the remarks on what no person and no file said."""
    path = write(content)
    first = read_waveform(path)

    assert first.remarks != ()
    assert read_waveform(path, dialect=first.dialect).remarks == first.remarks
