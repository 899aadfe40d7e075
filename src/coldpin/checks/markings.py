"""Markings and papers: what stands on plate, cable, pack, papers and listing, what was not found, what disagrees.

It is told what is there and what is missing. No law is decided: that is for an authority.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Check, Level, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.errors import EntryError, InputError
from coldpin.quantity import parse_quantity
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.marking_words import ANYWHERE, MARK, RATED_CURRENT, RATED_VOLTAGE
from coldpin.standards.markings import marking_rows
from coldpin.standards.table import Row

CHECK_ID = "markings"
NO_LAW = "Told as seen. Whether it must stand there is for an authority; a mark is the maker's own word and no test."

GROUPS: Mapping[str, str] = {
    "identity": "Maker, type and number",
    "responsible": "Who answers for it, and where",
    "ratings": "Ratings on the plate",
    "conformity": "Standard and mark claimed",
    "information": "Warnings and instructions",
}
"""The groups of marks, with their titles, in the order in which they are told."""

UNITS: Mapping[str, str] = {RATED_VOLTAGE: "V", RATED_CURRENT: "A"}
"""Marks that are numbers, and their units: two places that say different numbers disagree."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What became of one mark: the entries that found it, and those that did not or could not tell."""

    row: Row
    there: tuple[Entry, ...]
    without: tuple[Entry, ...]
    unclear: tuple[Entry, ...]

    @property
    def item(self) -> str:
        """The mark."""
        return self.row.word("item")

    @property
    def missing(self) -> bool:
        """Whether it was looked for and found nowhere."""
        return bool(self.without) and not self.there and not self.unclear

    @property
    def open(self) -> bool:
        """Whether it was not looked for, or whoever looked could not tell."""
        return not self.there and not self.missing


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Tell for each group of marks what is there and what is missing, and which places disagree on a rating.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one mark that was looked for.

    Returns
    -------
    tuple of Finding
        One for each group of which something was looked for, and one where a rating stands in two places.

    Raises
    ------
    EntryError
        An entry does not say what was looked for.
    """
    entries = bench.showing(MARK)
    for entry in entries:
        if not entry.conditions.get("item"):
            raise EntryError.of(entry.id, "what was looked for is missing: state 'item', as 'name of the maker'")
    groups = {name: tuple(_looked(row, entries) for row in marking_rows(bench.book, name)) for name in GROUPS}
    told = tuple(_told(name, looked) for name, looked in groups.items() if any(_asked(one) for one in looked))
    return (*told, *_agreement(entries))


def _asked(looked: Looked) -> bool:
    return bool(looked.there or looked.without or looked.unclear)


def _looked(row: Row, entries: Iterable[Entry]) -> Looked:
    about = [entry for entry in entries if entry.conditions["item"] == row.word("item")]
    return Looked(
        row=row,
        there=tuple(entry for entry in about if entry.answer == "yes"),
        without=tuple(entry for entry in about if entry.answer == "no"),
        unclear=tuple(entry for entry in about if entry.answer not in ("yes", "no")),
    )


def _told(group: str, looked: tuple[Looked, ...]) -> Finding:
    missing = [one for one in looked if one.missing]
    left = [one for one in looked if one.open]
    outcome = Outcome.BEYOND if missing else Outcome.UNDECIDED if left else Outcome.WITHIN
    parts = (
        ("There: ", [_found(one) for one in looked if one.there]),
        ("Not found: ", [_nowhere(one) for one in missing]),
        ("Not looked for, or not told: ", [one.item for one in left]),
    )
    return Finding(
        id=f"{CHECK_ID}.{group}",
        check=CHECK_ID,
        title=GROUPS[group],
        statement=" ".join(f"{lead}{'; '.join(items)}." for lead, items in parts if items),
        plain=_plain(missing),
        outcome=outcome,
        reach=Reach.SPECIMEN,
        functions=(),
        answer={Outcome.BEYOND: "no", Outcome.WITHIN: "yes"}.get(outcome, "cannot tell"),
        evidence=tuple(entry.id for one in looked for entry in (*one.without, *one.there, *one.unclear)),
        duty=False,
        remarks=(NO_LAW, *(_asked_by(one) for one in missing)),
    )


def _plain(missing: list[Looked]) -> str:
    if not missing:
        return ""
    listed = "; ".join(one.item for one in missing)
    return f"Not found on it or with it: {listed}. Whether it must be there is for an authority."


def _found(looked: Looked) -> str:
    """Return a mark with where it stands and what it says, each saying once."""
    said = dict.fromkeys(
        " ".join(part for part in (entry.conditions.get("where", ""), _quoted(entry)) if part) for entry in looked.there
    )
    places = ", ".join(one for one in said if one)
    return f"{looked.item} ({places})" if places else looked.item


def _quoted(entry: Entry) -> str:
    says = entry.conditions.get("says", "")
    return f"“{says}”" if says else ""


def _nowhere(looked: Looked) -> str:
    places = dict.fromkeys(entry.conditions.get("where", "") for entry in looked.without)
    named = ", ".join(place for place in places if place and place != ANYWHERE)
    return f"{looked.item} (looked on: {named})" if named and ANYWHERE not in places else looked.item


def _asked_by(looked: Looked) -> str:
    limit = looked.row.limit
    place = f", {limit.place}" if limit.place else ""
    return f"{looked.item}: asked for by {limit.source}{place} as known (standing: {limit.standing})."


def _agreement(entries: Iterable[Entry]) -> tuple[Finding, ...]:
    """Hold the ratings of several places beside each other."""
    found: list[str] = []
    named: list[Entry] = []
    compared: list[str] = []
    for item, unit in UNITS.items():
        there = (entry for entry in entries if entry.conditions["item"] == item and entry.answer == "yes")
        values = {entry.id: (entry, _number(entry, unit)) for entry in there if entry.conditions.get("says")}
        stated = [entry for entry, value in values.values() if value is not None]
        if len(stated) < 2:
            continue
        named += stated
        compared.append(item)
        if len({value for _, value in values.values() if value is not None}) > 1:
            found += [
                f"{item}: {entry.conditions.get('where', '') or 'somewhere'} {_quoted(entry)}" for entry in stated
            ]
    if not named:
        return ()
    statement = (
        f"Two places disagree. {'; '.join(found)}."
        if found
        else f"Where it stands in several places it is the same: {', '.join(compared)}."
    )
    return (
        Finding(
            id=f"{CHECK_ID}.agree",
            check=CHECK_ID,
            title="Ratings in several places",
            statement=statement,
            outcome=Outcome.BEYOND if found else Outcome.WITHIN,
            reach=Reach.SPECIMEN,
            functions=(),
            answer="no" if found else "yes",
            evidence=tuple(entry.id for entry in named),
            remarks=("Held beside each other by their numbers; nothing was measured.",),
            duty=False,
        ),
    )


def _number(entry: Entry, unit: str) -> float | None:
    """Return a rating as a number; None for a range or anything else that is no one number."""
    try:
        return round(parse_quantity(entry.conditions["says"].replace("~", "").strip(), unit).value, 6)
    except InputError:
        return None


CHECK = Check(
    id=CHECK_ID,
    title="Markings and papers",
    question="What stands on plate, cable, pack and papers, and what is missing?",
    needs=(Need(shows=MARK),),
    bench=Procedure(
        level=Level.DEAD,
        instrument="lens, good light, camera",
        minutes=15,
        cautions=DEAD_CAUTIONS,
        steps=(
            "Photograph plate, print, pack and every page of the papers before anything is opened.",
            "Look for each mark on each place, and write down word for word what stands there.",
            "Answer no where a mark is on none of the places, and name the place 'anywhere' then.",
            "Save the listing with its address and day: what it says of ratings is held beside the plate.",
        ),
        repeats=1,
        transfers="What is moulded or printed in papers is in any unit of the batch; a label may be missing on one.",
    ),
    limits=("marking.",),
    run=run,
    bears=(),
    applies=always,
)
