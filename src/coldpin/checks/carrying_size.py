"""The size by which printed ratings of the cable are looked up: that of its mark, or of what its conductors keep."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.checks.conductor_evidence import INSIDE, conductor_reading, tapped_entries
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.marked_size import MarkedSize, marked_size
from coldpin.records.conductor_words import LINES
from coldpin.records.entry import Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class CarryingSize:
    """The size by which a printed rating of the cable is looked up, who says so, and why that one. [mm²]

    ``size_mm2`` is None where a reading keeps the limit of no listed size, or is too unsure to: then no rating holds,
    and the marked size does not either. ``entries`` are those it was read in.
    """

    size_mm2: float | None
    said_by: str
    why: str
    entries: tuple[str, ...] = ()


def carrying_size(bench: BenchEvidence) -> CarryingSize | None:
    """Return the size by which the cable is rated: the marked one, or the lesser one that its lines and neutral keep.

    What heats a cable is its resistance: a conductor that resists as much as a smaller size carries no more than it,
    whatever is printed and whatever the metal. The neutral of one phase carries what its line does.

    Parameters
    ----------
    bench : BenchEvidence
        With the claims of the case, and readings of lines and neutral tapped inside where there are any.

    Returns
    -------
    CarryingSize or None
        None where no size is marked and no conductor was read.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    marked = marked_size(bench)
    kept = [
        (entry, None if told.questions else told.keeps_limit_of_mm2)
        for entry in tapped_entries(bench)
        if entry.conditions["conductor"] in (*LINES, "N") and (entry.conditions.get("taps") or INSIDE) == INSIDE
        for told in (conductor_reading(bench, entry),)
    ]
    least = min(kept, key=lambda pair: pair[1] or 0.0, default=None)
    if least is None:
        return None if marked is None else _by_mark(marked)
    entry, size = least
    if size is None:
        return CarryingSize(
            size_mm2=None,
            said_by="its resistance",
            why=f"The {_called(entry)} conductor keeps the limit of no listed size for sure: no rating holds for it.",
            entries=(entry.id,),
        )
    if marked is not None and size >= marked.size_mm2:
        return _by_mark(marked)
    return CarryingSize(
        size_mm2=size,
        said_by="its resistance",
        why=f"By the resistance of its {_called(entry)} conductor, which keeps the limit of {size:g} mm² and no more.",
        entries=(entry.id,),
    )


def _by_mark(marked: MarkedSize) -> CarryingSize:
    return CarryingSize(
        size_mm2=marked.size_mm2,
        said_by=marked.said_by,
        why=f"By the size that the cable is marked with, {marked.size_mm2:g} mm².",
    )


def _called(entry: Entry) -> str:
    return "neutral" if entry.conditions["conductor"] == "N" else "line"
