"""Heating tests in a case: logs and readings of sheath, plug and conductor, placed in use at rated current."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest

from coldpin.checks.evidence import BenchEvidence, LogEvidence
from coldpin.checks.heating import run_conductor, run_plug, run_sheath
from coldpin.errors import EntryError
from coldpin.records.case import Build, Cable, CaseDescription, Claims, Specimen, UnitClass
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Outcome
from coldpin.records.instrument import Instrument
from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition

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
    conditions = {"part": "plug", "current": "16 A ± 0.1 A", "air": "21 °C ± 0.5 °C", "change": "0.5 K/h"}

    finding = only(run_plug(bench(entry("end temperature", conditions, "41.2 °C"))))

    assert finding.outcome is Outcome.WITHIN
    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(61.2, abs=1.5)


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


def test_a_column_that_is_not_there_is_named() -> None:
    """A condition that names a column which the log has not is an error of that entry, with the columns there are."""
    filed = heating_log(sheath=9.0, plug=5.0)
    wrong = LogEvidence(entry=entry("heating log", {"sheath": "T7", "current": "16 A"}, name="log"), log=filed.log)

    with pytest.raises(EntryError, match=r"no column 'T7' with a temperature .it has: 'Sheath middle'"):
        run_sheath(bench(logs=(wrong,)))
