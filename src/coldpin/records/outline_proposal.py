"""An outline that the program proposes on a picture: it becomes a shape of a drawing when a person has confirmed it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.records.board import BoardFeature, Face, Role

_PLACES = 2
"""A hundredth of a pixel is finer than any edge is known."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutlineProposal:
    """An outline found in a picture, to be looked at before it counts.

    ``outline_px``: array of shape (n, 2), x to the right and y down; ``openings_px``: arrays of the same kind.
    ``corner_u_px``: array of shape (n,), the standard uncertainty of each corner in any direction, NaN where it was
    left as it was drawn; ``openings_u_px`` the same of the openings. ``made_by`` says how it was found, ``remarks``
    what a person should look at.
    """

    outline_px: NDArray[np.float64]
    corner_u_px: NDArray[np.float64]
    made_by: str
    openings_px: tuple[NDArray[np.float64], ...] = ()
    openings_u_px: tuple[NDArray[np.float64], ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def worst_u_px(self) -> float | None:
        """The standard uncertainty of its least known corner, None where that of any is not known. [px]"""
        worst = float(np.concatenate([self.corner_u_px, *self.openings_u_px]).max())
        return None if math.isnan(worst) else round(worst, _PLACES)

    def proposed(self, name: str, role: Role, *, net: str = "", face: Face | None = None) -> BoardFeature:
        """Return the shape that it would be, marked as a proposal, with which a drawing decides nothing.

        Parameters
        ----------
        name : str
            What it is called on the drawing.
        role : Role
            What it is taken for.
        net : str
            To which net it belongs.
        face : Face, optional
            On which face it lies.

        Returns
        -------
        BoardFeature
            In pixels.
        """
        shape = self.confirmed(name, role, net=net, face=face)
        return replace(shape, told=self.made_by, proposed=True)

    def confirmed(self, name: str, role: Role, *, net: str = "", face: Face | None = None) -> BoardFeature:
        """Return the shape that a person has made of it, having looked.

        Parameters
        ----------
        name : str
            What it is called on the drawing.
        role : Role
            What it is.
        net : str
            To which net it belongs.
        face : Face, optional
            On which face it lies.

        Returns
        -------
        BoardFeature
            In pixels.
        """
        told = f"{self.made_by}, confirmed by eye"
        return BoardFeature(
            name=name,
            role=role,
            outline=self.outline_px,
            openings=self.openings_px,
            net=net,
            face=face,
            told=told,
            pick_u=self.worst_u_px,
        )
