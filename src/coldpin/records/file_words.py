"""The words by which a person says what a file is and how it is to be read."""

from __future__ import annotations

from enum import StrEnum


class Sort(StrEnum):
    """What a file is."""

    PICTURE = "picture"
    VIDEO = "video"
    PAPER = "paper"
    PAGE = "page"
    BOARD = "board"
    CAPTURE = "capture"
    LOG = "log"
    OTHER = "other"


SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t", "\\t": "\t", "space": " ", "spaces": " "}
SEPARATOR_NAMES = {",": "comma", ";": "semicolon", "\t": "tab", " ": "space"}
DECIMALS = {"point": ".", "dot": ".", "comma": ","}
DECIMAL_NAMES = {".": "point", ",": "comma"}
ENCODINGS = ("utf-8", "latin-1", "cp1252", "utf-16", "utf-16-le", "utf-16-be")

RAW_SAMPLES = ("uint8", "int16", "int32", "float32", "float64")
"""What a file without any header may hold; "raw int16" is little-endian, "raw int16 big-endian" is not."""

DATE_ORDERS = {"ymd": "year month day", "dmy": "day month year", "mdy": "month day year"}
"""How the order of a date is said, and the form it stands for."""
