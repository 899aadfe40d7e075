"""Gaps that count nothing, looked for by brute force: beside a floating part, and walked in less than X."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra

NONE = 1e-12
"""A length of nothing that a sparse matrix keeps. [mm]"""


def small_gaps(
    one: NDArray[np.intp],
    other: NDArray[np.intp],
    length: NDArray[np.float64],
    *,
    owner: NDArray[np.intp],
    hubs: dict[int, int],
    floating: set[int],
    gap_mm: float,
) -> list[tuple[int, int]]:
    """Return the hubs, two and two, between which no copper but theirs is touched on a way of less than X.

    ``owner``: array of shape (nodes,), the number of the conductor each lies on, −1 for none; ``hubs``: the node in
    which all of a conductor is joined, by its number.
    """
    starts, ends, steps = np.concatenate([one, other]), np.concatenate([other, one]), np.tile(length, 2)
    found: list[tuple[int, int]] = []
    for number in floating:
        left = (owner[starts] < 0) | (owner[starts] == number)
        graph = coo_array((steps[left], (starts[left], ends[left])), shape=(len(owner),) * 2).tocsr()
        lengths = dijkstra(graph, indices=np.array([hubs[number]]), limit=gap_mm)[0]
        near = np.unique(owner[(owner >= 0) & (lengths < gap_mm * (1.0 - 1e-9))])
        found.extend((hubs[number], hubs[reached]) for reached in near.tolist())
    return found
