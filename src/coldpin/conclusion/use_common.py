"""What the answers to all conditions of use of a specimen have in common."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from coldpin.records.use import CommonGrounds, ReasonsAlike, UseJudgement, UseReason

Ground = TypeVar("Ground")


def common_grounds(judged: Sequence[UseJudgement]) -> CommonGrounds:
    """Return the grounds that every judgement of several has, in the order of the first.

    Parameters
    ----------
    judged : sequence of UseJudgement
        The judgements of one specimen.

    Returns
    -------
    CommonGrounds
        Empty where there are fewer than two: what only one has is its own.

    Examples
    --------
    >>> from coldpin.records.use import UseAnswer, UseReason
    >>> wire = UseReason(text="A wire touches the mains.", answer=UseAnswer.ADVISED_AGAINST)
    >>> rain = UseReason(text="It leaks.", answer=UseAnswer.ADVISED_AGAINST)
    >>> garage, quay = (
    ...     UseJudgement(name=name, answer=UseAnswer.ADVISED_AGAINST, because="", reasons=reasons)
    ...     for name, reasons in (("garage", (wire,)), ("quay", (rain, wire)))
    ... )
    >>> [one.text for one in common_grounds((garage, quay)).reasons]
    ['A wire touches the mains.']
    >>> common_grounds((garage,)).reasons
    ()
    """
    if len(judged) < 2:
        return CommonGrounds()
    return CommonGrounds(
        reasons=_in_all([one.reasons for one in judged]),
        would_have=_in_all([one.would_have for one in judged]),
        rules=_in_all([one.rules for one in judged]),
    )


def reasons_alike(reasons: Sequence[UseReason]) -> tuple[ReasonsAlike, ...]:
    """Return reasons with those of one kind together, what they say alike once, and nothing of them lost.

    Parameters
    ----------
    reasons : sequence of UseReason
        Of one use, or those that several have in common.

    Returns
    -------
    tuple of ReasonsAlike
        In the order of the first of each kind; one that is alone of its kind in its own words.

    Examples
    --------
    >>> from coldpin.records.use import UseAnswer
    >>> earth, seal = (
    ...     UseReason(
    ...         text=f"'{name}' was not shown. Or, under a roof.", answer=UseAnswer.CANNOT_JUDGE, alike="Not shown",
    ...         briefly=f"'{name}'.", instead=("under a roof.",)
    ...     )
    ...     for name in ("Earth", "Seal")
    ... )
    >>> (both,) = reasons_alike((earth, seal))
    >>> both.head, [text for text, _ in both.told], both.instead
    ('Not shown', ["'Earth'.", "'Seal'."], (('under a roof.', ("'Earth'", "'Seal'")),))
    >>> reasons_alike((seal,))[0].told[0][0]
    "'Seal' was not shown. Or, under a roof."
    """
    kinds: dict[object, list[UseReason]] = {}
    for reason in reasons:
        kinds.setdefault(reason.alike or reason.text, []).append(reason)
    return tuple(_together(kind) if len(kind) > 1 else _alone(kind) for kind in kinds.values())


def _alone(kind: Sequence[UseReason]) -> ReasonsAlike:
    return ReasonsAlike(head="", told=tuple((one.text, one) for one in kind))


def _together(kind: Sequence[UseReason]) -> ReasonsAlike:
    instead: dict[str, list[str]] = {}
    for reason in kind:
        for measure in reason.instead:
            instead.setdefault(measure, []).append(reason.briefly.partition(".")[0])
    return ReasonsAlike(
        head=kind[0].alike,
        told=tuple((one.briefly or one.text, one) for one in kind),
        instead=tuple((measure, tuple(names)) for measure, names in instead.items()),
    )


def _in_all(held: Sequence[tuple[Ground, ...]]) -> tuple[Ground, ...]:
    first, *others = held
    return tuple(one for one in first if all(one in other for other in others))
