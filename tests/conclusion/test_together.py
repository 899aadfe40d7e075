"""Several specimens together: the worst decides, what differs is told, nothing is averaged or stretched."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coldpin.conclusion.together import ANSWERS, CLAIMS, OUTCOMES, STATES, CaseAssessed
from coldpin.quantity import Quantity
from coldpin.records.claim import ClaimState
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.function import FunctionState
from coldpin.records.instrument import Instrument
from coldpin.records.plain import from_json, to_json
from coldpin.records.together import Agreement, Count, Together, Unlike, ValueAgreement
from coldpin.records.use import UseAnswer
from coldpin.report import render_html
from coldpin.report.document import lines_of, text_of
from coldpin.report.together import build_together
from tests.conclusion.findings import found, limit, many_findings, one_finding
from tests.conclusion.specimens import assessed, renamed, together
from tests.conclusion.test_statement import FORBIDDEN, LIVE

DEAD = found("live-pins.uncoupled", "supply-switching", statement="The pins are dead.")
OUT = found("live-access.finger", "access-protection", statement="A finger reaches nothing live.")
IN_REACH = replace(OUT, outcome=Outcome.BEYOND, statement="A finger reaches a live part.", reach=Reach.CONSTRUCTION)
ONE: dict[str, Any] = {"bought": "2026-01-08", "seller": "Quayside Bargains"}
TWO: dict[str, Any] = {"bought": "2026-05-02", "seller": "Hookup Harbour"}


def row(of: Together, name: str) -> tuple[Agreement, tuple[int, ...], Count]:
    """How one finding stands."""
    held = next(one for one in of.findings if one.id == name)
    return held.agreement, held.rests_on, held.beyond


@pytest.mark.hand
@pytest.mark.parametrize(
    ("outcomes", "agreement", "worst", "rests_on", "count"),
    [
        (("within", "within"), Agreement.GOOD_IN_ALL, "within", (1, 2), (0, 2)),
        (("beyond", "beyond"), Agreement.BAD_IN_ALL, "beyond", (1, 2), (2, 2)),
        (("within", "beyond"), Agreement.DIFFERS, "beyond", (2,), (1, 2)),
        (("within", "beyond", "undecided"), Agreement.DIFFERS, "beyond", (2,), (1, 2)),
        (("within", None), Agreement.GOOD_IN_SOME, "not_tested", (2,), (0, 1)),
        (("undecided", "within"), Agreement.GOOD_IN_SOME, "undecided", (1,), (0, 1)),
        (("beyond", None, "beyond"), Agreement.BAD_IN_SOME, "beyond", (1, 3), (2, 2)),
        (("undecided", None), Agreement.OPEN, "undecided", (1,), (0, 0)),
        (("not_applicable", "not_applicable"), Agreement.NOT_APPLICABLE, "not_applicable", (1, 2), (0, 0)),
        (("not_applicable", "within"), Agreement.GOOD_IN_ALL, "within", (2,), (0, 1)),
    ],
)
def test_findings_by_hand(
    outcomes: tuple[str | None, ...],
    agreement: Agreement,
    worst: str,
    rests_on: tuple[int, ...],
    count: tuple[int, int],
) -> None:
    """Every way in which outcomes stand beside each other, with the worst and whose it is."""
    anything = found("wiring.order", "wiring")
    held = [
        assessed(f"c{n}", (anything, *(() if word is None else (replace(DEAD, outcome=Outcome(word)),))))
        for n, word in enumerate(outcomes)
    ]
    joined = together(*held)
    told = next(one for one in joined.findings if one.id == DEAD.id)

    assert (told.agreement, told.outcome.value, told.rests_on) == (agreement, worst, rests_on)
    assert (told.beyond.count, told.beyond.of) == count
    assert (told.beyond.low, told.beyond.high) == (None, None)


@pytest.mark.hand
def test_functions_by_hand() -> None:
    """Shown, missing, not shown: the worst, the count among those that say something, and how far it reaches."""
    first = assessed("a", (OUT, replace(OUT, id="live-access.wire")), **ONE)
    second = assessed("b", (IN_REACH,), **TWO)
    third = assessed("c", (DEAD,), bought="2026-05-03")
    joined = together(first, second, third)
    access = next(one for one in joined.functions if one.id == "access-protection")

    assert access.states == (FunctionState.SHOWN, FunctionState.FAULTY, FunctionState.NOT_SHOWN)
    assert (access.state, access.agreement, access.rests_on) == (FunctionState.FAULTY, Agreement.DIFFERS, (2,))
    assert (access.missing.count, access.missing.of) == (1, 2)
    assert access.reach is Reach.SPECIMEN, "one that has it takes the sentence about any unit away"
    assert access.sentence.text == (
        "'Live parts out of reach': shown in specimen 1; faulty in specimen 2; not shown either way in specimen 3. "
        "Units sold under one name are not alike in this."
    )
    alone = next(one for one in together(second, renamed(second, "d")).functions if one.id == "access-protection")
    assert (alone.agreement, alone.reach) == (Agreement.BAD_IN_ALL, Reach.CONSTRUCTION)


def test_the_sentence_for_the_public_counts_and_says_where_they_are_from() -> None:
    """One that is live is enough, however many are not; how many, when and where bought is in it."""
    joined = together(assessed("a", (DEAD,), **ONE), assessed("b", (LIVE,), **TWO))

    assert joined.conclusion.headline.text == (
        "Pellwick 20: advised against. The pins are live (1 of 2). 2 specimens were seen, tested until 2026-06-01: "
        "specimen 1 bought 2026-01-08 from Quayside Bargains; specimen 2 bought 2026-05-02 from Hookup Harbour."
    )
    assert joined.conclusion.decisive == (LIVE.id,)
    assert row(joined, LIVE.id) == (Agreement.DIFFERS, (2,), Count(count=1, of=2))
    assert any("“live pins uncoupled”: beyond in specimen 2" in one.text for one in joined.conclusion.differs)
    alone = together(assessed("a", (LIVE,)), assessed("b")).conclusion.headline.text
    assert "The pins are live (1 of 1 tested for it)." in alone


def test_nothing_tested_on_one_is_told_as_open() -> None:
    """What one showed does not speak for the other; nothing on any of them is told as nothing."""
    everything = assessed("a", (OUT, DEAD), **ONE)
    headline = together(everything, assessed("b", **TWO)).conclusion.headline.text

    assert "no objection found in the tests done so far" in headline
    assert "Not shown in every specimen: " in headline
    assert "Live parts out of reach" in headline
    assert "nothing was tested yet" in together(assessed("a"), assessed("b")).conclusion.headline.text


@pytest.mark.hand("a cord that is not held on one of two")
def test_what_no_function_hangs_on_speaks_against_the_model() -> None:
    """The verdict counts it, and rests on it."""
    loose = replace(found("construction.anchorage", "", Outcome.BEYOND), functions=(), title="Anchorage of the cord")
    headline = together(assessed("a", (OUT, DEAD), **ONE), assessed("b", (OUT, loose), **TWO)).conclusion.headline

    assert "not recommended until these findings are answered. Anchorage of the cord: beyond in 1 of 1" in headline.text
    assert headline.findings == (loose.id,)


@pytest.mark.hand
def test_uses_by_hand() -> None:
    """The worst answer of each, with the specimen it rests on and why; what was asked of one alone is not judged."""
    first = assessed("a", answers={"shed": UseAnswer.NO_OBJECTION, "quay": UseAnswer.WITH_MEASURES}, **ONE)
    second = assessed("b", answers={"Shed": UseAnswer.ADVISED_AGAINST}, **TWO)
    shed, quay = together(first, second).uses

    assert (shed.name, shed.answer, shed.rests_on) == ("shed", UseAnswer.ADVISED_AGAINST, (2,))
    assert [ground.because for ground in shed.grounds] == ["Because of b."]
    assert shed.sentence.text == (
        "shed: advised against; it rests on specimen 2 (specimen 1 alone: no objection found in these tests)."
    )
    assert shed.largest_current_a is None
    assert (quay.answer, quay.rests_on, quay.largest_current_a) == (UseAnswer.CANNOT_JUDGE, (2,), None)
    assert "write it into its case too" in quay.grounds[0].because
    (tide,) = together(assessed("a", answers={"tide": UseAnswer.ADVISED_AGAINST}, **ONE), assessed("b", **TWO)).uses
    assert tide.sentence.text == "tide: advised against; it rests on specimen 1 (specimen 2: not asked of it)."


@pytest.mark.hand
def test_claims_by_hand() -> None:
    """Contradicted by any is contradicted; held is what holds on all of which it is said."""
    first = assessed("a", said={"20 A": ClaimState.HOLDS, "IP44": ClaimState.HOLDS}, **ONE)
    second = assessed("b", said={"20  A": ClaimState.CONTRADICTED}, **TWO)
    contradicted, held = together(first, second).claims

    assert (contradicted.state, contradicted.rests_on) == (ClaimState.CONTRADICTED, (2,))
    assert contradicted.sentence.text == "Claim, “20 A”, is contradicted by specimen 2. Of specimen 2: As b shows."
    assert (held.state, held.states) == (ClaimState.HOLDS, (ClaimState.HOLDS, None))
    assert "on record for specimen 1 only" in held.sentence.text


def measured(value: float, u: float | None = 0.1, unit: str = "V", **more: Any) -> Finding:
    """A level."""
    level = found("pilot-levels.low", "pilot-signal", quantity=Quantity(value, u, unit), limit=limit())
    return replace(level, **more)


@pytest.mark.hand
@pytest.mark.parametrize(
    ("values", "agreement", "apart", "difference", "why"),
    [
        ((10.0, 10.2), ValueAgreement.AGREE, (1, 2), 0.2 / (0.1 * math.sqrt(2.0) * 1.959964), ""),
        ((10.0, 10.4), ValueAgreement.DIFFER, (1, 2), 0.4 / (0.1 * math.sqrt(2.0) * 1.959964), ""),
        ((10.0, 10.2, 10.5), ValueAgreement.DIFFER, (1, 3), 0.5 / (0.1 * math.sqrt(2.0) * 1.959964), ""),
    ],
)
def test_values_by_hand(
    values: tuple[float, ...], agreement: ValueAgreement, apart: tuple[int, int], difference: float, why: str
) -> None:
    """The two farthest apart are told, with their difference as part of its U."""
    (told,) = together(*(assessed(f"c{n}", [measured(value)]) for n, value in enumerate(values))).values

    assert (told.agreement, told.apart, told.why) == (agreement, apart, why)
    assert told.difference == pytest.approx(difference, rel=1e-6)
    assert told.shows_from == pytest.approx(0.1 * math.sqrt(2.0) * 1.959964, rel=1e-6)
    assert told.limit == limit()


@pytest.mark.parametrize(
    ("other", "why"),
    [
        (measured(12.0, None), "uncertainty of one of them is not known"),
        (measured(12.0, unit="A"), "units of one kind"),
        (measured(12.0, supply="extra-low voltage"), "not taken on one supply"),
        (measured(12.0, worst_of=5), "worst of several readings"),
    ],
)
def test_what_cannot_be_compared_is_told_and_not_decided(other: Finding, why: str) -> None:
    """No accuracy, another kind of unit, another supply, the worst of several: never a difference of the units."""
    (told,) = together(assessed("a", [measured(10.0)]), assessed("b", [other])).values

    assert told.agreement is ValueAgreement.UNKNOWN
    assert why in told.why


def test_units_are_brought_to_one_and_what_is_exact_is_no_measurement() -> None:
    """10 V and 10 000 mV are one value; two ratings from plates are none."""
    (told,) = together(assessed("a", [measured(10.0)]), assessed("b", [measured(10050.0, 100.0, "mV")])).values

    assert told.agreement is ValueAgreement.AGREE
    assert [value.unit for value in told.values if value is not None] == ["V", "V"]
    assert together(assessed("a", [measured(10.0, 0.0)]), assessed("b", [measured(9.0, 0.0)])).values == ()


def test_how_the_values_were_taken_is_told_beside_them() -> None:
    """One meter for both lets a smaller difference hide; another length may be all that differs."""
    meter, other = (
        Instrument(name="meter", kind="multimeter", statements={"voltage": text}) for text in ("1 %", "2 %")
    )

    def specimen(name: str, length: str, instrument: Instrument) -> CaseAssessed:
        reading = Entry(
            id=f"{name}-1",
            kind=EntryKind.READING,
            shows="earth resistance",
            made="2026-05-02T09:00:00+00:00",
            recorded="2026-05-02T09:00:00+00:00",
            who="Ines",
            conditions={"length": length, "test current": "10 A"},
            instrument="meter",
        )
        return assessed(name, [measured(10.0, evidence=(reading.id,))], entries=[reading], instruments=[instrument])

    (told,) = together(specimen("a", "5 m", meter), specimen("b", "5 m", meter)).values
    assert (told.instruments, told.unlike) == (("meter",), ())
    (told,) = together(specimen("a", "5 m", meter), specimen("b", "10 m", other)).values
    assert told.instruments == (), "another meter of that name"
    assert told.unlike == (Unlike(what="earth resistance, length", said=("5 m", "10 m")),)


def test_other_limits_are_told_beside_a_difference() -> None:
    """Judged by another edition, a difference may be of the limits and not of the units."""
    other = replace(limit(), maximum=25.0)
    beyond = measured(40.0, outcome=Outcome.BEYOND, limit=other)
    joined = together(assessed("a", [measured(40.0)]), assessed("b", [beyond]))

    assert joined.findings[0].remarks == ("not judged by one limit",)
    assert any("But not judged by one limit" in one.text for one in joined.conclusion.differs)
    assert joined.values[0].limit is None


def test_an_answer_that_differs_is_told_though_neither_is_a_fault() -> None:
    """One starts by itself and one does not: they are not alike."""
    answers = [found("restart.by-itself", "", answer=answer) for answer in ("yes", "no")]
    joined = together(*(assessed(f"c{n}", [one]) for n, one in enumerate(answers)))

    assert joined.findings[0].agreement is Agreement.DIFFERS
    assert [one.text for one in joined.conclusion.differs] == [
        "The specimens differ. “restart by itself”: yes on specimen 1, no on specimen 2."
    ]


def test_a_number_of_one_specimen_is_not_said_of_another() -> None:
    """Both beyond, each by its own number: told by its title."""
    held = [
        measured(value, outcome=Outcome.BEYOND, statement=f"The low level is {value} V.") for value in (-10.1, -10.3)
    ]
    joined = together(*(assessed(f"c{n}", [one]) for n, one in enumerate(held)))

    assert [one.text for one in joined.conclusion.may_say] == [
        "2 of 2 (both specimens): “pilot levels low” is not as it should be."
    ]


@pytest.mark.parametrize(
    ("second", "random", "why"),
    [
        (TWO, "", "nobody states"),
        ({"bought": "2026-05-02", "seller": "quayside  bargains"}, "by lot", "from one seller, Quayside Bargains"),
        ({"bought": "2026-05-02"}, "by lot", "the seller of specimen 2 is not on record"),
        ({**TWO, "batch": "24 07"}, "by lot", "of one batch, 24-07"),
    ],
)
def test_no_share_of_all_units_without_independent_purchases(second: dict[str, Any], random: str, why: str) -> None:
    """It has to be stated, and a seller or a batch in common speaks against it."""
    first: dict[str, Any] = {**ONE, "batch": "24-07"}
    joined = together(assessed("a", (LIVE,), **first), assessed("b", (LIVE,), **second), random=random)

    assert not joined.purchases.independent
    assert why in joined.purchases.why
    assert joined.conclusion.shares == ()
    assert all(one.missing.low is None and one.missing.high is None for one in joined.functions)
    assert any(text.startswith("Any share of units") and why in text for text in joined.conclusion.may_not_say)
    assert not re.search(r"\d+ %", json.dumps(to_json(joined.conclusion), ensure_ascii=False))


@pytest.mark.hand
def test_a_share_of_all_units_where_they_were_drawn_at_random() -> None:
    """2 of 2 leave from 0.025^(1/2) on, told rounded outwards: 15 %."""
    joined = together(assessed("a", (LIVE,), **ONE), assessed("b", (LIVE,), **TWO), random="by lot from six shops")
    switching = next(one for one in joined.functions if one.id == "supply-switching")

    assert joined.purchases.independent
    assert switching.missing.low == pytest.approx(math.sqrt(0.025))
    assert switching.missing.high == 1.0
    assert any("15 % to 100 %" in one.text for one in joined.conclusion.shares)


cases = st.lists(
    st.tuples(
        many_findings(),
        st.dictionaries(st.sampled_from(["shed", "quay", "rain"]), st.sampled_from(UseAnswer), max_size=3),
        st.dictionaries(st.sampled_from(["20 A", "IP44"]), st.sampled_from(ClaimState), max_size=2),
        st.sampled_from(["", "2026-01-08", "2026-05-02"]),
    ),
    min_size=3,
    max_size=4,
)


def made(held: list[tuple[list[Finding], dict[str, UseAnswer], dict[str, ClaimState], str]]) -> list[CaseAssessed]:
    """One specimen of each."""
    return [
        assessed(f"c{n}", findings, answers=answers, said=said, bought=bought)
        for n, (findings, answers, said, bought) in enumerate(held)
    ]


@settings(max_examples=25)
@given(cases)
def test_a_specimen_more_never_improves_an_answer(
    held: list[tuple[list[Finding], dict[str, UseAnswer], dict[str, ClaimState], str]],
) -> None:
    """Functions, findings, uses and claims become worse or stay; what concluded alone still does."""
    specimens = made(held)
    fewer, more = together(*specimens[:-1]), together(*specimens)

    states = {one.id: one.state for one in more.functions}
    assert all(STATES.index(states[one.id]) >= STATES.index(one.state) for one in fewer.functions)
    outcomes = {one.id: one.outcome for one in more.findings}
    assert all(OUTCOMES.index(outcomes[one.id]) >= OUTCOMES.index(one.outcome) for one in fewer.findings)
    answers = {one.name: one.answer for one in more.uses}
    assert all(ANSWERS.index(answers[one.name]) >= ANSWERS.index(one.answer) for one in fewer.uses)
    claims = {one.said: one.state for one in more.claims}
    assert all(CLAIMS.index(claims[one.said]) >= CLAIMS.index(one.state) for one in fewer.claims)
    assert set(fewer.conclusion.decisive) <= set(more.conclusion.decisive)
    differing = {one.id for one in more.findings if one.agreement is Agreement.DIFFERS}
    assert {one.id for one in fewer.findings if one.agreement is Agreement.DIFFERS} <= differing


@settings(max_examples=15)
@given(cases, st.randoms(use_true_random=False))
def test_the_order_of_the_cases_changes_nothing(
    held: list[tuple[list[Finding], dict[str, UseAnswer], dict[str, ClaimState], str]], random: Random
) -> None:
    """Not a number, not a word."""
    specimens = made(held)
    shuffled = list(specimens)
    random.shuffle(shuffled)

    assert together(*shuffled) == together(*specimens)


@settings(max_examples=15)
@given(st.lists(st.lists(one_finding(), max_size=8, unique_by=lambda one: one.id), min_size=2, max_size=6))
def test_whatever_was_found_it_is_told_in_our_words_and_read_back(held: list[list[Finding]]) -> None:
    """No word is said that may not be said, every sentence is tagged, the record comes back from its JSON."""
    joined = together(*(assessed(f"c{n}", findings) for n, findings in enumerate(held)))
    text = "\n".join(text_of(line) for block in build_together(joined).blocks for line in lines_of(block))

    assert FORBIDDEN.search(text) is None
    assert joined.conclusion.headline.text in text
    assert to_json(from_json(Together, to_json(joined), where="the record")) == to_json(joined)
    for one in (*joined.conclusion.may_say, *joined.conclusion.differs, *joined.conclusion.would_change):
        assert one.text in text


def test_hostile_names_stay_text() -> None:
    """Markup and controls in what people wrote are told as text."""
    hostile = "<script>alert(1)</script>\x1b[31m \u202e"
    joined = together(assessed("a", seller=hostile, bought="2026-01-08"), assessed("b", serial=hostile))
    page = render_html(build_together(joined))
    assert "<script>alert" not in page
    assert "\x1b" not in page
