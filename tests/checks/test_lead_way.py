"""The way of the current through a lead: both conductors, the whole length, joints that were read; the rest named."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks import BenchEvidence, run_checks
from coldpin.checks.conductor_evidence import conductor_reading
from coldpin.checks.lead_way import lead_way, stated_cable_length
from coldpin.copper.unread_neutral import LIKE_THE_LINE
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from tests.checks.bench import CLAIMS, PORTABLE, entry, evidence

HOT = 1.1572
"""Copper at 60 °C against 20 °C."""


def core(reading: str, conductor: str = "L", taps: str = "pins", length: str = "5.00 m ± 5 mm") -> Entry:
    """A conductor read at 20 °C."""
    conditions = {
        "conductor": conductor,
        "taps": taps,
        "length": length,
        "temperature": "20.0 °C ± 0.5 °C",
        "test current": "0.1 A ± 0.001 A",
        "coating": "plain",
    }
    return entry(
        "conductor resistance four-wire", name=f"{conductor}-{taps}", readings=(reading,), conditions=conditions
    )


def cable(length: str) -> Entry:
    """The earth from pin to pin, with the length of the whole cable."""
    conditions = {"length": length, "test current": "10 A"}
    return entry("earth resistance", name="earth", readings=("0.05 Ω ± 0.001 Ω",), conditions=conditions)


def drop(*entries: Entry, phases: int = 1) -> Finding:
    """The drop of the lead alone."""
    bench = evidence(*entries, claims=CLAIMS)
    results = run_checks(replace(bench, case=replace(bench.case, unit=replace(PORTABLE, phases=phases))))
    assert results.problems == ()
    return next(one for one in results.findings if one.id == "voltage-drop.lead")


def percent(ohms: float) -> float:
    """What so much resistance takes of 230 V at 16 A, warm."""
    return 100.0 * 16.0 * ohms * HOT / 230.0


def value(finding: Finding) -> float:
    """What was found."""
    assert finding.quantity is not None
    return finding.quantity.value


@pytest.mark.hand("40 mΩ out and 90 mΩ back are 130 mΩ, not twice 40 mΩ")
def test_a_neutral_that_was_read_counts_as_it_is() -> None:
    """Both readings are evidence; nothing is left that is not counted."""
    finding = drop(core("40 mΩ ± 0.1 mΩ"), core("90 mΩ ± 0.1 mΩ", "N"))

    assert value(finding) == pytest.approx(percent(0.130), rel=2e-3)
    assert finding.evidence == ("L-pins", "N-pins")
    assert finding.outcome is Outcome.WITHIN
    assert not any("Not counted" in remark or "taken to be like" in remark for remark in finding.remarks)


@pytest.mark.hand("a worse reading of the neutral takes 5 %: 16 A · 700 mΩ · 1.157 = 13 V")
def test_a_bad_neutral_takes_the_lead_beyond() -> None:
    """Which twice the line would have hidden."""
    assert drop(core("40 mΩ ± 0.1 mΩ"), core("700 mΩ ± 1 mΩ", "N")).outcome is Outcome.BEYOND


@pytest.mark.hand("40 mΩ ± 5 % rectangular back: u is 1.15 mΩ of 80 mΩ, 1.44 %")
def test_a_neutral_that_was_not_read_is_taken_like_the_line_and_said() -> None:
    """With what cores of one cable may differ by in its budget, and a thinner one allowed for."""
    finding = drop(core("40 mΩ ± 0.01 mΩ"))

    assert value(finding) == pytest.approx(percent(0.080), rel=2e-3)
    assert finding.quantity is not None
    assert finding.quantity.u is not None
    assert finding.quantity.u / finding.quantity.value == pytest.approx(LIKE_THE_LINE / 3**0.5 / 2, rel=0.05)
    assert any(line.label == "neutral taken to be like another" for line in finding.budget)
    assert any("The neutral was not read" in remark for remark in finding.remarks)
    assert "also with the" in finding.statement


@pytest.mark.hand("150 mΩ twice: 2.4 %; as much again for the neutral 3.6 %, six joints of 5 mΩ 3.9 %; of 180 mΩ 4.6 %")
@pytest.mark.parametrize(("reading", "outcome"), [("150 mΩ", Outcome.WITHIN), ("210 mΩ", Outcome.UNDECIDED)])
def test_what_is_not_counted_leaves_within_only_what_bears_it(reading: str, outcome: Outcome) -> None:
    """A lower end that is within by little is not within."""
    finding = drop(core(f"{reading} ± 0.1 mΩ"))

    assert value(finding) < 4.0
    assert finding.outcome is outcome
    assert ("may be more" in finding.statement) is (outcome is Outcome.UNDECIDED)


@pytest.mark.hand("36 mΩ over 3.6 m are 40 mΩ over 4.00 m; ± 0.01 m of it is known to 0.14 %, 4 m to 7.2 %")
@pytest.mark.parametrize(("written", "u"), [("4.00 m ± 10 mm", 0.0058), ("4 m", 0.289)])
def test_a_length_that_was_cut_off_is_put_back(written: str, u: float) -> None:
    """By the length of the whole cable, as surely as it was written."""
    taps = {"taps": "inside", "length": "3.600 m ± 1 mm"}
    finding = drop(core("36 mΩ ± 0.01 mΩ", **taps), core("36 mΩ ± 0.01 mΩ", "N", **taps), cable(written))

    assert value(finding) == pytest.approx(percent(0.080), rel=3e-3)
    assert finding.quantity is not None
    assert finding.quantity.u == pytest.approx(value(finding) * u / 4.0, rel=0.1, abs=0.002)
    assert any(line.label == "length of the whole cable" for line in finding.budget)
    assert "earth" in finding.evidence
    assert any("taken up to the" in remark for remark in finding.remarks)


@pytest.mark.hand("38 mΩ and joints of 1 mΩ and 9 mΩ are 48 mΩ")
def test_joints_that_were_read_apart_are_added() -> None:
    """One reading of a joint over the pin and the core behind it is enough for its side; the others are allowed for."""
    inside = core("38 mΩ ± 0.1 mΩ", taps="inside"), core("38 mΩ ± 0.1 mΩ", "N", taps="inside")
    joints = core("1 mΩ ± 0.01 mΩ", "N", "plug side"), core("9 mΩ ± 0.01 mΩ", "N", "connector side")
    finding = drop(*inside, *joints)

    assert value(finding) == pytest.approx(percent(0.086), rel=2e-3)
    assert {"N-plug side", "N-connector side"} <= set(finding.evidence)
    assert any("beyond the taps" in remark for remark in finding.remarks)


@pytest.mark.hand("√3 · 16 A · 40 mΩ of 400 V is 16 A · 40 mΩ of 230 V")
def test_with_three_phases_nothing_comes_back() -> None:
    """A neutral counts nothing there, and that is said."""
    finding = drop(core("40 mΩ ± 0.1 mΩ"), core("900 mΩ ± 1 mΩ", "N"), phases=3)

    assert value(finding) == pytest.approx(percent(0.040), rel=3e-3)
    assert any("nothing comes back" in remark for remark in finding.remarks)


def test_the_loop_of_a_fault_has_the_whole_length_too() -> None:
    """A core that was read over a part of the cable is scaled wherever the whole of it counts."""
    part = core("36 mΩ ± 0.01 mΩ", taps="inside", length="3.600 m ± 1 mm")
    bench: BenchEvidence = evidence(part, cable("4.00 m ± 10 mm"), claims=CLAIMS)
    way = lead_way(bench)

    assert way is not None
    assert way.out_20_ohm.value == pytest.approx(0.040, rel=2e-3)
    assert way.length_m == pytest.approx(4.0)
    assert lead_way(evidence(claims=CLAIMS)) is None


@pytest.mark.hand("4 m without ± is 4 m ± 0.5 m: 0.5/√3 = 0.289 m; 4.00 m: 2.9 mm")
@pytest.mark.parametrize(("written", "u"), [("4 m", 0.2887), ("4.00 m", 0.002887), ("4.00 m ± 10 mm", 0.005774)])
def test_the_length_of_the_whole_cable_is_one_quantity(written: str, u: float) -> None:
    """As surely as it is written, and by one name in every budget, also of the earth's own copper."""
    length = stated_cable_length(cable(written))

    assert length is not None
    assert length.u == pytest.approx(u, rel=1e-3)
    assert [component.id for component in length.components] == ["cable: length"]


@pytest.mark.hand("36 mΩ over 4 m, written to the metre: 0.289 m of 4 m, 7.2 %")
def test_a_length_between_taps_written_to_the_metre_decides_little() -> None:
    """Neither a core's resistance for each metre nor its area is surer than the length it was divided by."""
    bench = evidence(core("36 mΩ ± 0.01 mΩ", taps="inside", length="4 m"))
    told = conductor_reading(bench, bench.entries[0])

    assert told.resistance_20c_ohm_per_km.u == pytest.approx(0.0722 * told.resistance_20c_ohm_per_km.value, rel=0.05)


@pytest.mark.hand(
    "1.16 Ω and 2 · 66.5 mΩ · 1.275 are 1.33 Ω; half as long again and twelve joints 0.16 Ω more, of 1.37 Ω"
)
@pytest.mark.parametrize(
    ("socket", "taps", "outcome"),
    [
        ("1.16 Ω ± 0.01 Ω", "inside", Outcome.UNDECIDED),
        ("1.00 Ω ± 0.01 Ω", "inside", Outcome.WITHIN),
        ("1.16 Ω ± 0.01 Ω", "pins", Outcome.WITHIN),
    ],
)
def test_what_is_not_in_the_loop_leaves_within_only_what_bears_it(socket: str, taps: str, outcome: Outcome) -> None:
    """A loop of what lay between the taps is a lower end: with cable and joints beyond them it may be too large."""
    supply = entry("loop impedance of the supply", name="z", readings=(socket,))
    breaker = {"kind": "C", "short-circuit capacity": "6000 A", "energy class": "3"}
    before = entry("protective device before the socket", name="d", readings=("16 A",), conditions=breaker)
    line, earth = core("66.5 mΩ ± 0.5 mΩ", taps=taps), core("66.5 mΩ ± 0.5 mΩ", "PE", taps)
    results = run_checks(evidence(line, earth, supply, before, claims=CLAIMS))
    found = {one.id: one for one in results.findings}
    finding = found["fault-loop.disconnection"]

    assert finding.outcome is outcome
    assert ("may be more" in finding.statement) is (outcome is Outcome.UNDECIDED)
    assert any("Not in the loop" in remark for remark in finding.remarks) is (taps == "inside")
    # a device that may be slow leaves open what the conductors bear meanwhile
    assert "need not act at once" in found["fault-withstand.earth"].statement or outcome is Outcome.WITHIN


def test_joints_that_were_read_apart_stay_at_another_length() -> None:
    """Of the drop and of the loop: 40 mΩ of joints are there in a lead of any length."""
    line = core("37 mΩ ± 0.1 mΩ", taps="inside"), core("37 mΩ ± 0.1 mΩ", "N", taps="inside")
    joints = [core("20 mΩ ± 0.1 mΩ", name, side) for name in ("L", "N") for side in ("plug side", "connector side")]
    lengths = entry("catalogue lengths", name="cat", readings=("20 m",))
    results = run_checks(evidence(*line, *joints, lengths, claims=CLAIMS))
    finding = next(one for one in results.findings if one.id == "length-variants.drop")

    assert value(finding) == pytest.approx(percent(2.0 * (4.0 * 0.037 + 0.040)), rel=3e-3)
    assert any("the joints that were not read" in remark for remark in finding.remarks)
