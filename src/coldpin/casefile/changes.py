"""What changed from one assessment to the next, said in plain sentences."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeVar

from coldpin.casefile.untrusted import walk
from coldpin.quantity.printing import format_quantity
from coldpin.records.assessment import Assessment
from coldpin.records.claim import JudgedClaim
from coldpin.records.entry import EntryKind
from coldpin.records.finding import Finding, Limit
from coldpin.records.function import ProtectiveFunction
from coldpin.records.plain import to_plain

T = TypeVar("T")

FIRST = "This is the first issue."
NOTHING = "Nothing that is concluded, found or claimed has changed."


def changes_since(previous: Assessment | None, current: Assessment) -> tuple[str, ...]:
    """Say what a reader of the last issue must know of this one.

    Parameters
    ----------
    previous : Assessment or None
        The last published, None where this is the first.
    current : Assessment
        The one to be published.

    Returns
    -------
    tuple of str
        Sentences, the conclusion first; never empty.
    """
    if previous is None:
        return (FIRST,)
    said = (
        *_conclusion(previous, current),
        *_pairwise(previous.functions, current.functions, lambda f: f.id, _function, "Function"),
        *_pairwise(previous.findings, current.findings, lambda f: f.id, _finding, "Finding"),
        *_pairwise(previous.claims, current.claims, lambda c: c.id, _claim, "Claim"),
        *_tested(previous, current),
        *_uses(previous, current),
        *_entries(previous, current),
        *_description(previous, current),
        *_basis(previous, current),
    )
    return said or (NOTHING,)


def _conclusion(previous: Assessment, current: Assessment) -> list[str]:
    before, now = previous.conclusion, current.conclusion
    said = []
    if before.headline.text != now.headline.text:
        said.append(f"The conclusion was: “{before.headline.text}” It is now: “{now.headline.text}”")
    said += _listed("May now be said", "May no longer be said", _texts(before.may_say), _texts(now.may_say))
    said += _listed(
        "May now not be said", "Is no longer among what may not be said", before.may_not_say, now.may_not_say
    )
    return said + _listed(
        "Done well, newly said", "Done well, no longer said", _texts(before.done_well), _texts(now.done_well)
    )


def _texts(sentences: Iterable[Any]) -> tuple[str, ...]:
    return tuple(sentence.text for sentence in sentences)


def _listed(added: str, removed: str, before: Iterable[str], now: Iterable[str]) -> list[str]:
    earlier, later = list(before), list(now)
    new = [f"{added}: “{text}”" for text in later if text not in earlier]
    return new + [f"{removed}: “{text}”" for text in earlier if text not in later]


def _pairwise(
    before: Iterable[T],
    now: Iterable[T],
    key: Callable[[T], str],
    describe: Callable[[T], tuple[str, Mapping[str, str]]],
    kind: str,
) -> list[str]:
    """Compare two lists of things that have ids: what is new, what is gone, and what is said otherwise."""
    earlier, later = {key(thing): thing for thing in before}, {key(thing): thing for thing in now}
    said = []
    for name, thing in later.items():
        title, facts = describe(thing)
        if name not in earlier:
            said.append(f"{kind} added: {title} ({_joined(facts)}).")
            continue
        old = describe(earlier[name])[1]
        said += [
            f"{title}: {fact} was {old[fact]}, is now {facts[fact]}." for fact in facts if facts[fact] != old[fact]
        ]
    for name, thing in earlier.items():
        if name not in later:
            title, facts = describe(thing)
            said.append(f"{kind} no longer there: {title} (was {_joined(facts)}).")
    return said


def _joined(facts: Mapping[str, str]) -> str:
    return ", ".join(value for value in facts.values() if value != _NONE)


_NONE = "none"


def _function(function: ProtectiveFunction) -> tuple[str, Mapping[str, str]]:
    reach = function.reach.value if function.reach is not None else _NONE
    return function.title, {"state": function.state.value.replace("_", " "), "reach": reach}


def _finding(finding: Finding) -> tuple[str, Mapping[str, str]]:
    return finding.title, {
        "outcome": finding.outcome.value.replace("_", " "),
        "value": format_quantity(finding.quantity) if finding.quantity is not None else _NONE,
        "answer": finding.answer or _NONE,
        "limit": _limit(finding.limit) if finding.limit is not None else _NONE,
        "reach": finding.reach.value,
    }


def _claim(claim: JudgedClaim) -> tuple[str, Mapping[str, str]]:
    return f"Claim “{claim.said}”", {"state": claim.state.value}


def _limit(limit: Limit) -> str:
    named = (("at least", limit.minimum), ("", limit.nominal), ("at most", limit.maximum))
    values = " ".join(f"{word} {value:g} {limit.unit}".strip() for word, value in named if value is not None)
    return f"{values} ({limit.source}, {limit.standing.value})"


def _tested(previous: Assessment, current: Assessment) -> list[str]:
    before = {check.check: check.title for check in previous.not_tested}
    now = {check.check: check.title for check in current.not_tested}
    done = [
        f"Was not tested and is no longer listed so: {title}." for check, title in before.items() if check not in now
    ]
    return done + [f"Is now listed as not tested: {title}." for check, title in now.items() if check not in before]


def _uses(previous: Assessment, current: Assessment) -> list[str]:
    return _pairwise(
        previous.conditions_of_use,
        current.conditions_of_use,
        lambda use: use.name,
        lambda use: (use.name, {"answer": use.answer, "because": use.because}),
        "Condition of use",
    )


def _entries(previous: Assessment, current: Assessment) -> list[str]:
    before, now = {entry.id for entry in previous.entries}, {entry.id: entry for entry in current.entries}
    added = [entry for name, entry in now.items() if name not in before]
    gone = sorted(before - set(now))
    said = []
    if added:
        corrections = sum(entry.kind is EntryKind.CORRECTION for entry in added)
        which = f", {corrections} of them corrections" if corrections else ""
        said.append(f"Entries added: {len(added)}{which}.")
        said += [
            f"Entry {entry.replaces} ({entry.shows}) was {'taken back' if entry.withdraws else 'corrected'}: "
            f"“{entry.reason}”"
            for entry in added
            if entry.kind is EntryKind.CORRECTION
        ]
    if gone:
        said.append(f"Entries no longer used: {', '.join(gone)}.")
    return said


def _description(previous: Assessment, current: Assessment) -> list[str]:
    before, now = dict(walk(to_plain(previous.case))), dict(walk(to_plain(current.case)))
    places = [*now, *(place for place in before if place not in now)]
    return [
        f"Description: {place} was {_value(before.get(place))}, is now {_value(now.get(place))}."
        for place in places
        if before.get(place) != now.get(place)
    ]


def _value(value: object) -> str:
    return "not there" if value is None else "empty" if value == "" else f"“{value}”"


def _basis(previous: Assessment, current: Assessment) -> list[str]:
    pairs = (
        ("Title", previous.title, current.title),
        ("Edition the pilot is judged by", previous.edition, current.edition),
        ("Version of the program", previous.program_version, current.program_version),
    )
    return [f"{what} was {before}, is now {now}." for what, before, now in pairs if before != now]
