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

FEWEST_SOUND = 100
FEWEST_UNITS = 20
"""Ours: with fewer sound units, or fewer of a fault, that a check decided, the rate measures the number of units and
not the check; the judgement of the check's record then stays. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Detection:
    """The measured table: ``counts`` by fault and check, what each fault means, which ``functions`` it takes away.

    ``units`` went through the trial with each fault, ``sound_units`` without one.
    """

    units: int
    sound_units: int
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
            At most :meth:`units_of`; 0 where the check is not in the table.
        """
        row = self.counts.get(fault, {}).get(check)
        return row[OUTCOMES.index(outcome)] if row else 0

    def tested(self, check: str) -> bool:
        """Say whether the trials of sound units let a check answer at all.

        Parameters
        ----------
        check : str
            Id of the check.

        Returns
        -------
        bool
            False where it was never tested.
        """
        return self.count(SOUND, check, "not_tested") < self.units_of(SOUND) and check in self.counts.get(SOUND, {})

    def units_of(self, fault: str) -> int:
        """Return how many units went through the trial.

        Parameters
        ----------
        fault : str
            The fault, or :data:`SOUND`.

        Returns
        -------
        int
            Of the sound units, or of those with the fault.
        """
        return self.sound_units if fault == SOUND else self.units

    def decided(self, fault: str, check: str) -> int:
        """Return how many units a check called within or beyond: what is undecided speaks for neither.

        Parameters
        ----------
        fault : str
            The fault, or :data:`SOUND`.
        check : str
            Id of the check.

        Returns
        -------
        int
            At most :meth:`units_of`.
        """
        return self.count(fault, check, "within") + self.count(fault, check, "beyond")


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
        sound_units=given["about"]["sound_units"],
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

    The chances are those of within among the units that the check decided, for an undecided finding speaks for neither
    side; the faults that take a function away weigh alike, those that the check never decided not at all. A bearing
    stays a judgement where fewer than `FEWEST_SOUND` sound units were decided, or fewer than `FEWEST_UNITS` of a fault
    that enters, or where the check finds none of the function's faults: then the faults were not of its kind.

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
    return replace(check, bears=tuple(bearing_of(table, check.id, bearing) for bearing in check.bears))


def bearing_of(table: Detection, check: str, bearing: Bearing) -> Bearing:
    """Return one bearing of a check, measured where the table carries it.

    Parameters
    ----------
    table : Detection
        The table.
    check : str
        Id of the check.
    bearing : Bearing
        As judged.

    Returns
    -------
    Bearing
        With measured chances and their source, or as given.
    """
    faults = [
        fault
        for fault, functions in table.functions.items()
        if bearing.function in functions and table.decided(fault, check)
    ]
    sound = table.decided(SOUND, check)
    few = sound < FEWEST_SOUND or any(table.decided(fault, check) < FEWEST_UNITS for fault in faults)
    if few or not any(table.count(fault, check, "beyond") for fault in faults):
        return bearing
    works = chance(table.count(SOUND, check, "within"), sound)
    broken = [chance(table.count(fault, check, "within"), table.decided(fault, check)) for fault in faults]
    fails = sum(broken) / len(broken)
    if fails >= works:
        return bearing
    kinds = "1 fault" if len(faults) == 1 else f"{len(faults)} faults, weighted alike"
    source = f"simulator, of those decided: {sound} sound units, and {table.units} at most of each of {kinds}"
    return replace(bearing, within_if_works=round(works, 3), within_if_not=round(fails, 3), source=source)
