"""A draft that a person sends: its elements, each filled from the record or told as missing."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from coldpin.records.finding import Standing


class Addressee(StrEnum):
    """To whom a draft goes."""

    AUTHORITY = "authority"
    MARKETPLACE = "marketplace"
    SELLER = "seller"


class ElementState(StrEnum):
    """Whether an element is filled: by the record, not at all, or only by the hand of who sends it."""

    GIVEN = "given"
    MISSING = "missing"
    TO_SIGN = "to sign"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sender:
    """Who sends a draft, as said at the time; kept nowhere. ``report`` is where the report can be read."""

    name: str = ""
    contact: str = ""
    country: str = ""
    report: str = ""


NOBODY_NAMED = Sender()
"""Of whom nothing was said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoticeElement:
    """One element of a draft.

    ``asked_by`` names the text that asks for it, with how well that is known to us. ``lines`` are what the record
    gives, ``missing`` is what it does not and somebody has to add.
    """

    id: str
    title: str
    asked_by: str
    standing: Standing
    state: ElementState
    lines: tuple[str, ...] = ()
    missing: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Notification:
    """A whole draft; ``text`` is what is to be read, changed and sent by a person, ``missing`` what it lacks."""

    schema: Literal["coldpin.notification/1"]
    to: Addressee
    title: str
    elements: tuple[NoticeElement, ...]
    missing: tuple[str, ...]
    text: str
