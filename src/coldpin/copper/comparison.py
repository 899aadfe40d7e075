r"""A known cable in the same loop: the same current, the same air, a like diameter, so that most of the film cancels.

.. math:: \frac{R'_x}{R'_k} = \frac{D_x h_x \Delta T_x}{D_k h_k \Delta T_k} \cdot \frac{n_k}{n_x} \cdot
          \frac{1 + \alpha_k (\theta_k - 20)}{1 + \alpha_x (\theta_x - 20)}

Both films are wrong by the same part; what stays is how bright each sheath is, and how well two rises are known. Lay
both side by side with a hand's breadth between, on the same kind of support, and take both rises in one minute.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.air_film import FILM, Arrangement, film_interval
from coldpin.copper.steady import hot_resistance
from coldpin.errors import InputError
from coldpin.quantity import Quantity, format_value, propagate, rectangular
from coldpin.standards.table import needed

Number = float | NDArray[np.float64]

LIKE = 1.5
"""Ours: diameters further apart than this are no like cables; the correlation no longer cancels between them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmCable:
    """One cable of the loop as measured in the end.

    ``sheath`` [°C], ``diameter`` over the sheath [m], ``inner`` is T1/n + T3 [K·m/W], ``coefficient`` α of its metal at
    20 °C [1/K], ``cores`` how many carry the current, ``emissivity`` of its sheath [1], None for "a dark sheath".
    """

    sheath: Quantity
    diameter: Quantity
    inner: Quantity
    coefficient: float
    cores: int
    emissivity: Quantity | None = None


def compare_cables(
    unknown: WarmCable, known: WarmCable, *, known_resistance: Quantity, ambient: Quantity, arrangement: Arrangement
) -> Quantity:
    """Return the resistance at 20 °C of a cable from that of a known one that carries the same current beside it.

    Parameters
    ----------
    unknown : WarmCable
        The cable in question.
    known : WarmCable
        The cable beside it.
    known_resistance : Quantity
        Of one core of the known cable at 20 °C. [Ω/m]
    ambient : Quantity
        The air of both. [°C]
    arrangement : Arrangement
        How both lie.

    Returns
    -------
    Quantity
        R' of one core of the unknown cable at 20 °C. [Ω/m]

    Raises
    ------
    InputError
        A sheath is not warmer than the air, or the diameters are not alike.

    Examples
    --------
    >>> from coldpin.copper.air_film import arrange
    >>> from coldpin.quantity import normal
    >>> from coldpin.standards.book import load_book
    >>> def cord(sheath: float, name: str) -> WarmCable:
    ...     return WarmCable(
    ...         sheath=normal(sheath, 0.3, "°C", id=f"{name} sheath"), coefficient=0.00393, cores=2,
    ...         diameter=normal(0.0112, 0.0001, "m", id=f"{name} D"),
    ...         inner=normal(0.83, 0.08, "K·m/W", id=f"{name} Ti"))
    >>> found = compare_cables(
    ...     cord(48.0, "x"), cord(40.0, "k"), known_resistance=normal(0.0078, 3e-5, "Ω/m", id="k"),
    ...     ambient=normal(25.0, 0.2, "°C", id="room"), arrangement=arrange(load_book()))
    >>> round(1e3 * found.value, 1), round(100 * found.expanded / found.value)
    (12.5, 7)

    Sources
    -------
    The budget of one sheath (:func:`coldpin.copper.warm_sheath.resistance_from_sheath`) with what is common struck out.
    """
    larger, smaller = sorted((unknown.diameter.value, known.diameter.value), reverse=True)
    if larger > LIKE * smaller:
        raise InputError(
            f"the cables are {format_value(1e3 * larger, 'mm')} and {format_value(1e3 * smaller, 'mm')} across: "
            f"compare cables whose diameters differ by less than {LIKE:g} times"
        )
    inputs: dict[str, Quantity | float] = {"known_resistance": known_resistance, "ambient": ambient}
    for name, cable in (("unknown", unknown), ("known", known)):
        if not cable.sheath.value > ambient.value:
            raise InputError(
                f"the sheath of the {name} cable is not warmer than the air: wait, or look at the thermometers"
            )
        inputs |= {
            f"{name}_sheath": cable.sheath,
            f"{name}_diameter": cable.diameter,
            f"{name}_inner": cable.inner,
            f"{name}_emissivity": cable.emissivity or _dark(arrangement, name),
        }
    film = film_interval(
        arrangement, diameter=unknown.diameter.value, surface=unknown.sheath.value, ambient=ambient.value
    )
    inputs["scale"] = rectangular(1.0, float(film.half), "1", id=FILM, label="film of air, common to both")

    def loss(name: str, cable: WarmCable, given: dict[str, Number]) -> Number:
        """Return the heat of one core, over its resistance's rise with temperature."""
        sheath, ambient, diameter = given[f"{name}_sheath"], given["ambient"], given[f"{name}_diameter"]
        outer = film_interval(
            arrangement,
            diameter=diameter,
            surface=sheath,
            ambient=ambient,
            emissivity=given[f"{name}_emissivity"],
        ).middle
        heat = np.pi * diameter * given["scale"] * outer * (sheath - ambient)
        metal = sheath + heat * given[f"{name}_inner"]
        return heat / cable.cores / hot_resistance(resistance=1.0, temperature=metal, coefficient=cable.coefficient)

    def resistance(**given: Number) -> Number:
        return given["known_resistance"] * loss("unknown", unknown, given) / loss("known", known, given)

    return propagate(resistance, inputs, "Ω/m", monte_carlo=False)


def _dark(arrangement: Arrangement, name: str) -> Quantity:
    """Return the emissivity of a dark sheath, each cable's own."""
    span = arrangement.constants.emissivity
    low, high = needed(span, "minimum"), needed(span, "maximum")
    return rectangular(
        needed(span, "nominal"), 0.5 * (high - low), "1", id=f"{name}: {span.id}", label=f"emissivity, {name} cable"
    )
