"""The probabilities of the steps of a scenario: best estimates exactly, or draws, with or without what is open."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from coldpin.conclusion.event_tree import deviates, drawn, together
from coldpin.conclusion.scenario_steps import StepKind
from coldpin.conclusion.scenarios import AFTER_CUT, AFTER_OWN_CUT, SetScenario, SetStep, Taken
from coldpin.records.scenario import Span
from coldpin.standards.risk import exactly

Number = TypeVar("Number", Fraction, float, NDArray[np.float64])


def step_chances(
    scenario: SetScenario,
    valued: Callable[[str, Span], Number],
    *,
    chosen: Callable[[SetStep, Number, Number], Number],
    lowest: Callable[[Number, Number], Number],
) -> dict[str, Number]:
    """Return the conditional probability of each step of a scenario.

    Parameters
    ----------
    scenario : SetScenario
        With its steps set.
    valued : callable
        Makes a number, or an array of draws, of a name and a span.
    chosen : callable
        Picks between a step's number with its functions working and that without.
    lowest : callable
        The lesser of two numbers, or of two arrays element by element.

    Returns
    -------
    dict
        By the names of the tree's forks, in the order of the chain.
    """
    chances: dict[str, Number] = {}
    for step in scenario.steps:
        if step.plan.kind is StepKind.UPSTREAM:
            held = {piece.name: valued(piece.name, piece.lost) for piece in step.pieces}
            chance = none_acts(held, step.plan.blind)
            if step.plan.common_with:
                chance = together(chances[step.plan.common_with], chance, held["beta"])
        else:
            (piece,) = step.pieces
            lost = valued(piece.name, piece.lost)
            chance = lost if step.taken is Taken.LOST else lowest(valued(piece.name, piece.works), lost)
            if step.taken is Taken.OPEN:
                chance = chosen(step, chance, lost)
        chances[step.plan.id] = chance
    for name, place in ((AFTER_CUT, 0), (AFTER_OWN_CUT, 2)):
        if scenario.harms and scenario.harms[place].fibrillation.best > 0.0:
            chances[name] = valued(name, scenario.harms[place].fibrillation)
    return chances


def none_acts(held: Mapping[str, Number], blind: str) -> Number:
    """Return how likely no device before the socket switches off: none there, out of order, or blind to the current.

    Parameters
    ----------
    held : mapping
        Values of the step's pieces by name. [1]
    blind : str
        Name of the piece of a current that its type may not see; what is not among ``held`` counts nothing.

    Returns
    -------
    number
        The probability, or an array of shape (DRAWS,). [1]

    Examples
    --------
    >>> half = Fraction(1, 2)
    >>> none_acts({"upstream-absent": half, "upstream-idle": half, "unseen": half}, "unseen")
    Fraction(7, 8)
    """
    absent, fails = held["upstream-absent"], held["upstream-idle"]
    if blind in held:
        fails = fails + (1 - fails) * held[blind]
    return absent + (1 - absent) * fails


def best_chances(scenario: SetScenario, working: Callable[[str], bool] = lambda _: False) -> dict[str, Fraction]:
    """Return the best estimates of the steps, exactly.

    Parameters
    ----------
    scenario : SetScenario
        With its steps set.
    working : callable
        Says of a function that was not shown whether it is taken to work; none is where left out.

    Returns
    -------
    dict
        By the names of the tree's forks.
    """

    def chosen(step: SetStep, works: Fraction, lost: Fraction) -> Fraction:
        return works if all(map(working, step.open)) else lost

    return step_chances(scenario, lambda _, span: exactly(span.best), chosen=chosen, lowest=min)


def drawn_chances(
    scenario: SetScenario, chosen: Callable[[SetStep, NDArray[np.float64], NDArray[np.float64]], NDArray[np.float64]]
) -> dict[str, NDArray[np.float64]]:
    """Return the draws of the steps.

    Parameters
    ----------
    scenario : SetScenario
        With its steps set.
    chosen : callable
        Picks between the draws of a step with its functions working and those without, each an array of shape (DRAWS,).
        [1]

    Returns
    -------
    dict
        Arrays of shape (DRAWS,) by the names of the tree's forks. [1]
    """
    return step_chances(
        scenario,
        lambda name, span: drawn(span, deviates(name)),
        chosen=chosen,
        lowest=lambda one, other: np.minimum(one, other),
    )
