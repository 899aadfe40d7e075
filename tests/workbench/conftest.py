"""The demonstration shelf, made once for all tests that look into it."""

from __future__ import annotations

from pathlib import Path

import pytest

from coldpin.records.assessment import Assessment
from coldpin.records.plain import from_json
from coldpin.workbench.brackwater import STORY
from coldpin.workbench.demo import DemoResult
from coldpin.workbench.drafting import REPORT, SUMMARY, Written
from tests.installed import Elsewhere, elsewhere

__all__ = ["elsewhere"]


@pytest.fixture(scope="session")
def demo(elsewhere: Elsewhere) -> DemoResult:
    """The demo as the installed wheel made it, its assessments read back from the records that it wrote.

    Whoever publishes or changes a case of it works on a copy.
    """
    assert elsewhere.code == 0, elsewhere.err
    return DemoResult(shelf=elsewhere.shelf, written=tuple(written(elsewhere.shelf / story.folder) for story in STORY))


def written(case: Path) -> Written:
    """Return what was written of a case."""
    record, page, sheet = (case / "report" / name for name in REPORT)
    assessment = from_json(Assessment, record.read_text(encoding="utf-8"), where=record.name)
    summary = tuple(case / "report" / name for name in SUMMARY)
    return Written(assessment=assessment, record=record, page=page, sheet=sheet, summary=summary)
