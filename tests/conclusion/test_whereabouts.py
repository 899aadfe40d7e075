"""Where the specimen is: the last word of it, and whether anything was done to it since."""

from __future__ import annotations

from coldpin.conclusion.whereabouts import whereabouts
from coldpin.records.case import Build, Cable, CaseDescription, Specimen, UnitClass
from coldpin.records.entry import Entry, EntryKind
from coldpin.report.words import asked_again

CASE = CaseDescription(
    format="",
    title="Skerrow 16",
    specimen=Specimen(make="Skerrow", model="16", where_now="cupboard 2"),
    unit=UnitClass(charging_mode=2, build=Build.PORTABLE, cable=Cable.ATTACHED),
)


def entry(name: str, made: str, shows: str, *, replaces: str = "", withdraws: bool = False, **conditions: str) -> Entry:
    """An entry of the specimen, made when it was written down."""
    return Entry(
        id=name,
        kind=EntryKind.CUSTODY,
        shows=shows,
        made=made,
        recorded=made,
        who="Ines",
        conditions=conditions,
        replaces=replaces,
        withdraws=withdraws,
    )


MOVED = entry("b", "2026-03-14T12:00+00:00", "where it is", place="box 3")
BEFORE = entry("a", "2026-03-14T12:30+01:00", "opened", how="screws")
LIVE = entry("c", "2026-03-14T12:30+00:00", "output in state B", supply="mains")
CUT = entry("d", "2026-03-15T09:00+00:00", "look of a cut")


def test_the_last_entry_says_it_and_what_was_done_before_asks_nothing() -> None:
    """In the order of the instants, whatever their zones."""
    told = whereabouts(CASE, (MOVED, BEFORE))
    assert (told.place, told.said, told.entry, told.since) == ("box 3", MOVED.made, "b", 0)
    assert asked_again(told) == ""


def test_what_opens_cuts_or_powers_it_afterwards_asks_for_it_again() -> None:
    """The last of them is named with its day; a reading with everything dead asks nothing."""
    dead = entry("e", "2026-03-16T09:00+00:00", "earth resistance")
    told = whereabouts(CASE, (CUT, LIVE, dead, MOVED))
    assert (told.since, told.last, told.last_made) == (2, "look of a cut", CUT.made)
    assert "Since then it was opened, cut, strained or put on the mains (last 'look of a cut', " in asked_again(told)


def test_what_was_withdrawn_or_replaced_counts_nothing() -> None:
    """Neither the place nor the work."""
    back = entry("f", "2026-03-17T09:00+00:00", "look of a cut", replaces="d", withdraws=True)
    assert whereabouts(CASE, (MOVED, CUT, back)).since == 0
    other = entry("g", "2026-03-13T09:00+00:00", "where it is", replaces="b", place="shed")
    assert whereabouts(CASE, (MOVED, other)).place == "shed"


def test_a_description_without_a_date_is_asked_for_after_any_such_work_but_not_after_unpacking() -> None:
    """Nobody knows which was first."""
    came = entry("h", "2026-03-10T09:00+00:00", "contents received")
    assert whereabouts(CASE, (came,)).since == 0
    told = whereabouts(CASE, (came, LIVE))
    assert (told.place, told.said, told.since) == ("cupboard 2", "", 1)
    assert asked_again(told).startswith("It was opened")
