"""The command on tests with residual currents: rows, boxes, times by hand, a capture, bad input."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from coldpin.cli import main
from coldpin.simulator import VirtualScope, VirtualSensor, set_up_bench
from coldpin.simulator.export import as_npz
from coldpin.simulator.residual import VirtualSafeguard
from coldpin.simulator.residual_capture import Shot, simulate_residual

SIX = [text for way in ("--one-way", "--other-way") for _ in range(3) for text in (way, "24 ms")]


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    """Exit code, what was printed and what was remarked."""
    code = main(["trip-test", *words])
    printed = capsys.readouterr()
    return code, printed.out, printed.err


@pytest.mark.hand("230 V over 30 mA, a tenth more current at most")
def test_rows_and_boxes_are_printed_without_any_time(capsys: pytest.CaptureFixture[str]) -> None:
    """What is asked, and what drives it."""
    code, out, _ = run(capsys, "--supply", "230 V")

    assert code == 0
    assert "acts within 0.04 s" in out
    assert "6970 Ω to 7667 Ω" in out
    assert "Standing: read" in out


@pytest.mark.hand("24 ms of 300 ms at 31.5 mA")
def test_times_are_placed_and_the_record_is_json(capsys: pytest.CaptureFixture[str]) -> None:
    """Within for six operations; the document names its schema, and every quantity has its form."""
    code, out, _ = run(
        capsys, "--current", "31.5 mA ± 1.5 mA", *SIX, "--accuracy", "1 % + 1 ms", "--in-cable", "--json"
    )
    told = json.loads(out)

    assert code == 0
    assert told["schema"] == "coldpin.trip_test/1"
    (placed,) = told["placements"]
    assert (placed["row"]["name"], placed["outcome"], placed["operations"]) == ("threshold", "within", 6)
    assert set(placed["measured"]) >= {"value", "u", "unit", "dof", "low", "high"}
    assert len(told["rows"]) == 6


@pytest.mark.independent("a virtual capture of six currents")
def test_a_capture_is_read_and_judged(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """From the file alone, with what is said of sensor and scope."""
    bench = set_up_bench(
        VirtualScope(full_scale=4.0, bits=12, noise=0.002, gain_limit=0.005),
        seed=4,
        sensor=VirtualSensor(delay=0.001),
    )
    shots = [Shot(current=31.0, way=way, lasts=0.3) for _ in range(3) for way in ("0°", "180°")]
    taken = simulate_residual(VirtualSafeguard(), shots, bench, seed=4)
    path = tmp_path / "leak.npz"
    path.write_bytes(as_npz(taken.waveform))
    code, out, err = run(
        capsys,
        *("--capture", str(path), "--sensor", "10 Ω ± 0.5 %", "--vertical", "1 %", "--timebase", "50 ppm"),
        *("--output-delay", "1 ms ± 0.2 ms", "--json"),
    )
    told = json.loads(out)

    assert code == 0, err
    assert [(one["row"]["name"], one["outcome"]) for one in told["placements"]] == [("threshold", "within")]
    assert len(told["operations"]) == 6


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--one-way", "24 ms"], "the residual current is missing"),
        (["--current", "0 mA", "--one-way", "24 ms"], "above 0 mA"),
        (["--current", "31 mA", "--one-way", "24"], "unit"),
        (["--current", "31 mA", "--one-way", "-2 ms"], "below zero"),
        (["--type", "super"], "unknown type"),
        (["--rated", "30 V"], "rated residual operating current"),
        (["--capture", "missing.npz", "--sensor", "10 Ω"], "missing.npz"),
        (["--capture", "missing.npz"], "state 'sensor'"),
    ],
)
def test_bad_input_is_one_message(words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 2, nothing printed, and what to do."""
    code, out, err = run(capsys, *words)

    assert (code, out) == (2, "")
    assert said in err


def test_unstated_accuracies_decide_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    """Without the clock's accuracy, and without the current's limits, the row stays open."""
    _, out, _ = run(capsys, "--current", "31.5 mA", *SIX, "--json")

    assert [one["outcome"] for one in json.loads(out)["placements"]] == ["undecided"]
