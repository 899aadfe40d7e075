"""What a warm sheath says of the metal below it: beside a known cable, by the film alone, and by the metal itself."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pytest

from coldpin.checks import method
from coldpin.checks.cable_comparison import run as run_comparison
from coldpin.checks.conductor_metal import cores_told
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.heated_metal import metal_by_heat
from coldpin.checks.heating import PLUG_HEATING, TEMPERATURE_RISE, run_conductor
from coldpin.checks.lead_map import lead_map
from coldpin.errors import EntryError
from coldpin.records.case import Claims
from coldpin.records.current_map import Place
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from coldpin.records.instrument import Instrument
from coldpin.records.metal import MetalEvidenceKind
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition
from tests.checks.test_heating import case, entry

CORD = Claims(rated_current="16 A", plug="CEE 7/7", cable_print="H05VV-F 3G2.5", max_ambient="40 °C")
SHELF = {
    "logger": Instrument(
        name="logger",
        kind="temperature logger and low-ohm meter",
        statements={
            "temperature": "± 0.4 °C",
            "resistance": "0.05 %, resolution 0.001 mΩ",
            "length": "0.1 mm, resolution 0.01 mm",
        },
    )
}
AT = {"current": "20.0 A ± 0.05 A", "air": "25.0 °C ± 0.4 °C", "lies": "free air"}
ACROSS = entry("cable diameter", {}, "11.2 mm", "11.3 mm", "11.1 mm", name="across")


def bench(*entries: Entry, claims: Claims = CORD) -> BenchEvidence:
    """A bench with these entries, made with the instruments of the shelf."""
    return BenchEvidence(case=case(claims), edition=Edition.IEC_3, book=load_book(), entries=entries, instruments=SHELF)


def sheath(reading: str, **more: str) -> Entry:
    """The sheath in the end."""
    return entry("end temperature", {"part": "sheath", "change": "0.2 K/h", **AT, **more}, reading, name="sheath")


def known(reading: str, **more: str) -> Entry:
    """A cord of 2.5 mm² beside it, just within its class."""
    stated = {"resistance": "7.80 Ω/km ± 0.03 Ω/km", "size": "2.5 mm2", "diameter": "11.2 mm ± 0.1 mm", **AT}
    return entry("known cable in the same loop", {**stated, **more}, reading, name="known")


def only(findings: tuple[Finding, ...]) -> Finding:
    """The one finding there is."""
    (finding,) = findings
    return finding


@pytest.mark.hand("one film for both: R'x/R'k is near ΔTx/ΔTk to the power 1.25; warmer metal takes a few %")
@pytest.mark.parametrize(("reading", "outcome"), [("39.0 °C", Outcome.UNDECIDED), ("46.0 °C", Outcome.BEYOND)])
def test_a_known_cable_tells_a_thin_one(reading: str, outcome: Outcome) -> None:
    """As warm as the known cable says nothing against it; half as warm again over the air says too little copper."""
    finding = only(run_comparison(bench(ACROSS, sheath(reading), known("39.0 °C"))))

    assert finding.outcome is outcome
    assert finding.quantity is not None
    assert finding.quantity.expanded is not None
    ratio = (float(reading.split()[0]) - 25.0) / 14.0
    # the metal is a fifth of the sheath's rise warmer than the sheath
    warmer = (1.0 + 0.00393 * (5.0 + 1.2 * 14.0 * ratio)) / (1.0 + 0.00393 * (5.0 + 1.2 * 14.0))
    assert finding.quantity.value == pytest.approx(7.80 * ratio**1.25 / warmer, rel=0.04)
    assert finding.quantity.expanded < 0.12 * finding.quantity.value
    assert finding.evidence == ("sheath", "known", "across")


def test_the_film_alone_tells_less_than_a_known_cable() -> None:
    """Both ways find the same metal; the known cable halves what is not known of it."""
    (alone,) = metal_by_heat(bench(ACROSS, sheath("45.0 °C")))
    (beside,) = metal_by_heat(bench(ACROSS, sheath("45.0 °C"), known("39.0 °C")))

    assert not alone.beside_known
    assert beside.beside_known
    assert alone.per_kilometre.expanded is not None
    assert beside.per_kilometre.expanded is not None
    assert beside.per_kilometre.expanded < 0.7 * alone.per_kilometre.expanded
    assert run_comparison(bench(ACROSS, sheath("45.0 °C"))) == ()


def test_what_does_not_belong_together_is_not_compared() -> None:
    """Another current is another loop; a coil says nothing; a cable that lay otherwise or is no like one is refused."""
    assert run_comparison(bench(sheath("45.0 °C"), known("39.0 °C", current="16 A ± 0.1 A"))) == ()
    assert metal_by_heat(bench(sheath("45.0 °C", lies="coiled"))) == ()
    with pytest.raises(EntryError, match="did not lie as the lead did"):
        run_comparison(bench(sheath("45.0 °C"), known("39.0 °C", lies="on a surface")))
    with pytest.raises(EntryError, match="diameters differ by less than"):
        run_comparison(bench(sheath("45.0 °C"), known("39.0 °C", diameter="25 mm ± 0.1 mm")))


def test_the_heating_enters_the_estimate_of_the_metal() -> None:
    """A magnet and a warm sheath: the resistance by heat is among the evidence, and of the earth core it is not."""
    bare = bench(ACROSS, sheath("46.0 °C"), known("39.0 °C"), magnet("L"), magnet("PE"))
    line, earth = cores_told(bare)

    assert [one.kind for one in line.estimate.evidence if one.used] == [
        MetalEvidenceKind.HEATING,
        MetalEvidenceKind.MAGNET,
    ]
    assert MetalEvidenceKind.HEATING not in [one.kind for one in earth.estimate.evidence]


def magnet(conductor: str) -> Entry:
    """A hand magnet that does not stick."""
    from dataclasses import replace

    asked = entry("magnet at the wires", {"conductor": conductor}, name=f"magnet {conductor}")
    return replace(asked, answer="no", instrument="")


@pytest.mark.hand("R = 40 mΩ · (1 + 25 K / (1/0.00393 − 20 + 25) K) at 50 °C, cooling with 300 s")
def test_readings_after_switching_off_are_led_back() -> None:
    """Six readings from 10 s on tell the metal at the moment of switching off, and say so."""
    finding = only(run_conductor(bench(after())))

    assert finding.outcome is Outcome.WITHIN
    assert finding.quantity is not None
    # in air of 40 °C the metal resists 2.5 % more: 25 K · 0.656 where heat is led away, 25 K · 0.656^0.8 in free air;
    # 0 to 13 % more for the metal's first quick fall
    assert 40.0 + 25.0 * 0.656 < finding.quantity.value < 40.0 + 25.0 * 1.13 * 0.656**0.8
    assert any("its first quick fall, up to 13% of its rise, is allowed for" in remark for remark in finding.remarks)
    assert any(remark.startswith("Led back over 10 s") for remark in finding.remarks)
    for change, said in (("", "it was not written down"), ("9 K/h", "it still changed by 9.0 K/h")):
        early = only(run_conductor(bench(after({"change": change}))))
        assert early.outcome is Outcome.UNDECIDED
        assert said in early.statement
    with pytest.raises(EntryError, match="6 readings at 5 times"):
        run_conductor(bench(after({"times": "10 s, 20 s, 30 s, 60 s, 90 s"})))
    with pytest.raises(EntryError, match="'times' is missing"):
        run_conductor(bench(after({"times": ""})))


def after(more: Mapping[str, str] | None = None) -> Entry:
    """Six readings of a conductor that was at 50 °C when the load went off."""
    times = (10.0, 20.0, 30.0, 60.0, 90.0, 120.0)
    above = 40.0 * 25.0 / (1.0 / 0.00393 - 20.0 + 25.0)
    shown = [f"{40.0 + above * math.exp(-time / 300.0):.3f} mΩ" for time in times]
    stated = {
        "times": ", ".join(f"{time:g} s" for time in times),
        "cold resistance": "40.000 mΩ ± 0.02 mΩ",
        "cold temperature": "25.0 °C ± 0.3 °C",
        "current": AT["current"],
        "air": AT["air"],
        "change": "0.5 K/h",
    }
    return entry("conductor resistance after switch-off", {**stated, **(more or {})}, *shown, name="after")


def test_sheath_and_conductor_are_held_against_each_other() -> None:
    """A sheath of 44 °C goes with a metal near 52 °C; one of 31 °C does not, and then nothing is decided."""
    agree = only(run_conductor(bench(ACROSS, sheath("44.0 °C"), after())))
    differ = only(run_conductor(bench(ACROSS, sheath("31.0 °C"), after())))

    assert any("by its sheath: they agree" in remark for remark in agree.remarks)
    assert agree.outcome is Outcome.WITHIN
    assert any("differ by more than their uncertainties allow" in remark for remark in differ.remarks)
    assert differ.outcome is Outcome.UNDECIDED


def test_stop_values_come_from_the_tables_with_their_names() -> None:
    """Both heating procedures tell hand, insulation and plug, lowest first, rises last."""
    for check in (TEMPERATURE_RISE, PLUG_HEATING):
        told = [stop for stop in method(check, load_book()).stop_values if stop.startswith("Stop at ")]
        assert [stop.partition(":")[0] for stop in told[-3:]] == [
            "Stop at 60 °C",
            "Stop at 70 °C",
            "Stop at 45 K over the air",
        ]
        assert all("standing: " in stop for stop in told[-3:])


def test_the_map_takes_the_measured_diameter_and_the_hot_plug() -> None:
    """A diameter by calliper is named; a plug of 20 K at 20 A comes to 45 K at some 30 A."""
    read = entry(
        "conductor resistance four-wire",
        {"conductor": "L", "length": "5.00 m ± 5 mm", "temperature": "20 °C ± 0.5 °C", "coating": "plain"},
        "37.000 mΩ",
        name="line",
    )
    plug = entry("end temperature", {"part": "plug", "change": "0.2 K/h", **AT}, "45.0 °C", name="plug")
    bare, told = lead_map(bench(read)), lead_map(bench(read, ACROSS, plug))

    assert bare is not None
    assert told is not None
    assert "11.2 mm across as measured, layers as usual" in told.cable
    assert told.entries == ("line", "across", "plug")
    assert [line.place for line in bare.lines] == [Place.METAL, Place.SHEATH]
    *_, line, body = told.lines
    assert (line.place, body.place) == (Place.ACCESSORY, Place.BODY)
    at = line.middle[told.ambient.index(40.0)]
    assert at is not None
    # (45/20)^(1/2) · 20 A where heat is led away, (45/20)^(5/8) · 20 A in free air, less for the warmer metal
    assert 20.0 * math.sqrt(45.0 / 20.0) * 0.9 < at < 20.0 * (45.0 / 20.0) ** 0.625


@pytest.mark.hand("20 K at 20 A ± 1 A, anywhere within: 2 · 20 K · 1/20/√3")
def test_what_is_not_known_of_the_current_is_in_the_rise_of_a_plug() -> None:
    """At another current the rise goes as the square of the one it was read at, and so does its doubt."""
    read = entry(
        "conductor resistance four-wire",
        {"conductor": "L", "length": "5.00 m ± 5 mm", "temperature": "20 °C ± 0.5 °C", "coating": "plain"},
        "37.000 mΩ",
        name="line",
    )

    def doubt(current: str) -> float | None:
        plug = entry("end temperature", {"part": "plug", "change": "0.2 K/h", **AT, "current": current}, "45.0 °C")
        drawn = lead_map(bench(read, ACROSS, plug))
        assert drawn is not None
        assert drawn.lead is not None
        assert drawn.lead.body is not None
        return drawn.lead.body.rise_u

    sure, unsure = doubt("20.0 A ± 0.001 A"), doubt("20.0 A ± 1 A")
    assert sure is not None
    assert unsure is not None
    assert math.sqrt(unsure**2 - sure**2) == pytest.approx(2.0 / math.sqrt(3.0), rel=1e-3)
    assert doubt("20.0 A") is None
