"""What stands on plate, bag, cable and papers of the three specimens of the yard, and what was looked for in vain."""

from __future__ import annotations

from collections.abc import Iterable

from coldpin.records.marking_words import (
    ANYWHERE,
    CONFORMITY,
    DEGREE,
    FREQUENCY,
    INSTRUCTIONS,
    LANGUAGE,
    LISTING,
    MAKER,
    MAKER_ADDRESS,
    MARK,
    PACK,
    PAPERS,
    PLATE,
    RATED_CURRENT,
    RATED_VOLTAGE,
    RESPONSIBLE,
    SERIAL,
    STANDARD,
    TYPE,
    WARNINGS,
)
from coldpin.workbench.brackwater.step import PIET, Seen

NONE = "no"
"""The answer where a mark was looked for and is not there."""


def _marks(at: str, marks: Iterable[tuple[str, str, str]]) -> tuple[Seen, ...]:
    """Return the steps of one look: each mark with its place, and what stands there."""
    return tuple(
        Seen(
            at=at,
            shows=MARK,
            answer=NONE if where == ANYWHERE else "yes",
            conditions={"item": item, "where": where, **({"says": says} if says else {})},
            who=PIET,
        )
        for item, where, says in marks
    )


SKERROW_MARKS = _marks(
    "12:47",
    (
        (MAKER, PLATE, "Skerrow"),
        (TYPE, PLATE, "Skerrow 16"),
        (SERIAL, PLATE, "2538-00417"),
        (MAKER_ADDRESS, PAPERS, "Skerrow Works, Harbour Lane 3, Brackwater"),
        (RESPONSIBLE, PAPERS, "Tidewrack Mobility, Quay 9, Brackwater"),
        (RATED_VOLTAGE, PLATE, "230 V~"),
        (RATED_CURRENT, PLATE, "16 A"),
        (RATED_CURRENT, LISTING, "16 A"),
        (FREQUENCY, PLATE, "50 Hz"),
        (DEGREE, PLATE, "IP66"),
        (STANDARD, PLATE, "IEC 62752"),
        (CONFORMITY, PLATE, ""),
        (WARNINGS, PAPERS, "Do not use with an extension lead. Do not use with a damaged cable."),
        (INSTRUCTIONS, PAPERS, ""),
        (LANGUAGE, PAPERS, ""),
    ),
)
"""Plate of the control box, and the leaflet of two pages."""

PELLWICK_MARKS = _marks(
    "14:02",
    (
        (MAKER, PACK, "Pellwick"),
        (TYPE, PACK, "Pellwick 20"),
        (SERIAL, ANYWHERE, ""),
        (MAKER_ADDRESS, ANYWHERE, ""),
        (RESPONSIBLE, ANYWHERE, ""),
        (RATED_VOLTAGE, PACK, "230 V"),
        (RATED_CURRENT, PACK, "20 A"),
        (RATED_CURRENT, LISTING, "20 A"),
        (FREQUENCY, ANYWHERE, ""),
        (DEGREE, ANYWHERE, ""),
        (STANDARD, ANYWHERE, ""),
        (CONFORMITY, ANYWHERE, ""),
        (WARNINGS, ANYWHERE, ""),
        (INSTRUCTIONS, ANYWHERE, ""),
    ),
)
"""No plate and no papers: what there is stands on the bag."""

DUNMARR_MARKS = _marks(
    "15:10",
    (
        (MAKER, PLATE, "Dunmarr"),
        (TYPE, PLATE, "Dunmarr 32"),
        (SERIAL, PLATE, "D32-100882"),
        (MAKER_ADDRESS, ANYWHERE, ""),
        (RATED_VOLTAGE, PLATE, "230 V~"),
        (RATED_CURRENT, PLATE, "32 A"),
        (RATED_CURRENT, PAPERS, "32 A"),
        (FREQUENCY, PLATE, "50 Hz"),
        (STANDARD, PLATE, "IEC 61851-1"),
        (CONFORMITY, PLATE, ""),
        (WARNINGS, PAPERS, "To be connected by an electrician only."),
        (INSTRUCTIONS, PAPERS, ""),
        (LANGUAGE, PAPERS, ""),
    ),
)
"""Plate on its side and the installation sheet; importer and degree of protection were not looked for."""
