"""The conclusion from several specimens of one model: its sentence, what may be said, what would change it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from coldpin.conclusion.public import AT_ONCE
from coldpin.conclusion.statement import beside_functions
from coldpin.conclusion.together_saying import bearing, model_name, named, specimens
from coldpin.conclusion.together_values import in_order
from coldpin.records.assessment import Assessment, Basis, Sentence
from coldpin.records.finding import Outcome
from coldpin.records.function import FunctionState
from coldpin.records.together import (
    Agreement,
    Count,
    FindingTogether,
    FunctionTogether,
    JointConclusion,
    Purchases,
    SameModel,
    SpecimenSeen,
    UseTogether,
)
from coldpin.records.use import UseAnswer
from coldpin.standards.risk import LEVELS


def joint_conclusion(
    held: Sequence[Assessment],
    seen: Sequence[SpecimenSeen],
    model: SameModel,
    purchases: Purchases,
    functions: Sequence[FunctionTogether],
    findings: Sequence[FindingTogether],
    uses: Sequence[UseTogether],
) -> JointConclusion:
    """Conclude from all specimens: the sentence for the public, what may be said and not, what would change it.

    Parameters
    ----------
    held : sequence of Assessment
        The assessments, in the order of the specimens.
    seen : sequence of SpecimenSeen
        The specimens.
    model : SameModel
        What they have in common and what not.
    purchases : Purchases
        Whether a count says anything of other units.
    functions : sequence of FunctionTogether
        The functions.
    findings : sequence of FindingTogether
        The findings.
    uses : sequence of UseTogether
        The uses.

    Returns
    -------
    JointConclusion
        The conclusion.
    """
    levels = [one.level for one in seen]
    known = [level for level in levels if level is not None]
    level = max(known, key=LEVELS.index) if known else None
    return JointConclusion(
        headline=_headline(held, seen, model, functions, findings, uses),
        differs=_differing(functions, findings),
        may_say=_beyond(findings, len(seen)),
        shares=_shares(functions, findings),
        may_not_say=_may_not_say(seen, model, purchases),
        would_change=_would_change(seen, model, functions, findings),
        decisive=tuple(one.id for one in findings if one.decisive),
        level=level,
        level_rests_on=() if level is None else bearing(levels, (level,)),
    )


def _of(count: Count, total: int) -> str:
    """Say how many of those tested showed something."""
    return f"{count.count} of {count.of}" + ("" if count.of == total else " tested for it")


def _headline(
    held: Sequence[Assessment],
    seen: Sequence[SpecimenSeen],
    model: SameModel,
    functions: Sequence[FunctionTogether],
    findings: Sequence[FindingTogether],
    uses: Sequence[UseTogether],
) -> Sentence:
    first = in_order(one.conclusion.decisive for one in held)
    against = {finding.id for one in held for finding in one.findings if beside_functions(finding)}
    beside = [one for one in findings if one.id in against]
    verdict, reasons, rests = _verdict(functions, findings, uses, first, beside, len(seen))
    unused = sum(one.unused for one in seen)
    left_out = (
        f" What was given and could not be used ({unused}) had no part in this: see what could not be used."
        if unused
        else ""
    )
    told = f" {reasons}" if reasons else ""
    tested = any(finding.outcome is Outcome.WITHIN for one in held for finding in one.findings)
    basis = Basis.INFERRED if tested or rests else Basis.OBSERVED
    text = f"{model_name(model, seen)}: {verdict}.{told} {seen_told(seen)}{left_out}"
    return Sentence(text=text, basis=basis, findings=rests)


def _verdict(
    functions: Sequence[FunctionTogether],
    findings: Sequence[FindingTogether],
    uses: Sequence[UseTogether],
    first: Sequence[str],
    beside: Sequence[FindingTogether],
    total: int,
) -> tuple[str, str, tuple[str, ...]]:
    """Return the answer for the public, its reasons, and the findings behind it: the worst specimen decides.

    Of what concludes alone is told first what stands first in ``first``. ``beside`` are the findings that speak against
    a specimen though no function hangs on them.
    """
    decisive = sorted((one for one in findings if one.decisive), key=lambda one: first.index(one.id))
    if decisive:
        reasons = " ".join(
            f"{text.removesuffix('.')} ({', '.join(dict.fromkeys(counts))})."
            for text, counts in _by_text((_plain(one), _of(one.beyond, total)) for one in decisive)
        )
        rests = tuple(one.id for one in decisive)
        if not AT_ONCE & set(rests):
            return "cannot be recommended until its findings are answered", reasons, rests
        everywhere = uses and all(use.answer is UseAnswer.ADVISED_AGAINST for use in uses)
        return f"advised against{' everywhere' if everywhere else ''}", reasons, rests
    wanting = [one for one in functions if one.duty and one.missing.count]
    if wanting or beside:
        listed = [f"{one.title}: missing in {_of(one.missing, total)}" for one in wanting]
        listed += [f"{one.title}: beyond in {_of(one.beyond, total)}" for one in beside]
        grounds = [*(name for one in wanting for name in one.sentence.findings), *(one.id for one in beside)]
        return (
            "not recommended until these findings are answered",
            f"{'; '.join(listed)}.",
            tuple(dict.fromkeys(grounds)),
        )
    good = tuple(one.id for one in findings if one.outcome is Outcome.WITHIN)
    if not any(Outcome.WITHIN in one.outcomes for one in findings):
        tried = tuple(one.id for one in findings if Outcome.UNDECIDED in one.outcomes)
        so_far = "what was tried decides nothing yet" if tried else "nothing was tested yet"
        return f"{so_far}, so nothing can be said", "", tried
    fine = [f"“{use.name}”" for use in uses if use.answer is UseAnswer.NO_OBJECTION]
    where = f" for {'; '.join(fine)}" if fine else ""
    open_ones = [one.title for one in functions if one.state is FunctionState.NOT_SHOWN]
    reasons = f"Not shown in every specimen: {'; '.join(open_ones)}." if open_ones else ""
    return f"no objection found in the tests done so far{where}", reasons, good


def _by_text(pairs: Iterable[tuple[str, str]]) -> list[tuple[str, list[str]]]:
    found: dict[str, list[str]] = {}
    for text, count in pairs:
        found.setdefault(text, []).append(count)
    return list(found.items())


def seen_told(seen: Sequence[SpecimenSeen]) -> str:
    """Say how many specimens were seen, when and where they were bought, and when they were tested.

    Parameters
    ----------
    seen : sequence of SpecimenSeen
        The specimens.

    Returns
    -------
    str
        One sentence.
    """
    bought = "; ".join(f"specimen {one.number} {_bought(one)}" for one in seen)
    days = sorted(one.assessed_on for one in seen if one.assessed_on)
    tested = f", tested until {days[-1]}" if days else ""
    return f"{len(seen)} specimens were seen{tested}: {bought}."


def _bought(one: SpecimenSeen) -> str:
    day = f"bought {one.bought}" if one.bought else "day of purchase not on record"
    seller = f"from {one.seller}" if one.seller else "seller not on record"
    return f"{day} {seller}" if one.bought else f"{day}, {seller}"


def _differing(functions: Sequence[FunctionTogether], findings: Sequence[FindingTogether]) -> tuple[Sentence, ...]:
    told = [one.sentence for one in functions if one.agreement is Agreement.DIFFERS]
    for one in findings:
        if one.agreement is Agreement.DIFFERS:
            if one.beyond.count:
                beyond, within = (bearing(one.outcomes, (word,)) for word in (Outcome.BEYOND, Outcome.WITHIN))
                text = f"“{one.title}”: beyond in {specimens(beyond)}, within in {specimens(within)}."
            else:
                yes, no = (bearing(one.answers, (word,)) for word in ("yes", "no"))
                text = f"“{one.title}”: yes on {specimens(yes)}, no on {specimens(no)}."
            remarks = f" But {'; '.join(one.remarks)}." if one.remarks else ""
            told.append(Sentence(text=f"The specimens differ. {text}{remarks}", basis=_basis(one), findings=(one.id,)))
    return tuple(told)


def _basis(one: FindingTogether) -> Basis:
    return Basis.MEASURED if one.measured else Basis.OBSERVED


def _plain(one: FindingTogether) -> str:
    """Return a finding that is beyond in one sentence; by its title where each specimen is told by its own number."""
    return one.plain or f"“{one.title}” is not as it should be."


def _beyond(findings: Sequence[FindingTogether], total: int) -> tuple[Sentence, ...]:
    return tuple(
        Sentence(
            text=f"{_of(one.beyond, total)} ({named(one.rests_on, total)}): {_plain(one)}",
            basis=_basis(one),
            findings=(one.id,),
        )
        for one in findings
        if one.outcome is Outcome.BEYOND
    )


def _shares(functions: Sequence[FunctionTogether], findings: Sequence[FindingTogether]) -> tuple[Sentence, ...]:
    """Tell what the counts say of all units, for functions and for what concludes alone; none without independence."""
    told = [(f"'{one.title}' missing or faulty", one.missing, one.sentence.findings) for one in functions]
    told += [(f"“{one.title}” beyond", one.beyond, (one.id,)) for one in findings if one.decisive]
    return tuple(
        Sentence(
            text=f"{count.count} of {count.of} units tested: "
            f"{'; '.join(what for what, one, _ in told if one == count)}. "
            f"Of all units from which these were drawn, at random as stated, {share_told(count)} for each of these, "
            "with 95 % confidence.",
            basis=Basis.INFERRED,
            findings=in_order(rests for _, one, rests in told if one == count),
        )
        for count in dict.fromkeys(count for _, count, _ in told)
        if count.low is not None
    )


def share_told(count: Count) -> str:
    """Say between which shares of all units a count lies.

    Parameters
    ----------
    count : Count
        With its bounds.

    Returns
    -------
    str
        Rounded outwards to whole per cent, so that what is told still holds.

    Examples
    --------
    >>> share_told(Count(count=0, of=2, low=0.0, high=0.8419)), share_told(Count(count=1, of=2))
    ('0 % to 85 %', 'a share that is not known')
    """
    if count.low is None or count.high is None:
        return "a share that is not known"
    return f"{int(100.0 * count.low)} % to {-int(-100.0 * count.high // 1)} %"


def _may_not_say(seen: Sequence[SpecimenSeen], model: SameModel, purchases: Purchases) -> tuple[str, ...]:
    said = [
        (
            f"That every unit sold as {model_name(model, seen)} is like these: {len(seen)} were seen. Only what holds "
            "by construction may be said of any unit built like them."
        ),
        "A mean over the specimens: a person holds one of them.",
        "That the model meets or breaks a standard or a law: nobody here can decide that.",
    ]
    if not purchases.independent:
        said.append(f"Any share of units, or a chance that a unit has a fault: {purchases.why}.")
    if model.overridden:
        unlike = ", ".join(one.what for one in model.overridden)
        said.append(
            f"That they are one model as a matter of fact: {unlike} differ, and they are joined on the tester's word."
        )
    return tuple(said)


def _would_change(
    seen: Sequence[SpecimenSeen],
    model: SameModel,
    functions: Sequence[FunctionTogether],
    findings: Sequence[FindingTogether],
) -> tuple[Sentence, ...]:
    told = []
    decisive = [(bearing(one.outcomes, (Outcome.BEYOND,)), one) for one in findings if one.decisive]
    for numbers in dict.fromkeys(numbers for numbers, _ in decisive):
        rows = [one for borne, one in decisive if borne == numbers]
        titles = ", ".join(f"“{one.title}”" for one in rows)
        told.append(
            Sentence(
                text=f"{titles} on {named(numbers, len(seen))}: a good specimen more does not take this back; a change "
                "of construction would, tested anew, if units with it can be told from outside.",
                basis=Basis.INFERRED,
                findings=tuple(one.id for one in rows),
            )
        )
    differing = [one for one in functions if one.agreement is Agreement.DIFFERS]
    if differing:
        marks = [one.what for one in model.unlike]
        by_what = (
            f"What is unlike on them may tell the kinds apart, or not: {', '.join(marks)}."
            if marks
            else "No mark on record tells them apart."
        )
        titles = "; ".join(f"'{one.title}'" for one in differing)
        told.append(
            Sentence(
                text=f"Units differ in {titles}: which have it and which do not is known when the maker says so, and a "
                f"specimen of each kind bears it out. {by_what}",
                basis=Basis.INFERRED,
                findings=tuple(dict.fromkeys(name for one in differing for name in one.sentence.findings)),
            )
        )
    for specimen in seen:
        wanted = [
            one
            for one in functions
            if one.duty
            and one.states[specimen.number - 1] is FunctionState.NOT_SHOWN
            and one.agreement in (Agreement.GOOD_IN_SOME, Agreement.BAD_IN_SOME, Agreement.DIFFERS)
        ]
        if wanted:
            titles = "; ".join(f"'{one.title}'" for one in wanted)
            told.append(
                Sentence(
                    text=f"Specimen {specimen.number} was not shown either way where another was: {titles}. A result "
                    "against it would speak against the model; one for it would leave what the others showed.",
                    basis=Basis.INFERRED,
                )
            )
    told.append(
        Sentence(
            text="A specimen more, from another seller and of another batch, can make each answer worse and none "
            "better; it would show how far the model is one thing.",
            basis=Basis.INFERRED,
        )
    )
    return tuple(told)
