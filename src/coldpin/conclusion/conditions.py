"""Conditions of use judged: what speaks against a use, what a user can do about it, and which current it bears.

A finding that concludes alone speaks against every use. A function that is faulty or absent speaks against a use
unless the circumstances, or a measure on the side of the supply, take its place. A finding on which no function hangs
speaks against the uses that it bears on. A function on which an injury hangs there and that was not tested leaves the
use open. Nothing here is a probability that a function works.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from coldpin.conclusion.use_beside import beside
from coldpin.conclusion.use_grounds import SETTING, Taken, UseGrounds, taking
from coldpin.conclusion.use_risks import LOST, UseRisk
from coldpin.conclusion.use_telling import UNADVISED, amperes, because, codes_told, measure_told, plainly, would_have
from coldpin.records.case import Build
from coldpin.records.finding import Outcome
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.scenario import RiskLevel, Weather
from coldpin.records.use import (
    Coiled,
    CurrentBound,
    CurrentKind,
    Use,
    UseAnswer,
    UseJudgement,
    UseReason,
    UseRule,
)
from coldpin.standards.risk import LEVELS
from coldpin.standards.uses import NationalRule, UseMeasure, national_rules

ANSWERS = tuple(UseAnswer)
"""The answers, mildest first."""


def judge_use(use: Use, bounds: Iterable[CurrentBound], grounds: UseGrounds) -> UseJudgement:
    """Judge one condition of use.

    Parameters
    ----------
    use : Use
        The condition, as understood.
    bounds : iterable of CurrentBound
        What limits the current there.
    grounds : UseGrounds
        What every use of the specimen is judged by.

    Returns
    -------
    UseJudgement
        Answer, reasons, largest current with what limits it, measures, and what a fit unit would have. Where the answer
        is no leave to use it, no largest current.

    Raises
    ------
    InputError
        An own constant leaves out a number that is needed.
    """
    limits = tuple(bounds)
    bare = taking(use, ())
    first = _reasons(use, limits, grounds, bare)
    answer, reasons = _answer(first), first
    measures: tuple[UseMeasure, ...] = ()
    if answer is not UseAnswer.NO_OBJECTION and use.measures:
        answer, reasons, measures = _with_measures(use, limits, grounds, first)
    taken = taking(use, measures)
    bound, weakest = _bound(limits, taken.coiled)
    gravest = next(iter(grounds.risks.under(taken.circumstances)), None)
    rules = national_rules(grounds.risks.book, use.country)
    told = tuple(measure_told(measure, _set_to(limits, grounds, taken), grounds) for measure in measures)
    judged = UseJudgement(
        name=use.name,
        id=use.id,
        answer=answer,
        because="",
        use=use,
        largest_current_a=None if answer in UNADVISED else bound,
        bound_a=bound,
        limited_by="" if weakest is None else weakest.name,
        set_to_a=_set_to(limits, grounds, taken) if taken.lowered else None,
        bounds=limits,
        reasons=reasons,
        measures=told,
        would_have=would_have(use, grounds, bare, first),
        rules=tuple(UseRule(says=rule.says, limit=rule.limit) for rule in rules if _concerns(rule, grounds)),
        local_codes=codes_told(use, rules),
        scenario="" if gravest is None else gravest.plan.title,
        level=None if gravest is None else gravest.worst,
        untested=tuple(
            dict.fromkeys(
                name
                for one in (first if answer is UseAnswer.WITH_MEASURES else reasons)
                if one.answer is UseAnswer.CANNOT_JUDGE
                for name in one.functions
            )
        ),
    )
    return replace(judged, because=because(judged), plain=plainly(judged, grounds))


INGRESS = "ingress-protection"
GRAVE = LEVELS[LEVELS.index(RiskLevel.HIGH) :]
"""Levels at which a scenario speaks against a use where the specimen is what makes it so."""


def _answer(reasons: Iterable[UseReason]) -> UseAnswer:
    return max((reason.answer for reason in reasons), key=ANSWERS.index, default=UseAnswer.NO_OBJECTION)


def _with_measures(
    use: Use, limits: tuple[CurrentBound, ...], grounds: UseGrounds, first: tuple[UseReason, ...]
) -> tuple[UseAnswer, tuple[UseReason, ...], tuple[UseMeasure, ...]]:
    """Return the mildest answer that measures reach, with the fewest of them that do."""

    def reasons(measures: tuple[UseMeasure, ...]) -> tuple[UseReason, ...]:
        return _reasons(use, limits, grounds, taking(use, measures))

    kept = tuple(one for one in grounds.measures if all(map(grounds.shown, one.given)))
    best = reasons(kept)
    for measure in reversed(kept):
        fewer = tuple(one for one in kept if one is not measure)
        if len(reasons(fewer)) == len(best):
            kept = fewer
    left = _answer(best)
    if left is UseAnswer.ADVISED_AGAINST:
        return left, first, ()
    return (left if left is not UseAnswer.NO_OBJECTION else UseAnswer.WITH_MEASURES), best, kept


def _reasons(use: Use, limits: tuple[CurrentBound, ...], grounds: UseGrounds, taken: Taken) -> tuple[UseReason, ...]:
    """Return everything that speaks against a use or leaves it open, the weightiest first."""
    found = (
        *_decisive(grounds),
        *_plug(use, grounds),
        *_current(limits, grounds, taken),
        *_rain(grounds, taken),
        *_functions(use, grounds, taken),
        *beside(grounds, taken),
        *_scenarios(grounds, taken),
        *_rules(use, grounds, taken),
    )
    named: set[str] = set()
    kept: dict[str, UseReason] = {}
    for reason in sorted(found, key=lambda one: -ANSWERS.index(one.answer)):
        if reason.text in kept:
            together = (*kept[reason.text].findings, *reason.findings)
            kept[reason.text] = replace(kept[reason.text], findings=tuple(dict.fromkeys(together)))
        elif not reason.functions or set(reason.functions) - named:
            kept[reason.text] = reason
            named |= set(reason.functions)
    return tuple(kept.values())


def _decisive(grounds: UseGrounds) -> Iterable[UseReason]:
    for finding in grounds.findings:
        if finding.decisive and finding.outcome is Outcome.BEYOND and finding.transfers:
            yield UseReason(
                text=finding.plain or finding.statement,
                answer=UseAnswer.ADVISED_AGAINST,
                findings=(finding.id,),
            )


def _plug(use: Use, grounds: UseGrounds) -> Iterable[UseReason]:
    if not use.sockets or grounds.case.unit.build is Build.FIXED:
        return
    if not grounds.plug:
        yield UseReason(text="Which plug it has is not recorded.", answer=UseAnswer.CANNOT_JUDGE)
    elif grounds.plug not in use.sockets:
        yield UseReason(
            text=f"Its plug ({grounds.plug_title}) fits no socket there. Behind an adaptor nothing lowers the current "
            "to what that socket bears, and one more contact gets warm.",
            answer=UseAnswer.ADVISED_AGAINST,
        )


def _capacity(
    limits: tuple[CurrentBound, ...], grounds: UseGrounds, coiled: Coiled
) -> tuple[float, CurrentBound] | None:
    """Return the least current that a part of the way bears, and the part."""
    asking = _asking(limits, grounds)
    bearing = [
        (_bears(bound, coiled), bound)
        for bound in limits
        if bound is not asking and bound.kind is not CurrentKind.OFFER
    ]
    return min(bearing, key=lambda pair: pair[0], default=None)


def _bears(bound: CurrentBound, coiled: Coiled) -> float:
    return bound.if_laid_out if coiled is Coiled.NO and bound.if_laid_out is not None else bound.current_a


def _asking(limits: tuple[CurrentBound, ...], grounds: UseGrounds) -> CurrentBound | None:
    """Return what is asked of the way: the offer, or the rating of a lead that offers nothing."""
    kind = CurrentKind.PLATE if grounds.case.unit.charging_mode == 1 else CurrentKind.OFFER
    offer = next((bound for bound in limits if bound.kind is CurrentKind.OFFER), None)
    return offer or next((bound for bound in limits if bound.kind is kind), None)


def _bound(limits: tuple[CurrentBound, ...], coiled: Coiled) -> tuple[float | None, CurrentBound | None]:
    """Return the least of what limits the current there, and what that is."""
    least = min(limits, key=lambda bound: _bears(bound, coiled), default=None)
    return (None if least is None else _bears(least, coiled)), least


def _set_to(limits: tuple[CurrentBound, ...], grounds: UseGrounds, taken: Taken) -> float | None:
    found = _capacity(limits, grounds, taken.coiled)
    return None if found is None else float(int(found[0]))


def _current(limits: tuple[CurrentBound, ...], grounds: UseGrounds, taken: Taken) -> Iterable[UseReason]:
    asking, found = _asking(limits, grounds), _capacity(limits, grounds, taken.coiled)
    if not any(bound.kind in (CurrentKind.CABLE, CurrentKind.HEATING) for bound in limits):
        yield UseReason(
            text="What its cable bears is not known: no size that its conductors keep, and no heating test.",
            answer=UseAnswer.CANNOT_JUDGE,
            functions=("conductor",),
        )
    if asking is None:
        yield UseReason(
            text="What current it offers the car was not captured.",
            answer=UseAnswer.CANNOT_JUDGE,
            functions=("current-offer",),
        )
    if asking is None or found is None:
        return
    bears, weakest = found
    if asking.current_a <= bears + asking.allowed_a:
        return
    if taken.lowered and bears >= grounds.lowest_a:
        return
    verb = "It offers the car" if asking.kind is CurrentKind.OFFER else "It is sold for"
    text = f"{verb} {amperes(asking.current_a)}; {weakest.name} bears {amperes(bears)}"
    if bears < grounds.lowest_a:
        text = f"{text}, less than the {amperes(grounds.lowest_a)} that is the least a car can be told"
    laid_out = _capacity(limits, grounds, Coiled.NO)
    bears_laid_out = laid_out is not None and asking.current_a <= laid_out[0] + asking.allowed_a
    open_ = taken.coiled is Coiled.UNKNOWN and bears_laid_out
    yield UseReason(
        text=f"{text} ({weakest.because}){', and whether it lies coiled is not said' if open_ else ''}.",
        answer=UseAnswer.CANNOT_JUDGE if open_ else UseAnswer.ADVISED_AGAINST,
        limits=() if weakest.limit is None else (weakest.limit.id,),
    )


def _rain(grounds: UseGrounds, taken: Taken) -> Iterable[UseReason]:
    """Say what speaks against rain of what is claimed, where no laboratory's test shows that water is kept out."""
    if taken.circumstances.weather is not Weather.WET or grounds.shown(INGRESS):
        return
    yield from grounds.rain


def _functions(use: Use, grounds: UseGrounds, taken: Taken) -> Iterable[UseReason]:
    rows = {need.function: need for need in grounds.needs}
    held = {function.id: function for function in grounds.functions}
    for name in (*rows, *(name for name in held if name not in rows)):
        need, function = rows.get(name), held.get(name)
        state = grounds.risks.known.state(name)
        if state is FunctionState.SHOWN or name in taken.covered or name == SETTING:
            continue
        if need is not None and any(taken.hold(terms) for terms in need.instead):
            continue
        asked = need is not None and need.shown and taken.arises(need)
        if state in LOST and (asked or function is None or function.duty):
            if function is None and not asked:
                continue  # what has no pilot has none of its functions, and where nothing hangs on one none is missed
            yield _lost(grounds, name, function)
        elif state is FunctionState.NOT_SHOWN and asked and name not in taken.waived:
            yield _open(use, grounds, name, function)


def _lost(grounds: UseGrounds, name: str, function: ProtectiveFunction | None) -> UseReason:
    if function is None:
        return UseReason(
            text=f"Without a control unit it has no function '{grounds.title(name)}'.",
            answer=UseAnswer.ADVISED_AGAINST,
            functions=(name,),
        )
    word = "is absent" if function.state is FunctionState.SHOWN_ABSENT else "is faulty"
    return UseReason(
        text=f"The function '{function.title}' {word}: {function.because}",
        answer=UseAnswer.ADVISED_AGAINST,
        findings=function.findings,
        functions=(name,),
    )


NOT_SHOWN = "Not shown, though an injury hangs on each of them there"
GRAVE_UNTIL = "Risks that are grave there by our estimates until more is shown"
"""What heads reasons of one kind where several are told together."""


def _open(use: Use, grounds: UseGrounds, name: str, function: ProtectiveFunction | None) -> UseReason:
    missing = () if function is None else function.missing
    wanted = f" Missing: {'; '.join(missing)}." if missing else ""
    instead = []
    for measure in grounds.measures if use.measures else ():
        others = [f"'{grounds.title(one)}'" for one in measure.given if not grounds.shown(one)]
        if name in (*measure.covers, *measure.waives) and others:
            instead.append(f"{measure.text}: {', '.join(others)} shown.")
    title = f"'{grounds.title(name)}'"
    said = f"The function {title}, on which an injury hangs there, was not shown.{wanted}"
    return UseReason(
        text=" ".join((said, *(f"Or, {one}" for one in instead))),
        alike=NOT_SHOWN,
        briefly=f"{title}.{wanted}",
        instead=tuple(instead),
        answer=UseAnswer.CANNOT_JUDGE,
        findings=() if function is None else function.findings,
        functions=(name,),
    )


def _scenarios(grounds: UseGrounds, taken: Taken) -> Iterable[UseReason]:
    """Say which injury scenarios speak against it: what the specimen makes grave, or a place that is so for all."""
    for risk in grounds.risks.under(taken.circumstances):
        if risk.worst not in GRAVE:
            return
        open_, lost = (tuple(name for name in names if name not in taken.covered) for names in (risk.open, risk.lost))
        if (risk.open or risk.lost) and not (open_ or lost or risk.sure) and risk.mildest not in GRAVE:
            continue
        title = f"{risk.plan.title[:1].lower()}{risk.plan.title[1:]}"
        if risk.mildest in GRAVE and (lost or risk.sure):
            yield UseReason(
                text=f"The risk '{title}' is {risk.mildest.value} there by our estimates, whatever else is shown.",
                answer=UseAnswer.ADVISED_AGAINST,
                findings=risk.sure,
                functions=lost,
            )
        elif open_:
            yield _hangs(grounds, risk, open_, title)
        elif risk.worst is RiskLevel.SERIOUS:
            yield UseReason(
                text=f"The risk '{title}' is serious there by our estimates for any lead, with everything shown.",
                answer=UseAnswer.ADVISED_AGAINST,
            )


def _hangs(grounds: UseGrounds, risk: UseRisk, open_: tuple[str, ...], title: str) -> UseReason:
    names = " and ".join(f"'{grounds.title(name)}'" for name in open_)
    return UseReason(
        text=f"The risk '{title}' is {risk.worst.value} there by our estimates as long as {names} is not shown.",
        alike=GRAVE_UNTIL,
        briefly=f"'{title}': {risk.worst.value} as long as {names} is not shown.",
        answer=UseAnswer.CANNOT_JUDGE,
        functions=open_,
    )


def _concerns(rule: NationalRule, grounds: UseGrounds) -> bool:
    mode = not rule.modes or grounds.case.unit.charging_mode in rule.modes
    return mode and (not rule.sockets or grounds.plug in rule.sockets)


def _rules(use: Use, grounds: UseGrounds, taken: Taken) -> Iterable[UseReason]:
    for rule in national_rules(grounds.risks.book, use.country):
        if rule.noted or not _concerns(rule, grounds) or not (rule.asks or rule.modes):
            continue
        if rule.asks and all(taken.hold(terms) for terms in rule.asks):
            continue
        yield UseReason(
            text=f"A rule of {use.country} as we know it asks for more ({rule.limit.source}, standing: "
            f"{rule.limit.standing}): {rule.says}",
            answer=UseAnswer.ADVISED_AGAINST,
            limits=(rule.limit.id,),
        )
