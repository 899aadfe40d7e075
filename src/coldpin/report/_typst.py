"""The one place that calls the typesetter: bytes in, bytes out, nothing read but the fonts named."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import cache
from pathlib import Path

import matplotlib
import typst


@cache
def _fonts() -> typst.Fonts:
    """Return the fonts that come with the libraries: the same on every machine, none of the system's."""
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[folder])


def typeset(template: str, inputs: Mapping[str, str], *, stamp: datetime) -> bytes:
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
    bytes
        The PDF.

    Raises
    ------
    RuntimeError
        The typesetter refused or warned: our fault, never the reader's.
    """
    made, warnings = typst.compile_with_warnings(
        template.encode(),
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs=dict(inputs),
        pdf_standards=["ua-1"],
        timestamp=stamp,
    )
    if warnings:
        raise RuntimeError(f"the typesetter warned: {'; '.join(str(warning.message) for warning in warnings)}")
    return made
