"""What a lead takes from the voltage at the car, in the form that ``coldpin voltage-drop --json`` prints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.quantity.model import Quantity
from coldpin.records.finding import Limit, Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceImpedance:
    """How much the voltage of a supply gives way to current.

    ``resistance_ohm`` is the part in phase with a load that heats: what a car meets, and nearly the whole. ``method``
    says how it was found. Of a log, ``least_squares_ohm`` and ``median_ohm`` are two estimates from the same
    ``steps`` of current, ``scatter_ohm`` is how far a single step lies off (median absolute deviation): other loads
    move the voltage too.
    """

    resistance_ohm: Quantity
    method: str
    steps: int = 0
    least_squares_ohm: float | None = None
    median_ohm: float | None = None
    scatter_ohm: float | None = None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltageAtVehicle:
    """The voltage that is left at the car, with the drop in the supply and its wiring.

    ``unloaded_v`` is the voltage before the charge, line to neutral: the nominal one, with an
    uncertainty that is not known, where it was not read. ``least_v``
    is the lower end of what the supply itself may have; ``left_v`` is what the voltage at the car is above it.
    """

    unloaded_v: Quantity
    source: SourceImpedance
    source_drop_v: Quantity
    at_vehicle_v: Quantity
    path_percent: Quantity
    tolerance: Limit
    least_v: float
    left_v: Quantity
    outcome: Outcome
    probability: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TabulatedDrop:
    """What a printed table gives for the size on the print: beside the measured drop, at the table's temperature."""

    drop_v: float
    conductor_temperature_c: float
    limit: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltageDrop:
    """What a lead takes at a current.

    ``core_20c_ohm`` is one conductor of the lead from end to end at 20 °C, ``core_hot_ohm`` the same at
    ``conductor_temperature_c``; ``from_what`` says whether it was measured. Where both were read it is the mean of
    ``line_20c_ohm`` and ``neutral_20c_ohm``, which are null elsewhere. ``lead_v`` is lost out and back with one phase,
    in each line with three. ``lead_percent`` is of the nominal voltage and is placed against ``limit``, of which
    ``left_percent`` remains for the wiring before the socket. ``not_counted`` names what of the way is in none of
    these, so that they are a lower end; ``allowed_percent`` is the most that is allowed for it, and ``outcome`` is
    within only with that on top. ``vehicle`` is null where nothing is known of the supply. ``questions`` are about
    values that look like slips: where one is asked nothing is decided; nothing was changed.
    """

    schema: Literal["coldpin.voltage_drop/1"]
    phases: int
    current_a: Quantity
    power_factor: float
    core_20c_ohm: Quantity
    core_hot_ohm: Quantity
    conductor_temperature_c: float
    from_what: str
    lead_v: Quantity
    lead_percent: Quantity
    limit: Limit
    left_percent: Quantity
    outcome: Outcome
    probability: float | None
    tabulated: TabulatedDrop | None
    vehicle: VoltageAtVehicle | None
    statements: tuple[str, ...]
    remarks: tuple[str, ...]
    questions: tuple[str, ...] = ()
    line_20c_ohm: Quantity | None = None
    neutral_20c_ohm: Quantity | None = None
    not_counted: tuple[str, ...] = ()
    allowed_percent: float = 0.0
