"""A quantity placed against limits: within, beyond, or too uncertain to say.

The thresholds and guard bands here are decision rules, not limits from outside: they say how sure coldpin must be.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from coldpin.errors import InputError, UnknownName
from coldpin.quantity.bound import AtLeast, AtMost
from coldpin.quantity.model import Quantity

OutcomeName: TypeAlias = Literal["within", "beyond", "undecided"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A decision rule.

    Either ``confidence`` is set, and the probability of conforming decides. Or the guard bands do, in multiples of U
    (half-width of the 95 % interval): ``within`` is said where the value is inside every limit by ``accept`` times U,
    ``beyond`` where it is outside one by more than ``reject`` times U, and nothing between. ``words`` are for a report.
    """

    name: str
    words: str
    confidence: float | None = None
    accept: float = 0.0
    reject: float = 0.0
    source: str


_ILAC = "ILAC-G8:09/2019 Table 1"

RULES: tuple[Rule, ...] = (
    Rule(
        name="confidence",
        words="'within' is said if the probability of conforming is at least 97.5 %, 'beyond' if it is at most 2.5 %",
        confidence=0.975,
        source="JCGM 106:2012 7 and 8.3, with 2.5 % risk on either side: our choice",
    ),
    Rule(
        name="simple acceptance",
        words="simple acceptance; chance of a wrong 'within' at the limit up to 50 %",
        source="ILAC-G8:09/2019 4.2.1 and Table 1; JCGM 106:2012 8.2",
    ),
    Rule(
        name="guard band U",
        words="guard band of U on both sides of the limit; chance of a wrong 'within' up to 2.5 %",
        accept=1.0,
        reject=1.0,
        source="ILAC-G8:09/2019 4.2.2, 4.2.3 and Table 1",
    ),
    Rule(
        name="guard band 0.83 U",
        words="guard band of 0.83 U on both sides of the limit; chance of a wrong 'within' up to about 5 %",
        accept=0.83,
        reject=0.83,
        source=f"{_ILAC} (rule of ISO 14253-1:2017)",
    ),
    Rule(
        name="three sigma",
        words="guard band of 1.5 U on both sides of the limit; chance of a wrong 'within' up to 0.16 %",
        accept=1.5,
        reject=1.5,
        source=_ILAC,
    ),
    Rule(
        name="six sigma",
        words="guard band of 3 U on both sides of the limit; chance of a wrong 'within' up to one in a million",
        accept=3.0,
        reject=3.0,
        source=_ILAC,
    ),
    Rule(
        name="guarded rejection",
        words=(
            "guarded rejection: 'beyond' only where the limit is exceeded by more than U; chance of a wrong 'beyond' "
            "up to 2.5 %, of a wrong 'within' at the limit up to 50 %"
        ),
        reject=1.0,
        source=f"{_ILAC} ('uncritical'); JCGM 106:2012 8.3.3",
    ),
)
"""The rules known by name; "guard band r U" with any number r is understood as well."""

_CUSTOM = re.compile(r"guard band ([0-9]+(?:\.[0-9]+)?) U")


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """A quantity placed against limits.

    ``probability`` is that of conforming, None where the uncertainty is unknown. ``words`` say the rule as a report
    does.
    """

    probability: float | None
    outcome: OutcomeName
    rule: str
    words: str

    @property
    def risk(self) -> float | None:
        """The probability that a ``within`` or ``beyond`` is wrong (specific risk, JCGM 106:2012 3.3.13, 3.3.14)."""
        if self.outcome == "undecided" or self.probability is None:
            return None
        return 1.0 - self.probability if self.outcome == "within" else self.probability


def find_rule(name: str) -> Rule:
    """Return a decision rule by its name.

    Parameters
    ----------
    name : str
        One of the names in `RULES`, or "guard band r U" with a number r.

    Returns
    -------
    Rule
        The rule.

    Raises
    ------
    UnknownName
        There is no such rule; all are listed.

    Examples
    --------
    >>> find_rule("guard band 0.5 U").accept
    0.5
    """
    for rule in RULES:
        if rule.name == name:
            return rule
    custom = _CUSTOM.fullmatch(name)
    if custom:
        guard = float(custom[1])
        return Rule(
            name=name,
            words=f"guard band of {guard:g} U on both sides of the limit",
            accept=guard,
            reject=guard,
            source=_ILAC,
        )
    raise UnknownName.among("decision rule", name, [*(rule.name for rule in RULES), "guard band r U"])


def decide(
    quantity: Quantity | AtLeast | AtMost,
    *,
    minimum: float | None = None,
    maximum: float | None = None,
    rule: str = "confidence",
) -> Decision:
    """Say whether a quantity is within its limits, beyond one of them, or too uncertain to say.

    Parameters
    ----------
    quantity : Quantity, AtLeast or AtMost
        What was measured. Of a one-sided reading only what holds wherever beyond its edge the value lies is said; the
        probability is then that at the edge, the least favourable place.
    minimum, maximum : float, optional
        The limits, in the unit of the quantity; at least one.
    rule : str
        Name of the decision rule.

    Returns
    -------
    Decision
        Probability of conforming, outcome, rule. Where the uncertainty is unknown the outcome is "undecided" by any
        rule and there is no probability.

    Raises
    ------
    InputError
        No limit is given, a limit is not a finite number, the minimum is above the maximum, or the quantity has no
        value.
    UnknownName
        There is no such rule.

    Examples
    --------
    >>> decide(Quantity(7.95, 0.06, "Ω/km"), maximum=7.98).outcome
    'undecided'
    >>> decide(Quantity(7.80, 0.06, "Ω/km"), maximum=7.98).outcome
    'within'

    Sources
    -------
    JCGM 106:2012 clauses 7 and 8; ILAC-G8:09/2019 Table 1 (each rule names its own).
    """
    by = find_rule(rule)
    if not isinstance(quantity, Quantity):
        return _decide_bound(quantity, minimum, maximum, by)
    limits = [limit for limit in (minimum, maximum) if limit is not None]
    if not limits or not all(map(math.isfinite, limits)) or limits[0] > limits[-1]:
        raise InputError(
            f"limits from {minimum} to {maximum} {quantity.unit}: give a minimum, a maximum, or both in order"
        )
    if not math.isfinite(quantity.value):
        raise InputError(
            f"a quantity without a value cannot be placed against limits: {quantity.why or 'not a number'}"
        )
    probability = quantity.probability_within(minimum, maximum)
    outcome: OutcomeName
    if probability is None:
        outcome = "undecided"
    elif by.confidence is not None:
        outcome = _by_confidence(probability, by.confidence)
    else:
        outcome = _by_guard_band(quantity, minimum, maximum, by)
    return Decision(probability=probability, outcome=outcome, rule=by.name, words=by.words)


def _decide_bound(bound: AtLeast | AtMost, minimum: float | None, maximum: float | None, rule: Rule) -> Decision:
    """Decide on a one-sided reading: beyond the limit it points to, or within where there is none there."""
    ahead = maximum if isinstance(bound, AtLeast) else minimum
    at_edge = decide(bound.edge, minimum=minimum, maximum=maximum, rule=rule.name)
    if ahead is None:
        sure = at_edge.outcome == "within"
    elif isinstance(bound, AtLeast):
        sure = decide(bound.edge, maximum=ahead, rule=rule.name).outcome == "beyond"
    else:
        sure = decide(bound.edge, minimum=ahead, rule=rule.name).outcome == "beyond"
    return at_edge if sure else replace(at_edge, probability=None, outcome="undecided")


def _by_confidence(probability: float, confidence: float) -> OutcomeName:
    if probability >= confidence:
        return "within"
    # 1 - 0.975 is not 0.025 in binary, and a limit exactly at the end of the interval must decide alike on both sides
    return "beyond" if 1.0 - probability >= confidence else "undecided"


def _by_guard_band(quantity: Quantity, minimum: float | None, maximum: float | None, rule: Rule) -> OutcomeName:
    assert quantity.low is not None
    assert quantity.high is not None
    above, below = quantity.high - quantity.value, quantity.value - quantity.low
    margins = []
    if minimum is not None:
        margins.append((quantity.value - minimum, below, above))
    if maximum is not None:
        margins.append((maximum - quantity.value, above, below))
    # each margin is positive inside; towards the limit and away from it the interval may reach differently far
    if all(margin >= rule.accept * towards for margin, towards, _ in margins):
        return "within"
    if any(margin < 0.0 and -margin > rule.reject * away for margin, _, away in margins):
        return "beyond"
    return "undecided"
