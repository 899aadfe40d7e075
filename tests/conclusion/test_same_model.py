"""Which cases are joined: another piece of the same make, model and rating, or the tester's reason."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.conclusion.same_model import plain_mark
from coldpin.errors import CaseError
from coldpin.records.case import Claims
from coldpin.records.entry import Entry, EntryKind, EvidenceFile
from coldpin.records.together import Unlike
from tests.checks.bench import PORTABLE
from tests.conclusion.specimens import assessed, renamed, together


def entry(name: str, shows: str, sha256: str, replaces: str = "", withdraws: bool = False) -> Entry:
    """A file that was filed."""
    kind = EntryKind.CORRECTION if replaces else EntryKind.EVIDENCE
    file = None if withdraws else EvidenceFile(media="text/csv", file="a.csv", sha256=sha256, original_name="steps.csv")
    return Entry(
        id=name,
        kind=kind,
        shows=shows,
        made="2026-05-02T09:00:00+00:00",
        recorded="2026-05-02T09:00:00+00:00",
        who="Ines",
        evidence=file,
        replaces=replaces,
        withdraws=withdraws,
    )


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ({}, {"make": "PELLWICK "}),
        ({"model": "Sea-Link 20_b"}, {"model": "sea link  20 B"}),
    ],
)
def test_one_model_is_one_however_it_is_written(first: dict[str, Any], second: dict[str, Any]) -> None:
    """Case, spaces, dashes."""
    assert together(assessed("a", **first), assessed("b", **second)).model.overridden == ()


def test_a_rating_is_compared_by_its_value() -> None:
    """16 A is 16.0A, and not 20 A; a rating that is no value is compared as text."""
    held = [
        assessed(f"c{n}", claims=Claims(rated_current=text)) for n, text in enumerate(("16 A", "16.0A", "0.016 kA"))
    ]

    assert together(*held).model.marked[2] == ("rated current", "16 A")
    odd = [assessed(f"c{n}", claims=Claims(rated_current=text)) for n, text in enumerate(("as plug", "As  plug"))]
    assert together(*odd).model.marked[2] == ("rated current", "as plug")


@pytest.mark.parametrize(
    ("other", "told"),
    [
        ({"model": "32"}, "model: “20” in a, “32” in b"),
        ({"make": "Dunmarr"}, "make: “Pellwick” in a, “Dunmarr” in b"),
        ({"claims": Claims(rated_voltage="230 V")}, "rated current: “20 A” in a, none recorded in b"),
        ({"unit": replace(PORTABLE, phases=3)}, "phases: “1” in a, “3” in b"),
    ],
)
def test_other_models_are_refused_with_the_way_out(other: dict[str, Any], told: str) -> None:
    """It is said what differs, and how to join them with a reason; the reason and what differs are told then."""
    cases = (assessed("a"), assessed("b", **other))
    with pytest.raises(CaseError, match=re.escape(told)) as refused:
        together(*cases)

    assert "--same-model" in str(refused.value)
    with pytest.raises(CaseError, match="one model"):
        together(*cases, one_model="  ")
    joined = together(*cases, one_model="the importer says it is one")
    assert joined.model.reason == "the importer says it is one"
    assert [one.what for one in joined.model.overridden] == [told.split(":")[0]]
    assert any("on the tester's word" in text for text in joined.conclusion.may_not_say)


def test_a_reason_that_is_not_needed_is_not_told() -> None:
    """Nothing was overridden."""
    assert together(assessed("a"), assessed("b"), one_model="they look alike").model.reason == ""


def test_markings_that_differ_are_told_and_join_all_the_same() -> None:
    """Firmware, print, plug, connector: they may tell kinds apart that one name hides."""
    first = assessed("a", batch="none found", claims=Claims(rated_current="20 A", plug="CEE 7/4", cable_print="3G2.5"))
    second = assessed(
        "b",
        batch="24-07",
        claims=Claims(rated_current="20 A", plug="CEE 7/4", cable_print="3G1.5"),
        unit=replace(PORTABLE, connector="type 1"),
    )

    assert together(first, second).model.unlike == (
        Unlike(what="batch", said=("none found", "24-07")),
        Unlike(what="connector", said=("type 2", "type 1")),
        Unlike(what="print on the cable", said=("3G2.5", "3G1.5")),
    )


def test_a_specimen_is_not_joined_with_itself() -> None:
    """Not by a copy of its case, not by its serial number, not by one recording in both."""
    one = assessed("a", bought="2026-01-08")
    with pytest.raises(CaseError, match="the same entries"):
        together(one, replace(one, name="b"))
    with pytest.raises(CaseError, match=r"bear one serial number, “PW 0042”.*--apart"):
        together(assessed("a", serial="PW 0042"), assessed("b", serial="pw-0042"))
    with pytest.raises(CaseError, match=r"the same recording, steps\.csv"):
        together(
            assessed("a", entries=[entry("e1", "pilot capture", "ab" * 32)]),
            assessed("b", entries=[entry("e2", "pilot capture", "ab" * 32)]),
        )


def test_what_both_may_hold_joins_them() -> None:
    """A listing may stand in both, and a recording that was withdrawn is held no more."""
    listing = [assessed(name, entries=[entry(f"{name}1", "listing snapshot", "cd" * 32)]) for name in "ab"]
    assert len(together(*listing).specimens) == 2

    capture = entry("b1", "pilot capture", "ab" * 32)
    withdrawn = entry("b2", "pilot capture", "", replaces="b1", withdraws=True)
    held = [
        assessed("a", entries=[entry("a1", "pilot capture", "ab" * 32)]),
        assessed("b", entries=[capture, withdrawn]),
    ]
    assert len(together(*held).specimens) == 2


def test_two_pieces_with_one_serial_are_joined_for_a_reason_that_is_told() -> None:
    """A number on every unit is a finding; "none" on both is no number."""
    held = (assessed("a", serial="0001"), assessed("b", serial="0001"))

    model = together(*held, apart="a scratch on the second").model
    assert (model.one_serial, model.apart) == ("0001", "a scratch on the second")
    assert together(assessed("a", serial="none"), assessed("b", serial="None found")).model.one_serial == ""


def test_one_case_is_told_by_its_own_report() -> None:
    """Two at least."""
    with pytest.raises(CaseError, match="two cases or more"):
        together(assessed("a"))


@given(st.text(max_size=30))
def test_a_mark_is_compared_alike_however_hostile(text: str) -> None:
    """Comparing twice changes nothing, nor does the case of its letters or space around it."""
    assert plain_mark(plain_mark(text)) == plain_mark(text)
    assert plain_mark(f"  {text} ") == plain_mark(text)


@given(st.text(max_size=20), st.text(max_size=20))
def test_hostile_names_are_joined_or_refused_in_one_message(make: str, other: str) -> None:
    """No name breaks it, and what is refused is refused whichever is given first."""
    cases = (assessed("a", make=make), assessed("b", make=other))
    said = []
    for order in (cases, cases[::-1]):
        try:
            said.append(together(*order).title)
        except CaseError as error:
            said.append(str(error))

    assert said[0] == said[1]


def test_a_renamed_specimen_has_entries_of_its_own() -> None:
    """The tests' own helper does what its name says."""
    one = assessed("a", bought="2026-01-08")

    assert len(together(one, renamed(one, "b")).specimens) == 2
