"""Numbers with uncertainty: how they are written, how they propagate, how they are placed against limits."""

from coldpin.quantity.bound import AtLeast, AtMost
from coldpin.quantity.decision import Decision, Rule, decide, find_rule
from coldpin.quantity.distribution import (
    arcsine,
    correlated,
    from_joint_readings,
    from_readings,
    normal,
    rectangular,
    triangular,
)
from coldpin.quantity.linear import Share, add_components, assemble, budget_shares, correlation, in_unit
from coldpin.quantity.marking import read_chip_marking
from coldpin.quantity.model import COVERAGE, Component, Quantity, Shape, coverage_factor
from coldpin.quantity.printing import (
    format_figure,
    format_figures,
    format_in_steps,
    format_quantity,
    format_reading,
    format_value,
)
from coldpin.quantity.propagation import propagate, simulate, with_true_interval
from coldpin.quantity.text import parse_quantity, parse_reading, step_written
from coldpin.quantity.units import convert, convert_difference, find_unit, known_units

__all__ = [
    "COVERAGE",
    "AtLeast",
    "AtMost",
    "Component",
    "Decision",
    "Quantity",
    "Rule",
    "Shape",
    "Share",
    "add_components",
    "arcsine",
    "assemble",
    "budget_shares",
    "convert",
    "convert_difference",
    "correlated",
    "correlation",
    "coverage_factor",
    "decide",
    "find_rule",
    "find_unit",
    "format_figure",
    "format_figures",
    "format_in_steps",
    "format_quantity",
    "format_reading",
    "format_value",
    "from_joint_readings",
    "from_readings",
    "in_unit",
    "known_units",
    "normal",
    "parse_quantity",
    "parse_reading",
    "step_written",
    "propagate",
    "read_chip_marking",
    "rectangular",
    "simulate",
    "triangular",
    "with_true_interval",
]
