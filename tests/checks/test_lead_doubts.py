"""Checks of a lead between socket and car: every entry is judged, the worst decides, no doubt is within."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks import BenchEvidence, run_checks
from coldpin.checks.marked_size import printed_size
from coldpin.records.case import Claims
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from coldpin.simulator import VirtualUnit
from tests.checks.bench import capture_of, entry, evidence

LEAD = Claims(plug="CEE 7/4", rated_current="16 A", declared_current="16 A", cable_print="H07BZ5-F 3G2.5")
SEEN = {"kind": "C", "short-circuit capacity": "6000 A", "energy class": "3"}


def core(ohms: str, conductor: str = "L", **stated: str) -> Entry:
    """A conductor tapped inside over 5 m at 20 °C."""
    conditions = {
        "conductor": conductor,
        "length": "5.00 m ± 5 mm",
        "temperature": "20 °C ± 0.5 °C",
        "test current": "0.1 A ± 0.001 A",
        "coating": "plain",
        **stated,
    }
    return entry("conductor resistance four-wire", name=f"r-{conductor}", readings=(ohms,), conditions=conditions)


def loop(reading: str, name: str = "z", **stated: str) -> Entry:
    """A loop at the socket."""
    return entry("loop impedance of the supply", name=name, readings=(reading,), conditions=stated)


def device(rating: str = "16 A", name: str = "d", **stated: str) -> Entry:
    """A device before the socket, looked at."""
    return entry("protective device before the socket", name=name, readings=(rating,), conditions={**SEEN, **stated})


def drop(reading: str, name: str, **stated: str) -> Entry:
    """A drop along the lead with 16 A."""
    conditions = {"current": "16 A ± 0.01 A", **stated}
    return entry("voltage drop of the lead", name=name, readings=(reading,), conditions=conditions)


def found(bench: BenchEvidence) -> dict[str, Finding]:
    """All findings by id; nothing may be a problem."""
    results = run_checks(bench)
    assert results.problems == ()
    return {finding.id: finding for finding in results.findings}


def outcome(finding: str, *entries: Entry, claims: Claims = LEAD) -> Outcome:
    """What comes of these entries."""
    return found(evidence(*entries, claims=claims))[finding].outcome


THIN = core("90 mΩ ± 0.5 mΩ")
BOTH = core("60 mΩ ± 0.3 mΩ"), core("60 mΩ ± 0.3 mΩ", "PE")


@pytest.mark.hand("0.96 mm² bears (100 · 0.958)² = 9 170 A²s; at 0.20 Ω the class of 42 000 A²s is what gets through")
def test_the_loop_that_lets_most_flow_decides_what_gets_through() -> None:
    """The larger loop, which is the worse one for disconnection, does not hide the smaller."""
    small, large = loop("0.20 Ω ± 0.01 Ω", "z1"), loop("1.1 Ω ± 0.05 Ω", "z2")
    told = found(evidence(THIN, small, large, device(), claims=LEAD))["fault-withstand.line"]

    assert told.outcome is Outcome.BEYOND
    assert "less than the 42000 A²s" in told.statement
    assert set(told.evidence) == {"r-L", "d", "z1", "z2"}


@pytest.mark.hand("1.44 mm² bears 27 300 A²s; 7 563 A²s to earth at 1.0 Ω, the class's 42 000 A²s to neutral at 0.30 Ω")
def test_a_fault_to_neutral_flows_in_the_line_conductor_too() -> None:
    """The earth conductor is held against the fault to earth alone."""
    neutral = loop("0.30 Ω ± 0.015 Ω", "zn", between="line and neutral")
    supply = neutral, loop("1.0 Ω ± 0.05 Ω"), device()
    told = found(evidence(*BOTH, *supply, claims=replace(LEAD, cable_print="H05VV-F 3G2.5")))
    unprinted = found(evidence(*BOTH, *supply, claims=LEAD))["fault-withstand.line"]

    assert told["fault-withstand.line"].outcome is Outcome.BEYOND
    assert unprinted.outcome is Outcome.UNDECIDED
    assert any("another insulation" in remark for remark in unprinted.remarks)
    assert told["fault-withstand.earth"].outcome is Outcome.WITHIN
    assert "at this socket" in told["fault-withstand.earth"].statement


def test_less_known_is_never_better() -> None:
    """A loop of unknown accuracy bounds nothing, and without any loop a fault at the far end may last."""
    at_5_percent = outcome("fault-withstand.line", THIN, loop("1.0 Ω ± 0.05 Ω"), device())
    unstated = outcome("fault-withstand.line", THIN, loop("1.0 Ω"), device())
    without = found(evidence(core("38 mΩ ± 0.2 mΩ"), core("38 mΩ ± 0.2 mΩ", "PE"), device(), claims=LEAD))

    assert (at_5_percent, unstated) == (Outcome.UNDECIDED, Outcome.UNDECIDED)
    for name in ("line", "earth"):
        told = without[f"fault-withstand.{name}"]
        assert (told.outcome, told.probability) == (Outcome.UNDECIDED, None)
        assert "Whether the device acts at once on a fault at the far end is not known" in told.statement


@pytest.mark.parametrize(
    ("entries", "expected"),
    [
        ((device(),), Outcome.WITHIN),
        ((device(kind=""),), Outcome.UNDECIDED),
        ((), Outcome.UNDECIDED),
        ((device(), device("32 A", "d2")), Outcome.BEYOND),
        ((device("32 A", "d2"), device("6 A", kind="B")), Outcome.BEYOND),
    ],
)
def test_a_device_is_seen_or_settles_nothing_and_the_worst_counts(
    entries: tuple[Entry, ...], expected: Outcome
) -> None:
    """Overload of 2.5 mm² by the device that was looked at; a later entry does not undo an earlier one."""
    assert outcome("overload.cable", core("36 mΩ ± 0.1 mΩ"), *entries) is expected


@pytest.mark.hand("at 0.10 Ω the class's 42 000 A²s counts, which 2.4 mm² bears (57 000 A²s): the class must be read")
def test_the_class_of_a_device_shows_nothing_unless_it_was_read() -> None:
    """Nor does a device that was not looked at."""
    cores, near = (core("36 mΩ ± 0.1 mΩ"), core("36 mΩ ± 0.1 mΩ", "PE")), loop("0.10 Ω ± 0.005 Ω")
    rated = {"kind": "C"}
    unread = entry("protective device before the socket", name="d", readings=("16 A",), conditions=rated)

    assert outcome("fault-withstand.line", *cores, near, device()) is Outcome.WITHIN
    assert outcome("fault-withstand.line", *cores, near, unread) is Outcome.UNDECIDED
    assert outcome("fault-withstand.line", *cores, near) is Outcome.UNDECIDED
    assert outcome("fault-loop.disconnection", *cores, near) is Outcome.UNDECIDED


@pytest.mark.parametrize("reading", ["225 mΩ ± 0.5 mΩ", "500 mΩ ± 200 mΩ", "38 mΩ"])
def test_a_conductor_that_keeps_no_size_is_not_rated_by_its_mark(reading: str) -> None:
    """45 Ω/km, one too unsure, one of unknown accuracy: no rating holds, and the print does not stand in."""
    told = found(evidence(core(reading), device(), claims=LEAD, captures=[capture_of(VirtualUnit())]))

    for name in ("cable-rating.reference", "overload.cable", "current-path.weakest", "current-path.cable"):
        assert told[name].outcome is Outcome.UNDECIDED, name
    assert "no listed size" in told["cable-rating.reference"].statement


@pytest.mark.hand("12.4 Ω/km keeps 1.5 mm², whose rows end at 18 A; the line alone keeps 2.5 mm²")
def test_a_thin_neutral_sets_the_size_as_a_thin_line_does() -> None:
    """By every check that rates the cable."""
    claims = Claims(rated_current="25 A", cable_print="H07BZ5-F 3G2.5")
    told = found(evidence(core("36 mΩ ± 0.1 mΩ"), core("62 mΩ ± 0.1 mΩ", "N"), device("25 A"), claims=claims))

    for name in ("cable-rating.reference", "overload.cable", "current-path.weakest"):
        assert told[name].outcome is Outcome.BEYOND, name


@pytest.mark.hand("12.0 V of 230 V is 5.22 %; at 60 °C instead of 20 °C it is 1.157 times that, 6.04 %")
def test_a_drop_read_cold_is_taken_up_to_warm_conductors() -> None:
    """And where nothing is said of the warmth it is a lower end: within nothing, but beyond where it is beyond."""
    cold = drop("12.0 V ± 0.05 V", "u", **{"conductor temperature": "20 °C ± 1 °C"})
    told = found(evidence(cold, claims=LEAD))["voltage-drop.lead"]

    assert told.quantity is not None
    assert told.quantity.value == pytest.approx(6.038, abs=0.002)
    assert told.outcome is Outcome.BEYOND
    assert outcome("voltage-drop.lead", drop("4 V ± 0.05 V", "u")) is Outcome.UNDECIDED


@pytest.mark.hand("14 V is 6.09 % and beyond 5 %, 4 V is 1.7 %, 2 · 16 A · 43.9 mΩ is 0.6 %")
def test_the_worst_drop_counts_beside_the_conductor() -> None:
    """Neither a later drop nor a conductor tapped inside hides what was read."""
    much, little = drop("14 V ± 0.05 V", "u1"), drop("4 V ± 0.05 V", "u2")

    assert outcome("voltage-drop.lead", much, little) is Outcome.BEYOND
    assert outcome("voltage-drop.lead", core("38 mΩ ± 0.2 mΩ"), much) is Outcome.BEYOND


@pytest.mark.hand("232 V − 16 A · 0.5 Ω − 1.4 V is 222.6 V; 210 V before it leaves 200.6 V, below 207 V")
def test_the_lowest_voltage_and_the_weakest_supply_count() -> None:
    """Without any voltage read nothing is decided by the nominal one."""
    high, low = (
        entry("voltage at the socket without load", name=f"v{at}", readings=(f"{volts} V ± 0.1 V",))
        for at, volts in enumerate((232, 210))
    )
    weak = loop("0.50 Ω ± 0.02 Ω", between="line and neutral")
    line = core("38 mΩ ± 0.2 mΩ")

    assert outcome("voltage-drop.vehicle", line, weak) is Outcome.UNDECIDED
    assert outcome("voltage-drop.vehicle", line, weak, high) is Outcome.WITHIN
    assert outcome("voltage-drop.vehicle", line, weak, low, high) is Outcome.BEYOND
    stiff = loop("0.05 Ω ± 0.01 Ω", "z2", between="line and neutral")
    weaker = loop("2.0 Ω ± 0.05 Ω", "z1", between="line and neutral")
    assert outcome("voltage-drop.vehicle", line, weaker, stiff, high) is Outcome.BEYOND


@pytest.mark.hand("7.6 Ω/km over 50 m: 6.1 %")
def test_every_length_of_every_entry_counts() -> None:
    """The 50 m of the first list are not forgotten for the 5 m of the second."""
    lists = [
        entry("catalogue lengths", name=name, readings=lengths)
        for name, lengths in (("c1", ("50 m", "5 m")), ("c2", ("5 m",)))
    ]
    told = found(evidence(core("38 mΩ ± 0.2 mΩ"), *lists, claims=LEAD))["length-variants.drop"]

    assert told.outcome is Outcome.BEYOND
    assert told.evidence[:2] == ("c1", "c2")


def test_every_coding_that_was_read_counts() -> None:
    """A coding of 32 A read first is above the cable's 16 A, whatever was read after it."""
    codings = [
        entry("coding resistance", name=name, readings=(ohms,), instrument="meter")
        for name, ohms in (("c1", "220 Ω"), ("c2", "1500 Ω"))
    ]
    claims = Claims(plug="CEE 7/4", rated_current="16 A", cable_print="H05VV-F 3G1.5")

    assert outcome("current-path.weakest", *codings, claims=claims) is Outcome.BEYOND


def test_a_claim_that_no_table_has_is_no_fault_of_the_reading() -> None:
    """3 mm² is in no table: the conductor is told without a limit, and no entry is blamed."""
    claims = Claims(cross_section="3 mm²", rated_current="16 A")
    told = found(evidence(core("38 mΩ ± 0.2 mΩ"), claims=claims))["conductor-resistance.line"]

    assert told.outcome is Outcome.UNDECIDED
    assert any("No table that we know has a row for 3 mm²" in remark for remark in told.remarks)


@pytest.mark.published("Finland: 8 A for hours through a household plug (IEC 62752:2016, scope note), read")
def test_what_is_offered_is_held_against_the_practice_as_well() -> None:
    """A lead sold for 8 A that tells the car 16 A."""
    claims = Claims(plug="CEE 7/4", country="FI", rated_current="8 A")
    told = found(evidence(claims=claims, captures=[capture_of(VirtualUnit())]))

    assert told["plug-practice.claim"].outcome is Outcome.WITHIN
    assert told["plug-practice.offer"].outcome is Outcome.BEYOND
    assert told["plug-practice.offer"].functions == ()


@pytest.mark.parametrize(
    ("text", "size"),
    [("3 x 230 V", None), ("3 x 16 A 3G2.5", 2.5), ("3G1.5 VDE", 1.5), ("2 x 5 m", None), ("1 x 50 Hz 3G6 mm2", 6.0)],
)
def test_a_voltage_is_no_size(text: str, size: float | None) -> None:
    """Nor a length, a current or a frequency."""
    read = printed_size(text)
    assert (None if read is None else read.size_mm2) == size


WARM = {"conductor temperature": "60 °C"}


@pytest.mark.parametrize(
    ("bad", "message"),
    [
        (drop("-1.2 V ± 0.1 V", "d1", **WARM), "a drop must be above 0 V; are the two clips changed over?"),
        (drop("1.2 V ± 0.1 V", "d1", **{"conductor temperature": "333 °C"}), "not in kelvin"),
        (loop("0.8 mΩ ± 0.01 mΩ"), "less than a socket for charging has; is it in Ω?"),
        (device("16000 A"), "sockets end at 125 A; is it in mA?"),
        (entry("catalogue lengths", name="c", readings=("10000 m",)), "no lead is longer than 200 m; is it in m?"),
    ],
)
def test_what_cannot_be_is_no_finding(bad: Entry, message: str) -> None:
    """One message, and nothing is told of the lead by it."""
    results = run_checks(evidence(*BOTH, bad, claims=LEAD))

    assert any(message in problem.what for problem in results.problems)
    assert not any(bad.id in finding.evidence for finding in results.findings)


@pytest.mark.parametrize(("reading", "asked"), [("1200 V ± 1 V", "units"), ("1.2 mV ± 0.1 mV", "is it in mΩ?")])
def test_a_drop_that_no_lead_has_is_questioned(reading: str, asked: str) -> None:
    """Neither a slip of a thousand that looks too good nor one that looks too bad decides."""
    told = found(evidence(drop(reading, "d1", **WARM), claims=LEAD))["voltage-drop.lead"]

    assert told.outcome is Outcome.UNDECIDED
    assert "while a value is in question" in told.statement
    assert any(asked in remark for remark in told.remarks)


@pytest.mark.parametrize(("before", "after"), [("402 V", "400 V"), ("23.2 V", "22.9 V"), ("232 V", "120 V")])
def test_a_supply_that_no_socket_has_is_questioned(before: str, after: str) -> None:
    """A voltage between lines, a slip of ten, an impedance of 7 Ω: what the lead takes is told all the same."""
    pair = (
        entry("voltage at the socket without load", name="v0", readings=(f"{before} ± 0.1 V",)),
        entry(
            "voltage at the socket with load",
            name="v1",
            readings=(f"{after} ± 0.1 V",),
            conditions={"load current": "16.0 A ± 0.1 A"},
        ),
    )
    told = found(evidence(core("38 mΩ ± 0.2 mΩ"), *pair, claims=LEAD))

    assert told["voltage-drop.lead"].outcome is Outcome.WITHIN
    assert told["voltage-drop.vehicle"].outcome is Outcome.UNDECIDED
    assert told["voltage-drop.vehicle"].remarks[0].endswith("?")


@pytest.mark.parametrize(
    ("plug", "country", "outcome", "remark"),
    [
        ("BS 1363", "UK", Outcome.BEYOND, "13 A"),
        ("CEE 7/4", "AT", Outcome.NOT_APPLICABLE, "in most of Europe: the limit as known (at most 12 A"),
        ("NEMA 5-15", "AT", Outcome.NOT_APPLICABLE, ""),
    ],
)
def test_a_country_by_another_code_and_one_of_which_nothing_is_known(
    plug: str, country: str, outcome: Outcome, remark: str
) -> None:
    """The code that people write serves; of a country without a text the European one is told, and decides nothing."""
    claims = replace(LEAD, plug=plug, country=country)
    told = found(evidence(claims=claims))["plug-practice.claim"]

    assert told.outcome is outcome
    assert any(remark in one for one in told.remarks) is bool(remark)


@pytest.mark.hand(
    "at 20 °C 10.9 V are 4.93 % at 30 °C and 5.48 % at 60 °C, 11.4 V 5.15 %; read at 50 °C 11.6 V are 5.04 %"
)
@pytest.mark.parametrize(
    ("reading", "read_at", "expected"),
    [("10.9 V", "20 °C", Outcome.UNDECIDED), ("11.4 V", "20 °C", Outcome.BEYOND), ("11.6 V", "50 °C", Outcome.BEYOND)],
)
def test_a_drop_read_cold_is_beyond_only_if_cool_conductors_are(reading: str, read_at: str, expected: Outcome) -> None:
    """As hardly warmer than a room; and none is cooler in use than it was when it was read."""
    cold = drop(f"{reading} ± 0.01 V", "d1", **{"conductor temperature": f"{read_at} ± 0.5 °C"})
    told = found(evidence(cold, claims=LEAD))["voltage-drop.lead"]

    assert told.outcome is expected
    assert any("hardly warmer than a room" in remark for remark in told.remarks) is (expected is Outcome.UNDECIDED)


@pytest.mark.hand("8.9 V at 20 °C and 16 A are 10.30 V at 60 °C, 4.48 % of 230 V; 9.2 V 4.63 %, at 90 °C 5.1 %")
@pytest.mark.parametrize(("reading", "expected"), [("8.9 V", Outcome.WITHIN), ("9.2 V", Outcome.UNDECIDED)])
def test_a_drop_read_cold_is_within_only_if_hot_conductors_are(reading: str, expected: Outcome) -> None:
    """Nobody measured how warm they are in use."""
    cold = drop(f"{reading} ± 0.01 V", "d1", **{"conductor temperature": "20 °C ± 0.5 °C"})
    told = found(evidence(cold, claims=LEAD))["voltage-drop.lead"]

    assert told.outcome is expected
    assert any("hottest that tables know" in remark for remark in told.remarks) is (expected is Outcome.UNDECIDED)
