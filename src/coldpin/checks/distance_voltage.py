"""The voltages by which insulation inside a unit is judged: what is claimed, what the supply has, what nets tell."""

from __future__ import annotations

import math

from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.readings import claimed_quantity
from coldpin.records.distance_words import BEFORE_FUSE, BEHIND_FUSE, across, between_lines
from coldpin.standards.voltage_drop import supply_voltage

FROM_LINE_TO_LINE = 1.5
"""Ours: a rated voltage of a three-phase unit above so many times that of line to neutral is between lines. [1]"""


def rated_voltage(bench: BenchEvidence) -> float:
    """Return the voltage by which the insulation of a unit is judged.

    Parameters
    ----------
    bench : BenchEvidence
        With the claimed rated voltage and that of the supply.

    Returns
    -------
    float
        The highest that is claimed; that of the supply where none is claimed, or less, for the unit is plugged into it
        whatever is printed on it. [V]

    Raises
    ------
    CaseError
        The claimed voltage cannot be read.
    InputError
        An own value of the case leaves the supply's voltage out.
    """
    rated = claimed_quantity(bench, "rated_voltage", "V")
    supply = supply_voltage(bench.book)
    return supply if rated is None else max(supply, rated.value if rated.high is None else rated.high)


def line_voltage(bench: BenchEvidence) -> float:
    """Return the voltage between two lines of a three-phase supply.

    Parameters
    ----------
    bench : BenchEvidence
        With the rated voltage and that of the supply.

    Returns
    -------
    float
        The claimed voltage where it is one between lines, else the root of three times it. [V]

    Raises
    ------
    CaseError
        The claimed voltage cannot be read.
    """
    rated = rated_voltage(bench)
    return rated if is_between_lines(bench, rated) else math.sqrt(3) * rated


def is_between_lines(bench: BenchEvidence, rated: float) -> bool:
    """Say whether a rated voltage of a three-phase unit is that between two lines.

    Parameters
    ----------
    bench : BenchEvidence
        With the voltage of the supply.
    rated : float
        The rated voltage. [V]

    Returns
    -------
    bool
        True where it is too high to be that from a line to the neutral.

    Raises
    ------
    InputError
        An own value of the case leaves the supply's voltage out.
    """
    return rated > FROM_LINE_TO_LINE * supply_voltage(bench.book)


def voltage_between(bench: BenchEvidence, nets: tuple[str, str]) -> float | None:
    """Return the voltage that the names of two nets tell.

    Parameters
    ----------
    bench : BenchEvidence
        With the rated voltage.
    nets : tuple of str
        Two nets.

    Returns
    -------
    float or None
        That between two lines, that from a line to the neutral; None for anything else. [V]

    Raises
    ------
    CaseError
        The claimed voltage cannot be read.
    """
    if between_lines(*nets):
        return line_voltage(bench)
    return line_voltage(bench) / math.sqrt(3) if across(*nets) in (BEFORE_FUSE, BEHIND_FUSE) else None
