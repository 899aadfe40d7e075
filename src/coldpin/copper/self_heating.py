"""Self-heating: by how much the test current has warmed a conductor when it is read."""

from __future__ import annotations

from coldpin.copper.resistance import Number
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, rectangular
from coldpin.standards.book import Book
from coldpin.standards.metals import resistivity, volumetric_heat
from coldpin.standards.table import needed

MOST_TEST_CURRENT = 10.0
"""Ours: the largest current that the procedure asks for; it is reckoned with where none is stated. [A]"""


FELT = 10.0
"""Ours: a cable whose metal a test current has warmed by more is felt, and the procedure stops there. [K]"""


TOLD_FROM = 1.0
"""Ours: warming of less moves a resistance by less than 0.4 %, and is told in the budget alone. [K]"""


def adiabatic_rate(*, current: Number, linear: Number, resistivity: float, heat: float) -> Number:
    r"""Return how fast a current would warm a conductor that gives no heat away.

    .. math:: \frac{\mathrm d t}{\mathrm d \tau} = \frac{I^2 R'}{A\,c} = \frac{I^2 R'^2}{\rho\,c}

    Parameters
    ----------
    current : float or array of shape (n,)
        I. [A]
    linear : float or array of shape (n,)
        R'. [Ω/km]
    resistivity : float
        ρ of copper, which gives the area A = ρ/R'. [Ω·m]
    heat : float
        c of copper by volume. [J/(m³·K)]

    Returns
    -------
    float or array of shape (n,)
        The rate. Insulation takes heat at once, so that the true one is lower; of clad wire, which holds more heat for
        its resistance, it is lower still. [K/s]

    Examples
    --------
    >>> round(adiabatic_rate(current=10.0, linear=7.41, resistivity=1.7241e-8, heat=3.45e6), 3)
    0.092

    Sources
    -------
    ``metal.copper.*``; heat balance.
    """
    return (current * linear / 1000.0) ** 2 / (resistivity * heat)


def self_heating(
    *, current: Quantity | None, since: Quantity | None, linear: float, cores: int, book: Book
) -> tuple[Quantity, tuple[str, ...]]:
    r"""Return by how much the test current had warmed the metal when it was read: anything from none to a bound.

    .. math:: \Delta t \le \min\left(\frac{I^2 R'^2}{\rho c}\,\tau,\; n I^2 R'\,T\right)

    Up to τ seconds the metal cannot have warmed faster than if it gave no heat away, and never further than a thin
    cord's thermal resistance T to the air lets it.

    Parameters
    ----------
    current : Quantity, optional
        I; None where it is not stated, then the largest current of the procedure bounds the warming. [A]
    since : Quantity, optional
        τ, from switching on to reading; None where it is not stated, then the end of warming bounds it. [s]
    linear : float
        R', near enough. [Ω/km]
    cores : int
        n, cores in series, all of which warm the cable.
    book : Book
        The constants.

    Returns
    -------
    Quantity
        Δt, rectangular from 0 to the bound; where the current is not stated nothing is corrected, and the bound
        widens the uncertainty either way. [K]
    tuple of str
        A remark where current or time are not stated.

    Raises
    ------
    OutsideRange
        The time is below zero.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> ten, five = Quantity(10.0, 0.0, "A"), Quantity(5.0, 0.0, "s")
    >>> rise, _ = self_heating(current=ten, since=five, linear=7.41, cores=1, book=load_book())
    >>> round(rise.value, 2), round(rise.high, 2)
    (0.23, 0.45)

    Sources
    -------
    ``metal.copper.*``, ``conductor-measurement.thermal-resistance``; JCGM 100:2008 F.2.4.5, an effect that is not
    corrected (standing: memory).
    """
    none = Quantity(0.0, 0.0, "K")
    if current is None:
        flowing = MOST_TEST_CURRENT
    else:
        flowing = max(abs(current.value), abs(current.high) if current.high is not None else 0.0)
    in_the_end = (
        cores * flowing**2 * linear / 1000.0 * needed(book.limit("conductor-measurement.thermal-resistance"), "maximum")
    )
    bound = in_the_end
    remarks: tuple[str, ...] = ()
    if since is None:
        remarks = (
            "the time from switching on to reading is not stated: warming is bounded by what it would be in the end",
        )
    else:
        if since.value < 0.0:
            raise OutsideRange(
                f"the time since switching on is {since.value:g} s; it must be 0 or above: give it as '5 s'"
            )
        lasting = since.high if since.high is not None else since.value
        rate = adiabatic_rate(current=flowing, linear=linear, resistivity=resistivity(book), heat=volumetric_heat(book))
        bound = min(bound, float(rate) * lasting)
    if not bound:
        return none, ()
    if current is None:
        bound = min(bound, FELT)
        said = (
            f"the test current is not stated: {MOST_TEST_CURRENT:g} A may have warmed the metal by {bound:.2g} K, "
            "which is in the uncertainty; at 1 A or less it is nothing"
        )
        uncorrected = rectangular(
            0.0, bound, "K", id="conductor: self-heating", label="warming by a test current not stated"
        )
        return uncorrected, (said,)
    half = 0.5 * bound
    if since is not None and bound > TOLD_FROM:
        said = (
            f"{flowing:.3g} A for {lasting:.3g} s may have warmed the metal by up to {bound:.2g} K: half of it is "
            "corrected for, and the rest is in the uncertainty; read sooner, or at 1 A or less"
        )
        remarks = (said,)
    return rectangular(half, half, "K", id="conductor: self-heating", label="warming by the test current"), remarks
