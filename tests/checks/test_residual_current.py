"""Checks with residual currents: entries to findings, the device a specimen is judged as, what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from coldpin.checks import BenchEvidence, ResidualEvidence, find_check, method, run_checks
from coldpin.checks.residual_device import device_of
from coldpin.checks.residual_operations import trip_operations
from coldpin.quantity import parse_quantity
from coldpin.records.case import Claims
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Outcome
from coldpin.records.trip_test import ResidualKind, ResidualReading, TripOperation
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition
from tests.checks.bench import CLAIMS, PORTABLE, WALL, entry, evidence

AC = "trip time with alternating residual current"
SMOOTH = "trip time with smooth residual current"
RISE = "trip current with rising smooth residual current"


EVERY = frozenset(ResidualKind)


def timed(word: str, *readings: str, name: str = "t1", **conditions: str) -> Entry:
    """Times of operations by the scope; conditions as they are called."""
    return entry(word, name=name, readings=readings, instrument="scope", conditions=conditions)


def both(word: str, reading: str, current: str) -> tuple[Entry, Entry]:
    """Three operations each way."""
    name, ways = ("start", ("0°", "180°")) if word == AC else ("polarity", ("positive", "negative"))
    first, second = (
        timed(word, *(reading,) * 3, name=f"{current}-{way}", **{"current": current, name: way}) for way in ways
    )
    return first, second


def found(bench: BenchEvidence) -> dict[str, Finding]:
    """The findings on residual currents by id."""
    return {one.id: one for one in run_checks(bench).findings if one.check.startswith("residual-")}


@pytest.mark.hand("31.5 mA ± 1.5 mA lies within a tenth above 30 mA; 24 ms of 300 ms")
def test_times_of_a_tester_become_findings() -> None:
    """Within, with both entries behind it and the number of operations; the plain sentence is for anybody."""
    one = found(evidence(*both(AC, "24 ms", "31.5 mA ± 1.5 mA")))["residual-alternating.threshold"]

    assert (one.outcome, one.worst_of, one.functions) == (Outcome.WITHIN, 6, ("residual-current",))
    assert len(one.evidence) == 2
    assert one.limit is not None
    assert one.limit.standing == "memory"
    assert one.plain == "When alternating current leaks to earth, it switches off in time."
    assert one.duty


@pytest.mark.hand("7.32 kΩ at 231 V is 31.6 mA")
def test_the_current_is_told_by_box_and_voltage() -> None:
    """With both their limits the current has one; with one missing it is asked for."""
    stated = {"resistor": "7.32 kΩ ± 0.5 %", "voltage": "231 V ± 1 V"}
    boxed = [timed(AC, "24 ms", "25 ms", "24 ms", name=way, start=way, **stated) for way in ("0°", "180°")]
    one = found(evidence(*boxed))["residual-alternating.threshold"]

    assert one.outcome is Outcome.WITHIN
    assert "31.56 mA" in one.statement
    lacking = run_checks(evidence(timed(AC, "24 ms", start="0°")))
    assert any("state 'current', or 'resistor' and 'voltage'" in problem.what for problem in lacking.problems)


@pytest.mark.hand("half a sine has 1/√2 of its r.m.s. value: 231 V over 3.87 kΩ behind a diode is 42.2 mA, not 59.7 mA")
def test_behind_a_diode_the_box_drives_less() -> None:
    """The r.m.s. value of the half waves counts, by the angle at which they are cut; smooth current needs its own."""
    word = "trip time with pulsating residual current"
    stated = {"resistor": "3.87 kΩ ± 0.5 %", "voltage": "231 V ± 1 V"}
    whole, cut = (
        trip_operations(evidence(timed(word, "24 ms", cut=cut, **stated)), ResidualKind.PULSATING)
        for cut in ("0°", "90°")
    )

    assert whole[0].current_ma.value == pytest.approx(231 / 3.87 / math.sqrt(2.0), abs=0.01)
    assert cut[0].current_ma.value == pytest.approx(231 / 3.87 / 2.0, abs=0.01)
    assert whole[0].current_ma.u is not None
    smooth = replace(timed(SMOOTH, "24 ms", resistor="38 kΩ ± 1 %"), supply_voltage="230 V ± 1 V")
    assert any("residual current is missing" in problem.what for problem in run_checks(evidence(smooth)).problems)


@pytest.mark.hand("no action at 6 mA, 60 mA, 200 mA, both ways")
def test_deaf_to_smooth_current_is_absent_by_a_test_that_provoked_it() -> None:
    """All three rows beyond, and each shows absence; the sentence says what was waited for."""
    entries = [
        one
        for current in ("6.2 mA ± 0.1 mA", "62 mA ± 1 mA", "205 mA ± 3 mA")
        for one in both(SMOOTH, "> 12 s ± 0.1 s", current)
    ]
    told = found(evidence(*entries))

    for row in ("threshold", "raised", "high"):
        one = told[f"residual-smooth.{row}"]
        assert (one.outcome, one.absence, one.answer, one.quantity) == (Outcome.BEYOND, True, "did not act", None)
    said = told["residual-smooth.threshold"].statement
    assert "in 6 of 6 operations it did not act within 12 s: beyond" in said
    assert "none of" not in said
    once = timed(SMOOTH, "> 12 s ± 0.1 s", current="6.2 mA ± 0.1 mA", polarity="positive")
    single = found(evidence(once))["residual-smooth.threshold"].statement
    assert "it did not act within 12 s: " in single
    assert "operations" not in single.split(":")[0]


@pytest.mark.hand("by its claims, else by its kind; a wall unit that claims nothing has no duty")
def test_a_specimen_is_judged_by_what_it_says_and_is() -> None:
    """In-cable units are of type A with 6 mA at least; others by their claims."""
    lead, wall = evidence(), evidence(unit=WALL)
    claimed = evidence(unit=WALL, claims=replace(CLAIMS, residual_current="30 mA", residual_type="type B"))
    plain = evidence(claims=replace(CLAIMS, residual_type="AC"))
    american = evidence(edition=Edition.SAE)

    assert (device_of(lead).device.name, device_of(lead).duties == EVERY) == ("30 mA type A, 6 mA d.c.", True)
    assert (device_of(wall).device.name, device_of(wall).duties == EVERY) == ("30 mA type A, 6 mA d.c.", False)
    assert (device_of(claimed).device.name, device_of(claimed).duties == EVERY) == ("30 mA type B", True)
    assert device_of(plain).device.name == "30 mA type A, 6 mA d.c."
    wide = evidence(claims=replace(CLAIMS, residual_type="B"))
    assert device_of(wide).device.name == "30 mA type B, 6 mA d.c."
    assert "must act at 6 mA of smooth direct current" in device_of(wide).remark
    assert "claims type AC" in device_of(plain).remark
    assert device_of(american).device.name == "CCID20"
    assert device_of(wall).duties == frozenset()
    assert device_of(lead).device.in_cable
    assert not device_of(wall).device.in_cable


@pytest.mark.published("scope of IEC 62752:2024: at most 30 mA (read in DIN's overview)")
def test_an_in_cable_unit_that_claims_more_than_30_ma_is_judged_by_30() -> None:
    """Dead at 31.5 mA it is late, whatever it claims, and the remark says so; a wall unit is judged by its claim."""
    wide, strict = (replace(CLAIMS, residual_current=current, residual_type="A") for current in ("100 mA", "10 mA"))
    late = both(AC, "> 2 s ± 0.01 s", "31.5 mA ± 1.5 mA")
    told = found(evidence(*late, claims=wide))["residual-alternating.threshold"]

    assert (told.outcome, told.functions) == (Outcome.BEYOND, ("residual-current",))
    assert any("It claims 100 mA; an in-cable unit has at most 30 mA" in one for one in told.remarks)
    assert device_of(evidence(claims=wide)).device.rated_ma == 30.0
    assert device_of(evidence(claims=strict)).device.rated_ma == 10.0
    assert device_of(evidence(claims=strict)).remark == ""
    assert device_of(evidence(claims=wide, unit=WALL)).device.rated_ma == 100.0
    assert "residual-alternating.threshold" not in found(evidence(*late, claims=wide, unit=WALL))


@pytest.mark.hand("a wall unit that claims 6 mA d.c. alone, behind a device of the installation")
def test_a_wall_unit_owes_only_what_it_claims() -> None:
    """No action on alternating current breaks no function of it; none on smooth current does."""
    claims = replace(CLAIMS, residual_direct="6 mA")
    entries = (*both(AC, "> 2 s ± 0.01 s", "31.5 mA ± 1.5 mA"), *both(SMOOTH, "> 12 s ± 0.1 s", "6.2 mA ± 0.1 mA"))
    told = found(evidence(*entries, unit=WALL, claims=claims))
    left, owed = told["residual-alternating.threshold"], told["residual-smooth.threshold"]

    assert (left.outcome, left.functions, left.duty) == (Outcome.BEYOND, (), False)
    assert any("installation must have the device" in remark for remark in left.remarks)
    assert (owed.outcome, owed.functions, owed.duty) == (Outcome.BEYOND, ("residual-smooth",), True)


def test_a_claim_that_cannot_be_read_is_told_once() -> None:
    """It names the claim; the check counts as not tested."""
    results = run_checks(
        evidence(*both(AC, "24 ms", "31.5 mA ± 1.5 mA"), claims=Claims(residual_type="super", plug="CEE 7/4"))
    )

    assert any("claims.residual_type = 'super'" in problem.what for problem in results.problems)
    assert any(one.check == "residual-alternating" for one in results.not_tested)


@pytest.mark.hand("a rise has a rate above zero, and its result depends on it")
@pytest.mark.parametrize(("rate", "said"), [({}, "state 'rate'"), ({"rate": "0 mA/s"}, "above zero")])
def test_a_rise_without_its_rate_is_refused(rate: dict[str, str], said: str) -> None:
    """The message says what to state."""
    risen = entry(RISE, readings=("4.8 mA ± 0.1 mA",), conditions={"polarity": "positive", **rate})

    assert any(said in problem.what for problem in run_checks(evidence(risen)).problems)


@pytest.mark.hand("rate and dwell stand beside the result")
def test_rate_and_dwell_are_kept() -> None:
    """In the sentence and in the remarks."""
    risen = [
        entry(
            RISE,
            name=way,
            readings=("4.8 mA ± 0.1 mA",) * 3,
            conditions={"polarity": way, "rate": "0.1 mA/s", "dwell": "5 s"},
        )
        for way in ("positive", "negative")
    ]
    one = found(evidence(*risen))["residual-smooth.rise"]

    assert one.outcome is Outcome.WITHIN
    assert "0.10 mA/s, each step held for 5.0 s" in one.statement
    assert any("0.10 mA/s" in remark for remark in one.remarks)


@pytest.mark.hand("a capture counts like times by hand")
def test_operations_of_a_capture_are_judged_with_those_by_hand() -> None:
    """Three by hand from one phase, three captured from the other: six in all."""
    filed = entry("residual current capture", name="c1", kind=EntryKind.EVIDENCE, conditions={"sensor": "10 Ω"})
    operations = tuple(
        TripOperation(
            kind=ResidualKind.ALTERNATING,
            current_ma=parse_quantity("31 mA ± 0.5 mA", "mA"),
            time_s=parse_quantity("30 ms ± 1 ms", "s"),
            way="180°",
            entry="c1",
        )
        for _ in range(3)
    )
    hand, _ = both(AC, "24 ms", "31.5 mA ± 1.5 mA")
    bench = replace(
        evidence(hand, filed),
        residuals=(
            ResidualEvidence(entry=filed, reading=ResidualReading(pulses=(), operations=operations, duration_s=3.0)),
        ),
    )
    one = found(bench)["residual-alternating.threshold"]

    assert (one.outcome, one.worst_of) == (Outcome.WITHIN, 6)
    assert set(one.evidence) == {hand.id, "c1"}
    assert found(bench.without("c1"))["residual-alternating.threshold"].outcome is Outcome.UNDECIDED


@pytest.mark.hand("on a bench supply the contacts of the closed unit are not seen")
def test_what_was_seen_on_a_bench_supply_does_not_hold_on_the_mains() -> None:
    """It is told with its supply, and transfers to nothing."""
    entries = [replace(one, supply_voltage="24 V") for one in both(AC, "24 ms", "31.5 mA ± 1.5 mA")]
    one = found(evidence(*entries))["residual-alternating.threshold"]

    assert not one.transfers


@pytest.mark.hand("the arrangement of the bench in words")
@pytest.mark.parametrize("name", ["residual-alternating", "residual-pulsating", "residual-smooth"])
def test_the_procedure_guards_who_follows_it(name: str) -> None:
    """Nothing of class I, the box ahead of the specimen or the source over the neutral, and hold points."""
    told = method(find_check(name), load_book())
    cautions = " ".join(told.cautions)

    assert "class I" in cautions
    assert ("never over the line" in cautions.lower()) == (name == "residual-smooth")
    assert ("ahead of the specimen" in cautions) or name == "residual-smooth"
    assert told.level == "live"
    assert told.repeats == 5
    assert told.hold_points
    assert any("switch off" in value.lower() for value in told.stop_values)


@pytest.mark.hand("230 V over 7.67 kΩ is 30 mA; a tenth more current and twice the power: 15 W")
def test_the_box_is_reckoned_in_the_steps() -> None:
    """Resistance and power of every current stand in the procedure."""
    steps = " ".join(find_check("residual-alternating").bench.steps)

    assert "30 mA: 6970 Ω to 7667 Ω, rated for 15 W" in steps
    assert "250 mA" in steps


def test_nothing_recorded_leaves_the_checks_not_tested() -> None:
    """Each says what would serve."""
    results = run_checks(evidence(unit=PORTABLE))

    told = {one.check: one for one in results.not_tested}
    assert "trip time with smooth residual current" in told["residual-smooth"].needs[0]
