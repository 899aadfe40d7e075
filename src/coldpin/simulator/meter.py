"""Virtual meters: a truth goes in, a reading comes out as a person would write it down."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.errors import OutsideRange


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterRange:
    """One range of a meter.

    ``top`` is the largest truth it shows and ``digit`` one count, both in the unit of the truth. ``unit`` is what the
    display says, ``factor`` what one of it is in the unit of the truth.
    """

    top: float
    digit: float
    unit: str
    factor: float = 1.0

    @property
    def decimals(self) -> int:
        """Figures that the display has after the point."""
        shown = self.digit / self.factor
        places = 0
        while shown < 1.0 - 1e-9:
            shown *= 10.0
            places += 1
        return places


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualMeter:
    """A meter for one quantity, and the limits its maker states: ``percent`` of reading plus ``digits`` counts.

    The bench draws one part of the limits for all of its readings; ``scatter`` counts come on top, drawn for each
    reading from a rectangular distribution of that half-width.
    """

    name: str
    percent: float
    digits: int
    ranges: tuple[MeterRange, ...]
    scatter: float = 1.0

    def __post_init__(self) -> None:
        if not self.ranges:
            raise OutsideRange(f"virtual meter {self.name}: it has no range; give at least one")

    def range_for(self, truth: float) -> MeterRange | None:
        """Return the smallest range that shows a truth, or None where it is beyond them all.

        Parameters
        ----------
        truth : float
            What is measured, in the unit of the ranges. [unit of the ranges]

        Returns
        -------
        MeterRange or None
            The range an automatic meter picks.
        """
        held = [one for one in sorted(self.ranges, key=lambda one: one.top) if abs(truth) <= one.top]
        return held[0] if held else None

    def show(self, truth: float, *, part: float, scattered: float = 0.0) -> str:
        """Return the reading of a truth.

        Parameters
        ----------
        truth : float
            What is measured, in the unit of the ranges. [unit of the ranges]
        part : float
            The part of the stated limits by which this meter is off, from -1 to 1. [1]
        scattered : float
            What this reading scatters by, from -1 to 1 of the meter's ``scatter``. [1]

        Returns
        -------
        str
            Figures and unit; "> " and the top of the largest range where the truth is beyond it.

        Examples
        --------
        >>> ranges = (MeterRange(top=2.0, digit=0.001, unit="Ω"),)
        >>> ohms = VirtualMeter(name="ohms", percent=0.5, digits=2, ranges=ranges)
        >>> ohms.show(0.1184, part=1.0), ohms.show(9.0, part=1.0)
        ('0.121 Ω', '> 2.000 Ω')
        """
        used = self.range_for(truth)
        if used is None:
            last = max(self.ranges, key=lambda one: one.top)
            return f"> {last.top / last.factor:.{last.decimals}f} {last.unit}"
        limit = self.percent / 100.0 * abs(truth) + self.digits * used.digit
        counts = round((truth + part * limit) / used.digit + scattered * self.scatter)
        return f"{counts * used.digit / used.factor:.{used.decimals}f} {used.unit}"
