"""What is private stays out of an assessment, and that something was left out is said without naming it.

Private is also where on a disk a case lies: it names whoever works there.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from coldpin.casefile import Effective
from coldpin.records.assessment import Problem
from coldpin.records.entry import Entry
from coldpin.records.vocabulary import VOCABULARY

UNNAMED = Problem(
    where="a private entry",
    what="something in it could not be used; it is not named here: look through the private entries of the case",
)


def public_entries(held: Effective) -> tuple[Entry, ...]:
    """Leave out every entry of a history of which any member is private.

    Parameters
    ----------
    held : Effective
        The entries of a case.

    Returns
    -------
    tuple of Entry
        In the order in which they were made, with those that were corrected.
    """
    members = [
        entry
        for history in held.histories
        if not any(member.private for member in history.members)
        for entry in history.members
    ]
    return tuple(sorted(members, key=lambda entry: (entry.made, entry.recorded, entry.id)))


def usable_entries(held: Effective) -> tuple[Entry, ...]:
    """Return the entries that checks may rest on: a reader must be able to walk back to each of them.

    Parameters
    ----------
    held : Effective
        The entries of a case.

    Returns
    -------
    tuple of Entry
        Those that count and are public.
    """
    public = {entry.id for entry in public_entries(held)}
    return tuple(entry for entry in held.entries if entry.id in public)


def without_place(message: str, folder: Path) -> str:
    """Take out of a message where on the disk a folder lies.

    Parameters
    ----------
    message : str
        What may name files below the folder, or the folder.
    folder : Path
        The folder, from the root of the disk.

    Returns
    -------
    str
        What lies in the folder is named from there, the folder itself by its name.

    Examples
    --------
    >>> without_place("/home/ines/shelf/skerrow-16/case.toml: no title", Path("/home/ines/shelf"))
    'skerrow-16/case.toml: no title'
    >>> without_place("/home/ines/shelf is no shelf any more", Path("/home/ines/shelf"))
    'shelf is no shelf any more'
    """
    place = rf"(?<![\w./-]){re.escape(str(folder))}(?:({re.escape(os.sep)})|(?![\w-]))"
    return re.sub(place, lambda found: "" if found.group(1) else folder.name, message)


def public_problems(problems: Iterable[Problem], held: Effective, folder: Path) -> tuple[Problem, ...]:
    """Take the names of private entries and of their files out of what could not be used, and where the case lies.

    Parameters
    ----------
    problems : iterable of Problem
        All problems.
    held : Effective
        The entries of the case.
    folder : Path
        The case; its files are named from there, so that the record is the same wherever it is made.

    Returns
    -------
    tuple of Problem
        Each once; where private entries hold what a check could have used, their number is said.
    """
    public = {entry.id for entry in public_entries(held)}
    private = [entry for history in held.histories for entry in history.members if entry.id not in public]
    names = {entry.id for entry in private} | {
        name
        for entry in private
        if entry.evidence
        for piece in entry.evidence.files
        for name in (piece.file, piece.original_name)
    }
    names.discard("")
    told = [
        UNNAMED
        if any(name in f"{problem.where} {problem.what}" for name in names)
        else replace(problem, what=without_place(without_place(problem.what, folder), folder.parent))
        for problem in problems
    ]
    counting = {entry.id for entry in held.entries}
    unused = [entry for entry in private if entry.id in counting and VOCABULARY[entry.shows].recorded_as != "note"]
    if unused:
        told.append(
            Problem(
                where="private entries",
                what=f"{len(unused)} of them hold what a check could use; nothing is concluded from what is not shown",
            )
        )
    return tuple(dict.fromkeys(told))
