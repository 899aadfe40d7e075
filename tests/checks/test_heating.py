"""Heating tests in a case: logs and readings of sheath, plug and conductor, placed in use at rated current."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from coldpin.checks.evidence import BenchEvidence, LogEvidence
from coldpin.checks.heating import run_conductor, run_plug, run_sheath
from coldpin.checks.heating_evidence import heated_parts
from coldpin.conclusion.statement import basis_of
from coldpin.errors import EntryError
from coldpin.records.assessment import Basis
from coldpin.records.case import Build, Cable, CaseDescription, Claims, Specimen, UnitClass
from coldpin.records.current_map import Place
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Outcome
from coldpin.records.heating import HeatedPart
from coldpin.records.instrument import Instrument
from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.simulator import VirtualUnit
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition
from tests.checks.bench import capture_of

LOGGER = Instrument(
    name="logger",
    kind="temperature logger",
    statements={"temperature": "± 0.5 °C", "resistance": "0.2 %, resolution 0.01 mΩ"},
)


def case(claims: Claims) -> CaseDescription:
    """A portable lead with these claims."""
    return CaseDescription(
        format="coldpin.case/1",
        title="Skerrow 16",
        specimen=Specimen(make="Skerrow", model="16"),
        unit=UnitClass(charging_mode=2, build=Build.PORTABLE, cable=Cable.ATTACHED),
        claims=claims,
    )


def entry(shows: str, conditions: Mapping[str, str], *readings: str, name: str = "e1", ambient: str = "") -> Entry:
    """An entry made with the logger."""
    return Entry(
        id=name,
        kind=EntryKind.READING,
        shows=shows,
        made="2026-05-02T14:30+01:00",
        recorded="2026-05-02T14:30+01:00",
        who="tester",
        readings=readings,
        conditions=dict(conditions),
        instrument="logger",
        ambient=ambient,
    )


def bench(*entries: Entry, logs: tuple[LogEvidence, ...] = (), rated: str = "16 A") -> BenchEvidence:
    """A bench with these entries."""
    return BenchEvidence(
        case=case(Claims(rated_current=rated, plug="CEE 7/7")),
        edition=Edition.IEC_3,
        book=load_book(),
        entries=(*entries, *(log.entry for log in logs)),
        instruments={"logger": LOGGER},
        logs=logs,
    )


def heating_log(*, sheath: float, plug: float, air: float = 21.0, minutes: float = 40.0) -> LogEvidence:
    """A log of sheath, plug and air under 16 A, each rising by so much with a time constant of 6 min."""
    time = np.arange(0.0, 60.0 * minutes, 10.0)
    noise = np.random.default_rng(1).normal(0.0, 0.05, (3, time.size))
    warm = -np.expm1(-np.maximum(time - 60.0, 0.0) / 360.0)

    def column(name: str, values: np.ndarray, quantity: LogQuantity = LogQuantity.TEMPERATURE) -> LogChannel:
        return LogChannel(name=name, quantity=quantity, unit="", values=values, resolution=0.1)

    log = Log(
        time_s=time,
        channels=(
            column("Sheath middle", air + sheath * warm + noise[0]),
            column("Plug face", air + plug * warm + noise[1]),
            column("Ambient", air + noise[2]),
            column("Current", np.where(time > 60.0, 16.0, 0.0), LogQuantity.CURRENT),
        ),
    )
    filed = entry("heating log", {"current": "16 A ± 0.1 A", "supply": "extra-low voltage"}, name="log")
    return LogEvidence(entry=filed, log=log)


def ended(reading: str, **conditions: str) -> Entry:
    """A reading of a part in the end at 16 A."""
    usual = {"part": "sheath", "current": "16 A ± 0.1 A", "air": "21 °C ± 0.5 °C", "change": "0.5 K/h"}
    return entry("end temperature", usual | conditions, reading)


def only(findings: tuple[Finding, ...]) -> Finding:
    """The one finding there is."""
    (finding,) = findings
    return finding


@pytest.mark.hand("air of 40 °C and the rise of the test, a little more for the warmer copper")
@pytest.mark.parametrize(
    ("sheath", "outcome"), [(9.0, Outcome.WITHIN), (19.5, Outcome.UNDECIDED), (35.0, Outcome.BEYOND)]
)
def test_a_sheath_is_placed_at_rated_current_in_the_hottest_air(sheath: float, outcome: Outcome) -> None:
    """At the current of the test the rise is carried to air of 40 °C, and placed against the sheath's 60 °C."""
    finding = only(run_sheath(bench(logs=(heating_log(sheath=sheath, plug=5.0),))))

    assert finding.outcome is outcome
    assert finding.quantity is not None
    assert finding.quantity.low is not None
    assert finding.quantity.high is not None
    assert finding.quantity.low < 40.0 + 1.04 * sheath < finding.quantity.high
    assert "fails" not in finding.statement
    assert "reckoned for air of 40 °C" in finding.statement
    assert basis_of(finding) is Basis.INFERRED


def test_a_hot_plug_is_told_apart_from_a_hot_cable() -> None:
    """Of a plug warmer than its cable its own contacts are named, of one that is cooler the cable."""
    hot = only(run_plug(bench(logs=(heating_log(sheath=10.0, plug=60.0),))))
    cool = only(run_plug(bench(logs=(heating_log(sheath=30.0, plug=12.0),))))

    assert hot.outcome is Outcome.BEYOND
    assert any("its own contacts heat it" in remark for remark in hot.remarks)
    assert cool.outcome is Outcome.WITHIN
    assert any("the cable, not the contacts" in remark for remark in cool.remarks)


def test_readings_in_the_end_serve_as_a_log_does() -> None:
    """A reading of the plug in the end, with current and air, is placed like a log's end."""
    finding = only(run_plug(bench(ended("35.2 °C", part="plug"))))

    assert finding.outcome is Outcome.WITHIN
    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(55.2, abs=1.5)


@pytest.mark.hand("40 °C and 58 − 21 = 37 K, a little more for the warmer copper: 79 °C")
def test_the_body_of_a_connector_is_held_to_what_a_hand_bears() -> None:
    """At 79 °C a body is beyond the 60 °C of what is grasped, and a pin is within the published rise of 45 K."""
    body = only(run_plug(bench(ended("58.0 °C", part="connector"))))
    pin = only(run_plug(bench(ended("58.0 °C", part="pin"))))

    assert (body.outcome, body.limit and body.limit.id) == (Outcome.BEYOND, "touch-temperature.grasped.plastic")
    assert (pin.outcome, pin.limit and pin.limit.maximum) == (Outcome.WITHIN, 85.0)


@pytest.mark.hand("21 K are 22.4 K with copper 20 K warmer: 62.4 °C; 11 % of 22.4 K less, by radiation, is 59.9 °C")
@pytest.mark.parametrize(
    ("air", "reading", "outcome"),
    [
        ("21 °C ± 0.1 °C", "42.0 °C", Outcome.UNDECIDED),
        ("39 °C ± 0.1 °C", "61.5 °C", Outcome.BEYOND),
        ("21 °C ± 0.1 °C", "52.0 °C", Outcome.BEYOND),
    ],
)
def test_what_is_beyond_only_without_radiation_in_hotter_air_is_open(air: str, reading: str, outcome: Outcome) -> None:
    """What a test in cool air leaves out accuses nobody: in air as hot the same rise is beyond."""
    finding = only(run_sheath(bench(ended(reading, air=air))))

    assert finding.outcome is outcome
    assert ("only if no more is radiated" in finding.statement) is (outcome is Outcome.UNDECIDED)


@pytest.mark.parametrize("change", ["40 K/h", "", "-40 K/h", "0.9 K/h ± 0.5 K/h"])
def test_what_still_changes_is_no_end(change: str) -> None:
    """A sheath that rises by 40 K in an hour, or of which nobody says how much it rose, is not within."""
    finding = only(run_sheath(bench(ended("30.0 °C", change=change))))

    assert finding.outcome is Outcome.UNDECIDED
    assert finding.probability is None
    assert "it is a lower end" in finding.statement


def test_what_is_too_warm_before_its_end_is_too_warm() -> None:
    """A lower end that is beyond the limit is beyond it."""
    assert only(run_sheath(bench(ended("58.0 °C", change="40 K/h")))).outcome is Outcome.BEYOND


@pytest.mark.parametrize(
    ("reading", "conditions", "asked"),
    [
        ("20.0 °C", {"air": "35 °C ± 0.5 °C"}, "the air, 35 °C, is above the sheath, 20 °C"),
        ("30.0 °C", {"current": "16000 A ± 100 A"}, "is it in milliamperes?"),
        ("303 °C", {"air": "294 °C ± 0.5 °C"}, "is it in kelvin?"),
    ],
)
def test_a_reading_that_is_asked_about_decides_nothing(reading: str, conditions: Mapping[str, str], asked: str) -> None:
    """Air above the sheath, milliamperes and kelvin by hand are asked about, and nothing is within."""
    finding = only(run_sheath(bench(ended(reading, **conditions))))

    assert finding.outcome is Outcome.UNDECIDED
    assert asked in finding.statement


def test_a_log_that_begins_warm_and_names_no_air_decides_nothing() -> None:
    """Begun five minutes late, without current and air, a log of a sheath beyond its limit would read 53 °C."""
    filed = heating_log(sheath=25.0, plug=5.0)
    warm = filed.log.channels[0]
    late = Log(time_s=filed.log.time_s[30:] - filed.log.time_s[30], channels=(replace(warm, values=warm.values[30:]),))
    unaired = LogEvidence(entry=entry("heating log", {"current": "16 A ± 0.1 A"}, name="log"), log=late)

    finding = only(run_sheath(bench(logs=(unaired,))))
    (told,) = heated_parts(bench(logs=(unaired,)), HeatedPart.SHEATH)

    assert finding.outcome is Outcome.UNDECIDED
    assert "the air around was neither told nor logged" in finding.statement
    assert told.told is not None
    assert told.told.outcome is Outcome.UNDECIDED
    assert told.told.at_rated_c is not None
    assert told.told.at_rated_c.u is None


def test_a_current_told_that_is_not_the_one_logged_decides_nothing() -> None:
    """Told 32 A and logged 16 A: which holds is asked, and nothing is within."""
    filed = heating_log(sheath=25.0, plug=5.0)
    told = replace(filed.entry, conditions={"current": "32 A ± 0.1 A"})

    finding = only(run_sheath(bench(logs=(LogEvidence(entry=told, log=filed.log),))))

    assert finding.outcome is Outcome.UNDECIDED
    assert "which holds?" in finding.statement


@pytest.mark.parametrize(
    ("reading", "claims", "outcome"),
    [
        ("34.0 °C", Claims(rated_current="16 A", max_ambient="55 °C"), Outcome.BEYOND),
        ("30.0 °C", Claims(rated_current="16 A", declared_current="32 A"), Outcome.BEYOND),
        ("30.0 °C", Claims(rated_current="16 A", max_ambient="25 °C"), Outcome.WITHIN),
        ("25.0 °C", Claims(), Outcome.UNDECIDED),
    ],
)
def test_the_use_is_the_worst_that_papers_name(reading: str, claims: Claims, outcome: Outcome) -> None:
    """The hottest air and the largest current claimed count; with no current claimed nothing follows."""
    evidence = replace(bench(ended(reading)), case=case(claims))

    finding = only(run_sheath(evidence))

    assert finding.outcome is outcome
    assert finding.quantity is None or "at 16 A" in finding.statement or "at 32 A" in finding.statement


def test_the_offer_counts_where_it_is_above_the_claims() -> None:
    """A lead of 10 A by its plate that offers 20 A is judged at 20 A."""
    evidence = replace(bench(ended("30.0 °C"), rated="10 A"), captures=(capture_of(VirtualUnit(duty=33.33)),))

    assert "at 20 A" in only(run_sheath(evidence)).statement


def test_a_second_column_of_the_sheath_hides_neither_sheath_nor_plug() -> None:
    """A column "Sheath near plug" is one more of the sheath: the worst of both is told, and the plug is judged."""
    filed = heating_log(sheath=9.0, plug=5.0)
    sheath = filed.log.channels[0]
    near = replace(sheath, name="Sheath near plug", values=sheath.values + np.linspace(0.0, 50.0, sheath.values.size))
    more = LogEvidence(entry=filed.entry, log=replace(filed.log, channels=(*filed.log.channels, near)))
    evidence = bench(logs=(more,))

    found = heated_parts(evidence, HeatedPart.SHEATH)
    assert [one.told.column for one in found if one.told is not None] == ["Sheath middle", "Sheath near plug"]
    assert only(run_sheath(evidence)).outcome is not Outcome.WITHIN
    assert only(run_plug(evidence)).outcome is Outcome.WITHIN


def test_a_difference_within_the_doubt_names_no_cause() -> None:
    """A plug 0.2 K above its cable by thermometers of ± 2 K is said to be heated by neither."""
    readings = (ended("35.0 °C ± 2 °C"), replace(ended("35.2 °C ± 2 °C", part="plug"), id="p"))

    finding = only(run_plug(bench(*readings)))

    assert any("do not tell which heats the other" in remark for remark in finding.remarks)


def test_without_the_accuracy_of_the_thermometer_nothing_is_decided() -> None:
    """A log of an instrument without a statement gives bounds by its readings, and no outcome."""
    filed = heating_log(sheath=9.0, plug=5.0)
    unstated = bench(logs=(filed,))
    unstated = BenchEvidence(
        case=unstated.case,
        edition=unstated.edition,
        book=unstated.book,
        entries=unstated.entries,
        instruments={"logger": Instrument(name="logger", kind="temperature logger")},
        logs=unstated.logs,
    )

    finding = only(run_sheath(unstated))

    assert finding.outcome is Outcome.UNDECIDED
    assert finding.quantity is not None
    assert finding.quantity.u is None


def test_a_test_stopped_early_decides_nothing() -> None:
    """Two minutes of heating leave the upper end open."""
    finding = only(run_sheath(bench(logs=(heating_log(sheath=9.0, plug=5.0, minutes=3.5),))))

    assert finding.outcome is Outcome.UNDECIDED
    assert "go on with the test" in finding.statement


@pytest.mark.hand("40 mΩ at 21 °C are 43.9 mΩ at 45.9 °C by R = 40 (1 + 0.00393 (t − 20)) / 1.00393")
def test_the_conductor_is_its_own_thermometer() -> None:
    """From the resistance hot and cold follows the conductor's temperature, and what it is in use."""
    conditions = {
        "cold resistance": "40.00 mΩ ± 0.08 mΩ",
        "cold temperature": "21 °C ± 0.5 °C",
        "current": "16 A ± 0.1 A",
        "air": "21 °C ± 0.5 °C",
    }

    finding = only(run_conductor(bench(entry("hot conductor resistance", conditions, "43.90 mΩ"))))

    hot = 20.0 + (43.9 / 40.0 * 1.00393 - 1.0) / 0.00393
    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(40.0 + (hot - 21.0) * 1.06, abs=0.6)


def conductor_log(warm: float, conditions: Mapping[str, str]) -> LogEvidence:
    """The heating log with a conductor of 40 mΩ at 21 °C beside, which warms by so much; meter to 0.01 mΩ."""
    filed = heating_log(sheath=9.0, plug=5.0)
    rise = warm * -np.expm1(-np.maximum(filed.log.time_s - 60.0, 0.0) / 330.0)
    noise = np.random.default_rng(2).normal(0.0, 5e-6, rise.size)
    ohms = 0.040 * (1.0 + 0.00393 * (1.0 + rise)) / 1.00393 + noise
    column = LogChannel(name="R line", quantity=LogQuantity.RESISTANCE, unit="Ω", values=ohms.round(5), resolution=1e-5)
    stated = {
        **filed.entry.conditions,
        "cold resistance": "40.00 mΩ ± 0.08 mΩ",
        "cold temperature": "21 °C ± 0.5 °C",
        **conditions,
    }
    log = replace(filed.log, channels=(*filed.log.channels, column))
    return LogEvidence(entry=replace(filed.entry, conditions=stated), log=log)


@pytest.mark.hand(
    "13 K in air of 21 °C are 13 K · 1.09 to 1.08 in air of 40 °C; the meter's 0.2 % twice is 0.43 K · 2.6"
)
def test_a_logged_resistance_tells_the_conductor() -> None:
    """The log of a case gives the conductor's end, with what meter, cold reading and cold metal err by."""
    finding = only(run_conductor(bench(logs=(conductor_log(13.0, {}),))))

    assert finding.outcome is Outcome.WITHIN
    assert finding.evidence == ("log",)
    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(40.0 + 13.0 * 1.067, abs=0.3)
    assert finding.quantity.expanded is not None
    assert 1.0 < finding.quantity.expanded < 2.5
    assert any(remark.startswith("The conductor comes") or "interval" in remark for remark in finding.remarks)


def test_without_the_meters_accuracy_a_logged_resistance_decides_nothing_and_asks() -> None:
    """A thermometer's statement says nothing of the meter: the remark says what to state, and of which instrument."""
    named = only(run_conductor(bench(logs=(conductor_log(13.0, {"resistance meter": "milliohmmeter"}),))))
    bare = conductor_log(13.0, {"cold resistance": "40.00 mΩ", "cold temperature": "21 °C"})
    unread = BenchEvidence(
        case=bench().case,
        edition=Edition.IEC_3,
        book=load_book(),
        entries=(bare.entry,),
        instruments={"logger": replace(LOGGER, statements={"temperature": "± 0.5 °C"})},
        logs=(bare,),
    )
    unstated = only(run_conductor(unread))

    for finding, meter in ((named, "milliohmmeter"), (unstated, "logger")):
        assert finding.outcome is Outcome.UNDECIDED
        assert finding.quantity is not None
        assert finding.quantity.u is None
        assert any(f"State it on the shelf, of '{meter}', as 'resistance'" in one for one in finding.remarks)
        assert any("the resistance meter's accuracy is not stated" in one for one in finding.remarks)
        assert not any("the thermometer's accuracy" in one for one in finding.remarks)
    stated = only(run_conductor(bench(logs=(bare,))))
    assert stated.outcome is Outcome.WITHIN


def test_a_logged_resistance_without_the_cold_one_is_no_conductor() -> None:
    """A column of ohms alone tells nothing of warmth; a cold resistance without such a column is an error."""
    filed = conductor_log(13.0, {"cold resistance": ""})
    assert run_conductor(bench(logs=(filed,))) == ()
    assert len(run_sheath(bench(logs=(filed,)))) == 1

    cold = {"cold resistance": "40 mΩ", "cold temperature": "21 °C", "current": "16 A ± 0.1 A"}
    bare = LogEvidence(entry=entry("heating log", cold, name="log"), log=heating_log(sheath=9.0, plug=5.0).log)
    with pytest.raises(EntryError, match="the log has no column with a resistance"):
        run_conductor(bench(logs=(bare,)))
    with pytest.raises(EntryError, match=r"no column 'R7' with a resistance .it has: 'R line'"):
        run_conductor(bench(logs=(conductor_log(13.0, {"conductor": "R7"}),)))
    with pytest.raises(EntryError, match="'cold temperature' is missing"):
        run_conductor(bench(logs=(conductor_log(13.0, {"cold temperature": ""}),)))


def test_a_cold_resistance_without_its_own_limits_has_those_of_the_meter() -> None:
    """Hot and cold read with one instrument of the shelf: its statement holds for both, and something is decided."""
    conditions = {
        "cold resistance": "40.00 mΩ",
        "cold temperature": "21 °C",
        "current": "16 A ± 0.1 A",
        "air": "21 °C ± 0.5 °C",
        "change": "0.5 K/h",
    }
    finding = only(run_conductor(bench(entry("hot conductor resistance", conditions, "43.90 mΩ"))))

    assert finding.quantity is not None
    assert finding.quantity.u is not None


@pytest.mark.hand("60 °C of the least insulation less 0.6 · 25.8 K and U; 60 °C less U; 21 °C + 45 K less U")
def test_a_log_of_a_case_tells_the_lowest_reading_to_stop_at() -> None:
    """The metal of a lead of unknown print comes before the hand where the sheath rises by much; a pin has no hand."""
    filed = heating_log(sheath=25.0, plug=5.0)
    of_sheath, of_pin = (
        only_stops(bench(logs=(replace(filed, entry=replace(filed.entry, conditions=more)),)), part)
        for part, more in (
            (HeatedPart.SHEATH, dict(filed.entry.conditions)),
            (HeatedPart.PIN, {**filed.entry.conditions, "pin": "Plug face"}),
        )
    )

    assert list(of_sheath) == [Place.METAL, Place.SHEATH, Place.ACCESSORY]
    assert of_sheath[Place.METAL] == pytest.approx(60.0 - 0.6 * 25.8 - 0.5, abs=0.4)
    assert of_sheath[Place.SHEATH] == pytest.approx(59.5, abs=0.1)
    assert list(of_pin) == [Place.METAL, Place.ACCESSORY]
    assert of_pin[Place.METAL] == pytest.approx(59.5, abs=0.1)


def only_stops(evidence: BenchEvidence, part: HeatedPart) -> dict[Place, float]:
    """The readings to stop at of the one log of a part, lowest first."""
    (heated,) = heated_parts(evidence, part)
    assert heated.told is not None
    assert heated.told.stops is not None
    return {one.place: one.reading for one in heated.told.stops.values}


def test_a_column_that_is_not_there_is_named() -> None:
    """A condition that names a column which the log has not is an error of that entry, with the columns there are."""
    filed = heating_log(sheath=9.0, plug=5.0)
    wrong = LogEvidence(entry=entry("heating log", {"sheath": "T7", "current": "16 A"}, name="log"), log=filed.log)

    with pytest.raises(EntryError, match=r"no column 'T7' with a temperature .it has: 'Sheath middle'"):
        run_sheath(bench(logs=(wrong,)))


@pytest.mark.published("IEC 62196-1 and IEC 60309-1, from memory: contacts of a coupler rise by no more than 50 K")
def test_the_pins_of_a_fixed_unit_are_those_of_its_connector() -> None:
    """It has no household plug, so its pins have the rise of a vehicle coupler; a lead's have that of its plug."""
    conditions = {"part": "pin", "current": "16.0 A ± 0.1 A", "air": "21.0 °C ± 0.5 °C", "change": "0.5 K/h"}
    lead = bench(entry("end temperature", conditions, "60.0 °C"))
    wall = replace(lead, case=replace(lead.case, unit=replace(lead.case.unit, charging_mode=3, build=Build.FIXED)))

    of_lead, of_wall = (run_plug(each)[0].limit for each in (lead, wall))

    assert of_lead is not None
    assert of_wall is not None
    assert (of_lead.id, of_wall.id) == ("accessory.rise.household", "accessory.rise.coupler")
