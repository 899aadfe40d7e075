"""The size a cable is sold as: what is printed on its sheath, and what plate, papers or listing claim."""

from __future__ import annotations

import re
from dataclasses import dataclass

from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.readings import claimed

_PRINTED = re.compile(
    r"(?<![\w.,])(?P<cores>\d{1,2})\s*(?P<kind>[GX×])\s*(?P<size>\d+(?:[.,]\d+)?)(?![\d.,]*\s*(?:A|k?[VW]\b|kVA|Hz\b|m\b))",
    re.I,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedSize:
    """Cores and size as a sheath has them: "3G2.5" is three cores of 2.5 mm², one of them the earth."""

    cores: int
    with_earth: bool
    size_mm2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedSize:
    """The size a cable is held against, and who says it (:data:`PRINT` or :data:`CLAIM`)."""

    size_mm2: float
    said_by: str


PRINT, CLAIM = "the print on the cable", "the claim of plate, papers or listing"


def printed_size(text: str) -> PrintedSize | None:
    """Read the cores and the size of a cable's print; of several the largest, which are the power conductors.

    Parameters
    ----------
    text : str
        What stands on the sheath.

    Returns
    -------
    PrintedSize or None
        None where no size is printed.

    Examples
    --------
    >>> printed_size("EV-CABLE 3G2.5 + 2X0.5 450/750 V")
    PrintedSize(cores=3, with_earth=True, size_mm2=2.5)
    >>> printed_size("H07BZ5-F 5 G 6,0 mm²").size_mm2, printed_size("450/750 V"), printed_size("3 x 230 V")
    (6.0, None, None)
    """
    found = [
        PrintedSize(
            cores=int(match["cores"]),
            with_earth=match["kind"].upper() == "G",
            size_mm2=float(match["size"].replace(",", ".")),
        )
        for match in _PRINTED.finditer(text)
    ]
    return max(found, key=lambda one: one.size_mm2, default=None)


def marked_size(bench: BenchEvidence) -> MarkedSize | None:
    """Return the size a cable is held against: the larger of what is printed on it and what is claimed of it.

    Parameters
    ----------
    bench : BenchEvidence
        With the claims of the case.

    Returns
    -------
    MarkedSize or None
        None where neither names a size.

    Raises
    ------
    CaseError
        The claim cannot be read.
    """
    printed, claim = printed_size(bench.claim("cable_print")), claimed(bench, "cross_section", "mm²")
    named = [MarkedSize(size_mm2=printed.size_mm2, said_by=PRINT)] if printed is not None else []
    named += [MarkedSize(size_mm2=claim, said_by=CLAIM)] if claim is not None else []
    return max(named, key=lambda one: one.size_mm2, default=None)
