"""The letters that went out from Brackwater Boatyard, and what came back."""

from __future__ import annotations

from coldpin.records.case import DECLARATION, Letter

SENT, UNTIL = "2026-03-16", "2026-04-06"

SKERROW_LETTERS = (
    Letter(
        to="seller",
        name="Tidewrack Mobility",
        sent=SENT,
        deadline=UNTIL,
        answered="2026-03-19",
        answer="We have read your readings and have nothing to add. The batch is as we sell it.",
    ),
)

PELLWICK_LETTERS = (
    Letter(to="seller", name="Quayside Bargains", sent=SENT, deadline=UNTIL),
    Letter(to="seller", name="Quayside Bargains", about=DECLARATION, sent=SENT, deadline=UNTIL),
)
"""Nobody answered."""

DUNMARR_LETTERS = (
    Letter(
        to="maker",
        name="Dunmarr",
        sent=SENT,
        deadline=UNTIL,
        answered="2026-04-02",
        answer="Firmware 1.09 checks the diode before it closes. We are looking into the distances and the sensor.",
    ),
    Letter(to="seller", name="Lee Shore Electrical", sent=SENT, deadline=UNTIL),
    Letter(
        to="maker",
        name="Dunmarr",
        about=DECLARATION,
        sent=SENT,
        deadline=UNTIL,
        answered="2026-04-02",
        answer="Attached.",
    ),
)
