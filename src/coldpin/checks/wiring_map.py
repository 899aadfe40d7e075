"""The dead wiring map as recorded: every pair of pins, joined, open, or neither."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.checks.evidence import BenchEvidence
from coldpin.errors import EntryError, InputError
from coldpin.quantity import parse_quantity
from coldpin.records.case import UnitClass
from coldpin.records.entry import Entry

JOINED_BELOW = "10 Ω"
"""Under this a meter's reading counts as joined, where the entry states nothing else: above any lead's own resistance,
below any coil or electronics (common practice, no published source)."""

OPEN_FROM = "10 kΩ"
"""From this on a reading counts as open where nothing may be joined. Between the two a pair is neither: a burnt contact
or wet soil lies there, electronics that watch a contact lie above (common practice, no published source)."""

PILOT_PINS = ("CP", "PP")
POLES = ("L", "N")


@dataclass(frozen=True, slots=True)
class Pair:
    """One pair of pins: whether it is joined (None where that cannot be told), and what was said of it."""

    plug_pin: str
    connector_pin: str
    joined: bool | None
    said: str


def plug_pins(unit: UnitClass) -> tuple[str, ...]:
    """Return the pins of the supply side in the order of the map.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen.

    Returns
    -------
    tuple of str
        "L N PE", or "L1 L2 L3 N PE" with three phases.
    """
    return ("L1", "L2", "L3", "N", "PE") if unit.phases == 3 else ("L", "N", "PE")


def connector_pins(unit: UnitClass) -> tuple[str, ...]:
    """Return the pins of the vehicle connector in the order of the map.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen.

    Returns
    -------
    tuple of str
        Power pins, earth and the pilot.
    """
    power = ("L1", "L2", "L3", "N") if unit.phases == 3 else ("L1", "N")
    return (*power, "PE", "CP")


def map_pairs(unit: UnitClass) -> tuple[str, ...]:
    """Return the pairs of a wiring map as they are written, in the order of the map.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen.

    Returns
    -------
    tuple of str
        Each such as "L > L1", the plug's pin first.
    """
    return tuple(f"{a} > {b}" for a in plug_pins(unit) for b in connector_pins(unit))


def partner(pin: str) -> str:
    """Return the connector pin that belongs to a plug pin.

    Parameters
    ----------
    pin : str
        A pin of the supply side.

    Returns
    -------
    str
        The pin it must lead to.

    Examples
    --------
    >>> partner("L"), partner("L2"), partner("PE")
    ('L1', 'L2', 'PE')
    """
    return "L1" if pin == "L" else pin


def _resistance(entry: Entry, text: str, where: str) -> float:
    try:
        return parse_quantity(text, "Ω").value
    except InputError as error:
        raise EntryError.of(
            entry.id, f"{where} = {text!r}: write 'joined', 'open' or a resistance ({error})"
        ) from error


def _read_pair(entry: Entry, plug_pin: str, connector_pin: str, threshold: float) -> Pair:
    text = entry.pairs.get(f"{plug_pin} > {connector_pin}", "")
    if text in ("joined", "open"):
        return Pair(plug_pin, connector_pin, text == "joined", text)
    if not text or text == "cannot tell":
        return Pair(plug_pin, connector_pin, None, text or "not recorded")
    value = _resistance(entry, text, f"pair '{plug_pin} > {connector_pin}'")
    if value < threshold:
        return Pair(plug_pin, connector_pin, True, "joined")
    # earth to earth is through or not; earth to pilot ends in the generator's own resistance
    if plug_pin == "PE" and connector_pin in ("PE", *PILOT_PINS):
        return Pair(plug_pin, connector_pin, False, "open")
    if value < parse_quantity(OPEN_FROM, "Ω").value:
        return Pair(plug_pin, connector_pin, None, text)
    return Pair(plug_pin, connector_pin, False, "open")


def read_map(bench: BenchEvidence, entry: Entry) -> tuple[Pair, ...]:
    """Return every pair of the map, in order, also those that were not recorded.

    Parameters
    ----------
    bench : BenchEvidence
        For the class of the unit.
    entry : Entry
        A wiring map.

    Returns
    -------
    tuple
        One pair for every plug pin and every connector pin.

    Raises
    ------
    EntryError
        A pair names a pin that such a unit does not have, or its value cannot be read.
    """
    unit = bench.case.unit
    known = map_pairs(unit)
    for pair in entry.pairs:
        if pair not in known:
            raise EntryError.of(entry.id, f"unknown pair {pair!r}; such a unit has: {', '.join(known)}")
    text = entry.conditions.get("joined below", JOINED_BELOW)
    threshold = _resistance(entry, text, "condition 'joined below'")
    return tuple(
        _read_pair(entry, plug_pin, connector_pin, threshold)
        for plug_pin in plug_pins(unit)
        for connector_pin in connector_pins(unit)
    )
