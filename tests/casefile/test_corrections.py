"""Corrections: what holds, what was struck through, whatever the order in which files are found."""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable, Sequence
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.casefile import Case, Effective, effective
from coldpin.casefile.corrections import recording_order
from coldpin.errors import UnknownName
from coldpin.records.entry import Entry, EntryKind
from tests.casefile.conftest import NOW


def name(number: int) -> str:
    return f"20260314T{number:09}Z-0000000000"


def written(number: int, replaces: int | None = None, *, second: int | None = None, withdraws: bool = False) -> Entry:
    """An entry with a given number for an id, recorded in a given second."""
    moment = (NOW + timedelta(seconds=number if second is None else second)).isoformat()
    return Entry(
        id=name(number),
        kind=EntryKind.READING if replaces is None else EntryKind.CORRECTION,
        shows="earth resistance",
        made=moment,
        recorded=moment,
        who="Ada",
        readings=() if withdraws else (f"0.{number} Ω",),
        replaces="" if replaces is None else name(replaces),
        reason="" if replaces is None else "misread",
        withdraws=withdraws,
    )


def numbers(entries: Sequence[Entry]) -> list[int]:
    return [int(entry.id[9:18]) for entry in entries]


def test_a_correction_stands_in_the_place_of_what_it_corrects() -> None:
    """The earlier one is struck through and can still be seen."""
    found = effective([written(1), written(2, 1), written(3)])

    assert numbers(found.entries) == [2, 3]
    assert numbers(found.history_of(name(1)).struck) == [1]
    assert found.history_of(name(1)).counts == found.entries[0]
    assert found.problems == ()


def test_a_correction_can_be_corrected() -> None:
    """A chain: the last one counts."""
    found = effective([written(n, n - 1 if n > 1 else None) for n in range(1, 6)])

    assert numbers(found.entries) == [5]
    assert numbers(found.histories[0].struck) == [1, 2, 3, 4]
    assert numbers(found.histories[0].members) == [1, 2, 3, 4, 5]


def test_a_withdrawn_entry_holds_no_more() -> None:
    """Nothing takes its place, and both can be seen."""
    found = effective([written(1), written(2, 1, withdraws=True)])

    assert found.entries == ()
    assert found.history_of(name(1)).counts is None
    assert numbers(found.history_of(name(2)).struck) == [1, 2]


def test_a_withdrawn_correction_does_not_bring_back_what_was_wrong() -> None:
    """The reading was said to be wrong; that stays so until somebody says what is right."""
    found = effective([written(1), written(2, 1), written(3, 2, withdraws=True)])

    assert found.entries == ()
    assert found.problems == ()


def test_what_holds_after_all_corrects_the_withdrawal() -> None:
    """It is written anew, with its reason."""
    found = effective([written(1), written(2, 1, withdraws=True), written(3, 2)])

    assert numbers(found.entries) == [3]


def test_of_two_corrections_the_later_counts_and_the_conflict_is_told() -> None:
    """Two benches corrected one reading: both are shown."""
    found = effective([written(1), written(3, 1, second=5), written(2, 1, second=9)])

    assert numbers(found.entries) == [2]
    history = found.history_of(name(1))
    assert history.conflict
    assert numbers(history.struck) == [1, 3]
    (problem,) = found.problems
    assert problem.where == f"entries/{name(1)}.json"
    assert problem.what == (
        f"was corrected twice ({name(1)}, {name(3)}, {name(2)}); {name(2)} counts, as recorded last: "
        "withdraw the correction that is wrong"
    )


def test_a_conflict_ends_when_one_correction_is_withdrawn() -> None:
    """Also when the one that counted is the wrong one."""
    found = effective([written(1), written(2, 1), written(3, 1), written(4, 3, withdraws=True)])

    assert numbers(found.entries) == [2]
    assert not found.history_of(name(1)).conflict
    assert found.problems == ()


def test_a_correction_and_a_withdrawal_disagree() -> None:
    """The later counts; here the withdrawal."""
    found = effective([written(1), written(2, 1), written(3, 1, withdraws=True)])

    assert found.entries == ()
    (problem,) = found.problems
    assert "; it is withdrawn: withdraw the correction" in problem.what


def test_two_withdrawals_agree() -> None:
    """Withdrawn twice is withdrawn."""
    found = effective([written(1), written(2, 1, withdraws=True), written(3, 1, withdraws=True)])

    assert found.entries == ()
    assert found.problems == ()


def test_a_correction_of_a_missing_entry_counts_and_is_told() -> None:
    """A broken file must not take the correction with it."""
    found = effective([written(2, 1)])

    assert numbers(found.entries) == [2]
    (problem,) = found.problems
    assert f"corrects entry {name(1)}, which is not there or cannot be read" in problem.what


def test_an_entry_set_aside_takes_its_part_but_never_holds() -> None:
    """A correction that cannot be used does not bring back what it corrects."""
    found = effective([written(1), written(3)], set_aside=[written(2, 1)])
    later = effective([written(1), written(3, 2)], set_aside=[written(2, 1)])

    assert numbers(found.entries) == [3]
    assert numbers(later.entries) == [3]
    assert found.problems == later.problems == ()


@pytest.mark.parametrize("length", [1, 2, 3])
def test_a_ring_is_cut_open_and_told(length: int) -> None:
    """No honest program writes one; nothing in it is lost or followed for ever."""
    ring = [written(n, (n + 1) % length) for n in range(length)]

    found = effective([*ring, written(8), written(9, 0)])

    assert 8 in numbers(found.entries)
    assert sorted(numbers([entry for history in found.histories for entry in history.members])) == [
        *range(length),
        8,
        9,
    ]
    assert any("by an entry that it corrects itself" in problem.what for problem in found.problems)


def test_a_long_chain_is_followed_to_its_end() -> None:
    """Ten thousand corrections are many, but not too deep."""
    found = effective([written(n, n - 1 if n else None) for n in range(10_000)])

    assert numbers(found.entries) == [9_999]
    assert len(found.histories[0].struck) == 9_999


def test_dates_that_cannot_be_read_do_not_stop_it() -> None:
    """Entries set aside may carry any text for a date."""
    odd = Entry(id=name(2), kind=EntryKind.CORRECTION, shows="?", made="?", recorded="?", who="", replaces=name(1))

    found = effective([written(1)], set_aside=[odd])

    assert found.entries == ()


def test_an_id_that_is_nowhere_is_told() -> None:
    """Asked for the history of what is not there."""
    with pytest.raises(UnknownName, match="no entry has the id 'x'"):
        effective([written(1)]).history_of("x")


def test_the_case_tells_of_loading_and_correcting_together(
    case: Case, make: Callable[..., Entry], correct: Callable[..., Entry]
) -> None:
    """One list of problems for the report."""
    entry = case.append(make("1 Ω"))
    for text in ("2 Ω", "3 Ω"):
        case.append(correct(entry, text))
    (case.folder / "entries" / "broken.json").write_bytes(b"{")

    found = case.effective()

    assert len(found.entries) == 1
    assert len(found.problems) == 2


# Any set of entries whatever: corrections of each other, of themselves, of what is missing, at equal times.
anything = st.lists(
    st.tuples(st.none() | st.integers(0, 8), st.integers(0, 4), st.booleans()), min_size=1, max_size=8
).map(
    lambda rows: [
        written(n, replaces, second=second, withdraws=withdraws and replaces is not None)
        for n, (replaces, second, withdraws) in enumerate(rows)
    ]
)
# What honest programs write: each correction names an earlier entry.
honest = st.lists(st.tuples(st.none() | st.integers(0, 100), st.booleans()), min_size=1, max_size=9).map(
    lambda rows: [
        written(n, None if not n or back is None else back % n, withdraws=withdraws and bool(n) and back is not None)
        for n, (back, withdraws) in enumerate(rows)
    ]
)


@given(anything, st.randoms(use_true_random=False))
def test_the_order_in_which_files_are_found_does_not_matter(entries: list[Entry], chance: random.Random) -> None:
    """What two benches wrote joins to the same, whichever folder is read first."""
    shuffled = list(entries)
    chance.shuffle(shuffled)

    assert effective(shuffled) == effective(entries)


@given(anything)
def test_no_entry_is_lost(entries: list[Entry]) -> None:
    """Every entry is in exactly one history, and holds or is struck through."""
    found = effective(entries)

    members = [entry.id for history in found.histories for entry in history.members]
    assert sorted(members) == sorted(entry.id for entry in entries)
    assert sorted(numbers(found.entries)) == sorted(numbers([h.counts for h in found.histories if h.counts]))
    assert not any(entry.withdraws for entry in found.entries)


@given(honest)
def test_a_further_correction_of_what_holds_decides(entries: list[Entry]) -> None:
    """Whoever corrects what holds now has the last word on it, and changes nothing else."""
    before = effective(entries)
    for entry in before.entries:
        last = written(50, int(entry.id[9:18]))
        after = effective([*entries, last])

        assert set(numbers(after.entries)) == (set(numbers(before.entries)) - {int(entry.id[9:18])}) | {50}


@given(honest)
def test_the_rules_hold(entries: list[Entry]) -> None:
    """What holds agrees with a plain restatement of the rules."""
    by_target: dict[str, list[Entry]] = {}
    for entry in entries:
        by_target.setdefault(entry.replaces, []).append(entry)

    def last_word(entry: Entry) -> tuple[Entry, bool]:
        """The last word on an entry, and whether it takes a correction back."""
        words = [last_word(follower) for follower in by_target.get(entry.id, [])]
        if not words:
            return entry, False
        standing = [word for word, taken_back in words if not taken_back] or [word for word, _ in words]
        latest = sorted(standing, key=recording_order)[-1]
        return latest, latest.withdraws and entry.kind is EntryKind.CORRECTION

    expected = [last_word(entry)[0] for entry in by_target.get("", [])]

    assert {e.id for e in effective(entries).entries} == {e.id for e in expected if not e.withdraws}


@given(honest)
def test_a_conflict_is_told_only_where_one_entry_was_corrected_twice(entries: list[Entry]) -> None:
    """Without two corrections of one entry there is no conflict."""
    found: Effective = effective(entries)
    targets = [entry.replaces for entry in entries if entry.replaces]

    if len(targets) == len(set(targets)):
        assert found.problems == ()
    for history in found.histories:
        if history.conflict:
            ids = {entry.id for entry in history.members}
            assert any(a == b and a in ids for a, b in itertools.combinations(targets, 2))
