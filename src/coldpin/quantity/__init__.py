"""Numbers with uncertainty: how they are written, how they propagate, how they are placed against limits."""

from coldpin.quantity.model import Component, Quantity, Shape, coverage_factor

__all__ = ["Component", "Quantity", "Shape", "coverage_factor"]
