"""How far a packed file may unpack: a bound that is held before anything of it is read."""

from __future__ import annotations

HARMLESS = 64 << 20
"""Ours: content up to this size is unpacked however well it is packed. [bytes]"""

MOST_RATIO = 200
"""Ours: captures as text pack to a tenth at best; above this an archive of some size is made to fill disk or memory."""


def unpacks_too_far(*, packed: int, unpacked: int) -> bool:
    """Say whether an archive would unpack to far more than its size lets expect.

    Parameters
    ----------
    packed : int
        Size of the archive. [bytes]
    unpacked : int
        Sum of the sizes that its members state; no reader gives out more of a member than it states. [bytes]

    Returns
    -------
    bool
        True beyond 64 MiB and 200 times its size.

    Examples
    --------
    >>> unpacks_too_far(packed=1 << 20, unpacked=1 << 30), unpacks_too_far(packed=10 << 20, unpacked=1 << 30)
    (True, False)
    """
    return unpacked > HARMLESS and unpacked > MOST_RATIO * packed
