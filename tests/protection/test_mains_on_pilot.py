"""Mains on the pilot, against a simulated circuit, sums over a sine and arithmetic by hand."""

from __future__ import annotations

import json
import math
import subprocess
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.cli import main
from coldpin.errors import OutsideRange, UnknownName
from coldpin.protection.mains_on_pilot import car_input, half_wave, mains_on_pilot
from coldpin.records.person import Wetness
from coldpin.standards.book import load_book
from coldpin.workbench.body import tell_mains_on_pilot

BOOK = load_book()


@pytest.mark.hand("325.27 V over 1000 + 2740 + 0.3 ohm, half of it r.m.s.; drop of 0.55 V taken off the peak")
def test_a_car_in_state_b_behind_the_source_resistor() -> None:
    """Peak, r.m.s. and power by Ohm's law; the resistor of a quarter watt takes twenty times that."""
    seen = car_input(BOOK, voltage=230.0, series=1000.0, state="B", earth=0.3)

    assert seen.peak_current_a == pytest.approx((230.0 * math.sqrt(2.0) - 0.55) / 3740.3, rel=1e-9)
    assert seen.rms_current_a == pytest.approx(0.5 * 325.27 / 3740.3, rel=0.004)
    assert seen.power_w == pytest.approx(5.18, abs=0.03)
    assert seen.reverse_peak_v == pytest.approx(325.27, abs=0.01)
    assert seen.body_v == pytest.approx(0.3 * seen.peak_current_a)


@pytest.mark.independent("sums over a sampled sine")
@given(peak=st.floats(2.0, 400.0), share=st.floats(0.0, 0.9), ohms=st.floats(1.0, 1e4))
def test_half_a_wave_is_what_its_samples_sum_to(peak: float, share: float, ohms: float) -> None:
    """Mean and r.m.s. by the midpoint rule over one period."""
    angles = (np.arange(4000) + 0.5) * 2.0 * math.pi / 4000.0
    current = np.maximum(peak * np.sin(angles) - share * peak, 0.0) / ohms

    highest, rms, mean = half_wave(peak=peak, drop=share * peak, resistance=ohms)

    assert highest == pytest.approx(float(np.max(current)), rel=1e-4)
    assert rms == pytest.approx(math.sqrt(float(np.mean(current**2))), rel=1e-3)
    assert mean == pytest.approx(float(np.mean(current)), rel=1e-3)


@pytest.mark.independent("ngspice, a diode with an exponential characteristic of its own")
@pytest.mark.parametrize(("state", "load"), [("B", "R2 n 0 2740"), ("C", "R2 n 0 2740\nR3 n 0 1300")])
def test_a_simulated_car_takes_the_same_power(ngspice: str, tmp_path: Path, state: str, load: str) -> None:
    """Power in the resistors within 1 % and the diode's reverse voltage within 1 V of the circuit's."""
    lines = [
        "mains on pilot",
        "V1 src 0 SIN(0 325.269 50)",
        "R1 src cp 1000",
        "D1 cp n pilot",
        load,
        ".model pilot D(IS=2.5n N=1.75 RS=0.57)",
        ".tran 10u 40m 20m 10u",
        ".control",
        "set wr_singlescale",
        "run",
        "wrdata seen.txt v(n) v(cp)",
        "quit 0",
        ".endc",
        ".end",
        "",
    ]
    (tmp_path / "circuit.cir").write_text("\n".join(lines), encoding="ascii")
    subprocess.run([ngspice, "-b", "circuit.cir"], cwd=tmp_path, check=True, capture_output=True, timeout=60)
    time, across, contact = np.loadtxt(tmp_path / "seen.txt").T
    seen = car_input(BOOK, voltage=230.0, series=1000.0, state=state, earth=0.0)
    span = time[-1] - time[0]
    power = float(np.trapezoid(across**2, time)) / span / seen.resistance_ohm

    assert seen.power_w == pytest.approx(power, rel=0.01)
    assert seen.reverse_peak_v == pytest.approx(-float(np.min(contact)), abs=1.0)
    assert seen.forward_peak_v == pytest.approx(float(np.max(across)), rel=0.01)


def test_the_source_resistor_helps_and_does_not_save() -> None:
    """Through 1 kΩ less flows than past it, wet no less than dry, and a car's resistors take more of it still."""
    dry = mains_on_pilot(BOOK, voltage=230.0)
    wet = mains_on_pilot(BOOK, voltage=230.0, wetness=Wetness.SALT_WATER)
    through, past = dry.situations

    assert through.contact.current_ma < past.contact.current_ma
    assert through.car_body.current_ma < through.contact.current_ma
    assert wet.situations[0].contact.current_ma >= through.contact.current_ma
    assert through.contact.zone.value == "AC-4.3"
    assert through.source_power_w == pytest.approx(through.car.rms_current_a**2 * 1000.0)
    assert past.source_power_w is None
    assert mains_on_pilot(BOOK, voltage=230.0, bridge=1e6).situations[1].contact.zone.value == "AC-1"


def test_the_command_prints_both_situations(capsys: pytest.CaptureFixture[str]) -> None:
    """In words and as JSON; a break time that is shown lowers the zone."""
    assert main(["mains-on-pilot", "--state", "B", "--time", "0.03 s", "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)
    assert plain["schema"] == "coldpin.mains_on_pilot/1"
    assert [one["series_ohm"] for one in plain["situations"]] == [1000.0, 0.0]
    assert [one["contact"]["zone"] for one in plain["situations"]] == ["AC-3", "AC-3"]
    assert main(["mains-on-pilot", "--bridge", "10 kΩ", "--earth", "50 mΩ"]) == 0
    assert "never shown to be broken" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("given", "kind", "message"),
    [
        ({"state": "A"}, UnknownName, "B, C, D"),
        ({"bridge": "-1 Ω"}, OutsideRange, "above 0 Ω"),
        ({"voltage": "0.1 V"}, OutsideRange, "does not exceed the diode's drop"),
    ],
)
def test_what_cannot_be_is_refused(given: dict[str, str], kind: type[Exception], message: str) -> None:
    """One message each."""
    with pytest.raises(kind, match=message):
        tell_mains_on_pilot(**given)


def test_the_formula_refuses_no_resistance() -> None:
    """Neither none in series nor a fault below zero."""
    with pytest.raises(OutsideRange, match="must be above 0 Ω"):
        half_wave(peak=325.0, drop=0.7, resistance=0.0)
    with pytest.raises(OutsideRange, match="0 Ω or more"):
        mains_on_pilot(BOOK, voltage=230.0, bridge=-1.0)
