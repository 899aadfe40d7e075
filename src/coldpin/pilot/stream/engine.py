"""Who does the work: the specification in numpy, or the accelerator where numba is there and the capture is long."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from typing import Protocol

from coldpin.pilot.stream import spans, table
from coldpin.pilot.stream.counts import Counts
from coldpin.pilot.stream.plan import Plan
from coldpin.pilot.stream.spans import Span
from coldpin.pilot.stream.table import Table

WORTH = 3 * 10**7
WORTH_COMPILING = 3 * 10**8
"""Ours: the accelerator is used from so many samples on: loading it, or compiling it for the first time, takes about as
long as the specification takes for them."""


class Collector(Protocol):
    """Takes neighbouring stretches apart and gathers what begins in them, as the specification's collector does."""

    @property
    def full(self) -> bool:
        """Whether one more stretch might find no room."""
        ...

    def take(self, counts: Counts, offset: int, first: int, stop: int) -> None:
        """Take one more stretch apart.

        Parameters
        ----------
        counts : NDArray
            Array of shape (n,) of int16 or int32: the stretch and ``plan.reach`` samples more on either side.
        offset : int
            Place of the first count in the capture. [1]
        first, stop : int
            The stretch, in samples of the capture.
        """
        ...

    def table(self) -> Table:
        """Return what was found and begin anew.

        Returns
        -------
        Table
            Its rows hold until the next stretch is taken.
        """
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Engine:
    """What takes stretches apart and sums up their pages; all engines give the same, to the last bit."""

    name: str
    take_apart: Callable[[Counts, int, int, int, Plan], Table]
    collector: Callable[[Plan, int], Collector]
    spans_of_pages: Callable[[Table, range, Plan], Iterable[Span]]


SPECIFICATION = Engine(
    name="numpy", take_apart=table.take_apart, collector=table.Collector, spans_of_pages=spans.spans_of_pages
)


@cache
def accelerator() -> Engine | None:
    """Return the accelerator.

    Returns
    -------
    Engine or None
        None where numba (extra ``fast``) is missing: then numpy serves.
    """
    if find_spec("numba") is None:
        return None
    from coldpin.pilot.stream import kernel, kernel_spans

    return Engine(
        name="numba",
        take_apart=kernel.take_apart,
        collector=kernel.Collector,
        spans_of_pages=kernel_spans.spans_of_pages,
    )


def engine_for(samples: int) -> Engine:
    """Return the engine that is done first.

    Parameters
    ----------
    samples : int
        Samples of the capture. [1]

    Returns
    -------
    Engine
        One of the two.

    Examples
    --------
    >>> engine_for(1000).name
    'numpy'
    """
    if samples < WORTH or find_spec("numba") is None:
        return SPECIFICATION
    from coldpin.pilot.stream.compiled import is_kept

    if samples < WORTH_COMPILING and not is_kept():
        return SPECIFICATION
    return accelerator() or SPECIFICATION
