"""An entry of a reading or an observation, made and tried, not yet written: what recording and saying back share."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

from coldpin.casefile import Case, new_entry
from coldpin.casefile.acceptance import pair_of, told_at
from coldpin.checks.wiring_map import map_pairs
from coldpin.errors import CaseError, CorrectedBefore, InputError, UnknownName
from coldpin.quantity import Quantity, parse_quantity
from coldpin.records.condition_units import unit_asked
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.vocabulary import showing
from coldpin.workbench.clock import now as clock
from coldpin.workbench.shelving import SHELF_FILE, Bench
from coldpin.workbench.trial import require_usable

CUSTODY = ("purchase", "contents received", "photograph before opening", "opened", "where it is", "listing snapshot")
"""Words of the vocabulary that tell where the specimen came from and what was done to it."""


def observed(
    bench: Bench,
    *,
    shows: str,
    who: str,
    made: datetime | str | None = None,
    readings: Sequence[str] = (),
    answer: str = "",
    pairs: Mapping[str, str] | None = None,
    conditions: Mapping[str, str] | None = None,
    instrument: str = "",
    supply_voltage: str = "",
    ambient: str = "",
    humidity: str = "",
    note: str = "",
    private: bool = False,
    now: datetime | None = None,
    random_bytes: Callable[[int], bytes] = secrets.token_bytes,
) -> Entry:
    """Make the entry of a reading or an observation and try it on the checks; nothing is written.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    shows : str
        A word of the vocabulary.
    who : str
        Who read or saw it.
    made : datetime or str, optional
        When, with zone; now where left out.
    readings : sequence of str
        As a person writes them, one text per repeat.
    answer : str
        "yes", "no" or "cannot tell".
    pairs : mapping of str to str, optional
        Of a wiring map: ``"L > L1"`` to "joined", "open" or a resistance.
    conditions : mapping of str to str, optional
        Conditions the vocabulary has for this word.
    instrument : str
        Its name on the shelf.
    supply_voltage, ambient, humidity : str
        Texts with unit, where known.
    note : str
        Anything else.
    private : bool
        Kept out of what is published.
    now : datetime, optional
        The instant of writing; the clock's where left out.
    random_bytes : callable, optional
        Source of the id's random part.

    Returns
    -------
    Entry
        As it would be written.

    Raises
    ------
    CaseError
        The instrument is not on the shelf, or no check could use the entry as it is.
    InputError
        It is not as an entry must be.
    """
    require_instrument(bench, instrument)
    require_units(shows, conditions or {})
    kind = EntryKind.READING if readings else EntryKind.CUSTODY if shows in CUSTODY else EntryKind.OBSERVATION
    written = now or clock()
    entry = new_entry(
        kind,
        shows,
        who,
        made or written,
        recorded=written,
        readings=tuple(readings),
        answer=answer,
        pairs=written_pairs(bench, pairs),
        conditions=conditions,
        instrument=instrument,
        supply_voltage=supply_voltage,
        ambient=ambient,
        humidity=humidity,
        private=private,
        note=note,
        random_bytes=random_bytes,
    )
    require_usable(bench, entry)
    return entry


def require_instrument(bench: Bench, instrument: str) -> None:
    """Refuse an instrument that does not stand on the shelf, before anything is written.

    A ``shelf.toml`` that cannot be read refuses nothing: what was read at the bench is kept, and the assessment tells.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    instrument : str
        Its name there; empty for none.

    Raises
    ------
    CaseError
        It is not on the shelf, or there is no shelf.
    """
    if not instrument or instrument in bench.instruments or (bench.shelf is None and bench.problems):
        return
    around = bench.case.folder.parent
    if bench.shelf is None:
        raise CaseError(
            f"instrument {instrument!r} is not on the shelf: there is no {around / SHELF_FILE}; "
            "'coldpin new' makes one with an example in it, or leave the instrument out"
        )
    known = ", ".join(sorted(bench.instruments)) or "none"
    raise CaseError(
        f"instrument {instrument!r} is not on the shelf (known: {known}): add it to {around / SHELF_FILE} first"
    )


def require_units(shows: str, conditions: Mapping[str, str]) -> None:
    """Refuse a quantity without its unit among the conditions of what is to be written.

    What a case holds already is not asked: it is read as it was.

    Parameters
    ----------
    shows : str
        A word of the vocabulary.
    conditions : mapping of str to str
        As typed.

    Raises
    ------
    UnknownName
        The word is not in the vocabulary.
    UnitError
        One is a bare number where a quantity is asked for.

    Examples
    --------
    >>> require_units("wiring map", {"joined below": "10 Ω"})
    >>> require_units("wiring map", {"joined below": "10"})
    Traceback (most recent call last):
    ...
    coldpin.errors.UnitError: entry 'wiring map': condition 'joined below': '10' has no unit, but resistance is asked \
for: write it as in '10 Ω'
    """
    known = showing(shows)
    for name, text in conditions.items():
        unit = unit_asked(name, known.conditions.get(name, ""))
        if unit and name not in known.allowed and _is_bare(text):
            with told_at(f"entry {known.word!r}: condition {name!r}"):
                parse_quantity(text, unit)


def _is_bare(text: str) -> bool:
    """Say whether a text is a number without unit; what cannot be read at all is judged where it is used."""
    try:
        read: Quantity = parse_quantity(text)
    except InputError:
        return False
    return read.unit == "1"


def written_pairs(bench: Bench, pairs: Mapping[str, str] | None) -> dict[str, str]:
    """Write pairs as the map has them, blanks or none, and refuse a pin that such a unit does not have.

    Parameters
    ----------
    bench : Bench
        The case, whose class says which pins there are.
    pairs : mapping of str to str or None
        ``"L > L1"`` to what was found.

    Returns
    -------
    dict of str to str
        The same, each pair written in one way.

    Raises
    ------
    UnknownName
        Such a unit has no such pair.
    CaseError
        A pair is given twice, or is not written as one.
    """
    if not pairs:
        return {}
    known = map_pairs(bench.case.description().unit)
    written: dict[str, str] = {}
    for pair, found in pairs.items():
        name = " > ".join(pair_of(pair))
        if name not in known:
            raise UnknownName(f"wiring map: unknown pair {name!r}; such a unit has: {', '.join(known)}")
        if name in written:
            raise CaseError(f"wiring map: pair {name!r} is given twice: keep one")
        written[name] = found
    return written


def require_standing(case: Case, old: Entry) -> None:
    """Refuse to correct what was corrected before: two corrections of one entry contradict each other.

    Parameters
    ----------
    case : Case
        The case.
    old : Entry
        What is to be corrected.

    Raises
    ------
    CorrectedBefore
        It was corrected or taken back before; the later entry is named.
    """
    later = [entry.id for entry in case.entries().entries if entry.replaces == old.id]
    if later:
        raise CorrectedBefore.by(old.id, later[-1])
