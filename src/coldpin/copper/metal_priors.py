"""What is believed of a core before it is measured: its metal, its area, and how far wire of one metal differs.

Everything is in natural logarithms, in which resistance, mass and area add up: a core is five numbers, the logarithm of
its area and of the four in :data:`LATENT`. What texts leave open is a judgement, named here and nowhere else.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.metal_number import (
    mixed_by_volume,
    mixed_temperature_coefficient,
    parallel_resistivity,
)
from coldpin.records.finding import Limit
from coldpin.records.metal import CutLook, Metal
from coldpin.standards.book import Book
from coldpin.standards.metals import clad_wire, lay_factor, pure_metal, steel_cored_wire, tinned_excess
from coldpin.standards.table import needed

LATENT = ("lay of the wires", "twist of the cores", "resistivity", "density")
"""What is not known of a core beside its metal and area; resistivity in Ω·mm²/km, density in g/m for each mm²."""

HELD = 0.8
"""Ours: part of what is sold that lies in a range which texts give for it. A range tells what is usual; makers of cheap
cable are the less usual ones, so a fifth is left outside."""

MELT = 0.010
"""Ours: standard deviation by which the resistivity of one wire differs from that of its metal, by its purity and its
hardness after drawing and bunching. [1] Copper wire has 100 % to 101.5 % conductivity, and 2 % less if worked."""

STEEL_DENSITY = 0.010
"""Ours: standard deviation of the density of copper-clad steel beside that of its two published grades. [1]"""

METAL_PRIOR: Mapping[Metal, float] = {
    Metal.COPPER: 0.62,
    Metal.TINNED_COPPER: 0.12,
    Metal.CLAD_10: 0.09,
    Metal.CLAD_15: 0.06,
    Metal.ALUMINIUM: 0.07,
    Metal.STEEL_CORED: 0.04,
}
"""Ours: of cheap leads bought to be tested, how many are of each metal. A judgement; no count is known to us.
Resistance and mass together leave next to nothing of it, and what comes out under other beliefs is printed beside."""

SUSPICIOUS_PRIOR: Mapping[Metal, float] = {
    Metal.COPPER: 0.15,
    Metal.TINNED_COPPER: 0.05,
    Metal.CLAD_10: 0.30,
    Metal.CLAD_15: 0.20,
    Metal.ALUMINIUM: 0.20,
    Metal.STEEL_CORED: 0.10,
}
"""Ours: the belief of somebody who expects to be cheated, to see whether the answer rests on belief."""

EVEN_PRIOR: Mapping[Metal, float] = {metal: 1.0 / len(Metal) for metal in Metal}
"""Ours: no metal likelier than another."""

AREAS_MM2 = (0.2, 60.0)
"""Ours: areas between which a core lies of which nothing was measured yet. [mm²] Thinner and thicker than any that was
ever sold in a charging lead."""

SHORTFALL = (0.94, 0.10)
"""Ours: median of the area over the marked size, and its standard deviation in logarithms, where sizes as sold are
believed in. A core that just keeps the limit of its class holds 0.86 to 0.90 of its name, an honest one up to 1."""

MAGNET_YES: Mapping[Metal, float] = {metal: 0.98 if metal is Metal.STEEL_CORED else 0.01 for metal in Metal}
"""Ours: how often somebody says that a magnet sticks to the wires. One in a hundred tries it on a screen or a clip."""

CUT_LOOKS: Mapping[Metal, Mapping[CutLook, float]] = {
    metal: dict(zip((CutLook.RED, CutLook.RED_CORE, CutLook.WHITE_CORE, CutLook.WHITE), looks, strict=True))
    for metal, looks in {
        Metal.COPPER: (0.93, 0.04, 0.02, 0.01),
        Metal.TINNED_COPPER: (0.25, 0.63, 0.02, 0.10),
        Metal.CLAD_10: (0.05, 0.02, 0.87, 0.06),
        Metal.CLAD_15: (0.07, 0.02, 0.87, 0.04),
        Metal.ALUMINIUM: (0.01, 0.02, 0.04, 0.93),
        Metal.STEEL_CORED: (0.06, 0.03, 0.82, 0.09),
    }.items()
}
"""Ours: what is said of a fresh cut of wires a quarter of a millimetre thick. Cutters smear a soft skin over the cut,
of copper as of tin: one in twenty clad wires is taken for copper."""

_Z = NormalDist().inv_cdf(0.5 * (1.0 + HELD))
_RECTANGULAR = math.sqrt(3.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MetalModel:
    """What wire of one metal is like before it is measured.

    ``mean`` of shape (4,) and ``covariance`` of shape (4, 4) are those of the logarithms of :data:`LATENT`.
    ``temperature_coefficient`` is that of the resistance at 20 °C [1/K]; ``limits`` are the constants it is made of.
    """

    metal: Metal
    mean: NDArray[np.float64]
    covariance: NDArray[np.float64]
    temperature_coefficient: float
    limits: tuple[Limit, ...]


def metal_models(book: Book) -> tuple[MetalModel, ...]:
    """Return what wire of each metal is like.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of MetalModel
        One for each metal, in the order of :class:`~coldpin.records.metal.Metal`.

    Raises
    ------
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> copper = metal_models(load_book())[0]
    >>> [round(math.exp(value), 3) for value in copper.mean]
    [1.017, 1.017, 17.241, 8.925]

    Sources
    -------
    ``metal.*``; what they leave open: :data:`HELD`, :data:`MELT`, :data:`STEEL_DENSITY`.
    """
    copper, aluminium = pure_metal(book, "copper"), pure_metal(book, "aluminium")
    excess, tin = tinned_excess(book), book.limit("metal.tin.density")
    lay = lay_factor(book)
    plain = (_spread(copper.resistivities), _spread(copper.densities))

    tinned = _spread((1.0 + needed(excess, "minimum") / 100.0, 1.0 + needed(excess, "maximum") / 100.0))
    # tin hardly conducts: so much more resistance is about so much of the cross-section, and that much lighter
    lighter = (needed(tin, "nominal") - copper.densities[0]) / copper.densities[0]
    models = [
        _model(Metal.COPPER, lay, *plain, coefficient=copper.temperature_coefficient, limits=copper.limits),
        _model(
            Metal.TINNED_COPPER,
            lay,
            *plain,
            shared=_Shared(centre=(tinned.centre, lighter * tinned.centre), spread=tinned.u, slopes=(1.0, lighter)),
            coefficient=copper.temperature_coefficient,
            limits=(*copper.limits, excess, tin),
        ),
    ]
    for metal in (Metal.CLAD_10, Metal.CLAD_15):
        wire = clad_wire(book, metal)
        low, nominal, high = wire.copper_share

        def resistivity(share: float) -> float:
            return parallel_resistivity(share=share, skin=copper.resistivities[0], core=aluminium.resistivities[0])

        def density(share: float) -> float:
            return mixed_by_volume(share=share, skin=copper.densities[0], core=aluminium.densities[0])

        slopes = tuple(math.log(of(high) / of(low)) / (high - low) for of in (resistivity, density))
        models.append(
            _model(
                metal,
                lay,
                _spread((resistivity(nominal), *wire.resistivities)),
                _spread((density(nominal), wire.density)),
                shared=_Shared(centre=(0.0, 0.0), spread=0.5 * (high - low) / _Z, slopes=(slopes[0], slopes[1])),
                coefficient=mixed_temperature_coefficient(
                    share=nominal,
                    skin=(copper.resistivities[0], copper.temperature_coefficient),
                    core=(aluminium.resistivities[0], aluminium.temperature_coefficient),
                ),
                limits=wire.limits,
            )
        )
    steel = steel_cored_wire(book)
    models += [
        _model(
            Metal.ALUMINIUM,
            lay,
            _spread(aluminium.resistivities),
            _spread(aluminium.densities),
            coefficient=aluminium.temperature_coefficient,
            limits=aluminium.limits,
        ),
        _model(
            Metal.STEEL_CORED,
            lay,
            # copper-clad steel comes in grades; beyond the outer ones of these next to nothing is sold
            _spread(steel.resistivities, reach=_RECTANGULAR),
            _spread(steel.densities, beside=STEEL_DENSITY),
            # most of the current runs in the copper
            coefficient=copper.temperature_coefficient,
            limits=steel.limits,
        ),
    ]
    return tuple(models)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spread:
    """Middle and standard deviation of a logarithm."""

    centre: float
    u: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shared:
    """Something that moves resistivity and density together: where it puts both, how much it varies, by what slopes."""

    centre: tuple[float, float]
    spread: float
    slopes: tuple[float, float]


def _spread(values: tuple[float, ...], *, beside: float = 0.0, reach: float = _Z) -> _Spread:
    """Take published values as the range of what is usual, in logarithms, so many standard deviations to its ends."""
    low, high = math.log(min(values)), math.log(max(values))
    return _Spread(centre=0.5 * (low + high), u=math.hypot(0.5 * (high - low) / reach, beside))


_OHM_MM2_PER_KM = math.log(1e9)
_GRAM_PER_METRE_OF_MM2 = math.log(1e-3)


def _model(
    metal: Metal,
    lay: Limit,
    resistivity: _Spread,
    density: _Spread,
    *,
    shared: _Shared | None = None,
    coefficient: float,
    limits: tuple[Limit, ...],
) -> MetalModel:
    laid = _spread((needed(lay, "minimum"), needed(lay, "maximum")))
    # how much of the length is lay of the wires and how much twist of the cores no text says: half of it each
    mean = np.array([0.5 * laid.centre, 0.5 * laid.centre, resistivity.centre, density.centre])
    mean[2:] += (_OHM_MM2_PER_KM, _GRAM_PER_METRE_OF_MM2)
    covariance = np.diag([0.5 * laid.u**2, 0.5 * laid.u**2, resistivity.u**2 + MELT**2, density.u**2])
    if shared is not None:
        slopes = np.array(shared.slopes)
        mean[2:] += shared.centre
        covariance[2:, 2:] += shared.spread**2 * np.outer(slopes, slopes)
    return MetalModel(
        metal=metal,
        mean=mean,
        covariance=covariance,
        temperature_coefficient=coefficient,
        limits=(*limits, lay),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """A belief beforehand: how likely each metal is, and whether sizes as sold are believed in.

    The area is as likely in one octave as in the next (log-uniform), which leans on no size: whether the core is of the
    size marked on it is the question, and must not be half of the answer. With sizes as sold, :data:`SHORTFALL` about
    each of ``sizes_mm2`` takes its place.
    """

    name: str
    metals: Mapping[Metal, float]
    sizes_mm2: tuple[float, ...] = ()

    def log_density(self, log_area: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the logarithm of the density over the logarithm of the area.

        Parameters
        ----------
        log_area : array of shape (n,)
            Logarithm of the area in mm². [1]

        Returns
        -------
        array of shape (n,)
            Of a log-uniform area the constant one, beyond :data:`AREAS_MM2` too: evidence may lead there. [1]

        Examples
        --------
        >>> flat = Prior(name="flat", metals=EVEN_PRIOR)
        >>> np.exp(flat.log_density(np.log([1.0, 10.0]))).round(3).tolist()
        [0.175, 0.175]
        """
        if not self.sizes_mm2:
            return np.full(log_area.shape, -math.log(math.log(AREAS_MM2[1] / AREAS_MM2[0])))
        median, spread = SHORTFALL
        centres = np.log(np.array(self.sizes_mm2) * median)
        bells = np.exp(-0.5 * ((log_area[:, None] - centres) / spread) ** 2).mean(axis=1)
        density: NDArray[np.float64] = np.log(np.maximum(bells, _LEAST) / (spread * math.sqrt(2.0 * math.pi)))
        return density


_LEAST = 1e-12
"""Ours: what is left of belief far from any size as sold; nothing is believed impossible."""


def priors(sizes_mm2: tuple[float, ...]) -> tuple[Prior, ...]:
    """Return the belief that is used and those whose answers are printed beside it.

    Parameters
    ----------
    sizes_mm2 : tuple of float
        Sizes as sold. [mm²]

    Returns
    -------
    tuple of Prior
        The one that is used comes first.

    Examples
    --------
    >>> [prior.name for prior in priors((1.5, 2.5))]
    ['mostly copper', 'no metal likelier', 'expecting to be cheated', 'mostly copper, in sizes as sold']
    """
    return (
        Prior(name="mostly copper", metals=METAL_PRIOR),
        Prior(name="no metal likelier", metals=EVEN_PRIOR),
        Prior(name="expecting to be cheated", metals=SUSPICIOUS_PRIOR),
        Prior(name="mostly copper, in sizes as sold", metals=METAL_PRIOR, sizes_mm2=sizes_mm2),
    )
