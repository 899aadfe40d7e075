"""What plate, papers and listing claim, refused where no check could read it."""

from __future__ import annotations

import re

from coldpin.checks import all_checks
from coldpin.checks.marked_size import printed_size
from coldpin.conclusion.claims import is_function, subjects
from coldpin.conclusion.functions import PLANS
from coldpin.errors import CaseError, InputError
from coldpin.quantity import parse_quantity
from coldpin.records.assessment import Problem
from coldpin.records.case import CaseDescription, Claims
from coldpin.standards.book import load_book
from coldpin.standards.connections import plug

CLAIM_UNITS = {
    "plug_rating": "A",
    "rated_current": "A",
    "declared_current": "A",
    "rated_voltage": "V",
    "cross_section": "mm²",
}
"""Claims that are numbers, and the unit each must have."""

_COUNTRY = re.compile(r"(?!uk)[a-z]{2}", re.IGNORECASE | re.ASCII)
"""Two letters; those that are often written for GB are no code, and no table has a row of them."""


def check_claims(claims: Claims) -> None:
    """Refuse a claim that no check could read, while it is still easy to write it differently.

    Parameters
    ----------
    claims : Claims
        As given.

    Raises
    ------
    CaseError
        A current, voltage or cross-section has no unit or cannot be read, or the country is not given by its letters.
    UnknownName
        The plug is not in the table.
    """
    for name, unit in CLAIM_UNITS.items():
        text = getattr(claims, name)
        if not text:
            continue
        try:
            parse_quantity(text, unit)
        except InputError as error:
            raise CaseError(f"claim {name} = {text!r}: {error}") from error
    if claims.country and not _COUNTRY.fullmatch(claims.country.strip()):
        raise CaseError(
            f"claim country = {claims.country[:40]!r}: a country is written by its two letters of ISO 3166-1, such as "
            "DK for Denmark or GB for the United Kingdom"
        )
    if claims.plug:
        plug(load_book(), claims.plug)


def unknown_subjects(case: CaseDescription) -> tuple[Problem, ...]:
    """Tell what quoted claims are said to be about and nobody knows.

    Parameters
    ----------
    case : CaseDescription
        The case.

    Returns
    -------
    tuple of Problem
        One for each word that is neither a protective function nor a finding of a check.
    """
    checks = {check.id for check in all_checks()}
    functions = ", ".join(plan.id for plan in PLANS)
    return tuple(
        Problem(
            where="case.toml, quoted_claims",
            what=(
                f"a claim is about {name!r}, which is no protective function and no finding of a check: write a "
                f"finding as 'offer-plug.value', or one of the functions {functions}"
            ),
        )
        for name in subjects(case)
        if not is_function(name) and name.partition(".")[0] not in checks
    )


def smaller_sizes(claims: Claims) -> frozenset[str]:
    """Name the claim whose cross-section is the smaller of two: the cable is held against the larger.

    Parameters
    ----------
    claims : Claims
        As given.

    Returns
    -------
    frozenset of str
        The key in ``case.toml``; empty where one size is claimed, or twice the same.

    Examples
    --------
    >>> sorted(smaller_sizes(Claims(cable_print="3G2.5", cross_section="4 mm²")))
    ['cable_print']
    """
    printed = printed_size(claims.cable_print)
    if printed is None or not claims.cross_section:
        return frozenset()
    try:
        claimed = parse_quantity(claims.cross_section, "mm²").value
    except InputError:
        return frozenset()
    if claimed == printed.size_mm2:
        return frozenset()
    return frozenset({"cable_print" if printed.size_mm2 < claimed else "cross_section"})
