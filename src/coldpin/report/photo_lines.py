"""What is said of a calibrated photograph, line by line, for a terminal and for a report."""

from __future__ import annotations

from coldpin.quantity import format_quantity
from coldpin.records.outline import ProposedOutline
from coldpin.records.photo import PhotoGap, PhotoReading, RaisedReading

_METHODS = {"card": "scale card", "rectangle": "a rectangle pointed out", "pitch": "a length pointed out"}


def photo_lines(reading: PhotoReading) -> list[tuple[str, str]]:
    """Return what a photograph says of its scale.

    Parameters
    ----------
    reading : PhotoReading
        The record.

    Returns
    -------
    list of tuple
        What is told of, and what is told of it.
    """
    lines = [
        ("size", f"{reading.width_px} × {reading.height_px} px"),
        ("scale by", _METHODS[reading.method]),
        *_card_lines(reading),
        ("one pixel in the middle", format_quantity(reading.millimetres_per_pixel)),
        ("tilt of the camera", _tilt(reading)),
        ("lens at the corner", format_quantity(reading.distortion_percent)),
        ("height of the lens", _height(reading)),
    ]
    if reading.residual_px is not None:
        lines.append(("points miss the plane by", f"{reading.residual_px:.2g} px (standard deviation)"))
    return lines


def _card_lines(reading: PhotoReading) -> list[tuple[str, str]]:
    card = reading.card
    if card is None:
        return []
    return [
        ("card", f"{card.name}: {card.marks} marks, {card.corners} corners, squares of {card.square_px:.0f} px"),
        ("blur of its edges", f"{card.blur_px:.2g} px, {card.blur_mm:.2g} mm (standard deviation)"),
    ]


def _tilt(reading: PhotoReading) -> str:
    if reading.tilt_deg is None:
        return "not shown by these points"
    if reading.lens_height_is_least:
        return f"at least about {reading.tilt_deg.value:.0f}°"
    return format_quantity(reading.tilt_deg)


def _height(reading: PhotoReading) -> str:
    if reading.lens_height_is_least:
        return f"at least about {reading.lens_height_mm.value:.3g} mm"
    return format_quantity(reading.lens_height_mm)


def raised_cells(raised: RaisedReading) -> tuple[str, str, str]:
    """Return what a table prints of a height.

    Parameters
    ----------
    raised : RaisedReading
        What a height does.

    Returns
    -------
    tuple of str
        Height, how much longer a length reads, how far a point moves.
    """
    return f"{raised.height_mm:g} mm", f"{raised.longer_percent:.2f} %", f"{raised.shift_mm:.2f} mm"


def gap_cells(gap: PhotoGap) -> tuple[str, str, str]:
    """Return what a table prints of a gap.

    Parameters
    ----------
    gap : PhotoGap
        A gap by calliper and in the picture.

    Returns
    -------
    tuple of str
        Both readings, and whether they agree.
    """
    agree = {True: "yes", False: "no", None: "cannot be told"}[gap.agrees]
    return format_quantity(gap.known), format_quantity(gap.read), agree


def outline_cells(one: ProposedOutline) -> tuple[str, ...]:
    """Return the cells of one proposed outline.

    Parameters
    ----------
    one : ProposedOutline
        The record.

    Returns
    -------
    tuple of str
        Number, what it is taken for, corners, size, and how well its least corner is known.
    """
    across, down = (max(side) - min(side) for side in zip(*one.outline_px, strict=True))
    known = "as drawn, not known" if one.pick_u_px is None else f"{one.pick_u_px:.1f} px"
    openings = f", {len(one.openings_px)} openings" if one.openings_px else ""
    return (str(one.number), one.label, f"{len(one.outline_px)}{openings}", f"{across:.0f} × {down:.0f} px", known)
