"""The dead wiring map."""

import pytest

from coldpin.checks import run_checks, wiring
from coldpin.errors import CaseError
from coldpin.records.case import UnitClass
from coldpin.records.finding import Finding, Outcome, Reach
from tests.checks.bench import BARE, PORTABLE, WALL, entry, evidence, pairs

STRAIGHT = ("L > L1", "N > N", "PE > PE")


def found(*joined: str, unit: UnitClass = PORTABLE, **conditions: str) -> dict[str, Finding]:
    one = entry("wiring map", pairs=pairs(joined), conditions=conditions)
    return {finding.id: finding for finding in wiring.run(evidence(one, unit=unit))}


@pytest.mark.practice
def test_a_switched_lead_with_its_earth_through_is_within_in_everything() -> None:
    """Earth joined, all else open: what a unit with contacts in both poles shows with no supply."""
    findings = found("PE > PE")

    assert {finding.outcome for finding in findings.values()} == {Outcome.WITHIN}
    assert not any(finding.decisive for finding in findings.values())


@pytest.mark.practice
def test_a_bare_lead_is_live_by_construction() -> None:
    """Poles straight through and no contact in the opened connector: any unit built like it is so."""
    through, look = entry("wiring map", pairs=pairs(STRAIGHT)), entry("opened", name="look")
    switched = {f.id: f for f in wiring.run(evidence(through, look, unit=BARE))}["wiring.switched"]

    assert switched.outcome is Outcome.BEYOND
    assert switched.reach is Reach.CONSTRUCTION
    assert switched.absence
    assert switched.evidence == (through.id, look.id)


@pytest.mark.practice
def test_a_connector_that_nobody_opened_may_hold_a_welded_contact() -> None:
    """Electronics in the connector: a map of the closed lead says nothing of others built like it."""
    switched = found(*STRAIGHT, unit=BARE)["wiring.switched"]

    assert (switched.outcome, switched.reach, switched.absence) == (Outcome.BEYOND, Reach.SPECIMEN, False)
    assert "open it before" in switched.remarks[0]


@pytest.mark.practice
def test_one_pole_that_stays_joined_is_no_proof_that_nothing_switches() -> None:
    """The other pole is opened, so something is there to open it."""
    look = entry("opened", name="look")
    one = entry("wiring map", pairs=pairs(("PE > PE", "N > N")))
    switched = {f.id: f for f in wiring.run(evidence(one, look, unit=BARE))}["wiring.switched"]

    assert (switched.outcome, switched.reach, switched.absence) == (Outcome.BEYOND, Reach.SPECIMEN, False)


@pytest.mark.practice
@pytest.mark.parametrize(("pair", "id_"), [("L > PE", "wiring.live-earth"), ("L > L1", "wiring.switched")])
@pytest.mark.parametrize(
    ("text", "outcome"), [("9 Ω", Outcome.BEYOND), ("200 Ω", Outcome.UNDECIDED), ("47 kΩ", Outcome.WITHIN)]
)
def test_a_resistance_between_joined_and_open_is_neither(pair: str, id_: str, text: str, outcome: Outcome) -> None:
    """200 Ω from line to earth is more than an ampere on the mains: nobody may call it open."""
    one = entry("wiring map", pairs=pairs(("PE > PE",), found={pair: text}))
    finding = {f.id: f for f in wiring.run(evidence(one))}[id_]

    assert finding.outcome is outcome
    assert (f"({text})" in finding.statement) is (outcome is Outcome.UNDECIDED)


def test_a_fixed_unit_is_not_told_of_a_plug() -> None:
    """What has no plug is worded by its terminals, in every finding of the map."""
    findings = found("PE > PE", "N > PE", unit=WALL)

    assert not [f.statement for f in findings.values() if "plug" in f.statement]
    assert "supply terminal N to connector PE" in findings["wiring.neutral-earth"].statement


@pytest.mark.practice
def test_poles_through_a_box_may_be_welded_contacts() -> None:
    """With a box in the lead, joined poles may be welded contacts: this specimen only, and no proof of absence."""
    switched = found(*STRAIGHT, unit=PORTABLE)["wiring.switched"]

    assert switched.outcome is Outcome.BEYOND
    assert switched.reach is Reach.SPECIMEN
    assert not switched.absence
    assert "welded" in switched.remarks[0]


@pytest.mark.practice
@pytest.mark.parametrize(
    ("extra", "id_", "decisive"),
    [
        ("L > CP", "wiring.pilot-alone", True),
        ("N > CP", "wiring.pilot-alone", True),
        ("PE > CP", "wiring.pilot-earth", False),
        ("N > PE", "wiring.neutral-earth", True),
        ("PE > N", "wiring.neutral-earth", True),
        ("L > PE", "wiring.live-earth", True),
        ("PE > L1", "wiring.live-earth", True),
        ("L > N", "wiring.crossed", False),
        ("N > L1", "wiring.crossed", False),
    ],
)
def test_each_joint_that_must_not_be_is_found_and_named(extra: str, id_: str, decisive: bool) -> None:
    """One wrong joint makes one finding beyond, which names the pair."""
    findings = found("PE > PE", extra)

    assert [f.id for f in findings.values() if f.outcome is Outcome.BEYOND] == [id_]
    assert findings[id_].decisive is decisive
    plug_pin, connector_pin = extra.split(" > ")
    assert f"plug {plug_pin} to connector {connector_pin}" in findings[id_].statement


@pytest.mark.practice
def test_an_open_earth_concludes_alone() -> None:
    """No path from earth pin to earth pin: absent, decisive."""
    earth = found()["wiring.earth-through"]

    assert (earth.outcome, earth.decisive, earth.absence) == (Outcome.BEYOND, True, True)


def test_a_pair_that_was_not_recorded_is_undecided_and_named() -> None:
    """What nobody measured is not open."""
    half = {key: value for key, value in pairs().items() if key != "L > CP"}
    findings = {f.id: f for f in wiring.run(evidence(entry("wiring map", pairs=half)))}

    assert findings["wiring.pilot-alone"].outcome is Outcome.UNDECIDED
    assert "plug L to connector CP" in findings["wiring.pilot-alone"].statement


@pytest.mark.parametrize(("text", "outcome"), [("0.2 Ω", Outcome.WITHIN), ("47 kΩ", Outcome.BEYOND)])
def test_a_resistance_is_joined_below_the_stated_threshold(text: str, outcome: Outcome) -> None:
    """A meter's number stands for joined or open by the threshold of the entry."""
    one = entry("wiring map", pairs=pairs(found={"PE > PE": text}), conditions={"joined below": "5 Ω"})

    assert {f.id: f for f in wiring.run(evidence(one))}["wiring.earth-through"].outcome is outcome


def test_a_map_with_the_contacts_held_closed_gives_line_neutral_and_order() -> None:
    """The order of the poles is judged on the second map; the first still shows that they open."""
    opened = entry("wiring map", pairs=pairs())
    closed = entry("wiring map", name="e2", pairs=pairs(STRAIGHT), conditions={"contacts": "held closed"})
    findings = {f.id: f for f in wiring.run(evidence(opened, closed))}

    assert findings["wiring.order"].outcome is Outcome.WITHIN
    assert findings["wiring.switched"].outcome is Outcome.WITHIN


def test_an_unknown_pair_is_refused_with_the_pairs_there_are() -> None:
    """A pin that such a unit does not have is a mistake in writing, and is said so."""
    with pytest.raises(CaseError, match=r"unknown pair 'L > L3'; such a unit has: L > L1, L > N"):
        wiring.run(evidence(entry("wiring map", pairs=pairs() | {"L > L3": "open"})))


def test_text_that_is_no_state_of_a_pair_costs_the_check_and_no_other() -> None:
    """Bad evidence is told under problems; other checks run."""
    bad = entry("wiring map", pairs=pairs(found={"L > L1": "maybe"}))
    resistance = entry("earth resistance", name="e2", readings=("110 mΩ",), instrument="milliohm")
    results = run_checks(evidence(bad, resistance))

    assert "write 'joined', 'open' or a resistance" in results.problems[0].what
    assert any(finding.id == "earth-resistance.value" for finding in results.findings)
