"""Checks of the parts found inside and of how a unit is put together."""

from __future__ import annotations

import pytest

from coldpin.checks import run_checks
from coldpin.checks.construction import THINGS, Seen
from coldpin.checks.parts_inside import BARRIERS
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.part_words import PLACES, ROLES, TOPOLOGIES
from coldpin.standards.book import load_book
from coldpin.standards.parts_inside import supply_topology
from tests.checks.bench import WALL, entry, evidence, found_in


def part(role: str, answer: str = "yes", *, name: str = "p1", **conditions: str) -> Entry:
    """A part found inside, every path followed."""
    stated = {"role": role, "traced": "every path"} | {k.replace("_", " "): v for k, v in conditions.items()}
    return entry("part inside", name=name, answer=answer, conditions={k: v for k, v in stated.items() if v})


def over(role: str, *, name: str = "p1", crosses: str = "mains to pilot", **conditions: str) -> Entry:
    """A marked part over the barrier, used as isolation."""
    return part(role, name=name, **{"crosses": crosses, "used as isolation": "yes", "marked": "yes", **conditions})


def only(name: str, *entries: Entry) -> Finding:
    """The finding of that id."""
    return found_in(evidence(*entries))[name]


@pytest.mark.parametrize(
    ("given", "outcome", "words"),
    [
        (
            {"topology": "switching with transformer", "feeds": "pilot circuit", "used as isolation": "yes"},
            Outcome.WITHIN,
            "isolated by it",
        ),
        (
            {"topology": "switching with transformer", "feeds": "pilot circuit", "used as isolation": "no"},
            Outcome.BEYOND,
            "joined beside it",
        ),
        ({"topology": "switching with transformer", "feeds": "pilot circuit"}, Outcome.UNDECIDED, "is not stated"),
        ({"topology": "dropper", "feeds": "pilot circuit"}, Outcome.BEYOND, "does not isolate"),
        ({"topology": "switching without transformer", "feeds": "pilot circuit"}, Outcome.BEYOND, "does not isolate"),
        (
            {
                "topology": "mains transformer",
                "feeds": "pilot circuit",
                "used as isolation": "yes",
                "traced": "some",
            },
            Outcome.UNDECIDED,
            "joined elsewhere",
        ),
        ({"topology": "dropper"}, Outcome.UNDECIDED, "whether the pilot circuit"),
        ({"topology": "dropper", "feeds": "other"}, Outcome.UNDECIDED, "whether the pilot circuit"),
        ({"feeds": "pilot circuit"}, Outcome.UNDECIDED, "is not stated"),
    ],
)
def test_how_the_supply_is_made(given: dict[str, str], outcome: Outcome, words: str) -> None:
    """A supply without isolation that feeds the pilot joins it to the mains, in any unit built so."""
    finding = only("parts-inside.supply", part("supply", **given))

    assert finding.outcome is outcome
    assert words in finding.statement
    assert finding.functions == ("pilot-separation",)
    assert finding.decisive is (outcome is Outcome.BEYOND)


def test_what_was_not_followed_does_not_conclude_alone() -> None:
    """A dropper seen at a glance is beyond for this specimen, and decisive only where every path was followed."""
    given = part("supply", topology="dropper", feeds="pilot circuit", traced="some")
    finding = only("parts-inside.supply", given)

    assert (finding.outcome, finding.decisive, finding.reach) == (Outcome.BEYOND, False, Reach.SPECIMEN)


def test_a_second_supply_that_isolates_does_not_help_the_first() -> None:
    """The worst entry decides."""
    good = part("supply", name="p1", topology="mains transformer", feeds="pilot circuit", used_as_isolation="yes")
    bad = part("supply", name="p2", topology="dropper", feeds="pilot circuit")
    finding = only("parts-inside.supply", good, bad)

    assert finding.outcome is Outcome.BEYOND
    assert finding.evidence == ("p2", "p1")


@pytest.mark.parametrize(
    ("given", "outcome", "words"),
    [
        (over("optocoupler"), Outcome.WITHIN, "used as isolation"),
        (over("optocoupler", marked="no"), Outcome.UNDECIDED, "no mark and no paper"),
        (over("optocoupler", marked=""), Outcome.UNDECIDED, "whether it is marked"),
        (over("optocoupler", **{"used as isolation": "no"}), Outcome.BEYOND, "isolates nothing"),
        (over("optocoupler", **{"used as isolation": ""}), Outcome.UNDECIDED, "kept apart"),
        (over("optocoupler", traced="some"), Outcome.UNDECIDED, "there may be others"),
        (over("Y1 capacitor"), Outcome.WITHIN, "class Y1"),
        (over("Y2 capacitor"), Outcome.UNDECIDED, "how many are in series"),
        (over("Y2 capacitor", **{"in series": "1"}), Outcome.BEYOND, "2 in series are asked for"),
        (over("Y2 capacitor", **{"in series": "2"}), Outcome.WITHIN, "used as isolation"),
        (over("resistors", marked="", **{"in series": "2"}), Outcome.WITHIN, "used as isolation"),
        (over("resistors", **{"in series": "1"}), Outcome.BEYOND, "2 in series"),
        (over("X capacitor"), Outcome.BEYOND, "does not isolate"),
        (over("varistor"), Outcome.BEYOND, "does not isolate"),
        (over("gate driver"), Outcome.BEYOND, "does not isolate"),
        (over("wire or track"), Outcome.BEYOND, "does not isolate"),
        (over("fuse"), Outcome.UNDECIDED, "not known to us"),
    ],
)
def test_what_stands_over_the_barrier(given: Entry, outcome: Outcome, words: str) -> None:
    """An isolating part counts only where it is marked, used as one, and every path was followed."""
    finding = only("parts-inside.barrier", given)

    assert finding.outcome is outcome
    assert words in finding.statement


def test_one_bad_part_over_the_barrier_is_enough() -> None:
    """Three good ones beside it change nothing."""
    good = [over(role, name=f"g{at}") for at, role in enumerate(("optocoupler", "transformer", "relay"))]
    finding = only("parts-inside.barrier", *good, over("regulator", name="bad"))

    assert finding.outcome is Outcome.BEYOND
    assert finding.evidence[0] == "bad"
    assert finding.reach is Reach.CONSTRUCTION


def test_several_good_parts_are_named_together() -> None:
    """One sentence lists what stands over the barrier."""
    good = [over(role, name=f"g{at}") for at, role in enumerate(("optocoupler", "transformer", "relay"))]
    finding = only("parts-inside.barrier", *good)

    assert finding.outcome is Outcome.WITHIN
    assert "stand: optocoupler, transformer, relay. Each is known to isolate" in finding.statement


@pytest.mark.parametrize(
    ("role", "outcome"),
    [
        ("Y2 capacitor", Outcome.WITHIN),
        ("varistor", Outcome.UNDECIDED),
        ("X capacitor", Outcome.BEYOND),
        ("wire or track", Outcome.BEYOND),
    ],
)
def test_from_the_mains_to_earth_basic_insulation_is_asked_for(role: str, outcome: Outcome) -> None:
    """One Y2 capacitor serves there; a varistor wears; no function hangs on it."""
    finding = only("parts-inside.earth", over(role, crosses="mains to earth"))

    assert finding.outcome is outcome
    assert finding.functions == ()


@pytest.mark.parametrize(
    ("given", "outcome", "absent"),
    [
        (part("relay", switches="all poles"), Outcome.WITHIN, False),
        (part("relay", switches="line"), Outcome.UNDECIDED, False),
        (part("relay"), Outcome.UNDECIDED, False),
        (part("relay", "no"), Outcome.BEYOND, True),
        (part("relay", "no", traced="some"), Outcome.UNDECIDED, False),
        (part("relay", "cannot tell"), Outcome.UNDECIDED, False),
    ],
)
def test_a_relay_is_absent_only_where_every_path_was_followed(given: Entry, outcome: Outcome, absent: bool) -> None:
    """By construction, for any unit built so."""
    finding = only("parts-inside.switch", given)

    assert (finding.outcome, finding.absence) == (outcome, absent)
    if absent:
        assert finding.reach is Reach.CONSTRUCTION


def test_a_portable_unit_without_a_residual_sensor_has_no_such_protection_and_a_fixed_one_may() -> None:
    """A fixed unit may leave it to the installation."""
    gone = part("residual current sensor", "no")
    portable = only("parts-inside.residual", gone)
    fixed = found_in(evidence(gone, unit=WALL))["parts-inside.residual"]

    assert (portable.outcome, portable.absence) == (Outcome.BEYOND, True)
    assert (fixed.outcome, fixed.functions) == (Outcome.UNDECIDED, ())


@pytest.mark.hand("1.5 mm at category II, 3.0 mm at category III, IEC 60664-1 table F.2")
@pytest.mark.parametrize(("gap", "portable", "fixed"), [("1.80 mm ± 0.05 mm", "within", "beyond"), ("1.2 mm", "", "")])
def test_the_gap_of_open_contacts_is_held_beside_a_clearance(gap: str, portable: str, fixed: str) -> None:
    """It is told and bears on nothing; without an accuracy it is undecided."""
    given = part("relay", switches="all poles", contact_gap=gap)
    found = [found_in(evidence(given))["parts-inside.contact-gap"]]
    found.append(found_in(evidence(given, unit=WALL))["parts-inside.contact-gap"])

    assert [one.outcome.value for one in found] == [portable or "undecided", fixed or "undecided"]
    assert all(one.functions == () and not one.duty for one in found)


@pytest.mark.parametrize(
    ("role", "name"),
    [
        ("fuse", "fuse"),
        ("varistor", "varistor"),
        ("temperature sensor in the plug", "plug-sensor"),
        ("earth sensing", "earth-sensing"),
    ],
)
def test_good_practice_is_told_whether_it_is_there(role: str, name: str) -> None:
    """No duty; absent only where every path was followed."""
    there, gone = (only(f"parts-inside.{name}", part(role, answer)) for answer in ("yes", "no"))
    doubted = only(f"parts-inside.{name}", part(role, "no", traced="some"))

    assert [there.outcome, gone.outcome, doubted.outcome] == [Outcome.WITHIN, Outcome.BEYOND, Outcome.UNDECIDED]
    assert not there.duty
    assert not gone.duty


def test_every_topology_of_the_vocabulary_is_in_the_table() -> None:
    """No word waits without a row."""
    assert {supply_topology(load_book(), name).role for name in TOPOLOGIES} == set(TOPOLOGIES)
    rows = {row.word("role") for row in load_book().under("part.")}
    assert rows <= set(ROLES)


def test_every_thing_of_the_construction_has_its_words() -> None:
    """The vocabulary and the check name the same things."""
    assert {thing.of for thing in THINGS} == set(PLACES)
    assert len({name for name, *_ in BARRIERS}) == len(BARRIERS)


def built(of: str, answer: str, *, name: str = "b1", **conditions: str) -> Entry:
    """One thing of the construction."""
    return entry("construction", name=name, answer=answer, conditions={"of": of, **conditions})


@pytest.mark.parametrize("thing", THINGS, ids=lambda thing: thing.name)
def test_one_wrong_place_is_enough(thing: Seen) -> None:
    """A good crimp does not undo a bad one; what nobody could tell is undecided."""
    of, name = thing.of, f"construction.{thing.name}"
    good, bad = built(of, "yes", name="b1", at="plug"), built(of, "no", name="b2", at="box")

    assert only(name, good).outcome is Outcome.WITHIN
    assert only(name, good, bad).outcome is Outcome.BEYOND
    assert "(box)" in only(name, good, bad).statement
    assert only(name, good, built(of, "cannot tell", name="b2")).outcome is Outcome.UNDECIDED


def cord(reading: str, force: str = "60 N", pulls: str = "25") -> Entry:
    """How far a cord came out."""
    stated = {"at": "plug", "force": force, "pulls": pulls}
    return entry("cord displacement", readings=(reading,), conditions={k: v for k, v in stated.items() if v})


@pytest.mark.parametrize(
    ("given", "outcome"),
    [
        (cord("0.5 mm ± 0.1 mm"), Outcome.WITHIN),
        (cord("3.5 mm ± 0.1 mm"), Outcome.BEYOND),
        (cord("2.0 mm ± 0.1 mm"), Outcome.UNDECIDED),
        (cord("0.5 mm"), Outcome.UNDECIDED),
        (cord("0.5 mm ± 0.1 mm", force="20 N"), Outcome.UNDECIDED),
        (cord("0.5 mm ± 0.1 mm", pulls=""), Outcome.UNDECIDED),
        (cord("3.5 mm ± 0.1 mm", force="200 N"), Outcome.UNDECIDED),
        (cord("3.5 mm ± 0.1 mm", force="20 N"), Outcome.BEYOND),
    ],
)
def test_how_far_a_pulled_cord_came(given: Entry, outcome: Outcome) -> None:
    """A weak pull shows nothing when little moved, and enough when much did."""
    assert only("construction.cord", given).outcome is outcome


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (entry("part inside", answer="yes"), "state 'role'"),
        (entry("construction", answer="yes"), "state 'of'"),
        (cord("> 10 mm"), "only a bound"),
    ],
)
def test_an_entry_that_says_too_little_costs_itself(given: Entry, words: str) -> None:
    """It is listed under problems with what to do."""
    assert any(words in problem.what for problem in run_checks(evidence(given)).problems)
