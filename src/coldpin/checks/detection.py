"""How often each check finds each fault, as measured with the simulator, and what that says for a function.

The table lies beside this module and is measured by ``python -m tools.detection``; nothing is simulated here.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from coldpin.checks.check import Bearing, Check

DATA = Path(__file__).with_name("detection.toml")
SOUND = "sound"
"""The row of units without a fault."""

OUTCOMES = ("within", "beyond", "undecided", "not_tested")
"""What each number of a row counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Detection:
    """The measured table: ``counts`` by fault and check, what each fault means, which ``functions`` it takes away."""

    units: int
    seed: int
    program_version: str
    functions: Mapping[str, tuple[str, ...]]
    meanings: Mapping[str, str]
    counts: Mapping[str, Mapping[str, tuple[int, ...]]]

    def count(self, fault: str, check: str, outcome: str) -> int:
        """Return how many units with a fault a check answered so.

        Parameters
        ----------
        fault : str
            The fault, or :data:`SOUND`.
        check : str
            Id of the check.
        outcome : str
            One of :data:`OUTCOMES`.

        Returns
        -------
        int
            Of :attr:`units`; 0 where the check is not in the table.
        """
        row = self.counts.get(fault, {}).get(check)
        return row[OUTCOMES.index(outcome)] if row else 0

    def tested(self, check: str) -> bool:
        """Say whether the trials let a check answer at all.

        Parameters
        ----------
        check : str
            Id of the check.

        Returns
        -------
        bool
            False where it was never tested.
        """
        return self.count(SOUND, check, "not_tested") < self.units and check in self.counts.get(SOUND, {})


@cache
def load_detection() -> Detection:
    """Read the measured table.

    Returns
    -------
    Detection
        The table.

    Examples
    --------
    >>> load_detection().count("sound", "pilot-frequency", "beyond")
    0
    """
    given = tomllib.loads(DATA.read_text(encoding="utf-8"))
    return Detection(
        units=given["about"]["units"],
        seed=given["about"]["seed"],
        program_version=given["about"]["program_version"],
        functions={fault: tuple(names) for fault, names in given["functions"].items()},
        meanings=given["meanings"],
        counts={fault: {check: tuple(row) for check, row in rows.items()} for fault, rows in given["counts"].items()},
    )


def chance(found: int, units: int) -> float:
    """Return the probability behind a count: never 0 or 1, which no finite number of units shows.

    .. math:: p = (k + 1/2) / (n + 1)

    Parameters
    ----------
    found : int
        k. [1]
    units : int
        n. [1]

    Returns
    -------
    float
        p, the mean of Jeffreys' posterior. [1]

    Examples
    --------
    >>> round(chance(20, 20), 3), round(chance(0, 20), 3)
    (0.976, 0.024)

    Sources
    -------
    Jeffreys' prior of a binomial proportion, Beta(1/2, 1/2) (standing: memory; own derivation).
    """
    return (found + 0.5) / (units + 1)


def measured(check: Check) -> Check:
    """Return a check whose bearing on a function is measured where the table covers both.

    A bearing stays a judgement where no fault of the table takes the function away, where the trials do not let the
    check answer, or where the check finds none of the function's faults: then the faults were not of its kind.

    Parameters
    ----------
    check : Check
        The check.

    Returns
    -------
    Check
        The same with other numbers and their source.
    """
    table = load_detection()
    return replace(check, bears=tuple(_measured(table, check.id, bearing) for bearing in check.bears))


def _measured(table: Detection, check: str, bearing: Bearing) -> Bearing:
    faults = [fault for fault, functions in table.functions.items() if bearing.function in functions]
    if not faults or not table.tested(check):
        return bearing
    works = chance(table.count(SOUND, check, "within"), table.units)
    broken = [chance(table.count(fault, check, "within"), table.units) for fault in faults]
    fails = sum(broken) / len(broken)
    if not any(table.count(fault, check, "beyond") for fault in faults) or fails >= works:
        return bearing
    kinds = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
    source = f"simulator, {table.units} sound units and {table.units} of each of {kinds}"
    return replace(bearing, within_if_works=round(works, 3), within_if_not=round(fails, 3), source=source)
