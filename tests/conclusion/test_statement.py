"""What may be said: decisive findings conclude alone, each sentence has reach and basis, no word is out of place."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.checks import run_checks
from coldpin.conclusion import conclude, judge_functions
from coldpin.quantity import Quantity
from coldpin.records.assessment import Basis, Conclusion, NotTested, Problem
from coldpin.records.case import CASE_FORMAT, CaseDescription, Claims, Specimen, UnitClass
from coldpin.records.entry import EntryKind
from coldpin.records.finding import Finding, Outcome, Reach, Standing
from coldpin.simulator import VirtualUnit
from tests.checks.bench import BARE, PORTABLE, WALL, capture_of, entry, evidence, pairs
from tests.conclusion.findings import found, limit, many_findings

CASE = CaseDescription(
    format=CASE_FORMAT, title="Pellwick 20", specimen=Specimen(make="Pellwick", model="20"), unit=PORTABLE
)
NEVER = ("safe", "deadly", "illegal", "fake", "certified", "compliant", "fails", "non-conforming")
FORBIDDEN = re.compile(rf"\b({'|'.join(NEVER)})\b", re.IGNORECASE)
LIVE = found(
    "live-pins.uncoupled",
    "supply-switching",
    Outcome.BEYOND,
    "The pins are live.",
    decisive=True,
    absence=True,
    quantity=Quantity(230.0, 1.0, "V"),
)


def say(*findings: Finding, not_tested: tuple[NotTested, ...] = ()) -> Conclusion:
    return conclude(CASE, findings, judge_functions(PORTABLE, findings), not_tested)


def said_by(conclusion: Conclusion) -> list[str]:
    sentences = (conclusion.headline, *conclusion.may_say, *conclusion.done_well)
    return [*(sentence.text for sentence in sentences), *conclusion.may_not_say]


def test_a_decisive_finding_concludes_alone() -> None:
    """Whatever else is within, the headline advises against, which is inferred from the findings that decide alone."""
    good = found("pilot-frequency.value", "pilot-signal", statement="The frequency is within.")
    conclusion = say(good, LIVE)

    assert conclusion.headline.text == "Pellwick 20: advised against. The pins are live."
    assert (conclusion.headline.basis, conclusion.headline.findings) == (Basis.INFERRED, (LIVE.id,))
    assert conclusion.decisive == (LIVE.id,)


def test_the_headline_says_that_something_given_was_not_used() -> None:
    """What was left out may have been the worst of it: no headline is silent about it."""
    one = Problem(where="entry e2", what="the supply voltage is not recorded")
    other = Problem(where="entry e3", what="cannot be read")

    for findings in ((LIVE,), ()):
        plain = conclude(CASE, findings, (), ()).headline.text
        told = conclude(CASE, findings, (), (), (one,)).headline.text
        assert told.startswith(f"{plain} One thing given was not used")
        assert "2 things given were not used" in conclude(CASE, findings, (), (), (one, other)).headline.text


def test_every_decisive_finding_stands_behind_the_headline() -> None:
    """Two of them: both are named, both are said."""
    earth = found("wiring.earth-through", "protective-earth", Outcome.BEYOND, "The earth is open.", decisive=True)
    conclusion = say(LIVE, earth)

    assert conclusion.decisive == conclusion.headline.findings == (LIVE.id, earth.id)
    assert "The pins are live." in conclusion.headline.text
    assert "The earth is open." in conclusion.headline.text


def test_a_decisive_check_that_found_nothing_decides_nothing() -> None:
    """Only a finding beyond can conclude alone."""
    conclusion = say(replace(LIVE, outcome=Outcome.UNDECIDED, absence=False))

    assert conclusion.decisive == ()
    assert "advised against" not in conclusion.headline.text


@pytest.mark.parametrize(
    ("findings", "basis", "text"),
    [
        ((), Basis.OBSERVED, "Pellwick 20: nothing was tested yet, so nothing can be said."),
        (
            (found("live-pins.uncoupled", "supply-switching", Outcome.UNDECIDED),),
            Basis.OBSERVED,
            "Pellwick 20: what was tried decides nothing yet, so nothing can be said.",
        ),
        (
            (found("pilot-levels.low", "pilot-signal", Outcome.BEYOND),),
            Basis.INFERRED,
            "Pellwick 20: not recommended until these findings are answered (pilot signal: faulty).",
        ),
        (
            (found("wiring.crossed", "wiring"), found("wiring.order", "wiring")),
            Basis.INFERRED,
            "Pellwick 20: no objection found in the tests done so far; not shown yet: 27 of 28 protective ",
        ),
    ],
)
def test_the_headline_follows_the_worst(findings: tuple[Finding, ...], basis: Basis, text: str) -> None:
    """Nothing tested, a fault, nothing found against it: each has its own sentence."""
    headline = say(*findings).headline

    assert headline.text.startswith(text)
    assert headline.basis is basis


@pytest.mark.hand("a cord that is not held is no protective function, and an objection all the same")
def test_what_no_function_hangs_on_is_an_objection_too() -> None:
    """Not where it is good practice alone, nor where it was found elsewhere than on the closed unit."""
    whole = [found(name, "wiring") for name in ("wiring.crossed", "wiring.order")]
    loose = replace(found("construction.anchorage", "", Outcome.BEYOND), functions=(), title="Anchorage of the cord")
    headline = say(*whole, loose).headline

    assert headline.text == "Pellwick 20: not recommended until these findings are answered (anchorage of the cord)."
    assert headline.findings == (loose.id,)
    for milder in (replace(loose, duty=False), replace(loose, transfers=False, supply="board on bench supply")):
        assert "no objection found" in say(*whole, milder).headline.text


def test_the_reach_stands_in_the_wording() -> None:
    """By construction: any unit built like it. Otherwise: this specimen."""
    built = found(
        "wiring.switched",
        "supply-switching",
        Outcome.BEYOND,
        "Every pole leads straight through.",
        absence=True,
        reach="by construction",
    )
    low = found("pilot-levels.low", "pilot-signal", Outcome.BEYOND, "The low level is weak.")
    texts = [sentence.text for sentence in say(built, low).may_say]

    assert texts[0] == "Any unit built like this Pellwick 20: every pole leads straight through."
    assert texts[1] == "On this specimen of the Pellwick 20: the low level is weak."
    absent = [text for text in texts if "is not there" in text]
    assert absent
    assert all(text.startswith("Any unit built like this Pellwick 20: the function") for text in absent)
    assert any(
        sentence.text.startswith("On this specimen of the Pellwick 20: the function") for sentence in say(LIVE).may_say
    )


def test_functions_that_fell_together_are_named_in_one_sentence() -> None:
    """One absent parent takes its children with it: that is one thing to say, and the ground is not said twice."""
    ground = "Every pole leads straight through."
    built = found("wiring.switched", "supply-switching", Outcome.BEYOND, ground, absence=True, reach="by construction")
    texts = [sentence.text for sentence in say(built).may_say]

    assert sum(ground.lower() in text.lower() for text in texts) == 1
    fallen = [text for text in texts if "they need 'Supply switched only for a vehicle', which is absent" in text]
    assert len(fallen) == 1
    assert "'Vehicle told apart by its diode'" in fallen[0]
    assert "'Residual current protection'" in fallen[0]


def test_a_state_keeps_its_letter_inside_a_sentence() -> None:
    """The title of a finding stands small in a list, the name of a state in it does not."""
    rise = replace(found("pilot-edges.rise-b", "pilot-signal", Outcome.UNDECIDED), title="Rise in B")

    assert any("too uncertain to say: rise in B." in sentence.text for sentence in say(rise).may_say)


def test_a_number_keeps_to_the_specimen_where_its_reason_reaches_further() -> None:
    """Live pins hold by construction; the volts that were read are those of one specimen."""
    built = replace(
        LIVE, plain="The pins are live.", statement="The pins are live. The voltage is 231 V.", reach=Reach.CONSTRUCTION
    )
    texts = [sentence.text for sentence in say(built).may_say]

    assert texts[0] == (
        "Any unit built like this Pellwick 20: the pins are live. "
        "On this specimen of the Pellwick 20: the voltage is 231 V."
    )


def test_a_number_without_a_plain_reason_is_that_of_the_specimen() -> None:
    """A gap is too short in any unit built like it; how short it was read is told of the one that was read."""
    gap = replace(
        LIVE, plain="", statement="The clearance is 1.79 mm.", reach=Reach.CONSTRUCTION, decisive=False, absence=False
    )
    texts = [sentence.text for sentence in say(gap).may_say]

    assert texts[0] == (
        "On this specimen of the Pellwick 20, whose construction any unit built like it shares: "
        "the clearance is 1.79 mm."
    )


def test_what_only_tells_is_no_merit() -> None:
    """That a duty cycle means a current is no praise; that the frequency is right is."""
    told = found("pilot-meaning.zone", "current-offer", statement="The duty cycle offers a current.")
    well = found("pilot-frequency.value", "pilot-signal", statement="The frequency is within.")

    assert [sentence.findings for sentence in say(told, well).done_well] == [(well.id,)]


def test_each_sentence_says_what_it_rests_on() -> None:
    """A number is measured, a look is observed, a function is inferred; each names its findings."""
    looked = found("wiring.crossed", "wiring", Outcome.BEYOND, "Poles are crossed.")
    well = found("pilot-frequency.value", "pilot-signal", quantity=Quantity(1000.0, 0.1, "Hz"))
    open_one = found("pilot-levels.low", "pilot-signal", Outcome.UNDECIDED)
    conclusion = say(LIVE, looked, well, open_one)
    bases = {
        sentence.findings[0]: sentence.basis for sentence in conclusion.may_say if "is not there" not in sentence.text
    }

    assert bases == {LIVE.id: Basis.MEASURED, looked.id: Basis.OBSERVED, open_one.id: Basis.INFERRED}
    assert [(one.basis, one.findings) for one in conclusion.done_well] == [(Basis.MEASURED, (well.id,))]
    assert [one.basis for one in conclusion.may_say if "is not there" in one.text] == [Basis.INFERRED]


def test_what_was_not_shown_and_not_tested_may_not_be_said() -> None:
    """Functions open either way and checks that were not done are named."""
    skipped = NotTested(check="coding", title="Coding of the cable", why="nothing recorded yet", needs=("a reading",))
    joined = " ".join(say(LIVE, not_tested=(skipped,)).may_not_say)

    assert "That these work, or that they do not: " in joined
    assert "earth through the lead" in joined
    assert "supply switched only for a vehicle" not in joined
    assert "Anything about what was not tested: coding of the cable." in joined


@pytest.mark.hand("two findings against limits that are not from the standard itself, one that is, one without limit")
def test_limits_of_weaker_standing_are_counted() -> None:
    """The count is of the findings judged against a limit whose standing is not `standard`."""
    findings = (
        found("pilot-levels.low", "pilot-signal", limit=limit(Standing.MEMORY)),
        found("pilot-levels.state-b", "pilot-signal", limit=limit(Standing.READ)),
        found("pilot-levels.state-c", "pilot-signal", limit=limit(Standing.STANDARD)),
        found("wiring.crossed", "wiring"),
    )

    assert any(": 2 findings are judged against limits known from" in text for text in say(*findings).may_not_say)
    assert not any("judged against limits" in text for text in say(*findings[2:]).may_not_say)


@given(findings=many_findings())
def test_no_sentence_uses_a_word_that_is_not_ours(findings: list[Finding]) -> None:
    """Whatever was found, no sentence of ours judges by law or by adjective, and none is left without its ground."""
    conclusion = say(*findings)

    assert [text for text in said_by(conclusion) if FORBIDDEN.search(text)] == []
    known = {finding.id for finding in findings}
    for sentence in (*conclusion.may_say, *conclusion.done_well):
        assert set(sentence.findings) <= known
    assert bool(conclusion.decisive) == ("advised against" in conclusion.headline.text)


JOINED = (("PE > PE",), ("PE > PE", "L > L1", "N > N"), ("L > L1",), ("PE > PE", "N > PE"), ("PE > PE", "L > CP"))
UNITS = (VirtualUnit(duty=26.67), VirtualUnit(duty=33.3, rail_low=-10.6), VirtualUnit(duty=5.0), VirtualUnit(duty=99.0))


@given(
    kind=st.sampled_from((PORTABLE, BARE, WALL)),
    joined=st.sampled_from(JOINED),
    earth=st.sampled_from(("60 mΩ", "0.29 Ω", "3 Ω", "> 20 MΩ", "60 rabbits")),
    insulation=st.sampled_from(("350 MΩ", "1 MΩ", "> 999 MΩ", "0.2 MΩ")),
    output=st.sampled_from(("1.2 V", "49.8 V", "231 V")),
    coding=st.sampled_from(("680 Ω", "220 Ω", "430 Ω")),
    captured=st.sampled_from((None, *UNITS)),
    plug=st.sampled_from(("", "CEE 7/4")),
)
def test_no_sentence_that_the_checks_write_uses_such_a_word(
    kind: UnitClass,
    joined: tuple[str, ...],
    earth: str,
    insulation: str,
    output: str,
    coding: str,
    captured: VirtualUnit | None,
    plug: str,
) -> None:
    """The whole way from readings, sound, bad and unreadable: statements, reasons and conclusion."""
    words = ("output with nothing connected", "output in state B", "output with the diode shorted")
    bench = evidence(
        entry("wiring map", name="e1", kind=EntryKind.OBSERVATION, pairs=pairs(joined)),
        entry("earth resistance", name="e2", readings=(earth,), instrument="milliohm"),
        entry("mains to pilot insulation", name="e3", readings=(insulation,), instrument="tester"),
        entry("coding resistance", name="e4", readings=(coding,), instrument="meter"),
        *(entry(word, name=f"o{at}", readings=(output,), instrument="meter") for at, word in enumerate(words)),
        unit=kind,
        claims=Claims(plug=plug, declared_current="16 A"),
        captures=() if captured is None else (capture_of(captured),),
    )
    results = run_checks(bench)
    functions = judge_functions(kind, results.findings)
    conclusion = conclude(bench.case, results.findings, functions, results.not_tested)
    texts = [
        *said_by(conclusion),
        *(finding.statement for finding in results.findings),
        *(remark for finding in results.findings for remark in finding.remarks),
        *(function.because for function in functions),
        *(f"{item.title} {item.why}" for item in results.not_tested),
    ]

    assert [text for text in texts if FORBIDDEN.search(text)] == []
    assert results.findings


def test_what_was_found_on_another_supply_is_said_with_it() -> None:
    """A level of a board on a bench supply is no level of the closed unit."""
    board = found(
        "pilot-levels.low",
        "pilot-signal",
        Outcome.BEYOND,
        "The low level is weak.",
        supply="board on bench supply",
        transfers=False,
    )
    (sentence,) = [one for one in say(board).may_say if board.id in one.findings and one.basis is not Basis.INFERRED]

    assert "found on the board, fed from the bench, not on the closed unit: the low level is weak." in sentence.text
