"""From a card found in a picture to the calibration of the plane that is measured, or the reason why there is none."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.calibration import fit_plane
from coldpin.insulation.camera_pose import camera_pose
from coldpin.insulation.card_detection import FoundCard, find_cards
from coldpin.insulation.card_pair import compare_cards
from coldpin.insulation.plane_map import PlaneMap
from coldpin.quantity import Quantity, format_quantity
from coldpin.records.board import Calibration

Array = NDArray[np.float64]

FOUND_U_PX = 0.1
"""Ours: standard uncertainty of a corner found in a sharp picture; on rendered pictures the finder does better. [px]"""

PRINT_U_MM = 0.03
"""Ours: standard uncertainty of an edge as an office printer places it. [mm]"""

STRAY = 6.0
"""Ours: a corner that misses the plane by this many times the median is not a corner but something that lies on it."""

MOST_STRAYS = 0.2
"""Ours: where more of the corners stray it is the card that is bent, and all of them stay."""

BLUR_REFUSED_MM = 0.2
"""Ours: edges blurred with this standard deviation are half a millimetre wide: a gap of some millimetres cannot be
picked in them. [mm]"""

BLUR_TOLD_MM = 0.05
"""Ours: blur from which a sharper picture is asked for. [mm]"""

SHARP_PX = 1.5
"""Ours: standard deviation of the blur up to which a picture is as sharp as its pixels let it be. [px]"""

BLUR_TO_PICK = 0.5
"""Ours: an edge is picked no better than to half the standard deviation of its blur beyond that of a sharp picture."""

OFF_PLANE_MM = 0.3
"""Ours: corners that miss the plane by this much (standard deviation) lie on no card that anything may rest on. [mm]"""

UNLIKELY_PRINT = 0.05
"""Ours: a print that is so far from its drawn size was fitted to the page, or the wrong bar was measured."""

MOST_BOW_MM = 10.0
"""Ours: a card that bows by more is no card that a scale is taken from, however well its bow can be seen. [mm]"""

BARS_WANTED = (
    "how true the card was printed is not known, so no distance has an uncertainty: measure both its bars by calliper "
    "and say --bar-along and --bar-across"
)

FEW_CORNERS = 0.5
"""Ours: part of the card's corners below which its whole is asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLying:
    """What is known of a card as it was printed and laid.

    ``along`` and ``across`` are the lengths of its bars by calliper [mm], None where they were not measured.
    ``face_above_mm`` is how far the face that is measured lies above it, None where it was laid level by eye. [mm]
    """

    along: Quantity | None = None
    across: Quantity | None = None
    face_above_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CardCalibration:
    """A picture calibrated by its card: what goes into a board's file, the map it gives, and what there is to say."""

    calibration: Calibration
    plane: PlaneMap
    found: FoundCard
    blur_mm: float
    remarks: tuple[str, ...]


def calibrate_by_card(
    grey: NDArray[np.uint8],
    lying: CardLying | None = None,
    *,
    pick_u_px: float | None = None,
    focal_px: float | None = None,
    camera_height_mm: float | None = None,
    picture: str = "",
) -> CardCalibration:
    """Find the scale card in a picture and calibrate the plane it lies in.

    Parameters
    ----------
    grey : NDArray[np.uint8]
        Array of shape (height, width).
    lying : CardLying or None
        How the card was printed and laid; without its bars the scale has no uncertainty.
    pick_u_px : float or None
        Standard uncertainty of each coordinate that will be picked by hand; None where not known. [px]
    focal_px : float or None
        Focal length of the camera; None where not known. [px]
    camera_height_mm : float or None
        Distance of the lens from the card; None where it was not measured. [mm]
    picture : str
        SHA-256 of the picture.

    Returns
    -------
    CardCalibration
        Calibration, map and remarks.

    Raises
    ------
    InputError
        No card is seen, the picture is mirrored or too blurred, or the card does not lie flat.
    MissingExtra
        The library that looks at pictures is not installed.
    """
    cards = find_cards(grey)
    if not cards:
        raise InputError(
            "no scale card is seen: it must lie flat in the picture, with most of its marks sharp, without glare, its "
            "squares 20 px and wider (`coldpin scale-card` prints it); without card give --pitch or --rectangle"
        )
    found = cards[0]
    height, width = grey.shape
    lying = lying or CardLying()
    about_mm = camera_height_mm
    if about_mm is None and focal_px is not None:
        # a bow is seen by how far the lens stood: well enough as if it looked straight down
        about_mm = focal_px * found.card.square_mm / found.square_px
    first, plane = _without_strays(_calibration(found, (width, height), picture, about_mm))
    blur_mm = _blur_mm(found)
    remarks = [*_told_of_card(found, blur_mm), *_told_of_print(found, lying)]
    stretch, length_u = _printed(found, lying)
    if camera_height_mm is None and focal_px is not None:
        camera_height_mm = camera_pose(plane, focal_px).height_mm
    if len(cards) > 1:
        pair = compare_cards(plane, cards[1])
        length_u = None if length_u is None else math.hypot(length_u, pair.length_u)
        remarks.append(pair.told())
    blurred = BLUR_TO_PICK * math.sqrt(max(max(found.blur_px) ** 2 - SHARP_PX**2, 0.0))
    calibration = Calibration(
        method=first.method,
        picture_px=first.picture_px,
        plane_mm=first.plane_mm * stretch,
        found_u_px=first.found_u_px,
        pick_u_px=None if pick_u_px is None else max(pick_u_px, blurred),
        length_u_relative=length_u,
        camera_height_mm=camera_height_mm,
        face_above_mm=lying.face_above_mm,
        picture=picture,
        picture_size_px=(width, height),
    )
    plane = fit_plane(calibration)
    _refuse_bent(plane, found)
    return CardCalibration(
        calibration=calibration, plane=plane, found=found, blur_mm=blur_mm, remarks=(*remarks, *plane.remarks)
    )


def _calibration(found: FoundCard, size: tuple[int, int], picture: str, height_mm: float | None) -> Calibration:
    scale_mm = found.card.square_mm / found.square_px
    return Calibration(
        method="card",
        picture_px=found.picture_px,
        plane_mm=found.plane_mm,
        found_u_px=math.hypot(FOUND_U_PX, PRINT_U_MM / scale_mm),
        length_u_relative=0.0,
        camera_height_mm=height_mm,
        picture=picture,
        picture_size_px=size,
    )


def _without_strays(calibration: Calibration) -> tuple[Calibration, PlaneMap]:
    """Leave out single corners that lie far off all others: under a wire, in a reflection. Return the map as well."""
    plane = fit_plane(calibration)
    missed = np.hypot(*plane.residuals_px.T)
    usual = float(np.median(missed))
    kept = missed <= max(STRAY * usual, FOUND_U_PX)
    if kept.all() or kept.mean() < 1.0 - MOST_STRAYS:
        return calibration, plane
    cleared = replace(calibration, picture_px=calibration.picture_px[kept], plane_mm=calibration.plane_mm[kept])
    return cleared, fit_plane(cleared)


def _blur_mm(found: FoundCard) -> float:
    """Return the blur of the card's edges in millimetres, or refuse it."""
    blur_mm = max(found.blur_px) * found.card.square_mm / found.square_px
    if blur_mm > BLUR_REFUSED_MM:
        least, most = sorted(found.blur_px)
        how = "moved while it was taken" if most > 2.0 * least else "is out of focus"
        raise InputError(
            f"the picture {how}: edges of the card are blurred by {blur_mm:.2g} mm (standard deviation, "
            f"{most:.2g} px), up to {BLUR_REFUSED_MM:g} mm is used: rest the camera on something, focus on the board, "
            "give more light"
        )
    return blur_mm


def _told_of_card(found: FoundCard, blur_mm: float) -> list[str]:
    told = []
    if blur_mm > BLUR_TOLD_MM and max(found.blur_px) > SHARP_PX:
        told.append(
            f"edges are blurred by {blur_mm:.2g} mm (standard deviation): corners are picked no better than to half of "
            "it; a sharper picture measures better"
        )
    seen, all_of_them = len(found.picture_px), (found.card.rows - 1) * (found.card.columns - 1)
    if seen < FEW_CORNERS * all_of_them:
        told.append(f"{seen} of the {all_of_them} corners of card {found.card.name} are seen: show all of it")
    return told


def _told_of_print(found: FoundCard, lying: CardLying) -> list[str]:
    if lying.along is None or lying.across is None:
        return [BARS_WANTED]
    told = []
    for bar, drawn in zip((lying.along, lying.across), found.card.bars, strict=True):
        if bar.u is None:
            told.append(f"the bar {drawn.name} has no stated accuracy: write it as '{bar.value:g} mm ± 0.05 mm'")
        if abs(bar.value / drawn.length_mm - 1.0) > UNLIKELY_PRINT:
            told.append(
                f"the bar {drawn.name} is {format_quantity(bar)} where {drawn.length_mm:g} mm were drawn: was the "
                "sheet fitted to the page, or another bar measured?"
            )
    return told


def _printed(found: FoundCard, lying: CardLying) -> tuple[Array, float | None]:
    """Return by what the drawn places are stretched along and across, and the relative uncertainty of both.

    Where one bar was measured the other way is taken alike, with an uncertainty that is not known.
    """
    bars = (lying.along, lying.across)
    ratios = [
        None if bar is None else bar.value / drawn.length_mm for bar, drawn in zip(bars, found.card.bars, strict=True)
    ]
    either = next((ratio for ratio in ratios if ratio is not None), 1.0)
    stretch = [either if ratio is None else ratio for ratio in ratios]
    known = [bar.u / bar.value for bar in bars if bar is not None and bar.u is not None]
    return np.array(stretch), max(known) if len(known) == len(bars) else None


def _refuse_bent(plane: PlaneMap, found: FoundCard) -> None:
    if abs(plane.bow_mm) > MOST_BOW_MM:
        raise InputError(
            f"the card does not lie flat: it bows by {abs(plane.bow_mm):.2g} mm; {MOST_BOW_MM:g} mm is taken out: "
            "glue it on something stiff, lay it beside the board and photograph again"
        )
    missed_mm = (plane.residual_px or 0.0) * found.card.square_mm / found.square_px
    if missed_mm > OFF_PLANE_MM:
        raise InputError(
            f"the card does not lie flat: its corners miss a plane by {missed_mm:.2g} mm (standard deviation), up to "
            f"{OFF_PLANE_MM:g} mm is used: glue it on something stiff, lay it beside the board and photograph again"
        )
