"""What a finger or a wire reaches, shutters, interlocks, and looking at a claim of water and dust."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks import run_checks
from coldpin.checks.ingress_claim import LOOKING
from coldpin.errors import UnknownName
from coldpin.records.case import Cable, Claims, UnitClass
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach, Standing
from coldpin.standards.access import probe_row, read_ingress_codes
from coldpin.standards.book import load_book
from tests.checks.bench import PORTABLE, WALL, entry, evidence, found_in

FORCES = {"XXB finger": "10 N", "XXD wire": "1 N"}


def pushed(answer: str, *, at: str, probe: str = "XXB finger", name: str = "a1", **said: str) -> Entry:
    """A probe pushed with its force."""
    conditions = {"probe": probe, "at": at, "force": FORCES[probe]} | said
    kept = {key: value for key, value in conditions.items() if value}
    return entry("access by a probe", name=name, answer=answer, conditions=kept)


def output(volts: str, supply: str = "mains") -> Entry:
    """A reading at the pins with nothing connected."""
    return entry(
        "output with nothing connected",
        name="o1",
        readings=(volts,),
        instrument="meter",
        conditions={"supply": supply, "input": "low impedance"},
        supply_voltage="230 V" if supply == "mains" else "12 V",
    )


ELSEWHERE = tuple(
    entry(
        "access by a probe",
        name=f"b{place}",
        answer="no",
        conditions={"probe": "XXB finger", "at": at, "force": "10 N"},
    )
    for place, at in enumerate(("vehicle connector", "housing", "plug partly drawn"))
)
"""A finger that reached nothing where it is to be tried."""


def finger(*entries: Entry) -> Finding:
    """What is said of the finger, which reached nothing at the places that are not told of."""
    told = {one.conditions.get("at") for one in entries}
    others = [one for one in ELSEWHERE if one.conditions["at"] not in told]
    return found_in(evidence(*entries, *others))["live-access.finger"]


@pytest.mark.parametrize(
    ("entries", "outcome", "decisive", "words"),
    [
        ((pushed("no", at="housing"),), Outcome.WITHIN, False, "reaches no part"),
        ((pushed("cannot tell", at="housing"),), Outcome.UNDECIDED, False, "could not tell"),
        ((pushed("yes", at="housing", live="always while plugged in"),), Outcome.BEYOND, True, "whenever"),
        ((pushed("yes", at="housing"),), Outcome.UNDECIDED, False, "not stated"),
        ((pushed("yes", at="housing", live="not known"),), Outcome.UNDECIDED, False, "not stated"),
        ((pushed("yes", at="vehicle connector"),), Outcome.UNDECIDED, False, "was not tested"),
        ((pushed("yes", at="vehicle connector"), output("230 V")), Outcome.BEYOND, True, "live with nothing"),
        ((pushed("yes", at="vehicle connector"), output("0.4 V")), Outcome.WITHIN, False, "dead with nothing"),
        (
            (pushed("yes", at="vehicle connector"), output("0.1 V", "extra-low voltage")),
            Outcome.UNDECIDED,
            False,
            "is not decided",
        ),
        (
            (pushed("yes", at="plug partly drawn", live="only while charging"), output("0.4 V")),
            Outcome.WITHIN,
            False,
            "dead with nothing",
        ),
        ((pushed("no", at="housing", force=""),), Outcome.UNDECIDED, False, "is not stated; 10 N"),
        ((pushed("no", at="housing", force="3 N"),), Outcome.UNDECIDED, False, "10 N is asked for"),
        (
            (pushed("yes", at="housing", live="always while plugged in", force="40 N"),),
            Outcome.UNDECIDED,
            False,
            "more than the 10 N",
        ),
    ],
)
def test_a_finger(entries: tuple[Entry, ...], outcome: Outcome, decisive: bool, words: str) -> None:
    """A live part in reach concludes alone; where a contact holds the mains off, that is said."""
    finding = finger(*entries)

    assert (finding.outcome, finding.decisive) == (outcome, decisive), finding.statement
    assert words in finding.statement
    assert finding.functions == ("access-protection",)
    assert finding.limit is not None
    assert finding.limit.standing is Standing.MEMORY
    assert bool(finding.plain) is (outcome is Outcome.BEYOND)


def test_what_a_contact_holds_off_rests_on_both_entries() -> None:
    """The reading at the pins is evidence of the finding, whose reach is this specimen's contact."""
    finding = finger(pushed("yes", at="vehicle connector"), output("0.4 V"))

    assert {"a1", "o1"} <= set(finding.evidence)
    assert finding.statement.startswith("A finger reaches no part that carries the mains (housing, plug partly drawn).")
    assert finding.reach is Reach.SPECIMEN
    assert any("contact that is open" in remark for remark in finding.remarks)
    assert finger(pushed("no", at="housing")).reach is Reach.CONSTRUCTION


def test_the_worst_place_is_told() -> None:
    """One reached part is enough."""
    finding = finger(
        pushed("no", at="housing", name="a1"),
        pushed("yes", at="cable", live="always while plugged in", name="a2"),
    )

    assert finding.outcome is Outcome.BEYOND
    assert finding.evidence[:2] == ("a2", "a1")


@pytest.mark.parametrize(
    ("unit", "probe", "tried", "missing"),
    [
        (PORTABLE, "XXB finger", ("housing",), "vehicle connector and plug partly drawn"),
        (WALL, "XXB finger", ("housing",), "vehicle connector"),
        (WALL, "XXB finger", ("housing", "vehicle connector"), ""),
        (replace(WALL, cable=Cable.DETACHABLE), "XXD wire", ("top of the housing",), "socket-outlet"),
        (PORTABLE, "XXD wire", ("vehicle connector",), ""),
    ],
)
def test_what_was_not_tried_stays_open(unit: UnitClass, probe: str, tried: tuple[str, ...], missing: str) -> None:
    """Nothing in reach is said only where the probe was at every place that its kind of unit has."""
    entries = [pushed("no", at=at, probe=probe, name=f"a{place}") for place, at in enumerate(tried)]
    finding = found_in(evidence(*entries, unit=unit))[f"live-access.{'wire' if 'XXD' in probe else 'finger'}"]

    assert finding.outcome is (Outcome.UNDECIDED if missing else Outcome.WITHIN)
    assert finding.statement.endswith(f"it was not tried at {missing}." if missing else ").")


@pytest.mark.parametrize(
    ("at", "outcome"),
    [
        ("vehicle connector", Outcome.BEYOND),
        ("top of the housing", Outcome.BEYOND),
        ("socket-outlet", Outcome.BEYOND),
        ("housing", Outcome.UNDECIDED),
    ],
)
def test_a_wire_is_asked_at_some_places_only(at: str, outcome: Outcome) -> None:
    """Elsewhere a finger decides."""
    tried = pushed("yes", at=at, probe="XXD wire", live="always while plugged in")
    finding = found_in(evidence(tried))["live-access.wire"]

    assert finding.outcome is outcome
    assert finding.decisive is (outcome is Outcome.BEYOND)


@pytest.mark.parametrize(
    ("word", "name", "answer", "outcome", "words"),
    [
        ("shutter of the socket-outlet", "shutter", "yes", Outcome.WITHIN, "stay shut"),
        ("shutter of the socket-outlet", "shutter", "no", Outcome.BEYOND, "opens a shutter"),
        ("shutter of the socket-outlet", "shutter", "cannot tell", Outcome.UNDECIDED, "could not tell"),
        ("interlock of plug and connector", "interlock", "yes", Outcome.WITHIN, "held while it is live"),
        ("interlock of plug and connector", "interlock", "no", Outcome.BEYOND, "can be drawn while it is live"),
        ("interlock of plug and connector", "interlock", "cannot tell", Outcome.UNDECIDED, "could not tell"),
    ],
)
def test_shutters_and_interlocks(word: str, name: str, answer: str, outcome: Outcome, words: str) -> None:
    """Yes, no, or not to be told."""
    finding = found_in(evidence(entry(word, answer=answer)))[f"live-access.{name}"]

    assert finding.outcome is outcome
    assert words in finding.statement
    assert finding.duty is (name == "shutter")


@pytest.mark.parametrize(
    ("conditions", "words"),
    [
        ({"at": "housing"}, "'probe' is missing"),
        ({"probe": "XXB finger"}, "'at' is missing"),
        ({"probe": "XXB finger", "at": "housing", "live": "never"}, "is none that carries the mains"),
    ],
)
def test_an_answer_that_does_not_say_enough(conditions: dict[str, str], words: str) -> None:
    """It costs itself."""
    given = entry("access by a probe", answer="yes", conditions=conditions)
    other = pushed("no", at="cable", name="a9")
    results = run_checks(evidence(given, other))

    assert any(words in problem.what for problem in results.problems)
    assert any(finding.id == "live-access.finger" for finding in results.findings)


@pytest.mark.published("IEC 60529 Tables 1 to 3 as two trade pages carry them")
@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("IP66", [("IP66", 6, 6, "")]),
        ("box IP55, plug IP 44", [("IP55", 5, 5, ""), ("IP44", 4, 4, "")]),
        ("ip2xB and IPX7", [("IP2XB", 2, -1, "B"), ("IPX7", -1, 7, "")]),
        ("IP 192.168.0.1, chip66, IP99", []),
    ],
)
def test_codes_are_found_in_claims(text: str, codes: list[tuple[str, int, int, str]]) -> None:
    """Digits, an open digit, a letter; nothing else."""
    assert [(one.text, one.solid, one.water, one.letter) for one in read_ingress_codes(text)] == codes


IP66 = Claims(words=("IP66",))


def looked(answer: str, said: dict[str, str] | None = None, *, claims: Claims = IP66, note: str = "") -> Finding:
    """What is said of a claim that somebody looked at."""
    given = entry("ingress protection as looked at", answer=answer, conditions=said or {}, note=note)
    return found_in(evidence(given, claims=claims))["ingress-claim.looked-at"]


@pytest.mark.parametrize("answer", ["yes", "no", "cannot tell"])
def test_looking_never_decides(answer: str) -> None:
    """Whatever was seen, it stays undecided, and says that no water was put on."""
    finding = looked(answer)

    assert finding.outcome is Outcome.UNDECIDED
    assert finding.statement.endswith(LOOKING)
    assert "“IP66”, which would keep out a wire and all dust and strong jets" in finding.statement


@pytest.mark.parametrize(
    ("claimed", "opening", "words"),
    [
        ("IP20", "", "less than what is asked outdoors"),
        ("IPX7", "", "says nothing of jets"),
        ("IPX7", "", "leaves one digit open"),
        ("IP44", "4.0 mm ± 0.1 mm", "lets in what the first digit of IP44 keeps out, 1.0 mm"),
    ],
)
def test_what_a_code_says_and_does_not(claimed: str, opening: str, words: str) -> None:
    """Remarks on the claim itself."""
    said = {"claimed": claimed} | ({"opening": opening} if opening else {})
    finding = looked("no", said)

    assert any(words in remark for remark in finding.remarks), finding.remarks


def test_what_was_seen_is_told_and_a_small_opening_is_not() -> None:
    """The note of whoever looked stands in the finding; a hole of half a millimetre is within a first digit of 4."""
    finding = looked("yes", {"at": "box", "claimed": "IP44", "opening": "0.5 mm ± 0.1 mm"}, note="The seal is pinched.")

    assert "speaks against it (box): The seal is pinched." in finding.statement
    assert not any("lets in" in remark for remark in finding.remarks)
    assert looked("no", claims=Claims()).statement.startswith("Nothing is claimed of water and dust. Nothing was")


def test_a_claim_that_cannot_be_read() -> None:
    """It costs itself."""
    given = entry("ingress protection as looked at", answer="no", conditions={"claimed": "waterproof"})
    results = run_checks(evidence(given))

    assert any("no degree of protection" in problem.what for problem in results.problems)


def test_an_unknown_probe() -> None:
    """The message lists the known ones."""
    with pytest.raises(UnknownName, match="XXB finger"):
        probe_row(load_book(), "toe")
