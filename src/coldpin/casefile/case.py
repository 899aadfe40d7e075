"""One case: a folder with everything on one specimen."""

from __future__ import annotations

import dataclasses
import os
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from coldpin.casefile import boards, evidence
from coldpin.casefile.acceptance import LONGEST_TEXT, check_correction
from coldpin.casefile.arrivals import PLACE as ARRIVED
from coldpin.casefile.cache import Cache
from coldpin.casefile.corrections import Effective, effective
from coldpin.casefile.description import CASE_FILE, edit_description, parse_description, render_description
from coldpin.casefile.dialects import keep_dialect, load_dialect
from coldpin.casefile.entries import Loaded, load_entries, new_entry, write_entry
from coldpin.casefile.leftovers import clear_leftover_folders, clear_leftovers
from coldpin.casefile.publish import Issue, changes_in, check_issues, issues, publish_issue, refuse_no_news
from coldpin.casefile.rows import RowChange, edit_rows
from coldpin.casefile.storage import locked, make_folder, write_new, write_over
from coldpin.casefile.ticks import FOLDER as TICKS
from coldpin.casefile.ticks import LoadedTicks, load_ticks, write_tick
from coldpin.casefile.untrusted import MAXIMUM_TEXT, names_in, read_regular, require_folder
from coldpin.casefile.waves import Waves
from coldpin.errors import CaseError, ConflictError, UnknownName
from coldpin.records.assessment import Assessment, Problem
from coldpin.records.case import CaseDescription
from coldpin.records.dialect import Dialect
from coldpin.records.entry import Entry, EntryKind, EvidenceFile
from coldpin.records.tick import Tick

FOLDERS = ("entries", "evidence", "boards", "dialects", "cache", "report", "issued")
"""What a case consists of, beside ``case.toml``."""

LEFTOVER_AGE = 24 * 3600.0
"""Age from which a stopped writer's temporary file may be cleared. [s]"""

_SHA256 = re.compile(r"[0-9a-f]{64}")
_PLAIN_NAME = re.compile(r"[\w][\w.+-]{0,99}")


@dataclass(frozen=True, slots=True)
class Case:
    """A case on the disk. It holds nothing in memory: each call reads the folder as it is now.

    Parameters
    ----------
    folder : Path
        The case's folder; open it with :func:`open_case` or make it with :func:`create_case`.
    """

    folder: Path

    def description(self) -> CaseDescription:
        """Read ``case.toml``.

        Returns
        -------
        CaseDescription
            What it says now.

        Raises
        ------
        CaseError
            It cannot be read; the message says where and what to do.
        """
        return parse_description(self._read_description(), where=self._where)

    def edit(self, key: str, old: object, new: object, *, who: str, now: datetime) -> CaseDescription:
        """Change one value of ``case.toml`` as it is now, comments kept.

        Parameters
        ----------
        key : str
            Dotted key, such as ``"specimen.serial"``.
        old : object
            The value the editor saw; None for a key that was not there.
        new : object
            The value wanted; None takes the key out.
        who : str
            Who edits.
        now : datetime
            With zone, from the caller's clock.

        Returns
        -------
        CaseDescription
            What the file says afterwards.

        Raises
        ------
        ConflictError
            The file holds another value by now. It stays, and the value wanted is kept as a private remark, so that
            neither is lost; the message names both and the entry.
        CaseError
            The result would not be valid; nothing was changed.
        StorageError
            The disk refused; nothing was changed.
        """
        return self._edit(lambda data: edit_description(data, key, old, new, where=self._where), key, who, now)

    def edit_rows(self, *changes: RowChange, who: str, now: datetime) -> CaseDescription:
        """Add, change or take out rows of lists of ``case.toml``, all of them or none, every other byte kept.

        Parameters
        ----------
        *changes : RowChange
            One or more, done in their order.
        who : str
            Who edits.
        now : datetime
            With zone, from the caller's clock.

        Returns
        -------
        CaseDescription
            What the file says afterwards.

        Raises
        ------
        ConflictError
            No row is as the editor saw it, in what is to be changed. The file stays, and the rows wanted are kept as a
            private remark.
        CaseError
            The result would not be valid; nothing was changed.
        StorageError
            The disk refused; nothing was changed.
        """
        named = ", ".join(dict.fromkeys(change.key for change in changes))
        return self._edit(lambda data: edit_rows(data, changes, where=self._where), named, who, now)

    def _edit(self, change: Callable[[bytes], bytes], key: str, who: str, now: datetime) -> CaseDescription:
        with locked(self.folder):
            data = self._read_description()
            try:
                changed = change(data)
            except ConflictError as error:
                kept = self.append(_unapplied(str(error), who, now))
                raise ConflictError(f"{error}; both are kept, the second in entry {kept.id}") from error
            if changed != data:
                write_over(self.folder / CASE_FILE, changed, what=f"the edit of {key}")
        return parse_description(changed, where=self._where)

    def append(self, entry: Entry) -> Entry:
        """Keep an entry; when this returns it is on the disk to stay.

        Parameters
        ----------
        entry : Entry
            Made with :func:`coldpin.casefile.entries.new_entry`.

        Returns
        -------
        Entry
            The same entry, as acknowledgement.

        Raises
        ------
        InputError
            It is not as an entry must be, corrects what is not there, or names evidence that was not filed.
        StorageError
            The disk refused; nothing was written.
        """
        for file in entry.evidence.files if entry.evidence is not None else ():
            self.evidence_path(file)
        if entry.replaces:
            loaded = self.entries()
            check_correction(entry, (*loaded.entries, *loaded.set_aside))
        return write_entry(self._made("entries"), entry)

    def entries(self) -> Loaded:
        """Read every entry, corrections not yet applied.

        Returns
        -------
        Loaded
            Entries oldest first, those set aside, and the problems.

        Raises
        ------
        CaseError
            The folder is a link or no folder.
        """
        folder = self._present("entries")
        return load_entries(folder) if folder is not None else Loaded(entries=())

    def effective(self) -> Effective:
        """Read every entry and apply corrections.

        Returns
        -------
        Effective
            What holds, the histories, and all problems of reading and correcting.

        Raises
        ------
        CaseError
            The folder is a link or no folder.
        """
        loaded = self.entries()
        found = effective(loaded.entries, loaded.set_aside)
        return dataclasses.replace(found, problems=(*loaded.problems, *found.problems))

    def find_entry(self, word: str) -> Entry:
        """Return the entry with an id, or with an id that alone begins or ends so.

        Parameters
        ----------
        word : str
            Its id, or enough of it.

        Returns
        -------
        Entry
            The entry.

        Raises
        ------
        UnknownName
            None, or more than one.
        """
        loaded = self.entries()
        every = (*loaded.entries, *loaded.set_aside)
        exact = [entry for entry in every if entry.id == word]
        found = exact or [entry for entry in every if word and (entry.id.startswith(word) or entry.id.endswith(word))]
        if len(found) == 1:
            return found[0]
        if not found:
            raise UnknownName(
                f"no entry's id is, begins or ends with {word!r}: the ids are the names of the files in "
                f"{self.folder.name}/entries, and the report lists them under 'What happened, in order'"
            )
        raise UnknownName(
            f"{word!r} fits {len(found)} entries ({', '.join(e.id for e in found[:5])}): give more of the id"
        )

    def tick(self, tick: Tick) -> Tick:
        """Keep a tick, or that one was taken back; when this returns it is on the disk to stay.

        Parameters
        ----------
        tick : Tick
            With an id of its own, as :func:`coldpin.casefile.entries.entry_id` makes them.

        Returns
        -------
        Tick
            The same, as acknowledgement.

        Raises
        ------
        CaseError
            It is not as a tick must be.
        StorageError
            The disk refused; nothing was written.
        """
        return write_tick(self._made(TICKS), tick)

    def ticks(self) -> LoadedTicks:
        """Read every tick; no assessment does.

        Returns
        -------
        LoadedTicks
            Oldest first, and what could not be read.

        Raises
        ------
        CaseError
            The folder is a link or no folder.
        """
        folder = self._present(TICKS)
        return load_ticks(folder) if folder is not None else LoadedTicks()

    def file_evidence(
        self, path: Path | str, media: str, *, progress: Callable[[float], None] | None = None
    ) -> EvidenceFile:
        """Copy a file into the case, byte for byte; the entry that names it is written separately.

        Parameters
        ----------
        path : Path or str
            The file as it came; it is left where it is.
        media : str
            What it is: "capture", "log", "photograph", "video", "document", "listing".
        progress : callable, optional
            Told the fraction done; what it raises stops the copying and leaves nothing behind.

        Returns
        -------
        EvidenceFile
            To be named by an entry.

        Raises
        ------
        CaseError
            It is not a plain file, is empty, or changed while it was copied.
        StorageError
            There is no room, or the disk refused; nothing was filed.
        """
        return evidence.file_evidence(self._made("evidence"), Path(path), media, progress=progress)

    def file_board(self, data: bytes, *, board: str, original_name: str) -> EvidenceFile:
        """Keep the drawing of a board as its next version; the entry that names it is written separately.

        Parameters
        ----------
        data : bytes
            The drawing, as it came.
        board : str
            What the board is called.
        original_name : str
            What the file was called where it came from.

        Returns
        -------
        EvidenceFile
            To be named by an entry; what is the newest version already, to the byte, is not filed again.

        Raises
        ------
        CaseError
            Another program takes the name at the same time.
        StorageError
            There is no room, or the disk refused; nothing was filed.
        """
        with locked(self.folder):
            return boards.file_board(self._made(boards.FOLDER), data, board=board, original_name=original_name)

    def evidence_path(self, file: EvidenceFile) -> Path:
        """Return where a filed piece of evidence stands.

        Parameters
        ----------
        file : EvidenceFile
            As an entry names it.

        Returns
        -------
        Path
            A plain file inside the case.

        Raises
        ------
        CaseError
            It is missing, leads out of the case, or is of another size than filed.
        """
        folders = self._evidence_folders
        return evidence.evidence_path(folders.get(file.media, folders[""]), file)

    def check_evidence(self, *, progress: Callable[[float], None] | None = None) -> tuple[Problem, ...]:
        """Compare every filed piece of evidence with its sha256.

        Parameters
        ----------
        progress : callable, optional
            Told the fraction done; what it raises stops the work.

        Returns
        -------
        tuple of Problem
            What is missing, changed since it was filed, or named by no entry.
        """
        loaded = self.entries()
        return evidence.check_evidence(self._evidence_folders, (*loaded.entries, *loaded.set_aside), progress=progress)

    def dialect_for(self, sha256: str) -> Dialect | None:
        """Return how a capture was read before.

        Parameters
        ----------
        sha256 : str
            Of the capture.

        Returns
        -------
        Dialect or None
            None where it was never stored.

        Raises
        ------
        CaseError
            What is stored cannot be read.
        """
        return load_dialect(self.folder / "dialects", _checked(sha256))

    def store_dialect(self, sha256: str, dialect: Dialect) -> None:
        """Keep how a capture was read, in the place of an earlier way.

        Parameters
        ----------
        sha256 : str
            Of the capture.
        dialect : Dialect
            How it was read.

        Raises
        ------
        StorageError
            The disk refused; the earlier way is still there.
        """
        keep_dialect(self.folder / "dialects", _checked(sha256), dialect)

    def write_report(self, name: str, data: bytes) -> Path:
        """Write a draft; it can be made again at any time.

        Parameters
        ----------
        name : str
            File name, such as ``"report.html"``.
        data : bytes
            All of it.

        Returns
        -------
        Path
            Where it stands.

        Raises
        ------
        CaseError
            The name is not a plain file name.
        StorageError
            The disk refused; the earlier draft is still there.
        """
        if not _PLAIN_NAME.fullmatch(name):
            raise CaseError(f"{name!r} is not a plain file name: use letters, digits, '.', '-' and '_'")
        path = self._made("report") / name
        write_over(path, data, what=f"draft {name!r}")
        return path

    def clear_leftovers(self, *, now: datetime) -> tuple[Path, ...]:
        """Remove what stopped writers left behind, when it is a day old and no writer holds it.

        Parameters
        ----------
        now : datetime
            With zone, from the caller's clock.

        Returns
        -------
        tuple of Path
            What was removed.
        """
        oldest = now.timestamp() - LEFTOVER_AGE
        places = (self.folder, *(self.folder / name for name in (*FOLDERS, TICKS)))
        with locked(self.folder):
            folders = [
                folder
                for place in (self.folder / "issued", self.folder / ARRIVED)
                for folder in clear_leftover_folders(place, older_than=oldest)
            ]
            return (*folders, *(path for place in places for path in clear_leftovers(place, older_than=oldest)))

    @property
    def cache(self) -> Cache:
        """Whole results kept to save time."""
        return Cache(self.folder / "cache")

    @property
    def pieces(self) -> Cache:
        """Parts of a result kept to save time, such as what one capture shows."""
        return Cache(self.folder / "cache", ending=".piece")

    @property
    def contents(self) -> Cache:
        """What recordings hold, in short, kept so that none need be read again to be compared."""
        return Cache(self.folder / "cache", ending=".content")

    @property
    def waves(self) -> Waves:
        """Captures prepared for being looked at in any zoom."""
        return Waves(self.folder / "cache")

    def changes_since_last_issue(self, assessment: Assessment) -> tuple[str, ...]:
        """Say what changed since the last issue, so that the report of the next can print it.

        Parameters
        ----------
        assessment : Assessment
            What is to be published.

        Returns
        -------
        tuple of str
            Sentences, the conclusion first.
        """
        return changes_in(self.folder / "issued", assessment)

    def refuse_no_news(self, assessment: Assessment, names: Iterable[str], *, issued_on: str) -> None:
        """Refuse an issue that would tell its reader nothing new, before anything is drawn for it.

        Parameters
        ----------
        assessment : Assessment
            What is to be published.
        names : iterable of str
            The files that are to go with it.
        issued_on : str
            Day, as 2026-03-14.

        Raises
        ------
        CaseError
            It says the same as the last issue with the same files, or the day is none.
        """
        refuse_no_news(self.folder / "issued", assessment, names, issued_on=issued_on)

    def publish(
        self, assessment: Assessment, files: Mapping[str, bytes], *, issued_on: str, number: int | None = None
    ) -> Issue:
        """Freeze a numbered issue; it is never changed afterwards.

        Parameters
        ----------
        assessment : Assessment
            What is published; written as ``assessment.json``.
        files : mapping of str to bytes
            The reports made from it, such as ``report.html`` and ``report.pdf``.
        issued_on : str
            Day, as 2026-03-14.
        number : int, optional
            The number printed in the reports; it must be the next.

        Returns
        -------
        Issue
            The issue, on the disk to stay.

        Raises
        ------
        CaseError
            It says the same as the last issue, shows something private, or a name, number or date is not right.
        StorageError
            The disk refused; nothing was published.
        """
        loaded = self.entries()
        private = [entry for entry in (*loaded.entries, *loaded.set_aside) if entry.private]
        folder = self._made("issued")
        with locked(self.folder):
            return publish_issue(folder, assessment, files, issued_on=issued_on, private=private, number=number)

    def issues(self) -> tuple[Issue, ...]:
        """Return what was published, first to last.

        Returns
        -------
        tuple of Issue
            Those that can be read; :meth:`check_issues` tells of the others.
        """
        return issues(self.folder / "issued")

    def check_issues(self) -> tuple[Problem, ...]:
        """Compare every issue with its manifest.

        Returns
        -------
        tuple of Problem
            What was changed, is missing, or was added since it was published.
        """
        return check_issues(self.folder / "issued")

    @property
    def _evidence_folders(self) -> dict[str, Path]:
        return {"": self.folder / "evidence", boards.MEDIA: self.folder / boards.FOLDER}

    @property
    def _where(self) -> str:
        return f"{self.folder.name}/{CASE_FILE}"

    def _read_description(self) -> bytes:
        return read_regular(self.folder / CASE_FILE, limit=MAXIMUM_TEXT)

    def _present(self, name: str) -> Path | None:
        """Return one of the case's folders; None where it is missing, as after a copy that drops empty folders."""
        path = self.folder / name
        if not os.path.lexists(path):
            return None
        require_folder(path, what="the folder")
        return path

    def _made(self, name: str) -> Path:
        make_folder(self.folder / name, what=f"the folder {name!r}")
        return self.folder / name


def create_case(folder: Path | str, description: CaseDescription) -> Case:
    """Make a new case.

    Parameters
    ----------
    folder : Path or str
        A new folder, or an empty one.
    description : CaseDescription
        What is known of the specimen so far.

    Returns
    -------
    Case
        The case.

    Raises
    ------
    CaseError
        The folder holds something already, or the description is not valid.
    StorageError
        The disk refused; there is no case.
    """
    place = Path(folder).absolute()
    data = render_description(description)
    if not place.is_dir():
        make_folder(place, what="the case's folder")
    foreign = [name for name in names_in(place) if name not in FOLDERS]
    if CASE_FILE in foreign:
        raise CaseError(f"{place} is a case already: record into it, or choose another folder")
    if foreign:
        raise CaseError(f"{place} holds {foreign[0]!r} and is no case: choose a new or empty folder")
    for name in FOLDERS:
        make_folder(place / name, what=f"the folder {name!r}")
    if not write_new(place / CASE_FILE, data, what=CASE_FILE):
        raise CaseError(f"{place} is a case already: record into it, or choose another folder")
    return Case(place)


def open_case(folder: Path | str) -> Case:
    """Open a case that is there.

    Parameters
    ----------
    folder : Path or str
        The folder that holds ``case.toml``.

    Returns
    -------
    Case
        The case; whether its description and entries are sound shows when they are read.

    Raises
    ------
    CaseError
        There is no case.
    """
    place = Path(folder).absolute()
    if not place.is_dir():
        raise CaseError(f"{place} is not a folder: give the folder of a case (it holds {CASE_FILE})")
    if not os.path.lexists(place / CASE_FILE):
        raise CaseError(
            f"{place} is no case, it has no {CASE_FILE}: give another folder, or make one with 'coldpin new'"
        )
    return Case(place)


def _unapplied(what: str, who: str, now: datetime) -> Entry:
    note = f"edit not applied: {what}"
    if len(note) > LONGEST_TEXT:
        note = note[: LONGEST_TEXT - 1] + "…"
    editor = who.strip() or "an editor without a name"
    return new_entry(EntryKind.OBSERVATION, "remark", editor, now, recorded=now, note=note, private=True)


def _checked(sha256: str) -> str:
    if not _SHA256.fullmatch(sha256):
        raise CaseError(f"{sha256[:80]!r} is not a sha256: 64 hexadecimal digits")
    return sha256
