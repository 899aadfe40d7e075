"""What can go wrong, as one family.

.. code-block:: text

    ColdpinError                 everything coldpin raises on purpose
    ├── InputError               what was given cannot be used (exit 2)
    │   ├── QuantityTextError    a number as written cannot be read
    │   ├── UnitError            a unit is unknown, or of another kind than asked for
    │   ├── CaptureError         a capture file cannot be read
    │   │   └── AmbiguousDialect   it can be read in more than one way; the choices are listed
    │   ├── CaseError            a case, shelf or entry is not as it must be
    │   │   ├── EntryError         one entry cannot be used; it is named, so that the others still can be
    │   │   └── CorrectedBefore    somebody else corrected the entry first; the correction is named
    │   ├── UnknownName          a name is not in the list it is looked up in; the list is given
    │   └── OutsideRange         a value lies outside the range a formula is published for
    ├── ConflictError            the file on disk no longer holds the value that was to be replaced
    ├── StorageError             the disk refused (full, read-only); nothing acknowledged was lost
    ├── BeingAssessed            a case was never assessed yet and is being so; ask again in a moment
    ├── MissingExtra             an optional part is not installed; the install line is given
    └── Interrupted              the work was cancelled between two chunks (exit 130)

Each message says what was given, where it came from, what is allowed and by whom, and what to do next.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable

LONG_LIST = 40
"""Ours: a list of more words than this hides the answer to somebody who misspelt one. [words]"""

NEAREST_NAMED = 4
"""Ours: so many of a long list are named, the likest first. [words]"""


class ColdpinError(Exception):
    """Anything coldpin raises on purpose."""


class InputError(ColdpinError):
    """What was given cannot be used."""


class QuantityTextError(InputError):
    """A number as written cannot be read without guessing."""


class UnitError(InputError):
    """A unit is unknown, or of another kind than asked for."""


class CaptureError(InputError):
    """A capture file cannot be read."""


class AmbiguousDialect(CaptureError):
    """A capture can be read in more than one way; the message lists the choices."""


class CaseError(InputError):
    """A case, a shelf or an entry is not as it must be."""


class EntryError(CaseError):
    """One entry of a case cannot be used: ``entry`` is its id, ``problem`` what is wrong with it."""

    entry: str = ""
    problem: str = ""

    @classmethod
    def of(cls, entry: str, problem: str) -> EntryError:
        """Build the error that names the entry, so that whoever catches it can go on with the others.

        Parameters
        ----------
        entry : str
            The id of the entry.
        problem : str
            What is wrong, where in the entry, and what to do.

        Returns
        -------
        EntryError
            The error, to be raised by the caller.

        Examples
        --------
        >>> str(EntryError.of("e1", "reading '2,3 pF': wanted in V"))
        "entry e1: reading '2,3 pF': wanted in V"
        """
        made = cls(f"entry {entry}: {problem}")
        made.entry, made.problem = entry, problem
        return made


class CorrectedBefore(CaseError):
    """An entry was corrected before: ``entry`` is its id, ``later`` that of the correction, which is corrected now."""

    entry: str = ""
    later: str = ""

    @classmethod
    def by(cls, entry: str, later: str) -> CorrectedBefore:
        """Build the error that names both.

        Parameters
        ----------
        entry : str
            The id of the entry that was to be corrected.
        later : str
            The id of the correction that is there already.

        Returns
        -------
        CorrectedBefore
            The error, to be raised by the caller.

        Examples
        --------
        >>> str(CorrectedBefore.by("e1", "e2"))
        'entry e1 was corrected before, by e2: correct that one'
        """
        made = cls(f"entry {entry} was corrected before, by {later}: correct that one")
        made.entry, made.later = entry, later
        return made


class UnknownName(InputError):
    """A name is not in the list it is looked up in."""

    @classmethod
    def among(cls, kind: str, name: str, known: Iterable[str]) -> UnknownName:
        """Build the message that names the wrong word, the nearest right one, and the others.

        Of a long list that holds a like word only the nearest are named: the one looked for is among them.

        Parameters
        ----------
        kind : str
            What is looked up, as a reader would say it ("check", "state").
        name : str
            The word that was given.
        known : iterable of str
            The words that would have been right.

        Returns
        -------
        UnknownName
            The error, to be raised by the caller.

        Examples
        --------
        >>> str(UnknownName.among("edition", "iec3", ["iec-2", "iec-3", "sae"]))
        "unknown edition 'iec3'; did you mean 'iec-3'? Known: iec-2, iec-3, sae"
        """
        names = sorted(known)
        near = difflib.get_close_matches(name, names, n=NEAREST_NAMED)
        hint = f"; did you mean {near[0]!r}?" if near else "."
        if near and len(names) > LONG_LIST:
            others = f" Others like it: {', '.join(near[1:])}." if near[1:] else ""
            return cls(f"unknown {kind} {name!r}{hint}{others} {len(names)} are known")
        return cls(f"unknown {kind} {name!r}{hint} Known: {', '.join(names)}")


class OutsideRange(InputError):
    """A value lies outside the range a formula is published for."""


class ConflictError(ColdpinError):
    """The file on disk no longer holds the value that was to be replaced; both are in the message."""


class StorageError(ColdpinError):
    """The disk refused to take something; what was acknowledged before is still there."""


class BeingAssessed(ColdpinError):
    """A case was never assessed yet and is being so: ``case`` is its folder, ``work`` what is told of the work.

    Nobody waits for it where requests are answered: forty who wait would keep all others out.
    """

    case: str = ""
    work: object = None

    @classmethod
    def by(cls, case: str, work: object, what: str = "assessed for the first time") -> BeingAssessed:
        """Build the error that says when to ask again.

        Parameters
        ----------
        case : str
            Its folder.
        work : object
            What is told of the work that assesses it.
        what : str
            What is done with it.

        Returns
        -------
        BeingAssessed
            The error, to be raised by the caller.

        Examples
        --------
        >>> str(BeingAssessed.by("skerrow-16", None))
        'skerrow-16 is being assessed for the first time: ask again in a moment'
        """
        made = cls(f"{case} is being {what}: ask again in a moment")
        made.case, made.work = case, work
        return made


class MissingExtra(ColdpinError):
    """An optional part of coldpin is not installed; the message holds the install line."""

    @classmethod
    def of(cls, extra: str, what: str) -> MissingExtra:
        """Build the message that says what asked for the part, and how to install it.

        Parameters
        ----------
        extra : str
            Its name, as pip takes it.
        what : str
            What cannot be done without it, as the subject of a sentence.

        Returns
        -------
        MissingExtra
            The error, to be raised by the caller.

        Examples
        --------
        >>> str(MissingExtra.of("photo", "reading a picture"))
        "reading a picture needs an optional part: install it with: pip install 'coldpin[photo]'"
        """
        return cls(f"{what} needs an optional part: install it with: pip install 'coldpin[{extra}]'")


class Interrupted(ColdpinError):
    """The work was cancelled between two chunks."""
