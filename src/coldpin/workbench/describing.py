"""``case.toml`` field by field, as a page shows it."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from enum import Enum
from functools import cache
from pathlib import Path
from types import UnionType
from typing import Any, Literal, get_args, get_origin, get_type_hints

from coldpin.casefile import open_case
from coldpin.casefile.description import example_of, help_for
from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.errors import UnknownName
from coldpin.records.case import ADDRESSEES, CLAIM_PLACES, LETTERS_ABOUT, CaseDescription
from coldpin.records.described import (
    Described,
    DescribedField,
    DescribedList,
    DescribedPart,
    DescribedRow,
    FieldKind,
)
from coldpin.records.finding import Standing
from coldpin.records.plain import to_plain
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition

_LONG = ("question", "specimen.description", "letters.answer", "opinions.text", "constants.note")
_YES = ("", "yes", "no")
_SEEN = ("yes", "no", "cannot tell")

_CHOICES: Mapping[str, tuple[str, ...]] = {
    "unit.charging_mode": ("1", "2", "3"),
    "unit.phases": ("1", "2", "3"),
    "unit.connector": ("type 1", "type 2"),
    "unit.edition": ("", *Edition),
    "quoted_claims.where": ("", *CLAIM_PLACES),
    "letters.to": ADDRESSEES,
    "letters.about": LETTERS_ABOUT,
    "constants.standing": tuple(Standing),
    "conditions_of_use.residual_device": ("", "none", "fitted", "tested", "unknown"),
    "conditions_of_use.residual_type": ("", "AC", "A", "F", "B"),
    "conditions_of_use.earthing": ("", "separate", "pen", "unknown", "TN-S", "TT", "TN-C-S"),
    "conditions_of_use.own_circuit": _YES,
    "conditions_of_use.coiled": _YES,
    "conditions_of_use.attended": _YES,
    "listings.control_unit": _SEEN,
    "listings.same_design": _SEEN,
    "severities.severity": ("1", "2", "3", "4"),
}

_KNOWN: Mapping[str, tuple[str, ...]] = {
    "conditions_of_use.place": ("outdoors", "driveway", "indoors", "garage"),
    "conditions_of_use.weather": ("rain", "dry"),
    "conditions_of_use.person": ("a household", "anybody", "electricians"),
    "conditions_of_use.supply_rating": ("10 A", "13 A", "16 A", "32 A"),
    "conditions_of_use.device": ("B10", "B16", "C16", "B20", "C32", "unknown"),
    "conditions_of_use.residual_current": ("30 mA",),
    "claims.residual_type": ("AC", "A", "F", "B", "class A", "CCID5", "CCID20"),
}

_WORDS = {
    "": "The case",
    "specimen": "The specimen",
    "unit": "What kind of unit it is",
    "claims": "What is claimed",
    "quoted_claims": "Claims word for word",
    "constants": "Constants from a source of your own",
    "letters": "Letters and answers",
    "conditions_of_use": "Conditions of use",
    "alternatives": "Alternatives on the market",
    "listings": "Listings seen",
    "surveys": "Where was looked",
    "estimates": "Own estimates of steps",
    "severities": "Own severities of scenarios",
    "opinions": "Opinions",
    "specimen.where_now": "Where it is now",
    "claims.cable_print": "Print on the cable",
    "claims.cross_section": "Cross-section of the power conductors",
    "claims.country": "Country of use",
    "claims.words": "Other claims, in the seller's words",
    "quoted_claims.words": "The claim",
    "surveys.on": "Day",
    "constants.id": "Constant",
    "conditions_of_use.device": "Device before the socket",
    "conditions_of_use.hours": "Hours at a time",
    "conditions_of_use.ambient": "Warmest air",
    "conditions_of_use.weather": "Weather or cover",
    "conditions_of_use.person": "Who comes near",
    "conditions_of_use.supply": "Supply, in words",
    "conditions_of_use.supply_rating": "Rating of the circuit",
    "conditions_of_use.own_circuit": "Circuit of its own",
    "conditions_of_use.coiled": "Cable coiled",
    "conditions_of_use.attended": "Somebody stays with it",
    "conditions_of_use.residual_device": "Residual-current device",
    "conditions_of_use.residual_type": "Its type",
    "conditions_of_use.residual_current": "Its rated residual current",
    "conditions_of_use.earthing": "Earthing of the supply",
    "conditions_of_use.why": "Why it is asked",
}

_HIDDEN = ("format",)
"""What this program writes and nobody edits."""


def describe_case(folder: Path | str) -> Described:
    """Return what a person writes of a case by hand, field by field.

    Parameters
    ----------
    folder : Path or str
        The case.

    Returns
    -------
    Described
        As the file says now.

    Raises
    ------
    CaseError
        The folder is not a case, or its ``case.toml`` cannot be read.
    """
    return described(open_case(folder).description())


def described(description: CaseDescription) -> Described:
    """Return a description field by field.

    Parameters
    ----------
    description : CaseDescription
        What ``case.toml`` says.

    Returns
    -------
    Described
        Parts and lists in the order of the file that a new case has.
    """
    hints = get_type_hints(CaseDescription)
    plain = to_plain(description)
    top, parts, lists = [], [], []
    for one in dataclasses.fields(CaseDescription):
        inner = _row_kind(hints[one.name])
        if one.name in _HIDDEN:
            continue
        if inner is not None:
            lists.append(list_of(one.name, plain[one.name]))
        elif dataclasses.is_dataclass(hints[one.name]):
            fields = _fields(one.name, hints[one.name], plain[one.name])
            parts.append(DescribedPart(key=one.name, words=_words(one.name), fields=fields))
        else:
            top.append(_field(one.name, one, hints[one.name], plain[one.name], key=one.name))
    first = DescribedPart(key="case", words=_WORDS[""], fields=tuple(top))
    return Described(title=description.title, parts=(first, *parts), lists=tuple(lists))


def heading(key: str) -> str:
    """Return how a page heads a table of ``case.toml``, or labels one of its keys.

    Parameters
    ----------
    key : str
        Such as ``"estimates"`` or ``"claims.plug"``.

    Returns
    -------
    str
        Empty where the file has no such table.

    Examples
    --------
    >>> heading("quoted_claims"), heading("claims.plug"), heading("entries")
    ('Claims word for word', 'Plug', '')
    """
    tables = {one.name for one in dataclasses.fields(CaseDescription)}
    return _words(key) if key.partition(".")[0] in tables else ""


def fields_of(key: str, row: Mapping[str, Any] | None = None) -> tuple[DescribedField, ...]:
    """Return the fields of a row of a list.

    Parameters
    ----------
    key : str
        Name of the list, such as ``"conditions_of_use"``.
    row : mapping, optional
        What it holds; a new one where left out.

    Returns
    -------
    tuple of DescribedField
        In their order.

    Raises
    ------
    UnknownName
        There is no such list.
    """
    return _fields(key, _kind_of_row(key), row)


def list_of(key: str, rows: list[dict[str, Any]]) -> DescribedList:
    """Return a list of ``case.toml`` with its rows, field by field.

    Parameters
    ----------
    key : str
        Name of the list.
    rows : list of dict
        All values of each row.

    Returns
    -------
    DescribedList
        With the fields of a new row.

    Raises
    ------
    UnknownName
        There is no such list.
    """
    kind = _kind_of_row(key)
    return DescribedList(
        key=key,
        words=_words(key),
        help=help_for(key),
        rows=tuple(DescribedRow(words=_called(row), fields=_fields(key, kind, row), seen=as_seen(row)) for row in rows),
        fresh=_fields(key, kind, None),
    )


def as_seen(row: Mapping[str, Any]) -> str:
    """Return a row as an edit names what it began from.

    Parameters
    ----------
    row : mapping
        All its values.

    Returns
    -------
    str
        JSON.
    """
    return json.dumps(row, ensure_ascii=False, sort_keys=False)


def _kind_of_row(key: str) -> type:
    hints = get_type_hints(CaseDescription)
    lists = {name: _row_kind(hint) for name, hint in hints.items()}
    kind = lists.get(key)
    if kind is None:
        raise UnknownName.among("list", key, [name for name, row in lists.items() if row is not None])
    return kind


def _row_kind(hint: Any) -> type | None:
    """Return what the rows of a list are; None for what is no list of records."""
    inner = get_args(hint)[0] if get_origin(hint) is tuple else None
    return inner if isinstance(inner, type) and dataclasses.is_dataclass(inner) else None


def _called(row: Mapping[str, Any]) -> str:
    """Return what a row is called: the first texts it holds."""
    texts = [str(value) for value in row.values() if isinstance(value, str) and value]
    return texts[0] if texts else "without a name"


def _fields(key: str, kind: type, row: Mapping[str, Any] | None) -> tuple[DescribedField, ...]:
    hints = get_type_hints(kind)
    example = example_of(key)
    listed = bool(example)
    made = []
    for one in dataclasses.fields(kind):
        value = _default(one) if row is None else row.get(one.name)
        field = _field(
            f"{key}.{one.name}", one, hints[one.name], value, key=one.name if listed else f"{key}.{one.name}"
        )
        made.append(dataclasses.replace(field, example=_text(example.get(one.name)) if listed else ""))
    return tuple(made)


def _field(place: str, one: dataclasses.Field[Any], hint: Any, value: Any, *, key: str) -> DescribedField:
    titles = _titles(place, _text(value))
    choices = ("", *titles) if titles else _CHOICES.get(place, _of_kind(hint))
    return DescribedField(
        key=key,
        words=_words(place),
        kind=_kind(place, hint, choices),
        text=_text(value),
        help=help_for(place),
        choices=choices,
        titles=titles,
        known=_KNOWN.get(place, ()) or _looked_up(place),
        needed=one.default is dataclasses.MISSING and one.default_factory is dataclasses.MISSING,
    )


def _default(one: dataclasses.Field[Any]) -> Any:
    value = None if one.default is dataclasses.MISSING else one.default
    return value.value if isinstance(value, Enum) else value


def _of_kind(hint: Any) -> tuple[str, ...]:
    if isinstance(hint, type) and issubclass(hint, Enum):
        return tuple(str(one.value) for one in hint)
    return tuple(map(str, get_args(hint))) if get_origin(hint) is Literal else ()


def _kind(place: str, hint: Any, choices: tuple[str, ...]) -> FieldKind:
    if choices:
        return FieldKind.CHOICE
    if get_origin(hint) is tuple:
        return FieldKind.LINES
    if hint is int:
        return FieldKind.WHOLE
    if hint is float or (isinstance(hint, UnionType) and float in get_args(hint)):
        return FieldKind.CHANCE if place.startswith("estimates.") else FieldKind.NUMBER
    return FieldKind.TEXT if place in _LONG else FieldKind.LINE


@cache
def _looked_up(place: str) -> tuple[str, ...]:
    """Return words of the program's own lists that a field may hold."""
    match place:
        case "estimates.scenario" | "severities.scenario":
            return tuple(plan.id for plan in SCENARIOS)
        case "estimates.step":
            return tuple(dict.fromkeys(step.id for plan in SCENARIOS for step in plan.steps))
        case _:
            return ()


def _titles(place: str, text: str) -> Mapping[str, str]:
    """Return the choices of a field with what they are called, where the program's own list says it.

    A plug has several words; the one that stands there already stays.
    """
    if place != "claims.plug":
        return {}
    rows = load_book().under("plug.")
    return {text if text in row.words("words") else row.words("words")[0]: row.limit.title for row in rows}


def _words(place: str) -> str:
    name = place.rpartition(".")[2].replace("_", " ")
    return _WORDS.get(place, f"{name[:1].upper()}{name[1:]}")


def _text(value: Any) -> str:
    match value:
        case None:
            return ""
        case list() | tuple():
            return "\n".join(map(str, value))
        case float():
            return f"{value:.10g}"
        case _:
            return str(value)
