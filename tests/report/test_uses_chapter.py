"""The chapter on where and how it may be used: why a use of the case's own is asked stands with it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.records.scenario import Circumstances
from coldpin.records.use import Use, UseAnswer, UseJudgement, UseReason
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


@pytest.mark.hand("two reasons of one kind with one measure, and one by itself")
def test_reasons_alike_are_told_together_and_none_is_lost() -> None:
    """What they say alike once, the measure once with what it stands in for; what decides stands beside the answer."""
    earth, seal = (
        UseReason(
            text=f"The function '{name}' was not shown. Or, under a roof: 'Box' shown.",
            answer=UseAnswer.CANNOT_JUDGE,
            alike="Not shown",
            briefly=f"'{name}'. Missing: a look.",
            instead=("under a roof: 'Box' shown.",),
        )
        for name in ("Earth", "Seal")
    )
    plug = UseReason(text="Its plug fits no socket there. An adaptor gets warm.", answer=UseAnswer.ADVISED_AGAINST)
    use = replace(
        SLIPWAY,
        answer=UseAnswer.ADVISED_AGAINST,
        plain="slipway: we advise against it.",
        reasons=(earth, plug, seal),
    )
    told = words(chapter(build_document(replace(SAMPLE, conditions_of_use=(use,))), "Where and how it may be used"))

    assert "slipway: we advise against it. Its plug fits no socket there." in told
    assert "An adaptor gets warm." in told
    assert told.count("Not shown:") == 1
    assert told.count("under a roof: 'Box' shown.") == 1
    assert "'Earth', 'Seal': under a roof" in told
    assert all(f"'{name}'. Missing: a look." in told for name in ("Earth", "Seal"))
