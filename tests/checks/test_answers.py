"""What a unit has or has not, as good practice: said so, and breaking nothing."""

from typing import NamedTuple

import pytest

from coldpin.checks import run_checks
from coldpin.conclusion import conclude, judge_functions
from coldpin.records.finding import Finding, Outcome
from coldpin.records.function import FunctionState
from coldpin.report.words import placed
from tests.checks.bench import PORTABLE, entry, evidence, found_in


class Kind(NamedTuple):
    """One row of what is tried."""

    word: str
    id_: str
    function: str


ASKED = [
    Kind("refusal with a contact held closed", "held-contact.refusal", "contact-monitoring"),
    Kind("refusal with no earth in the supply", "earth-missing.refusal", "supply-earth-monitoring"),
]
OUTCOMES = [("yes", Outcome.WITHIN), ("no", Outcome.BEYOND), ("cannot tell", Outcome.UNDECIDED)]


def one(word: str, id_: str, answer: str, **conditions: str) -> Finding:
    return found_in(evidence(entry(word, answer=answer, conditions=conditions)))[id_]


@pytest.mark.practice
@pytest.mark.parametrize("case", ASKED, ids=lambda case: case.id_)
class TestAnswer:
    @pytest.mark.parametrize(("answer", "outcome"), OUTCOMES)
    def test_each_answer_has_its_outcome(self, case: Kind, answer: str, outcome: Outcome) -> None:
        """Yes, no, cannot tell; never a duty."""
        found = one(case.word, case.id_, answer)

        assert (found.outcome, found.answer, found.duty) == (outcome, answer, False)
        assert "should" not in placed(found)

    def test_absent_good_practice_advises_against_nothing(self, case: Kind) -> None:
        """The function is not there, that may be said, and the headline does not hang on it."""
        bench = evidence(entry(case.word, answer="no"))
        findings = run_checks(bench).findings
        judged = judge_functions(PORTABLE, findings)
        said = conclude(bench.case, findings, judged, ())

        assert {one.id: one.state for one in judged}[case.function] is FunctionState.SHOWN_ABSENT
        assert "not recommended" not in said.headline.text
        assert any("would be good practice; no text known to us" in sentence.text for sentence in said.may_say)

    def test_nothing_recorded_is_not_tested(self, case: Kind) -> None:
        """Silence is no answer."""
        assert case.id_.split(".")[0] in {item.check for item in run_checks(evidence()).not_tested}


def test_at_extra_low_voltage_a_refusal_transfers_and_its_absence_does_not() -> None:
    """What looks for a welded contact may need the mains to see it."""
    word, id_, _ = ASKED[0]
    low = {"supply": "extra-low voltage"}

    assert one(word, id_, "yes", **low).transfers
    gone = one(word, id_, "no", **low)
    assert (gone.transfers, gone.absence) == (False, False)


@pytest.mark.hand("one no among two answers")
def test_one_no_is_enough() -> None:
    """A later yes does not undo it."""
    word, id_, _ = ASKED[0]
    made = [entry(word, name=name, answer=answer) for name, answer in (("e1", "no"), ("e2", "yes"))]

    assert found_in(evidence(*made))[id_].outcome is Outcome.BEYOND
