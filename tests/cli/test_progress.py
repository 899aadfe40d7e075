"""How far long work is, in one line that a person sees and a file does not."""

from __future__ import annotations

import sys

import pytest

from coldpin.cli.shared import progress_line


def test_progress_is_shown_where_a_person_watches(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each percent once, and the line is wiped at the end; nothing where the standard error is a file."""
    with progress_line("reading a.wav") as progress:
        assert progress is None
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    with progress_line("reading a.wav") as progress:
        assert progress is not None
        for part in (0.0, 0.001, 0.5, 1.0):
            progress(part)

    assert capsys.readouterr().err == (
        "\rreading a.wav   0%\rreading a.wav  50%\rreading a.wav 100%\r" + " " * len("reading a.wav 100%") + "\r"
    )
