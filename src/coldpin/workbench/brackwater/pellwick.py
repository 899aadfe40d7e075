"""The Pellwick 20, a bare lead: what is written in its case, and what was done with it."""

from __future__ import annotations

from coldpin.records.case import (
    Build,
    Cable,
    Claims,
    ConditionOfUse,
    Electronics,
    Opinion,
    QuotedClaim,
    Specimen,
    UnitClass,
)
from coldpin.records.withheld import ToWithhold
from coldpin.simulator.brackwater_specimens import PELLWICK_20
from coldpin.workbench.brackwater.access import PELLWICK_ACCESS
from coldpin.workbench.brackwater.letters import PELLWICK_LETTERS
from coldpin.workbench.brackwater.market import PELLWICK_ALTERNATIVES, PELLWICK_LISTINGS, PELLWICK_SURVEYS
from coldpin.workbench.brackwater.marks import PELLWICK_MARKS
from coldpin.workbench.brackwater.step import (
    DEAD,
    FULL_SCALE,
    PIET,
    RCD,
    SUNDAY,
    Captured,
    CaseStory,
    Corrected,
    Drawn,
    Linked,
    Mapped,
    Read,
    Saved,
    Told,
)
from coldpin.workbench.brackwater.sunday import PELLWICK_SUNDAY

PELLWICK = CaseStory(
    folder="pellwick-20",
    virtual=PELLWICK_20,
    unit=UnitClass(
        charging_mode=2,
        build=Build.PORTABLE,
        cable=Cable.ATTACHED,
        electronics=Electronics.IN_CONNECTOR,
        connector="type 2",
    ),
    specimen=Specimen(
        make="Pellwick",
        model="20",
        description="Bare lead, 4 m, household plug to vehicle connector, no box",
        batch="none found",
        seller="Quayside Bargains, marketplace page",
        where_now="Brackwater Boatyard, locked cupboard",
    ),
    claims=Claims(
        plug="CEE 7/4",
        plug_rating="16 A",
        rated_current="20 A",
        rated_voltage="230 V",
        declared_current="20 A",
        cable_print="3G2.5 300/500 V",
        max_ambient="35 °C",
        words=("fits every car", "smart chip inside, no heavy box"),
    ),
    uses=(
        ConditionOfUse(
            name="by day in the shed",
            place="indoors, in the dry shed",
            supply="16 A household socket of the shed",
            person="a volunteer of the yard",
            residual_device="tested",
            residual_type="A",
            residual_current="30 mA",
            coiled="no",
            hours="6 h",
            attended="yes",
        ),
    ),
    opinions=(
        Opinion(
            text="If somebody had to reach a proper charging point by this lead and by nothing else: in the dry, "
            "behind a residual-current device whose button was pressed just before, connector into the car first and "
            "plug into the socket last, the car set to 6 A, somebody beside it, no longer than half an hour; then the "
            "plug out first. Never the connector in a hand while the plug is in a socket. Then back into the bag.",
            who="Marta Lund",
        ),
    ),
    alternatives=PELLWICK_ALTERNATIVES,
    letters=PELLWICK_LETTERS,
    withhold=(ToWithhold(text="QB-20993-7", what="order number"), ToWithhold(text="berth 3", what="address")),
    listings=PELLWICK_LISTINGS,
    surveys=PELLWICK_SURVEYS,
    quoted=(
        QuotedClaim(
            words="smart chip inside, no heavy box",
            where="pack",
            about=("supply-switching", "vehicle-recognition"),
            seen="2026-03-14",
        ),
        QuotedClaim(
            words="20 A from any socket",
            where="listing",
            about=("offer-plug.value",),
            seen="2026-03-14",
            address="https://example.org/quayside-bargains/pellwick-20",
        ),
    ),
    steps=(
        Told(
            at="13:51",
            made="2026-01-08T18:20+01:00",
            shows="purchase",
            note="Bought second-hand by a member, never used; given to the yard when he read the plug.",
            conditions={"price": "74 EUR", "seller": "Quayside Bargains, marketplace page"},
        ),
        Told(at="13:52", shows="purchase", note="Order number QB-20993-7; donor: berth 3.", private=True),
        Told(
            at="13:53",
            shows="contents received",
            note="Lead in a bag. No papers, no plate.",
            conditions={"condition": "new, no seal; connector halves held by four screws and one clip"},
        ),
        Drawn(
            at="13:55",
            shows="photograph before opening",
            file="plug.png",
            title="Pellwick 20: plug",
            face="CEE 7/4 plug",
            note="Plug face; 16 A 250 V moulded in.",
            who=PIET,
        ),
        Drawn(
            at="13:56",
            shows="photograph before opening",
            file="connector.png",
            title="Pellwick 20: vehicle connector",
            face="type 2 connector",
            note="Connector face, thicker than usual behind the latch.",
            who=PIET,
        ),
        Drawn(
            at="13:58",
            shows="marking",
            file="bag.png",
            title="Pellwick 20: print on the bag",
            lines=("Pellwick 20", "20 A  4.6 kW  230 V", "Fits every car", "Smart chip inside, no heavy box"),
            note="Print on the bag; the lead itself carries the cable print only.",
            conditions={"where": "pack"},
            who=PIET,
        ),
        Saved(
            at="14:00",
            shows="listing snapshot",
            file="listing.txt",
            text="Pellwick 20 charging cable\n74 EUR\n\n20 A from any socket. Fits every car. Smart chip inside.\n"
            "\nYour order number QB-20993-7, to berth 3\n",
            note="The page as saved by the donor.",
            conditions={"price": "74 EUR"},
            who=PIET,
        ),
        *PELLWICK_MARKS,
        Mapped(
            at="14:06",
            shows="wiring map",
            note=f"{DEAD} Line and neutral go straight through; so does the earth. Nothing in between to switch.",
            conditions={"joined below": "10 Ω", "contacts": "as found"},
            instrument="multimeter",
        ),
        *PELLWICK_ACCESS,
        Read(
            at="14:10",
            shows="earth resistance",
            repeats=3,
            note="Four-wire, cable moved between the readings.",
            conditions={"test current": "10 A", "length": "40 m"},
            instrument="milliohm meter",
        ),
        Corrected(
            at="14:12",
            shows="earth resistance",
            conditions={"length": "4 m"},
            reason="The lead is 4 m long, measured with the tape; 40 m was a slip of the keyboard.",
        ),
        Read(at="14:14", shows="coding resistance", repeats=3, note="PP to PE.", instrument="multimeter"),
        Read(
            at="14:19",
            shows="mains to pilot insulation",
            note="250 V first, then 500 V for one minute.",
            conditions={"test voltage": "500 V"},
            instrument="insulation tester",
        ),
        Read(
            at="14:26",
            shows="output with nothing connected",
            repeats=3,
            note=f"{RCD} Connector in the insulating holder. The full mains at the pins: stopped, unplugged, locked.",
            conditions={"supply": "mains", "input": "low impedance"},
            instrument="multimeter",
            supply="230.9 V",
        ),
        Linked(
            at="14:29",
            shows="video",
            address="https://example.org/brackwater/pellwick-20",
            time_code="00:02:10",
            note="The meter between L1 and PE, nothing connected.",
            conditions={"of": "voltage at the connector's pins with nothing connected"},
            who=PIET,
        ),
        Told(
            at="14:35",
            shows="opened",
            note="Connector opened. A board the size of a matchbox between L1, N, CP and PE; no relay, no contactor.",
            conditions={"how": "four screws and one clip, nothing cut"},
            who=PIET,
        ),
        Captured(
            at="14:44",
            shows="pilot capture",
            file="pellwick_board.csv",
            note="The board off the mains wires, fed from an isolated bench supply of 12 V; box through its steps.",
            conditions={"load": "steps", "diode": "present", **FULL_SCALE},
            instrument="recorder",
            supply="12 V",
        ),
        Told(
            at="14:50",
            shows="where it is",
            note="Opened for the test, never to be used again: pins capped, tag 2 tied on.",
            conditions={"place": "Brackwater Boatyard, locked cupboard; key with Marta Lund"},
        ),
        *PELLWICK_SUNDAY,
        Told(
            at="13:31",
            day=SUNDAY,
            shows="where it is",
            note="Cut cable and opened box in one bag, pins capped, tag 2 tied on again.",
            conditions={"place": "Brackwater Boatyard, locked cupboard; key with Marta Lund"},
        ),
    ),
)
