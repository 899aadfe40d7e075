"""The sections of a case, in the order of the job: what stands in the bar above each page of a case."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One section.

    Parameters
    ----------
    path : str
        Its address below that of the case, with its leading stroke; empty for the case's own page.
    words : str
        What it is called.
    """

    path: str
    words: str


SECTIONS = (Section(path="", words="Conclusion"),)
"""Every section, one line each."""
