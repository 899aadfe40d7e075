"""The conclusion made whole: the headline with its uses, what would change it, everything in plain words."""

from __future__ import annotations

import pytest

from coldpin.conclusion.functions import PLANS, FunctionPlan
from coldpin.conclusion.lay_words import OF_PRACTICE
from coldpin.conclusion.public import complete, plain_finding, plain_function
from coldpin.records.assessment import Basis, Conclusion, Sentence
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.use import UseAnswer, UseJudgement
from tests.conclusion.findings import found

FINE = "Skerrow 16: no objection found in the tests done so far; not shown yet: water and dust kept out."
AGAINST = "Pellwick 20: advised against. The pins are live."


def concluded(text: str, *decisive: str) -> Conclusion:
    """A conclusion with this headline."""
    headline = Sentence(text=text, basis=Basis.INFERRED, findings=decisive)
    return Conclusion(headline=headline, may_say=(), may_not_say=(), decisive=decisive, done_well=())


@pytest.mark.hand("a wire that goes straight through does not lead where it does not belong")
@pytest.mark.parametrize(
    ("name", "outcome", "says"),
    [
        ("wiring.switched", Outcome.BEYOND, "a wire goes straight through to the car's end"),
        ("wiring.crossed", Outcome.BEYOND, "a wire leads where it does not belong"),
        ("live-access.wire", Outcome.WITHIN, "nothing live can be reached from outside"),
    ],
)
def test_a_plain_sentence_says_no_more_than_its_finding(name: str, outcome: Outcome, says: str) -> None:
    """Words of a check that would say something else of one of its findings are not used for it."""
    assert says in plain_finding(found(name, "wiring", outcome))


def use(name: str, answer: UseAnswer, *untested: str) -> UseJudgement:
    """A use with its answer."""
    return UseJudgement(name=name, answer=answer, because="", untested=untested)


def function(
    name: str, state: FunctionState, *, missing: tuple[str, ...] = (), duty: bool = True
) -> ProtectiveFunction:
    """A function in a state."""
    return ProtectiveFunction(
        id=name, title=name, question="", state=state, reach=None, findings=(), because="", missing=missing, duty=duty
    )


@pytest.mark.practice
@pytest.mark.parametrize("plan", [plan for plan in PLANS if not plan.duty], ids=lambda plan: plan.id)
def test_good_practice_is_named_by_what_it_would_be(plan: FunctionPlan) -> None:
    """Not by an "it" that reads as the fault; a duty has no such sentence."""
    said = plain_function(function(plan.id, FunctionState.SHOWN_ABSENT, duty=False))

    assert said.endswith(f". A{OF_PRACTICE[plan.id][1:]} would be good practice; no text known to us asks for it.")
    assert "Having it" not in said
    assert "good practice" not in plain_function(function(plan.id, FunctionState.SHOWN_ABSENT))


@pytest.mark.hand("one opening in time, another not tried: that the power is cut in time is not said of the one")
@pytest.mark.parametrize("state", FunctionState)
def test_the_words_of_a_check_wait_for_the_function(state: FunctionState) -> None:
    """A good finding says what its check means only where the function that it bears on is shown."""
    good = found("opening.time", "timely-opening")
    said = plain_finding(good, (function("timely-opening", state), function("restart", FunctionState.NOT_SHOWN)))

    assert said.startswith(f"{good.title}: as it should be")
    assert ("the power is cut in time" in said) is (state is FunctionState.SHOWN)


def headline(conclusion: Conclusion, *uses: UseJudgement, functions: tuple[ProtectiveFunction, ...] = ()) -> str:
    """The headline made whole."""
    return complete(conclusion, functions, (), (), uses).headline.text


def test_the_headline_says_for_which_uses_there_is_no_objection_and_for_which_there_is() -> None:
    """An answer that speaks against a use stands beside the good ones; how many wait is counted."""
    said = headline(
        concluded(FINE),
        use("garage", UseAnswer.NO_OBJECTION),
        use("shed", UseAnswer.NO_OBJECTION),
        use("driveway", UseAnswer.WITH_MEASURES),
        use("socket", UseAnswer.ADVISED_AGAINST),
        use("pontoon", UseAnswer.CANNOT_JUDGE, "ingress-protection"),
    )

    assert said == (
        "Skerrow 16: no objection found in the tests done so far for “garage” and “shed”; only with measures: "
        "“driveway”; advised against for “socket”; for 1 of 5 uses these tests cannot tell. Not shown yet: water and "
        "dust kept out."
    )


def test_where_no_use_is_without_objection_the_headline_does_not_praise() -> None:
    """Nothing found against it is not enough for any use."""
    said = headline(concluded(FINE), use("pontoon", UseAnswer.CANNOT_JUDGE))

    assert "so far, and yet too little is shown to say so of any use; for 1 of 1 uses" in said


@pytest.mark.parametrize(
    ("decisive", "answers", "says"),
    [
        ("live-pins.uncoupled", (UseAnswer.ADVISED_AGAINST,), ": advised against everywhere. The pins are live."),
        ("pilot-distance.clearance", (UseAnswer.ADVISED_AGAINST,), ": cannot be recommended until its findings are"),
        ("live-pins.uncoupled", (UseAnswer.CANNOT_JUDGE,), ": advised against. The pins are live."),
    ],
)
def test_what_waits_for_a_second_fault_waits_for_an_answer(
    decisive: str, answers: tuple[UseAnswer, ...], says: str
) -> None:
    """What hurts as it stands is advised against everywhere; too short a distance waits for who made it."""
    uses = [use(str(place), answer) for place, answer in enumerate(answers)]

    assert says in headline(concluded(AGAINST, decisive), *uses)


def test_until_answered_names_what_else_was_found_and_agrees_with_the_uses() -> None:
    """Headline and uses say one thing; good practice is no fault."""
    said = headline(
        concluded(AGAINST, "pilot-distance.clearance"),
        use("garage", UseAnswer.ADVISED_AGAINST),
        functions=(
            function("heating", FunctionState.FAULTY),
            function("restart", FunctionState.SHOWN),
            function("supply-earth-monitoring", FunctionState.SHOWN_ABSENT, duty=False),
        ),
    )

    assert said.endswith("Also absent or faulty: 'heating'. Until then we advise against every use judged here.")


def changes(
    conclusion: Conclusion,
    *functions: ProtectiveFunction,
    findings: tuple[Finding, ...] = (),
    uses: tuple[UseJudgement, ...] = (),
) -> list[str]:
    """What would change it."""
    return [one.text for one in complete(conclusion, functions, findings, (), uses).would_change]


def test_what_would_change_it_names_the_answers_that_wait() -> None:
    """A function on which nothing hangs says so; faulty ones stand together."""
    told = changes(
        concluded(FINE),
        function("ingress-protection", FunctionState.NOT_SHOWN, missing=("a laboratory's test",)),
        function("orderly-stop", FunctionState.NOT_SHOWN, missing=("five withdrawals",)),
        function("heating", FunctionState.FAULTY),
        function("wiring", FunctionState.FAULTY),
        uses=(use("driveway", UseAnswer.CANNOT_JUDGE, "ingress-protection"),),
    )

    assert told == [
        "'heating' and 'wiring' are faulty: an answer of the maker, and the same tests on a unit in which they work.",
        "'ingress-protection' is not shown; missing: a laboratory's test. The answers to “driveway” wait for it.",
        "'orderly-stop' is not shown; missing: five withdrawals. Shown, it leaves the answers as they are.",
    ]


@pytest.mark.parametrize(
    ("reach", "what"), [(Reach.CONSTRUCTION, "a change of its construction"), (Reach.SPECIMEN, "another specimen")]
)
def test_what_decides_is_changed_by_its_reach(reach: Reach, what: str) -> None:
    """By construction only another construction; on one specimen another one, and the reason."""
    live = found(
        "live-pins.uncoupled", "supply-switching", Outcome.BEYOND, plain="Live.", decisive=True, reach=reach.value
    )

    (told,) = changes(concluded(AGAINST, live.id), findings=(live,))

    assert told.startswith(f"“Live.”: only {what}")


def test_every_function_finding_and_use_has_a_plain_sentence() -> None:
    """With what it rests on; an undecided finding is told as one."""
    open_one = found("live-pins.uncoupled", "supply-switching", Outcome.UNDECIDED)
    made = complete(
        concluded(FINE),
        (function("restart", FunctionState.SHOWN),),
        (open_one,),
        (),
        (use("shed", UseAnswer.NO_OBJECTION),),
    )

    assert [one.kind for one in made.plain] == ["function", "finding", "use"]
    assert "these tests cannot tell whether the pins at the car's end stay dead" in made.plain[1].sentence.text
    assert made.plain[1].sentence.findings == ("live-pins.uncoupled",)
