"""The one place that calls the typesetter, for paper and pictures: bytes in, bytes out, nothing read but its fonts."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import cache

import typst

from coldpin.report.typeface import font_folder


@cache
def _fonts() -> typst.Fonts:
    """Return the fonts that come with the libraries: the same on every machine, none of the system's."""
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[font_folder()])


def typeset(template: str, inputs: Mapping[str, str], *, stamp: datetime) -> tuple[bytes, tuple[str, ...]]:
    """Typeset a document as PDF/UA-1.

    Parameters
    ----------
    template : str
        Typst source; what people wrote never stands in it.
    inputs : mapping of str to str
        What the template finds as ``sys.inputs``.
    stamp : datetime.datetime
        The time written into the file as that of its making.

    Returns
    -------
    tuple of bytes and tuple of str
        The PDF, and what the typesetter remarked; nothing, where all is well.
    """
    made, warnings = typst.compile_with_warnings(
        template.encode(),
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs=dict(inputs),
        pdf_standards=["ua-1"],
        timestamp=stamp,
    )
    return made, tuple(str(warning.message) for warning in warnings)


_PAGE = """#set page(width: {width}mm, height: {height}mm, margin: 0mm)
#image(bytes(sys.inputs.svg), format: "svg", width: {width}mm)
"""


def picture(svg: str, *, width_mm: float, height_mm: float, dots_per_inch: float) -> bytes:
    """Turn a drawing into a PNG file.

    Parameters
    ----------
    svg : str
        The drawing.
    width_mm, height_mm : float
        Size of the drawing. [mm]
    dots_per_inch : float
        Pixels of the picture for each inch of the drawing. [1/inch]

    Returns
    -------
    bytes
        The picture on white, the same bytes every time.
    """
    made = typst.compile(
        _PAGE.format(width=width_mm, height=height_mm).encode(),
        font_paths=_fonts(),
        ignore_system_fonts=True,
        format="png",
        ppi=dots_per_inch,
        sys_inputs={"svg": svg},
    )
    assert isinstance(made, bytes), "one page is one picture"
    return made
