"""The chapter on where and how it may be used: why a use of the case's own is asked stands with it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.records.scenario import Circumstances
from coldpin.records.use import Use, UseAnswer, UseJudgement
from coldpin.report.build import build_document
from tests.report.sample import SAMPLE
from tests.report.test_injuries_chapter import chapter, words

SLIPWAY = UseJudgement(
    name="slipway",
    answer=UseAnswer.CANNOT_JUDGE,
    because="Nothing was tested.",
    use=Use(id="", name="slipway", circumstances=Circumstances(), why="a visitor asked"),
)


@pytest.mark.hand("a use that is asked for a reason, and one that is not")
def test_a_use_is_told_with_why_it_is_asked() -> None:
    """Where a person said so, and nowhere else."""
    assert SLIPWAY.use is not None
    plain = replace(SLIPWAY, name="shed", use=replace(SLIPWAY.use, name="shed", why=""))
    built = build_document(replace(SAMPLE, conditions_of_use=(SLIPWAY, plain)))

    assert words(chapter(built, "Where and how it may be used")).count("Asked because: a visitor asked") == 1
