"""Whether two recordings hold the same: by their bytes, or by what was read of them where they are of two formats.

What was read is told by a digest that is kept in the case's cache when a file is read anyway: of a capture by some
stretches of its samples, of a log by all its rows. It asks a question and judges nothing; without a cache it is not
asked until the file is read again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.frames import FrameSource
from coldpin.casefile import Case
from coldpin.casefile.cache import cache_key
from coldpin.records.entry import Entry, EvidenceFile
from coldpin.records.heating_words import PARTS
from coldpin.records.log import Log
from coldpin.records.showing import READ_OTHERWISE
from coldpin.records.vocabulary import showing
from coldpin.records.waveform import Waveform

STRETCHES = 1 << 6
"""Ours: so many stretches of a capture stand for all of it, its first and its last among them. [1]"""

SAMPLES = 1 << 10
"""Ours: so many samples has each of them; two captures of noise differ within a few. [1]"""

_CONTENT = "content"
_CHOICES = (*PARTS, "air", *READ_OTHERWISE)
"""Conditions that say what of a file is read: with others it is another recording."""


def digest_of_samples(samples: int, interval: float, read: Callable[[int, int], NDArray[np.float64]]) -> str:
    """Return what a capture holds, in short: the same for each format that keeps its voltages to seven digits.

    Parameters
    ----------
    samples : int
        How many it has. [1]
    interval : float
        Between two of them. [s]
    read : callable
        From the first sample wanted and a count to the voltages, array of shape (count,). [V]

    Returns
    -------
    str
        64 hexadecimal digits; empty for one that shows the same value throughout, as two may by chance.

    Examples
    --------
    >>> volts = np.arange(5000.0) % 7.0
    >>> one = digest_of_samples(5000, 1e-6, lambda first, count: volts[first : first + count])
    >>> len(one), one == digest_of_samples(5000, 1e-6, lambda first, count: volts[first : first + count] + 1.0)
    (64, False)
    >>> digest_of_samples(9, 1e-6, lambda first, count: np.zeros(count))
    ''
    """
    last = max(samples - SAMPLES, 0)
    firsts = sorted({round(last * place / (STRETCHES - 1)) for place in range(STRETCHES)})
    return _digest((samples, f"{interval:.5g}"), (read(first, min(SAMPLES, samples - first)) for first in firsts))


def digest_of_waveform(waveform: Waveform) -> str:
    """Return what a capture that was read whole holds, in short.

    Parameters
    ----------
    waveform : Waveform
        As it was read.

    Returns
    -------
    str
        As :func:`digest_of_samples` has it.
    """

    def read(first: int, count: int) -> NDArray[np.float64]:
        return waveform.voltage[first : first + count]

    return digest_of_samples(waveform.samples, waveform.sample_interval, read)


def digest_of_source(source: FrameSource) -> str:
    """Return what a capture on disk holds, in short; a few places of the file are read.

    Parameters
    ----------
    source : FrameSource
        The capture.

    Returns
    -------
    str
        As :func:`digest_of_samples` has it.

    Raises
    ------
    CaptureError
        The file cannot be read.
    """
    return digest_of_samples(source.samples, source.sample_interval, lambda first, count: source.volts(first, count)[0])


def digest_of_log(log: Log) -> str:
    """Return what a log holds, in short: its times and values, whatever its columns are called.

    Parameters
    ----------
    log : Log
        As it was read.

    Returns
    -------
    str
        64 hexadecimal digits; empty for one whose values never change.
    """
    names = tuple(channel.quantity.value for channel in log.channels)
    values = _digest((log.rows, names), (channel.values for channel in log.channels))
    return _digest((values, log.began[: len("2026-05-02T14:30:00")]), (log.time_s,)) if values else ""


def _digest(told: tuple[object, ...], parts: Iterable[NDArray[np.float64]]) -> str:
    """Hash arrays to seven digits, where any of their values differs from the first."""
    hashed, first, changes = hashlib.sha256(repr(told).encode()), None, False
    for part in parts:
        short = part.astype(np.float32) + np.float32(0.0)  # no sign of zero
        short[np.isnan(short)] = np.nan
        hashed.update(short.tobytes())
        first = short[0] if first is None and short.size else first
        changes = changes or bool((short != first).any())
    return hashed.hexdigest() if changes else ""


def keep_digest(case: Case, evidence: EvidenceFile, digest: str) -> None:
    """Keep what a file holds, so that it need not be read again to be compared.

    Parameters
    ----------
    case : Case
        The case.
    evidence : EvidenceFile
        What was filed.
    digest : str
        What was read of it; nothing is kept of an empty one.
    """
    if digest:
        case.contents.store(_key(evidence), {_CONTENT: np.array(digest)})


def _bytes(evidence: EvidenceFile) -> str:
    return ",".join(piece.sha256 for piece in evidence.files)


def _key(evidence: EvidenceFile) -> str:
    return cache_key(_bytes(evidence), dialect=None, options={"what": _CONTENT}, program_version="")


def held_twice(case: Case, entries: Iterable[Entry]) -> Mapping[str, str]:
    """Return which recordings seem to hold what an earlier one holds.

    Parameters
    ----------
    case : Case
        The case.
    entries : iterable of Entry
        Those that hold.

    Returns
    -------
    mapping of str to str
        From the id of an entry to that of the one recorded first; of captures and logs alone.
    """
    first: dict[object, str] = {}
    found: dict[str, str] = {}
    for entry in sorted(entries, key=lambda entry: (entry.recorded, entry.id)):
        if showing(entry.shows).recorded_as not in ("capture", "log") or entry.evidence is None:
            continue
        read = tuple((name, entry.conditions[name]) for name in _CHOICES if entry.conditions.get(name))
        kept = (case.contents.load(_key(entry.evidence)) or {}).get(_CONTENT)
        marks = [_bytes(entry.evidence)] + ([] if kept is None else [str(kept)])
        before = [first.setdefault((entry.shows, read, mark), entry.id) for mark in marks]
        earlier = [one for one in before if one != entry.id]
        if earlier:
            found[entry.id] = min(earlier)
    return found
