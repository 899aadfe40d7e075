r"""Joints of a core with its pins: what is left when the conductor is taken from the whole, and the heat it makes.

.. math:: R_\mathrm{pins} = R_\mathrm{plug\ side} + R_\mathrm{conductor} + R_\mathrm{connector\ side},
    \quad P = I^2 R

Taps on the pins see everything; taps inside, on the core itself, see the conductor; taps on a pin and on the core
behind it see that joint alone. A joint that was not tapped follows as a difference, and the gain that is common to the
readings of one meter drops out of it; what its last digits are off by does not.

Two joints that were read together are good where all of it in one of them would be, and beyond where the other, as much
as a good one may have, does not save either: a sum says nothing of how it is shared.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.quantity import Quantity, add_components, convert, decide, format_quantity, in_unit, propagate, rectangular
from coldpin.records.conductor import JointResistance, PinToPin
from coldpin.records.finding import Outcome
from coldpin.standards.book import Book
from coldpin.standards.table import needed

Number = float | NDArray[np.float64]

PLUG_SIDE, CONNECTOR_SIDE, BOTH_SIDES = "plug side", "connector side", "both sides"


@dataclass(frozen=True, slots=True, kw_only=True)
class Taps:
    """Resistances of one core by where the voltage was tapped; None where it was not. [Ω]

    ``pins`` from pin to pin, ``inside`` on the conductor at both ends, ``plug_side`` and ``connector_side`` each over
    one joint. ``digits`` is by the same names what the last digits of the meter may be off by, either way, from one
    reading to the next: one statement of accuracy makes it part of what is common, and no difference frees of it.
    """

    pins: Quantity | None = None
    inside: Quantity | None = None
    plug_side: Quantity | None = None
    connector_side: Quantity | None = None
    digits: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))


def heat(*, resistance: Number, current: Number) -> Number:
    r"""Return the heat a current makes in a resistance.

    .. math:: P = I^2 R

    Parameters
    ----------
    resistance : float or array of shape (n,)
        R. [Ω]
    current : float or array of shape (n,)
        I, r.m.s. [A]

    Returns
    -------
    float or array of shape (n,)
        P. [W]

    Examples
    --------
    >>> round(heat(resistance=0.005, current=32.0), 2)
    5.12

    Sources
    -------
    Joule's law.
    """
    return current**2 * resistance


def separate(taps: Taps, book: Book, *, current: float | None = None) -> PinToPin:
    """Take a core from pin to pin apart into its joints and the conductor between them.

    Parameters
    ----------
    taps : Taps
        What was read; both the whole and the conductor must be known, read or as the sum or difference of the others.
    book : Book
        The constants.
    current : float, optional
        The current for which heat is told, such as the one that is offered. [A]

    Returns
    -------
    PinToPin
        Each joint, or both together, with uncertainty, share of the whole and heat.

    Raises
    ------
    InputError
        The readings do not tell the joints from the conductor.

    Examples
    --------
    >>> from coldpin.quantity import rectangular
    >>> from coldpin.standards.book import load_book
    >>> pins = rectangular(0.0520, 1e-4, "Ω", id="meter: 0.2 % of reading")
    >>> inside = rectangular(0.0380, 0.76e-4, "Ω", id="meter: 0.2 % of reading")
    >>> joint = separate(Taps(pins=pins, inside=inside), load_book(), current=16.0).joints[0]
    >>> joint.where, round(joint.resistance_ohm.value, 4), round(joint.resistance_ohm.u, 6)
    ('both sides', 0.014, 1.4e-05)
    >>> round(joint.heat_w.value, 2), joint.outcome.value
    (3.58, 'beyond')

    Sources
    -------
    ``joint.contact``; Kirchhoff's and Joule's laws.
    """
    whole, conductor = _whole(taps), _conductor(taps)
    limit = book.limit("joint.contact")
    found = tuple(
        _joint(where, resistance, count, whole, current, book)
        for where, resistance, count in _joints(taps, whole, conductor)
    )
    return PinToPin(
        whole_ohm=whole,
        conductor_ohm=conductor,
        joints=found,
        limit=limit,
        current_a=current,
        remarks=tuple(remark for joint in found for remark in _questioned(joint)),
    )


def _whole(taps: Taps) -> Quantity:
    if taps.pins is not None:
        return taps.pins
    if taps.inside is not None and taps.plug_side is not None and taps.connector_side is not None:
        parts = {"plug": taps.plug_side, "inside": taps.inside, "connector": taps.connector_side}
        return propagate(lambda plug, inside, connector: plug + inside + connector, parts, "Ω")
    raise InputError(
        "the whole from pin to pin is not known: tap it on the pins, or tap the conductor and both joints apart"
    )


def _conductor(taps: Taps) -> Quantity:
    if taps.inside is not None:
        return taps.inside
    if taps.pins is not None and taps.plug_side is not None and taps.connector_side is not None:
        parts = {"pins": taps.pins, "plug": taps.plug_side, "connector": taps.connector_side}
        found = propagate(lambda pins, plug, connector: pins - plug - connector, parts, "Ω")
        return _with_digits(found, taps, ("pins", "plug_side", "connector_side"))
    raise InputError(
        "taps on the pins alone do not tell the joints from the conductor: tap the conductor inside as well"
    )


def _joints(taps: Taps, whole: Quantity, conductor: Quantity) -> tuple[tuple[str, Quantity, int], ...]:
    """Return place, resistance and number of joints in it."""
    known = {PLUG_SIDE: taps.plug_side, CONNECTOR_SIDE: taps.connector_side}
    read = [(where, joint, 1) for where, joint in known.items() if joint is not None]
    if len(read) == len(known):
        return tuple(read)
    if not read:
        both = propagate(lambda whole, inside: whole - inside, {"whole": whole, "inside": conductor}, "Ω")
        return ((BOTH_SIDES, _with_digits(both, taps, ("pins", "inside")), len(known)),)
    where, joint, _ = read[0]
    other = CONNECTOR_SIDE if where == PLUG_SIDE else PLUG_SIDE
    parts = {"whole": whole, "inside": conductor, "joint": joint}
    rest = propagate(lambda whole, inside, joint: whole - inside - joint, parts, "Ω")
    rest = _with_digits(rest, taps, ("pins", "inside", where.replace(" ", "_")))
    return tuple(sorted([*read, (other, rest, 1)], key=lambda one: one[0] != PLUG_SIDE))


def _with_digits(difference: Quantity, taps: Taps, names: tuple[str, ...]) -> Quantity:
    """Add to a difference of readings what the last digits of each may be off by."""
    own = [
        rectangular(0.0, taps.digits[name], "Ω", id=f"last digits: {name}", label=f"last digits, {_PLACES[name]}")
        for name in names
        if taps.digits.get(name)
    ]
    return add_components(difference, [component for one in own for component in one.components])


_PLACES = {"pins": "from pin to pin", "inside": "inside", "plug_side": PLUG_SIDE, "connector_side": CONNECTOR_SIDE}


def _joint(
    where: str, resistance: Quantity, count: int, whole: Quantity, current: float | None, book: Book
) -> JointResistance:
    limit = book.limit("joint.contact")
    outcome, probability = _placed(resistance, convert(needed(limit, "maximum"), limit.unit, "Ω"), count)
    below = is_below_zero(resistance)
    warm = None if current is None else propagate(heat, {"resistance": resistance, "current": current}, "W")
    share = propagate(lambda joint, whole: joint / whole, {"joint": resistance, "whole": whole}, "1")
    return JointResistance(
        where=where,
        resistance_ohm=resistance,
        share=share,
        heat_w=warm,
        probability=None if below else probability,
        outcome=Outcome.UNDECIDED if below else outcome,
    )


def _placed(resistance: Quantity, most: float, count: int) -> tuple[Outcome, float | None]:
    """Place one joint, or several together: within where one alone may have it all, beyond where all of them may not.

    Between the two it hangs on how it is shared, and there is no probability of that.
    """
    alone, together = decide(resistance, maximum=most), decide(resistance, maximum=count * most)
    if Outcome(alone.outcome) is Outcome.WITHIN or count == 1:
        return Outcome(alone.outcome), alone.probability
    if Outcome(together.outcome) is Outcome.BEYOND:
        return Outcome.BEYOND, together.probability
    return Outcome.UNDECIDED, None


def is_below_zero(resistance: Quantity) -> bool:
    """Say whether what is left of a joint lies below zero for sure, so that the readings do not go together.

    Parameters
    ----------
    resistance : Quantity
        Of the joint. [Ω]

    Returns
    -------
    bool
        Whether even its upper end does; the value itself where the uncertainty is not known.

    Examples
    --------
    >>> is_below_zero(Quantity(-0.008, 1e-4, "Ω")), is_below_zero(Quantity(-1e-5, 1e-4, "Ω"))
    (True, False)
    """
    return (resistance.high if resistance.high is not None else resistance.value) < 0.0


JOINT_UNIT = "mΩ"
"""Ours: every resistance of a joint is printed in it, so that a good one and a bad one are compared at a glance."""


def of_joint(resistance: Quantity) -> Quantity:
    """Return the resistance of a joint in the unit in which all of them are printed.

    Parameters
    ----------
    resistance : Quantity
        Of the joint. [Ω]

    Returns
    -------
    Quantity
        The same. [mΩ]

    Examples
    --------
    >>> format_quantity(of_joint(Quantity(0.0012, 1e-5, "Ω"))), format_quantity(of_joint(Quantity(383e-6, 4e-6, "Ω")))
    ('1.200 mΩ ± 0.020 mΩ', '0.3830 mΩ ± 0.0078 mΩ')
    """
    return in_unit(resistance, JOINT_UNIT)


def _questioned(joint: JointResistance) -> tuple[str, ...]:
    if not is_below_zero(joint.resistance_ohm):
        return ()
    told = format_quantity(of_joint(joint.resistance_ohm))
    asked = (
        f"what is left of joints, {joint.where}, comes out below zero ({told}): was the core warmer, or did a tap sit "
        "elsewhere, for one of the readings?"
    )
    return (asked,)
