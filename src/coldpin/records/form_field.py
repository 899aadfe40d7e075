"""One field of a form: what may be stated, in which words or with which unit."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class FormField:
    """One condition that may be stated with an entry.

    ``allowed`` are the only values it takes, empty for words or a value with its unit; ``example`` is one such.
    ``must`` is true where the entry is refused without it, ``usual`` where it is asked first.
    """

    name: str
    meaning: str
    allowed: tuple[str, ...] = ()
    example: str = ""
    must: bool = False
    usual: bool = True
