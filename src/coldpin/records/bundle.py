"""A case packed to be handed on, and what came of checking such a bundle."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar, Literal

from pydantic import ConfigDict

from coldpin.records.assessment import Problem
from coldpin.records.plain import STRICT

BUNDLE_SCHEMA = "coldpin.bundle/1"
"""The value of ``schema`` in every bundle that this program reads."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Library:
    """A library that took part in a computation, and its version."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    name: str
    version: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Environment:
    """What a record was computed with: nothing in it tells whose computer it was.

    ``source`` is the sha256 of the program's own files, which tells two states of one version apart.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    program_version: str
    source: str
    python: str
    system: str
    machine: str
    libraries: tuple[Library, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundle:
    """What a bundle says of itself: ``bundle.json`` beside the case in it.

    ``case`` is the folder of the case inside, ``record`` the assessment made from that folder, ``left_out`` says what
    of the original case is not in it, ``withheld`` what stands in the place of private texts, and ``changed`` which
    files are not as they came, and why. ``private`` is true where everything was asked for.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    schema: Literal["coldpin.bundle/1"]
    title: str
    made_on: str
    case: str
    record: str
    private: bool
    left_out: tuple[str, ...]
    environment: Environment
    withheld: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()


class Recomputed(StrEnum):
    """How the record in a bundle compares with the one computed anew from its evidence."""

    EQUAL = "equal"
    WITHIN_TOLERANCE = "within a hundredth of u"
    DIFFERS = "differs"
    NOT_DONE = "not recomputed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One place where the record computed anew says something else.

    ``share_of_u`` is the difference of a quantity in parts of its standard uncertainty, None where it is none.
    """

    place: str
    bundled: str
    recomputed: str
    share_of_u: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BundleCheck:
    """What came of checking a bundle.

    ``sealed`` is true where the archive is byte for byte as it was packed, false where it was changed, None where
    another program packed it anew. ``same_version`` says whether the record was made by this version of the program.
    ``problems`` are what is missing, changed or added in the bundle; ``unused`` is what the case itself has that could
    not be used, as its record says.
    """

    schema: Literal["coldpin.bundle_check/1"]
    file: str
    title: str
    made_on: str
    made_with: str
    checked_with: str
    same_version: bool
    files: int
    sealed: bool | None
    outcome: Recomputed
    differences: tuple[Difference, ...] = ()
    problems: tuple[Problem, ...] = ()
    remarks: tuple[str, ...] = ()
    unused: tuple[Problem, ...] = ()
