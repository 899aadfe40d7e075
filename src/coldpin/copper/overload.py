"""Overload: what the device before the socket lets flow for long, against what the cable is rated for."""

from __future__ import annotations

from coldpin.records.fault import Overload, ProtectiveDevice
from coldpin.records.finding import Limit, Outcome
from coldpin.standards.book import Book
from coldpin.standards.cable_ratings import row_text
from coldpin.standards.protective_device import (
    conventional_currents,
    overload_factor,
)
from coldpin.standards.table import needed

ROUNDING = 1e-9
"""Part by which a product of two decimal numbers may lie above their printed product."""


def overload(device: ProtectiveDevice, cable: Limit, book: Book) -> Overload | None:
    """Say whether the device before the socket protects a cable from too much current.

    Parameters
    ----------
    device : ProtectiveDevice
        The device.
    cable : Limit
        What the cable may carry, as its maximum. [A]
    book : Book
        The constants.

    Returns
    -------
    Overload or None
        Undecided where it is not known at which current the device acts; None where nothing is known of it.

    Raises
    ------
    InputError
        The cable's rating has no number.

    Examples
    --------
    >>> from coldpin.records.finding import Standing
    >>> from coldpin.standards.book import load_book
    >>> cord = Limit(id="cord", title="1 mm²", unit="A", maximum=10.0, source="plate", standing=Standing.READ)
    >>> told = overload(ProtectiveDevice(kind="B", rating_a=16.0), cord, load_book())
    >>> round(told.acts_at_a, 1), told.outcome.value
    (23.2, 'beyond')

    Sources
    -------
    ``overload.cable``, ``trip.conventional*``: IEC 60364-4-43 433.1, EN 60898-1.
    """
    currents = conventional_currents(book, device)
    if currents is None:
        return None
    factor = overload_factor(book)
    most = needed(factor, "maximum") * needed(cable, "maximum")
    acts = currents.carries if currents.acts is None else currents.acts
    protected = device.rating_a <= needed(cable, "maximum") and acts <= most * (1.0 + ROUNDING)
    return Overload(
        carries_a=currents.carries,
        acts_at_a=currents.acts,
        cable=cable,
        largest_acting_a=most,
        outcome=_outcome(protected, known=currents.acts is not None),
        limits=(currents.limit, factor),
    )


def _outcome(protected: bool, *, known: bool) -> Outcome:
    """Return beyond where the device lets too much flow, and within only where it is known at what it acts."""
    if not protected:
        return Outcome.BEYOND
    return Outcome.WITHIN if known else Outcome.UNDECIDED


def overload_statement(told: Overload, device: ProtectiveDevice) -> str:
    """Return what the protection from overload comes to, in one sentence.

    Parameters
    ----------
    told : Overload
        The outcome.
    device : ProtectiveDevice
        The device.

    Returns
    -------
    str
        What the device carries, at what it acts, and what the cable may carry.

    Examples
    --------
    >>> from coldpin.records.finding import Standing
    >>> from coldpin.standards.book import load_book
    >>> cord = Limit(id="cord", title="1 mm²", unit="A", maximum=10.0, source="plate", standing=Standing.READ)
    >>> device = ProtectiveDevice(kind="B", rating_a=16.0)
    >>> overload_statement(overload(device, cord, load_book()), device)[:70]
    'A B16 may carry 18.1 A for an hour and more and acts within the hour a'
    """
    acts = "" if told.acts_at_a is None else f" and acts within the hour at {told.acts_at_a:.3g} A"
    by_row = "as given" if told.cable.asserted_by else row_text(told.cable)
    cable = f"the cable may carry {needed(told.cable, 'maximum'):g} A {by_row}"
    first = f"A {device.name} may carry {told.carries_a:.3g} A for an hour and more{acts}; {cable}"
    if told.outcome is Outcome.WITHIN:
        return f"{first}, which the device protects from overload."
    if told.outcome is Outcome.UNDECIDED:
        return (
            f"{first}; at which current the device acts within the hour is not known, and it must be "
            f"{told.largest_acting_a:.3g} A or less."
        )
    return f"{first}, which the device does not protect from overload."
