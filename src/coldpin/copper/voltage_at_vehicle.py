"""Voltage at the vehicle: what supply and lead leave of the voltage, and what that is above the least it may be."""

from __future__ import annotations

from coldpin.copper.resistance import Number
from coldpin.quantity import Quantity, decide, propagate
from coldpin.records.finding import Outcome
from coldpin.records.voltage_drop import SourceImpedance, VoltageAtVehicle
from coldpin.standards.book import Book
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import supply_tolerance, supply_voltage


def at_vehicle(
    lead: Quantity,
    *,
    current: Quantity,
    source: SourceImpedance,
    book: Book,
    unloaded: Quantity | None = None,
) -> VoltageAtVehicle:
    """Return the voltage at the car, and what it is above the lowest that a supply may have.

    Parameters
    ----------
    lead : Quantity
        What the lead takes, line to neutral. [V]
    current : Quantity
        The current. [A]
    source : SourceImpedance
        Of the supply at the socket.
    book : Book
        The constants.
    unloaded : Quantity, optional
        The voltage at the socket without load; the nominal one, of unknown accuracy, where it was not read. [V]

    Returns
    -------
    VoltageAtVehicle
        Voltage, drop of the whole path, and what is left of the supply's tolerance.

    Raises
    ------
    InputError
        An own value of the case leaves out a number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> known = SourceImpedance(resistance_ohm=Quantity(0.25, 0.02, "Ω"), method="stated")
    >>> lead, load = Quantity(1.5, 0.01, "V"), Quantity(16.0, 0.0, "A")
    >>> told = at_vehicle(lead, current=load, source=known, book=load_book(), unloaded=Quantity(230.0, 0.5, "V"))
    >>> round(told.at_vehicle_v.value, 1), round(told.left_v.value, 1), told.outcome.value
    (224.5, 17.5, 'within')
    >>> at_vehicle(lead, current=load, source=known, book=load_book()).outcome.value
    'undecided'

    Sources
    -------
    ``supply.tolerance``, IEC 60038 and EN 50160.
    """
    nominal = supply_voltage(book)
    before = unloaded if unloaded is not None else Quantity(nominal, None, "V", why=NOT_READ)
    taken = propagate(_source_drop, {"current": current, "resistance": source.resistance_ohm}, "V", monte_carlo=False)
    left = propagate(_at_vehicle, {"before": before, "source": taken, "lead": lead}, "V")
    tolerance = supply_tolerance(book)
    least = nominal * (1.0 + needed(tolerance, "minimum") / 100.0)
    decision = decide(left, minimum=least)
    return VoltageAtVehicle(
        unloaded_v=before,
        source=source,
        source_drop_v=taken,
        at_vehicle_v=left,
        path_percent=propagate(
            _path_percent, {"source": taken, "lead": lead, "nominal": nominal}, "%", monte_carlo=False
        ),
        tolerance=tolerance,
        least_v=least,
        left_v=propagate(_above, {"voltage": left, "least": least}, "V", monte_carlo=False),
        outcome=Outcome(decision.outcome),
        probability=decision.probability,
    )


NOT_READ = "the voltage without load was not read"


def _source_drop(*, current: Number, resistance: Number) -> Number:
    return current * resistance


def _at_vehicle(*, before: Number, source: Number, lead: Number) -> Number:
    return before - source - lead


def _path_percent(*, source: Number, lead: Number, nominal: float) -> Number:
    return 100.0 * (source + lead) / nominal


def _above(*, voltage: Number, least: float) -> Number:
    return voltage - least
