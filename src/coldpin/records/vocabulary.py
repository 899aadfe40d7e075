"""The closed vocabulary of what an entry can show: the doors by which evidence reaches the checks.

A check names the words it needs; a person who records names one of them. An unknown word is an error that lists these.
"""

from __future__ import annotations

from collections.abc import Mapping

from coldpin.errors import UnknownName
from coldpin.records.access_words import ACCESS_WORDS
from coldpin.records.board_words import BOARDS
from coldpin.records.conductor_words import CONDUCTOR
from coldpin.records.distance_words import DISTANCE
from coldpin.records.heating_words import HEATING
from coldpin.records.insulation_words import ELECTRICAL, IN_PATH, PATH_MEANING
from coldpin.records.marking_words import MARKING_WORDS
from coldpin.records.part_words import INSIDE
from coldpin.records.plausible import CODING, EARTH, INSULATION, OUTPUT_VOLTS, RIPPLE
from coldpin.records.residual_words import RESIDUAL
from coldpin.records.session_words import CHARGING
from coldpin.records.showing import (
    BOUNDARIES,
    BOUNDARY,
    CONTACTS,
    DIODE,
    DIODES,
    EVENT,
    EVENTS,
    INPUT,
    INPUTS,
    LATCHES,
    LOAD,
    LOADS,
    OUTPUT_DELAY,
    OUTPUT_KIND,
    OUTPUT_KINDS,
    OUTPUT_SEEN,
    READ_OTHERWISE,
    SEEN,
    SEEN_AT,
    SETTING,
    SUPPLIES,
    SUPPLY,
    Showing,
)
from coldpin.records.supply_words import SUPPLY_WORDS
from coldpin.records.switching_words import SWITCHING
from coldpin.records.warm_cable_words import WARM_CABLE

__all__ = ["VOCABULARY", "Showing", "showing"]

_SHOWINGS = (
    Showing(
        word="wiring map",
        meaning="with everything dead: each plug pin to each connector pin, joined or open",
        recorded_as="pairs",
        conditions={
            "joined below": "resistance under which the meter was read as joined",
            "contacts": "'as found' (default) or 'held closed', the unit's contacts while the map was taken",
        },
        allowed={"contacts": CONTACTS},
    ),
    Showing(
        word="earth resistance",
        meaning="resistance from the plug's earth pin to the connector's, four-wire or with leads zeroed",
        recorded_as="readings",
        unit="Ω",
        measures="resistance",
        plausible=EARTH,
        conditions={"test current": "current through the earth conductor", "length": "length of the cable"},
    ),
    Showing(
        word="mains to pilot insulation",
        meaning="insulation resistance, line and neutral joined, to pilot and earth joined, before the first power",
        recorded_as="readings",
        unit="Ω",
        measures="insulation",
        plausible=INSULATION,
        conditions={"test voltage": "d.c. test voltage", "in the path": PATH_MEANING},
        allowed={"in the path": IN_PATH},
    ),
    Showing(
        word="output with nothing connected",
        meaning="largest voltage between any two of the connector's power pins, or from one to earth, while powered "
        "and with nothing connected",
        recorded_as="readings",
        unit="V",
        measures="voltage",
        plausible=OUTPUT_VOLTS,
        conditions={"supply": SUPPLY, "input": INPUT},
        allowed={"supply": SUPPLIES, "input": INPUTS},
    ),
    Showing(
        word="output in state B",
        meaning="voltage at the connector's power pins while the vehicle simulator is connected and asks for nothing",
        recorded_as="readings",
        unit="V",
        measures="voltage",
        plausible=OUTPUT_VOLTS,
        conditions={"supply": SUPPLY, "input": INPUT},
        allowed={"supply": SUPPLIES, "input": INPUTS},
    ),
    Showing(
        word="output in state C",
        meaning="voltage at the connector's power pins while the vehicle simulator, diode and all, asks for power",
        recorded_as="readings",
        unit="V",
        measures="voltage",
        plausible=OUTPUT_VOLTS,
        conditions={"supply": SUPPLY, "input": INPUT},
        allowed={"supply": SUPPLIES, "input": INPUTS},
    ),
    Showing(
        word="output with the diode shorted",
        meaning="voltage at the connector's power pins while the vehicle simulator asks for power, its diode shorted",
        recorded_as="readings",
        unit="V",
        measures="voltage",
        plausible=OUTPUT_VOLTS,
        conditions={"supply": SUPPLY, "input": INPUT},
        allowed={"supply": SUPPLIES, "input": INPUTS},
    ),
    Showing(
        word="pilot capture",
        meaning="voltage from pilot to earth at the connector against time, perhaps with the output beside it",
        recorded_as="capture",
        unit="V",
        measures="voltage",
        conditions={
            "load": LOAD,
            "diode": DIODE,
            "setting": SETTING,
            "full scale": "volts over the whole screen of the scope, for its accuracy statement",
            "supply": SUPPLY,
            "event": EVENT,
            "boundary": BOUNDARY,
            "seen at": SEEN,
            "output kind": OUTPUT_KIND,
            "output delay": OUTPUT_DELAY,
            "output seen in": OUTPUT_SEEN,
            "resistance B": "measured resistance of the vehicle simulator in state B, without its diode",
            "resistance C": "measured resistance of the vehicle simulator in state C, without its diode",
            "diode drop": "measured drop of the vehicle simulator's diode at some 3 mA to 6 mA",
            **READ_OTHERWISE,
        },
        allowed={
            "load": LOADS,
            "diode": DIODES,
            "supply": SUPPLIES,
            "event": EVENTS,
            "boundary": BOUNDARIES,
            "seen at": SEEN_AT,
            "output kind": OUTPUT_KINDS,
        },
    ),
    Showing(
        word="pilot ripple",
        meaning="ripple on a steady level of the pilot, peak to peak, as the scope shows it between the edges",
        recorded_as="readings",
        unit="V",
        measures="voltage",
        plausible=RIPPLE,
        conditions={"load": LOAD, "supply": SUPPLY},
        allowed={"load": LOADS, "supply": SUPPLIES},
    ),
    *SWITCHING,
    *RESIDUAL,
    *CONDUCTOR,
    *HEATING,
    *WARM_CABLE,
    *DISTANCE,
    *ELECTRICAL,
    *INSIDE,
    *BOARDS,
    *CHARGING,
    *SUPPLY_WORDS,
    *ACCESS_WORDS,
    *MARKING_WORDS,
    Showing(
        word="coding resistance",
        meaning="resistance from proximity pin to earth, in an attached cable's connector or in a loose cable's plug",
        recorded_as="readings",
        unit="Ω",
        measures="resistance",
        plausible=CODING,
        conditions={"latch": "'released' or 'pressed', for a type 1 connector"},
        allowed={"latch": LATCHES},
    ),
    Showing(
        word="marking",
        meaning="what plate, cable print, papers or pack say, with a photograph",
        recorded_as="note",
        conditions={"where": "plate, cable, pack, papers, listing"},
    ),
    Showing(
        word="purchase",
        meaning="from whom, when, at what price, how it arrived; the order number in a private entry",
        recorded_as="note",
        conditions={"price": "amount with currency", "seller": "name as on the listing", "batch": "batch or date code"},
    ),
    Showing(
        word="contents received",
        meaning="what was in the pack",
        recorded_as="note",
        conditions={"condition": "state on arrival, seals"},
    ),
    Showing(
        word="photograph before opening",
        meaning="the specimen as it came, plug faces and marks, with scale and number",
        recorded_as="note",
        conditions={},
    ),
    Showing(
        word="opened",
        meaning="the specimen was opened or changed: how, and what was cut or soldered",
        recorded_as="note",
        conditions={"how": "screws, clips, cut"},
    ),
    Showing(
        word="where it is",
        meaning="the specimen was moved, lent, sealed or destroyed",
        recorded_as="note",
        conditions={"place": "where, and who keeps it"},
    ),
    Showing(
        word="listing snapshot",
        meaning="the seller's page as saved on a day",
        recorded_as="note",
        conditions={
            "price": "amount with currency",
            "address": "where the page stands, in full",
            "item number": "as the marketplace has it",
        },
    ),
    Showing(
        word="document",
        meaning="instructions, declaration, report, letter",
        recorded_as="note",
        conditions={},
    ),
    Showing(
        word="photograph",
        meaning="anything else seen",
        recorded_as="note",
        conditions={"of": "what is to be seen"},
    ),
    Showing(
        word="video",
        meaning="something seen in a video, by file or by address with time code",
        recorded_as="note",
        conditions={"of": "what is to be seen"},
    ),
    Showing(
        word="remark",
        meaning="a thing noticed that no check asks for",
        recorded_as="note",
        conditions={},
    ),
)

VOCABULARY: Mapping[str, Showing] = {showing.word: showing for showing in _SHOWINGS}


def showing(word: str) -> Showing:
    """Return the vocabulary's entry for a word.

    Parameters
    ----------
    word : str
        What an entry shows.

    Returns
    -------
    Showing
        Its meaning and how it is recorded.

    Raises
    ------
    UnknownName
        The word is not in the vocabulary; the message lists it.

    Examples
    --------
    >>> showing("earth resistance").unit
    'Ω'
    """
    if word not in VOCABULARY:
        raise UnknownName.among("word for what an entry shows", word, VOCABULARY)
    return VOCABULARY[word]
