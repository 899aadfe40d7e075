"""The scale card: its layout, and the sheet to print."""

from __future__ import annotations

from pathlib import Path

from coldpin.casefile.storage import write_over
from coldpin.insulation import scale_card as layout
from coldpin.records.scale_card import ScaleCard
from coldpin.report.pdf import render_pdf
from coldpin.report.scale_card import build_card_sheet


def plan_scale_card(name: str = "A") -> ScaleCard:
    """Return the layout of a scale card, with how it is printed, checked and laid.

    Parameters
    ----------
    name : str
        "A" or "B"; they differ in their marks alone.

    Returns
    -------
    ScaleCard
        The layout. [mm]

    Raises
    ------
    UnknownName
        There is no such card.
    MissingExtra
        The library that holds the marks is not installed.

    Examples
    --------
    >>> card = plan_scale_card()
    >>> card.columns, card.rows, card.square_mm
    (12, 8, 7.5)
    """
    return layout.scale_card(name)


def write_card_sheet(path: Path | str) -> Path:
    """Write the sheet with both cards as PDF, in place of a file of that name.

    Parameters
    ----------
    path : Path or str
        The file.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    MissingExtra
        The library that holds the marks is not installed.
    StorageError
        The disk refuses it, or the folder is not there.
    """
    target = Path(path)
    sheet = build_card_sheet([layout.scale_card(name) for name in layout.CARDS])
    write_over(target, render_pdf(sheet), what="the sheet with the scale cards")
    return target
