"""A capture as a file, in the manners of speaking that instruments have; the makers here are invented."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import UnknownName
from coldpin.records.waveform import Waveform

OVERLOAD = "OVLD"
"""What stands in place of a sample beyond the scale, in the dialects that mark it."""


def as_csv(waveform: Waveform, style: str = "preamble") -> bytes:
    """Write a capture as an instrument would export it.

    Parameters
    ----------
    waveform : Waveform
        The capture.
    style : str
        A key of :data:`STYLES`.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    UnknownName
        There is no such style; the message lists them.

    Examples
    --------
    >>> two = Waveform(voltage=np.array([12.0, -0.15625]), sample_interval=4e-6)
    >>> print(as_csv(two, "comma").decode("latin-1"))
    Zeit;Pilot
    µs;V
    0,000;12,00000
    4,000;-0,15625
    <BLANKLINE>
    """
    if style not in STYLES:
        raise UnknownName.among("style of export", style, STYLES)
    return STYLES[style](waveform)


def as_npz(waveform: Waveform) -> bytes:
    """Write a capture as an archive of arrays: ``pilot`` and ``output`` in volts, ``step`` in seconds.

    Parameters
    ----------
    waveform : Waveform
        The capture.

    Returns
    -------
    bytes
        The file, compressed.

    Examples
    --------
    >>> data = as_npz(Waveform(voltage=np.array([12.0, -0.15625]), sample_interval=4e-6))
    >>> np.load(io.BytesIO(data))["pilot"].tolist()
    [12.0, -0.15625]
    """
    arrays: dict[str, NDArray[Any]] = {"pilot": waveform.voltage.astype(np.float32)}
    if waveform.output is not None:
        arrays["output"] = waveform.output.astype(np.float32)
    file = io.BytesIO()
    np.savez_compressed(file, allow_pickle=False, step=np.float64(waveform.sample_interval), **arrays)
    return file.getvalue()


def _preamble(waveform: Waveform) -> bytes:
    """Write lines of settings, names, units, then time in seconds and volts; overload is marked."""
    columns = [_volts(waveform.voltage, 5, overload=waveform.overload)]
    names, units = ["Time", "CH1"], ["s", "V"]
    if waveform.output is not None:
        columns.append(_volts(waveform.output, 3))
        names.append("CH2")
        units.append("V")
    head = [
        "Instrument,Tidepool 204",
        "Coupling,DC",
        f"Samples,{waveform.samples}",
        f"Sample interval,{waveform.sample_interval:.6e},s",
        "",
        ",".join(names),
        ",".join(units),
    ]
    return _table(head, [_times(waveform, scale=1.0, decimals=9), *columns], separator=",").encode("ascii")


def _comma(waveform: Waveform) -> bytes:
    """Write semicolons, decimal commas, microseconds, Latin-1; a clipped sample looks like any other."""
    columns = [_volts(waveform.voltage, 5)]
    names, units = ["Zeit", "Pilot"], ["µs", "V"]
    if waveform.output is not None:
        columns.append(_volts(waveform.output, 3))
        names.append("Ausgang")
        units.append("V")
    rows = [_times(waveform, scale=1.0e6, decimals=3), *columns]
    text = _table([";".join(names), ";".join(units)], rows, separator=";", decimal=",")
    return text.encode("latin-1")


def _step(waveform: Waveform) -> bytes:
    """Write the step into a comment, no time column, tabs; overload is marked."""
    columns = [_volts(waveform.voltage, 5, overload=waveform.overload)]
    names = ["pilot (V)"]
    if waveform.output is not None:
        columns.append(_volts(waveform.output, 3))
        names.append("output (V)")
    head = [
        "# Gullwing pocket recorder",
        f"# sample interval: {waveform.sample_interval * 1.0e6:.6g} µs",
        f"# start: {waveform.start:.6g} s",
        "\t".join(names),
    ]
    return _table(head, columns, separator="\t").encode("utf-8")


STYLES: dict[str, Callable[[Waveform], bytes]] = {"preamble": _preamble, "comma": _comma, "step": _step}
"""The dialects: settings before the header; decimal comma and semicolon; the step in a comment."""


def _times(waveform: Waveform, *, scale: float, decimals: int) -> list[str]:
    times = (waveform.start + waveform.sample_interval * np.arange(waveform.samples)) * scale
    return [f"{time:.{decimals}f}" for time in times.tolist()]


def _volts(voltage: NDArray[np.float64], decimals: int, overload: NDArray[np.bool_] | None = None) -> list[str]:
    # A converter has few levels: each is written once.
    levels, which = np.unique(voltage, return_inverse=True)
    texts = ["" if np.isnan(level) else f"{level:.{decimals}f}" for level in levels.tolist()]
    written = [texts[at] for at in which.tolist()]
    if overload is not None:
        for at in np.flatnonzero(overload).tolist():
            written[at] = OVERLOAD
    return written


def _table(head: Sequence[str], columns: Sequence[Sequence[str]], *, separator: str, decimal: str = ".") -> str:
    body = "\n".join(separator.join(row) for row in zip(*columns, strict=True))
    if decimal != ".":
        body = body.replace(".", decimal)
    return "\n".join([*head, body, ""])
