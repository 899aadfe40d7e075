r"""How blurred a picture is, by the steepest slope of the edges between dark and light squares of a card.

.. math:: \sigma = \frac{\Delta I}{\sqrt{2\pi} \; \max |dI/dx|}

is exact for an edge blurred by a normal distribution. Edges along rows and along columns are kept apart, since a camera
that moves blurs one of them.
"""

from __future__ import annotations

import math
from types import ModuleType

import numpy as np
from numpy.typing import NDArray

from coldpin.records.scale_card import ScaleCard

Array = NDArray[np.float64]

REACH = 0.4
"""Ours: how far from an edge it is looked at, over the side of a square. The light side is narrower, and what lies
behind it lowers no slope."""

STEP_PX = 0.5
"""Ours: distance of the samples across an edge. [px]"""

MIDDLE = (1 / 3, 2 / 3)
"""Ours: part of an edge that is looked at, away from its corners."""

ALONG = 9
"""Ours: samples along that part, whose mean quiets the noise."""

DARKEST, LIGHTEST = 5, 95
"""Ours: percentiles of all samples that stand for dark and light, so that neither noise nor glare does."""


def edge_blur(
    cv2: ModuleType, grey: NDArray[np.uint8], corners_px: Array, places_mm: Array, card: ScaleCard
) -> tuple[float, float]:
    """Return the blur of a card's edges.

    Parameters
    ----------
    cv2 : module
        The library that looks at pictures.
    grey : NDArray[np.uint8]
        Array of shape (height, width).
    corners_px : NDArray[np.float64]
        Array of shape (n, 2), corners of squares. [px]
    places_mm : NDArray[np.float64]
        Array of shape (n, 2), where they are on the card. [mm]
    card : ScaleCard
        The layout.

    Returns
    -------
    tuple of float
        Standard deviation of the blur of edges that run along the rows, and along the columns; infinite where none of a
        kind is seen. [px]
    """
    places = {
        tuple(place): corner for place, corner in zip(np.round(places_mm / card.square_mm), corners_px, strict=True)
    }
    blurs = []
    for step in ((1.0, 0.0), (0.0, 1.0)):
        pairs = [
            (here, there)
            for (x, y), here in places.items()
            if (there := places.get((x + step[0], y + step[1]))) is not None
        ]
        blurs.append(_blur(cv2, grey, np.array(pairs)) if pairs else math.inf)
    return blurs[0], blurs[1]


def _blur(cv2: ModuleType, grey: NDArray[np.uint8], pairs: Array) -> float:
    """Return the median blur of edges; ``pairs``: array of shape (n, 2, 2), their ends."""
    along = pairs[:, 1] - pairs[:, 0]
    side = float(np.median(np.hypot(*along.T)))
    across = np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(*along.T)[:, None]
    reach = math.ceil(REACH * side / STEP_PX)
    offsets = STEP_PX * np.arange(-reach, reach + 1)
    parts = np.linspace(*MIDDLE, ALONG)
    points = (
        pairs[:, 0, None, None]
        + parts[None, :, None, None] * along[:, None, None]
        + offsets[None, None, :, None] * across[:, None, None]
    ).astype(np.float32)
    flat = points.reshape(len(pairs) * ALONG, len(offsets), 2)
    seen = cv2.remap(grey, flat[..., 0], flat[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    profiles = seen.reshape(len(pairs), ALONG, len(offsets)).mean(axis=1)
    contrast = np.subtract(*np.percentile(profiles, [LIGHTEST, DARKEST]))
    slopes = np.abs(np.diff(profiles, axis=1)) / STEP_PX
    middle = slopes[:, slopes.shape[1] // 4 : -(slopes.shape[1] // 4)]
    steepest = np.max(middle, axis=1)
    return float(np.median(contrast / np.maximum(steepest, 1e-9)) / math.sqrt(2.0 * math.pi))
