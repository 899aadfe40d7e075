"""What is refused at the bench, with the message the person reads."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from coldpin.casefile import Case, check_entry
from coldpin.errors import CaseError, InputError, QuantityTextError, UnitError, UnknownName
from coldpin.records.entry import Entry, EntryKind, EvidenceFile
from tests.casefile.conftest import NOW

REMARK: dict[str, Any] = {"kind": EntryKind.OBSERVATION, "shows": "remark", "note": "a mark like a scorch"}
WIRING: dict[str, Any] = {"shows": "wiring map"}
CAPTURE: dict[str, Any] = {"kind": EntryKind.EVIDENCE, "shows": "pilot capture"}
FILED = EvidenceFile(media="capture", file="a-0123456789abcdef.csv", sha256="0" * 64, size=3)

REFUSED: dict[str, tuple[tuple[str, ...], dict[str, Any], type[InputError], str]] = {
    "unknown word": (("1 Ω",), {"shows": "earth resistence"}, UnknownName, "did you mean 'earth resistance'?"),
    "date without zone": (
        ("1 Ω",),
        {"made": "2026-03-14T10:00"},
        CaseError,
        "made '2026-03-14T10:00' does not say its",
    ),
    "day only": (("1 Ω",), {"made": "2026-03-14"}, CaseError, "does not say its time zone"),
    "no date": (("1 Ω",), {"made": "yesterday"}, CaseError, r"write it as 2026-03-14T10:05\+01:00"),
    "future": (("1 Ω",), {"made": NOW + timedelta(days=2)}, CaseError, "lies more than a day after it was recorded"),
    "nobody": (("1 Ω",), {"who": "  "}, CaseError, "nobody is named"),
    "no reading": ((), {}, CaseError, r"no reading is given: write at least one, with its unit \(Ω\)"),
    "too many": (("1 Ω",) * 1001, {}, CaseError, "1001 readings; 1000 are taken: file them as a capture"),
    "no number": (("1 Ω", "low"), {}, QuantityTextError, "entry 'earth resistance': reading 2: "),
    "wrong unit": (("3 V",), {}, UnitError, "reading 1: "),
    "two values in one": (("1,234 Ω",), {}, QuantityTextError, "reading 1: "),
    "NUL": (("1 Ω",), {"note": "a\0b"}, CaseError, r"note holds the character U\+0000"),
    "half a pair": (("1 Ω",), {"note": "\ud83d"}, CaseError, r"U\+D83D"),
    "escape": (("1 Ω",), {"conditions": {"length": "5 m\x1b[31m"}}, CaseError, r"U\+001B"),
    "long text": (("1 Ω",), {"note": "x" * 20_001}, CaseError, "file it as a document instead"),
    "unknown condition": (("1 Ω",), {"conditions": {"lenght": "5 m"}}, UnknownName, "did you mean 'length'?"),
    "condition of a word without any": (
        (),
        {"kind": "custody", "shows": "document", "conditions": {"of": "pack"}},
        UnknownName,
        "takes none",
    ),
    "value out of a closed list": (
        ("0 V",),
        {"shows": "output with nothing connected", "conditions": {"supply": "extra low voltage"}},
        UnknownName,
        "'extra low voltage'; did you mean 'extra-low voltage'",
    ),
    "empty condition": (
        ("1 Ω",),
        {"conditions": {"length": " "}},
        CaseError,
        r"'length' is empty: give it \(length of",
    ),
    "ambient": (("1 Ω",), {"ambient": "8 V"}, UnitError, "ambient: "),
    "supply": (("1 Ω",), {"supply_voltage": "mains"}, QuantityTextError, "supply voltage: "),
    "humidity": (("1 Ω",), {"humidity": "wet"}, QuantityTextError, "humidity: "),
    "answer for readings": (("1 Ω",), {"answer": "yes"}, CaseError, "answer given, but it is recorded as readings"),
    "readings for an answer": (
        ("yes",),
        {"shows": "part inside"},
        CaseError,
        "readings given, but it is recorded as an answer: say --answer yes, no or 'cannot tell'",
    ),
    "readings for a note": (("1 Ω",), REMARK, CaseError, "readings given, but it is recorded as a note"),
    "says nothing": ((), REMARK | {"note": " "}, CaseError, "it says nothing"),
    "no pair": ((), WIRING, CaseError, "no pair is given"),
    "no two pins": ((), WIRING | {"pairs": {"L L1": "joined"}}, CaseError, "pair 'L L1' is not two pins"),
    "three pins": ((), WIRING | {"pairs": {"L > L1 > N": "joined"}}, CaseError, "is not two pins"),
    "pair twice": ((), WIRING | {"pairs": {"L>L1": "open", "L > L1": "joined"}}, CaseError, "L > L1 is given twice"),
    "neither joined nor open": (
        (),
        WIRING | {"pairs": {"L > L1": "shut"}},
        QuantityTextError,
        "neither 'joined' nor 'open' nor a resistance",
    ),
    "no capture": ((), CAPTURE, CaseError, "no capture is given"),
    "capture elsewhere": (
        (),
        CAPTURE | {"evidence": EvidenceFile(media="capture", address="https://example.org/a.csv")},
        CaseError,
        "no capture is given",
    ),
    "neither file nor address": ((), REMARK | {"evidence": EvidenceFile(media="video")}, CaseError, "one of them"),
    "traversal": (
        (),
        CAPTURE | {"evidence": EvidenceFile(media="capture", file="../case.toml", sha256="0" * 64)},
        CaseError,
        "is not the name of a file in the case",
    ),
    "no hash": (
        (),
        CAPTURE | {"evidence": EvidenceFile(media="capture", file="a.csv", sha256="0")},
        CaseError,
        "no proper sha256",
    ),
    "companion of an address": (
        (),
        REMARK | {"evidence": EvidenceFile(media="video", address="https://example.org/v", companion=FILED)},
        CaseError,
        "a companion is one further file of a capture that is a file",
    ),
    "companion of a companion": (
        (),
        CAPTURE | {"evidence": replace(FILED, companion=replace(FILED, companion=FILED))},
        CaseError,
        "a companion is one further file of a capture that is a file",
    ),
    "companion that leads out": (
        (),
        CAPTURE | {"evidence": replace(FILED, companion=replace(FILED, file="../case.toml"))},
        CaseError,
        "is not the name of a file in the case",
    ),
    "no media": (
        (),
        CAPTURE | {"evidence": EvidenceFile(media=" ", file="a.csv", sha256="0" * 64)},
        CaseError,
        "does not say what it is",
    ),
    "correction of nothing": (("1 Ω",), {"kind": "correction", "reason": "x"}, CaseError, "must name the entry"),
    "correction without reason": (
        ("1 Ω",),
        {"kind": "correction", "replaces": "20260101T000000000Z-0000000000"},
        CaseError,
        "a correction needs its reason",
    ),
    "reading that replaces": (
        ("1 Ω",),
        {"replaces": "20260101T000000000Z-0000000000"},
        CaseError,
        "only a correction replaces or withdraws",
    ),
    "reading that withdraws": (("1 Ω",), {"withdraws": True}, CaseError, "only a correction replaces or withdraws"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_nobody_could_use_is_refused(make: Callable[..., Entry], name: str) -> None:
    """One message, of the right family, that names the entry, the field, and what to do."""
    readings, other, family, told = REFUSED[name]

    with pytest.raises(family, match=told) as caught:
        make(*readings, **other)

    assert type(caught.value) is family
    assert "entry '" in str(caught.value) or family is UnknownName


ACCEPTED: dict[str, tuple[tuple[str, ...], dict[str, Any]]] = {
    "comma": (("0,123 Ω",), {}),
    "milli": (("123 mΩ", "0R123"), {}),
    "end of range": (("> 500 MΩ",), {"shows": "mains to pilot insulation"}),
    "remark": ((), REMARK),
    "wiring": ((), WIRING | {"pairs": {"L>L1": "joined", "N > N": "0.1 Ω", "PE > CP": "> 20 MΩ", "L > N": "open"}}),
    "capture": ((), CAPTURE | {"evidence": FILED, "conditions": {"load": "nothing"}}),
    "video elsewhere": (
        (),
        {
            "kind": "evidence",
            "shows": "video",
            "evidence": EvidenceFile(media="video", address="https://example.org/v"),
        },
    ),
    "price only": ((), {"kind": "custody", "shows": "purchase", "conditions": {"price": "40 GBP"}}),
    "emoji and lines": ((), REMARK | {"note": "⚡ second\n\tline 𝛀"}),
    "a little ahead": (("1 Ω",), {"made": NOW + timedelta(hours=23)}),
    "withdrawal": (
        (),
        {"kind": "correction", "replaces": "20260101T000000000Z-0000000000", "reason": "wrong lead", "withdraws": True},
    ),
}


@pytest.mark.parametrize("name", ACCEPTED)
def test_what_people_write_is_taken(make: Callable[..., Entry], name: str) -> None:
    """Texts are kept as they were written."""
    readings, other = ACCEPTED[name]

    entry = make(*readings, **other)

    assert entry.readings == readings
    check_entry(entry)


def test_an_entry_cannot_replace_itself(make: Callable[..., Entry]) -> None:
    """There would be nothing to strike through."""
    with pytest.raises(CaseError, match="cannot replace itself"):
        make(
            "1 Ω",
            kind=EntryKind.CORRECTION,
            replaces="20260314T090501250Z-0000000000",
            reason="x",
            random_bytes=bytes,
        )


def test_a_correction_of_what_is_not_there_is_refused(case: Case, make: Callable[..., Entry]) -> None:
    """A misspelt id is found at the bench."""
    missing = "20260101T000000000Z-0000000000"

    with pytest.raises(CaseError, match=f"entry '{missing}' is not there or cannot be read"):
        case.append(make("1 Ω", kind=EntryKind.CORRECTION, replaces=missing, reason="x"))


def test_a_private_entry_is_not_made_public_by_correcting_it(
    case: Case, make: Callable[..., Entry], correct: Callable[..., Entry]
) -> None:
    """An order number must not slip out with the corrected spelling."""
    order = case.append(make(**REMARK, private=True))

    with pytest.raises(CaseError, match=f"entry {order.id} is private: its correction must be private too"):
        case.append(correct(order, **REMARK | {"kind": EntryKind.CORRECTION}))
    case.append(correct(order, **REMARK | {"kind": EntryKind.CORRECTION}, private=True))


def test_a_withdrawal_is_not_withdrawn(case: Case, make: Callable[..., Entry], correct: Callable[..., Entry]) -> None:
    """It could mean either; what holds is to be written."""
    entry = case.append(make("1 Ω"))
    withdrawal = case.append(correct(entry, withdraws=True))

    with pytest.raises(CaseError, match="is itself a withdrawal: correct it with what holds"):
        case.append(correct(withdrawal, withdraws=True))
    back = case.append(correct(withdrawal, "1 Ω"))
    assert case.effective().entries == (back,)


def test_evidence_must_be_filed_before_an_entry_names_it(case: Case, make: Callable[..., Entry]) -> None:
    """An entry never points at nothing."""
    with pytest.raises(CaseError, match=re.escape(f"{FILED.file} is not there")):
        case.append(make(**CAPTURE, evidence=FILED))
    assert case.entries().entries == ()
