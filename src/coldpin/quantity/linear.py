"""The linear sum: a quantity put together from its components (JCGM 100:2008 clause 5)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from coldpin.errors import InputError
from coldpin.quantity.model import Component, Quantity, Shape
from coldpin.quantity.units import convert, convert_difference

CANCELLED = 1e-9
"""A sum of contributions below this part of its terms is what rounding left of a cancellation."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One line of an uncertainty budget, in the unit of the result; ``percent`` is its part of u²."""

    label: str
    contribution: float
    dof: float
    shape: Shape
    percent: float


def components_of(quantity: Quantity, name: str) -> tuple[Component, ...]:
    """Return the components of a quantity with an id each.

    What has no id (a reading as written, a quantity without components) is taken as a random variable of its
    own, independent of all others, and gets the name of the quantity as id.

    Parameters
    ----------
    quantity : Quantity
        The quantity, of known uncertainty.
    name : str
        The name of the quantity where it is used.

    Returns
    -------
    tuple of Component
        The components; empty where the quantity is exact.

    Examples
    --------
    >>> components_of(Quantity(1.0, 0.1, "V"), "level")[0].id
    'level'
    """
    anonymous = 0
    named = []
    for component in quantity.components or _own(quantity):
        if component.id:
            named.append(component)
            continue
        anonymous += 1
        own = name if anonymous == 1 else f"{name} ({anonymous})"
        named.append(replace(component, id=own, label=component.label or own))
    return tuple(named)


def _own(quantity: Quantity) -> tuple[Component, ...]:
    if not quantity.u:
        return ()
    return (Component(id="", label="", contribution=quantity.u, dof=quantity.dof),)


def merge(components: Iterable[Component]) -> tuple[Component, ...]:
    """Return components with those of the same id added, and what cancelled left out.

    Components without an id are never the same.

    Parameters
    ----------
    components : iterable of Component
        Components in one unit.

    Returns
    -------
    tuple of Component
        One component for each id, in order of first appearance.

    Raises
    ------
    InputError
        One id stands for two different things (other shape, group or degrees of freedom), or there are fewer
        degrees of freedom than 1.

    Examples
    --------
    >>> one = Component(id="meter", label="meter", contribution=0.1)
    >>> merge([one, replace(one, contribution=-0.1)])
    ()
    """
    listed = tuple(components)
    for component in listed:
        if not component.dof >= 1.0:
            raise InputError(
                f"component {component.id!r} has {component.dof:g} degrees of freedom; at least 1 is needed"
            )
    keys = [component.id or f"\0{place}" for place, component in enumerate(listed)]
    left = _added(keys, listed) if len(set(keys)) < len(keys) else listed
    left = tuple(component for component in left if component.contribution)
    _check_groups(left)
    return left


def _added(keys: Sequence[str], components: Sequence[Component]) -> tuple[Component, ...]:
    """Add the components of the same key, and leave out those that cancelled."""
    sums: dict[str, Component] = {}
    sizes: dict[str, float] = {}
    for key, component in zip(keys, components, strict=True):
        held = sums.get(key)
        if held is not None and (held.dof, held.shape, held.group) != (component.dof, component.shape, component.group):
            raise InputError(
                f"component id {component.id!r} stands for two different things ({_description(held)}; "
                f"{_description(component)}): give each its own id"
            )
        sums[key] = (
            component if held is None else replace(held, contribution=held.contribution + component.contribution)
        )
        sizes[key] = sizes.get(key, 0.0) + abs(component.contribution)
    return tuple(component for key, component in sums.items() if abs(component.contribution) > CANCELLED * sizes[key])


def _check_groups(components: Iterable[Component]) -> None:
    dofs: dict[str, float] = {}
    for component in components:
        if component.group and dofs.setdefault(component.group, component.dof) != component.dof:
            raise InputError(
                f"group {component.group!r} was estimated with {dofs[component.group]:g} and with {component.dof:g} "
                "degrees of freedom: give two groups two names"
            )


def _description(component: Component) -> str:
    return f"{component.label}, {component.shape}, degrees of freedom {component.dof:g}"


def assemble(value: float, unit: str, components: Iterable[Component], *, why: str = "") -> Quantity:
    """Return the quantity of a value and the components of its uncertainty, by the linear sum.

    Components with one id are one random variable and are added with their signs; different ids are
    independent. The interval of a sum in which a non-normal component dominates is too wide here:
    :func:`coldpin.quantity.propagate` finds the better one.

    Parameters
    ----------
    value : float
        The estimate, in ``unit``.
    unit : str
        Unit of the value and of every contribution.
    components : iterable of Component
        The components.
    why : str
        A remark to keep with the quantity.

    Returns
    -------
    Quantity
        Value, standard uncertainty, effective degrees of freedom, interval and components.

    Raises
    ------
    InputError
        One id stands for two different things, or degrees of freedom below 1.

    Examples
    --------
    >>> noise = Component(id="noise", label="noise", contribution=0.57, dof=9.0)
    >>> meter = Component(id="meter", label="meter", contribution=0.25)
    >>> total = assemble(10.0, "V", [noise, meter])
    >>> round(total.u, 3), round(total.dof, 1)
    (0.622, 12.8)

    Sources
    -------
    JCGM 100:2008 eq. (10), (G.2b) (standing: memory, recomputed).
    """
    merged = merge(components)
    if not merged:
        return Quantity(value, 0.0, unit, why=why)
    if len(merged) == 1:
        return Quantity(value, abs(merged[0].contribution), unit, dof=merged[0].dof, components=merged, why=why)
    if any(component.group and math.isfinite(component.dof) for component in merged):
        from coldpin.quantity._gtc import linear_sum

        u, dof = linear_sum(merged)
    else:
        u, dof = _independent_sum(merged)
    return Quantity(value, u, unit, dof=dof, components=merged, why=why)


def _independent_sum(components: Sequence[Component]) -> tuple[float, float]:
    """Return standard uncertainty and effective degrees of freedom of components each estimated by itself.

    The same operations in the same order as GTC, and so the same to the last bit, without its graph of nodes: a month
    with thousands of gaps makes a hundred thousand such sums.
    """
    variance = 0.0
    squares = []
    for component in components:
        square = component.contribution * component.contribution
        squares.append(square)
        variance += square
    shares = 0.0
    for component, square in zip(components, squares, strict=True):
        if component.dof != math.inf:
            share = square / variance
            shares += share * share / component.dof
    return math.sqrt(math.fsum(squares)), 1.0 / shares if shares else math.inf


def add_components(quantity: Quantity, components: Iterable[Component]) -> Quantity:
    """Return a quantity with further components of uncertainty added to those it has.

    Parameters
    ----------
    quantity : Quantity
        The quantity as it is; where its uncertainty is unknown it stays unknown.
    components : iterable of Component
        What comes on top, in the unit of the quantity.

    Returns
    -------
    Quantity
        The quantity with the larger uncertainty.

    Raises
    ------
    InputError
        One id stands for two different things, or degrees of freedom below 1.

    Examples
    --------
    >>> add_components(Quantity(5.0, 0.0, "V"), [Component(id="meter", label="meter", contribution=0.25)]).u
    0.25
    """
    if quantity.u is None:
        return quantity
    return assemble(
        quantity.value, quantity.unit, (*(quantity.components or _own(quantity)), *components), why=quantity.why
    )


def in_unit(quantity: Quantity, unit: str) -> Quantity:
    """Return a quantity in another unit of the same kind.

    Parameters
    ----------
    quantity : Quantity
        The quantity.
    unit : str
        The unit wanted; temperatures convert as points of the scale.

    Returns
    -------
    Quantity
        The same quantity, with components, interval and distribution in ``unit``.

    Raises
    ------
    UnitError
        A unit is unknown, or the two are of different kinds.

    Examples
    --------
    >>> in_unit(Quantity(2.74, 0.01, "kΩ"), "Ω").u
    10.0
    """
    given = quantity.unit

    def point(number: float | None) -> float | None:
        return None if number is None else convert(number, given, unit)

    def part(number: float) -> float:
        return convert_difference(number, given, unit)

    return Quantity(
        convert(quantity.value, given, unit),
        None if quantity.u is None else part(quantity.u),
        unit,
        dof=quantity.dof,
        low=point(quantity.low),
        high=point(quantity.high),
        components=tuple(replace(one, contribution=part(one.contribution)) for one in quantity.components),
        quantiles=tuple(convert(number, given, unit) for number in quantity.quantiles),
        why=quantity.why,
    )


def correlation(first: Quantity, second: Quantity) -> float:
    """Return the correlation coefficient of two quantities, which their shared components make.

    Parameters
    ----------
    first, second : Quantity
        Two quantities of known uncertainty.

    Returns
    -------
    float
        The coefficient, -1 to 1; 0 where nothing is shared. [1]

    Examples
    --------
    >>> shared = Component(id="meter", label="meter", contribution=0.3)
    >>> own = Component(id="noise", label="noise", contribution=0.4)
    >>> round(correlation(assemble(1.0, "V", [shared]), assemble(2.0, "V", [shared, own])), 3)
    0.6

    Sources
    -------
    JCGM 100:2008 eq. (14) (standing: memory, recomputed).
    """
    sizes = {component.id: component.contribution for component in first.components if component.id}
    shared = math.fsum(sizes.get(component.id, 0.0) * component.contribution for component in second.components)
    norms = [math.fsum(part.contribution**2 for part in quantity.components) for quantity in (first, second)]
    return shared / math.sqrt(norms[0] * norms[1]) if all(norms) else 0.0


def budget_shares(quantity: Quantity) -> tuple[Share, ...]:
    """Return the lines of the uncertainty budget of a quantity, largest first.

    Components of one group (estimated together) are one line, since they share their degrees of freedom.

    Parameters
    ----------
    quantity : Quantity
        The quantity; without components it has no budget.

    Returns
    -------
    tuple of Share
        Label, contribution, degrees of freedom, shape, and per cent of u².

    Examples
    --------
    >>> parts = [Component(id=name, label=name, contribution=size) for name, size in (("a", 3.0), ("b", 4.0))]
    >>> [(line.label, round(line.percent)) for line in budget_shares(assemble(0.0, "V", parts))]
    [('b', 64), ('a', 36)]
    """
    lines: dict[str, list[Component]] = {}
    for place, component in enumerate(quantity.components):
        key = f"group {component.group}" if component.group else f"component {place}"
        lines.setdefault(key, []).append(component)
    total = math.fsum(component.contribution**2 for component in quantity.components)
    shares = [_share(members, total) for members in lines.values()]
    return tuple(sorted(shares, key=lambda share: -share.percent))


def _share(members: list[Component], total: float) -> Share:
    first = members[0]
    square = math.fsum(member.contribution**2 for member in members)
    return Share(
        label=(first.label if len(members) == 1 else first.group) or "as stated",
        contribution=first.contribution if len(members) == 1 else math.sqrt(square),
        dof=first.dof,
        shape=first.shape,
        percent=100.0 * square / total,
    )
