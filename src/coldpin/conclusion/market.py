"""The market around a specimen: what is offered, what is claimed, what the cheapest proper one costs more."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from coldpin.records.assessment import Problem
from coldpin.records.case import Alternative
from coldpin.records.function import ProtectiveFunction
from coldpin.records.market import Listing, MarketPicture, PricedOffer, Survey

WANTED = (
    "supply-switching",
    "vehicle-recognition",
    "current-offer",
    "residual-current",
    "residual-smooth",
    "earth-monitoring",
)
"""Ours: the functions that a page can claim in words and that a control unit is bought for. Of the others (a conductor
of the marked size, poles in their places) no page says anything; they are tested and not claimed."""

ANSWERS = ("yes", "no", "cannot tell")
THIS = "this specimen"
_PRICE = re.compile(r"(?P<before>[A-Z]{3}|[€£$])?\s*(?P<amount>\d+(?:[.,]\d{1,2})?)\s*(?P<after>[A-Z]{3}|[€£$])?")
_CODES = {"€": "EUR", "£": "GBP"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Market:
    """The picture of the market, and what was written down that could not be used."""

    picture: MarketPicture
    problems: tuple[Problem, ...]


def read_price(text: str) -> tuple[float, str] | None:
    """Return an amount with its currency, or None where it cannot be read without guessing.

    Parameters
    ----------
    text : str
        As written, such as "39.90 EUR" or "€ 39,90".

    Returns
    -------
    tuple of float and str, or None
        Amount and currency.

    Examples
    --------
    >>> read_price("€ 39,90"), read_price("1,299 EUR"), read_price("about 40 EUR")
    ((39.9, 'EUR'), None, None)
    """
    found = _PRICE.fullmatch(text.strip())
    if found is None or bool(found["before"]) == bool(found["after"]):
        return None
    currency = found["before"] or found["after"]
    return float(found["amount"].replace(",", ".")), _CODES.get(currency, currency)


def market_picture(
    *,
    name: str,
    paid: str,
    functions: Sequence[ProtectiveFunction],
    listings: Sequence[Listing] = (),
    surveys: Sequence[Survey] = (),
    alternatives: Sequence[Alternative] = (),
) -> Market:
    """Count what was seen on the market, and find the cheapest offer that claims what a proper one has to.

    Parameters
    ----------
    name : str
        What the specimen is called.
    paid : str
        What was paid for it, as written; empty where nobody wrote it.
    functions : sequence of ProtectiveFunction
        Those of the specimen: of what does not apply to it, nothing is wanted.
    listings, surveys, alternatives : sequences
        What was written down of the market, in the case and on its shelf.

    Returns
    -------
    Market
        The picture; empty where nothing was written down.
    """
    if not (listings or surveys or alternatives):
        return Market(picture=MarketPicture(), problems=())
    problems = [*_doubts(listings, surveys, alternatives, {function.id for function in functions})]
    titles = {function.id: function.title for function in functions}
    wanted = tuple((one, titles[one]) for one in WANTED if one in titles)
    counted = Counter(listing.control_unit for listing in listings)
    days = sorted(listing.seen for listing in listings if _is_day(listing.seen))
    sisters = [listing for listing in listings if listing.same_design == "yes"]
    offers = (*_own(name, paid, problems), *_offers(listings, alternatives, wanted, problems))
    own = next((offer for offer in offers if offer.kind == THIS), None)
    cheapest, elsewhere = _cheapest(offers, own)
    gap = None if cheapest is None or own is None else round(cheapest.price - own.price, 2)
    picture = MarketPicture(
        surveys=tuple(surveys),
        listings=tuple(listings),
        first_seen=days[0] if days else "",
        last_seen=days[-1] if days else "",
        without_control_unit=counted["no"],
        with_control_unit=counted["yes"],
        cannot_tell=len(listings) - counted["no"] - counted["yes"],
        sister_ratings=_each_once(rating for listing in sisters for rating in listing.rated_currents),
        lengths=_each_once(length for listing in sisters for length in listing.lengths),
        wanted=wanted,
        priced=tuple(sorted(offers, key=lambda offer: (offer.currency, offer.price, offer.name))),
        cheapest="" if cheapest is None else cheapest.name,
        gap=gap,
        currency="" if cheapest is None else cheapest.currency,
    )
    reckoned = (
        *(() if cheapest is None and elsewhere else (_reckoned(picture, cheapest, alternatives),)),
        *_in_other_currencies(picture, cheapest, own, elsewhere),
    )
    picture = replace(picture, said=tuple(_seen(picture)), reckoned=reckoned)
    return Market(picture=picture, problems=tuple(problems))


def _cheapest(
    offers: Sequence[PricedOffer], own: PricedOffer | None
) -> tuple[PricedOffer | None, tuple[PricedOffer, ...]]:
    """Return the cheapest offer that claims all, in the currency that was paid, and that of every other currency.

    Where nobody wrote what was paid, offers in two currencies have no cheapest: amounts in them are not compared.
    """
    found: dict[str, PricedOffer] = {}
    for offer in sorted(offers, key=lambda offer: (offer.currency, offer.price, offer.name)):
        if offer.kind == "alternative" and offer.lacks == ():
            found.setdefault(offer.currency, offer)
    paid_in = own.currency if own is not None else next(iter(found)) if len(found) == 1 else ""
    cheapest = found.pop(paid_in, None)
    return cheapest, tuple(found.values())


def _in_other_currencies(
    picture: MarketPicture,
    cheapest: PricedOffer | None,
    own: PricedOffer | None,
    elsewhere: Sequence[PricedOffer],
) -> Iterable[str]:
    if not elsewhere:
        return
    told = "; ".join(f"{offer.price:g} {offer.currency} ({offer.name})" for offer in elsewhere)
    if cheapest is not None:
        yield f"In other currencies the cheapest that claims all of it costs {told}: {_NOT_COMPARED}."
        return
    asked = _listed(tuple(title for _, title in picture.wanted))
    paid = "what was paid for this specimen is not on record" if own is None else f"this was paid for in {own.currency}"
    yield (
        f"The cheapest offer seen in each currency that claims all of ({asked}) costs {told}; its claims were not "
        f"tested. Of these none is called the cheapest, and no difference is told, for {paid}: {_NOT_COMPARED}."
    )


_NOT_COMPARED = "amounts in two currencies are not compared without a rate, its day and its source"


def _seen(picture: MarketPicture) -> Iterable[str]:
    for survey in picture.surveys:
        yield f"Searched on {survey.on}: {survey.place}, for “{survey.looked_for}”."
    if not picture.listings:
        yield "No listing of the kind was written down: None found here."
        return
    days = (
        picture.first_seen
        if picture.first_seen == picture.last_seen
        else f"{picture.first_seen} to {picture.last_seen}"
    )
    yield (
        f"{len(picture.listings)} {'listing was' if len(picture.listings) == 1 else 'listings were'} seen"
        f"{f' ({days})' if days else ''}: {picture.without_control_unit} without a control unit in picture and text, "
        f"{picture.with_control_unit} with one, {picture.cannot_tell} where it cannot be told."
    )
    if picture.sister_ratings:
        yield f"What looks like the specimen is offered for {_listed(picture.sister_ratings)}."
    if picture.lengths:
        yield f"It is offered in lengths of {_listed(picture.lengths)}."


def _reckoned(picture: MarketPicture, cheapest: PricedOffer | None, alternatives: Sequence[Alternative]) -> str:
    asked = _listed(tuple(title for _, title in picture.wanted))
    if cheapest is None:
        told = f"None found here that claims all of: {asked}."
        return told if alternatives else f"{told} No alternative was written down."
    beside = (
        "" if picture.gap is None else f", {abs(picture.gap):g} {picture.currency} {_way(picture.gap)} this specimen"
    )
    return (
        f"The cheapest offer seen that claims all of ({asked}) costs {cheapest.price:g} {cheapest.currency}{beside}; "
        "its claims were not tested."
    )


def _way(gap: float) -> str:
    return "more than was paid for" if gap >= 0.0 else "less than was paid for"


def _listed(texts: Sequence[str]) -> str:
    return texts[0] if len(texts) == 1 else f"{', '.join(texts[:-1])} and {texts[-1]}" if texts else "nothing"


def _each_once(texts: Iterable[str]) -> tuple[str, ...]:
    """Return texts once each, by the number they begin with."""

    def order(text: str) -> tuple[float, str]:
        found = re.match(r"\d+(?:[.,]\d+)?", text)
        return (float(found[0].replace(",", ".")) if found else float("inf"), text)

    return tuple(sorted(set(texts), key=order))


def _own(name: str, paid: str, problems: list[Problem]) -> Iterable[PricedOffer]:
    if not paid:
        return
    read = read_price(paid)
    if read is None:
        problems.append(_unread(f"price paid for {name}", paid))
        return
    yield PricedOffer(name=name, kind=THIS, price=read[0], currency=read[1], seen="")


def _offers(
    listings: Sequence[Listing],
    alternatives: Sequence[Alternative],
    wanted: tuple[tuple[str, str], ...],
    problems: list[Problem],
) -> Iterable[PricedOffer]:
    for listing in listings:
        if not listing.price:
            continue
        if (read := read_price(listing.price)) is None:
            problems.append(_unread(f"listing {listing.name!r}", listing.price))
            continue
        yield PricedOffer(name=listing.name, kind="listing", price=read[0], currency=read[1], seen=listing.seen)
    for other in alternatives:
        if (read := read_price(other.price)) is None:
            problems.append(_unread(f"alternative {other.name!r}", other.price))
            continue
        lacks = tuple(title for one, title in wanted if one not in other.functions)
        yield PricedOffer(
            name=other.name, kind="alternative", price=read[0], currency=read[1], seen=other.seen, lacks=lacks
        )


def _unread(where: str, price: str) -> Problem:
    told = f"price {price!r} cannot be read: write one amount with one currency, as 39.90 EUR, without thousands marks"
    return Problem(where=where, what=told)


def _doubts(
    listings: Sequence[Listing], surveys: Sequence[Survey], alternatives: Sequence[Alternative], known: set[str]
) -> Iterable[Problem]:
    days = [(f"listing {listing.name!r}", listing.seen) for listing in listings]
    days += [(f"survey of {survey.place!r}", survey.on) for survey in surveys]
    days += [(f"alternative {other.name!r}", other.seen) for other in alternatives if other.seen]
    for where, day in days:
        if not _is_day(day):
            yield Problem(where=where, what=f"day {day!r} is not a date: write it as 2026-03-14")
    for listing in listings:
        for told in (listing.control_unit, listing.same_design):
            if told not in ANSWERS:
                yield Problem(
                    where=f"listing {listing.name!r}", what=f"{told!r} is no answer: write {', '.join(ANSWERS)}"
                )
    for other in alternatives:
        for function in other.functions:
            if function not in known:
                yield Problem(
                    where=f"alternative {other.name!r}",
                    what=f"{function!r} is no protective function of this case; they are: {', '.join(sorted(known))}",
                )


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True
