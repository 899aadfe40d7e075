"""Conditions of use in a person's words, read as circumstances; what is not said stays unknown, and judged so."""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import StrEnum
from typing import TypeVar

from coldpin.errors import CaseError, InputError
from coldpin.quantity import parse_quantity
from coldpin.records.case import ConditionOfUse
from coldpin.records.scenario import (
    Circuit,
    Circumstances,
    Earthing,
    Person,
    Place,
    ResidualType,
    Upstream,
    Watch,
    Weather,
)
from coldpin.records.use import Coiled, Use
from coldpin.standards.book import Book
from coldpin.standards.protective_device import find_device
from coldpin.standards.table import needed
from coldpin.standards.uses import protects_people

Word = TypeVar("Word", bound=StrEnum)

_OUTDOORS = re.compile(
    r"\b(?:out[ -]?(?:doors?|side)|drive(?:way)?|garden|yard|quay|pier|pontoon|marina|harbou?r|slipway|street|road\w*|"
    r"kerb|car[ -]?(?:park\w*|port)|parking|camp\w*|field|farm\w*|terrace|patio|open[ -]air|on a wall)\b",
    re.IGNORECASE,
)
_INDOORS = re.compile(r"\b(?:in[ -]?doors?|inside|garage|cellar|house|hall|shed|workshop)\b", re.IGNORECASE)
_WET = re.compile(r"\b(?:rain\w*|wet|snow\w*|puddle\w*|spray|damp|any weather)\b", re.IGNORECASE)
_DRY = re.compile(r"\b(?:dry|under (?:a )?(?:roof|cover)|indoors?|sunny|fair)\b", re.IGNORECASE)
_ANYONE = re.compile(r"\b(?:any(?:one|body)?|visitors?|guests?|public|children|strangers?)\b", re.IGNORECASE)
_SKILLED = re.compile(r"\b(?:electricians?|skilled|engineers?|fitters?)\b", re.IGNORECASE)
_OWN = re.compile(r"\bown\b|\bof its own\b|\bdedicated\b", re.IGNORECASE)
_RESIDUAL = re.compile(r"\b(?:residual[ -]current|RCD|RCBO|GFCI)\b", re.IGNORECASE)
_WITHOUT = re.compile(r"\b(?:no|without(?: an?)?) (?:residual[ -]current|RCD|RCBO|GFCI)", re.IGNORECASE)
_TYPE = re.compile(r"\btype (AC|A|F|B)\b")
_AMPERES = re.compile(r"(?<![\w.])(\d+(?:[.,]\d+)?) ?A\b")

_EARTHINGS: Mapping[str, Earthing] = {
    "tn-s": Earthing.SEPARATE,
    "tt": Earthing.SEPARATE,
    "tn-c-s": Earthing.PEN,
    "tn-c": Earthing.PEN,
    "pme": Earthing.PEN,
    "it": Earthing.SEPARATE,
    "tn": Earthing.UNKNOWN,
}
"""Names of earthing systems, by whether earth and neutral are one conductor; TN alone does not say it."""


def read_use(book: Book, condition: ConditionOfUse, *, country: str = "") -> Use:
    """Read a condition of use from what a person wrote.

    Parameters
    ----------
    book : Book
        The constants.
    condition : ConditionOfUse
        As in ``case.toml``.
    country : str
        That for whose sockets it is offered, where the condition names none.

    Returns
    -------
    Use
        What is not said is unknown; ``understood`` says how words were read.

    Raises
    ------
    CaseError
        A word or number cannot be read.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> pontoon = ConditionOfUse(name="pontoon", place="outdoors", weather="rain", supply="16 A socket with RCD")
    >>> read = read_use(load_book(), pontoon)
    >>> read.circumstances.weather.value, read.circumstances.upstream.value, read.supply_a
    ('wet', 'fitted', 16.0)
    >>> read_use(load_book(), ConditionOfUse(name="shed")).circumstances.upstream.value
    'unknown'
    """
    place = _place(condition)
    weather = _weather(condition, place)
    person = _person(condition)
    upstream, residual_type = _residual(condition, people=needed(protects_people(book), "maximum"))
    circuit = _circuit(condition)
    watch = {"yes": Watch.ATTENDED, "no": Watch.UNATTENDED, "": Watch.UNATTENDED}[_yes(condition, "attended")]
    coiled = {"yes": Coiled.YES, "no": Coiled.NO, "": Coiled.UNKNOWN}[_yes(condition, "coiled")]
    circumstances = Circumstances(
        weather=weather,
        place=place,
        person=person,
        upstream=upstream,
        residual_type=residual_type,
        earthing=_earthing(condition),
        circuit=circuit,
        watch=watch,
    )
    return Use(
        id="",
        name=condition.name,
        circumstances=circumstances,
        supply_a=_supply(condition),
        device=_device(condition),
        residual_current=condition.residual_current.strip(),
        hours=_number(condition, "hours", "h"),
        ambient=_number(condition, "ambient", "°C"),
        coiled=coiled,
        country=(condition.country.strip() or country).upper(),
        measures=person is not Person.ANYONE,
        understood=_understood(condition, circumstances),
        why=condition.why.strip(),
    )


def _place(condition: ConditionOfUse) -> Place:
    """Read the place; where the words do not say it, it may be outdoors."""
    if _OUTDOORS.search(condition.place) or not _INDOORS.search(condition.place):
        return Place.OUTDOORS
    return Place.INDOORS


def _weather(condition: ConditionOfUse, place: Place) -> Weather:
    """Read the weather; what stands outdoors is rained on unless somebody says that it is dry."""
    if _WET.search(condition.weather):
        return Weather.WET
    if place is Place.INDOORS or _DRY.search(condition.weather):
        return Weather.DRY
    return Weather.WET


def _person(condition: ConditionOfUse) -> Person:
    if _ANYONE.search(condition.person):
        return Person.ANYONE
    return Person.SKILLED if _SKILLED.search(condition.person) else Person.HOUSEHOLD


def _residual(condition: ConditionOfUse, *, people: float) -> tuple[Upstream, ResidualType]:
    upstream = _word(condition, "residual_device", Upstream)
    if upstream is None and _RESIDUAL.search(condition.supply):
        upstream = Upstream.NONE if _WITHOUT.search(condition.supply) else Upstream.FITTED
    kind = _word(condition, "residual_type", ResidualType)
    named = _TYPE.search(condition.supply)
    if kind is None and named is not None:
        kind = ResidualType(named[1])
    rated = _number(condition, "residual_current", "A")
    if rated is not None and rated > people:
        upstream = Upstream.NONE  # it guards against fire, and not a person
    return upstream or Upstream.UNKNOWN, kind or ResidualType.UNKNOWN


def _circuit(condition: ConditionOfUse) -> Circuit:
    said = _yes(condition, "own_circuit")
    if said:
        return Circuit.OWN if said == "yes" else Circuit.SHARED
    return Circuit.OWN if _OWN.search(condition.supply) else Circuit.UNKNOWN


def _earthing(condition: ConditionOfUse) -> Earthing:
    named = _EARTHINGS.get(condition.earthing.strip().casefold())
    return named or _word(condition, "earthing", Earthing) or Earthing.UNKNOWN


def _supply(condition: ConditionOfUse) -> float | None:
    if condition.supply_rating.strip():
        return _number(condition, "supply_rating", "A")
    named = _AMPERES.search(condition.supply)
    return None if named is None else float(named[1].replace(",", "."))


def _device(condition: ConditionOfUse) -> str:
    text = condition.device.strip()
    if not text or text.casefold() == "unknown":
        return ""
    try:
        return find_device(text).name
    except InputError as error:
        raise CaseError(f"{_where(condition)}, device: {error}") from error


def _number(condition: ConditionOfUse, name: str, unit: str) -> float | None:
    text = str(getattr(condition, name)).strip()
    if not text:
        return None
    try:
        value = parse_quantity(text, unit).value
    except InputError as error:
        raise CaseError(f"{_where(condition)}, {name} = {text!r}: {error}") from error
    if unit != "°C" and value <= 0.0:
        raise CaseError(f"{_where(condition)}, {name} = {text!r}: it must be above zero")
    return value


def _word(condition: ConditionOfUse, name: str, kind: type[Word]) -> Word | None:
    text = str(getattr(condition, name)).strip()
    if not text:
        return None
    found = next((one for one in kind if one.value.casefold() == text.casefold()), None)
    if found is None:
        known = ", ".join(one.value for one in kind)
        raise CaseError(f"{_where(condition)}, {name} = {text!r}: write one of {known}, or leave it empty")
    return found


def _yes(condition: ConditionOfUse, name: str) -> str:
    text = str(getattr(condition, name)).strip().casefold()
    if text in ("", "unknown"):
        return ""
    if text not in ("yes", "no"):
        raise CaseError(f"{_where(condition)}, {name} = {text!r}: write yes or no, or leave it empty")
    return text


def _where(condition: ConditionOfUse) -> str:
    return f"case.toml, [[conditions_of_use]] {condition.name!r}"


TOLD: Mapping[str, Mapping[StrEnum, str]] = {
    "place": {Place.INDOORS: "indoors", Place.OUTDOORS: "outdoors"},
    "weather": {Weather.DRY: "dry", Weather.WET: "wet"},
    "person": {
        Person.SKILLED: "skilled persons only",
        Person.HOUSEHOLD: "a household",
        Person.ANYONE: "anybody comes near",
    },
    "watch": {Watch.ATTENDED: "somebody stays with it", Watch.UNATTENDED: "unattended"},
    "circuit": {
        Circuit.OWN: "a circuit of its own",
        Circuit.UNKNOWN: "nothing known of the circuit",
        Circuit.SHARED: "a circuit that feeds other things as well",
    },
    "upstream": {
        Upstream.TESTED: "a residual-current device that was tried",
        Upstream.FITTED: "a residual-current device",
        Upstream.UNKNOWN: "perhaps no residual-current device",
        Upstream.NONE: "no residual-current device",
    },
    "residual_type": {
        ResidualType.B: "type B",
        ResidualType.F: "type F",
        ResidualType.A: "type A",
        ResidualType.UNKNOWN: "type not known",
        ResidualType.AC: "type AC",
    },
    "earthing": {
        Earthing.SEPARATE: "earth and neutral separate",
        Earthing.UNKNOWN: "earthing not known",
        Earthing.PEN: "earth and neutral in one conductor",
    },
}
"""Circumstances in words."""


def told(circumstances: Circumstances) -> tuple[str, ...]:
    """Say circumstances in words.

    Parameters
    ----------
    circumstances : Circumstances
        Place, weather, person and supply.

    Returns
    -------
    tuple of str
        One phrase for each.

    Examples
    --------
    >>> told(Circumstances())[:3]
    ('outdoors', 'dry', 'a household')
    """
    return tuple(words[getattr(circumstances, name)] for name, words in TOLD.items())


def _understood(condition: ConditionOfUse, circumstances: Circumstances) -> tuple[str, ...]:
    written = {
        "place": condition.place,
        "weather": condition.weather,
        "person": condition.person,
    }
    read = [
        f"{name} {text!r} read as: {TOLD[name][getattr(circumstances, name)]}"
        if text.strip()
        else f"{name} not said, read as: {TOLD[name][getattr(circumstances, name)]}"
        for name, text in written.items()
    ]
    if condition.residual_current.strip() and circumstances.upstream is Upstream.NONE:
        read.append(
            f"a device of {condition.residual_current.strip()} guards against fire and not a person: none counts"
        )
    if condition.supply.strip():
        phrases = [
            TOLD[name][getattr(circumstances, name)] for name in ("circuit", "upstream", "residual_type", "earthing")
        ]
        read.append(f"supply {condition.supply!r} read as: {', '.join(phrases)}")
    return tuple(read)
