"""The case on disk: entries written once, evidence kept as it came, what a person writes, what was published."""

from coldpin.casefile.acceptance import check_entry
from coldpin.casefile.cache import Cache, cache_key
from coldpin.casefile.case import Case, create_case, open_case
from coldpin.casefile.changes import changes_since
from coldpin.casefile.corrections import Effective, History, effective
from coldpin.casefile.entries import Loaded, new_entry
from coldpin.casefile.pieces import Pieces
from coldpin.casefile.publish import Issue
from coldpin.casefile.shelf import Shelf, ShelvedCases, create_shelf, open_shelf

__all__ = [
    "Case",
    "create_case",
    "open_case",
    "new_entry",
    "check_entry",
    "Loaded",
    "Effective",
    "History",
    "effective",
    "Cache",
    "cache_key",
    "Pieces",
    "Issue",
    "changes_since",
    "Shelf",
    "ShelvedCases",
    "create_shelf",
    "open_shelf",
]
