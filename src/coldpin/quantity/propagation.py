"""Propagation: a formula, quantities in, a quantity out."""

from __future__ import annotations

import hashlib
import inspect
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import ColdpinError, InputError, OutsideRange
from coldpin.quantity import monte_carlo as simulation
from coldpin.quantity.convolution import Described, convolvable, sum_quantiles
from coldpin.quantity.linear import CANCELLED, assemble, components_of, merge
from coldpin.quantity.model import HIGH, LOW, Component, Quantity, Shape
from coldpin.quantity.sensitivity import Slope, evaluate, name_of, slope

DRAWS = 200_000
"""Most draws of a Monte Carlo run: 1e4 / (1 - 0.95), those of JCGM 101:2008 7.2.2."""

FIRST_DRAWS = 25_000
"""Ours: draws made first; they are enough where they tell value, u and ends to within the tolerance (7.9.4 there). More
than a formula for single numbers is drawn with, so that fewer say it is one."""

LEAST_DRAWS = 1000
SEED = 101
PILOT_DRAWS = 64
CURVED = 0.01
"""Departure from the linear sum, as part of u (root mean square over the pilot draws), that is visibly nonlinear."""

STRAIGHT = 1e-3
"""Ours: a departure from the linear sum, as part of u, up to which the formula counts as linear: it moves the ends of
the interval by less than 0.003 u, half of what the sampling error of 200 000 draws would."""

FLAT_KURTOSIS = 0.15
"""Excess kurtosis of the linear sum, either way, that moves its 95 % interval by about 1 % of u (Cornish-Fisher)."""

NEGLIGIBLE = 1e-6
"""Part of u below which what the curvature of a formula adds is rounding."""

_KURTOSIS = {Shape.NORMAL: 0.0, Shape.RECTANGULAR: -1.2, Shape.TRIANGULAR: -0.6, Shape.ARCSINE: -1.5}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Linear:
    """A formula near its estimates: value, slopes and the linear sum."""

    formula: Callable[..., object]
    inputs: Mapping[str, simulation.Input]
    slopes: Mapping[str, Slope]
    quantity: Quantity

    def at(self, drawn: Mapping[str, NDArray[np.float64] | float]) -> NDArray[np.float64]:
        """Return the linear sum at draws; an array as soon as one input is uncertain."""
        total = np.asarray(self.quantity.value)
        for name, by in self.slopes.items():
            total = total + by.value * (drawn[name] - self.inputs[name].value)
        return total

    def uncertain(self) -> bool:
        """Return whether any input is uncertain at all."""
        return any(item.components for item in self.inputs.values())

    def has_quantiles(self) -> bool:
        """Return whether the distribution of the linear sum can be had by convolution."""
        return bool(self.quantity.components) and convolvable(self.quantity.components)

    def sum_quantiles(self) -> NDArray[np.float64]:
        """Return the quantiles of the linear sum, by convolution."""
        described = simulation.known_by_quantiles(self.inputs)
        if not described:
            return sum_quantiles(self.quantity.value, self.quantity.components)
        parts = merge(
            replace(component, contribution=by.value * component.contribution)
            for name, by in self.slopes.items()
            if name not in described
            for component in self.inputs[name].components
        )
        scaled = [
            sorted(self.slopes[name].value * (one - self.inputs[name].value) for one in self.inputs[name].quantiles)
            for name in sorted(described)
            if self.slopes[name].value
        ]
        return sum_quantiles(self.quantity.value, parts, [Described(quantiles=tuple(one)) for one in scaled])


def propagate(
    formula: Callable[..., object],
    inputs: Mapping[str, Quantity | float],
    unit: str,
    *,
    monte_carlo: bool | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
) -> Quantity:
    """Return the value of a formula of uncertain inputs, with uncertainty, degrees of freedom, interval and budget.

    The formula is written once, for numbers and arrays. Its sensitivities are found numerically and the linear sum is
    built from the components of the inputs. Where these are far from normal and the formula is linear, the
    distributions of the components are convolved; where asked, or where the formula is not linear, it runs on draws
    from the inputs (Monte Carlo). Where the ends of the two 95 % intervals differ by more than the tolerance of
    JCGM 101:2008 clause 8 (half a unit of the second significant digit of u, and more than twice the standard error
    of the draws), value, u, interval and quantiles are those found so and ``why`` says so.

    Inputs that share a component (same id) are correlated by it, also through earlier results. An input without
    components, or with one without an id, is independent of all others and enters the budget under its name in
    ``inputs``: give readings ids where two results that rest on one reading will be combined later.

    Parameters
    ----------
    formula : callable
        Takes the names of ``inputs`` as keywords, each in the unit of its quantity, and returns one number in
        ``unit`` (for arrays of shape (n,), one of that shape).
    inputs : mapping of str to Quantity or float
        The inputs; a plain number is exact.
    unit : str
        Unit of the result.
    monte_carlo : bool, optional
        True: run with all draws and compare. False: linear sum only. None: run where 64 pilot draws show the formula
        to be visibly nonlinear (1 % of u) or a slope does not settle; where non-normal components dominate (excess
        kurtosis of the sum beyond 0.15), convolve if the pilot draws show no more than 0.1 % of u, else run. Draws on
        which the formula has no value then leave the linear sum, and ``why`` says so.
    draws : int
        Number of draws, at least 1000. Unasked, only 25 000 of them where these tell the result to within the
        tolerance (the linear sum, whose distribution is known, takes most of the sampling error out).
    seed : int
        Seed of the draws; the same seed gives the same result.

    Returns
    -------
    Quantity
        The result with the components of its uncertainty. Its uncertainty is unknown where that of an input is.

    Raises
    ------
    InputError
        Names of inputs and formula differ, an input has no value, or the formula has no finite value at the
        estimates, around them, or (with ``monte_carlo=True``) at some draws, or returns something else than one real
        number for each.

    Examples
    --------
    >>> from coldpin.quantity import rectangular
    >>> voltage, current = Quantity(4.0, 0.02, "V"), rectangular(2.0, 0.01, "A", id="clamp")
    >>> power = propagate(lambda u, i: u * i, {"u": voltage, "i": current}, "W")
    >>> power.value, round(power.u, 4)
    (8.0, 0.0462)

    Sources
    -------
    JCGM 100:2008 eq. (10), (13), (G.2b); JCGM 101:2008 5.2, 7 and 8 (standing: memory, recomputed).
    """
    linear = _prepare(formula, inputs, unit)
    if isinstance(linear, Quantity):
        return linear
    if monte_carlo is False or not linear.uncertain():
        return linear.quantity
    _check_draws(draws)
    if monte_carlo:
        return _compare(linear, _run(linear, draws, seed, None))
    try:
        return _looked_at(linear, draws, seed)
    except ColdpinError as error:
        return replace(linear.quantity, why=f"linear sum only, no Monte Carlo: {error}")


def simulate(
    formula: Callable[..., object],
    inputs: Mapping[str, Quantity | float],
    unit: str,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
) -> Quantity:
    """Return the value of a formula of uncertain inputs from Monte Carlo draws, whatever the linear sum would give.

    Parameters
    ----------
    formula : callable
        As for :func:`propagate`.
    inputs : mapping of str to Quantity or float
        As for :func:`propagate`.
    unit : str
        Unit of the result.
    draws : int
        Number of draws, at least 1000.
    seed : int
        Seed of the draws; the same seed gives the same result.

    Returns
    -------
    Quantity
        Mean, standard deviation, 95 % interval (its ends cut off 2.5 % each) and quantiles of the draws.

    Raises
    ------
    InputError
        As for :func:`propagate` with ``monte_carlo=True``.

    Examples
    --------
    >>> from coldpin.quantity import normal
    >>> square = simulate(lambda x: x**2, {"x": normal(0.0, 1.0, "V", id="x")}, "V2")
    >>> round(square.value, 1), round(square.high, 1)
    (1.0, 5.0)

    Sources
    -------
    JCGM 101:2008 7 (standing: memory, recomputed).
    """
    linear = _prepare(formula, inputs, unit)
    if isinstance(linear, Quantity):
        return linear
    if not linear.uncertain():
        return linear.quantity
    _check_draws(draws)
    result = _run(linear, draws, seed, None)
    return _described(linear, result, f"value and interval are from {result.draws} Monte Carlo draws (JCGM 101:2008)")


def with_true_interval(summed: Quantity) -> Quantity:
    """Return a linear sum with the interval of the distribution its components make, where that is another.

    The same as propagating the sum through a formula that returns its argument, without asking a formula that has
    neither slope nor curvature to be found.

    Parameters
    ----------
    summed : Quantity
        What :func:`coldpin.quantity.assemble` gives: of known uncertainty, each component with an id, no quantiles.

    Returns
    -------
    Quantity
        The sum itself, or the interval of its parts convolved where non-normal components dominate.

    Raises
    ------
    InputError
        The sum has no value.

    Examples
    --------
    >>> parts = [Component(id=name, label=name, contribution=1.0, shape=Shape.RECTANGULAR) for name in "ab"]
    >>> summed = assemble(0.0, "V", parts)
    >>> round(summed.high, 2), round(with_true_interval(summed).high, 2)
    (2.77, 2.69)
    """
    if math.isfinite(summed.value) and not _far_from_normal(summed.components):
        return summed
    if math.isfinite(summed.value) and convolvable(summed.components):
        return _convolved(summed, sum_quantiles(summed.value, summed.components))
    return propagate(lambda summed: summed, {"summed": summed}, summed.unit)


def _prepare(formula: Callable[..., object], inputs: Mapping[str, Quantity | float], unit: str) -> _Linear | Quantity:
    """Return the formula near its estimates, or the result itself where the uncertainty of an input is unknown."""
    quantities = {
        name: given if isinstance(given, Quantity) else Quantity(float(given), 0.0, "1")
        for name, given in inputs.items()
    }
    _check_names(formula, quantities)
    values = {name: quantity.value for name, quantity in quantities.items()}
    for name, quantity in quantities.items():
        if not math.isfinite(quantity.value):
            raise InputError(f"input {name} of {name_of(formula)} has no value: {quantity.why or 'not a number'}")
    value = evaluate(formula, values)
    if not math.isfinite(value):
        listed = ", ".join(f"{name} = {quantity.value:g} {quantity.unit}" for name, quantity in quantities.items())
        raise InputError(f"{name_of(formula)} has no finite value at {listed}: check the inputs")
    unknown = [
        f"{name} ({quantity.why or 'not stated'})" for name, quantity in quantities.items() if quantity.u is None
    ]
    if unknown:
        return Quantity(value, None, unit, why=f"uncertainty not known of {', '.join(unknown)}")
    return _linearise(formula, quantities, values, value, unit)


def _check_draws(draws: int) -> None:
    if draws < LEAST_DRAWS:
        raise OutsideRange(
            f"{draws} draws say nothing about a 95 % interval: at least {LEAST_DRAWS}, usually {DRAWS} "
            "(JCGM 101:2008 7.2)"
        )


def _check_names(formula: Callable[..., object], inputs: Mapping[str, Quantity]) -> None:
    try:
        inspect.signature(formula).bind(**inputs)
    except TypeError as error:
        wanted = ", ".join(inspect.signature(formula).parameters)
        raise InputError(f"{name_of(formula)} takes ({wanted}) but is given ({', '.join(inputs)}): {error}") from None
    except ValueError:
        # some compiled functions tell no signature; they speak for themselves when called
        return


def _linearise(
    formula: Callable[..., object],
    quantities: Mapping[str, Quantity],
    values: dict[str, float],
    value: float,
    unit: str,
) -> _Linear:
    inputs = {
        name: simulation.Input(
            value=quantity.value, components=components_of(quantity, name), quantiles=quantity.quantiles
        )
        for name, quantity in quantities.items()
    }
    slopes = {
        name: slope(formula, values, name, quantity.u)
        for name, quantity in quantities.items()
        if quantity.u and inputs[name].components
    }
    parts = [
        replace(component, contribution=by.value * component.contribution)
        for name, by in slopes.items()
        for component in inputs[name].components
    ]
    return _Linear(formula=formula, inputs=inputs, slopes=slopes, quantity=assemble(value, unit, parts))


def _looked_at(linear: _Linear, draws: int, seed: int) -> Quantity:
    """Return the linear sum where it is good enough, else what convolution or draws give."""
    if not all(by.settled for by in linear.slopes.values()):
        return _compare(linear, _draw_enough(linear, draws, seed))
    departure, rounding = _departure(linear, seed)
    u = linear.quantity.u
    assert u is not None
    if not _flat(linear):
        curved = departure > max(CURVED * u, rounding)
        return _compare(linear, _draw_enough(linear, draws, seed)) if curved else linear.quantity
    if departure <= max(STRAIGHT * u, rounding) and linear.has_quantiles():
        return _convolved(linear.quantity, linear.sum_quantiles())
    return _compare(linear, _draw_enough(linear, draws, seed))


def _departure(linear: _Linear, seed: int) -> tuple[float, float]:
    """Return how far the formula is from the linear sum (root mean square of pilot draws), and what rounding makes."""
    drawn = simulation.draw(linear.inputs, PILOT_DRAWS, seed)
    departure = simulation.evaluate_draws(linear.formula, drawn, PILOT_DRAWS) - linear.at(drawn)
    sizes = [
        abs(by.value) * (abs(linear.inputs[name].value) + abs(component.contribution))
        for name, by in linear.slopes.items()
        for component in linear.inputs[name].components
    ]
    rounding = 1e-12 * max([abs(linear.quantity.value), *sizes])
    return float(np.sqrt(np.mean(departure**2))), rounding


def _flat(linear: _Linear) -> bool:
    components = linear.quantity.components
    if not any(item.quantiles for item in linear.inputs.values()):
        return _far_from_normal(components)
    square = math.fsum(component.contribution**2 for component in components)
    if not square:
        return False
    described = [
        (linear.slopes[name].value * component.contribution) ** 2 / square
        for name, item in linear.inputs.items()
        if item.quantiles
        for component in item.components
    ]
    return abs(_excess_kurtosis(components)) > FLAT_KURTOSIS or math.fsum(described) > 0.1


def _far_from_normal(components: Sequence[Component]) -> bool:
    # one component alone: its shape gives the interval exactly
    return len(components) > 1 and abs(_excess_kurtosis(components)) > FLAT_KURTOSIS


def _excess_kurtosis(components: Sequence[Component]) -> float:
    square = math.fsum(component.contribution**2 for component in components)
    if not square:
        return 0.0
    return math.fsum(_KURTOSIS[component.shape] * (component.contribution**2 / square) ** 2 for component in components)


def _convolved(plain: Quantity, quantiles: NDArray[np.float64]) -> Quantity:
    """Return a linear sum with the distribution of its parts, or as it is where their intervals agree."""
    assert plain.low is not None
    assert plain.high is not None
    assert plain.u is not None
    low, high, allowed = float(quantiles[LOW]), float(quantiles[HIGH]), tolerance(plain.u)
    if abs(low - plain.low) <= allowed and abs(high - plain.high) <= allowed:
        return plain
    variance = math.fsum(simulation.inflation(part) * part.contribution**2 for part in plain.components)
    known = math.isfinite(variance)
    return replace(
        plain,
        u=math.sqrt(variance) if known else plain.u,
        dof=math.inf if known else plain.dof,
        low=low,
        high=high,
        quantiles=tuple(quantiles.tolist()),
        why=(
            f"the interval is that of the distributions of {len(plain.components)} parts, convolved; taken as normal "
            f"they would give {plain.low:.6g} to {plain.high:.6g} {plain.unit}, which differs by more than "
            f"{allowed:.2g} (JCGM 101:2008 clause 8)"
        ),
    )


def _run(linear: _Linear, draws: int, seed: int, exact: NDArray[np.float64] | None) -> simulation.Summary:
    drawn = simulation.draw(linear.inputs, draws, seed)
    values = simulation.evaluate_draws(linear.formula, drawn, draws)
    return simulation.summarise(values, linear.at(drawn), linear.quantity, exact)


def _draw_enough(linear: _Linear, draws: int, seed: int) -> simulation.Summary:
    """Return what few draws show where these tell it within the tolerance, else what all do."""
    exact = linear.sum_quantiles() if linear.has_quantiles() else None
    if exact is not None and draws > FIRST_DRAWS:
        first = _run(linear, FIRST_DRAWS, seed, exact)
        errors = (first.error_low, first.error_high, first.residual / math.sqrt(first.draws))
        if first.draws < FIRST_DRAWS or 2.0 * max(errors) <= tolerance(first.u):
            return first
    return _run(linear, draws, seed, exact)


def _compare(linear: _Linear, result: simulation.Summary) -> Quantity:
    plain = linear.quantity
    assert plain.low is not None
    assert plain.high is not None
    assert plain.u is not None
    allowed = tolerance(plain.u)
    if (
        abs(result.low - plain.low) <= allowed + 2.0 * result.error_low
        and abs(result.high - plain.high) <= allowed + 2.0 * result.error_high
    ):
        return plain
    why = (
        f"value and interval are from {result.draws} Monte Carlo draws; the linear sum would give {plain.value:.6g} "
        f"({plain.low:.4g} to {plain.high:.4g}) {plain.unit}, which differs by more than {allowed:.2g} "
        "(JCGM 101:2008 clause 8)"
    )
    return _described(linear, result, why)


def _described(linear: _Linear, result: simulation.Summary, why: str) -> Quantity:
    return Quantity(
        result.value,
        result.u,
        linear.quantity.unit,
        dof=math.inf if result.has_variance else linear.quantity.dof,
        low=result.low,
        high=result.high,
        components=_followed(linear, result),
        quantiles=result.quantiles,
        why=why,
    )


def tolerance(u: float, digits: int = 2) -> float:
    """Return the numerical tolerance of a standard uncertainty that is meaningful to so many digits.

    Parameters
    ----------
    u : float
        Standard uncertainty, in any unit.
    digits : int
        Its significant digits.

    Returns
    -------
    float
        Half a unit of the last of these digits, in the unit of ``u``.

    Examples
    --------
    >>> tolerance(0.35), tolerance(2.0, digits=1)
    (0.005, 0.5)

    Sources
    -------
    JCGM 101:2008 7.9.2 (standing: memory).
    """
    if not u:
        return 0.0
    mantissa, exponent = f"{u:.{digits - 1}e}".split("e")
    return 0.5 * 10.0 ** (int(exponent) - len(mantissa.replace(".", "")) + 1)


def _followed(linear: _Linear, result: simulation.Summary) -> tuple[Component, ...]:
    """Return the components of the linear sum, made to add up to what the draws show.

    What the curvature of the formula adds is a component of its own, so that a result is never carried on with less
    uncertainty than it has.
    """
    plain = linear.quantity
    components = plain.components
    if abs(result.follows - 1.0) > CANCELLED:
        components = merge(replace(part, contribution=result.follows * part.contribution) for part in components)
    if result.residual <= NEGLIGIBLE * result.u:
        return components
    what = repr((name_of(linear.formula), plain.value, result.u, sorted(linear.inputs), plain.components))
    label = "curvature of the formula"
    own = f"curvature of {name_of(linear.formula)} {hashlib.blake2b(what.encode(), digest_size=8).hexdigest()}"
    return (*components, Component(id=own, label=label, contribution=result.residual))
