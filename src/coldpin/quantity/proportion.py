"""What a count of units says about all units they were drawn from."""

from __future__ import annotations

from coldpin.errors import OutsideRange
from coldpin.quantity.model import COVERAGE


def share_interval(count: int, *, of: int, coverage: float = COVERAGE) -> tuple[float, float]:
    r"""Return the exact two-sided interval for the share of a population in which something holds.

    .. math:: \sum_{k=0}^{d} \binom{n}{k} p_U^k (1-p_U)^{n-k} = \alpha/2, \quad
        \sum_{k=0}^{d-1} \binom{n}{k} p_L^k (1-p_L)^{n-k} = 1 - \alpha/2

    It holds for units drawn at random and independently of each other from that population, and for no others. An end
    at which no unit or every unit showed it is 0 or 1.

    Parameters
    ----------
    count : int
        Units that showed it, d. [1]
    of : int
        Units that were tested for it, n. [1]
    coverage : float
        Coverage probability, 1 − α; the interval covers at least as often. [1]

    Returns
    -------
    tuple of float
        Lowest and highest share, p_L and p_U. [1]

    Raises
    ------
    OutsideRange
        No unit was tested, the count is not from 0 to their number, or the coverage is not between 0 and 1.

    Examples
    --------
    >>> low, high = share_interval(0, of=2)
    >>> low, round(high, 3)
    (0.0, 0.842)

    Sources
    -------
    Clopper and Pearson, Biometrika 26 (1934) 404; the equations as in the NIST/SEMATECH e-Handbook, 7.2.4.2.
    """
    if of < 1 or not 0 <= count <= of:
        raise OutsideRange(f"{count} of {of} units: the count must be from 0 to the units tested, one at least")
    if not 0.0 < coverage < 1.0:
        raise OutsideRange(f"a coverage probability of {coverage:g}: it must lie between 0 and 1")
    # loading scipy takes longer than a short command
    from scipy import special

    tail = 0.5 * (1.0 - coverage)
    low = 0.0 if count == 0 else float(special.betaincinv(count, of - count + 1, tail))
    high = 1.0 if count == of else float(special.betaincinv(count + 1, of - count, 1.0 - tail))
    return low, high
