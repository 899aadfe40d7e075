"""How a virtual board is laid out: along its band lie places where both sides come near, each as it is planned.

Each place (`Crossing`) has a patch of copper of its own on either side. The places are so far apart, and the patches
are set so far back, that every shortest way between nets from side to side leads through one of them; the tests hold
that against a search that does not know how the board was made.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange
from coldpin.records.board import BoardFeature, Role
from coldpin.simulator.board import PATCH, VirtualBoard
from coldpin.simulator.board_crossing import Block, Crossing, Point, UprightSlot, chain
from coldpin.simulator.board_part import SCREW_RADIUS, Group, disc, screw, solder_joints

PITCH = 13.0
"""From one crossing to the next along the band. [mm]"""

SET_BACK = 9.0
"""From the middle of the band to the patches on either side. [mm]"""

MARGIN = 3.0
"""Between patches and rim. [mm]"""

BESIDE = 1.5
"""Between the patches on the right. [mm]"""

EARTH_DEPTH = 9.0
"""Depth of the patch of earth under its screw. [mm]"""

FAR = 10.0
"""No shortest way of a crossing may be longer: then none leads from one crossing to another. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossingPlan:
    """What is to lie at one place of the band.

    ``gap_mm`` is from conductor to conductor. ``floats`` are the widths of parts between them that belong to no net,
    laid so that all gaps are the same but for ``uneven``, by which the first is larger. ``left_half_mm`` and
    ``right_half_mm`` are half the depth of the two conductors, ``shift_mm`` how far the right one lies higher,
    ``aside_mm`` how far the middle of the gap lies to the right of the band's. A slot of ``slot_mm`` reaches
    ``beyond_mm`` beyond both conductors. ``nearer_mm`` is the gap to the patch of the crossing below, on the left.
    """

    left_net: str = "mains L"
    right_net: str = "pilot CP"
    part: str = ""
    gap_mm: float = 6.5
    left_half_mm: float = 1.0
    right_half_mm: float = 1.0
    shift_mm: float = 0.0
    aside_mm: float = 0.0
    floats: tuple[float, ...] = ()
    uneven: float = 0.0
    slot_mm: float = 0.0
    beyond_mm: float = 2.5
    round_ends: bool = True
    nearer_mm: float = 2.5
    joints: bool = False


@dataclass
class _Table:
    """A board while it is laid out."""

    features: list[BoardFeature] = field(default_factory=list)
    crossings: list[Crossing] = field(default_factory=list)
    groups: list[Group] = field(default_factory=list)

    def add(self, name: str, role: Role, outline: NDArray[np.float64], **more: object) -> None:
        self.features.append(BoardFeature(name=name, role=role, outline=outline, **more))  # type: ignore[arg-type]  # fields by name


def lay_out(plans: Sequence[CrossingPlan], *, earth_mm: float = 3.0, patch_mm: float = PATCH) -> VirtualBoard:
    """Return a board with crossings as planned, from its lower edge upward.

    Parameters
    ----------
    plans : sequence of CrossingPlan
        At least one.
    earth_mm : float
        Gap between the earth around the screw and the lowest patch on the left. [mm]
    patch_mm : float
        Width of the patches on either side. [mm]

    Returns
    -------
    VirtualBoard
        The board.

    Raises
    ------
    OutsideRange
        There is no plan, or one leads to a way longer than what parts the crossings.

    Examples
    --------
    >>> board = lay_out([CrossingPlan(gap_mm=6.5, slot_mm=1.5), CrossingPlan(gap_mm=7.0, right_net="low-voltage GND")])
    >>> board.clearance_mm("mains", "pilot"), round(board.creepage_mm("mains", "pilot", groove_x_mm=1.0), 3)
    (6.5, 8.276)
    """
    if not plans:
        raise OutsideRange("a board is laid out with at least one crossing: give a plan")
    table = _Table()
    band = MARGIN + patch_mm + SET_BACK
    width, height = 2.0 * band, 2.0 * MARGIN + EARTH_DEPTH + earth_mm + PITCH * len(plans)
    table.add("board", Role.BOARD, Block(left=0.0, low=0.0, right=width, high=height).corners)
    earth = Block(left=MARGIN, low=MARGIN, right=MARGIN + patch_mm, high=MARGIN + EARTH_DEPTH)
    table.add("earth", Role.CONDUCTOR, earth.corners, net="earth PE", height_mm=0.0)
    table.groups.append(screw((earth.left + SCREW_RADIUS + 0.5, earth.middle[1])))
    below, low = (earth, "earth PE"), MARGIN + EARTH_DEPTH + earth_mm
    beside: tuple[Block, str] | None = None
    for place, plan in enumerate(plans):
        room = plan.nearer_mm if place else 0.0
        patch = Block(left=MARGIN, low=low + room, right=MARGIN + patch_mm, high=low + PITCH)
        if below[1] != plan.left_net:
            name = f"{below[1]} to {plan.left_net}, left of crossing {place + 1}"
            table.crossings.append(Crossing(name=name, nets=(below[1], plan.left_net), left=below[0], right=patch))
        opposite = _cross(table, place + 1, plan, patch, band=band, middle=low + 0.5 * PITCH)
        if beside is not None and beside[1] != plan.right_net:
            name = f"{beside[1]} to {plan.right_net}, right of crossing {place + 1}"
            table.crossings.append(
                Crossing(name=name, nets=(beside[1], plan.right_net), left=beside[0], right=opposite)
            )
        beside = (opposite, plan.right_net)
        below, low = (patch, plan.left_net), low + PITCH
    corner = (width - MARGIN - SCREW_RADIUS, MARGIN + SCREW_RADIUS)
    table.groups.append(screw(corner))
    table.add("screw", Role.FLOATING, disc(corner, SCREW_RADIUS), height_mm=2.2)
    board = VirtualBoard(
        width=width,
        height=height,
        features=tuple(table.features),
        crossings=tuple(table.crossings),
        groups=tuple(table.groups),
        patch=patch_mm,
    )
    _hold(board)
    return board


def _hold(board: VirtualBoard) -> None:
    longest = max(crossing.creepage_mm(0.0) for crossing in board.crossings)
    if longest > FAR:
        raise OutsideRange(
            f"a way of {longest:.2f} mm is longer than the {FAR:g} mm that part the crossings: plan it shorter"
        )


def _cross(table: _Table, number: int, plan: CrossingPlan, patch: Block, *, band: float, middle: float) -> Block:
    """Lay one crossing: a conductor from each side, what floats between them, a slot; return the patch on the right."""
    start = band + plan.aside_mm - 0.5 * plan.gap_mm
    left = Block(left=patch.right, low=middle - plan.left_half_mm, right=start, high=middle + plan.left_half_mm)
    lift = middle + plan.shift_mm
    right = Block(
        left=start + plan.gap_mm,
        low=lift - plan.right_half_mm,
        right=band + SET_BACK,
        high=lift + plan.right_half_mm,
    )
    floating = _floating(plan, left, right)
    slot = _slot(plan, left, right) if plan.slot_mm else None
    name = f"crossing {number}"
    crossing = Crossing(
        name=name,
        nets=(plan.left_net, plan.right_net),
        left=left,
        right=right,
        floating=floating,
        slot=slot,
        part=plan.part,
    )
    table.crossings.append(crossing)
    opposite = Block(
        left=right.right,
        low=middle - 0.5 * (PITCH - BESIDE),
        right=right.right + patch.right - patch.left,
        high=middle + 0.5 * (PITCH - BESIDE),
    )
    table.add(f"{plan.left_net} {number}", Role.CONDUCTOR, _with_tongue(patch, left), net=plan.left_net, height_mm=0.0)
    table.add(
        f"{plan.right_net} {number}", Role.CONDUCTOR, _with_tongue(opposite, right), net=plan.right_net, height_mm=0.0
    )
    for place, block in enumerate(floating):
        table.add(f"floating pad {number}.{place + 1}", Role.FLOATING, block.corners, height_mm=0.0)
    if slot is not None:
        table.add(f"slot {number}", Role.SLOT, slot.outline())
    if plan.joints:
        places = [
            (left.right - 1.0, left.middle[1]),
            (right.left + 1.0, right.middle[1]),
            *(b.middle for b in floating),
        ]
        table.groups.append(solder_joints(places))
    return opposite


def _floating(plan: CrossingPlan, left: Block, right: Block) -> tuple[Block, ...]:
    if not plan.floats:
        return ()
    count = len(plan.floats)
    each = (plan.gap_mm - sum(plan.floats) - plan.uneven) / (count + 1)
    gaps = (each + plan.uneven, *(each,) * (count - 1))
    low, high = max(left.low, right.low), min(left.high, right.high)
    return chain(left.right, gaps, plan.floats, low=low, high=high)


def _slot(plan: CrossingPlan, left: Block, right: Block) -> UprightSlot:
    return UprightSlot(
        middle=0.5 * (left.right + right.left),
        width=plan.slot_mm,
        low=min(left.low, right.low) - plan.beyond_mm,
        high=max(left.high, right.high) + plan.beyond_mm,
        round_ends=plan.round_ends,
    )


def _with_tongue(patch: Block, tongue: Block) -> NDArray[np.float64]:
    """Return the outline of a patch with a tongue that begins at its edge, counter-clockwise."""
    if tongue.left == patch.right:
        there = [
            (patch.right, tongue.low),
            (tongue.right, tongue.low),
            (tongue.right, tongue.high),
            (patch.right, tongue.high),
        ]
        points: list[Point] = [
            (patch.left, patch.low),
            (patch.right, patch.low),
            *there,
            (patch.right, patch.high),
            (patch.left, patch.high),
        ]
    else:
        there = [
            (patch.left, tongue.high),
            (tongue.left, tongue.high),
            (tongue.left, tongue.low),
            (patch.left, tongue.low),
        ]
        points = [
            (patch.left, patch.low),
            (patch.right, patch.low),
            (patch.right, patch.high),
            (patch.left, patch.high),
            *there,
        ]
    return np.array(points, dtype=np.float64)
