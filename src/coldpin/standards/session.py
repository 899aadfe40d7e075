"""What is known of charges and idle units: looked up in the book of constants."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import needed


@dataclass(frozen=True, slots=True, kw_only=True)
class StandbyMethod:
    """What a standby power must be measured with to be believed.

    ``share`` is the expanded uncertainty as part of a power from ``share_from`` on [1], [W]; below it ``small`` holds
    [W]. ``steady`` is the variation up to which a power may be read off [1].
    """

    share: float
    share_from: float
    small: float
    steady: float
    limits: tuple[Limit, ...]

    def wanted(self, power: float) -> float:
        """Return the expanded uncertainty asked for at a power.

        Parameters
        ----------
        power : float
            The power. [W]

        Returns
        -------
        float
            In W.

        Examples
        --------
        >>> from coldpin.standards.book import load_book
        >>> method = standby_method(load_book())
        >>> method.wanted(2.0), method.wanted(0.2)
        (0.04, 0.01)
        """
        return self.share * power if power >= self.share_from else self.small


def idle_limit(book: Book) -> Limit:
    """Return what an idle unit draws by common practice.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        In W.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> idle_limit(load_book()).standing.value
    'common practice'

    Sources
    -------
    ``standby.idle``.
    """
    return book.limit("standby.idle")


def standby_method(book: Book) -> StandbyMethod:
    """Return how surely a standby power must be known.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    StandbyMethod
        Uncertainties and steadiness.

    Raises
    ------
    InputError
        An own value of the case has no maximum.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> standby_method(load_book()).share
    0.02

    Sources
    -------
    ``standby.uncertainty``, ``standby.uncertainty.small``, ``standby.steady``.
    """
    share, small, steady = (book.limit(f"standby.{name}") for name in ("uncertainty", "uncertainty.small", "steady"))
    return StandbyMethod(
        share=needed(share, "maximum") / 100.0,
        share_from=book.row("standby.uncertainty").number("from"),
        small=needed(small, "maximum"),
        steady=needed(steady, "maximum") / 100.0,
        limits=(share, small, steady),
    )


def follow_time(book: Book) -> Limit:
    """Return how long a car may take to draw no more than a lowered offer.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        In s.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> follow_time(load_book()).maximum
    5.0

    Sources
    -------
    ``timing.follow-offer``.
    """
    return book.limit("timing.follow-offer")
