"""Every constant, limit and published table that is not ours, with where it is from and how well it is known.

The numbers are in ``tables/*.toml`` and nowhere else. :func:`load_book` reads them; the other modules look things up by
subject and hand out typed records.
"""

from coldpin.standards.accuracy import AccuracyStatement, ScopeAccuracy, parse_accuracy
from coldpin.standards.book import Book, load_book
from coldpin.standards.connections import (
    CodingBand,
    coding,
    connector_pins,
    plug,
    plug_pins,
    plug_polarised,
    plug_practice,
    plugs,
)
from coldpin.standards.editions import Edition, default_edition, edition_title
from coldpin.standards.pilot import (
    DutySegment,
    DutyZone,
    Generator,
    StateWindow,
    duty_segments,
    duty_zones,
    expected_levels,
    generator,
    state_windows,
)
from coldpin.standards.sources import catalogue, find_sources, limit_paragraph, limit_value
from coldpin.standards.table import Row, Table

__all__ = [
    "AccuracyStatement",
    "Book",
    "CodingBand",
    "DutySegment",
    "DutyZone",
    "Edition",
    "Generator",
    "Row",
    "ScopeAccuracy",
    "StateWindow",
    "Table",
    "catalogue",
    "coding",
    "connector_pins",
    "default_edition",
    "duty_segments",
    "duty_zones",
    "edition_title",
    "expected_levels",
    "find_sources",
    "generator",
    "limit_paragraph",
    "limit_value",
    "load_book",
    "parse_accuracy",
    "plug",
    "plug_pins",
    "plug_polarised",
    "plug_practice",
    "plugs",
    "state_windows",
]
