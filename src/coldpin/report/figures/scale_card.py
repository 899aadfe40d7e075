"""The scale card drawn from its layout, true to size, with two bars to check by calliper."""

from __future__ import annotations

import shapely

from coldpin.records.scale_card import CardBar, CardMarker, ScaleCard

HAIRLINE_MM = 0.15
"""Ours: width of the line to cut along. [mm]"""

LETTER_MM = 2.6
"""Ours: height of the lettering on a card. [mm]"""


def card_svg(card: ScaleCard) -> str:
    """Return a card as SVG whose unit is the millimetre.

    Parameters
    ----------
    card : ScaleCard
        The layout.

    Returns
    -------
    str
        One ``svg`` element.
    """
    (left, low), (right, high) = card.card_mm
    width, height = right - left, high - low
    dark = shapely.union_all([_dark(card), *(_mark(card, marker) for marker in card.markers), *map(_bar, card.bars)])
    along, across = card.bars
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="{left:g} {-high:g} {width:g} {height:g}">'
        f'<rect x="{left + HAIRLINE_MM:g}" y="{HAIRLINE_MM - high:g}" width="{width - 2 * HAIRLINE_MM:g}" '
        f'height="{height - 2 * HAIRLINE_MM:g}" fill="none" stroke="#000" stroke-width="{HAIRLINE_MM:g}"/>'
        f'<path fill="#000" fill-rule="evenodd" d="{_path(dark)}"/>'
        + _words(0.0, card.rows * card.square_mm + LETTER_MM, f"coldpin scale card {card.name}, print at 100 %")
        + _words(
            0.0, along.start_mm[1] - along.width_mm - LETTER_MM, f"this bar: ________ mm (drawn {along.length_mm:g})"
        )
        + _words(
            across.start_mm[0] + across.width_mm + LETTER_MM,
            0.0,
            f"this bar: ______ mm (drawn {across.length_mm:g})",
            turned=True,
        )
        + "</svg>"
    )


def _words(x: float, y: float, text: str, *, turned: bool = False) -> str:
    turn = f' transform="rotate(-90 {x:g} {-y:g})"' if turned else ""
    return f'<text x="{x:g}" y="{-y:g}" font-family="DejaVu Sans" font-size="{LETTER_MM:g}"{turn}>{text}</text>'


def _dark(card: ScaleCard) -> shapely.MultiPolygon:
    side = card.square_mm
    places = [
        (column * side, (card.rows - 1 - row) * side)
        for row in range(card.rows)
        for column in range(card.columns)
        if (row + column) % 2 == 0
    ]
    return shapely.MultiPolygon([shapely.box(x, y, x + side, y + side) for x, y in places])


def _mark(card: ScaleCard, marker: CardMarker) -> shapely.Geometry:
    """Return the dark part of a mark as one shape, so that no seam shows between its cells."""
    x, y = marker.corner_mm
    cells = len(marker.cells)
    cell = card.marker_mm / (cells + 2)
    whole = shapely.box(x, y, x + card.marker_mm, y + card.marker_mm)
    light = [
        shapely.box(
            x + (column + 1) * cell, y + (cells - row) * cell, x + (column + 2) * cell, y + (cells - row + 1) * cell
        )
        for row, line in enumerate(marker.cells)
        for column, sign in enumerate(line)
        if sign == "1"
    ]
    return shapely.difference(whole, shapely.union_all(light, grid_size=cell * 1e-6))


def _bar(bar: CardBar) -> shapely.Polygon:
    half = 0.5 * bar.width_mm
    (x0, y0), (x1, y1) = bar.start_mm, bar.end_mm
    along = x1 > x0
    return shapely.box(x0, y0 - half, x1, y1 + half) if along else shapely.box(x0 - half, y0, x1 + half, y1)


def _path(shape: shapely.Geometry) -> str:
    """Return rings as the commands of a path, y turned down."""
    rings = [ring for part in shapely.get_parts(shape) for ring in (part.exterior, *part.interiors)]
    return "".join("M" + "L".join(f"{x:.6g},{-y:.6g}" for x, y in list(ring.coords)[:-1]) + "Z" for ring in rings)
