"""How far a work is, told as a part of the whole."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[float], None] | None
"""Is told the fraction done."""


def between(progress: Progress, begin: float, end: float) -> Progress:
    """Return what tells of a part of the work as so much of the whole.

    Parameters
    ----------
    progress : callable or None
        Told of the whole.
    begin, end : float
        Where the part begins and ends in the whole. [1]

    Returns
    -------
    callable or None
        Told of the part; None where nobody listens.

    Examples
    --------
    >>> between(print, 0.5, 1.0)(0.5)
    0.75
    """
    return None if progress is None else lambda fraction: progress(begin + (end - begin) * fraction)
