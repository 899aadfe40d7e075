"""The person that a current goes through: how many let no more through, and how wet the skin is."""

from __future__ import annotations

from enum import StrEnum

DEFAULT_PERCENTILE = 5.0
"""Ours: judged is by the one in twenty who lets most through, with the median beside. [%]"""


class Wetness(StrEnum):
    """The state of the skin where it touches."""

    DRY = "dry"
    FRESH_WATER = "fresh-water"
    SALT_WATER = "salt-water"
