"""The one place that calls the typesetter: bytes in, bytes out, nothing read but the fonts named."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import cache
from pathlib import Path

import matplotlib
import typst

FORGOTTEN = 12
"""Ours: so many empty pages are set after a document. The typesetter keeps what it made of the last ten, which may be
two hundred megabytes of each, and nobody sets the same one again."""


@cache
def _fonts() -> typst.Fonts:
    """Return the fonts that come with the libraries: the same on every machine, none of the system's."""
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[folder])


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
    for _ in range(FORGOTTEN):
        typst.compile(b"", font_paths=_fonts(), ignore_system_fonts=True)
    return made, tuple(str(warning.message) for warning in warnings)
