"""How the cable of a lead is built, as far as its print and a calliper tell; what they leave is taken as usual."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.checks.cable_rating import kind_of_cable
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.marked_size import marked_size
from coldpin.checks.readings import Side, mean, readings
from coldpin.copper.layers import MOST_CORES
from coldpin.copper.usual_build import assumed_diameter, assumed_inner, usual_layers
from coldpin.errors import EntryError, InputError
from coldpin.quantity import Quantity, propagate
from coldpin.records.entry import Entry

DIAMETER = "cable diameter"

MILLIMETRE = 1e-3
"""Metres in one millimetre."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CableBuild:
    """The cable of a lead as its heating sees it.

    ``diameter`` over the sheath [m] and ``inner`` T1/n + T3 of layers as usual [K·m/W]; ``cores`` it has, ``loaded``
    of them carry the current, each of ``size_mm2`` as marked [mm²]. ``measured`` names the entries of the diameter,
    none where it is that of the trade.
    """

    diameter: Quantity
    inner: Quantity
    cores: int
    loaded: int
    size_mm2: float
    measured: tuple[str, ...]


def cable_build(bench: BenchEvidence) -> CableBuild | None:
    """Return how the cable is built.

    Parameters
    ----------
    bench : BenchEvidence
        With the print of the cable, and its diameter where it was measured.

    Returns
    -------
    CableBuild or None
        None where no size is marked.

    Raises
    ------
    EntryError
        The diameter cannot be read, or the cores do not fit into it.
    CaseError
        A claim cannot be read.
    OutsideRange
        There is no usual cable of the marked size.
    """
    return bench.once("cable build", lambda: _built(bench))


def _built(bench: BenchEvidence) -> CableBuild | None:
    marked = marked_size(bench)
    if marked is None:
        return None
    entries = bench.showing(DIAMETER)
    loaded = 2 if bench.case.unit.phases == 1 else 3
    cores = loaded + 1 if bench.case.unit.phases == 1 else MOST_CORES
    diameter = _measured(bench, entries[-1]) if entries else assumed_diameter(bench.book, marked.size_mm2)
    try:
        layers = usual_layers(
            bench.book,
            kind=kind_of_cable(bench).build,
            cross_section_mm2=marked.size_mm2,
            cores=cores,
            loaded_cores=loaded,
            diameter=diameter.value,
        )
    except InputError as error:
        if entries:
            raise EntryError.of(entries[-1].id, str(error)) from error
        raise
    return CableBuild(
        diameter=diameter,
        inner=assumed_inner(layers),
        cores=cores,
        loaded=loaded,
        size_mm2=marked.size_mm2,
        measured=tuple(entry.id for entry in entries[-1:]),
    )


def _measured(bench: BenchEvidence, entry: Entry) -> Quantity:
    found = mean(readings(bench, entry))
    if found.side is not Side.VALUE or not found.quantity.value > 0.0:
        raise EntryError.of(entry.id, "a diameter is a figure above zero: measure again")
    return propagate(lambda diameter: MILLIMETRE * diameter, {"diameter": found.quantity}, "m")
