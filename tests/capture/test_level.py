"""What levels show: one step of the instrument's scale, and signs of clipping."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.capture.level import clipping_remarks, scale_step


def pilot(noise: float, *, samples: int = 20_000) -> NDArray[np.float64]:
    """Return a pilot of +9 V and -12 V with slow edges and noise."""
    wave = np.sin(np.arange(samples) / 40.0)
    level = 10.5 * np.clip(8.0 * wave, -1.0, 1.0) - 1.5
    return level + noise * np.random.default_rng(7).standard_normal(samples)


@pytest.mark.hand("the step the samples were rounded to")
@pytest.mark.parametrize("step", [0.1171875, 0.2, 0.0146484375, 30.0 / 255.0])
@pytest.mark.parametrize("digits", [3, 4, 9])
def test_the_step_of_a_scale_is_found(step: float, digits: int) -> None:
    """Samples on a scale give its step, also when the text rounds them further."""
    samples = np.round(step * np.round(pilot(0.15) / step), digits)

    found = scale_step(samples)

    assert found is not None
    assert found == pytest.approx(step, rel=2e-2 if digits == 3 and step < 0.02 else 2e-3)


@pytest.mark.hand("16 bits over ±16 V")
def test_a_fine_scale_is_found_with_enough_samples() -> None:
    """A scale whose levels are mostly met is seen."""
    step = 32.0 / 2**12
    samples = step * np.round(pilot(2.0, samples=200_000) / step)

    assert scale_step(samples) == pytest.approx(step, rel=1e-9)


@pytest.mark.parametrize(
    "samples",
    [
        np.where(np.arange(10_000) % 100 < 50, 12.0, -12.0),
        pilot(0.05),
        np.repeat(np.sort(np.random.default_rng(3).uniform(-12, 12, 40)), 50),
        np.array([1.0, 2.0, 3.0]),
        np.full(100, np.nan),
        np.array([]),
        np.full(100, 5.0),
    ],
    ids=["two levels", "no steps", "uneven levels", "few samples", "nothing", "empty", "one level"],
)
def test_no_step_is_claimed_without_evidence(samples: NDArray[np.float64]) -> None:
    """Two levels without noise, levels at random, or too few samples show no scale."""
    assert scale_step(samples) is None


def test_missing_samples_do_not_hide_the_step() -> None:
    """Samples that are missing are passed over."""
    samples = 0.2 * np.round(pilot(0.15) / 0.2)
    samples[::7] = np.nan

    assert scale_step(samples) == pytest.approx(0.2, rel=1e-9)


@pytest.mark.hand("limited at 8 V by hand")
def test_clipping_at_an_exact_value_is_remarked() -> None:
    """Noise cut off at the end of the range leaves a run on one value."""
    clipped = np.minimum(pilot(0.05), 8.0)

    (remark,) = clipping_remarks(clipped)

    assert remark.startswith("the highest voltage, 8 V, is held for ")
    assert "repeat the capture on a larger range" in remark


def test_both_ends_can_clip() -> None:
    """The lowest value is looked at as the highest is."""
    remarks = clipping_remarks(np.clip(pilot(0.05), -11.0, 8.0))

    assert [remark.split(",")[0] for remark in remarks] == ["the highest voltage", "the lowest voltage"]


@pytest.mark.parametrize("noise", [0.02, 0.05, 0.3])
def test_noise_is_not_taken_for_clipping(noise: float) -> None:
    """A plateau with noise, also on a scale of steps as large as the noise, is not remarked."""
    assert clipping_remarks(pilot(noise)) == ()
    assert clipping_remarks(noise * np.round(pilot(noise) / noise)) == ()


def test_one_value_throughout_is_remarked() -> None:
    """A probe that hangs in the air, or an input held at its end, is said."""
    assert clipping_remarks(np.full(50, 3.3)) == (
        "all samples are 3.3 V: check that the instrument was connected and triggered",
    )
    assert clipping_remarks(np.array([1.0, 1.0])) == ()
