"""What is said of several specimens of one model: each sentence with how many were seen and what it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from coldpin.records.assessment import Basis, Sentence
from coldpin.records.claim import ClaimState, JudgedClaim
from coldpin.records.finding import Reach
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.together import (
    Agreement,
    SameModel,
    SpecimenSeen,
    UseGround,
)
from coldpin.records.use import UseAnswer

STATE_WORDS = {
    FunctionState.SHOWN: "shown",
    FunctionState.FAULTY: "faulty",
    FunctionState.SHOWN_ABSENT: "shown absent",
    FunctionState.NOT_SHOWN: "not shown either way",
}


def model_name(model: SameModel, seen: Sequence[SpecimenSeen]) -> str:
    """Return make and model, or what the specimens are called where these differ.

    Parameters
    ----------
    model : SameModel
        What they have in common.
    seen : sequence of SpecimenSeen
        The specimens.

    Returns
    -------
    str
        One name.
    """
    marked = dict(model.marked)
    if {"make", "model"} <= set(marked):
        return f"{marked['make']} {marked['model']}"
    return " / ".join(dict.fromkeys(one.title for one in seen))


def specimens(numbers: Sequence[int]) -> str:
    """Return the name of one specimen or of several.

    Parameters
    ----------
    numbers : sequence of int
        Their numbers, one at least.

    Returns
    -------
    str
        The name.

    Examples
    --------
    >>> specimens((2,)), specimens((1, 3)), specimens((1, 2, 4))
    ('specimen 2', 'specimens 1 and 3', 'specimens 1, 2 and 4')
    """
    if len(numbers) == 1:
        return f"specimen {numbers[0]}"
    return f"specimens {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"


def every(count: int) -> str:
    """Return the name of all specimens.

    Parameters
    ----------
    count : int
        How many there are, two at least. [1]

    Returns
    -------
    str
        The name.

    Examples
    --------
    >>> every(2), every(3)
    ('both specimens', 'all 3 specimens')
    """
    return "both specimens" if count == len(("one", "other")) else f"all {count} specimens"


def named(numbers: Sequence[int], of: int) -> str:
    """Return the name of some specimens, or of all.

    Parameters
    ----------
    numbers : sequence of int
        Their numbers, one at least.
    of : int
        How many there are. [1]

    Returns
    -------
    str
        The name.

    Examples
    --------
    >>> named((1, 2), 2), named((2,), 2)
    ('both specimens', 'specimen 2')
    """
    return every(of) if len(numbers) == of else specimens(numbers)


def bearing(words: Sequence[object | None], wanted: Iterable[object]) -> tuple[int, ...]:
    """Return the numbers of the specimens of which one of some words is said.

    Parameters
    ----------
    words : sequence of object or None
        One of each specimen.
    wanted : iterable of object
        The words sought.

    Returns
    -------
    tuple of int
        Numbers from 1.

    Examples
    --------
    >>> bearing(("yes", "no", "yes"), ("yes",))
    (1, 3)
    """
    sought = tuple(wanted)
    return tuple(number for number, word in enumerate(words, start=1) if word is not None and word in sought)


def function_sentence(
    title: str,
    states: Sequence[FunctionState | None],
    agreed: Agreement,
    told: Sequence[ProtectiveFunction],
    of: int,
) -> Sentence:
    """Say how a function stands over all specimens.

    Parameters
    ----------
    title : str
        Its title.
    states : sequence of FunctionState or None
        In the order of the specimens.
    agreed : Agreement
        How they stand beside each other.
    told : sequence of ProtectiveFunction
        The function of each specimen to which it applies.
    of : int
        How many specimens there are. [1]

    Returns
    -------
    Sentence
        With the findings behind it.
    """
    parts = [
        f"{STATE_WORDS[state]} in {specimens(numbers)}"
        for state in STATE_WORDS
        if (numbers := bearing(states, (state,)))
    ]
    if without := tuple(number for number, state in enumerate(states, start=1) if state is None):
        parts.append(f"does not apply to {specimens(without)}")
    whole = len(parts) == 1
    said = f"{STATE_WORDS[told[0].state]} in {every(of)}" if whole else "; ".join(parts)
    tail = " Units sold under one name are not alike in this." if agreed is Agreement.DIFFERS else ""
    findings = tuple(dict.fromkeys(name for one in told for name in one.findings))
    return Sentence(text=f"'{title}': {said}.{tail}", basis=Basis.INFERRED, findings=findings)


def use_sentence(
    name: str,
    answer: UseAnswer,
    answers: Sequence[UseAnswer | None],
    rests_on: Sequence[int],
    grounds: Sequence[UseGround],
) -> Sentence:
    """Say the worst answer to a use, and on which specimens it rests.

    Parameters
    ----------
    name : str
        The use.
    answer : UseAnswer
        The worst.
    answers : sequence of UseAnswer or None
        In the order of the specimens.
    rests_on : sequence of int
        The specimens that bear it. [1]
    grounds : sequence of UseGround
        Why each of them bears it.

    Returns
    -------
    Sentence
        With the findings behind it.
    """
    findings = tuple(dict.fromkeys(found for ground in grounds for found in ground.findings))
    if len(rests_on) == len(answers):
        return Sentence(
            text=f"{name}: {answer.value}, by {every(len(answers))}.",
            basis=Basis.INFERRED,
            findings=findings,
        )
    told = [
        f"{specimens(numbers)} alone: {other.value}"
        for other in UseAnswer
        if other is not answer and (numbers := bearing(answers, (other,)))
    ]
    if unasked := tuple(
        number for number, one in enumerate(answers, start=1) if one is None and number not in rests_on
    ):
        told.append(f"{specimens(unasked)}: not asked of it")
    others = "; ".join(told)
    return Sentence(
        text=f"{name}: {answer.value}; it rests on {specimens(rests_on)} ({others}).",
        basis=Basis.INFERRED,
        findings=findings,
    )


def claim_sentence(
    title: str,
    said: str,
    states: Sequence[ClaimState | None],
    state: ClaimState,
    rests_on: Sequence[int],
    because: JudgedClaim,
) -> Sentence:
    """Say how a claim stands over the specimens of which it was made.

    Parameters
    ----------
    title : str
        What it is about.
    said : str
        Its words.
    states : sequence of ClaimState or None
        In the order of the specimens.
    state : ClaimState
        The worst.
    rests_on : sequence of int
        The specimens that bear it. [1]
    because : JudgedClaim
        The claim as judged on one of these.

    Returns
    -------
    Sentence
        With the findings behind it.
    """
    made = tuple(number for number, one in enumerate(states, start=1) if one is not None)
    where = named(rests_on, len(states))
    of_some = "" if len(made) == len(states) else f" The claim is on record for {specimens(made)} only."
    verb = {
        ClaimState.HOLDS: "holds on",
        ClaimState.CONTRADICTED: "is contradicted by",
        ClaimState.NOT_SHOWN: "is not shown either way on",
    }[state]
    return Sentence(
        text=f"{title}, “{said}”, {verb} {where}.{of_some} Of specimen {rests_on[0]}: {because.because}",
        basis=Basis.INFERRED,
        findings=because.findings,
    )


def reach_told(reach: Reach | None, agreed: Agreement) -> str:
    """Say how far a joint state of a function reaches.

    Parameters
    ----------
    reach : Reach or None
        Its reach.
    agreed : Agreement
        How the specimens stand beside each other.

    Returns
    -------
    str
        A phrase; empty where nothing was shown.
    """
    if reach is None:
        return ""
    if reach is Reach.CONSTRUCTION:
        return "any unit built like these"
    return "not every unit is built alike" if agreed is Agreement.DIFFERS else "these specimens"
