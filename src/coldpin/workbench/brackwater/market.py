"""What the yard saw on the market for each of its leads, on the evening of the first day: all of it invented."""

from __future__ import annotations

from coldpin.records.case import Alternative
from coldpin.records.market import Listing, Survey
from coldpin.workbench.brackwater.step import SATURDAY

_ALL = (
    "supply-switching",
    "vehicle-recognition",
    "current-offer",
    "residual-current",
    "residual-smooth",
    "earth-monitoring",
)

WHOLESALER = Alternative(
    name="in-cable unit for 10 A with a control box, electrical wholesaler",
    price="185 EUR",
    claims=("IEC 62752", "plug with temperature sensing", "30 mA residual current"),
    functions=("supply-switching", "vehicle-recognition", "current-offer", "residual-current", "earth-monitoring"),
    seen=SATURDAY,
)
CHANDLER = Alternative(
    name="in-cable unit for 16 A with a control box, chandler's shop",
    price="239 EUR",
    claims=("IEC 62752", "30 mA and 6 mA direct", "checks the earth"),
    functions=_ALL,
    seen=SATURDAY,
)
WALL_UNIT = Alternative(
    name="wall unit for 32 A, electrician's list price without mounting",
    price="410 EUR",
    claims=("IEC 61851-1", "6 mA direct current detection", "checks the earth"),
    functions=_ALL,
    seen=SATURDAY,
)

SKERROW_SURVEYS = (
    Survey(on=SATURDAY, place="two web shops for boats", looked_for="in-cable charger 16 A blue plug"),
    Survey(on=SATURDAY, place="Quayside Bargains", looked_for="SK2538"),
)
SKERROW_LISTINGS = (
    Listing(
        name="Charger with display, 16 A",
        seen=SATURDAY,
        seller="Tidewrack Mobility",
        place="web shop",
        price="219 EUR",
        control_unit="yes",
        same_design="yes",
        rated_currents=("10 A", "16 A"),
        lengths=("5 m", "7.5 m"),
    ),
)
SKERROW_ALTERNATIVES = (WHOLESALER,)

_LEAD = "EV lead, type 2, "
PELLWICK_SURVEYS = (
    Survey(on=SATURDAY, place="Quayside Bargains", looked_for="EV lead type 2 20 A"),
    Survey(on=SATURDAY, place="an electrical wholesaler and a chandler", looked_for="portable charger"),
)
PELLWICK_LISTINGS = tuple(
    Listing(
        name=f"{_LEAD}{told}",
        seen=SATURDAY,
        place="Quayside Bargains",
        price=price,
        control_unit=unit,
        same_design=same,
        rated_currents=currents,
        lengths=lengths,
    )
    for told, price, unit, same, currents, lengths in (
        ("smart chip", "74 EUR", "no", "yes", ("10 A", "16 A", "20 A"), ("5 m", "10 m")),
        ("no heavy box", "69.90 EUR", "no", "yes", ("16 A", "20 A"), ("5 m",)),
        ("fast 32 A", "88 EUR", "no", "yes", ("32 A",), ("5 m", "10 m", "15 m")),
        ("for travel", "59 EUR", "cannot tell", "cannot tell", ("16 A",), ("3 m",)),
        ("with control box", "149 EUR", "yes", "no", ("10 A", "16 A"), ("5 m",)),
    )
)
PELLWICK_ALTERNATIVES = (WHOLESALER, CHANDLER)

DUNMARR_SURVEYS = (Survey(on=SATURDAY, place="Quayside Bargains", looked_for="32 A charger industrial plug"),)
DUNMARR_LISTINGS = tuple(
    Listing(
        name=f"Charger with box, {told}",
        seen=SATURDAY,
        place="Quayside Bargains",
        price=price,
        control_unit="yes",
        same_design=same,
        rated_currents=currents,
        lengths=("5 m", "8 m"),
    )
    for told, price, same, currents in (
        ("32 A", "140 EUR", "yes", ("16 A", "32 A")),
        ("40 A “pro”", "155 EUR", "yes", ("40 A",)),
        ("16 A", "119 EUR", "cannot tell", ("16 A",)),
    )
)
DUNMARR_ALTERNATIVES = (WALL_UNIT,)
