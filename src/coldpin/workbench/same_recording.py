"""One recording counts once, however often its file was filed."""

from __future__ import annotations

from dataclasses import dataclass, field

from coldpin.records.assessment import Problem
from coldpin.records.entry import Entry

_SAME = (
    "it holds the same recording as entry {first}, read alike, and what was done once counts once: "
    "withdraw one of the two (coldpin correct CASE ENTRY --withdraw --reason … --who …)"
)


@dataclass(frozen=True, slots=True)
class Recordings:
    """The recordings of a case that were met so far, each with the entry that filed it first.

    Examples
    --------
    >>> from coldpin.records.entry import EntryKind, EvidenceFile
    >>> def filed(name, digest):
    ...     file = EvidenceFile(
    ...         file=f"{name}.csv", sha256=digest * 64, size=1, original_name=f"{name}.csv", media="log"
    ...     )
    ...     return Entry(
    ...         id=name, kind=EntryKind.EVIDENCE, shows="charging log", made="", recorded="", who="Ines", evidence=file
    ...     )
    >>> met = Recordings()
    >>> met.again(filed("one", "a")) is None, met.again(filed("two", "b")) is None
    (True, True)
    >>> met.again(filed("three", "a")).where
    'entry three'
    """

    _first: dict[object, str] = field(default_factory=dict)

    def again(self, entry: Entry, *choices: object) -> Problem | None:
        """Say whether the recording of an entry was met before, and remember it where not.

        Parameters
        ----------
        entry : Entry
            An entry with evidence. One file may show several things: each of them counts once.
        *choices : object
            How it is read, such as by which columns: what was read otherwise was not met.

        Returns
        -------
        Problem or None
            What to tell of the later entry, None where it is the first.
        """
        hashes = tuple(piece.sha256 for piece in entry.evidence.files) if entry.evidence else (entry.id,)
        first = self._first.setdefault((entry.shows, hashes, choices), entry.id)
        return None if first == entry.id else Problem(where=f"entry {entry.id}", what=_SAME.format(first=first))
