"""An instrument on the shelf and what its maker says of its accuracy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from pydantic import ConfigDict

from coldpin.records.case import Alternative
from coldpin.records.market import Listing, Survey
from coldpin.records.plain import STRICT


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """An instrument: its identity, and an accuracy statement for each thing it measures, as the maker writes it.

    ``statements`` maps what is measured ("voltage", "time", "resistance", "insulation", "temperature", "current")
    to text such as ``"0.5 % + 2 digits on 600 V, resolution 0.1 V"``; :mod:`coldpin.standards.accuracy` reads it.
    "bandwidth" is a frequency such as ``"20 MHz"``: that of a scope with its probe.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    name: str
    kind: str
    maker: str = ""
    model: str = ""
    serial: str = ""
    calibrated: str = ""
    statements: Mapping[str, str] = field(default_factory=dict)
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfDescription:
    """``shelf.toml``: what the cases of one shelf share.

    ``time_zone`` is that of the bench and its loggers ("Europe/Copenhagen", "+02:00"), where it is not this machine's.
    ``instruments`` are by the name that entries call them; ``alternatives``, ``listings`` and ``surveys`` are of the
    market that its specimens come from.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    format: str
    title: str
    time_zone: str = ""
    instruments: Mapping[str, Instrument] = field(default_factory=dict)
    alternatives: tuple[Alternative, ...] = ()
    listings: tuple[Listing, ...] = ()
    surveys: tuple[Survey, ...] = ()


SHELF_FILE = "shelf.toml"
SHELF_FORMAT = "coldpin.shelf/1"
"""The value of ``format`` that this program writes and reads."""
