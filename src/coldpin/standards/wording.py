"""A limit in words: its number with unit, and one plain paragraph with where it is from."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

from coldpin.records.finding import Limit

_SCALES = ((1e9, "G"), (1e6, "M"))


def number_text(number: float, unit: str) -> str:
    """Return a number of a table with its unit, as few digits as it has.

    Parameters
    ----------
    number : float
        The number, in ``unit``.
    unit : str
        Its unit; resistances from 1 MΩ up are told in MΩ or GΩ.

    Returns
    -------
    str
        The number, a real minus sign, and the unit.

    Examples
    --------
    >>> number_text(-11.4, "V"), number_text(7e6, "Ω"), number_text(2657.8, "Ω")
    ('−11.4 V', '7 MΩ', '2657.8 Ω')
    """
    shown, symbol = number, unit
    if unit == "Ω" and abs(number) >= 1e6:
        factor, prefix = next((factor, prefix) for factor, prefix in _SCALES if abs(number) >= factor)
        shown, symbol = number / factor, prefix + unit
    digits = f"{abs(shown):.10g}"
    sign = "−" if math.copysign(1.0, shown) < 0.0 and shown != 0.0 else ""
    return f"{sign}{digits}" + ("" if symbol in ("", "1") else f" {symbol}")


def limit_value(limit: Limit) -> str:
    """Return the number of a limit in words.

    Parameters
    ----------
    limit : Limit
        The limit.

    Returns
    -------
    str
        Such as "11.4 V to 12.6 V, nominally 12 V" or "at most 0.3 Ω"; empty where it has no number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> limit_value(load_book().limit("earth.in-service"))
    'at most 0.3 Ω'
    """
    low, middle, high = (
        None if number is None else number_text(number, limit.unit)
        for number in (limit.minimum, limit.nominal, limit.maximum)
    )
    if low is None and high is None:
        return middle or ""
    if low is not None and high is not None:
        edges = low if low == high else f"{low} to {high}"
    else:
        edges = f"at least {low}" if high is None else f"at most {high}"
    return edges if middle is None or low == high else f"{edges}, nominally {middle}"


def _edition_text(edition: str) -> str:
    return f"edition {edition}" if edition[:1].isdigit() else edition


def limit_source(limit: Limit) -> str:
    """Return where a limit is from.

    Parameters
    ----------
    limit : Limit
        The limit.

    Returns
    -------
    str
        Source, edition and place, as far as known.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> limit_source(load_book().limit("timing.open-on-S2"))
    'IEC 61851-1:2017, edition 3.0, Table A.6 sequence 8.1'
    """
    return ", ".join(filter(None, (limit.source, _edition_text(limit.edition), limit.place)))


_DATED = re.compile(r"(?P<name>[^:;]+?)(?P<years>:\d{4}(?:(?:, | and ):\d{4})*)?")


def sources_once(sources: Iterable[str]) -> str:
    """Return several sources as one line in which each text is named once, with all of its editions.

    Parameters
    ----------
    sources : iterable of str
        As they stand in the tables: "IEC 60664-1:2007 and :2020", "IEC 60664-1".

    Returns
    -------
    str
        The texts in their order; one that is named without an edition too is not named again for it.

    Examples
    --------
    >>> sources_once(["IEC 60664-1:2007", "IEC 61140", "IEC 60664-1:2020", "IEC 60664-1"])
    'IEC 60664-1:2007 and :2020; IEC 61140'
    """
    editions: dict[str, list[str]] = {}
    for source in sources:
        dated = _DATED.fullmatch(source)
        name, years = (dated["name"], re.findall(r":\d{4}", dated["years"] or "")) if dated else (source, [])
        editions[name] = sorted({*editions.get(name, []), *years})
    return "; ".join(f"{name}{_listed(years)}" for name, years in editions.items())


def _listed(years: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(years[:-1]), *years[-1:])))


def limit_paragraph(limit: Limit) -> str:
    """Return a limit as one plain paragraph: what, how much, from where, how well known, and the other value.

    Parameters
    ----------
    limit : Limit
        The limit.

    Returns
    -------
    str
        One paragraph without line breaks; it starts with the id.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> print(limit_paragraph(load_book().limit("timing.close-after-C2.sae")).partition(" Source: ")[0])
    timing.close-after-C2.sae: S2 closed until the contactor is closed: at most 3 s.
    """
    value = limit_value(limit)
    sentences = [
        f"{limit.id}: {limit.title}" + (f": {value}" if value else ""),
        f"Set by: {limit.asserted_by}" if limit.asserted_by else "",
        f"Source: {limit_source(limit)}",
        f"Standing: {limit.standing}",
        f"Read in: {'; '.join(limit.read_in)}" if limit.read_in else "",
        f"Other value: {limit.other}" if limit.other else "",
        f"Note: {limit.note}" if limit.note else "",
    ]
    return " ".join(sentence.removesuffix(".") + "." for sentence in sentences if sentence)
