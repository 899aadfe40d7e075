"""How a cable is built where only its size, its cores and its diameter are known: usual layers, with their spread."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType

from coldpin.copper.layers import CableLayers, inner_resistance
from coldpin.errors import OutsideRange, UnknownName
from coldpin.quantity import Quantity, rectangular
from coldpin.standards.book import Book
from coldpin.standards.cable_heating import core_thickness, thermal_resistivity, usual_diameter
from coldpin.standards.table import needed

PACKING = 0.75
"""Ours: the part of a bunched conductor's circle that is metal; 50 wires of 0.25 mm then lie in 2.04 mm."""

LAYERS_SPREAD = 0.25
"""Ours: half of the span of T1/n + T3 where the layers are those of the trade and nobody cut the cable open. [1]"""

MILLIMETRE = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Plastics:
    """Insulation and sheath of a kind of cable, by their words in the tables; ``thickness`` names the row of cores."""

    insulation: str
    sheath: str
    thickness: str
    temperature: str


KINDS = MappingProxyType(
    {
        "pvc": Plastics(insulation="pvc", sheath="pvc-sheath", thickness="pvc", temperature="pvc"),
        "rubber": Plastics(insulation="rubber", sheath="polychloroprene", thickness="rubber", temperature="rubber"),
        "charging": Plastics(insulation="epr", sheath="tpu", thickness="rubber", temperature="charging"),
    }
)
"""Kinds of leads: plastic cord, rubber cable, charging cable of 90 °C."""


def plastics(kind: str) -> Plastics:
    """Return insulation and sheath of a kind of cable.

    Parameters
    ----------
    kind : str
        "pvc", "rubber" or "charging".

    Returns
    -------
    Plastics
        Their words in the tables.

    Raises
    ------
    UnknownName
        There is no such kind.

    Examples
    --------
    >>> plastics("charging").sheath
    'tpu'
    """
    if kind not in KINDS:
        raise UnknownName.among("kind of cable", kind, KINDS)
    return KINDS[kind]


def usual_layers(
    book: Book, *, kind: str, cross_section_mm2: float, cores: int, loaded_cores: int, diameter: float
) -> CableLayers:
    """Return the layers that a cable of a size and a diameter most likely has.

    Parameters
    ----------
    book : Book
        The constants.
    kind : str
        "pvc", "rubber" or "charging".
    cross_section_mm2 : float
        Marked size of one core. [mm²]
    cores : int
        Equal cores in the cable; a thin pilot core does not count.
    loaded_cores : int
        Those that carry the current.
    diameter : float
        Over the sheath, as measured. [m]

    Returns
    -------
    CableLayers
        Its layers; thinner insulation where the usual one would not fit into the diameter.

    Raises
    ------
    UnknownName
        There is no such kind.
    OutsideRange
        The size is not above zero, or the metal alone does not fit.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> built = usual_layers(load_book(), kind="pvc", cross_section_mm2=2.5, cores=3, loaded_cores=2, diameter=0.0112)
    >>> round(1e3 * built.conductor_diameter, 2), round(1e3 * built.core_diameter, 2)
    (2.06, 3.66)

    Sources
    -------
    ``cable.core-thickness.*``, ``cable.thermal-resistivity.*``; ``PACKING``.
    """
    made_of = plastics(kind)
    if not cross_section_mm2 > 0.0:
        raise OutsideRange(f"a core of {cross_section_mm2:g} mm²: its size must be above zero")
    metal = MILLIMETRE * 2.0 * math.sqrt(cross_section_mm2 / (math.pi * PACKING))
    insulation = MILLIMETRE * needed(core_thickness(book, made_of.thickness, cross_section_mm2), "nominal")
    # what lies in the circle of the cores leaves a sheath at least as thick as the insulation
    room = diameter / (2.0 if cores == 1 else 1.0 + 1.0 / math.sin(math.pi / cores))
    core = min(metal + 2.0 * insulation, room if cores > 1 else diameter)
    if not core > metal:
        raise OutsideRange(
            f"{cores} cores of {cross_section_mm2:g} mm² do not fit into {1e3 * diameter:.3g} mm: measure the diameter "
            "again, or look at the print on the sheath"
        )
    return CableLayers(
        conductor_diameter=metal,
        core_diameter=core,
        outer_diameter=diameter,
        cores=cores,
        loaded_cores=loaded_cores,
        insulation=needed(thermal_resistivity(book, made_of.insulation), "nominal"),
        sheath=needed(thermal_resistivity(book, made_of.sheath), "nominal"),
    )


def assumed_inner(layers: CableLayers, *, name: str = "cable layers") -> Quantity:
    """Return T1/n + T3 of layers that were assumed and not cut open.

    Parameters
    ----------
    layers : CableLayers
        As :func:`usual_layers` gives them.
    name : str
        Id of the quantity: two cables are not off alike.

    Returns
    -------
    Quantity
        With the span of ``LAYERS_SPREAD``. [K·m/W]

    Raises
    ------
    OutsideRange
        The cores do not fit.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> built = usual_layers(load_book(), kind="pvc", cross_section_mm2=2.5, cores=3, loaded_cores=2, diameter=0.0112)
    >>> found = assumed_inner(built)
    >>> round(found.value, 2), round(found.u, 2)
    (0.81, 0.12)
    """
    middle = float(inner_resistance(layers))
    return rectangular(middle, LAYERS_SPREAD * middle, "K·m/W", id=name, label="layers as usual, not measured")


def assumed_diameter(book: Book, cross_section_mm2: float) -> Quantity:
    """Return the diameter of a cable nobody measured.

    Parameters
    ----------
    book : Book
        The constants.
    cross_section_mm2 : float
        Marked size of a core. [mm²]

    Returns
    -------
    Quantity
        Anywhere within the limits for a three-core rubber cable. [m]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(1e3 * assumed_diameter(load_book(), 2.5).value, 2)
    12.45

    Sources
    -------
    ``cable.diameter.*`` (standing: memory).
    """
    span = usual_diameter(book, cross_section_mm2)
    low, high = needed(span, "minimum"), needed(span, "maximum")
    return rectangular(
        0.5 * MILLIMETRE * (low + high),
        0.5 * MILLIMETRE * (high - low),
        "m",
        id="cable diameter",
        label="diameter as usual, not measured",
    )
