"""What a heating log says, in the form that ``coldpin temperature-rise --json`` prints, and what its figure shows."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from coldpin.quantity.model import Quantity
from coldpin.records.current_map import StopValues
from coldpin.records.finding import Limit, Outcome


class HeatedPart(StrEnum):
    """Which part a temperature was taken of; a conductor's is that of its resistance, the mean over its length."""

    SHEATH = "sheath"
    PLUG = "plug"
    CONNECTOR = "connector"
    PIN = "pin"
    CONDUCTOR = "conductor"


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentPhase:
    """A stretch of a log with one current.

    ``start_s`` and ``end_s`` from the first row [s], ``current_a`` the mean, null where it was not logged [A].
    ``fitted`` is true for the stretch that the curve was fitted to.
    """

    start_s: float
    end_s: float
    current_a: float | None
    fitted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatingChart:
    """What the figure shows: readings in blocks, the best curve, where the curve may lie, also after the readings.

    Tuples of one length each: ``time_s`` from the first row, ``read_c``, ``fitted_c``, ``residual_k``; and ``at_s``,
    ``low_c``, ``middle_c``, ``high_c`` for the band of 95 %.
    """

    time_s: tuple[float, ...]
    read_c: tuple[float, ...]
    fitted_c: tuple[float, ...]
    residual_k: tuple[float, ...]
    at_s: tuple[float, ...]
    low_c: tuple[float, ...]
    middle_c: tuple[float, ...]
    high_c: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureRise:
    """Where a heated part comes in the end, from a log of its heating.

    ``end_temperature_c`` at the current and ambient of the test, ``end_rise_k`` over that ambient, ``at_rated_c`` at
    the rated current in the hottest ambient (null where none was named). Where the uncertainty is not known ``low`` and
    ``high`` are those of the readings alone. ``open_above``: the run was stopped so early that nothing bounds the end
    from above. ``terms`` exponentials were the likeliest; ``time_constant_s`` is that of the slow one,
    ``fast_constants_s`` those of the others. ``lasted_s`` is the stretch that was fitted, ``reached`` the share of the
    rise in the end that it reached, null where that is open, ``slope_k_per_h`` that at its end, null where it has too
    few readings. ``scatter_k`` is that of the readings about the curve, ``scatter_lasts_s`` how long it hangs together
    (0: every reading errs alone). ``limit`` is what ``at_rated_c`` is placed against, else ``end_temperature_c``;
    ``stop_at_c`` is the limit less the thermometer's uncertainty; ``stops`` are the readings at which such a test is
    stopped for insulation, hand and accessory, lowest first, null where the thermometer's accuracy is not stated.
    """

    schema: Literal["coldpin.temperature_rise/1"]
    part: HeatedPart
    column: str
    arrangement: str
    current_a: Quantity
    ambient_c: Quantity
    end_temperature_c: Quantity
    end_rise_k: Quantity
    time_constant_s: Quantity
    fast_constants_s: tuple[float, ...]
    terms: int
    open_above: bool
    lasted_s: float
    reached: float | None
    slope_k_per_h: float | None
    scatter_k: float
    scatter_lasts_s: float
    rated_current_a: float | None
    max_ambient_c: float | None
    at_rated_c: Quantity | None
    limit: Limit | None
    stop_at_c: float | None
    stops: StopValues | None
    outcome: Outcome
    probability: float | None
    statement: str
    phases: tuple[CurrentPhase, ...]
    questions: tuple[str, ...]
    remarks: tuple[str, ...]
    chart: HeatingChart
