"""Which entries of a case are captures that are looked at as waves, and what tells one wave from another."""

from __future__ import annotations

import hashlib

from coldpin.errors import UnknownName
from coldpin.records.entry import Entry
from coldpin.records.exact import to_exact
from coldpin.workbench.capture_reading import capture_files, choices_of, dialect_of
from coldpin.workbench.pilot_evidence import CAPTURE
from coldpin.workbench.shelving import Bench
from coldpin.workbench.wave_kept import SCHEMA


def find_capture(bench: Bench, entry: str) -> Entry:
    """Return the entry of a capture of the pilot, corrected or not.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : str
        Its id, in full.

    Returns
    -------
    Entry
        The entry.

    Raises
    ------
    UnknownName
        There is no such entry, or it files no capture.
    CaseError
        The case cannot be read.
    """
    by_id = {one.id: one for one in bench.case.entries().entries if is_pilot_capture(one)}
    if entry not in by_id:
        raise UnknownName.among("capture", entry, by_id)
    return by_id[entry]


def is_pilot_capture(entry: Entry) -> bool:
    """Say whether an entry files a capture of the pilot.

    Parameters
    ----------
    entry : Entry
        The entry.

    Returns
    -------
    bool
        False for anything else, and for what takes a capture back.
    """
    return entry.shows == CAPTURE and entry.evidence is not None and bool(entry.evidence.file)


def wave_columns(bench: Bench, entry: Entry) -> tuple[str, ...]:
    """Return the columns or channels a capture is read from, that of the pilot first.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed capture.

    Returns
    -------
    tuple of str
        One, or two with an output; none where its dialect names none.
    """
    filed, now = dialect_of(bench, entry), choices_of(bench, entry)
    names = (now.get("voltage", filed.voltage), now.get("output", filed.output))
    return tuple(str(name) for name in names if name)


def wave_key(bench: Bench, entry: Entry) -> str:
    """Return what tells one wave from another: it changes when file, size, time, or the way it is read does.

    The file is not read for it, which for a long one would take longer than all else.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed capture.

    Returns
    -------
    str
        64 hexadecimal digits.

    Raises
    ------
    InputError
        The file is gone or cannot be read.
    """
    marks = [
        (path.name, seen.st_size, seen.st_mtime_ns, seen.st_ino)
        for path in capture_files(bench, entry)
        for seen in (path.stat(),)
    ]
    sha256 = entry.evidence.sha256 if entry.evidence else ""
    made_of = (SCHEMA, sha256, tuple(marks), dialect_of(bench, entry), tuple(sorted(choices_of(bench, entry).items())))
    return hashlib.sha256(to_exact(made_of)).hexdigest()
