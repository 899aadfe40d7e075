"""Words that the pages of risk, uses and sources take beside those of every page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from coldpin.conclusion.rating import one_in
from coldpin.conclusion.use_common import reasons_alike
from coldpin.conclusion.use_telling import amperes, current_told, decided_by
from coldpin.records.use import UseAnswer
from coldpin.standards.wording import limit_source, limit_value

_SIGNS = {
    UseAnswer.NO_OBJECTION: "within",
    UseAnswer.WITH_MEASURES: "undecided",
    UseAnswer.CANNOT_JUDGE: "not_tested",
    UseAnswer.ADVISED_AGAINST: "beyond",
}
"""The answers to a condition of use, by the outcomes whose shape and colour they take."""


def _answer_sign(answer: UseAnswer) -> str:
    return _SIGNS[answer]


RISK: dict[str, Callable[..., Any]] = {
    "one_in": one_in,
    "amperes": amperes,
    "current_told": current_told,
    "limit_value": limit_value,
    "limit_source": limit_source,
    "answer_sign": _answer_sign,
    "decided_by": decided_by,
    "reasons_alike": reasons_alike,
}
"""Filters by name."""
