"""Several specimens of one model concluded together: the worst decides, nothing is averaged, no count is stretched.

Every row stands in the order of the specimens, which is that in which they were bought. A specimen more can make an
answer worse and never better: what was not tested on it leaves open what was shown on another.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import combinations
from typing import TypeVar

from coldpin.conclusion.comparison import price_paid, purchases
from coldpin.conclusion.same_model import plain_mark, same_model, told_apart
from coldpin.conclusion.together_conclusion import joint_conclusion
from coldpin.conclusion.together_saying import (
    claim_sentence,
    function_sentence,
    model_name,
    use_sentence,
)
from coldpin.conclusion.together_values import in_order, unlike_conditions, values_together
from coldpin.errors import CaseError
from coldpin.quantity.proportion import share_interval
from coldpin.records.assessment import Assessment, Problem
from coldpin.records.claim import ClaimState, JudgedClaim
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.together import (
    Agreement,
    ClaimTogether,
    Count,
    FindingTogether,
    FunctionTogether,
    Purchases,
    SpecimenSeen,
    Together,
    UseGround,
    UseTogether,
)
from coldpin.records.use import UseAnswer, UseJudgement
from coldpin.standards.book import Book
from coldpin.standards.several_specimens import difference_limit, share_rule

LEAST = 2
"""Specimens that can be laid together at least."""

STATES = (FunctionState.SHOWN, FunctionState.NOT_SHOWN, FunctionState.FAULTY, FunctionState.SHOWN_ABSENT)
OUTCOMES = (Outcome.NOT_APPLICABLE, Outcome.WITHIN, Outcome.NOT_TESTED, Outcome.UNDECIDED, Outcome.BEYOND)
CLAIMS = (ClaimState.HOLDS, ClaimState.NOT_SHOWN, ClaimState.CONTRADICTED)
ANSWERS = tuple(UseAnswer)
"""Each from the best to the worst."""

_MISSING = (FunctionState.FAULTY, FunctionState.SHOWN_ABSENT)
_Word = TypeVar("_Word", bound=StrEnum)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseAssessed:
    """A case with its assessment; ``name`` tells it from the others laid together."""

    name: str
    assessment: Assessment


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What the tester states with a reason and nobody can read from the cases; empty where it is not stated.

    ``one_model`` is why pieces of other make, model or rating are of one model, ``apart`` how pieces with one serial
    number are told apart, ``random`` how the specimens were drawn at random and independently.
    """

    one_model: str = ""
    apart: str = ""
    random: str = ""


def conclude_specimens(
    cases: Iterable[CaseAssessed],
    book: Book,
    *,
    program_version: str,
    stated: Stated | None = None,
) -> Together:
    """Lay several specimens of one model together and conclude from all of them.

    Parameters
    ----------
    cases : iterable of CaseAssessed
        Two at least; their order changes nothing.
    book : Book
        The constants.
    program_version : str
        Of this program.
    stated : Stated, optional
        What the tester states.

    Returns
    -------
    Together
        The worst of every function, finding, use and claim with the specimens it rests on, and what differs.

    Raises
    ------
    CaseError
        Fewer than two cases, two of one piece, or cases of different models without a reason to join them.
    """
    word = stated or Stated()
    ordered = sorted(cases, key=_bought_first)
    if len(ordered) < LEAST:
        raise CaseError("one specimen alone is told by its own report: give two cases or more of one model")
    names = [case.name for case in ordered]
    held = [case.assessment for case in ordered]
    one_serial = told_apart(held, names, reason=word.apart.strip())
    model = same_model(held, names, reason=word.one_model.strip())
    if one_serial:
        model = replace(model, one_serial=one_serial, apart=word.apart.strip())
    seen = tuple(_seen(case, number) for number, case in enumerate(ordered, start=1))
    bought = judge_purchases(seen, word.random.strip())
    findings = _findings(held, bought.independent)
    functions = _functions(held, bought.independent)
    uses = _uses(held)
    claims = _claims(held)
    return Together(
        schema="coldpin.together/1",
        title=f"{model_name(model, seen)}: {len(seen)} specimens together",
        program_version=program_version,
        specimens=seen,
        model=model,
        purchases=bought,
        conclusion=joint_conclusion(held, seen, model, bought, functions, findings, uses),
        functions=functions,
        findings=findings,
        values=values_together(held, book),
        uses=uses,
        claims=claims,
        not_tested=_tested_on_none(held),
        limits=(difference_limit(book), share_rule(book)),
        problems=tuple(
            Problem(where=f"{case.name}: {one.where}", what=one.what)
            for case in ordered
            for one in case.assessment.problems
        ),
    )


def judge_purchases(seen: Sequence[SpecimenSeen], stated: str) -> Purchases:
    """Say whether the specimens were drawn at random and independently, as far as is stated and on record.

    Parameters
    ----------
    seen : sequence of SpecimenSeen
        The specimens with seller and batch.
    stated : str
        The tester's reason; empty where nobody states it.

    Returns
    -------
    Purchases
        Independent only where it is stated, every seller is known, and no two have a seller or a batch in common.
    """
    against = []
    for one, other in combinations(seen, 2):
        both = f"specimens {one.number} and {other.number}"
        if plain_mark(one.seller) and plain_mark(one.seller) == plain_mark(other.seller):
            against.append(f"{both} are from one seller, {one.seller}")
        if plain_mark(one.batch) and plain_mark(one.batch) == plain_mark(other.batch):
            against.append(f"{both} are of one batch, {one.batch}")
    against += [f"the seller of specimen {one.number} is not on record" for one in seen if not plain_mark(one.seller)]
    if not stated:
        against.insert(0, "nobody states that they were drawn at random and independently")
    return Purchases(stated=stated, independent=not against, why="; ".join(against))


def _bought_first(case: CaseAssessed) -> tuple[bool, str, str, str, str]:
    """Order specimens by the day they were bought, those without one last; nothing hangs on the order given."""
    bought, specimen = _bought(case.assessment)[0], case.assessment.case.specimen
    return (not bought, bought, specimen.serial, case.name, case.assessment.assessed_on)


def _bought(assessment: Assessment) -> tuple[str, str, str]:
    """Return the day, the seller and the batch of the purchase as it is on record; private entries tell nothing."""
    bought = purchases(assessment.entries)
    specimen = assessment.case.specimen
    seller = next((entry.conditions["seller"] for entry in bought if entry.conditions.get("seller")), specimen.seller)
    batch = next((entry.conditions["batch"] for entry in bought if entry.conditions.get("batch")), specimen.batch)
    return (min((entry.made for entry in bought), default="")[: len("2026-01-08")], seller.strip(), batch.strip())


def _seen(case: CaseAssessed, number: int) -> SpecimenSeen:
    assessment = case.assessment
    day, seller, batch = _bought(assessment)
    return SpecimenSeen(
        number=number,
        case=case.name,
        title=assessment.title,
        serial=assessment.case.specimen.serial.strip(),
        batch=batch,
        seller=seller,
        bought=day,
        price=price_paid(assessment.entries),
        assessed_on=assessment.assessed_on,
        headline=assessment.conclusion.headline,
        decisive=assessment.conclusion.decisive,
        level=None if assessment.risk is None else assessment.risk.level,
        unused=len(assessment.problems),
    )


def _counted(count: int, of: int, independent: bool) -> Count:
    if not independent or not of:
        return Count(count=count, of=of)
    low, high = share_interval(count, of=of)
    return Count(count=count, of=of, low=low, high=high)


def agreement(*, good: int, bad: int, left_open: int) -> Agreement:
    """Return how specimens stand beside each other by how many are good, bad and open in one respect.

    Parameters
    ----------
    good, bad, left_open : int
        How many. [1]

    Returns
    -------
    Agreement
        Differs where one is good and one bad, whatever is open beside.

    Examples
    --------
    >>> agreement(good=1, bad=1, left_open=1).value, agreement(good=0, bad=2, left_open=1).value
    ('differs', 'bad in some, open in others')
    """
    if good and bad:
        return Agreement.DIFFERS
    if good:
        return Agreement.GOOD_IN_SOME if left_open else Agreement.GOOD_IN_ALL
    if bad:
        return Agreement.BAD_IN_SOME if left_open else Agreement.BAD_IN_ALL
    return Agreement.OPEN if left_open else Agreement.NOT_APPLICABLE


def _worst(words: Sequence[_Word | None], order: Sequence[_Word]) -> tuple[_Word, tuple[int, ...]]:
    """Return the worst of several words, and the numbers of the specimens that bear it."""
    worst = max((word for word in words if word is not None), key=order.index)
    return worst, tuple(number for number, word in enumerate(words, start=1) if word is worst)


def _functions(held: Sequence[Assessment], independent: bool) -> tuple[FunctionTogether, ...]:
    by_id = [{function.id: function for function in one.functions} for one in held]
    rows = []
    for name in in_order(by_id):
        each = tuple(functions.get(name) for functions in by_id)
        states = tuple(None if one is None else one.state for one in each)
        state, rests_on = _worst(states, STATES)
        missing = sum(one in _MISSING for one in states)
        shown = states.count(FunctionState.SHOWN)
        agreed = agreement(good=shown, bad=missing, left_open=states.count(FunctionState.NOT_SHOWN))
        told = [one for one in each if one is not None]
        rows.append(
            FunctionTogether(
                id=name,
                title=told[0].title,
                duty=any(one.duty for one in told),
                states=states,
                state=state,
                agreement=agreed,
                rests_on=rests_on,
                missing=_counted(missing, missing + shown, independent),
                reach=_reach(told, state, shown),
                sentence=function_sentence(told[0].title, states, agreed, told, len(held)),
            )
        )
    return tuple(rows)


def _reach(told: Sequence[ProtectiveFunction], state: FunctionState, shown: int) -> Reach | None:
    """Return how far a joint state reaches: one that has it takes "any unit built like this" from the rest."""
    if state is FunctionState.NOT_SHOWN:
        return None
    bearing = [one for one in told if one.state is not FunctionState.NOT_SHOWN]
    built = all(one.reach is Reach.CONSTRUCTION for one in bearing)
    return Reach.CONSTRUCTION if built and not (state in _MISSING and shown) else Reach.SPECIMEN


def _findings(held: Sequence[Assessment], independent: bool) -> tuple[FindingTogether, ...]:
    by_id = [{finding.id: finding for finding in one.findings} for one in held]
    rows = []
    for name in in_order(by_id):
        each = tuple(findings.get(name) for findings in by_id)
        outcomes = tuple(Outcome.NOT_TESTED if one is None else one.outcome for one in each)
        answers = tuple("" if one is None else one.answer for one in each)
        outcome, rests_on = _worst(outcomes, OUTCOMES)
        within, beyond = outcomes.count(Outcome.WITHIN), outcomes.count(Outcome.BEYOND)
        left_open = outcomes.count(Outcome.NOT_TESTED) + outcomes.count(Outcome.UNDECIDED)
        agreed = agreement(good=within, bad=beyond, left_open=left_open)
        if within + beyond > 1 and {"yes", "no"} <= set(answers):
            agreed = Agreement.DIFFERS  # also of what only tells and is no merit: they do not behave alike
        told = [one for one in each if one is not None]
        bearing = [one for one in told if one.outcome is outcome] or told
        first = bearing[0]
        rows.append(
            FindingTogether(
                id=name,
                check=first.check,
                title=first.title,
                plain=_alike(bearing),
                outcomes=outcomes,
                answers=answers,
                outcome=outcome,
                agreement=agreed,
                rests_on=rests_on,
                beyond=_counted(beyond, within + beyond, independent),
                functions=first.functions,
                duty=any(one.duty for one in told),
                measured=any(one.quantity is not None for one in told),
                decisive=any(one.decisive and one.outcome is Outcome.BEYOND for one in told),
                remarks=unlike_conditions(each),
            )
        )
    return tuple(rows)


def _alike(bearing: Sequence[Finding]) -> str:
    """Return the one sentence by which findings are told; a number of one specimen is never said of another."""
    if len(bearing) == 1:
        return bearing[0].plain or bearing[0].statement
    for texts in ({one.plain for one in bearing}, {one.statement for one in bearing if one.quantity is None}):
        if len(texts) == 1 and (text := next(iter(texts))):
            return text
    return ""


def _uses(held: Sequence[Assessment]) -> tuple[UseTogether, ...]:
    by_key = [{_use_key(use): use for use in one.conditions_of_use} for one in held]
    rows = []
    for key in in_order(by_key):
        each = tuple(uses.get(key) for uses in by_key)
        told = [use for use in each if use is not None]
        answers = tuple(None if use is None else use.answer for use in each)
        asked = tuple(UseAnswer.CANNOT_JUDGE if answer is None else answer for answer in answers)
        answer, rests_on = _worst(asked, ANSWERS)
        grounds = tuple(_ground(number, each[number - 1]) for number in rests_on)
        least = min(
            (use for use in told if use.largest_current_a is not None),
            key=lambda use: use.largest_current_a or 0.0,
            default=None,
        )
        known = least is not None and all(use is not None and use.largest_current_a is not None for use in each)
        measures = in_order(use.measures for use in told) if answer is UseAnswer.WITH_MEASURES else ()
        rows.append(
            UseTogether(
                id=told[0].id,
                name=told[0].name,
                answers=answers,
                answer=answer,
                rests_on=rests_on,
                grounds=grounds,
                largest_current_a=least.largest_current_a if least is not None and known else None,
                limited_by=least.limited_by if least is not None and known else "",
                measures=measures,
                sentence=use_sentence(told[0].name, answer, answers, rests_on, grounds),
                remarks=_unlike_uses(told),
            )
        )
    return tuple(rows)


def _use_key(use: UseJudgement) -> str:
    return f"table {use.id}" if use.id else f"own {plain_mark(use.name)}"


def _ground(number: int, use: UseJudgement | None) -> UseGround:
    if use is None:
        return UseGround(
            specimen=number,
            because="This condition was not asked of it: write it into its case too.",
            findings=(),
        )
    weighing = [reason for reason in use.reasons if reason.answer is use.answer] or list(use.reasons)
    return UseGround(
        specimen=number,
        because=use.because or use.answer.value,
        findings=in_order(reason.findings for reason in weighing),
    )


def _unlike_uses(told: Sequence[UseJudgement]) -> tuple[str, ...]:
    asked = {use.use for use in told}
    return ("the condition of this name is not written alike in every case",) if len(asked) > 1 else ()


def _claims(held: Sequence[Assessment]) -> tuple[ClaimTogether, ...]:
    by_key = [{(claim.title, plain_mark(claim.said) or claim.said): claim for claim in one.claims} for one in held]
    rows = []
    for key in dict.fromkeys(key for claims in by_key for key in claims):
        each = tuple(claims.get(key) for claims in by_key)
        told = [claim for claim in each if claim is not None]
        states = tuple(None if claim is None else claim.state for claim in each)
        state, rests_on = _worst(states, CLAIMS)
        because = _of_worst(each, rests_on)
        rows.append(
            ClaimTogether(
                title=told[0].title,
                said=told[0].said,
                states=states,
                state=state,
                rests_on=rests_on,
                sentence=claim_sentence(told[0].title, told[0].said, states, state, rests_on, because),
            )
        )
    return tuple(sorted(rows, key=lambda row: -CLAIMS.index(row.state)))


def _of_worst(each: Sequence[JudgedClaim | None], rests_on: Sequence[int]) -> JudgedClaim:
    bearing = [each[number - 1] for number in rests_on]
    return next(claim for claim in bearing if claim is not None)


def _tested_on_none(held: Sequence[Assessment]) -> tuple[str, ...]:
    """Return the titles of the checks that were done on no specimen, in the order of the first."""
    done = {finding.check for one in held for finding in one.findings}
    return in_order([check.title for check in one.not_tested if check.check not in done] for one in held)
