"""What the answers to all conditions of use of a specimen have in common."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from coldpin.records.use import CommonGrounds, UseJudgement

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


def _in_all(held: Sequence[tuple[Ground, ...]]) -> tuple[Ground, ...]:
    first, *others = held
    return tuple(one for one in first if all(one in other for other in others))
