"""Answers to conditions of use in words: measures, what a fit unit would have, reasons, the plain sentence."""

from __future__ import annotations

from coldpin.conclusion.use_grounds import SETTING, Taken, UseGrounds
from coldpin.quantity import format_value
from coldpin.records.case import Build
from coldpin.records.function import FunctionState
from coldpin.records.use import Use, UseAnswer, UseJudgement, UseReason
from coldpin.standards.uses import NationalRule, UseMeasure

LOWER_CURRENT = "lower-current"


def amperes(current: float) -> str:
    """Return a current as the answers print it.

    Parameters
    ----------
    current : float
        The current. [A]

    Returns
    -------
    str
        To three digits.

    Examples
    --------
    >>> amperes(15.907)
    '15.9 A'
    """
    return format_value(float(f"{current:.3g}"), "A")


UNADVISED = (UseAnswer.ADVISED_AGAINST, UseAnswer.CANNOT_JUDGE)
"""Answers beside which no current is named that reads as leave to draw it."""


def current_told(judged: UseJudgement) -> str:
    """Say the largest current of a use; where the answer is no leave to use it, that there is none, and the bound.

    Parameters
    ----------
    judged : UseJudgement
        The judgement; one that was written before ``bound_a`` was is told alike.

    Returns
    -------
    str
        Such as "15.9 A", "none (bound 8.0 A)", "not known".

    Examples
    --------
    >>> current_told(UseJudgement(name="shed", answer=UseAnswer.ADVISED_AGAINST, because="", bound_a=8.0))
    'none (bound 8.0 A)'
    """
    known = judged.largest_current_a if judged.bound_a is None else judged.bound_a
    if judged.answer in UNADVISED:
        return "none" if known is None else f"none (bound {amperes(known)})"
    return "not known" if known is None else amperes(known)


def measure_told(measure: UseMeasure, most: float | None, grounds: UseGrounds) -> str:
    """Say a measure as a user may take it.

    Parameters
    ----------
    measure : UseMeasure
        The measure.
    most : float or None
        Current to be set at most, where one is. [A]
    grounds : UseGrounds
        What every use of the specimen is judged by.

    Returns
    -------
    str
        A phrase.
    """
    if measure.id != LOWER_CURRENT:
        return measure.text
    shown = grounds.risks.known.state(SETTING) is FunctionState.SHOWN
    where = "on the unit" if shown else "in the car, each time, as nothing else holds it there"
    return f"with the current set to at most {most or 0.0:g} A {where}"


def would_have(use: Use, grounds: UseGrounds, taken: Taken, reasons: tuple[UseReason, ...]) -> tuple[str, ...]:
    """Return what a unit fit for the use would have, of which this specimen has not been shown to have it.

    Parameters
    ----------
    use : Use
        The condition, as understood.
    grounds : UseGrounds
        What every use of the specimen is judged by.
    taken : Taken
        The use with no measure taken.
    reasons : tuple of UseReason
        What speaks against it, or leaves it open, then.

    Returns
    -------
    tuple of str
        Phrases.
    """
    named = {name for reason in reasons for name in reason.functions}
    found = [
        need.contains
        for need in grounds.needs
        if need.function in named
        or (
            need.shown
            and grounds.risks.known.state(need.function) is not FunctionState.SHOWN
            and taken.arises(need)
            and not any(taken.hold(terms) for terms in need.instead)
        )
    ]
    if use.sockets and grounds.case.unit.build is Build.PORTABLE and grounds.plug not in use.sockets:
        found.append("a plug that fits the sockets there, and an offer no larger than they bear for hours")
    rows = {name for reason in reasons for name in reason.limits}
    found += [row.contains for row in grounds.beside if row.limit.id in rows]
    if any(reason.limits for reason in reasons if reason.text.startswith(("It offers", "It is sold"))):
        found.append("an offer to the car that is no larger than the weakest part there bears")
    return tuple(dict.fromkeys(found))


def codes_told(use: Use, rules: tuple[NationalRule, ...]) -> str:
    """Say what is known of a country's rules, and that local codes are to be asked for.

    Parameters
    ----------
    use : Use
        The condition, with its country.
    rules : tuple of NationalRule
        Those known.

    Returns
    -------
    str
        One sentence.
    """
    of_country = [rule for rule in rules if rule.countries]
    if of_country:
        return f"Rules of {use.country} that are known to us stand here, others do not: ask local codes."
    where = f"of {use.country} " if use.country else ""
    return f"No rule {where}on this is known to us: ask local codes."


def because(judged: UseJudgement) -> str:
    """Say an answer with its weightiest reasons.

    Parameters
    ----------
    judged : UseJudgement
        The judgement.

    Returns
    -------
    str
        Sentences.
    """
    limited = (
        ""
        if judged.largest_current_a is None
        else f" Largest current: {amperes(judged.largest_current_a)}, by {judged.limited_by}."
    )
    match judged.answer:
        case UseAnswer.NO_OBJECTION:
            return f"Everything on which an injury hangs there was shown.{limited}"
        case UseAnswer.WITH_MEASURES:
            return f"Only {'; '.join(judged.measures)}.{limited}"
        case UseAnswer.CANNOT_JUDGE:
            waiting = " ".join(reason.text for reason in judged.reasons[:MOST_REASONS])
            more = len(judged.reasons) - MOST_REASONS
            rest = f" And {more} more." if more > 0 else ""
            still = f" Were this shown, still only {'; '.join(judged.measures)}." if judged.measures else ""
            return f"{waiting}{rest}{still}"
        case UseAnswer.ADVISED_AGAINST:
            against = [reason for reason in judged.reasons if reason.answer is UseAnswer.ADVISED_AGAINST]
            more = len(against) - MOST_REASONS
            rest = f" And {more} more." if more > 0 else ""
            return " ".join(reason.text for reason in against[:MOST_REASONS]) + rest


MOST_REASONS = 3
"""Reasons told in one line; what is more is counted. Ours: as many as one reads."""


def decided_by(judged: UseJudgement) -> str:
    """Return what alone decides that a use is advised against, in a sentence.

    Parameters
    ----------
    judged : UseJudgement
        The judgement.

    Returns
    -------
    str
        Of the first reason that allows no milder answer its first sentence; empty for any other answer.

    Examples
    --------
    >>> from coldpin.records.use import UseReason
    >>> plug = UseReason(text="Its plug fits no socket there. More heat.", answer=UseAnswer.ADVISED_AGAINST)
    >>> wet = UseReason(text="Nobody looked at water.", answer=UseAnswer.CANNOT_JUDGE)
    >>> decided_by(UseJudgement(name="", answer=UseAnswer.ADVISED_AGAINST, because="", reasons=(wet, plug)))
    'Its plug fits no socket there.'
    """
    if judged.answer is not UseAnswer.ADVISED_AGAINST:
        return ""
    first = next((one.text for one in judged.reasons if one.answer is UseAnswer.ADVISED_AGAINST), judged.because)
    return f"{first.split('. ')[0].rstrip('.')}." if first else ""


def plainly(judged: UseJudgement, grounds: UseGrounds) -> str:
    """Say an answer to a lay viewer.

    Parameters
    ----------
    judged : UseJudgement
        The judgement.
    grounds : UseGrounds
        For the titles of functions.

    Returns
    -------
    str
        One or two sentences.
    """
    name = judged.name
    match judged.answer:
        case UseAnswer.NO_OBJECTION:
            most = "" if judged.largest_current_a is None else f", at up to {amperes(judged.largest_current_a)}"
            return f"{name}: nothing in these tests speaks against it{most}."
        case UseAnswer.WITH_MEASURES:
            titles = [f"'{grounds.title(one)}'" for one in judged.untested]
            stead = f" That stands in for what is not shown: {', '.join(titles)}." if titles else ""
            return f"{name}: only {' and '.join(judged.measures)}.{stead}"
        case UseAnswer.CANNOT_JUDGE:
            titles = [f"'{grounds.title(one)}'" for one in judged.untested]
            what = f": not shown yet is {', '.join(titles)}" if titles else ""
            return f"{name}: these tests do not answer it{what}."
        case UseAnswer.ADVISED_AGAINST:
            return f"{name}: we advise against it."
