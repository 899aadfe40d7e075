"""What an entry must be like to be written: checked while the person is still at the bench."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime, timedelta

from coldpin.casefile.untrusted import check_plain
from coldpin.errors import CaseError, ColdpinError, InputError, UnknownName
from coldpin.quantity import AtLeast, AtMost, Quantity
from coldpin.quantity.text import parse_quantity, parse_reading
from coldpin.records.entry import FIRST_STAMP, Entry, EntryKind, EvidenceFile
from coldpin.records.vocabulary import Showing, showing

ANSWERS = ("yes", "no", "cannot tell")
"""What a question without a number can be answered with."""

LONGEST_TEXT = 20_000
"""Characters in one text of an entry; what is longer is a document to be filed as evidence."""

MOST_READINGS = 1000
"""Readings in one entry; more than that were not written down by hand."""

ID = re.compile(r"[0-9]{8}T[0-9]{9}Z-[0-9a-hjkmnp-tv-z]{10}")
"""UTC date and time to the millisecond, then ten random characters: sorts by time, is safe as a file name."""

_PLAIN_NAME = re.compile(r"[^/\\\x00-\x1f<>:\"|?*]+")
_SHA256 = re.compile(r"[0-9a-f]{64}")
_PAIR = re.compile(r"\s*(\S[^>]*?)\s*>\s*(\S[^>]*?)\s*")
_LATEST_AFTER_RECORDED = timedelta(days=1)
_SURROUNDINGS = {"supply_voltage": "V", "ambient": "°C", "humidity": "%"}


def check_entry(entry: Entry) -> None:
    """Refuse an entry that nobody could use later.

    Parameters
    ----------
    entry : Entry
        What is to be written.

    Raises
    ------
    CaseError
        A date, a field or the form of the content is not as it must be.
    UnknownName
        The word for what it shows, or a condition, is not in the vocabulary.
    QuantityTextError
        A reading cannot be read as a number.
    UnitError
        A reading is of another kind than what it is said to show.
    """
    where = f"entry {entry.shows!r}"
    if not ID.fullmatch(entry.id):
        raise CaseError(f"{where}: id {entry.id!r} is not of our making: make the entry with new_entry")
    check_plain(entry, where=where)
    _check_lengths(entry, where)
    if not entry.who.strip():
        raise CaseError(f"{where}: nobody is named as having done it: give a name or initials")
    _check_dates(entry, where)
    shown = showing(entry.shows)
    _check_correction(entry, where)
    _check_conditions(entry, shown, where)
    _check_surroundings(entry, where)
    if entry.evidence is not None:
        _check_evidence(entry.evidence, where)
    if not entry.withdraws:
        _check_content(entry, shown, where)


def check_correction(entry: Entry, others: Iterable[Entry]) -> None:
    """Refuse a correction of what is not there, and one that would publish what is private.

    Parameters
    ----------
    entry : Entry
        The correction that is to be written.
    others : iterable of Entry
        The entries of the case.

    Raises
    ------
    CaseError
        The entry it replaces is missing, private while the correction is not, or a withdrawal that it would withdraw.
    """
    replaced = next((other for other in others if other.id == entry.replaces), None)
    if replaced is None:
        raise CaseError(f"entry {entry.replaces!r} is not there or cannot be read: only what is there can be corrected")
    if replaced.private and not entry.private:
        raise CaseError(f"entry {replaced.id} is private: its correction must be private too, or it would be published")
    if replaced.withdraws and entry.withdraws:
        raise CaseError(f"entry {replaced.id} is itself a withdrawal: correct it with what holds instead")


def parse_instant(text: str, *, what: str) -> datetime:
    """Read a date and time that says its zone.

    Parameters
    ----------
    text : str
        ISO 8601, such as ``2026-03-14T10:05+01:00``.
    what : str
        Which time it is, for a message.

    Returns
    -------
    datetime
        With zone.

    Raises
    ------
    CaseError
        It is not ISO 8601, or has no zone.

    Examples
    --------
    >>> parse_instant("2026-03-14T10:05+01:00", what="made").utcoffset()
    datetime.timedelta(seconds=3600)
    >>> parse_instant("14/03/2026 10:05", what="made")
    Traceback (most recent call last):
    ...
    coldpin.errors.CaseError: made '14/03/2026 10:05' is not a date and time: write it as 2026-03-14T10:05+01:00
    """
    try:
        instant = datetime.fromisoformat(text)
    except ValueError as error:
        raise CaseError(f"{what} {text!r} is not a date and time: write it as 2026-03-14T10:05+01:00") from error
    if instant.tzinfo is None:
        raise CaseError(
            f"{what} {text!r} does not say its time zone: add it, as in 2026-03-14T10:05+01:00, or Z for UTC"
        )
    return instant


def pair_of(key: str) -> tuple[str, str]:
    """Return the two pins of a pair written ``"L > L1"``.

    Parameters
    ----------
    key : str
        The pair as written.

    Returns
    -------
    tuple of str
        Pin of the plug, pin of the connector.

    Raises
    ------
    CaseError
        It is not two names with one ``>`` between them.

    Examples
    --------
    >>> pair_of("L > L1")
    ('L', 'L1')
    """
    found = _PAIR.fullmatch(key)
    if not found:
        raise CaseError(f"pair {key!r} is not two pins: write 'L > L1', plug pin first")
    return found[1], found[2]


def _check_lengths(entry: Entry, where: str) -> None:
    longest = max((len(text) for text in _texts(entry)), default=0)
    if longest > LONGEST_TEXT:
        raise CaseError(
            f"{where}: a text has {longest} characters; an entry takes {LONGEST_TEXT}: file it as a document instead"
        )


def _texts(entry: Entry) -> tuple[str, ...]:
    named = (entry.note, entry.reason, entry.who, entry.instrument, entry.answer)
    return (*named, *entry.readings, *entry.pairs, *entry.pairs.values(), *entry.conditions.values())


def _check_dates(entry: Entry, where: str) -> None:
    made = parse_instant(entry.made, what=f"{where}: made")
    recorded = parse_instant(entry.recorded, what=f"{where}: recorded")
    if made - recorded > _LATEST_AFTER_RECORDED:
        raise CaseError(
            f"{where}: made {entry.made} lies more than a day after it was recorded, {entry.recorded}: "
            "correct the date, or the clock of this computer"
        )
    if entry.made_by not in ("", FIRST_STAMP):
        raise CaseError(f"{where}: made by {entry.made_by[:60]!r}: only {FIRST_STAMP} may say so; else leave it out")


def _check_correction(entry: Entry, where: str) -> None:
    if entry.kind is EntryKind.CORRECTION:
        if not entry.replaces:
            raise CaseError(f"{where}: a correction must name the entry it replaces")
        if entry.replaces == entry.id:
            raise CaseError(f"{where}: a correction cannot replace itself")
        if not entry.reason.strip():
            raise CaseError(f"{where}: a correction needs its reason: say what was wrong with {entry.replaces}")
    elif entry.replaces or entry.withdraws:
        raise CaseError(f"{where}: only a correction replaces or withdraws an entry: record it as one, with its reason")


def _check_conditions(entry: Entry, shown: Showing, where: str) -> None:
    for name, value in entry.conditions.items():
        if name not in shown.conditions:
            if not shown.conditions:
                raise UnknownName(f"{where}: condition {name!r} is given; this entry takes none: put it into the note")
            raise UnknownName.among(f"condition for {shown.word!r}", name, shown.conditions)
        if not value.strip():
            raise CaseError(f"{where}: condition {name!r} is empty: give it ({shown.conditions[name]}) or leave it out")
        if name in shown.allowed and value not in shown.allowed[name]:
            raise UnknownName.among(f"value of the condition {name!r} of {shown.word!r}", value, shown.allowed[name])


def _check_surroundings(entry: Entry, where: str) -> None:
    for name, unit in _SURROUNDINGS.items():
        text = getattr(entry, name)
        if text:
            with told_at(f"{where}: {name.replace('_', ' ')}"):
                parse_quantity(text, unit)


def _check_evidence(evidence: EvidenceFile, where: str) -> None:
    if bool(evidence.file) == bool(evidence.address):
        raise CaseError(f"{where}: evidence is a file or an address, one of them")
    if evidence.file:
        if not _PLAIN_NAME.fullmatch(evidence.file) or evidence.file.startswith("."):
            raise CaseError(f"{where}: evidence {evidence.file!r} is not the name of a file in the case: file it first")
        if not _SHA256.fullmatch(evidence.sha256) or evidence.size < 0:
            raise CaseError(f"{where}: evidence {evidence.file!r} has no proper sha256 and size: file it first")
    if evidence.companion is not None:
        if not evidence.file or not evidence.companion.file or evidence.companion.companion is not None:
            raise CaseError(f"{where}: a companion is one further file of a capture that is a file: file both")
        _check_evidence(evidence.companion, where)
    if not evidence.media.strip():
        raise CaseError(
            f"{where}: evidence does not say what it is: capture, log, photograph, video, document or listing"
        )


def _check_content(entry: Entry, shown: Showing, where: str) -> None:
    given = {"readings": bool(entry.readings), "answer": bool(entry.answer), "pairs": bool(entry.pairs)}
    for form, is_given in given.items():
        if is_given and form != shown.recorded_as:
            recorded = _FORMS[shown.recorded_as] + _HOW.get(shown.recorded_as, "")
            raise CaseError(f"{where}: {form} given, but it is recorded as {recorded}")
    match shown.recorded_as:
        case "readings":
            _check_readings(entry, shown, where)
        case "pairs":
            _check_pairs(entry, where)
        case "answer":
            if entry.answer not in ANSWERS:
                raise UnknownName.among(f"answer for {shown.word!r}", entry.answer, ANSWERS)
        case "capture" | "log" | "board" as what:
            _check_decoded(entry, what, where)
        case _:
            if not (entry.note.strip() or entry.conditions or entry.evidence):
                raise CaseError(f"{where}: it says nothing: write a note, or give a condition or a piece of evidence")


def _check_decoded(entry: Entry, what: str, where: str) -> None:
    if entry.evidence is None or not entry.evidence.file:
        raise CaseError(f"{where}: no {what} is given: file the {what} and name it in the entry")
    if (what == "board") != (entry.evidence.media == "board"):
        raise CaseError(f"{where}: a {entry.evidence.media} is given where a {what} is wanted: file it as that")


_FORMS = {
    "readings": "readings, one text per repeat",
    "answer": "an answer",
    "pairs": "pairs of pins",
    "capture": "a filed capture",
    "log": "a filed log",
    "board": "a filed drawing of a board",
    "note": "a note, conditions or a piece of evidence",
}
_HOW = {
    "answer": ": say --answer yes, no or 'cannot tell'",
    "pairs": ": say --pair 'PIN > PIN=FOUND' for each",
    "capture": ": file it with add",
    "log": ": file it with add",
    "board": ": file it with add",
    "note": ": say --note or --condition",
}


def _check_readings(entry: Entry, shown: Showing, where: str) -> None:
    if not entry.readings:
        raise CaseError(f"{where}: no reading is given: write at least one, with its unit ({shown.unit})")
    if len(entry.readings) > MOST_READINGS:
        raise CaseError(f"{where}: {len(entry.readings)} readings; {MOST_READINGS} are taken: file them as a capture")
    for number, text in enumerate(entry.readings, start=1):
        with told_at(f"{where}: reading {number}"):
            _refuse_negative_time(parse_reading(text, shown.unit), shown, text)


def _refuse_negative_time(read: Quantity | AtLeast | AtMost, shown: Showing, text: str) -> None:
    value = read.value if isinstance(read, Quantity) else read.edge.value
    if shown.measures == "time" and value < 0.0:
        raise CaseError(f"{text!r}: a time is not negative; it counts from what was done to what followed")


def _check_pairs(entry: Entry, where: str) -> None:
    if not entry.pairs:
        raise CaseError(f"{where}: no pair is given: write 'L > L1' with joined, open or a resistance")
    seen: set[tuple[str, str]] = set()
    for key, found in entry.pairs.items():
        with told_at(where):
            pair = pair_of(key)
        if pair in seen:
            raise CaseError(f"{where}: pair {pair[0]} > {pair[1]} is given twice: keep one")
        seen.add(pair)
        if found not in ("joined", "open"):
            with told_at(f"{where}: pair {key!r} is neither 'joined' nor 'open' nor a resistance"):
                parse_reading(found, "Ω")


class told_at:  # noqa: N801 reads as the statement it is used in: with told_at(place)
    """Put the place in front of what an inner check says, keeping its kind.

    Parameters
    ----------
    place : str
        Where it is, such as ``"entry 'earth resistance': reading 2"``.
    """

    def __init__(self, place: str) -> None:
        self._place = place

    def __enter__(self) -> None:
        """Begin."""

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: object) -> None:
        """Raise the same kind of error again, with the place."""
        if isinstance(error, InputError):
            told: ColdpinError = type(error)(f"{self._place}: {error}")
            raise told from error
