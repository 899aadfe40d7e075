"""The one door to GTC, which is untyped and slow to import: numbers in, numbers out, no GTC object leaves."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import GTC  # type: ignore[import-untyped]  # GTC ships no types; this module is its typed wrapper

from coldpin.quantity.model import Component


def linear_sum(components: Iterable[Component]) -> tuple[float, float]:
    """Return standard uncertainty and effective degrees of freedom of a sum of independent components.

    Components of one group count as one component in the effective degrees of freedom, since they were
    estimated together.

    Parameters
    ----------
    components : iterable of Component
        Components with different ids and contributions other than zero.

    Returns
    -------
    tuple of float
        Standard uncertainty, in the unit of the contributions, and effective degrees of freedom. [1]

    Sources
    -------
    JCGM 100:2008 eq. (10) and (G.2b); for groups R. Willink, Metrologia 44 (2007) 340-349, as GTC applies it.
    """
    terms: list[Any] = []
    groups: dict[str, list[Component]] = {}
    for component in components:
        if component.group and math.isfinite(component.dof):
            groups.setdefault(component.group, []).append(component)
        else:
            terms.append(GTC.ureal(0.0, abs(component.contribution), component.dof))
    for members in groups.values():
        sizes = [abs(member.contribution) for member in members]
        terms.extend(GTC.multiple_ureal([0.0] * len(sizes), sizes, members[0].dof))
    if not terms:
        return 0.0, math.inf
    total = GTC.result(sum(terms[1:], terms[0] * 1.0))
    return float(GTC.uncertainty(total)), float(GTC.dof(total))
