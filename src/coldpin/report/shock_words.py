"""How a current through a person and its end are written."""

from __future__ import annotations

from coldpin.quantity import format_value
from coldpin.records.shock import ShockCase


def current(milliamperes: float) -> str:
    """Return a current to two figures: what is known of a body is not known better.

    Parameters
    ----------
    milliamperes : float
        The current. [mA]

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> current(396.81), current(0.3304)
    ('400 mA', '0.33 mA')
    """
    return format_value(float(f"{milliamperes:.2g}"), "mA")


def broken(case: ShockCase) -> str:
    """Return after what time a current is broken, or that nothing is shown to break it.

    Parameters
    ----------
    case : ShockCase
        The case.

    Returns
    -------
    str
        Such as "for 0.30 s".
    """
    return "unlimited" if case.time_s is None else f"for {format_value(float(f'{case.time_s:.2g}'), 's')}"
