"""Prove: every test at full size, resumable, and the table of what was measured in ``docs/measured.md``.

Each test that passes leaves a stamp under ``.prove/``, in a folder named by the commit (and by the changes beside it,
where there are any). A run that is interrupted goes on where it was; a change of code, tests, tools or locks begins
anew.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from tools.measured_page import PROJECT, Commit, conditions, current_commit, table, write_section

TWO_PROCESSES = ("-n", "2", "--dist", "loadfile", "--no-loadscope-reorder")
"""As in ``make test``: a file of tests stays with one process, in its order."""


class Stamps:
    """What passed at this commit, kept on disk test by test; also a pytest plugin that stamps while it runs."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.folder.mkdir(parents=True, exist_ok=True)
        self.left_out: dict[str, str] = {}
        self._passed: dict[str, dict[str, Any]] = {}

    def read(self) -> list[dict[str, Any]]:
        """Return all stamps of this commit, by the name of the test.

        Returns
        -------
        list of dict
            Each with ``node``, ``seconds`` and ``figures``.
        """
        stamps = [json.loads(path.read_text(encoding="utf-8")) for path in self.folder.glob("*.json")]
        return sorted(stamps, key=lambda stamp: stamp["node"])

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Stamp a test when its last part has passed; a test that fails in any part gets none.

        Parameters
        ----------
        report : pytest.TestReport
            One part (set-up, call, tear-down) of one test.
        """
        if report.skipped:
            reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
            self.left_out[report.nodeid] = reason.removeprefix("Skipped: ")
        elif report.when == "call" and report.passed:
            figures = [figure for kind, figure in report.user_properties if kind == "measured"]
            self._passed[report.nodeid] = {"node": report.nodeid, "seconds": report.duration, "figures": figures}
        elif report.when == "teardown" and report.passed and report.nodeid in self._passed:
            name = hashlib.sha256(report.nodeid.encode()).hexdigest()[:24]
            target = self.folder / f"{name}.json"
            unfinished = target.with_suffix(".part")
            unfinished.write_text(json.dumps(self._passed.pop(report.nodeid), ensure_ascii=False), encoding="utf-8")
            unfinished.replace(target)


def stamps_folder(commit: Commit) -> Path:
    """Return where the stamps of a commit, with the changes beside it, are kept.

    Parameters
    ----------
    commit : Commit
        The state of the project.

    Returns
    -------
    Path
        A folder under ``.prove/``.
    """
    beside = "-" + hashlib.sha256(commit.changed.encode()).hexdigest()[:12] if commit.changed else ""
    return PROJECT / ".prove" / f"{commit.hash[:12]}{beside}"


def proved_section(commit: Commit, stamps: Sequence[dict[str, Any]], left_out: dict[str, str]) -> str:
    """Return the section "Proved".

    Parameters
    ----------
    commit : Commit
        What was proved.
    stamps : sequence of dict
        The stamps of all tests that passed.
    left_out : dict
        Reason by test, for those that could not run.

    Returns
    -------
    str
        Markdown.
    """
    rows = [
        [figure["name"], f"{figure['value']:.4g}", figure["unit"], figure["goal"], f"`{stamp['node'].split('::')[0]}`"]
        for stamp in stamps
        for figure in stamp["figures"]
    ]
    text = f"{commit.words()}. Tests passed at full size: {len(stamps)}. {conditions()}\n\n"
    text += table(["figure", "value", "unit", "goal", "measured by"], rows)
    if left_out:
        text += f"\n**Left out: {len(left_out)} tests.**\n\n"
        text += "".join(f"- `{node}`: {reason}\n" for node, reason in sorted(left_out.items()))
    return text


def main(arguments: Sequence[str]) -> int:
    """Run what has not been proved yet at this commit, and write the page when everything has been.

    Parameters
    ----------
    arguments : sequence of str
        Passed on to pytest; with a selection of tests the page is not written.

    Returns
    -------
    int
        0 where everything passed.
    """
    commit = current_commit()
    stamps = Stamps(stamps_folder(commit))
    proved = stamps.read()
    listing = stamps.folder / "proved.txt"
    listing.write_text("".join(stamp["node"] + "\n" for stamp in proved), encoding="utf-8")
    os.environ |= {"COLDPIN_PROVE": "1", "COLDPIN_PROVED": str(listing)}
    print(f"{commit.words()}: {len(proved)} tests were proved before, going on with the rest.", flush=True)
    code = pytest.main([*TWO_PROCESSES, *arguments], plugins=[stamps])
    if code not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
        print("Not everything was proved; `make prove` goes on from here. docs/measured.md is as it was.")
        return int(code)
    if current_commit() != commit:
        print("The project was changed while it was proved; docs/measured.md is as it was. Prove it as it is now.")
        return 1
    if not arguments:
        write_section("Proved", proved_section(commit, stamps.read(), stamps.left_out))
        print("Proved; the figures are in docs/measured.md.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
