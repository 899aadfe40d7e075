"""The inks of a figure."""

from __future__ import annotations

from enum import StrEnum


class Ink(StrEnum):
    """The colours of a figure, as printed."""

    TEXT = "#1b262c"
    QUIET = "#56656e"
    RULE = "#c3ccd0"
    COLD = "#1a5875"
    MIST = "#dce8ee"
    FROST = "#eef3f5"
    DEEP = "#b5cfdc"
    COPPER = "#a6461a"
    EMBER = "#f6e3d8"
    OCHRE = "#7d6100"
