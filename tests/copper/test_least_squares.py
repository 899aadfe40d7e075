"""The fitting routine against certified fits of reference data, and where it must refuse."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.copper.least_squares import Curve, fit_curve
from coldpin.errors import InputError

Array = NDArray[np.float64]
NUMBER = re.compile(r"-?\d*\.?\d+(?:E[-+]\d+)?")


@dataclass(frozen=True)
class Certified:
    """One reference data set: readings, both starts, certified parameters with their standard deviations."""

    x: Array
    y: Array
    starts: tuple[Array, Array]
    parameters: Array
    deviations: Array
    sum_of_squares: float
    residual_deviation: float


def read(path: Path) -> Certified:
    """Read a file of the reference data sets by the line numbers in its own header."""
    lines = path.read_text(encoding="ascii").splitlines()

    def part(title: str) -> list[str]:
        header = next(line for line in lines if line.strip().startswith((title, f"File Format:   ASCII {title}")))
        found = re.search(r"lines\s+(\d+)\s+to\s+(\d+)", header)
        assert found is not None
        return lines[int(found[1]) - 1 : int(found[2])]

    table = np.array(
        [
            [float(cell) for cell in NUMBER.findall(line.split("=")[1])]
            for line in part("Starting Values")
            if "=" in line
        ]
    )
    data = np.array([[float(cell) for cell in line.split()] for line in part("Data  ")])
    square, deviation = (
        float(next(line for line in lines if line.startswith(title)).split(":")[1])
        for title in ("Residual Sum of Squares", "Residual Standard Deviation")
    )
    return Certified(
        x=data[:, 1],
        y=data[:, 0],
        starts=(table[:, 0], table[:, 1]),
        parameters=table[:, 2],
        deviations=table[:, 3],
        sum_of_squares=square,
        residual_deviation=deviation,
    )


def misra(x: Array) -> tuple[Curve, Curve]:
    """Y = b1 (1 − exp(−b2 x)), the shape of a warming curve."""
    return (
        lambda b: b[0] * -np.expm1(-b[1] * x),
        lambda b: np.stack([-np.expm1(-b[1] * x), b[0] * x * np.exp(-b[1] * x)], axis=1),
    )


def danwood(x: Array) -> tuple[Curve, Curve]:
    """Y = b1 x^b2."""
    return (
        lambda b: b[0] * x ** b[1],
        lambda b: np.stack([x ** b[1], b[0] * x ** b[1] * np.log(x)], axis=1),
    )


def chwirut(x: Array) -> tuple[Curve, Curve]:
    """Y = exp(−b1 x) / (b2 + b3 x)."""

    def slopes(b: Array) -> Array:
        y, below = np.exp(-b[0] * x) / (b[1] + b[2] * x), b[1] + b[2] * x
        return np.stack([-x * y, -y / below, -x * y / below], axis=1)

    return lambda b: np.exp(-b[0] * x) / (b[1] + b[2] * x), slopes


def hahn(x: Array) -> tuple[Curve, Curve]:
    """A ratio of two cubics."""
    powers = np.stack([x**0, x, x**2, x**3], axis=1)

    def slopes(b: Array) -> Array:
        above, below = powers @ b[:4], 1.0 + powers[:, 1:] @ b[4:]
        return np.concatenate([powers / below[:, None], -(above / below**2)[:, None] * powers[:, 1:]], axis=1)

    return lambda b: (powers @ b[:4]) / (1.0 + powers[:, 1:] @ b[4:]), slopes


CURVES: dict[str, Callable[[Array], tuple[Curve, Curve]]] = {
    "Misra1a": misra,
    "DanWood": danwood,
    "Chwirut2": chwirut,
    "Hahn1": hahn,
}


@pytest.mark.published("NIST/ITL Statistical Reference Datasets, nonlinear regression, certified values")
@pytest.mark.parametrize("start", [0, 1])
@pytest.mark.parametrize("name", CURVES)
def test_it_gives_certified_digits_from_both_starts(
    name: str, start: int, open_data: Path, measured: Callable[[str, float, str, str], None]
) -> None:
    """Parameters, standard deviations and residual sum agree with the certified eleven digits to eight at least."""
    certified = read(open_data / "nist-strd" / f"{name}.dat")
    curve, slopes = CURVES[name](certified.x)

    found = fit_curve(certified.y, curve, slopes, certified.starts[start].tolist())

    pairs = [
        (found.parameters, certified.parameters),
        (found.uncertainties, certified.deviations),
        (np.array([found.sum_of_squares]), np.array([certified.sum_of_squares])),
        (np.array([found.residual_deviation]), np.array([certified.residual_deviation])),
    ]
    worst = max(float(np.max(np.abs(ours / theirs - 1.0))) for ours, theirs in pairs)
    measured(f"certified digits of {name}, start {start + 1}", float(-np.log10(worst)), "digits", "≥ 8 of 11")
    assert worst < 1e-8


@pytest.mark.parametrize("name", CURVES)
def test_the_written_slopes_are_those_of_the_curve(name: str, open_data: Path) -> None:
    """The analytic derivatives used above agree with central differences."""
    certified = read(open_data / "nist-strd" / f"{name}.dat")
    curve, slopes = CURVES[name](certified.x)
    at = certified.parameters
    written = slopes(at)
    for place, value in enumerate(at):
        step = np.zeros_like(at)
        step[place] = 1e-6 * abs(value)
        central = (curve(at + step) - curve(at - step)) / (2.0 * step[place])
        np.testing.assert_allclose(written[:, place], central, rtol=1e-5, atol=1e-6 * np.abs(central).max())


@given(scale=st.floats(1e-3, 1e3), time=st.floats(1e-2, 1e2))
def test_a_change_of_units_changes_only_units(scale: float, time: float) -> None:
    """Scaling readings and abscissa scales parameters and uncertainties alike."""
    x = np.linspace(0.1, 5.0, 30)
    y = 3.0 * -np.expm1(-0.7 * x) + 0.01 * np.sin(17.0 * x)
    plain = fit_curve(y, *misra(x), [2.0, 1.0])

    scaled = fit_curve(scale * y, *misra(time * x), [2.0 * scale, 1.0 / time])

    by = np.array([scale, 1.0 / time])
    np.testing.assert_allclose(scaled.parameters, plain.parameters * by, rtol=1e-9)
    np.testing.assert_allclose(scaled.uncertainties, plain.uncertainties * by, rtol=1e-6)


def test_too_few_readings_are_refused() -> None:
    """Two readings leave nothing over two parameters."""
    x = np.array([1.0, 2.0])
    with pytest.raises(InputError, match="2 readings cannot determine 2 parameters: take more readings"):
        fit_curve(x, *misra(x), [1.0, 1.0])


def test_parameters_that_the_readings_do_not_determine_are_refused() -> None:
    """Two parameters of which only the sum enters cannot be told apart; one without effect is named as such."""
    x = np.linspace(0.0, 1.0, 5)
    with pytest.raises(InputError, match="do not determine all parameters"):
        fit_curve(x, lambda p: (p[0] + p[1]) * x, lambda p: np.stack([x, x + 0.0 * p[0]], axis=1), [1.0, 1.0])
    with pytest.raises(InputError, match="has no effect"):
        fit_curve(x, lambda p: p[0] * x, lambda p: np.stack([x, 0.0 * p[1] * x], axis=1), [1.0, 1.0])
