"""What holds after corrections, and what was struck through to get there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from coldpin.casefile.entries import instant_of, order_of
from coldpin.errors import UnknownName
from coldpin.records.assessment import Problem
from coldpin.records.entry import Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """One thing that happened, through all its corrections.

    ``counts`` is the entry that holds now, None where it was withdrawn or where the last word cannot be used.
    ``struck`` are all others, in the order they were written down. ``conflict`` is true where two corrections of one
    entry disagree and nobody has withdrawn one of them; then the one recorded later counts.
    """

    counts: Entry | None
    struck: tuple[Entry, ...] = ()
    conflict: bool = False

    @property
    def members(self) -> tuple[Entry, ...]:
        """All entries of the history, in the order they were written down."""
        all_of_them = self.struck if self.counts is None else (*self.struck, self.counts)
        return tuple(sorted(all_of_them, key=recording_order))


@dataclass(frozen=True, slots=True, kw_only=True)
class Effective:
    """Entries after corrections: ``entries`` hold, oldest first; ``histories`` tell of them and of withdrawn ones."""

    entries: tuple[Entry, ...]
    histories: tuple[History, ...]
    problems: tuple[Problem, ...] = ()

    def history_of(self, entry_id: str) -> History:
        """Return the history an entry belongs to, whether it holds or was struck through.

        Parameters
        ----------
        entry_id : str
            Its id.

        Returns
        -------
        History
            The history.

        Raises
        ------
        UnknownName
            There is no such entry.
        """
        for history in self.histories:
            if any(entry.id == entry_id for entry in history.members):
                return history
        raise UnknownName(
            f"no entry has the id {entry_id!r}: the ids are the names of the files in the case's folder entries"
        )


def effective(entries: Iterable[Entry], set_aside: Iterable[Entry] = ()) -> Effective:
    """Apply corrections.

    A correction stands in the place of the entry it names, and can be corrected itself. A withdrawal puts nothing
    there, also not what the withdrawn correction had replaced; what holds after all is written as a correction of the
    withdrawal. Of two corrections of one entry the later recorded counts, and the conflict is told until one of them is
    withdrawn. A correction of an entry that is not there counts by itself, and is told. The result does not depend on
    the order in which entries are given.

    Parameters
    ----------
    entries : iterable of Entry
        All entries, corrections among them.
    set_aside : iterable of Entry
        Entries that cannot be used: they take their part in corrections, but never hold.

    Returns
    -------
    Effective
        What holds, the histories, and the problems.
    """
    unusable = {entry.id for entry in set_aside}
    everything = {entry.id: entry for entry in (*set_aside, *entries)}
    threads = _Threads(everything)
    histories = [_history(threads, root, unusable) for root in threads.roots]
    histories.sort(key=lambda history: order_of(history.members[0]))
    return Effective(
        entries=tuple(sorted((h.counts for h in histories if h.counts is not None), key=order_of)),
        histories=tuple(histories),
        problems=(*threads.problems, *(_conflict(history) for history in histories if history.conflict)),
    )


class _Threads:
    """Which correction follows which entry: a forest, rings (which no honest program writes) cut open and told."""

    def __init__(self, everything: Mapping[str, Entry]) -> None:
        self.problems: list[Problem] = []
        self.followers: dict[str, list[Entry]] = {}
        self.roots: list[Entry] = []
        ordered = sorted(everything.values(), key=recording_order)
        for entry in ordered:
            if entry.replaces in everything:
                self.followers.setdefault(entry.replaces, []).append(entry)
                continue
            self.roots.append(entry)
            if entry.replaces:
                self.problems.append(Problem(where=f"entries/{entry.id}.json", what=_MISSING.format(entry.replaces)))
        reached = {entry.id for root in self.roots for entry in self.below(root)}
        for entry in ordered:
            if entry.id not in reached:
                start = self._earliest_of_ring(entry, everything)
                self.followers[start.replaces].remove(start)
                self.roots.append(start)
                reached.update(member.id for member in self.below(start))
                self.problems.append(Problem(where=f"entries/{start.id}.json", what=_RING))

    def below(self, root: Entry) -> list[Entry]:
        """Return the root and all that follows it, each before its followers."""
        found = [root]
        for entry in found:
            found.extend(self.followers.get(entry.id, ()))
        return found

    @staticmethod
    def _earliest_of_ring(entry: Entry, everything: Mapping[str, Entry]) -> Entry:
        seen: dict[str, Entry] = {}
        while entry.id not in seen:
            seen[entry.id] = entry
            entry = everything[entry.replaces]
        ring = list(seen.values())[list(seen).index(entry.id) :]
        return min(ring, key=recording_order)


_MISSING = (
    "corrects entry {}, which is not there or cannot be read; the correction is used by itself: "
    "put the entry back if you have it"
)
_RING = (
    "is corrected, in the end, by an entry that it corrects itself; it is read as the first of them: "
    "withdraw what is wrong"
)


def recording_order(entry: Entry) -> tuple[float, str]:
    """Return what corrections are ranked by: when they were recorded, then their id.

    Parameters
    ----------
    entry : Entry
        An entry.

    Returns
    -------
    tuple
        Seconds since 1970-01-01 UTC, and the id.
    """
    return instant_of(entry.recorded), entry.id


@dataclass(frozen=True, slots=True)
class _End:
    """The last word of a thread, and whether it takes back a correction (and so closes its branch) or disagrees."""

    last: Entry
    closed: bool = False
    conflict: bool = False


def _history(threads: _Threads, root: Entry, unusable: set[str]) -> History:
    members = threads.below(root)
    ends: dict[str, _End] = {}
    for entry in reversed(members):
        ends[entry.id] = _end(entry, [ends[follower.id] for follower in threads.followers.get(entry.id, ())])
    end = ends[root.id]
    counts = None if end.last.withdraws or end.last.id in unusable else end.last
    struck = tuple(sorted((entry for entry in members if entry is not counts), key=recording_order))
    return History(counts=counts, struck=struck, conflict=end.conflict)


def _end(entry: Entry, branches: list[_End]) -> _End:
    """Say how a thread ends, from how the branches behind its first entry end."""
    if not branches:
        return _End(entry)
    live = [branch for branch in branches if not branch.closed] or branches
    latest = max(live, key=lambda branch: recording_order(branch.last))
    # A withdrawn correction leaves the field to the others; a withdrawn first entry is withdrawn.
    closed = latest.last.withdraws and bool(entry.replaces)
    disagree = len(live) > 1 and not all(branch.last.withdraws for branch in live)
    return _End(latest.last, closed, disagree or any(branch.conflict for branch in live))


def _conflict(history: History) -> Problem:
    told = "it is withdrawn" if history.counts is None else f"{history.counts.id} counts, as recorded last"
    ids = ", ".join(entry.id for entry in history.members)
    first = history.members[0]
    return Problem(
        where=f"entries/{first.id}.json",
        what=f"was corrected twice ({ids}); {told}: withdraw the correction that is wrong",
    )
