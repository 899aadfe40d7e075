"""Distances of a drawing with their uncertainty: every corner moved a thousand times, the same ways measured again.

What the hand did to a corner is an error of the drawing; what the scale, the card and the heights are is unknown of the
world. So the distance that is there is what the drawing says under another scale, less what another hand would add.
Ways that are nearly as short as the shortest compete with it, and so do those that exist only while a groove is
narrower than X, in every draw anew.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.budget_words import BOW, LENS, TILT, WIDTH, label_of, reduced_by
from coldpin.insulation.corner_scatter import (
    EVERYTHING,
    Corner,
    Drawing,
    Influence,
    Scatter,
    corners_of,
    heights_not_said,
)
from coldpin.insulation.distances import NEXT_PATHS, find_distances
from coldpin.insulation.groove_doubt import Narrow, narrow_places
from coldpin.insulation.path_corners import PinnedPath, pin_path, remeasure, remeasure_lines, rings_drawn
from coldpin.insulation.plane_map import ENTRIES, PARAMETERS
from coldpin.quantity import COVERAGE, Component, Quantity, assemble
from coldpin.quantity.propagation import tolerance
from coldpin.records.board import BoardModel, Role, View
from coldpin.records.distance import Distances, FoundDistances, IsolationPath, Leg, MeasuredDistance, PathLeg
from coldpin.standards.book import Book

Array = NDArray[np.float64]

DRAWS = 1000
"""Ours: how often every corner is moved. The ends of an interval are then known to a twelfth of u."""

SEED = 107
"""The draws are the same each time."""

QUANTILES = 401
"""Ours: quantiles kept of a distribution, so that 2.5 % and 97.5 % are among them."""

WIDTH_REACH = 4.0
"""Ours: a groove whose width lies within so many standard uncertainties of X may be either; beyond, one in 16 000."""

ALIKE = 2.0
"""Ours: ways whose lengths differ by no more than so many standard uncertainties of the difference may be equal. [1]"""

LEAN = 0.25
"""Ours: the value is as drawn unless the middle of what may be lies lower by more than this part of its spread. [1]"""

LINK_MM = 1e-3
"""Ours: a bridge whose length is X but for this is the link of a recess, not the width of a groove. [mm]"""

NARROW_SHARE = 0.01
"""Ours: the part of X that a groove's width is unsure by from the scale, when it is asked which may be either. [1]"""


def measure_distances(
    board: BoardModel,
    nets: tuple[str, str],
    *,
    groove_x_mm: float,
    next_count: int = NEXT_PATHS,
    book: Book | None = None,
    draws: int = DRAWS,
) -> Distances:
    """Return the shortest clearance and creepage between two nets with their uncertainty, and the next ones.

    Parameters
    ----------
    board : BoardModel
        The drawing, in millimetres or in pixels of a picture with their calibration.
    nets : tuple of str
        A net ("mains L") or a group ("mains") at each end.
    groove_x_mm : float
        The width X under which a groove is crossed, already reduced where the clearance asked for is under 3 mm. [mm]
    next_count : int
        How many further paths of each kind at most.
    book : Book, optional
        The tables; those of coldpin where None.
    draws : int
        How often every corner is moved.

    Returns
    -------
    Distances
        Each with u None where that of the drawing is not known, and ``why``.

    Raises
    ------
    InputError
        The calibration cannot be fitted, a shape encloses no area, a net is at both ends, or X is negative.
    UnknownName
        No conductor has that net or group.

    Examples
    --------
    >>> from coldpin.records.board import BoardFeature, Role
    >>> def pad(name, net, x):
    ...     outline = np.array([[x, 0.0], [x + 1.0, 0.0], [x + 1.0, 1.0], [x, 1.0]])
    ...     return BoardFeature(name=name, role=Role.CONDUCTOR, net=net, outline=outline)
    >>> board = BoardModel(features=(pad("pad 1", "mains L", 0.0), pad("pad 2", "pilot", 6.0)), pick_u_mm=0.02)
    >>> found = measure_distances(board, ("mains", "pilot"), groove_x_mm=1.0)
    >>> found.clearance.length_mm.value, found.clearance.dominated_by
    (5.0, 'picking of the corners')
    >>> unknown = measure_distances(replace(board, pick_u_mm=None), ("mains", "pilot"), groove_x_mm=1.0)
    >>> unknown.clearance.length_mm.u is None
    True

    Sources
    -------
    JCGM 101:2008, propagation of distributions by Monte Carlo (standing: memory).
    """
    drawing = Drawing.of(board)

    def found_with(width: float, count: int) -> FoundDistances:
        return find_distances(drawing.in_mm, nets, groove_x_mm=width, next_count=count, book=book)

    found = found_with(groove_x_mm, next_count)
    unknown = drawing.unknown()
    doubtful: list[FoundDistances] = []
    if not unknown and groove_x_mm > 0.0:
        reach = WIDTH_REACH * math.hypot(math.sqrt(2.0) * drawing.most_pick_u_mm, NARROW_SHARE * groove_x_mm)
        if _has_grooves(drawing.in_mm):
            doubtful.append(found_with(groove_x_mm + reach, 0))
        if any(_needs_narrow(leg) for path in _paths(found) for leg in path.legs):
            doubtful.append(found_with(max(groove_x_mm - reach, 0.0), 0))
    measurer = _Measurer.of(drawing, found, doubtful, draws=draws, unknown=unknown)
    plane = drawing.plane
    return Distances(
        nets=found.nets,
        groove_x_mm=found.groove_x_mm,
        clearance=measurer.shortest(found.clearance, found.next_clearance),
        creepage=measurer.shortest(found.creepage, found.next_creepage),
        next_clearance=tuple(measurer.alone(path) for path in found.next_clearance),
        next_creepage=tuple(measurer.alone(path) for path in found.next_creepage),
        other_readings=tuple(measurer.alone(path) for path in found.other_readings),
        not_seen=found.not_seen,
        remarks=found.remarks + (plane.remarks if plane is not None else ()) + heights_not_said(board, _paths(found)),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Way:
    """A path with what it hangs on; ``length`` is what measuring it again in the drawing itself gives. [mm]"""

    path: IsolationPath
    pinned: PinnedPath
    narrow: tuple[Narrow, ...]
    length: float

    def among(self, lines: tuple[Array, ...], count: int) -> Array:
        """Return its length in moved drawings, in which its lines are so long: array of shape (count,). [mm]"""
        again = np.full(count, self.path.length_mm - self.length)
        for line in lines:
            again += line.min(axis=0)
        return again


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Measurer:
    """Measures the paths of a drawing again; ``others`` are those that are there with another X.

    ``still`` are the rings as drawn, as :meth:`Scatter.moved` gives them.
    """

    drawing: Drawing
    groove_x_mm: float
    scatter: Scatter
    ways: Mapping[IsolationPath, _Way]
    others: Sequence[IsolationPath]
    unknown: tuple[str, ...]
    still: Mapping[tuple[str, int], Array]
    _measured_lines: dict[tuple[IsolationPath, frozenset[Influence]], tuple[Array, ...]] = field(
        init=False, repr=False, default_factory=dict
    )
    _budgets: dict[IsolationPath, tuple[Component, ...]] = field(init=False, repr=False, default_factory=dict)

    @classmethod
    def of(
        cls,
        drawing: Drawing,
        found: FoundDistances,
        doubtful: Sequence[FoundDistances],
        *,
        draws: int,
        unknown: tuple[str, ...],
    ) -> _Measurer:
        """Return a measurer for everything that was found."""
        paths = _paths(found)
        others = [path for one in doubtful for path in (one.creepage, one.clearance) if path is not None]
        ways: dict[IsolationPath, _Way] = {}
        scatter = Scatter(drawing=drawing, corners=(), count=draws, seed=SEED)
        still: Mapping[tuple[str, int], Array] = {}
        if not unknown:
            pinned: dict[IsolationPath, PinnedPath] = {}
            narrow: dict[IsolationPath, tuple[Narrow, ...]] = {}
            for path in (*paths, *others):
                try:
                    hung, places = pin_path(drawing.in_mm, path), narrow_places(drawing.in_mm, path)
                except InputError:
                    # it bends at what no corner of the drawing holds
                    continue
                pinned[path], narrow[path] = hung, places
            corners = _corners(drawing, pinned.values(), narrow.values())
            scatter = replace(scatter, corners=corners)
            still = replace(scatter, count=1).moved(()) if corners else {}
            for path, hung in pinned.items():
                length = float(remeasure(hung, still)[0])
                # a link that bridges a recess lies where this is X wide, wherever that comes to be
                places = tuple(
                    place
                    for place in narrow[path]
                    if path in others or abs(float(place.width(still)[0]) - found.groove_x_mm) > LINK_MM
                )
                ways[path] = _Way(path=path, pinned=hung, narrow=places, length=length)
        return cls(
            drawing=drawing,
            groove_x_mm=found.groove_x_mm,
            scatter=scatter,
            ways=ways,
            others=others,
            unknown=unknown,
            still=still,
        )

    def alone(self, path: IsolationPath) -> MeasuredDistance:
        """Return a path with its uncertainty, whatever else there is."""
        if path not in self.ways:
            return self._not_known(path)
        return self._measured(path, (path,), ())

    def shortest(self, path: IsolationPath | None, following: Sequence[IsolationPath]) -> MeasuredDistance | None:
        """Return the shortest path with its uncertainty, in which those that are nearly as short take part."""
        if path is None or path not in self.ways:
            return None if path is None else self._not_known(path)
        drawn = (path, *(other for other in following if other in self.ways))
        others = [other for other in self.others if other.kind is path.kind and other in self.ways]
        return self._measured(path, drawn, [other for other in others if other not in drawn])

    def _not_known(self, path: IsolationPath) -> MeasuredDistance:
        if not self.unknown:
            why = "the path bends where no corner of the drawing holds it: how far it would move is not known"
            todo = "measure this distance by calliper, or draw what it bends round with a corner there"
        else:
            why = "; ".join(self.unknown)
            todo = "state what is not known of the picture and its scale"
            if self.drawing.plane is None:
                todo = "state what is not known: draw one shape several times and give the scatter of its corners"
        return MeasuredDistance(path=path, length_mm=Quantity(path.length_mm, None, "mm", why=why), reduced_by=todo)

    def _measured(
        self, path: IsolationPath, drawn: Sequence[IsolationPath], others: Sequence[IsolationPath]
    ) -> MeasuredDistance:
        there = self._smooth(drawn)
        # what stands high reads long in a picture: the value comes down to the middle of what may be, never up
        middle, spread = float(np.median(there)), float(np.std(there))
        value = middle if path.length_mm - middle > LEAN * spread else path.length_mm
        narrow = ""
        doubt = 0.0
        components = list(self._budget(path))
        with_doubt = self._with_doubt(drawn, others, there)
        if with_doubt is not None:
            apart, narrow = with_doubt
            doubt = math.sqrt(max(float(np.mean((apart - there) ** 2)), 0.0))
            there = apart
            components.append(Component(id=f"{self._scope(path)}: {narrow}", label=WIDTH, contribution=doubt))
        largest = max(components, key=lambda part: abs(part.contribution), default=None)
        label = largest.label if largest is not None else ""
        return MeasuredDistance(
            path=path,
            length_mm=_described(value, there, tuple(components)),
            dominated_by=f"whether {narrow}" if label == WIDTH else label,
            reduced_by=reduced_by(self.drawing, label, narrow) if label else "",
        )

    def _lengths(self, path: IsolationPath, influences: frozenset[Influence]) -> Array:
        return self.ways[path].among(self._lines(path, influences), self.scatter.count)

    def _lines(self, path: IsolationPath, influences: frozenset[Influence]) -> tuple[Array, ...]:
        """Return how long each line of a path may be taken in each draw; measured once. [mm]"""
        if (path, influences) not in self._measured_lines:
            moved = self.scatter.moved(influences)
            self._measured_lines[path, influences] = remeasure_lines(self.ways[path].pinned, moved)
        return self._measured_lines[path, influences]

    def _smooth(self, drawn: Sequence[IsolationPath]) -> Array:
        """Return what the shortest of some paths may be in truth: another scale, less what another hand would add.

        Of ways that are alike the shortest as drawn is likely short by chance. That may only lengthen what is possible,
        never what is certain: the lower part of what may be spreads about the drawing, the upper part leans to all that
        looks alike being so, as edges that run parallel are.
        """
        scaled = np.array([self._lengths(path, _WORLD) for path in drawn])
        hand = np.array([self._lengths(path, EVERYTHING) for path in drawn]) - scaled
        shortest = scaled.min(axis=0)
        by_hand = (scaled + hand).min(axis=0) - shortest
        about = shortest - (by_hand - float(by_hand.mean()))
        first = int(np.argmin([path.length_mm for path in drawn]))
        longer = np.array([path.length_mm - drawn[first].length_mm for path in drawn])
        alike = longer <= ALIKE * np.std(hand - hand[first], axis=1)
        of_alike = np.min([self._hand_alike(path) for path, like in zip(drawn, alike, strict=True) if like], axis=0)
        if_alike = np.maximum(np.sort(shortest - of_alike), np.sort(about))
        order = np.argsort(about, kind="stable")
        part = (np.arange(len(order)) + 0.5) / len(order)
        there = np.empty(len(order))
        there[order] = about[order] + part * (if_alike - about[order])
        return np.maximum(there, 0.0)

    def _hand_alike(self, path: IsolationPath) -> Array:
        """Return what the hand adds to a path, if the ways that look alike are so: array of shape (count,). [mm]"""
        still = remeasure_lines(self.ways[path].pinned, self.still)
        picked, scaled = self._lines(path, EVERYTHING), self._lines(path, _WORLD)
        total = np.zeros(self.scatter.count)
        for as_drawn, by_hand, by_scale in zip(still, picked, scaled, strict=True):
            hand = by_hand - by_scale
            first = int(np.argmin(as_drawn[:, 0]))
            alike = as_drawn[:, 0] - as_drawn[first, 0] <= ALIKE * np.std(hand - hand[first], axis=1)
            total += hand[alike].min(axis=0)
        return total

    def _with_doubt(
        self, drawn: Sequence[IsolationPath], others: Sequence[IsolationPath], there: Array
    ) -> tuple[Array, str] | None:
        """Return the same where a way may not be there, or another may be, because of something's width; and what."""
        exists = {path: self._exists(path) for path in (*drawn, *others)}
        least = there
        if not all(exists[path].all() for path in drawn):
            least = np.min([np.where(exists[path], self._smooth((path,)), math.inf) for path in drawn], axis=0)
        shortest = min(path.length_mm for path in drawn)
        for path in others:
            length = np.where(exists[path], self._smooth((path,)), math.inf)
            # a longer way is taken only where none of those drawn is there
            shorter = path.length_mm < shortest - _NOTHING_MM
            least = np.minimum(least, length) if shorter else np.where(np.isfinite(least), least, length)
        least = np.where(np.isfinite(least), least, there)
        if np.array_equal(least, there):
            return None
        unsure = [place for path in (*drawn, *others) for place in self.ways[path].narrow if self._unsure(place)]
        return least, unsure[0].what if unsure else "a groove is narrower than X"

    def _exists(self, path: IsolationPath) -> NDArray[np.bool_]:
        """Say in which draws all that has to be narrower than X for a path is so."""
        there = np.ones(self.scatter.count, dtype=bool)
        for place in self.ways[path].narrow:
            there &= self._narrow(place)
        return there

    def _narrow(self, place: Narrow) -> NDArray[np.bool_]:
        return np.asarray(place.width(self.scatter.moved()) < self.groove_x_mm)

    def _unsure(self, place: Narrow) -> bool:
        narrow = self._narrow(place)
        return bool(narrow.any() and not narrow.all())

    def _budget(self, path: IsolationPath) -> tuple[Component, ...]:
        """Return the share of each influence, let in alone."""
        if path not in self._budgets:
            self._budgets[path] = tuple(self._shares(path))
        return self._budgets[path]

    def _shares(self, path: IsolationPath) -> list[Component]:
        scope = self._scope(path)
        shares = []
        for influence in Influence if self.drawing.plane is not None else (Influence.PICKING,):
            if influence is Influence.POINTS:
                shares += [(f"{scope}: {label}", label, size) for label, size in self._of_the_map(path)]
                continue
            off = self._lengths(path, frozenset({influence})) - path.length_mm
            size = float(np.sqrt(np.mean(off**2)))
            # the length of a scale is one and the same for everything that is measured by it
            shared = influence is Influence.LENGTH
            shares.append(
                (f"{self._picture}: length" if shared else f"{scope}: {influence}", label_of(influence), size)
            )
        order = sorted(shares, key=lambda share: -share[2])
        return [Component(id=name, label=label, contribution=size) for name, label, size in order if size > _NOTHING_MM]

    def _of_the_map(self, path: IsolationPath) -> list[tuple[str, float]]:
        """Return how much of what the map adds comes from lens, tilt, bow of the card, and points."""
        plane = self.drawing.plane
        assert plane is not None
        assert plane.covariance is not None
        steps = np.sqrt(np.diag(plane.covariance)) * _STEP
        both_ways = np.concatenate([plane.parameters + np.diag(steps), plane.parameters - np.diag(steps)])
        way = self.ways[path]
        lengths = way.among(remeasure_lines(way.pinned, self.scatter.by_maps(both_ways)), len(both_ways))
        above, below = np.split(lengths, 2)
        slopes = np.divide(above - below, 2.0 * steps, out=np.zeros(PARAMETERS), where=steps > 0.0)
        # what the card's shape leaves in doubt is a line of its own, whatever of lens and points goes with it
        shape = float(np.linalg.norm(plane.doubts @ slopes))
        covariance = plane.covariance - plane.doubts.T @ plane.doubts
        follows = covariance @ slopes
        variance = float(slopes @ follows)
        parts = [(LENS, np.eye(PARAMETERS)[ENTRIES:])]
        if plane.square:
            parts.append((TILT, np.concatenate([np.eye(PARAMETERS)[ENTRIES - 2 : ENTRIES], _UNLIKE])))
        shares, explained, known = [], 0.0, np.empty((0, PARAMETERS))
        for label, rows in parts:
            known = np.concatenate([known, rows])
            spread = np.linalg.pinv(known @ covariance @ known.T)
            up_to_here = float((known @ follows) @ spread @ (known @ follows))
            shares.append((label, math.sqrt(max(up_to_here - explained, 0.0))))
            explained = max(up_to_here, explained)
        return [*shares, (BOW, shape), (label_of(Influence.POINTS), math.sqrt(max(variance - explained, 0.0)))]

    @property
    def _picture(self) -> str:
        calibration = self.drawing.given.calibration
        return "drawing" if calibration is None else f"picture {calibration.picture[:12]}"

    def _scope(self, path: IsolationPath) -> str:
        return f"{self._picture}: {path.kind} {path.between[0]} | {path.between[1]}, {path.told}"


def _paths(found: FoundDistances) -> list[IsolationPath]:
    shown = (found.clearance, found.creepage, *found.next_clearance, *found.next_creepage, *found.other_readings)
    return [path for path in shown if path is not None]


def _needs_narrow(leg: PathLeg) -> bool:
    return leg.leg is Leg.BRIDGE or (leg.leg is not Leg.CONDUCTOR and not leg.counted_mm)


def _has_grooves(board: BoardModel) -> bool:
    """Say whether anything of a drawing may be narrower than X: a slot, a notch of the rim, a gap beside a part."""
    if board.view is View.SECTION or board.of_role(Role.SLOT) or board.of_role(Role.FLOATING):
        return True
    rims = [shapely.Polygon(shape.outline, shape.openings) for shape in board.of_role(Role.BOARD)]
    return len(rims) > 1 or any(rim.area < (1.0 - _CONVEX) * rim.convex_hull.area for rim in rims)


_CONVEX = 1e-9
"""Ours: an outline that fills its hull but for this part has no notch. [1]"""

_WORLD = EVERYTHING - {Influence.PICKING}

_NOTHING_MM = 1e-9
"""Ours: less than this is rounding. [mm]"""


_STEP = 1e-3
"""Ours: the slopes of a length are found over this part of the standard uncertainty of each entry of the map. [1]"""

_UNLIKE = np.zeros((2, PARAMETERS))
_UNLIKE[0, [0, 4]] = 1.0, 1.0
_UNLIKE[1, [1, 3]] = 1.0, -1.0
"""How unlike a map stretches along and across, which a tilt does: y is up in the plane and down in the picture."""


def _corners(
    drawing: Drawing, pinned: Iterable[PinnedPath], narrow: Iterable[tuple[Narrow, ...]]
) -> tuple[Corner, ...]:
    shapes = {shape.name: shape for shape in drawing.in_mm.features}
    pins = [pin for path in pinned for line in path.lines for pin in line]
    pins += [pin for places in narrow for place in places for pin in place.pins()]
    return corners_of(
        (pin.feature, pin.ring, pin.corner, len(rings_drawn(shapes[pin.feature])[pin.ring])) for pin in pins
    )


def _described(value: float, there: Array, components: tuple[Component, ...]) -> Quantity:
    """Return a length as drawn, with the sum of its shares where this gives the same interval as the draws do.

    The value is what the drawing says, or less: no distance is lengthened by what is known of its uncertainty.
    """
    if not components:
        return Quantity(
            value, None, "mm", why="nothing of its length is counted: it hangs on no corner that could move"
        )
    plain = assemble(value, "mm", components)
    ends = (0.5 * (1.0 - COVERAGE), 0.5 * (1.0 + COVERAGE))
    low, high = (float(end) for end in np.quantile(there, ends))
    u = float(np.sqrt(np.mean((there - value) ** 2)))
    assert plain.low is not None
    assert plain.high is not None
    allowed = tolerance(u) + _END_ERROR * u / math.sqrt(there.size)
    if abs(low - plain.low) <= allowed and abs(high - plain.high) <= allowed:
        return plain
    quantiles = tuple(float(level) for level in np.quantile(there, np.linspace(0.0, 1.0, QUANTILES)))
    why = (
        f"the interval is from {there.size} draws, in which the shortest way is looked for anew; the value is as drawn "
        "or less"
    )
    return Quantity(value, u, "mm", low=low, high=high, components=components, quantiles=quantiles, why=why)


_END_ERROR = 2.67
"""Standard error of the 2.5 % quantile of a normal variable times √n, in its standard deviations: √(p (1 − p)) / φ."""
