"""What limits the current under a condition of use: each part by name, the least first."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks.use_currents import use_bounds
from coldpin.records.case import Claims
from coldpin.records.scenario import Circuit, Circumstances
from coldpin.records.use import Coiled, CurrentBound, CurrentKind, Use
from coldpin.simulator import VirtualUnit
from tests.checks.bench import CLAIMS, WALL, capture_of, entry, evidence

SHED = Use(id="", name="shed", circumstances=Circumstances(), coiled=Coiled.NO, hours=6.0, ambient=30.0)
EV = replace(CLAIMS, cable_print="EV-CABLE 3G2.5 + 2X0.5 450/750 V")
CORE = entry(
    "conductor resistance four-wire",
    readings=("37.1 mΩ ± 0.2 mΩ",),
    conditions={
        "conductor": "L",
        "length": "5.00 m ± 5 mm",
        "temperature": "20.0 °C ± 0.5 °C",
        "test current": "1.0 A ± 0.01 A",
        "time since switch-on": "5 s",
        "coating": "plain",
    },
)


def bounds(use: Use, claims: Claims = EV, **more: object) -> dict[CurrentKind, CurrentBound]:
    """The bounds by kind."""
    found = use_bounds(evidence(CORE, claims=claims, **more), use)  # type: ignore[arg-type]  # passed on as it is
    assert [one.current_a for one in found] == sorted(one.current_a for one in found)
    return {one.kind: one for one in found}


@pytest.mark.published("DIN VDE 0298-4 table 11 column 5: 2.5 mm² bears 26 A at 30 °C (read)")
def test_a_cable_bears_the_row_of_its_size_and_less_when_coiled() -> None:
    """Laid out 26 A; where it may lie coiled the factor comes off, and what it bears laid out stands beside it."""
    laid, coiled = bounds(SHED)[CurrentKind.CABLE], bounds(replace(SHED, coiled=Coiled.UNKNOWN))[CurrentKind.CABLE]

    assert (laid.current_a, laid.if_laid_out) == (26.0, None)
    assert coiled.current_a < laid.current_a
    assert coiled.if_laid_out == 26.0


@pytest.mark.published("IEC 62752:2016, note for Denmark: a household plug charges at 8 A for more than 2 h (read)")
def test_a_household_plug_bears_less_for_hours() -> None:
    """Where no country is named the least known counts, and only for longer than the text says."""
    for_hours = bounds(SHED)

    assert for_hours[CurrentKind.PRACTICE].current_a == 8.0
    assert "as none is named" in for_hours[CurrentKind.PRACTICE].because
    assert CurrentKind.PRACTICE not in bounds(replace(SHED, hours=2.0))
    assert for_hours[CurrentKind.PLUG].current_a == 16.0


@pytest.mark.published("NEC 625.41: a continuous load takes no more than 80 % of its circuit; 80 % of 16 A is 12.8 A")
def test_a_rule_of_a_country_bounds_the_circuit() -> None:
    """Of that country alone; a device that is less than the circuit counts."""
    circuit = replace(SHED, supply_a=20.0, device="C16", country="US")

    assert bounds(circuit)[CurrentKind.RULE].current_a == pytest.approx(12.8)
    assert bounds(circuit)[CurrentKind.DEVICE].current_a == 16.0
    assert CurrentKind.RULE not in bounds(replace(circuit, country="PT"))


@pytest.mark.hand("37.1 mΩ out, as much ± 5 % back, at 60 °C: 0.0859 Ω, at its end 2.4 % more; 5 % of 230 V: 130.8 A")
def test_the_drop_bounds_the_current_where_the_line_was_measured() -> None:
    """A lead's own drop is rarely the weakest part; without a resistance nothing is said."""
    drop = bounds(SHED)[CurrentKind.DROP]

    hot = 2 * 0.0371 * (1 + 0.00393 * 40)
    assert drop.current_a == pytest.approx(0.05 * 230.0 / (1.024 * hot), rel=0.005)
    assert drop.entries == ("e1",)
    assert CurrentKind.DROP not in {one.kind for one in use_bounds(evidence(claims=EV), SHED)}


@pytest.mark.independent("virtual unit of nominal parts: 26.67 % is 16 A")
def test_the_offer_is_that_of_the_captures() -> None:
    """With how far it may lie above a rating and be as it should."""
    offer = bounds(SHED, captures=(capture_of(VirtualUnit()),))[CurrentKind.OFFER]

    assert offer.current_a == pytest.approx(16.0, abs=0.1)
    assert 0.0 < offer.allowed_a < 1.0


def test_a_wall_unit_has_a_circuit_of_its_rating_and_no_plug() -> None:
    """Taken to be made for it, and said to be taken."""
    own = replace(SHED, circumstances=replace(SHED.circumstances, circuit=Circuit.OWN))
    told = bounds(own, claims=replace(EV, rated_current="32 A"), unit=WALL)

    assert told[CurrentKind.CIRCUIT].current_a == 32.0
    assert "taken to be" in told[CurrentKind.CIRCUIT].because
    assert CurrentKind.PLUG not in told


@pytest.mark.hand(
    "37 K at 16 A, known to about 1 K; 60 °C in air of 30 °C leaves 30 K, so 16 A · √(30/38) or a little less"
)
def test_what_a_hand_bears_bounds_the_connector_before_its_contacts_do() -> None:
    """The limit that its finding is judged by: never a larger current than that at which the finding is beyond."""
    ended = entry(
        "end temperature",
        readings=("58.0 °C ± 0.5 °C",),
        conditions={"part": "connector", "current": "16 A ± 0.1 A", "air": "21 °C ± 0.5 °C", "change": "0.5 K/h"},
    )
    found = {one.kind: one for one in use_bounds(evidence(ended, claims=EV), SHED)}
    heated = found[CurrentKind.HEATING]

    assert heated.limit is not None
    assert heated.limit.id == "touch-temperature.grasped.plastic"
    assert 12.5 < heated.current_a < 16.0 * (30.0 / 37.0) ** 0.5
    assert "60 °C in air of 30 °C" in heated.because
