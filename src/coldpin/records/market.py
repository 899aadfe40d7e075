"""What is offered on the market: listings seen, where was looked, alternatives; and what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pydantic import ConfigDict

from coldpin.records.plain import STRICT


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """An offer that was seen on a day, as its page describes it.

    ``control_unit`` is "yes", "no" or "cannot tell": whether picture or text show one. ``same_design`` says in the same
    words whether it looks like the specimen. ``rated_currents`` and ``lengths`` are those it is offered in.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    name: str
    seen: str
    seller: str = ""
    place: str = ""
    address: str = ""
    price: str = ""
    control_unit: str = "cannot tell"
    same_design: str = "cannot tell"
    rated_currents: tuple[str, ...] = ()
    lengths: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """Where was looked, when, and for what; that nothing was found is a result."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    on: str
    place: str
    looked_for: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedOffer:
    """An offer whose price could be read.

    ``kind`` is "this specimen", "listing" or "alternative". ``lacks`` are the functions that it does not claim, None
    where nothing was noted of its claims; ``currency`` is as written.
    """

    name: str
    kind: str
    price: float
    currency: str
    seen: str
    lacks: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MarketPicture:
    """What was seen on the market, counted; claims of sellers are not tested.

    ``first_seen`` and ``last_seen`` are the days between which listings were seen. ``wanted`` are the functions, as id
    and title, that a proper alternative has to claim; ``cheapest`` names the cheapest that claims all of them, and
    ``gap`` is how much more it costs than was paid for this specimen, in ``currency``.
    """

    surveys: tuple[Survey, ...] = ()
    listings: tuple[Listing, ...] = ()
    first_seen: str = ""
    last_seen: str = ""
    without_control_unit: int = 0
    with_control_unit: int = 0
    cannot_tell: int = 0
    sister_ratings: tuple[str, ...] = ()
    lengths: tuple[str, ...] = ()
    wanted: tuple[tuple[str, str], ...] = ()
    priced: tuple[PricedOffer, ...] = ()
    cheapest: str = ""
    gap: float | None = None
    currency: str = ""
    said: tuple[str, ...] = ()
    reckoned: tuple[str, ...] = ()
