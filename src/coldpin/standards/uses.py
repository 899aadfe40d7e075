"""Conditions of use as the table has them: places, what must be shown in each, measures of a user, national rules."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coldpin.errors import InputError
from coldpin.records.case import Build
from coldpin.records.finding import Limit
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
from coldpin.standards.table import Row

_USE, _NEEDS, _MEASURE, _NATIONAL = "use.", "use-needs.", "use-measure.", "national."

WORDS: dict[str, type[StrEnum]] = {
    "weather": Weather,
    "place": Place,
    "person": Person,
    "upstream": Upstream,
    "residual_type": ResidualType,
    "earthing": Earthing,
    "circuit": Circuit,
    "watch": Watch,
    "coiled": Coiled,
}
"""Circumstances that the table's words may name, each with its values."""

Term = tuple[str, frozenset[str]]
"""A circumstance, and the values of it that will do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """Circumstances that must all hold together."""

    terms: tuple[Term, ...]

    def hold(self, circumstances: Circumstances, coiled: Coiled) -> bool:
        """Say whether they hold.

        Parameters
        ----------
        circumstances : Circumstances
            Those of a use.
        coiled : Coiled
            How the cable lies.

        Returns
        -------
        bool
            Whether every one of them does.
        """
        return all(
            (coiled.value if name == "coiled" else getattr(circumstances, name).value) in values
            for name, values in self.terms
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class UseNeed:
    """A function, and where it must have been shown.

    ``when`` are circumstances of which one set must hold, none for everywhere; where one of ``instead`` holds it is not
    needed. Without ``shown`` its not being tested is no reason to wait. ``contains`` says what a unit would have.
    """

    function: str
    shown: bool
    when: tuple[Terms, ...]
    instead: tuple[Terms, ...]
    contains: str
    limit: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class UseMeasure:
    """What a user can do on the side of the supply: which circumstances it sets, whose place it takes.

    It does only where every function of ``given`` is shown; then those of ``waives`` need not be shown there.
    """

    id: str
    text: str
    sets: tuple[tuple[str, str], ...]
    covers: tuple[str, ...]
    limit: Limit
    waives: tuple[str, ...] = ()
    given: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NationalRule:
    """A rule of a country: for which modes and plugs, what it asks of the supply, which current it allows.

    ``countries`` is empty for one that is not of a country. ``modes`` and ``sockets`` are empty for all. Where
    ``noted`` it is told and decides nothing, as for one that is of no country.
    """

    countries: tuple[str, ...]
    modes: tuple[int, ...]
    sockets: tuple[str, ...]
    asks: tuple[Terms, ...]
    says: str
    noted: bool
    limit: Limit


def standard_uses(book: Book, build: Build, *, country: str = "") -> tuple[Use, ...]:
    """Return the places in which a unit is judged unless a case says otherwise.

    Parameters
    ----------
    book : Book
        The constants.
    build : Build
        A fixed unit is not plugged in anywhere.
    country : str
        That for whose sockets it is offered; empty where it is not known.

    Returns
    -------
    tuple of Use
        In the order of the table.

    Raises
    ------
    InputError
        A word of the table is none of its kind.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [use.id for use in standard_uses(load_book(), Build.FIXED)]
    ['garage', 'driveway', 'public']

    Sources
    -------
    ``use.*``, judgement.
    """
    return tuple(_use(row, country.strip().upper()) for row in book.under(_USE) if build.value in row.words("builds"))


def _use(row: Row, country: str) -> Use:
    given = {name: _value(row, name, row.word("where" if name == "place" else name)) for name in WORDS}
    coiled = Coiled(given.pop("coiled").value)
    return Use(
        id=row.limit.id.removeprefix(_USE),
        name=row.limit.title,
        circumstances=Circumstances(**given),  # type: ignore[arg-type]  # each is of its field's own kind
        supply_a=row.number("supply_a") if "supply_a" in row.data else None,
        hours=row.number("hours"),
        ambient=row.number("ambient"),
        coiled=coiled,
        country=country,
        sockets=row.words("sockets"),
        measures=row.yes("measures"),
        understood=(row.limit.place,) if row.limit.place else (),
        limit=row.limit,
    )


def _value(row: Row, name: str, word: str) -> StrEnum:
    kind = WORDS[name]
    if word not in set(kind):
        known = ", ".join(one.value for one in kind)
        raise InputError(f"table {row.table}, entry {row.limit.id!r}: {name} {word!r} is none of {known}")
    return kind(word)


def use_needs(book: Book) -> tuple[UseNeed, ...]:
    """Return which functions must be shown, and where.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of UseNeed
        In the order of the table.

    Raises
    ------
    InputError
        A word of the table is none of its kind.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> {need.function: need.shown for need in use_needs(load_book())}["protective-earth"]
    True

    Sources
    -------
    ``use-needs.*``, judgement.
    """
    return tuple(
        UseNeed(
            function=row.limit.id.removeprefix(_NEEDS),
            shown=row.yes("shown"),
            when=tuple(read_terms(row, line) for line in row.words("when")),
            instead=tuple(read_terms(row, line) for line in row.words("instead")),
            contains=row.word("contains"),
            limit=row.limit,
        )
        for row in book.under(_NEEDS)
    )


def use_measures(book: Book) -> tuple[UseMeasure, ...]:
    """Return what a user can do on the side of the supply.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of UseMeasure
        In the order of the table.

    Raises
    ------
    InputError
        A word of the table is none of its kind.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> {measure.id: measure.sets for measure in use_measures(load_book())}["laid-out"]
    (('coiled', 'no'),)

    Sources
    -------
    ``use-measure.*``, judgement.
    """
    return tuple(
        UseMeasure(
            id=row.limit.id.removeprefix(_MEASURE),
            text=row.limit.title,
            sets=tuple(
                (name, value)
                for line in row.words("sets")
                for name, values in read_terms(row, line).terms
                for value in values
            ),
            covers=row.words("covers"),
            limit=row.limit,
            waives=row.words("waives"),
            given=row.words("given"),
        )
        for row in book.under(_MEASURE)
    )


def national_rules(book: Book, country: str) -> tuple[NationalRule, ...]:
    """Return the rules that are known of a country, those of none among them.

    Parameters
    ----------
    book : Book
        The constants.
    country : str
        ISO 3166-1 code; empty where it is not known.

    Returns
    -------
    tuple of NationalRule
        Those of the country first.

    Raises
    ------
    InputError
        A word of the table is none of its kind.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [rule.limit.id for rule in national_rules(load_book(), "no")][:2]
    ['national.no.socket', 'national.no.circuit']
    >>> [rule.countries for rule in national_rules(load_book(), "")]
    [()]

    Sources
    -------
    ``national.*``.
    """
    wanted = country.strip().upper()
    found = [
        NationalRule(
            countries=tuple(row.word("country").split()),
            modes=tuple(int(mode) for mode in row.words("modes")),
            sockets=row.words("sockets"),
            asks=tuple(read_terms(row, line) for line in row.words("asks")),
            says=row.word("says"),
            noted=row.yes("noted") or not row.word("country"),
            limit=row.limit,
        )
        for row in book.under(_NATIONAL)
    ]
    return tuple(
        sorted(
            (rule for rule in found if not rule.countries or wanted in rule.countries),
            key=lambda one: not one.countries,
        )
    )


def long_hours(book: Book) -> Limit:
    """Return the time of charging beyond which a practice for hours holds.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        Its maximum is the time. [h]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.table import needed
    >>> needed(long_hours(load_book()), "maximum")
    2.0

    Sources
    -------
    ``use-hours.long``.
    """
    return book.limit("use-hours.long")


def protects_people(book: Book) -> Limit:
    """Return the rated residual current up to which a device counts as one that protects people.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        Its maximum is the current. [A]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.table import needed
    >>> needed(protects_people(load_book()), "maximum")
    0.03

    Sources
    -------
    ``use-residual.people``.
    """
    return book.limit("use-residual.people")


def read_terms(row: Row, line: str) -> Terms:
    """Read a line of circumstances, as ``weather=wet, person=household|anyone``.

    Parameters
    ----------
    row : Row
        The row it stands in, for messages.
    line : str
        The line.

    Returns
    -------
    Terms
        All of which must hold.

    Raises
    ------
    InputError
        A word of it is none of its kind.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> read_terms(load_book().row("use.garage"), "weather=wet").terms
    (('weather', frozenset({'wet'})),)
    """
    found: list[Term] = []
    for part in line.split(","):
        name, _, values = part.strip().partition("=")
        if name not in WORDS:
            raise InputError(
                f"table {row.table}, entry {row.limit.id!r}: {name!r} is no circumstance; known: {', '.join(WORDS)}"
            )
        found.append((name, frozenset(_value(row, name, value).value for value in values.split("|"))))
    return Terms(terms=tuple(found))
