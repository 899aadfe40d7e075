"""What a person writes about one specimen: ``case.toml`` as a record."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from pydantic import ConfigDict

from coldpin.records.market import Listing, Survey
from coldpin.records.plain import STRICT
from coldpin.records.scenario import OwnEstimate, OwnSeverity


class Build(StrEnum):
    """Whether the specimen is carried or fixed to the wall."""

    PORTABLE = "portable"
    FIXED = "fixed"


class Cable(StrEnum):
    """Whether the vehicle cable is part of the specimen (case C of IEC 61851-1) or plugs into it (cases A, B)."""

    ATTACHED = "attached"
    DETACHABLE = "detachable"


class Electronics(StrEnum):
    """Where the electronics sit, so far as can be told from outside."""

    NONE = "none"
    IN_PLUG = "in the plug"
    IN_CABLE = "in a box in the cable"
    IN_CONNECTOR = "in the vehicle connector"
    IN_WALL_UNIT = "in the wall unit"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Specimen:
    """The piece tested, as it is marked."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    make: str
    model: str
    description: str = ""
    serial: str = ""
    batch: str = ""
    marked_firmware: str = ""
    seller: str = ""
    where_now: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitClass:
    """What kind of unit it is: this picks the standards, the limits and the checks that apply."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    charging_mode: int
    build: Build
    cable: Cable
    electronics: Electronics = Electronics.UNKNOWN
    phases: int = 1
    connector: str = "type 2"
    edition: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Claims:
    """What plate, print, papers and listing say, as text with units; empty where nothing is said.

    ``plug`` is a word of the table of plugs (``coldpin sources plug``); ``declared_current`` is the setting under test;
    ``cross_section`` is that of the power conductors as plate, papers or listing say it ("2.5 mm²"), ``cable_print``
    what stands on the sheath. ``country`` is the one for whose sockets it is offered, as two letters ("DK"),
    ``max_ambient`` the hottest air that plate or papers allow ("40 °C"). ``residual_current`` is the rated residual
    operating current ("30 mA"), ``residual_type`` the type of that protection ("A", "class A"), ``residual_direct`` the
    smooth direct current at which it acts ("6 mA").
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    plug: str = ""
    plug_rating: str = ""
    rated_current: str = ""
    rated_voltage: str = ""
    declared_current: str = ""
    cable_print: str = ""
    cross_section: str = ""
    country: str = ""
    max_ambient: str = ""
    residual_current: str = ""
    residual_type: str = ""
    residual_direct: str = ""
    standards_claimed: tuple[str, ...] = ()
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class QuotedClaim:
    """A claim word for word, where it stands, and what it would be shown by.

    ``where`` is a word of :data:`CLAIM_PLACES`; ``about`` names the protective functions ("supply-switching") or the
    findings ("offer-plug.value") on which the claim is held: it holds where all of them do. ``seen`` is the day
    on which it was read, ``address`` where a listing stands.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    words: str
    where: str = ""
    about: tuple[str, ...] = ()
    seen: str = ""
    address: str = ""


CLAIM_PLACES = ("listing", "plate", "papers", "pack", "cable")
"""Where a claim can stand."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """A letter that somebody was asked to answer, such as the seller before publication.

    ``to`` is a word of :data:`ADDRESSEES`, ``name`` who it is. ``about`` is a word of :data:`LETTERS_ABOUT`. The days
    are written as 2026-03-14; ``answered`` is empty while there is no answer, ``answer`` is what they said, word for
    word. All of it is published.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    to: str
    name: str = ""
    about: str = "right of reply"
    sent: str = ""
    deadline: str = ""
    answered: str = ""
    answer: str = ""


ADDRESSEES = ("seller", "maker", "importer", "marketplace", "authority")
"""To whom letters go."""

RIGHT_OF_REPLY, DECLARATION, NOTICE = "right of reply", "declaration of conformity", "notice"
LETTERS_ABOUT = (RIGHT_OF_REPLY, DECLARATION, NOTICE)
"""What letters ask for: an answer to the findings, the maker's declaration, or that something is done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnConstant:
    """A value from the user's own source that takes the place of ours, by the id that ``coldpin sources`` prints."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    id: str
    source: str
    standing: str = "standard"
    minimum: float | None = None
    nominal: float | None = None
    maximum: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionOfUse:
    """One way in which the specimen would be used; what is left empty is not known, and is judged as such.

    ``place``, ``supply``, ``weather`` and ``person`` are in a person's own words; the report says how they were read.
    ``supply_rating`` is that of the circuit ("16 A"), ``device`` what stands before the socket ("B16"),
    ``residual_device`` "none", "fitted", "tested" or "unknown" with ``residual_type`` ("AC", "A", "F", "B") and
    ``residual_current`` ("30 mA"). ``earthing`` is "separate" (TN-S, TT), "pen" (TN-C-S) or "unknown".
    ``own_circuit``, ``coiled`` and ``attended`` are "yes", "no" or empty. ``ambient`` is the warmest air ("30 °C"),
    ``hours`` how long it charges at a time ("8 h"), ``country`` two letters. ``why`` says why it is asked.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    name: str
    place: str = ""
    supply: str = ""
    weather: str = ""
    person: str = ""
    supply_rating: str = ""
    device: str = ""
    residual_device: str = ""
    residual_type: str = ""
    residual_current: str = ""
    earthing: str = ""
    own_circuit: str = ""
    ambient: str = ""
    coiled: str = ""
    hours: str = ""
    country: str = ""
    attended: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opinion:
    """What a person thinks beyond what the tests show; printed as that person's opinion and nothing else.

    ``use`` names the condition of use that it is about; empty for the specimen as a whole.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    text: str
    who: str
    use: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """A proper alternative on the market: price and what its seller claims, untested here.

    ``functions`` are the ids of the protective functions that its seller claims.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    name: str
    price: str
    claims: tuple[str, ...] = ()
    functions: tuple[str, ...] = ()
    seen: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseDescription:
    """``case.toml``: everything on one specimen that a person writes by hand."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    format: str
    title: str
    specimen: Specimen
    unit: UnitClass
    claims: Claims = Claims()
    tester: str = ""
    question: str = ""
    quoted_claims: tuple[QuotedClaim, ...] = ()
    constants: tuple[OwnConstant, ...] = ()
    letters: tuple[Letter, ...] = ()
    conditions_of_use: tuple[ConditionOfUse, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    listings: tuple[Listing, ...] = ()
    surveys: tuple[Survey, ...] = ()
    assumptions: tuple[str, ...] = ()
    estimates: tuple[OwnEstimate, ...] = ()
    severities: tuple[OwnSeverity, ...] = ()
    opinions: tuple[Opinion, ...] = ()


CASE_FORMAT = "coldpin.case/1"
"""The value of ``format`` that this program writes and reads."""
