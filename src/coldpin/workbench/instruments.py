"""The instruments of a shelf: what their makers say of them, how their files were read, and putting one there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from coldpin.capture import dialect_lines
from coldpin.casefile.shelf import instrument_problems, open_shelf
from coldpin.errors import CaseError
from coldpin.records.assessment import Problem
from coldpin.records.instrument import Instrument


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentOnShelf:
    """An instrument of a shelf.

    Parameters
    ----------
    name : str
        How entries call it.
    instrument : Instrument
        Its identity, and what its maker says of its accuracy.
    captures : tuple of tuple of str
        How its captures were read last, name by name; empty where none was.
    logs : tuple of tuple of str
        How its logs were read last.
    """

    name: str
    instrument: Instrument
    captures: tuple[tuple[str, str], ...] = ()
    logs: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentList:
    """All instruments of a shelf, in the order of its file, and what of them cannot be used."""

    instruments: tuple[InstrumentOnShelf, ...]
    problems: tuple[Problem, ...]


def list_instruments(folder: Path | str) -> InstrumentList:
    """Return the instruments of a shelf, with how their files were read before.

    Parameters
    ----------
    folder : Path or str
        The shelf.

    Returns
    -------
    InstrumentList
        The instruments.

    Raises
    ------
    CaseError
        The folder is not a shelf, or ``shelf.toml`` cannot be read.
    """
    shelf = open_shelf(folder)
    held = shelf.instruments()
    listed, problems = [], list(instrument_problems(held))
    for name, instrument in held.items():
        ways: list[tuple[tuple[str, str], ...]] = []
        for log in (False, True):
            try:
                way = shelf.remembered(name, log=log)
            except CaseError as error:
                problems.append(Problem(where=f"dialect of {name}", what=str(error)))
                way = None
            ways.append(() if way is None else dialect_lines(way))
        listed.append(InstrumentOnShelf(name=name, instrument=instrument, captures=ways[0], logs=ways[1]))
    return InstrumentList(instruments=tuple(listed), problems=tuple(problems))


def add_instrument(
    folder: Path | str,
    name: str,
    *,
    title: str,
    kind: str,
    maker: str = "",
    model: str = "",
    serial: str = "",
    calibrated: str = "",
    statements: Mapping[str, str] | None = None,
    note: str = "",
) -> InstrumentOnShelf:
    """Put an instrument on a shelf.

    Parameters
    ----------
    folder : Path or str
        The shelf.
    name : str
        How entries will call it.
    title : str
        What it is, in words.
    kind : str
        Its kind, such as "multimeter".
    maker, model, serial, calibrated : str
        As known.
    statements : mapping of str to str, optional
        What its maker says of its accuracy, by what is measured.
    note : str
        Anything else.

    Returns
    -------
    InstrumentOnShelf
        As it stands there.

    Raises
    ------
    ConflictError
        Another instrument has the name; it stays.
    CaseError
        The name cannot be used, a word is missing, or ``shelf.toml`` cannot be read.
    InputError
        A statement on its accuracy cannot be read.
    StorageError
        The disk refused; the file is as it was.
    """
    if not title.strip() or not kind.strip():
        raise CaseError("an instrument needs a name in words and a kind, such as 'bench multimeter' and 'multimeter'")
    instrument = Instrument(
        name=title,
        kind=kind,
        maker=maker,
        model=model,
        serial=serial,
        calibrated=calibrated,
        statements=dict(statements or {}),
        note=note,
    )
    open_shelf(folder).add_instrument(name, instrument)
    return InstrumentOnShelf(name=name, instrument=instrument)


def forget_reading(folder: Path | str, name: str, *, logs: bool = False) -> InstrumentOnShelf:
    """Forget how the files of an instrument were read last, so that the next is looked at afresh.

    Parameters
    ----------
    folder : Path or str
        The shelf.
    name : str
        The instrument.
    logs : bool
        Its logs, not its captures.

    Returns
    -------
    InstrumentOnShelf
        As it stands then; what was filed is read as before, for it keeps its own way.

    Raises
    ------
    UnknownName
        There is no such instrument.
    CaseError
        The folder is not a shelf, or nothing was remembered.
    StorageError
        The disk refused; it is still remembered.
    """
    if not open_shelf(folder).forget_dialect(name, log=logs):
        raise CaseError(f"nothing is remembered of how {'logs' if logs else 'captures'} of {name!r} are read")
    return next(one for one in list_instruments(folder).instruments if one.name == name)
