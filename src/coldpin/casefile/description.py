"""``case.toml``: read with one clear message, written with comments that help to fill it, edited with them kept."""

from __future__ import annotations

import dataclasses
from datetime import date
from enum import Enum
from typing import Any

import tomlkit

from coldpin.casefile.toml_text import ABSENT, parse_toml, require_format, value_at, with_value
from coldpin.errors import CaseError, ConflictError
from coldpin.records.case import ADDRESSEES, CASE_FORMAT, CLAIM_PLACES, LETTERS_ABOUT, CaseDescription, Letter
from coldpin.records.plain import from_plain, to_plain

CASE_FILE = "case.toml"

CHARGING_MODES = (1, 2, 3)
"""Modes of IEC 61851-1 in which the vehicle is fed with alternating current."""

PHASES = (1, 2, 3)


def parse_description(data: bytes, *, where: str = CASE_FILE) -> CaseDescription:
    """Read ``case.toml``.

    Parameters
    ----------
    data : bytes
        The file.
    where : str
        The file, for a message.

    Returns
    -------
    CaseDescription
        What it says.

    Raises
    ------
    CaseError
        It is not TOML, of another format, or a key is unknown, missing or of the wrong type.
    """
    plain = parse_toml(data, where=where)
    require_format(plain, CASE_FORMAT, where=where)
    description = from_plain(CaseDescription, plain, where=where)
    _check(description, where)
    return description


def render_description(description: CaseDescription) -> bytes:
    """Write ``case.toml`` with a line of help above each key.

    Parameters
    ----------
    description : CaseDescription
        What it is to say.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    CaseError
        The description is not as :func:`parse_description` would have it.
    """
    plain = to_plain(description)
    document = tomlkit.document()
    for line in _HEAD:
        document.add(tomlkit.comment(line))
    document.add(tomlkit.nl())
    for name in (name for name in plain if not isinstance(plain[name], dict) and name not in _LISTS):
        _add(document, name, name, plain[name])
    for name in (name for name in plain if isinstance(plain[name], dict)):
        table = tomlkit.table()
        for key, value in plain[name].items():
            _add(table, key, f"{name}.{key}", value)
        document.add(tomlkit.nl())
        document.add(name, table)
    for name in _LISTS:
        document.add(tomlkit.nl())
        for line in _HELP[name].splitlines() if plain[name] else (*_HELP[name].splitlines(), *_example(name)):
            document.add(tomlkit.comment(line))
        if plain[name]:
            document.add(name, _tables(plain[name]))
    data = tomlkit.dumps(document).encode()
    if parse_description(data) != description:
        raise CaseError("the description cannot be written as it is: leave out line ends and unusual characters")
    return data


def edit_description(data: bytes, key: str, old: object, new: object, *, where: str = CASE_FILE) -> bytes:
    """Change one value of ``case.toml`` if it still is what the editor saw.

    Parameters
    ----------
    data : bytes
        The file as it is now.
    key : str
        Dotted key, such as ``"specimen.serial"``.
    old : object
        The value the editor saw; None for a key that was not there.
    new : object
        The value wanted; None takes the key out.
    where : str
        The file, for a message.

    Returns
    -------
    bytes
        The new file; the same bytes where the value is already there.

    Raises
    ------
    ConflictError
        The file holds another value by now.
    CaseError
        The result would not be a valid description; the message says why.
    """
    current = value_at(parse_toml(data, where=where), key)
    wanted = _plain(new)
    if _is(wanted, current, key, data, where):
        return data
    if not _is(_plain(old), current, key, data, where):
        now = "not there" if current is ABSENT else repr(current)
        raise ConflictError(
            f"{where}: {key} was {_plain(old)!r} when the edit began and is {now} by now; "
            f"{wanted!r} was not written: look at both and edit again"
        )
    changed = with_value(data, key, wanted, where=where)
    parse_description(changed, where=where)
    return changed


def help_for(key: str) -> str:
    """Return the line of help that a new ``case.toml`` has above a key.

    Parameters
    ----------
    key : str
        Dotted key, or the name of a list.

    Returns
    -------
    str
        As a person reads it; empty where the key says it all.

    Examples
    --------
    >>> help_for("specimen.make")
    'As marked on the specimen, not as advertised.'
    """
    return " ".join(_HELP.get(key, "").splitlines())


def example_of(key: str) -> dict[str, Any]:
    """Return the example of a row that a new ``case.toml`` has in its comments.

    Parameters
    ----------
    key : str
        Name of a list.

    Returns
    -------
    dict
        Values by name; empty where there is none.

    Examples
    --------
    >>> example_of("opinions")["who"]
    'your name'
    """
    return dict(_EXAMPLES.get(key, {}))


def _is(value: Any, current: Any, key: str, data: bytes, where: str) -> bool:
    """Say whether a value is what the file has, as written or with what is left out at its default."""
    if value == current or (value is None and current is ABSENT):
        return True
    try:
        described = value_at(to_plain(parse_description(data, where=where)), key)
    except CaseError:
        return False  # the edit may be what mends the file
    return bool(_plain(described) == value)


def _plain(value: object) -> Any:
    match value:
        case Enum():
            return value.value
        case tuple() | list():
            return [_plain(item) for item in value]
        case dict():
            return {key: _plain(item) for key, item in value.items() if item is not None}
        case _ if dataclasses.is_dataclass(value) and not isinstance(value, type):
            return _plain(to_plain(value))
        case _:
            return value


def _check(description: CaseDescription, where: str) -> None:
    unit = description.unit
    if unit.charging_mode not in CHARGING_MODES:
        raise CaseError(f"{where}: unit.charging_mode is {unit.charging_mode}; it is 1, 2 or 3 (IEC 61851-1)")
    if unit.phases not in PHASES:
        raise CaseError(f"{where}: unit.phases is {unit.phases}; it is 1, 2 or 3")
    if not description.title.strip():
        raise CaseError(f"{where}: title is empty: say what the case is called")
    for letter in description.letters:
        _check_letter(letter, where)
    for claim in description.quoted_claims:
        if not claim.words.strip():
            raise CaseError(f"{where}: a quoted claim has no words: write down what is claimed, word for word")
        if claim.where and claim.where not in CLAIM_PLACES:
            raise CaseError(
                f"{where}: quoted claim {claim.words!r} stands on {claim.where!r}; it is one of "
                f"{', '.join(CLAIM_PLACES)}, or empty"
            )


def _check_letter(letter: Letter, where: str) -> None:
    if letter.to not in ADDRESSEES:
        raise CaseError(f"{where}: a letter is to {letter.to!r}; it is to one of {', '.join(ADDRESSEES)}")
    if letter.about not in LETTERS_ABOUT:
        raise CaseError(f"{where}: a letter is about {letter.about!r}; it is about one of {', '.join(LETTERS_ABOUT)}")
    days = {"sent": letter.sent, "deadline": letter.deadline, "answered": letter.answered}
    for name, text in days.items():
        try:
            date.fromisoformat(text or "2026-01-01")
        except ValueError as error:
            raise CaseError(f"{where}: {name} = {text!r} of a letter is no day: write it as 2026-03-14") from error
    for name in ("deadline", "answered"):
        if days[name] and days[name] < letter.sent:
            raise CaseError(f"{where}: the letter to the {letter.to} was sent on {letter.sent}, its {name} lies before")
    if letter.answer and not letter.answered:
        raise CaseError(f"{where}: the letter to the {letter.to} has an answer and no day on which it came: 'answered'")


def _add(table: Any, key: str, place: str, value: Any) -> None:
    for line in _HELP.get(place, "").splitlines():
        table.add(tomlkit.comment(line))
    table.add(key, value)


def _tables(rows: list[dict[str, Any]]) -> tomlkit.items.AoT:
    tables = tomlkit.aot()
    for row in rows:
        table = tomlkit.table()
        for key, value in row.items():
            if value is not None:
                table.add(key, value)
        tables.append(table)
    return tables


def _example(name: str) -> list[str]:
    return [f"[[{name}]]", *(f"{key} = {tomlkit.item(value).as_string()}" for key, value in _EXAMPLES[name].items())]


_LISTS = (
    "quoted_claims",
    "letters",
    "constants",
    "conditions_of_use",
    "alternatives",
    "listings",
    "surveys",
    "estimates",
    "severities",
    "opinions",
)

_HEAD = (
    "What a person writes about this specimen. Edit it with any text editor; comments stay.",
    "What was measured, seen or filed is not written here: record it, and it becomes an entry.",
)

_HELP = {
    "format": "Leave this line as it is.",
    "title": "How the report is headed.",
    "tester": "Who answers for the tests.",
    "question": "What the tests are to find out, in one sentence.",
    "assumptions": "What is taken for granted without a test; each is printed in the report.",
    "specimen.make": "As marked on the specimen, not as advertised.",
    "specimen.description": "What it is, to somebody who has not seen it.",
    "specimen.serial": "Serial number as marked; empty where there is none.",
    "specimen.batch": "Batch or date code as marked.",
    "specimen.marked_firmware": "Firmware as marked or shown; it can change what the unit does.",
    "specimen.seller": "Name as on the listing.",
    "specimen.where_now": "Where the specimen is kept, so that somebody else can look at it.",
    "unit.charging_mode": "1: plain socket, no pilot; 2: control unit in the cable; 3: fixed supply (IEC 61851-1).",
    "unit.build": '"portable" or "fixed"',
    "unit.cable": 'The vehicle cable: "attached" or "detachable"',
    "unit.electronics": '"none", "in the plug", "in a box in the cable", "in the vehicle connector",\n'
    '"in the wall unit" or "unknown"',
    "unit.phases": "Number of phases.",
    "unit.connector": 'Vehicle connector: "type 1" or "type 2"',
    "unit.edition": 'Which text the pilot is judged by:\n"iec-2", "iec-3" or "sae"; empty for the usual one.',
    "claims.plug": "Mains plug, by its word (list them: coldpin sources plug); empty for a fixed unit.",
    "claims.plug_rating": "What plate, print, papers and listing say, with units, as written there;\n"
    "empty where nothing is said.",
    "claims.declared_current": "The current the unit is set to offer during the tests.",
    "claims.cable_print": "Everything printed on the cable.",
    "claims.cross_section": 'Cross-section of its power conductors as plate, papers or listing say it: "2.5 mm²".',
    "claims.country": 'Country for whose sockets it is offered, as two letters: "DK".',
    "claims.max_ambient": 'Hottest air it may be used in, as plate or papers say it: "40 °C".',
    "claims.residual_current": 'Residual current at which it says to switch off: "30 mA"; empty where nothing is said.',
    "claims.residual_type": 'Type of that protection: "AC", "A", "F", "B", "class A", "CCID5" or "CCID20".',
    "claims.residual_direct": 'Smooth direct residual current at which it says to switch off: "6 mA".',
    "claims.standards_claimed": 'Standards it claims, as a list: ["IEC 62752"]',
    "claims.words": 'Other claims, in the seller\'s words, as a list: ["waterproof"]',
    "quoted_claims": "Claims word for word: where each stands (listing, plate, papers, pack, cable), and what would\n"
    "show it: functions or findings, by their ids in the report. Without these nobody can say whether it holds.",
    "letters": "Letters sent, and what was answered: to seller, maker, importer, marketplace or authority; about\n"
    '"right of reply", "declaration of conformity" or "notice". All of it is printed in the report.',
    "constants": "Values from a source of your own that take the place of ours, by the id that coldpin sources prints.",
    "conditions_of_use": "Ways in which it would be used, each judged by itself beside the usual places.\n"
    "What is left out is not known, and judged as such; the report says how your words were read.",
    "alternatives": "Proper alternatives on the market, and what their sellers claim.",
    "opinions": "What a person thinks beyond what the tests show. It is printed as an opinion, with its name.",
    "listings": 'Listings seen, each on its day; control_unit and same_design: "yes", "no" or "cannot tell".',
    "surveys": "Where you looked, when and for what; that nothing was found is a result.",
    "estimates": "Estimates of your own for steps of injury scenarios, in place of ours.\n"
    "The report lists scenarios and steps. "
    'state is "works" or "does not work" for a step that rests on a function; without scenario it holds in each.',
    "severities": "How grave an injury scenario ends by your own reckoning, in place of ours: 1 first aid, 2 doctor,\n"
    "3 hospital, 4 fatal. The report says that it is yours, and why.",
}

_EXAMPLES: dict[str, dict[str, Any]] = {
    "quoted_claims": {
        "words": "checks the earth before every charge",
        "where": "listing",
        "about": ["supply-earth-monitoring"],
        "seen": "2026-03-14",
        "address": "",
    },
    "letters": {
        "to": "seller",
        "name": "as on the listing",
        "about": "right of reply",
        "sent": "2026-03-14",
        "deadline": "2026-03-28",
        "answered": "",
        "answer": "",
    },
    "constants": {"id": "id of the value", "source": "the standard, edition and place you hold"},
    "conditions_of_use": {
        "name": "overnight on the pontoon",
        "place": "outdoors",
        "supply": "blue socket of the pontoon",
        "weather": "rain",
        "person": "anybody",
        "supply_rating": "16 A",
        "device": "C16",
        "residual_device": "fitted",
        "residual_type": "A",
        "residual_current": "30 mA",
        "earthing": "unknown",
        "own_circuit": "yes",
        "ambient": "25 °C",
        "coiled": "no",
        "hours": "8 h",
        "country": "DK",
        "attended": "no",
        "why": "what somebody asked",
    },
    "alternatives": {
        "name": "what it is",
        "price": "amount with currency",
        "claims": ["what its seller says"],
        "functions": ["residual-current"],
        "seen": "2026-03-14",
    },
    "listings": {
        "name": "as the page is headed",
        "seen": "2026-03-14",
        "price": "39.90 EUR",
        "control_unit": "no",
        "same_design": "yes",
        "rated_currents": ["10 A", "16 A"],
        "lengths": ["5 m"],
    },
    "surveys": {"on": "2026-03-14", "place": "which shops or pages", "looked_for": "the words searched for"},
    "estimates": {
        "scenario": "touch-live-pins",
        "step": "way-to-earth",
        "low": 0.1,
        "best": 0.3,
        "high": 0.7,
        "source": "where it is from, or judgement",
    },
    "severities": {"scenario": "touch-live-pins", "severity": 4, "source": "where it is from, or why"},
    "opinions": {
        "text": "what you think beyond the tests; it is printed as your opinion",
        "who": "your name",
    },
}
