"""What changed since the last issue, in sentences."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

import pytest

from coldpin.casefile import changes_since
from coldpin.casefile.changes import FIRST, NOTHING
from coldpin.quantity import Quantity
from coldpin.records.assessment import Assessment, Basis, NotTested, Sentence
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Outcome, Reach, Standing
from coldpin.records.function import FunctionState
from coldpin.records.plain import from_json, to_json
from coldpin.records.use import UseAnswer, UseJudgement


@pytest.fixture
def finding(assessment: Assessment) -> Callable[..., Assessment]:
    """The assessment with its finding changed."""

    def changed(**fields: Any) -> Assessment:
        return dataclasses.replace(assessment, findings=(dataclasses.replace(assessment.findings[0], **fields),))

    return changed


def test_the_first_issue_has_nothing_before_it(assessment: Assessment) -> None:
    """It says so."""
    assert changes_since(None, assessment) == (FIRST,)


def test_nothing_changed_is_said(assessment: Assessment) -> None:
    """Another day alone is no change; nor is a round through the file."""
    later = dataclasses.replace(assessment, assessed_on="2026-04-01")

    assert changes_since(assessment, later) == (NOTHING,)
    assert changes_since(from_json(Assessment, to_json(assessment), where="test"), assessment) == (NOTHING,)


def test_the_conclusion_comes_first(assessment: Assessment, finding: Callable[..., Assessment]) -> None:
    """Old sentence and new, whole; then what may be said."""
    now = finding(outcome=Outcome.BEYOND)
    conclusion = dataclasses.replace(
        assessment.conclusion,
        headline=Sentence(text="The earth conductor is broken.", basis=Basis.MEASURED),
        may_say=(),
        may_not_say=("That it was tested on a vehicle.", "That every unit is so."),
    )

    said = changes_since(assessment, dataclasses.replace(now, conclusion=conclusion))

    assert said == (
        (
            "The conclusion was: “Nothing was found against it in these tests.” "
            "It is now: “The earth conductor is broken.”"
        ),
        "May no longer be said: “The earth conductor was measured.”",
        "May now not be said: “That every unit is so.”",
        "Resistance of the earth conductor: outcome was within, is now beyond.",
    )


def test_a_function_that_changed_is_named_with_both_states(assessment: Assessment) -> None:
    """With its reach, where that changed."""
    function = dataclasses.replace(assessment.functions[0], state=FunctionState.SHOWN_ABSENT, reach=Reach.CONSTRUCTION)

    assert changes_since(assessment, dataclasses.replace(assessment, functions=(function,))) == (
        "Earth continuity: state was shown, is now shown absent.",
        "Earth continuity: reach was this specimen, is now by construction.",
    )


def test_a_value_that_changed_is_printed_as_the_report_prints_it(finding: Callable[..., Assessment]) -> None:
    """Value with uncertainty, before and after; unknown uncertainty and no value too."""
    before, after = finding(), finding(quantity=Quantity(0.2, None, "Ω", why="not stated"))

    (said,) = changes_since(before, after)

    assert said == (
        "Resistance of the earth conductor: value was 0.1230 Ω ± 0.0039 Ω, is now 0.20 Ω (uncertainty not known)."
    )
    (gone,) = changes_since(before, finding(quantity=None, answer=""))
    assert gone.endswith("value was 0.1230 Ω ± 0.0039 Ω, is now none.")


def test_a_limit_that_changed_is_told_with_its_source(
    assessment: Assessment, finding: Callable[..., Assessment]
) -> None:
    """Another source or standing matters as much as another number."""
    limit = assessment.findings[0].limit
    assert limit is not None

    other = dataclasses.replace(limit, maximum=0.3, standing=Standing.STANDARD)

    assert changes_since(assessment, finding(limit=other)) == (
        (
            "Resistance of the earth conductor: limit was at most 0.5 Ω (the tester, memory), "
            "is now at most 0.3 Ω (the tester, standard)."
        ),
    )


def test_what_was_added_and_what_is_gone_is_told(assessment: Assessment) -> None:
    """Findings, functions, checks not done, conditions of use."""
    bare = dataclasses.replace(assessment, findings=(), functions=(), not_tested=())
    use = UseJudgement(name="pontoon", answer=UseAnswer.CANNOT_JUDGE, because="no earth test")
    other = NotTested(check="pins", title="Pins live", why="x", needs=())

    assert changes_since(bare, assessment) == (
        "Function added: Earth continuity (shown, this specimen).",
        (
            "Finding added: Resistance of the earth conductor "
            "(within, 0.1230 Ω ± 0.0039 Ω, at most 0.5 Ω (the tester, memory), this specimen)."
        ),
        "Is now listed as not tested: Offer against plug.",
    )
    assert changes_since(
        assessment, dataclasses.replace(assessment, not_tested=(other,), conditions_of_use=(use,))
    ) == (
        "Was not tested and is no longer listed so: Offer against plug.",
        "Is now listed as not tested: Pins live.",
        "Condition of use added: pontoon (cannot be judged, no earth test).",
    )
    assert changes_since(assessment, dataclasses.replace(assessment, findings=()))[0].startswith(
        "Finding no longer there: Resistance of the earth conductor (was within, "
    )


def test_entries_are_counted(assessment: Assessment, make: Callable[..., Entry], correct: Callable[..., Entry]) -> None:
    """How many came, what was corrected and why, which are no longer used."""
    first = make("1 Ω")
    second = correct(first, "2 Ω")
    before = dataclasses.replace(assessment, entries=(first,))

    said = changes_since(before, dataclasses.replace(assessment, entries=(second, make("3 Ω"))))

    assert said == (
        "Entries added: 2, 1 of them corrections.",
        f"Entry {first.id} ({first.shows}) was corrected: “{second.reason}”",
        f"Entries no longer used: {first.id}.",
    )
    assert second.kind is EntryKind.CORRECTION


def test_the_description_and_the_basis_are_compared(assessment: Assessment) -> None:
    """Key, value before, value now; edition and program version."""
    case = dataclasses.replace(
        assessment.case,
        specimen=dataclasses.replace(assessment.case.specimen, serial="B 17", seller=""),
        assumptions=("sound supply",),
    )

    said = changes_since(
        assessment,
        dataclasses.replace(assessment, case=case, edition="sae", program_version="0.2.0", title="Skerrow 16, blue"),
    )

    assert said == (
        "Description: specimen.serial was empty, is now “B 17”.",
        "Description: specimen.seller was “quayside stall”, is now empty.",
        "Description: assumptions.0 was not there, is now “sound supply”.",
        "Title was Skerrow 16, is now Skerrow 16, blue.",
        "Edition the pilot is judged by was iec-3, is now sae.",
        "Version of the program was 0.1.0, is now 0.2.0.",
    )
