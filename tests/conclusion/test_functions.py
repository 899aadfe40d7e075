"""Protective functions: the worst finding decides, absence is shown and not assumed, what is missing stays open."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.checks import BenchEvidence, run_checks
from coldpin.conclusion import PLANS, FunctionPlan, functions, judge_functions
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.showing import BOUNDARIES
from coldpin.simulator import VirtualUnit
from tests.checks.bench import CLAIMS, PORTABLE, WALL, capture_of, entry, evidence, pairs, timed
from tests.conclusion.findings import ASKED, MODE_1, found, many_findings, one_finding

BETTER_FIRST = (FunctionState.SHOWN, FunctionState.NOT_SHOWN, FunctionState.FAULTY, FunctionState.SHOWN_ABSENT)


def judge(*findings: Finding) -> dict[str, ProtectiveFunction]:
    return {function.id: function for function in judge_functions(PORTABLE, findings)}


def asked_of(name: str, *but: str) -> list[Finding]:
    """Every finding that is asked of a function, within; those named left out."""
    (plan,) = [plan for plan in PLANS if plan.id == name]
    return [found(id_, name) for id_ in plan.asks if id_ not in but]


def parent_of(plan: FunctionPlan) -> list[Finding]:
    """Every finding that is asked of a function's parent, within; none where it has no parent."""
    return asked_of(plan.parent) if plan.parent else []


@pytest.mark.hand("text")
def test_a_function_is_not_shown_while_its_parent_is_not() -> None:
    """What hangs on another function stays open with it, and says on which."""
    judged = judge(*asked_of("vehicle-recognition"))["vehicle-recognition"]

    assert judged.state is FunctionState.NOT_SHOWN
    assert "hangs on 'Supply switched only for a vehicle'" in judged.because


@pytest.mark.hand("the plan of each function")
@pytest.mark.parametrize("plan", [plan for plan in PLANS if not plan.awaits], ids=lambda plan: plan.id)
def test_a_function_is_shown_only_when_everything_asked_is_within(plan: FunctionPlan) -> None:
    """All asked findings within: shown; any one of them missing or undecided: not shown, with the missing one named."""
    whole = asked_of(plan.id)
    under = [replace(one, functions=(plan.parent, plan.id)) if one.id in plan.asks else one for one in parent_of(plan)]
    beside = [one for one in under if one.id not in plan.asks]

    assert judge(*whole, *under)[plan.id].state is FunctionState.SHOWN
    for at, finding in enumerate(whole):
        others = [*whole[:at], *whole[at + 1 :], *beside]
        lacking = judge(*others)[plan.id]
        assert lacking.state is FunctionState.NOT_SHOWN
        assert lacking.missing
        undecided = judge(*others, found(finding.id, plan.id, Outcome.UNDECIDED, "Too close to say."))[plan.id]
        assert (undecided.state, undecided.because) == (FunctionState.NOT_SHOWN, "Too close to say.")


@pytest.mark.hand("the plan of each function")
@pytest.mark.parametrize("plan", [PLANS[0]], ids=lambda plan: plan.id)
def test_a_function_that_awaits_a_test_no_check_makes_stays_open(
    plan: FunctionPlan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing that can be recorded today shows it; what it waits for is said."""
    waiting = replace(plan, awaits=("a test that no check makes",))
    monkeypatch.setattr(functions, "PLANS", (waiting,))
    judged = judge(*asked_of(plan.id))[plan.id]

    assert judged.state is FunctionState.NOT_SHOWN
    assert set(waiting.awaits) <= set(judged.missing)


@pytest.mark.hand("a table row and a measurement against one function")
@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.id)
def test_what_was_measured_leads_over_what_was_reckoned(plan: FunctionPlan) -> None:
    """Of two reasons of one reach the measured one is given, whichever stands first; the reach still goes before."""
    beyond = Outcome.BEYOND
    table = found("table.row", plan.id, beyond, "A table allows less.", reckoned=True)
    read = found("reading.value", plan.id, beyond, "More was read.")
    built = found("board.trace", plan.id, beyond, "So it is built.", reach="by construction", reckoned=True)

    assert judge(table, read)[plan.id].because == judge(read, table)[plan.id].because == "More was read."
    assert judge(table)[plan.id].because == "A table allows less."
    assert judge(read, built)[plan.id].because == "So it is built."


@pytest.mark.hand("text")
def test_what_is_missing_is_said_in_words_of_the_bench() -> None:
    """The missing reading is named as a person records it, not by the id of a finding."""
    judged = judge(*asked_of("protective-earth", "earth-resistance.value"))["protective-earth"]

    assert judged.missing == ("the earth resistance",)
    assert judged.because == "Nothing was found against it, but not everything was tested."
    assert judge()["protective-earth"].because == "Not tested."


def test_a_check_that_does_not_apply_is_set_aside() -> None:
    """Without a coding in such a unit, the offer is shown by the other findings."""
    findings = asked_of("current-offer", "coding.offer")
    aside = found("coding.not-applicable", "current-offer", Outcome.NOT_APPLICABLE)

    assert judge(*findings)["current-offer"].state is FunctionState.NOT_SHOWN
    judged = judge(*findings, aside)["current-offer"]
    assert judged.state is FunctionState.SHOWN
    assert aside.id not in judged.findings


def test_nothing_is_shown_by_checks_that_do_not_apply_alone() -> None:
    """Where every check is set aside there is no ground for calling a function shown."""
    aside = found("pilot-diode.not-applicable", "vehicle-recognition", Outcome.NOT_APPLICABLE)

    assert judge(aside)["vehicle-recognition"].state is FunctionState.NOT_SHOWN


def test_a_finding_beyond_makes_a_function_faulty_and_gives_the_reason() -> None:
    """The finding beyond decides over all those within, whatever is missing."""
    bad = found("pilot-levels.low", "pilot-signal", Outcome.BEYOND, "The low level is weak.")
    judged = judge(*asked_of("pilot-signal", bad.id), bad)["pilot-signal"]

    assert (judged.state, judged.because, judged.reach) == (
        FunctionState.FAULTY,
        "The low level is weak.",
        Reach.SPECIMEN,
    )
    assert judge(bad)["pilot-signal"].state is FunctionState.FAULTY


@pytest.mark.parametrize("outcome", [Outcome.WITHIN, Outcome.BEYOND])
def test_what_was_found_on_another_supply_neither_shows_a_function_nor_takes_it_away(outcome: Outcome) -> None:
    """The closed unit is still to be asked, and that is said."""
    elsewhere = found("pilot-levels.low", "pilot-signal", outcome, transfers=False, supply="board on bench supply")
    judged = judge(*asked_of("pilot-signal", elsewhere.id), elsewhere)["pilot-signal"]

    assert judged.state is FunctionState.NOT_SHOWN
    assert judged.missing == ("a capture with the oscillator running, on the closed unit",)
    assert elsewhere.id in judged.findings


def test_only_a_finding_of_absence_shows_that_a_function_is_absent() -> None:
    """Beyond without absence is a fault; with it the function is not there, by construction where all grounds are."""
    plain = found("live-pins.uncoupled", "supply-switching", Outcome.BEYOND)
    built = found(
        "wiring.switched",
        "supply-switching",
        Outcome.BEYOND,
        "Straight through.",
        absence=True,
        reach="by construction",
    )

    assert judge(plain)["supply-switching"].state is FunctionState.FAULTY
    absent = judge(plain, built)["supply-switching"]
    assert (absent.state, absent.because, absent.reach) == (
        FunctionState.SHOWN_ABSENT,
        "Straight through.",
        Reach.CONSTRUCTION,
    )


def test_one_ground_by_construction_is_enough() -> None:
    """A second finding of absence, seen on the specimen alone, takes nothing from what the construction shows."""
    built = found(
        "wiring.switched",
        "supply-switching",
        Outcome.BEYOND,
        "Straight through.",
        absence=True,
        reach="by construction",
    )
    seen = found("live-pins.state-b", "supply-switching", Outcome.BEYOND, absence=True)

    for judged in (judge(built, seen), judge(seen, built)):
        assert judged["supply-switching"].reach is Reach.CONSTRUCTION
        assert judged["supply-switching"].because == "Straight through."
        assert judged["vehicle-recognition"].state is FunctionState.SHOWN_ABSENT


def test_shown_reaches_as_far_as_the_narrowest_of_its_grounds() -> None:
    """Shown takes every ground: one that was seen on the specimen keeps the whole to the specimen."""
    built = [replace(finding, reach=Reach.CONSTRUCTION) for finding in asked_of("wiring")]

    assert judge(*built)["wiring"].reach is Reach.CONSTRUCTION
    assert judge(built[0], *asked_of("wiring")[1:])["wiring"].reach is Reach.SPECIMEN


def test_a_parent_absent_on_this_specimen_alone_leaves_its_children_open() -> None:
    """A welded contact says nothing of what the unit would do with a sound one."""
    judged = judge(found("live-pins.uncoupled", "supply-switching", Outcome.BEYOND, absence=True))

    assert judged["supply-switching"].state is FunctionState.SHOWN_ABSENT
    assert judged["vehicle-recognition"].state is FunctionState.NOT_SHOWN


def test_the_child_of_an_absent_parent_is_absent_too() -> None:
    """No switching, so nothing that switches off for residual current, lost earth or a missing diode; reach follows."""
    built = found("wiring.switched", "supply-switching", Outcome.BEYOND, absence=True, reach="by construction")
    judged = judge(built)

    for name in ("vehicle-recognition", "residual-current", "earth-monitoring"):
        assert (judged[name].state, judged[name].reach) == (FunctionState.SHOWN_ABSENT, Reach.CONSTRUCTION)
        assert judged[name].because == (
            "It cannot be there without its parent: 'Supply switched only for a vehicle' is absent."
        )
    assert judged["protective-earth"].state is FunctionState.NOT_SHOWN


def test_a_faulty_parent_does_not_make_its_children_absent() -> None:
    """Only absence is handed down."""
    judged = judge(found("live-pins.state-b", "supply-switching", Outcome.BEYOND))

    assert judged["supply-switching"].state is FunctionState.FAULTY
    assert judged["vehicle-recognition"].state is FunctionState.NOT_SHOWN


def test_mode_1_has_no_function_of_the_pilot() -> None:
    """A plain cable is not blamed for what its class does not have."""
    names = {function.id for function in judge_functions(MODE_1, ())}

    assert names == {plan.id for plan in PLANS if not plan.with_pilot}
    assert {function.id for function in judge_functions(WALL, ())} == {plan.id for plan in PLANS}


def test_every_finding_that_is_asked_for_is_made_by_a_check() -> None:
    """A plan that asks for an id which no check gives could never be shown."""
    made = {finding.id for finding in run_checks(whole_bench()).findings}

    assert set(ASKED) - made == set()


@given(findings=many_findings(), more=one_finding(outcomes=(Outcome.BEYOND,)))
def test_another_finding_beyond_never_improves_a_state(findings: list[Finding], more: Finding) -> None:
    """Worse evidence never makes anything better."""
    before, after = judge(*findings), judge(*findings, more)

    for name, function in before.items():
        assert BETTER_FIRST.index(after[name].state) >= BETTER_FIRST.index(function.state)


@given(findings=many_findings(), drop=st.data())
def test_less_evidence_never_makes_a_function_shown(findings: list[Finding], drop: st.DataObject) -> None:
    """Taking a finding that was asked for away shows no function that was not shown with it."""
    if not findings:
        return
    at = drop.draw(st.integers(0, len(findings) - 1))
    before, after = judge(*findings), judge(*findings[:at], *findings[at + 1 :])

    for name, function in after.items():
        if function.state is FunctionState.SHOWN:
            assert before[name].state is FunctionState.SHOWN


@given(findings=many_findings())
def test_a_shown_function_rests_on_findings_within_and_nothing_is_missing(findings: list[Finding]) -> None:
    """Shown: findings behind it, all within, nothing missing. Faulty: one of those behind it is beyond."""
    by_id = {finding.id: finding for finding in findings}
    judged = judge(*findings)
    for function in judged.values():
        outcomes = {by_id[name].outcome for name in function.findings}
        if function.state is FunctionState.SHOWN:
            assert outcomes == {Outcome.WITHIN}
            assert function.missing == ()
        if function.state is FunctionState.FAULTY:
            assert Outcome.BEYOND in outcomes


def _at(boundary: str, name: str) -> Entry:
    live = boundary.startswith("C")
    reading = "229.6 V" if live else "1.3 V"
    stated = {"boundary": boundary} | ({} if live else {"oscillator": "running"})
    return entry(
        "output at a boundary resistance", name=name, readings=(reading,), instrument="meter", conditions=stated
    )


CORES = {"line": "L", "neutral": "N", "earth core": "PE"}


def _core(conductor: str) -> Entry:
    return entry(
        "conductor resistance four-wire",
        name=f"core {conductor}",
        readings=("37.0 mΩ ± 0.2 mΩ",),
        conditions={"conductor": conductor, "length": "5.00 m", "temperature": "20 °C ± 1 °C", "test current": "1 A"},
    )


def _gap(name: str, here: str, there: str, **conditions: str) -> Entry:
    """A gap over flat board that keeps every distance asked for, at both degrees of pollution."""
    said = {"from": here, "to": there, "over": "flat board", "searched": "under the parts", "force": "30 N"}
    return entry("calliper gap", name=name, readings=("8.40 mm ± 0.05 mm",), conditions={**said, **conditions})


def _touch(at: str) -> Entry:
    stated = {"at": at, "earth": "open", "polarity": "both ways", "network": "2 kΩ", "voltage": "231 V ± 1 V"}
    return entry("touch current", name=f"touch {at}", readings=("40 µA ± 2 µA",), conditions=stated)


RESIDUAL_CURRENTS = {
    **{("alternating", row): current for row, current in (("held", 14.5), ("threshold", 31.0), ("raised", 62.0))},
    ("alternating", "high"): 155.0,
    **{("pulsating", row): current for row, current in (("threshold", 43.0), ("raised", 86.0), ("high", 215.0))},
    **{("smooth", row): current for row, current in (("held", 2.9), ("threshold", 6.2), ("raised", 62.0))},
    ("smooth", "high"): 205.0,
}
"""Test currents of each row. [mA]"""


def _tripped(kind: str, row: str) -> dict[str, Entry]:
    """Three operations each way, in time; at the current that must not trip, none."""
    took = ("> 12 s ± 0.1 s",) if row == "held" else ("24 ms ± 1 ms",)
    ways = ("0°", "180°") if kind == "alternating" else ("positive", "negative")
    stated = {"current": f"{RESIDUAL_CURRENTS[kind, row]:g} mA ± 0.1 mA"}
    name = "start" if kind == "alternating" else "polarity"
    return {
        f"{kind} {row} {way}": entry(
            f"trip time with {kind} residual current",
            name=f"{kind}-{row}-{way}",
            readings=took * 3,
            conditions=stated | {name: way},
        )
        for way in ways
    }


def whole_bench(without: str = "") -> BenchEvidence:
    """One entry of every kind that a portable unit needs; one kind left out."""
    joined = ("PE > PE", "L > L1", "N > N")
    entries: dict[str, Entry] = {
        "map": entry("wiring map", name="e1", kind=EntryKind.OBSERVATION, pairs=pairs()),
        "closed": entry(
            "wiring map",
            name="e2",
            kind=EntryKind.OBSERVATION,
            pairs=pairs(joined),
            conditions={"contacts": "held closed"},
        ),
        "earth": entry(
            "earth resistance",
            name="e3",
            readings=("60 mΩ",),
            instrument="milliohm",
            conditions={"test current": "10 A", "length": "5 m"},
        ),
        **{
            f"finger {at}": entry(
                "access by a probe",
                name=f"finger-{at}",
                answer="no",
                conditions={"probe": "XXB finger", "at": at, "force": "10 N"},
            )
            for at in ("vehicle connector", "housing", "plug partly drawn")
        },
        "wire": entry(
            "access by a probe",
            name="a2",
            answer="yes",
            conditions={"probe": "XXD wire", "at": "vehicle connector", "live": "only while charging"},
        ),
        "insulation": entry(
            "mains to pilot insulation",
            name="e4",
            readings=("350 MΩ",),
            instrument="tester",
            conditions={"test voltage": "500 V"},
        ),
        "housing": entry(
            "mains to housing insulation",
            name="i1",
            readings=("350 MΩ",),
            instrument="tester",
            conditions={"test voltage": "500 V"},
        ),
        **{f"touch {at}": _touch(at) for at in ("earth pin", "housing")},
        "drawn plug": entry(
            "voltage on the plug after withdrawal",
            name="i4",
            readings=("12 V ± 1 V",) * 10,
            conditions={
                "after": "1.00 s ± 0.02 s",
                "probe": "100 MΩ",
                "capacitance": "470 nF ± 5 %",
                "voltage": "230.0 V ± 1.5 V",
            },
        ),
        "nothing": entry("output with nothing connected", name="e5", readings=("1.2 V",), instrument="meter"),
        "state b": entry("output in state B", name="e6", readings=("1.3 V",), instrument="meter"),
        "state c": entry("output in state C", name="e9", readings=("229.6 V",), instrument="meter"),
        "diode": entry("output with the diode shorted", name="e7", readings=("1.3 V",), instrument="meter"),
        "coding": entry("coding resistance", name="e8", readings=("680 Ω",), instrument="meter"),
        "opening": timed("opening time after C to B", *("62 ms",) * 5, name="t1"),
        "unplugged": timed("opening time after unplugging", *("62 ms",) * 5, name="t2"),
        "short": timed("opening time after pilot short", *("1.2 s",) * 5, name="t3"),
        "earth lost": timed("opening time after loss of earth", *("62 ms",) * 5, name="t4"),
        "diode lost": timed("opening time after loss of the diode", *("0.3 s",) * 5, name="t5"),
        "withdrawal": timed("opening time after withdrawal of the offer", *("7 s",) * 5, name="t6"),
        "returning": entry("output when the supply returns", name="e10", readings=("1.3 V",), instrument="meter"),
        "contact": entry("refusal with a contact held closed", name="e11", answer="yes"),
        "no earth": entry("refusal with no earth in the supply", name="e12", answer="yes"),
        "stop": entry("stop by user", name="e13", answer="yes", conditions={"way": "car", "lock": "released"}),
        "release": entry("current at release", name="e14", readings=("0.02 A ± 0.02 A",)),
        "loop": entry("loop impedance of the supply", name="e15", readings=("0.60 Ω ± 0.03 Ω",)),
        "neutral loop": entry(
            "loop impedance of the supply",
            name="e16",
            readings=("0.55 Ω ± 0.03 Ω",),
            conditions={"between": "line and neutral"},
        ),
        "device": entry(
            "protective device before the socket",
            name="e17",
            readings=("16 A",),
            conditions={"kind": "B", "short-circuit capacity": "6000 A", "energy class": "3"},
        ),
    }
    entries |= {
        "to pilot": _gap("g1", "mains L", "pilot"),
        "to low voltage": _gap("g2", "mains L", "low-voltage GND"),
        "relay": _gap("g3", "mains L", "low-voltage 12V", beside="relay"),
        "poles": _gap("g4", "mains L", "mains N"),
        "to earth": _gap("g5", "mains L", "earth"),
        "to seam": _gap("g6", "mains L", "surface"),
        "pins": entry("unused pins at the barrier", name="pins", answer="no"),
    }
    for part, warm in (("sheath", "30.1 °C ± 0.5 °C"), ("plug", "27.4 °C ± 0.5 °C")):
        entries[part] = entry(
            "end temperature",
            name=f"warm-{part}",
            readings=(warm,),
            conditions={"part": part, "current": "16.0 A ± 0.1 A", "air": "21.0 °C ± 0.5 °C", "change": "0.4 K/h"},
        )
    for kind, row in RESIDUAL_CURRENTS:
        entries |= _tripped(kind, row)
    entries |= {edge: _at(edge, f"b{at}") for at, edge in enumerate(BOUNDARIES)}
    entries |= {name: _core(conductor) for name, conductor in CORES.items()}
    entries["mass"] = entry(
        "stripped core mass",
        name="mass",
        readings=("11.10 g ± 0.02 g",),
        conditions={"conductor": "L", "length": "500 mm ± 0.5 mm"},
    )
    taken = {
        "capture": capture_of(VirtualUnit(duty=26.67)),
        "setting": capture_of(VirtualUnit(duty=10.0), name="c2", setting="6 A"),
        "kept": capture_of(VirtualUnit(duty=10.0), name="c3", setting="6 A", event="supply interruption"),
    }
    captures = [capture for name, capture in taken.items() if name != without]
    kept = [one for name, one in entries.items() if name != without]
    return evidence(*kept, captures=captures, claims=replace(CLAIMS, cross_section="2.5 mm²"))


WHOLE = (
    *("finger vehicle connector", "finger housing", "finger plug partly drawn", "wire"),
    *("map", "closed", "earth", "insulation", "nothing", "state b", "state c", "diode", "coding", "capture"),
    *("opening", "unplugged", "short", "earth lost", "diode lost", "withdrawal", "returning", "contact", "no earth"),
    *("stop", "release", "loop", "device", "to pilot", "relay", "poles", "to earth", "to seam", "pins"),
    *(*BOUNDARIES, "setting", "kept", *CORES, "mass"),
    *("alternating held 0°", "alternating high 180°", "pulsating raised negative", "smooth threshold positive"),
)


@cache
def shown(left_out: str) -> frozenset[str]:
    """The functions that are shown without one kind of evidence."""
    judged = judge_functions(PORTABLE, run_checks(whole_bench(left_out)).findings)
    return frozenset(function.id for function in judged if function.state is FunctionState.SHOWN)


@pytest.mark.independent("virtual unit of nominal parts and plain readings of a sound lead")
@pytest.mark.parametrize("without", WHOLE)
def test_a_piece_of_evidence_left_out_opens_a_function_and_shows_none(without: str) -> None:
    """From the evidence itself: every kind of it carries at least one function."""
    everything = {plan.id for plan in PLANS if not plan.awaits}
    assert shown("") == everything
    assert shown(without) < everything or without == "insulation"
