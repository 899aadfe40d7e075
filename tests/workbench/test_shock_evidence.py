"""What a person would get from a specimen: which findings give rise to a case, its current, its end and its zone."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

import pytest

from coldpin.checks import BenchEvidence, run_checks
from coldpin.conclusion import judge_functions
from coldpin.protection.body_telling import body_current
from coldpin.protection.earth_continuity import fault_touch_voltage
from coldpin.quantity import Quantity
from coldpin.records.case import Claims
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.shock import ShockCase, ShockEvidence
from coldpin.standards.book import load_book
from coldpin.workbench.shock_evidence import TRIPPED, shock_evidence
from tests.checks.bench import PORTABLE, entry, evidence

EMPTY = evidence()


def found(name: str, outcome: Outcome = Outcome.BEYOND, **more: object) -> Finding:
    """A finding by hand."""
    bare = Finding(
        id=name,
        check=name.partition(".")[0],
        title=name,
        statement="It is so.",
        outcome=outcome,
        reach=Reach.SPECIMEN,
        functions=(),
        evidence=(f"entry of {name}",),
    )
    return replace(bare, **more)  # type: ignore[arg-type]  # fields by name


def cases_of(findings: Iterable[Finding], bench: BenchEvidence = EMPTY, *, shown: bool = False) -> dict[str, ShockCase]:
    """The cases by id, with the residual current protection shown or not."""
    function = ProtectiveFunction(
        id="residual-current",
        title="",
        question="",
        state=FunctionState.SHOWN if shown else FunctionState.NOT_SHOWN,
        reach=None,
        findings=(),
        because="",
    )
    return {case.id: case for case in shock_evidence(bench, findings, (function,)).cases}


@cache
def of_a_bare_lead() -> ShockEvidence:
    """Live pins, a thin wire that reaches them, an earth of 80 mΩ beside a line of 40 mΩ, from entries."""
    entries: tuple[Entry, ...] = (
        entry(
            "output with nothing connected",
            name="o1",
            readings=("230.9 V",),
            instrument="meter",
            conditions={"supply": "mains", "input": "low impedance"},
        ),
        entry(
            "access by a probe",
            name="a1",
            answer="yes",
            conditions={"probe": "XXD wire", "at": "vehicle connector", "force": "1 N"},
        ),
        entry(
            "earth resistance",
            name="e1",
            readings=("80 mΩ",),
            instrument="milliohm",
            conditions={"test current": "10 A", "length": "5 m"},
        ),
        entry(
            "conductor resistance four-wire",
            name="c1",
            readings=("40 mΩ",),
            instrument="milliohm",
            conditions={"conductor": "L", "length": "5 m", "taps": "pins", "temperature": "20 °C"},
        ),
    )
    bench = evidence(*entries, claims=Claims(cable_print="3G2.5"))
    findings = run_checks(bench).findings
    return shock_evidence(bench, findings, judge_functions(PORTABLE, findings))


def test_a_bare_lead_from_its_entries() -> None:
    """Each case rests on its findings and entries, and the curves are there to draw them."""
    told = of_a_bare_lead()
    by_id = {case.id: case for case in told.cases}

    assert told
    assert set(by_id) == {"comparison", "live-pin", "live-access.wire", "earthed-fault"}
    live = by_id["live-pin"]
    assert live.body is not None
    assert live.body.voltage_v == pytest.approx(230.9)
    assert (live.time_s, live.zone.value, live.rests) == (None, "AC-4.3", "inferred")
    assert live.findings == ("live-pins.uncoupled",)
    assert live.entries == ("o1",)
    assert by_id["live-access.wire"].entries == ("a1", "o1")
    assert [curve.name for curve in told.curves] == ["a", "b", "c1", "c2", "c3"]
    assert [curve.standing.value for curve in told.curves] == ["read", "read", "memory", "read", "memory"]
    assert any(limit.id.startswith("body.heart-factor") for limit in told.limits)


@pytest.mark.hand("230 V * 80 / (80 + 40) = 153 V; nothing shows that a device acts")
def test_a_fault_in_an_earthed_car() -> None:
    """The body rises by the share of the earth conductor."""
    case = next(case for case in of_a_bare_lead().cases if case.id == "earthed-fault")

    assert case.body is not None
    assert case.body.voltage_v == pytest.approx(153.3, abs=1.5)
    assert case.body.voltage_v == pytest.approx(fault_touch_voltage(voltage=230.0, line=0.04, earth=0.08), rel=0.01)
    assert case.time_s is None


def test_nothing_found_leaves_the_comparison_only() -> None:
    """And the comparison alone is nothing to show of a specimen."""
    told = shock_evidence(EMPTY, (), ())

    assert [case.id for case in told.cases] == ["comparison"]
    assert told.cases[0].comparison
    assert not told


@pytest.mark.parametrize(
    "finding",
    [
        found("live-pins.uncoupled", Outcome.WITHIN),
        found("live-pins.uncoupled", transfers=False),
        found("live-access.finger", decisive=False),
        found("pilot-distance.clearance", Outcome.UNDECIDED, functions=("pilot-separation",)),
        found("touch-current.metal", Outcome.WITHIN),
    ],
)
def test_what_gives_no_case(finding: Finding) -> None:
    """Pins that are dead or were live elsewhere, a reach that decides nothing, a barrier in doubt, no number."""
    assert set(cases_of([finding])) == {"comparison"}


def test_an_opened_barrier_is_reckoned_through_the_source_resistor_and_past_it() -> None:
    """Only as something that would be, if the mains got onto the pilot."""
    cases = cases_of([found("pilot-distance.clearance", functions=("pilot-separation",))])

    assert set(cases) == {"comparison", "pilot-through", "pilot-past", "pilot-body"}
    assert cases["pilot-body"].current_ma < cases["pilot-through"].current_ma < cases["pilot-past"].current_ma
    assert all(case.title.startswith("If ") for name, case in cases.items() if name != "comparison")


@pytest.mark.parametrize(
    ("milli", "zone"), [(0.3, "AC-1"), (0.7, "AC-2"), (6.0, "AC-3"), (45.0, "AC-4.1"), (60.0, "AC-4.2")]
)
def test_a_touch_current_that_was_read_is_placed_at_its_upper_end(milli: float, zone: str) -> None:
    """As if it flowed for ever, for nobody's impedance is in it."""
    read = Quantity(milli, 0.01 * milli, "mA")
    case = cases_of([found("touch-current.metal", quantity=read)])["touch-current.metal"]

    assert (case.zone.value, case.rests, case.median_ma, case.body) == (zone, "measured", None, None)
    assert case.current_ma == read.high


def test_one_that_was_reckoned_gives_way_to_one_that_was_read() -> None:
    """The capacitors are told only where nobody read."""
    reckoned = found("touch-current.reckoned", quantity=Quantity(0.8, 0.1, "mA"), reckoned=True)
    read = found("touch-current.metal", quantity=Quantity(0.3, 0.1, "mA"))

    assert cases_of([reckoned])["touch-current.reckoned"].rests == "inferred"
    assert "touch-current.reckoned" not in cases_of([reckoned, read])


def tripped(*seconds: float, outcome: Outcome = Outcome.WITHIN) -> list[Finding]:
    """Findings of the three currents at which the unit's own protection was timed."""
    return [
        found(name, outcome, quantity=Quantity(time, 0.001, "s")) for name, time in zip(TRIPPED, seconds, strict=False)
    ]


def test_the_units_own_protection_counts_where_it_is_shown() -> None:
    """By its slowest time, at the upper end; it lowers the zone of a live wire behind it."""
    cases = cases_of(tripped(0.030, 0.026, 0.022), shown=True)
    case = cases["own-device"]

    assert case.time_s == pytest.approx(0.032, abs=0.0005)
    assert case.zone.value == "AC-3"
    assert case.zone is body_current(load_book(), voltage=230.0, time=case.time_s).zone
    assert "Between line and neutral" in case.remarks[0]


@pytest.mark.parametrize(
    ("findings", "shown"),
    [
        (tripped(0.030, 0.026, 0.022), False),
        (tripped(0.030, 0.026), True),
        (tripped(0.030, 0.026, 0.022, outcome=Outcome.UNDECIDED), True),
        ([found(name, Outcome.WITHIN) for name in TRIPPED], True),
    ],
)
def test_it_does_not_count_otherwise(findings: list[Finding], shown: bool) -> None:
    """Not shown, one current not tried, not decided, no time: unlimited."""
    assert "own-device" not in cases_of(findings, shown=shown)
