"""What the level might turn out to be: worlds in which each function that was not shown works or does not, drawn once.

A world has a state for each such function and one draw of every step. An answer at the bench re-weights the worlds by
how likely it is in each; nothing is drawn again, so that two answers are compared on the same draws. The beliefs
beforehand rank the next test and are never printed as a probability that a function works.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.conclusion.event_tree import DRAWS, SEED
from coldpin.conclusion.rating import tree_ranks
from coldpin.conclusion.scenario_chances import drawn_chances
from coldpin.conclusion.scenarios import SetScenario, SetStep
from coldpin.errors import InputError, OutsideRange
from coldpin.standards.book import Book
from coldpin.standards.risk import LEVELS

EVEN = 0.5
"""Belief that a function works where nobody says otherwise. Ours: it favours neither answer."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Worlds:
    """Worlds drawn once: which functions work in each, the level of each scenario there, and the weight of each.

    ``works`` holds, for each open function, an array of shape (n,) of yes and no; ``ranks``, for each scenario, one of
    places in :data:`~coldpin.standards.risk.LEVELS`. ``weights`` sum to one. ``evidence`` is how likely the answers so
    far were beforehand. [1]
    """

    works: Mapping[str, NDArray[np.bool_]]
    ranks: Mapping[str, NDArray[np.intp]]
    weights: NDArray[np.float64]
    evidence: float = 1.0

    def specimen(self) -> NDArray[np.intp]:
        """Return the level of the specimen in each world: that of its worst scenario.

        Returns
        -------
        array of shape (n,)
            Places in :data:`~coldpin.standards.risk.LEVELS`.
        """
        return np.asarray(np.max(list(self.ranks.values()), axis=0), dtype=np.intp)

    def shares(self, scenario: str = "") -> NDArray[np.float64]:
        """Return how the weight is shared by the levels.

        Parameters
        ----------
        scenario : str
            Id of a scenario; the specimen as a whole where left out.

        Returns
        -------
        array of shape (4,)
            Share of each level, mildest first. [1]
        """
        ranks = self.ranks[scenario] if scenario else self.specimen()
        return np.bincount(ranks, weights=self.weights, minlength=len(LEVELS)).astype(np.float64)

    def belief(self, function: str) -> float:
        """Return the weight of the worlds in which a function works; to rank tests by, not to be printed.

        Parameters
        ----------
        function : str
            Id of an open function.

        Returns
        -------
        float
            The weight. [1]
        """
        return float(self.weights @ self.works[function])

    def answered(self, likelihood: Mapping[str, tuple[float, float]]) -> Worlds:
        """Return the worlds re-weighted by an answer.

        Parameters
        ----------
        likelihood : mapping
            For each open function that the answer bears on, how likely the answer is where it works, and where it does
            not. [1] Functions that are not open are left aside.

        Returns
        -------
        Worlds
            The same draws with new weights.

        Raises
        ------
        OutsideRange
            A likelihood is no probability.
        InputError
            The answer is impossible in every world.
        """
        factor = np.ones_like(self.weights)
        for name, (if_works, if_not) in likelihood.items():
            if not (0.0 <= if_works <= 1.0 and 0.0 <= if_not <= 1.0):
                raise OutsideRange(f"the answer on {name} has likelihoods {if_works:g} and {if_not:g}; give 0 to 1")
            if name in self.works:
                factor *= np.where(self.works[name], if_works, if_not)
        weights = self.weights * factor
        total = float(weights.sum())
        if total == 0.0:
            raise InputError("the answer cannot come about in any of the worlds drawn: look at its likelihoods")
        return replace(self, weights=weights / total, evidence=self.evidence * total)


def draw_worlds(
    book: Book,
    scenarios: Iterable[SetScenario],
    *,
    beliefs: Mapping[str, float] | None = None,
    parents: Mapping[str, str] | None = None,
) -> Worlds:
    """Draw worlds for the functions that were not shown.

    Parameters
    ----------
    book : Book
        The constants.
    scenarios : iterable of SetScenario
        With their steps set; every function that is open in one of them is drawn.
    beliefs : mapping, optional
        How likely each function is thought to work beforehand; even where not given. [1]
    parents : mapping, optional
        The function without which another cannot work, by the other's id: where the first does not work in a world,
        neither does the second.

    Returns
    -------
    Worlds
        With equal weights.

    Raises
    ------
    OutsideRange
        A belief is no probability.
    InputError
        There is no scenario.
    """
    sets = tuple(scenarios)
    if not sets:
        raise InputError("no scenario to draw worlds for: set the scenarios first")
    works: dict[str, NDArray[np.bool_]] = {}
    for name in dict.fromkeys(function for one in sets for function in one.open_functions):
        belief = (beliefs or {}).get(name, EVEN)
        if not 0.0 <= belief <= 1.0:
            raise OutsideRange(f"the belief that {name} works is {belief:g}; give 0 to 1")
        works[name] = _uniform(name) < belief
    for name in works:
        parent = (parents or {}).get(name, "")
        if parent in works:
            works[name] = works[name] & works[parent]

    def chosen(step: SetStep, if_works: NDArray[np.float64], if_not: NDArray[np.float64]) -> NDArray[np.float64]:
        all_work = np.logical_and.reduce([works[name] for name in step.open])
        return np.where(all_work, if_works, if_not)

    ranks = {one.plan.id: tree_ranks(book, one.tree, drawn_chances(one, chosen)) for one in sets}
    return Worlds(works=works, ranks=ranks, weights=np.full(DRAWS, 1.0 / DRAWS))


def _uniform(name: str) -> NDArray[np.float64]:
    """Return draws between nought and one for a function, the same each time."""
    return np.random.default_rng([SEED, zlib.crc32(f"works {name}".encode())]).random(DRAWS)
