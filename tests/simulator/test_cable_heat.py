"""The finite volumes: what goes in is stored or lost, finer is the same, limits that can be written down hold."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import brentq

from coldpin.errors import OutsideRange
from coldpin.simulator.air import film_of, surface_loss
from coldpin.simulator.cable import VirtualCable, VirtualTerminal
from coldpin.simulator.cable_heat import Warming, settle, warm
from coldpin.simulator.cable_mesh import CableMesh, cut_cable
from coldpin.simulator.conductor import conductor_of

CABLE = VirtualCable(conductor=conductor_of("copper", 2.5))
HOT = replace(CABLE, plug=VirtualTerminal(joints=(20e-3, 1e-3)))
FREE = VirtualTerminal(joints=(0.0,), to_body=0.0, to_socket=0.0)
"""A terminal that makes no heat and takes none from the cable but its pin's."""


def steady(mesh: CableMesh, seconds: float, step: float, *, current: float = 25.0, ambient: float = 20.0) -> Warming:
    time = np.arange(0.0, seconds + 0.5 * step, step)
    return warm(mesh, time, current=np.full(time.size, current), ambient=np.full(time.size, ambient))


def stored(mesh: CableMesh, seen: Warming) -> NDArray[np.float64]:
    return np.asarray((seen.temperatures - seen.temperatures[0]) @ mesh.capacity)


@pytest.mark.hand("heat made = heat stored + heat lost, at every instant, within a millionth of what was made")
@pytest.mark.parametrize(
    "cable", [CABLE, HOT, replace(CABLE, loaded=3, idle=2, conductor=conductor_of("clad_10", 6.0))]
)
def test_heat_is_kept(cable: VirtualCable) -> None:
    """Current, ambient and draught change; not a millionth of the heat is lost on the way, however long the steps."""
    mesh = cut_cable(cable)
    time = np.cumsum(np.r_[0.0, np.resize([1.0, 7.0, 30.0, 120.0], 60)])
    swing = np.sin(time / 300.0)
    seen = warm(
        mesh,
        time,
        current=np.where(time < 1500.0, 25.0, 3.0),
        ambient=20.0 + 4.0 * swing,
        draught=np.maximum(0.0, swing),
    )
    gap = seen.made - seen.lost - stored(mesh, seen)

    assert seen.made[-1] > 1e4
    assert np.max(np.abs(gap)) < 1e-6 * seen.made[-1]


@pytest.mark.hand("in the end all heat made is lost")
@pytest.mark.parametrize("cable", [CABLE, HOT])
def test_the_end_is_where_a_long_march_comes(cable: VirtualCable) -> None:
    """After fifty time constants every node is where the steady solution puts it."""
    mesh = cut_cable(cable)
    end = settle(mesh, current=25.0, ambient=20.0)
    seen = steady(mesh, 40_000.0, 200.0)

    np.testing.assert_allclose(seen.temperatures[-1], end, atol=1e-4)
    made, lost = mesh.made(end, 25.0)[0].sum(), mesh.lost(end, 20.0, 0.0)[0].sum()
    assert made == pytest.approx(lost, rel=1e-9)


@pytest.mark.independent("the same cable cut twice as fine in every direction, and steps a quarter as long")
def test_a_finer_cut_is_the_same() -> None:
    """Finer slices and rings move no rise by more than a per cent, finer steps no temperature by a twentieth kelvin."""
    coarse, fine = cut_cable(HOT), cut_cable(HOT, slice_factor=0.4, insulation_rings=5, sheath_rings=7)
    ends = [settle(mesh, current=25.0, ambient=20.0) for mesh in (coarse, fine)]
    for place in (0.03, 0.1, 0.3, 1.0, 2.5):
        by_cut = [
            mesh.along(end[None, :][:, nodes], place)[0]
            for mesh, end in zip((coarse, fine), ends, strict=True)
            for nodes in (mesh.surface, mesh.metal[0])
        ]
        rise = by_cut[1] - 20.0
        assert by_cut[0] == pytest.approx(by_cut[2], abs=0.01 * rise)
        assert by_cut[1] == pytest.approx(by_cut[3], abs=0.01 * rise)
    middle = [int(mesh.metal[0, mesh.widths.size // 2]) for mesh in (coarse, fine)]
    long_steps, short_steps = steady(coarse, 600.0, 10.0), steady(fine, 600.0, 2.5)
    np.testing.assert_allclose(
        long_steps.temperatures[:, middle[0]], short_steps.temperatures[::4, middle[1]], atol=0.05
    )


@pytest.mark.hand("two stages of Alexander's method: a quarter of the step, a sixteenth of the error")
def test_steps_are_of_second_order() -> None:
    """Halving the step quarters the error."""
    mesh = cut_cable(CABLE)
    node = int(mesh.metal[0, mesh.widths.size // 2])
    at = [steady(mesh, 480.0, step).temperatures[-1, node] for step in (120.0, 60.0, 3.75)]

    assert (at[0] - at[2]) / (at[1] - at[2]) == pytest.approx(4.0, rel=0.25)


@pytest.mark.hand("radial conduction written down: ln(r2/r1)/(2πλ) for each layer, surface by its own loss, two cores")
def test_the_middle_of_a_long_cable_is_a_chain_of_layers() -> None:
    """Far from both ends no heat flows along the cable, and the layers are a chain of resistances."""
    cable = replace(CABLE, length=12.0)
    mesh = cut_cable(cable)
    end = settle(mesh, current=25.0, ambient=20.0)
    slice_ = mesh.widths.size // 2
    metal, surface = float(end[mesh.metal[0, slice_]]), float(end[mesh.surface[slice_]])
    made = 25.0**2 * cable.conductor.resistance(temperature=metal)
    round_ = 2.0 * math.pi * cable.radius
    film = film_of(diameter=np.array([2.0 * cable.radius]), emissivity=np.array([0.9]))

    def left(temperature: float) -> float:
        loss, _ = surface_loss(np.array([temperature]), 20.0, film)
        return 2.0 * made - round_ * float(loss[0])

    assert surface == pytest.approx(brentq(left, 20.0, 90.0), abs=1e-3)
    layers = 2.0 * made * math.log(cable.radius / cable.bundle_radius) / (2.0 * math.pi * cable.sheath.conductivity)
    around = (
        made * math.log(cable.core_radius / cable.conductor_radius) / (2.0 * math.pi * cable.insulation.conductivity)
    )
    inner = int(mesh.surface[slice_]) - 3
    assert end[inner] - surface == pytest.approx(layers, rel=1e-3)
    assert metal - end[mesh.metal[0, slice_] + 2] == pytest.approx(around, rel=1e-3)


@pytest.mark.hand("T = T0·exp(-t·hA/C): a body alone, without convection, cooling by little")
def test_a_lump_cools_by_an_exponential() -> None:
    """With one node's worth of temperature differences the cable cools as a lump: by loss slope over heat stored."""
    cable = replace(CABLE, plug=FREE, connector=FREE, conductor=conductor_of("copper", 6.0))
    mesh = cut_cable(cable)
    start = np.full(mesh.nodes, 20.0)
    start[: int(mesh.joints.min())] = 20.5
    time = np.arange(0.0, 601.0, 10.0)
    none = np.zeros(time.size)
    seen = warm(mesh, time, current=none, ambient=none + 20.0, draught=none + 1.0, start=start)
    slice_ = mesh.widths.size // 2
    surface = seen.temperatures[:, mesh.surface[slice_]]
    metal = seen.temperatures[:, mesh.metal[0, slice_]]
    late = time > 300.0
    rates = [-np.polyfit(time[late], np.log(one[late] - 20.0), 1)[0] for one in (surface, metal)]
    in_slice = slice(int(mesh.metal[0, slice_]), int(mesh.surface[slice_]) + 1)
    heat = float(mesh.capacity[in_slice].sum())
    warm_part = float(mesh.capacity[in_slice] @ (seen.temperatures[-1, in_slice] - 20.0)) / (surface[-1] - 20.0)
    _, slope = mesh.lost(np.full(mesh.nodes, 20.2), 20.0, 1.0)

    assert rates[0] == pytest.approx(rates[1], rel=1e-3)
    assert rates[0] == pytest.approx(float(slope[mesh.surface[slice_]]) / warm_part, rel=0.02)
    assert heat < warm_part < 1.6 * heat


@pytest.mark.hand("a fin: √(λA·R) along, λA the metal of both cores, R the way out of the cable for one metre")
def test_a_hot_plug_warms_the_cable_as_a_fin() -> None:
    """Without current the warmth of a plug dies away along the cable by the length of a fin."""
    time = np.arange(0.0, 3.0e4, 100.0)
    none = np.zeros(time.size)
    big = replace(CABLE, plug=VirtualTerminal(joint_heat=1e9, body_heat=1e9))
    mesh = cut_cable(big, slice_factor=0.5)
    start = np.full(mesh.nodes, 20.0)
    start[mesh.joints[0]], start[mesh.bodies[0]] = 40.0, 40.0
    seen = warm(mesh, time, current=none, ambient=none + 20.0, draught=none + 1.0, start=start)
    near = (mesh.middles > 0.05) & (mesh.middles < 0.35)
    metal = seen.temperatures[-1, mesh.metal[0, near]] - 20.0
    length = -1.0 / np.polyfit(mesh.middles[near], np.log(metal), 1)[0]
    lost, _ = mesh.lost(seen.temperatures[-1], 20.0, 1.0)
    way_out = metal / (lost[mesh.surface[near]] / mesh.widths[near])
    by_hand = np.sqrt(2.0 * CABLE.conductor.heat_conductance * way_out.mean())

    assert 0.05 < by_hand < 0.2
    assert length == pytest.approx(by_hand, rel=0.02)


@pytest.mark.hand("the same heat in two wires of one resistance per metre")
def test_more_current_is_warmer_and_more_copper_cooler() -> None:
    """Rise grows faster than the square of the current, as resistance grows with it, and falls with the area."""
    rises = {
        (area, current): float(
            settle(
                cut_cable(replace(CABLE, conductor=conductor_of("copper", area))), current=current, ambient=20.0
            ).max()
        )
        - 20.0
        for area, current in ((2.5, 12.5), (2.5, 25.0), (6.0, 25.0))
    }
    assert 3.0 < rises[2.5, 25.0] / rises[2.5, 12.5] < 4.4
    assert rises[6.0, 25.0] < 0.5 * rises[2.5, 25.0]


def test_what_cannot_be_computed_is_told() -> None:
    """A cable that runs away, arrays that do not match, places beyond its end."""
    mesh = cut_cable(replace(CABLE, conductor=conductor_of("copper", 0.5)))
    with pytest.raises(OutsideRange, match="come to no end below 500 °C; take less"):
        settle(mesh, current=60.0, ambient=40.0)
    with pytest.raises(OutsideRange, match="instants must rise"):
        warm(mesh, np.array([0.0, 0.0]), current=np.ones(2), ambient=np.ones(2))
    with pytest.raises(OutsideRange, match="7 m along a cable of 5 m"):
        mesh.along(np.zeros((1, mesh.widths.size)), 7.0)
    with pytest.raises(OutsideRange, match="lay up one of 1, 2, 3"):
        VirtualCable(loaded=6, idle=0)
    with pytest.raises(OutsideRange, match="sheath_thickness is 0"):
        VirtualCable(sheath_thickness=0.0)
