"""Words for what stands, or does not stand, on plate, cable, pack, papers and listing."""

from __future__ import annotations

from coldpin.records.showing import Showing

MARK = "marking looked for"

MAKER = "name of the maker"
MAKER_ADDRESS = "address of the maker"
RESPONSIBLE = "importer or responsible person with address"
TYPE = "type or model"
SERIAL = "serial or batch number"
RATED_VOLTAGE = "rated voltage"
RATED_CURRENT = "rated current"
FREQUENCY = "frequency"
DEGREE = "degree of protection"
STANDARD = "standard claimed"
CONFORMITY = "mark of conformity"
WARNINGS = "warnings"
INSTRUCTIONS = "instructions"
LANGUAGE = "language of the country"

MARKS = (
    MAKER,
    MAKER_ADDRESS,
    RESPONSIBLE,
    TYPE,
    SERIAL,
    RATED_VOLTAGE,
    RATED_CURRENT,
    FREQUENCY,
    DEGREE,
    STANDARD,
    CONFORMITY,
    WARNINGS,
    INSTRUCTIONS,
    LANGUAGE,
)

PLATE, PACK, CABLE, PAPERS, LISTING, ANYWHERE = "plate", "pack", "cable", "papers", "listing", "anywhere"
PLACES_MARKED = (PLATE, PACK, CABLE, PAPERS, LISTING, ANYWHERE)

MARKING_WORDS = (
    Showing(
        word=MARK,
        meaning=(
            "one thing that was looked for on plate, cable, pack, papers or listing: 'yes' it is there, 'no' it is "
            "not; what is seen, and no judgement of any law"
        ),
        recorded_as="answer",
        conditions={
            "item": f"what was looked for: {', '.join(map(repr, MARKS))}",
            "where": (
                f"where it was looked for: {', '.join(map(repr, PLACES_MARKED))}, the last of which with a no means "
                "on none of them"
            ),
            "says": "what stands there, word for word: 16 A, 230 V~, a name",
        },
        allowed={"item": MARKS, "where": PLACES_MARKED},
    ),
)
"""Everything about marks and papers."""
