"""What plate, papers and listing claim, refused where no check could read it."""

from __future__ import annotations

from coldpin.errors import CaseError, InputError
from coldpin.quantity import parse_quantity
from coldpin.records.case import Claims
from coldpin.standards.book import load_book
from coldpin.standards.connections import plug

CLAIM_UNITS = {"plug_rating": "A", "rated_current": "A", "declared_current": "A", "rated_voltage": "V"}
"""Claims that are numbers, and the unit each must have."""


def check_claims(claims: Claims) -> None:
    """Refuse a claim that no check could read, while it is still easy to write it differently.

    Parameters
    ----------
    claims : Claims
        As given.

    Raises
    ------
    CaseError
        A current or voltage has no unit or cannot be read.
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
    if claims.plug:
        plug(load_book(), claims.plug)
