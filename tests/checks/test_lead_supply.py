"""Checks of a lead between socket and car: drop, loop, withstand, overload, the current's way, practice, lengths."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from coldpin.checks import BenchEvidence, LogEvidence, find_check, run_checks
from coldpin.checks.cautions import LIVE_CAUTIONS
from coldpin.conclusion import judge_functions
from coldpin.records.case import Claims
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.function import FunctionState
from coldpin.records.instrument import Instrument
from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.simulator import VirtualUnit
from tests.checks.bench import CLAIMS, INSTRUMENTS, PORTABLE, WALL, capture_of, entry, evidence

THIN = replace(CLAIMS, cable_print="H05VV-F 3G1.5", country="FI")


def core(reading: str, conductor: str, **stated: str) -> Entry:
    """A conductor read from pin to pin over 5 m at 20 °C."""
    conditions = {
        "conductor": conductor,
        "taps": "pins",
        "length": "5.00 m ± 5 mm",
        "temperature": "20.0 °C ± 0.5 °C",
        "test current": "1.0 A ± 0.01 A",
        "coating": "plain",
        **stated,
    }
    return entry("conductor resistance four-wire", name=f"core-{conductor}", readings=(reading,), conditions=conditions)


LINE, EARTH = core("66.0 mΩ ± 0.2 mΩ", "L"), core("67.0 mΩ ± 0.2 mΩ", "PE")


def loop(reading: str, **stated: str) -> Entry:
    """The loop at the socket by a tester."""
    return entry("loop impedance of the supply", name="loop", readings=(reading,), conditions=stated)


def short_circuit(reading: str) -> Entry:
    """The loop of line and neutral at the socket."""
    return entry(
        "loop impedance of the supply", name="short", readings=(reading,), conditions={"between": "line and neutral"}
    )


def device(rating: str = "16 A", **stated: str) -> Entry:
    """What feeds the socket."""
    conditions = {key.replace("_", " "): value for key, value in stated.items()}
    return entry("protective device before the socket", name="device", readings=(rating,), conditions=conditions)


def found(bench: BenchEvidence) -> dict[str, Finding]:
    """All findings by id; nothing may be a problem."""
    results = run_checks(bench)
    assert results.problems == ()
    return {finding.id: finding for finding in results.findings}


@pytest.mark.hand(
    "66.0 mΩ at 20 °C and 60 °C: 2 · 16 A · 76.4 mΩ = 2.444 V, 1.0626 % of 230 V, a little less for the test current"
)
def test_the_drop_at_the_rated_current() -> None:
    """Of the lead alone, hot, with budget, limit and the remark that the limit counts from the origin."""
    finding = found(evidence(LINE))["voltage-drop.lead"]

    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(1.0626, abs=5e-4)
    assert finding.outcome is Outcome.WITHIN
    assert finding.limit is not None
    assert finding.limit.id == "drop-limit.public.other"
    assert finding.budget
    assert any("counts from the origin" in remark for remark in finding.remarks)
    assert finding.functions == ()


@pytest.mark.hand("232.0 V − 16 A · 0.25 Ω − 2.444 V = 225.56 V")
def test_the_voltage_at_the_car() -> None:
    """From two voltages in turn, with a load of known current."""
    before = entry("voltage at the socket without load", name="v0", readings=("232.0 V ± 0.1 V",))
    after = entry(
        "voltage at the socket with load",
        name="v1",
        readings=("228.0 V ± 0.1 V",),
        conditions={"load current": "16.0 A ± 0.1 A"},
    )
    finding = found(evidence(LINE, before, after))["voltage-drop.vehicle"]

    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(225.56, abs=0.005)
    assert (finding.outcome, finding.evidence) == (Outcome.WITHIN, ("core-L", "v0", "v1"))
    assert "of this bench" in finding.remarks[0]


def supply_log(accuracy: bool, *, columns: bool = True) -> tuple[LogEvidence, dict[str, Instrument]]:
    """A log of forty steps at 0.25 Ω by a meter of stated or unstated accuracy."""
    current = np.resize([1.0, 1.0, 13.0, 13.0], 160)
    generator = np.random.default_rng(1)
    voltage = 232.0 - 0.25 * current + np.cumsum(generator.normal(0.0, 0.05, current.size))
    channels = [LogChannel(name="U", quantity=LogQuantity.VOLTAGE, unit="V", values=voltage)]
    if columns:
        channels.append(LogChannel(name="I", quantity=LogQuantity.CURRENT, unit="A", values=current))
    log = Log(time_s=np.arange(float(current.size)), channels=tuple(channels))
    filed = entry("voltage and current at the socket", name="log", kind=EntryKind.EVIDENCE, instrument="logger")
    statements = {"voltage": "0.5 % of reading", "current": "1 % of reading"} if accuracy else {}
    logger = Instrument(name="logger", kind="power meter", statements=statements)
    return LogEvidence(entry=filed, log=log), {**INSTRUMENTS, "logger": logger}


@pytest.mark.hand("a supply of 0.25 Ω was put into the log")
@pytest.mark.parametrize("accuracy", [True, False])
def test_a_log_tells_the_supply(accuracy: bool) -> None:
    """With the accuracy of its meter stated it decides, without it nothing is decided."""
    log, instruments = supply_log(accuracy)
    bench = evidence(LINE, entry("voltage at the socket without load", name="v0", readings=("230.0 V ± 0.1 V",)))
    bench = replace(bench, entries=(*bench.entries, log.entry), logs=(log,), instruments=instruments)
    finding = found(bench)["voltage-drop.vehicle"]

    assert finding.evidence == ("core-L", "v0", "log")
    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(230.0 - 16.0 * 0.25 - 2.444, abs=0.5)
    assert finding.outcome is (Outcome.WITHIN if accuracy else Outcome.UNDECIDED)
    assert any("Other loads" in remark for remark in finding.remarks)


def test_a_log_without_a_current_costs_its_entry_only() -> None:
    """The lead alone is still told, and the log stands under the problems."""
    log, instruments = supply_log(True, columns=False)
    bench = evidence(LINE)
    results = run_checks(replace(bench, entries=(*bench.entries, log.entry), logs=(log,), instruments=instruments))

    assert [problem.where for problem in results.problems] == ["entry log"]
    assert "voltage-drop.lead" in {finding.id for finding in results.findings}


@pytest.mark.hand("2.4 V at 15 A and 60 °C, taken up to 16 A: 2.56 V, 1.113 %")
def test_a_drop_that_was_read_serves_where_no_conductor_was() -> None:
    """Taken up to the rated current; how warm it was is said, or it is only a lower end."""
    read = entry(
        "voltage drop of the lead", name="u", readings=("2.40 V ± 0.02 V",), conditions={"current": "15.0 A ± 0.1 A"}
    )
    warm = replace(read, conditions={**read.conditions, "conductor temperature": "60 °C ± 2 °C"})
    finding, cold = found(evidence(warm))["voltage-drop.lead"], found(evidence(read))["voltage-drop.lead"]

    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(1.113, abs=5e-4)
    assert (finding.outcome, cold.outcome) == (Outcome.WITHIN, Outcome.UNDECIDED)
    assert "is not stated" in cold.remarks[0]
    without = run_checks(evidence(replace(read, conditions={})))
    assert "state 'current'" in without.problems[0].what


@pytest.mark.hand("0.80 Ω + (66.0 + 67.0) mΩ · 1.1965 (PVC, 70 °C) = 0.9591 Ω, B16: 2.73 Ω")
def test_the_loop_with_the_lead_in_it() -> None:
    """Both conductors at the temperature their insulation may have; device, loop and conductors are the evidence."""
    finding = found(evidence(LINE, EARTH, loop("0.80 Ω ± 0.05 Ω"), device(kind="B"), claims=THIN))[
        "fault-loop.disconnection"
    ]

    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(0.9591, abs=5e-5)
    assert finding.outcome is Outcome.WITHIN
    assert finding.limit is not None
    assert finding.limit.id == "loop.b16"
    assert finding.evidence == ("core-L", "core-PE", "device", "loop")
    assert finding.functions == ("fault-withstand",)


@pytest.mark.hand("230 V / 287.5 A = 0.80 Ω")
def test_a_prospective_current_serves_as_well() -> None:
    """A tester shows either; where nobody looked at the device the plug's is reckoned with, and that is said."""
    current = entry("prospective fault current of the supply", name="i", readings=("287.5 A ± 10 A",))
    finding = found(evidence(LINE, EARTH, current, claims=THIN))["fault-loop.disconnection"]

    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(0.9591, abs=5e-4)
    assert any("Nobody looked" in remark and "a C16" in remark for remark in finding.remarks)
    assert finding.outcome is Outcome.UNDECIDED


@pytest.mark.hand("1.30 Ω alone is below 1.37 Ω of a C16; with 2 · 0.333 Ω · 1.1965 it is 2.10 Ω")
def test_a_lead_that_takes_the_loop_beyond() -> None:
    """The lead makes the difference: beyond, and the function is faulty; an RCD is named as what is left."""
    long = {"length": "25.0 m ± 20 mm"}
    cores = core("333 mΩ ± 1 mΩ", "L", **long), core("333 mΩ ± 1 mΩ", "PE", **long)
    bench = evidence(*cores, loop("1.30 Ω ± 0.02 Ω"), device(kind="C", residual_current="30 mA"), claims=THIN)
    finding = found(bench)["fault-loop.disconnection"]

    assert finding.outcome is Outcome.BEYOND
    assert any("residual-current device before the socket" in remark for remark in finding.remarks)
    (function,) = (one for one in judge_functions(PORTABLE, [finding]) if one.id == "fault-withstand")
    assert function.state is FunctionState.FAULTY


@pytest.mark.hand("3.30 V and 3.35 V at 50 A are 66.0 mΩ and 67.0 mΩ")
def test_a_drop_along_each_conductor_serves_for_the_loop_as_well() -> None:
    """Resistance or drop, either tells the conductor."""
    cores = [
        replace(
            one,
            shows="voltage along the conductor",
            readings=(reading,),
            conditions={**one.conditions, "test current": "50.0 A ± 0.1 A", "time since switch-on": "2 s"},
        )
        for one, reading in ((LINE, "3.30 V ± 0.01 V"), (EARTH, "3.35 V ± 0.01 V"))
    ]
    finding = found(evidence(*cores, loop("0.80 Ω ± 0.05 Ω"), device(kind="B"), claims=THIN))

    assert finding["fault-loop.disconnection"].outcome is Outcome.WITHIN


def test_a_device_that_no_table_has_leaves_the_lengths_their_drop() -> None:
    """A gG fuse of 63 A has no loop here: that is said, and the drop of each length is told all the same."""
    lengths = entry("catalogue lengths", name="cat", readings=("5 m", "10 m"))
    fuse = device("63 A", kind="gG")
    told = found(evidence(LINE, EARTH, lengths, loop("0.50 Ω ± 0.02 Ω"), fuse, claims=THIN))

    assert told["fault-loop.disconnection"].outcome is Outcome.UNDECIDED
    assert any("no loop table known to us has a gG 63 A" in text for text in told["fault-loop.disconnection"].remarks)
    assert "length-variants.loop" not in told
    assert told["length-variants.drop"].outcome is Outcome.WITHIN


def test_a_socket_that_is_too_weak_by_itself_says_nothing_of_the_lead() -> None:
    """Undecided, and the installation is to be looked at."""
    finding = found(evidence(LINE, EARTH, loop("2.60 Ω ± 0.05 Ω"), device(kind="C"), claims=THIN))[
        "fault-loop.disconnection"
    ]

    assert finding.outcome is Outcome.UNDECIDED
    assert "nothing of the lead" in finding.remarks[-1]


@pytest.mark.hand("66.0 mΩ over 5 m is 13.2 Ω/km, 1.306 mm² of copper; (115 · 1.306)² = 22 560 A²s")
def test_what_line_and_earth_bear() -> None:
    """With the loop known they bear what gets through; by the class alone nothing is held against them."""
    loops = (loop("0.80 Ω ± 0.05 Ω"), short_circuit("0.80 Ω ± 0.05 Ω"))
    known = found(evidence(LINE, EARTH, *loops, device(kind="B"), claims=THIN))
    to_earth = found(evidence(LINE, EARTH, loops[0], device(kind="B"), claims=THIN))
    unknown = found(evidence(LINE, EARTH, device(kind="B"), claims=THIN))

    line = known["fault-withstand.line"]
    assert line.quantity is not None
    assert line.quantity.value == pytest.approx(22560.0, abs=20.0)
    assert (line.outcome, known["fault-withstand.earth"].outcome) == (Outcome.WITHIN, Outcome.WITHIN)
    assert "PVC 70 °C" in line.remarks[0]
    # a short circuit of line and neutral flows in the line too, and its loop was not read
    assert to_earth["fault-withstand.line"].outcome is Outcome.UNDECIDED
    assert to_earth["fault-withstand.earth"].outcome is Outcome.WITHIN
    assert unknown["fault-withstand.line"].outcome is Outcome.UNDECIDED
    limit = unknown["fault-withstand.line"].limit
    assert limit is not None
    assert (limit.minimum, limit.standing.value) == (35000.0, "memory")


def test_a_mean_of_two_cores_is_no_core() -> None:
    """What two in series bear in the mean shows nothing of the line: the other may be the thicker."""
    pair = replace(LINE, conditions={**LINE.conditions, "cores in series": "2"})
    told = found(evidence(pair, EARTH, loop("0.80 Ω ± 0.05 Ω"), device(kind="B"), claims=THIN))

    assert told["fault-withstand.line"].outcome is not Outcome.WITHIN
    assert told["fault-withstand.earth"].outcome is Outcome.WITHIN


def test_the_function_is_shown_by_all_three() -> None:
    """Loop, line and earth within: it survives a fault until the fuse acts."""
    loops = (loop("0.80 Ω ± 0.05 Ω"), short_circuit("0.80 Ω ± 0.05 Ω"))
    bench = evidence(LINE, EARTH, *loops, device(kind="B"), claims=THIN)
    (function,) = (one for one in judge_functions(PORTABLE, found(bench).values()) if one.id == "fault-withstand")

    assert function.state is FunctionState.SHOWN
    assert set(function.findings) == {"fault-loop.disconnection", "fault-withstand.line", "fault-withstand.earth"}


@pytest.mark.hand(
    "0.80 Ω + 2 · 66.0 mΩ · 1.1965 = 0.958 Ω: 218.5 V / 0.958 Ω = 228 A; 22 560 A²s / 228² = 0.434 s; a C16 acts from "
    "160 A on, and with 1.30 Ω 150 A flow"
)
def test_a_short_circuit_at_the_far_end() -> None:
    """Held against the device's time, by line and neutral as read; where its loop was not read the line says so."""
    neutral, before = core("66.0 mΩ ± 0.2 mΩ", "N"), device(kind="C")
    loops = loop("0.80 Ω ± 0.05 Ω"), short_circuit("0.80 Ω ± 0.02 Ω")
    told = found(evidence(LINE, EARTH, neutral, *loops, before, claims=THIN))["fault-withstand.short"]
    weak = found(evidence(LINE, EARTH, neutral, loops[0], short_circuit("1.30 Ω ± 0.02 Ω"), before, claims=THIN))
    unread = found(evidence(LINE, EARTH, neutral, loops[0], before, claims=THIN))

    assert told.quantity is not None
    assert told.quantity.value == pytest.approx(0.434, abs=2e-3)
    assert (told.outcome, told.functions) == (Outcome.WITHIN, ())
    assert told.limit is not None
    assert (told.limit.minimum, told.limit.standing.value) == (0.1, "memory")
    assert {"core-L", "core-N", "short", "device"} <= set(told.evidence)
    assert "core-PE" not in told.evidence
    assert told.budget
    assert weak["fault-withstand.short"].outcome is Outcome.UNDECIDED
    assert "less than the 160 A" in weak["fault-withstand.short"].statement
    assert "fault-withstand.short" not in unread
    assert any("not reckoned" in remark for remark in unread["fault-withstand.line"].remarks)
    assert not any("not reckoned" in remark for remark in unread["fault-withstand.earth"].remarks)


def test_a_short_circuit_rests_on_no_reading_in_doubt() -> None:
    """A mean of line and neutral in series shows nothing to be within."""
    pair = replace(LINE, conditions={**LINE.conditions, "cores in series": "2"})
    told = found(evidence(pair, EARTH, short_circuit("0.50 Ω ± 0.02 Ω"), device(kind="B"), claims=THIN))

    assert told["fault-withstand.short"].outcome is Outcome.UNDECIDED


@pytest.mark.published("cords of 1.0 and 1.5 mm² carry 10 A and 16 A (BS 7671 table 4F3A); a C16 acts at 23.2 A")
@pytest.mark.parametrize(("size", "outcome"), [("1.0", Outcome.BEYOND), ("1.5", Outcome.WITHIN)])
def test_overload_by_the_marked_size(size: str, outcome: Outcome) -> None:
    """By the device that feeds the plug; no duty, since the standard leaves plugged cables out."""
    claims = replace(CLAIMS, cable_print=f"H05VV-F 3G{size}")
    finding = found(evidence(device(kind="C"), claims=claims))["overload.cable"]
    unseen = found(evidence(claims=claims))["overload.cable"]

    assert (finding.outcome, finding.duty) == (outcome, False)
    assert unseen.outcome is (Outcome.BEYOND if outcome is Outcome.BEYOND else Outcome.UNDECIDED)
    assert (finding.reach, unseen.reach) == (Reach.SPECIMEN, Reach.CONSTRUCTION)
    assert "leaves flexible cables on plugs out" in finding.remarks[-1]


@pytest.mark.published("Finland: 8 A for hours through a household plug (IEC 62752:2016, scope note), read")
@pytest.mark.parametrize(
    ("plug", "country", "rated", "outcome"),
    [
        ("CEE 7/4", "FI", "16 A", Outcome.BEYOND),
        ("CEE 7/4", "fi", "8 A", Outcome.WITHIN),
        ("BS 1363", "GB", "13 A", Outcome.BEYOND),
        ("CEE 16 A blue", "DE", "16 A", Outcome.WITHIN),
    ],
)
def test_what_a_country_lets_a_plug_carry_for_hours(plug: str, country: str, rated: str, outcome: Outcome) -> None:
    """The claim is placed, no function is judged by it, and a marked socket is named where one serves."""
    claims = Claims(plug=plug, country=country, rated_current=rated)
    finding = found(evidence(claims=claims))["plug-practice.claim"]

    assert finding.outcome is outcome
    assert finding.functions == ()
    if country == "GB":
        assert any("marked EV serves" in remark for remark in finding.remarks)


def test_a_country_of_which_nothing_is_known() -> None:
    """It says so and judges nothing; a fixed unit has no plug to ask about."""
    unknown = found(evidence(claims=Claims(plug="CEE 7/4", country="GR", rated_current="16 A")))

    assert unknown["plug-practice.claim"].outcome is Outcome.NOT_APPLICABLE
    assert (
        "no plug on the supply side"
        in found(evidence(unit=WALL, claims=THIN))["plug-practice.not-applicable"].statement
    )


@pytest.mark.hand("a plate of 20 A on a 16 A plug and 1.5 mm²; 8 A for hours is judged elsewhere")
def test_the_weakest_part_and_what_is_above_it() -> None:
    """All parts are listed with their sources; the practice for hours alone would not make it beyond."""
    over = found(evidence(claims=replace(THIN, rated_current="20 A")))["current-path.weakest"]
    coded = entry("coding resistance", readings=("1500 Ω",), instrument="meter")
    even = found(evidence(coded, claims=THIN))["current-path.weakest"]

    assert "current-path.weakest" not in found(evidence(claims=THIN)), "claims that agree are no test"
    assert (over.outcome, even.outcome) == (Outcome.BEYOND, Outcome.WITHIN)
    assert any(remark.startswith("Plug: 16 A (IECEE CEE 7") for remark in over.remarks)
    assert "judged by itself" in even.remarks[-1]
    assert over.functions == ()


@pytest.mark.published("a cord of 1.0 mm² carries 10 A (BS 7671 table 4F3A, read)")
def test_an_offer_above_the_cable_is_beyond() -> None:
    """The offer of 16 A on 1.0 mm²; of the plug there is a check of its own, and no second one here."""
    captured = capture_of(VirtualUnit())
    thin = found(evidence(captures=[captured], claims=replace(CLAIMS, cable_print="3G1.0")))
    honest = found(evidence(captures=[captured], claims=replace(CLAIMS, cable_print="3G2.5")))

    assert (thin["current-path.cable"].outcome, honest["current-path.cable"].outcome) == (
        Outcome.BEYOND,
        Outcome.WITHIN,
    )
    assert thin["current-path.cable"].functions == ("current-offer",)
    assert not thin["current-path.cable"].decisive


@pytest.mark.hand(
    "97 mΩ over 5 m is 19.4 Ω/km: it keeps 19.5 Ω/km of 1 mm², whose cord carries 10 A, and not 13.3 of 1.5"
)
def test_a_cable_is_rated_by_what_its_conductor_is_worth() -> None:
    """A print of 2.5 mm² does not carry what the copper does not: offer, claim and device are placed by the reading."""
    thin = core("97.0 mΩ ± 0.1 mΩ", "L", taps="inside")
    bench = evidence(thin, captures=[capture_of(VirtualUnit())], claims=replace(CLAIMS, cable_print="3G2.5"))
    told = found(bench)

    assert told["current-path.cable"].outcome is Outcome.BEYOND
    assert "keeps the limit of 1 mm² and no more" in told["current-path.cable"].remarks[-1]
    assert (told["overload.cable"].outcome, told["overload.cable"].evidence) == (Outcome.BEYOND, ("core-L",))
    assert told["current-path.weakest"].answer == "cable of 1 mm²"


@pytest.mark.hand("13.2 mΩ/m at 20 °C, 15.27 mΩ/m at 60 °C: 5 % is reached at 23.53 m; 13.72 mΩ/m at 30 °C: at 26.20 m")
@pytest.mark.parametrize(("longest", "outcome"), [("28 m", Outcome.BEYOND), ("25 m", Outcome.UNDECIDED)])
def test_lengths_of_the_catalogue(longest: str, outcome: Outcome) -> None:
    """The longest makes the outcome, each is told, and the length where the claim ends."""
    lengths = entry("catalogue lengths", name="cat", readings=("5 m", "10 m", longest))
    line = replace(LINE, conditions={**LINE.conditions, "taps": "inside"})
    finding = found(evidence(line, EARTH, lengths, loop("0.30 Ω ± 0.02 Ω"), device(kind="C"), claims=THIN))

    drop = finding["length-variants.drop"]
    assert drop.outcome is outcome
    assert any("beyond only what is so at the other" in remark for remark in drop.remarks)
    assert "5 m (1.06" in drop.statement
    assert "from 23.5" in drop.statement
    assert "on at the latest" in drop.statement
    assert finding["length-variants.loop"].outcome is Outcome.WITHIN


def test_joints_do_not_grow_with_the_cable() -> None:
    """Read from pin to pin alone a longer one is not accused of joints it has once; nor is its wire called thin."""
    lengths = entry("catalogue lengths", name="cat", readings=("25 m",))
    alone = found(evidence(LINE, lengths, claims=THIN))["length-variants.drop"]

    assert alone.outcome is Outcome.UNDECIDED
    assert "do not" in alone.remarks[-1]
    assert found(evidence(LINE, replace(lengths, readings=("45 m",)), claims=THIN))["length-variants.drop"].outcome is (
        Outcome.BEYOND
    )


@pytest.mark.hand(
    "62 mΩ over 5.00 m is 12.4 mΩ/m; 66.0 mΩ less that are 4 mΩ of joints: 25 m have 314 mΩ, hot 363.4 mΩ"
)
def test_a_reading_between_the_joints_tells_the_cable_apart() -> None:
    """Of a conductor that was read both ways the cable grows, the joints stay, and the wire alone bears the fault."""
    lengths = entry("catalogue lengths", name="cat", readings=("25 m",))
    neutral = core("66.0 mΩ ± 0.2 mΩ", "N")
    inside = [replace(core("62.0 mΩ ± 0.2 mΩ", name, taps="inside"), id=f"inside-{name}") for name in ("L", "N", "PE")]
    told = found(evidence(LINE, EARTH, neutral, *inside, lengths, device(kind="B"), claims=THIN))
    drop, earth = told["length-variants.drop"].quantity, told["fault-withstand.earth"].quantity

    assert drop is not None
    assert drop.value == pytest.approx(100.0 * 2.0 * 16.0 * 0.3634 / 230.0, rel=1e-3)
    assert "at the latest" not in told["length-variants.drop"].statement
    assert earth is not None
    assert earth.value == pytest.approx((115.0 * 17.241 / 12.4) ** 2, rel=2e-3)
    assert "inside-PE" in told["fault-withstand.earth"].evidence


def test_a_socket_that_is_too_weak_leaves_no_length_to_tell() -> None:
    """No length below zero, and nothing is held against the lead."""
    lengths = entry("catalogue lengths", name="cat", readings=("25 m",))
    told = found(evidence(LINE, EARTH, lengths, loop("2.60 Ω ± 0.05 Ω"), device(kind="C"), claims=THIN))

    finding = told["length-variants.loop"]
    assert finding.outcome is Outcome.UNDECIDED
    assert "−" not in finding.statement
    assert "nothing of the lead" in finding.remarks[-1]


@pytest.mark.published("50 V over 30 mA is 1667 Ω (IEC 60364-4-41 411.5.3, standing: read)")
@pytest.mark.parametrize(
    ("residual", "ohms", "outcome"),
    [("30 mA", "60 Ω ± 2 Ω", Outcome.WITHIN), ("30 mA", "1700 Ω ± 10 Ω", Outcome.BEYOND), ("", "60 Ω ± 2 Ω", None)],
)
def test_with_an_earth_electrode_the_residual_current_device_decides(
    residual: str, ohms: str, outcome: Outcome | None
) -> None:
    """A loop of tens of ohms is what an electrode has: no breaker acts on it, and none is asked to."""
    stated = {"residual_current": residual} if residual else {}
    before = device(kind="C", earthing="TT", **stated)
    told = found(evidence(LINE, EARTH, loop(ohms), before, claims=THIN))["fault-loop.disconnection"]

    assert told.outcome is (outcome or Outcome.UNDECIDED)
    assert told.limit is not None
    assert told.limit.maximum == pytest.approx(1667.0 if residual else 1.37, abs=0.01)
    assert any("nothing of the lead" in remark for remark in told.remarks) is (not residual)


@pytest.mark.parametrize(
    ("bad", "message"),
    [
        (loop("> 20 Ω"), "only a bound"),
        (loop("0.00 Ω ± 0.05 Ω"), "zero the tester's leads"),
        (device("0 A"), "must be above 0 A"),
        (entry("catalogue lengths", name="cat", readings=("0 m",)), "longer than 0 m"),
    ],
)
def test_an_entry_that_cannot_be_used_says_why(bad: Entry, message: str) -> None:
    """It is listed once under the problems and costs itself alone."""
    results = run_checks(evidence(LINE, EARTH, bad, claims=THIN))

    assert message in results.problems[0].what
    assert results.problems[0].where == f"entry {bad.id}"
    assert "voltage-drop.lead" in {finding.id for finding in results.findings}


def test_a_live_socket_has_its_cautions_before_its_steps() -> None:
    """The loop is the one live piece of work here; all others are done dead."""
    live = find_check("fault-loop").bench

    assert set(LIVE_CAUTIONS) <= set(live.cautions)
    assert "nobody touches earthed metal" in live.cautions[-1]
    for name in ("voltage-drop", "fault-withstand", "overload", "current-path", "plug-practice", "length-variants"):
        assert find_check(name).bench.level == "dead"
