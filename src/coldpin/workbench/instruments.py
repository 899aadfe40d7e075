"""The instruments of a shelf: what their makers say of them, how their files were read, putting one there, editing one.

A case keeps by which instrument it was read, and not what its maker says of it: findings are reckoned by what the shelf
says when they are. Who changes that is told whose findings it moves, says so, and each of those cases keeps a remark.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from coldpin.capture import dialect_lines
from coldpin.casefile import Case
from coldpin.casefile.instrument_checks import instrument_problems
from coldpin.casefile.shelf import open_shelf
from coldpin.errors import CaseError, ColdpinError, StorageError
from coldpin.records.assessment import Problem
from coldpin.records.instrument import SHELF_FILE, Instrument
from coldpin.records.measured import as_asked
from coldpin.workbench.clock import now
from coldpin.workbench.entries import record


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


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentUse:
    """A case of the shelf in which something was read with an instrument, and how many entries say so."""

    case: str
    title: str
    entries: int


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
        if told := ahead_told(instrument.calibrated):
            problems.append(Problem(where=SHELF_FILE, what=f"instrument {name!r}: {told}"))
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
    maker, model, serial : str
        As known.
    calibrated : str
        The day, as ``2026-01-20``.
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
        The name cannot be used, a word is missing, nothing asks for an accuracy that is stated, the day of calibration
        is none or is yet to come, or ``shelf.toml`` cannot be read.
    InputError
        A statement on its accuracy cannot be read.
    StorageError
        The disk refused; the file is as it was.
    """
    if not title.strip() or not kind.strip():
        raise CaseError("an instrument needs a name in words and a kind, such as 'bench multimeter' and 'multimeter'")
    if told := ahead_told(calibrated.strip()):
        raise CaseError(f"instrument {name!r}: {told}")
    instrument = Instrument(
        name=title,
        kind=kind,
        maker=maker,
        model=model,
        serial=serial,
        calibrated=calibrated.strip(),
        statements={as_asked(measured): said for measured, said in (statements or {}).items()},
        note=note,
    )
    open_shelf(folder).add_instrument(name, instrument)
    return InstrumentOnShelf(name=name, instrument=instrument)


def uses_of(folder: Path | str, name: str) -> tuple[InstrumentUse, ...]:
    """Return the cases in which something that holds was read with an instrument.

    Parameters
    ----------
    folder : Path or str
        The shelf.
    name : str
        The instrument.

    Returns
    -------
    tuple of InstrumentUse
        In the order of their folders' names; a case that cannot be read is left out.

    Raises
    ------
    CaseError
        The folder is not a shelf.
    """
    return tuple(use for _, use in _used(folder, name))


def _used(folder: Path | str, name: str) -> list[tuple[Case, InstrumentUse]]:
    found = []
    for case in open_shelf(folder).cases().cases:
        try:
            read = [entry for entry in case.effective().entries if entry.instrument == name and not entry.withdraws]
        except ColdpinError:
            continue  # its own page tells why
        if read:
            use = InstrumentUse(case=case.folder.name, title=case.description().title, entries=len(read))
            found.append((case, use))
    return found


def edit_instrument(
    folder: Path | str, name: str, seen: Instrument, wanted: Instrument, *, who: str = "", before_too: bool = False
) -> InstrumentOnShelf:
    """Change an instrument of a shelf, if it still is what the editor saw in what is to be changed.

    Parameters
    ----------
    folder : Path or str
        The shelf.
    name : str
        The instrument.
    seen : Instrument
        As the editor saw it.
    wanted : Instrument
        As the editor wants it.
    who : str
        Who edits; the tester of each case where empty.
    before_too : bool
        What is changed of its accuracy holds for what was read with it before, too.

    Returns
    -------
    InstrumentOnShelf
        As it stands then. Each case in which something was read with it has a remark of what was changed.

    Raises
    ------
    UnknownName
        There is no such instrument.
    ConflictError
        Somebody changed the same of it meanwhile; that stays.
    CaseError
        What is changed cannot be used, or its accuracy is changed, which moves findings, and ``before_too`` is not
        said.
    InputError
        A statement on its accuracy cannot be read.
    StorageError
        The disk refused; the message says what of it is written.
    """
    if not wanted.name.strip() or not wanted.kind.strip():
        raise CaseError("an instrument needs a name in words and a kind, such as 'bench multimeter' and 'multimeter'")
    shelf = open_shelf(folder)
    shelf.instrument(name)  # refuses one that there is not
    if wanted.calibrated != seen.calibrated and (told := ahead_told(wanted.calibrated)):
        raise CaseError(f"instrument {name!r}: {told}")
    used = _used(folder, name)
    if used and dict(wanted.statements) != dict(seen.statements) and not before_too:
        raise CaseError(_moves(name, [use for _, use in used]))
    before, after = shelf.edit_instrument(name, seen, wanted)
    changes = changes_told(before, after)
    if changes:
        moved = dict(before.statements) != dict(after.statements)
        _tell_cases(name, [case for case, _ in used], changes, who, moved=moved)
    return next(one for one in list_instruments(folder).instruments if one.name == name)


def changes_told(before: Instrument, after: Instrument) -> tuple[str, ...]:
    """Say what was changed of an instrument that a reading rests on: what it is, its calibration, its accuracy.

    Parameters
    ----------
    before, after : Instrument
        The instrument.

    Returns
    -------
    tuple of str
        One clause for each; a name in words, a kind and a note are none.

    Examples
    --------
    >>> changes_told(Instrument(name="m", kind="k"), Instrument(name="m", kind="k", statements={"voltage": "1 %"}))
    ("accuracy of voltage: nothing before, '1 %' now",)
    """
    what = [(name, getattr(before, name), getattr(after, name)) for name in ("maker", "model", "serial", "calibrated")]
    what += [
        (f"accuracy of {name}", before.statements.get(name, ""), after.statements.get(name, ""))
        for name in dict.fromkeys((*before.statements, *after.statements))
    ]
    return tuple(f"{name}: {_said(old)} before, {_said(new)} now" for name, old, new in what if old != new)


def _said(text: str) -> str:
    return repr(text) if text else "nothing"


def _moves(name: str, uses: list[InstrumentUse]) -> str:
    number = sum(use.entries for use in uses)
    entries = "1 entry" if number == 1 else f"{number} entries"
    cases = ", ".join(use.case for use in uses)
    return (
        f"{name!r} was read in {cases} ({entries}), and what is found there "
        "is reckoned by its accuracy as it stands here. Were the words wrong from the first, say that the change "
        "holds for what was read before too ('Also for what was read before'); is the instrument another since, "
        "repaired or adjusted, leave this one and put it on the shelf under a new name"
    )


def _tell_cases(name: str, cases: list[Case], changes: tuple[str, ...], who: str, *, moved: bool) -> None:
    """Write into each case what was changed of an instrument by which something in it was read."""
    moves = " What was read with it is reckoned by its accuracy as it is now." if moved else ""
    note = f"instrument {name!r} was changed on the shelf: {'; '.join(changes)}.{moves}"
    left = []
    for case in cases:
        try:
            editor = who.strip() or case.description().tester or "an editor without a name"
            record(case.folder, shows="remark", who=editor, note=note)
        except ColdpinError as error:
            left.append(f"{case.folder.name} ({error})")
    if left:
        raise StorageError(
            f"instrument {name!r} is changed, and no remark of it stands in {', '.join(left)}: write one there: {note}"
        )


def ahead_told(calibrated: str) -> str:
    """Say that a day of calibration is yet to come.

    Parameters
    ----------
    calibrated : str
        The day, as ``2026-01-20``.

    Returns
    -------
    str
        Empty where it is not, or the text is no day.

    Examples
    --------
    >>> ahead_told("2026-01-20"), ahead_told("in spring")
    ('', '')
    """
    try:
        day = date.fromisoformat(calibrated)
    except ValueError:
        return ""
    today = today_here()
    return f"calibrated on {calibrated!r} is yet to come: today is {today.isoformat()}" if day > today else ""


def today_here() -> date:
    """Return the day that it is where this machine stands.

    Returns
    -------
    date
        By the clock of the machine.
    """
    return now().astimezone().date()


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
