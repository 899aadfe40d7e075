"""A shelf: a folder of cases with what they share."""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import tomlkit

from coldpin.casefile.case import Case, open_case
from coldpin.casefile.description import CASE_FILE
from coldpin.casefile.dialects import forget_dialect, keep_dialect, load_dialect
from coldpin.casefile.instrument_checks import check_edit, check_name
from coldpin.casefile.instrument_edit import by_hand, merge_instrument, with_edited
from coldpin.casefile.storage import locked, make_folder, write_new, write_over
from coldpin.casefile.toml_text import parse_toml, require_format
from coldpin.casefile.untrusted import (
    MAXIMUM_TEXT,
    decode_text,
    names_in,
    printable,
    problem,
    read_regular,
)
from coldpin.errors import CaseError, ColdpinError, ConflictError, UnknownName
from coldpin.records.assessment import Problem
from coldpin.records.dialect import Dialect
from coldpin.records.instrument import SHELF_FILE, SHELF_FORMAT, Instrument, ShelfDescription
from coldpin.records.plain import from_plain, to_plain

_HEAD = """\
# What the cases in this folder share. Edit it with any text editor; comments stay.
# Dates without a zone are those of this machine, unless time_zone = "Europe/Copenhagen" stands below the title.
# Each instrument is a table; its statements are the maker's words on accuracy, for each thing it measures:
#
# [instruments.meter]
# name = "bench multimeter"
# kind = "multimeter"
# calibrated = "2026-01-20"
# statements = { resistance = "0.5 % + 2 digits on 200 Ω, resolution 0.1 Ω" }
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelvedCases:
    """The cases of a shelf that can be read, in the order of their folders' names, and a problem for each other."""

    cases: tuple[Case, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Shelf:
    """A shelf on the disk. It holds nothing in memory: each call reads the folder as it is now.

    Parameters
    ----------
    folder : Path
        The shelf's folder; open it with :func:`open_shelf` or make it with :func:`create_shelf`.
    """

    folder: Path

    def description(self) -> ShelfDescription:
        """Read ``shelf.toml``.

        Returns
        -------
        ShelfDescription
            What it says now; a folder without the file is a shelf named after itself, without instruments.

        Raises
        ------
        CaseError
            It cannot be read; the message says where and what to do.
        """
        path = self.folder / SHELF_FILE
        if not os.path.lexists(path):
            return ShelfDescription(format=SHELF_FORMAT, title=self.folder.name)
        return _parse(read_regular(path, limit=MAXIMUM_TEXT), where=self._where)

    def cases(self) -> ShelvedCases:
        """Find the cases on the shelf; a bad one hides no other.

        Returns
        -------
        ShelvedCases
            The cases, and a problem for each folder that has a ``case.toml`` that cannot be read.
        """
        cases, problems = [], []
        for name in names_in(self.folder):
            if not self._is_case(name):
                continue
            try:
                _require_text(name)
                case = open_case(self.folder / name)
                case.description()
                cases.append(case)
            except ColdpinError as error:
                problems.append(problem(name, error, root=self.folder))
        return ShelvedCases(cases=tuple(cases), problems=tuple(problems))

    def case(self, name: str) -> Case:
        """Return one case by the name of its folder, without reading any other.

        Parameters
        ----------
        name : str
            A name in the shelf's folder, never a path.

        Returns
        -------
        Case
            The case.

        Raises
        ------
        UnknownName
            No folder of the shelf that is a case has this name; the message lists those that are.
        CaseError
            Its ``case.toml`` cannot be read, or its name is no text.
        """
        if name not in names_in(self.folder) or not self._is_case(name):
            known = map(printable, filter(self._is_case, names_in(self.folder)))
            raise UnknownName.among("case", name, known)
        _require_text(name)
        case = open_case(self.folder / name)
        case.description()
        return case

    def instruments(self) -> Mapping[str, Instrument]:
        """Return the instruments by their names on the shelf.

        Returns
        -------
        mapping of str to Instrument
            In the order of the file.

        Raises
        ------
        CaseError
            ``shelf.toml`` cannot be read.
        """
        return self.description().instruments

    def instrument(self, name: str) -> Instrument:
        """Return one instrument.

        Parameters
        ----------
        name : str
            Its name on the shelf.

        Returns
        -------
        Instrument
            The instrument.

        Raises
        ------
        UnknownName
            It is not on the shelf; the message lists those that are.
        """
        known = self.instruments()
        if name not in known:
            raise UnknownName.among("instrument", name, known)
        return known[name]

    def add_instrument(self, name: str, instrument: Instrument) -> None:
        """Put an instrument on the shelf, comments of the file kept.

        Parameters
        ----------
        name : str
            How entries will call it.
        instrument : Instrument
            Its identity and accuracy statements.

        Raises
        ------
        ConflictError
            Another instrument has the name; it stays.
        CaseError
            The name cannot be used, nothing asks for an accuracy that it states, its day of calibration is none, or the
            file cannot be read.
        InputError
            A statement on its accuracy cannot be read.
        StorageError
            The disk refused; the file is as it was.
        """
        check_name(name)
        check_edit(name, None, instrument)
        path = self.folder / SHELF_FILE
        with locked(self.folder):
            known = self.instruments()
            if known.get(name) == instrument:
                return
            if name in known:
                raise ConflictError(
                    f"{self._where}: instrument {name!r} is {known[name].name!r} already and stays so: "
                    "choose another name, or change it (edit shelf.toml by hand)"
                )
            data = read_regular(path, limit=MAXIMUM_TEXT) if os.path.lexists(path) else _render(self.description())
            changed = _with_instrument(data, name, instrument, where=self._where)
            _parse(changed, where=self._where)
            write_over(path, changed, what=f"instrument {name!r}")

    def edit_instrument(self, name: str, old: Instrument, new: Instrument) -> tuple[Instrument, Instrument]:
        """Change what an editor changed of an instrument, comments of the file and changes by others kept.

        What the file held before may stay, whatever it is: only what is changed is looked at.

        Parameters
        ----------
        name : str
            Its name on the shelf.
        old : Instrument
            As the editor saw it.
        new : Instrument
            As the editor wants it.

        Returns
        -------
        tuple of Instrument
            As it was before, and as it is now.

        Raises
        ------
        UnknownName
            It is not on the shelf.
        ConflictError
            The file holds another value by now of what is to be changed; it stays.
        CaseError
            Nothing asks for an accuracy that is new, the day of calibration is none, or the file has to be edited by
            hand.
        InputError
            A new statement on its accuracy cannot be read.
        StorageError
            The disk refused; the file is as it was.
        """
        check_edit(name, old, new)
        path = self.folder / SHELF_FILE
        with locked(self.folder):
            told = self.description()
            held = self.instrument(name)
            wanted = merge_instrument(held, old, new, where=f"{self._where}, instrument {name!r}")
            if wanted == held:
                return held, held
            data = read_regular(path, limit=MAXIMUM_TEXT)
            changed = with_edited(data, name, held, wanted, where=self._where)
            if _parse(changed, where=self._where) != replace(told, instruments={**told.instruments, name: wanted}):
                raise CaseError(by_hand(self._where, name, "another would be changed with it"))
            write_over(path, changed, what=f"instrument {name!r}")
        return held, wanted

    def remember_dialect(self, instrument: str, dialect: Dialect) -> None:
        """Keep how an instrument writes its captures, or its logs, in the place of an earlier way.

        Parameters
        ----------
        instrument : str
            Its name on the shelf.
        dialect : Dialect
            How its captures are read, or its logs.

        Raises
        ------
        UnknownName
            It is not on the shelf.
        StorageError
            The disk refused; what was remembered before still is.
        """
        self.instrument(instrument)
        keep_dialect(self.folder / "dialects", _kept_as(instrument, log=dialect.log is not None), dialect)

    def forget_dialect(self, instrument: str, *, log: bool = False) -> bool:
        """Forget how an instrument's captures, or its logs, were read; what was filed keeps its own.

        Parameters
        ----------
        instrument : str
            Its name on the shelf.
        log : bool
            True for its logs.

        Returns
        -------
        bool
            False where nothing was remembered.

        Raises
        ------
        UnknownName
            It is not on the shelf.
        StorageError
            The disk refused; it is still remembered.
        """
        self.instrument(instrument)
        return forget_dialect(self.folder / "dialects", _kept_as(instrument, log=log))

    def remembered(self, instrument: str, *, log: bool = False) -> Dialect | None:
        """Return how an instrument's captures, or its logs, were read before.

        Parameters
        ----------
        instrument : str
            Its name on the shelf.
        log : bool
            True for its logs, which are remembered apart from its captures.

        Returns
        -------
        Dialect or None
            None where nothing is remembered.

        Raises
        ------
        CaseError
            What is remembered cannot be read.
        """
        check_name(instrument)
        return load_dialect(self.folder / "dialects", _kept_as(instrument, log=log))

    def _is_case(self, name: str) -> bool:
        path = self.folder / name
        return not path.is_symlink() and os.path.lexists(path / CASE_FILE)

    @property
    def _where(self) -> str:
        return f"{self.folder.name}/{SHELF_FILE}"


def create_shelf(folder: Path | str, title: str) -> Shelf:
    """Make a shelf in a new or an existing folder.

    Parameters
    ----------
    folder : Path or str
        The folder; what is in it stays.
    title : str
        What it is called.

    Returns
    -------
    Shelf
        The shelf.

    Raises
    ------
    CaseError
        It is a shelf already, or a case.
    StorageError
        The disk refused.
    """
    place = Path(folder).absolute()
    if os.path.lexists(place / CASE_FILE):
        raise CaseError(f"{place} is a case; a shelf is a folder of cases: choose the folder above it, or another")
    data = _render(ShelfDescription(format=SHELF_FORMAT, title=title))
    _parse(data, where=SHELF_FILE)
    if not place.is_dir():
        make_folder(place, what="the shelf's folder")
    if not write_new(place / SHELF_FILE, data, what=SHELF_FILE):
        raise CaseError(f"{place} is a shelf already: look at it with 'coldpin serve', or choose another folder")
    return Shelf(place)


def open_shelf(folder: Path | str) -> Shelf:
    """Open a folder of cases.

    Parameters
    ----------
    folder : Path or str
        The folder; ``shelf.toml`` need not be there.

    Returns
    -------
    Shelf
        The shelf.

    Raises
    ------
    CaseError
        It is not a folder, or is itself a case.
    """
    place = Path(folder).absolute()
    if not place.is_dir():
        raise CaseError(f"{place} is not a folder: give the folder that holds the cases")
    if os.path.lexists(place / CASE_FILE):
        raise CaseError(f"{place} is a case, not a shelf: give the folder above it")
    return Shelf(place)


def render_shelf(description: ShelfDescription) -> bytes:
    """Write ``shelf.toml`` without comments, from what it says.

    Parameters
    ----------
    description : ShelfDescription
        What it is to say.

    Returns
    -------
    bytes
        The file.
    """
    return tomlkit.dumps(_without_nothing(to_plain(description))).encode()


def _without_nothing(plain: Any) -> Any:
    if isinstance(plain, dict):
        return {key: _without_nothing(value) for key, value in plain.items() if value not in (None, "", [], {})}
    return [_without_nothing(value) for value in plain] if isinstance(plain, list) else plain


def _require_text(name: str) -> None:
    """Refuse a folder whose name no page and no report could print or link to."""
    if printable(name) != name or any(unicodedata.category(character) == "Cc" for character in name):
        raise CaseError("the name of the folder holds what cannot be printed: rename it")


def _kept_as(instrument: str, *, log: bool) -> str:
    """Return the name of a dialect's file; no instrument's name ends in a stop, so that the two cannot meet."""
    return f"{instrument}.log." if log else instrument


def _parse(data: bytes, *, where: str) -> ShelfDescription:
    plain = parse_toml(data, where=where)
    require_format(plain, SHELF_FORMAT, where=where)
    description = from_plain(ShelfDescription, plain, where=where)
    for name in description.instruments:
        check_name(name, where=f"{where}: ")
    return description


def _render(description: ShelfDescription) -> bytes:
    document = tomlkit.parse(_HEAD)
    document.add(tomlkit.nl())
    document.add("format", description.format)
    document.add("title", description.title)
    return tomlkit.dumps(document).encode()


def _with_instrument(data: bytes, name: str, instrument: Instrument, *, where: str) -> bytes:
    document = tomlkit.parse(decode_text(data, where=where))
    if "instruments" not in document:
        document.add("instruments", tomlkit.table(is_super_table=True))
    table = tomlkit.table()
    for key, value in to_plain(instrument).items():
        if value not in ("", {}):
            table.add(key, value)
    document["instruments"][name] = table
    return tomlkit.dumps(document).encode()
