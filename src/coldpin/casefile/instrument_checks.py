"""What of an instrument can be used: its name, the maker's statements on its accuracy, its day of calibration."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date

from coldpin.casefile.acceptance import told_at
from coldpin.casefile.untrusted import check_plain
from coldpin.errors import CaseError, InputError
from coldpin.quantity import parse_quantity
from coldpin.records.assessment import Problem
from coldpin.records.instrument import SHELF_FILE, Instrument
from coldpin.records.measured import BANDWIDTH, not_asked
from coldpin.standards.accuracy import parse_accuracy

_NAME = re.compile(r"\w(?:[\w .-]{0,58}\w)?")

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def statement_problems(instruments: Mapping[str, Instrument]) -> tuple[Problem, ...]:
    """Say which statements of instruments cannot be read: readings with such an instrument have no uncertainty.

    Parameters
    ----------
    instruments : mapping of str to Instrument
        The instruments of a shelf.

    Returns
    -------
    tuple of Problem
        One for each statement, with its place and what to write.

    Examples
    --------
    >>> meter = Instrument(name="meter", kind="multimeter", statements={"resistance": "0,5 % + 2 digits"})
    >>> (told,) = statement_problems({"meter": meter})
    >>> told.where, told.what[:95]
    ('shelf.toml', "instrument 'meter', accuracy of resistance: accuracy statement '0,5 % + 2 digits': the value of")
    """
    problems = []
    for name, instrument in instruments.items():
        for measured, statement in instrument.statements.items():
            try:
                with told_at(_place(name, measured)):
                    _check_statement(measured, statement)
            except InputError as error:
                problems.append(Problem(where=SHELF_FILE, what=str(error)))
    return tuple(problems)


def instrument_problems(instruments: Mapping[str, Instrument]) -> tuple[Problem, ...]:
    """Say what of instruments cannot be used: statements, names that nothing asks for, days of calibration.

    Parameters
    ----------
    instruments : mapping of str to Instrument
        The instruments of a shelf.

    Returns
    -------
    tuple of Problem
        Those of :func:`statement_problems`, then one for each such name, with the name that was meant, and for
        each such day.

    Examples
    --------
    >>> meter = Instrument(name="meter", kind="multimeter", statements={"DC voltage": "1 %"})
    >>> (told,) = instrument_problems({"meter": meter})
    >>> told.what[:90]
    "instrument 'meter': nothing asks for the accuracy of 'DC voltage'; did you mean 'voltage'?"
    """
    unasked = [
        Problem(where=SHELF_FILE, what=f"instrument {name!r}: {told}")
        for name, instrument in instruments.items()
        for told in (*map(not_asked, instrument.statements), day_told(instrument.calibrated))
        if told
    ]
    return (*statement_problems(instruments), *unasked)


def day_told(text: str) -> str:
    """Say why a day of calibration is none.

    Parameters
    ----------
    text : str
        As written; empty where nothing is known.

    Returns
    -------
    str
        Empty where it is a day, or nothing is written.

    Examples
    --------
    >>> day_told("2026-01-20"), day_told("")
    ('', '')
    >>> day_told("2026-13-45")
    "calibrated on '2026-13-45', and there is no such day: write year, month and day, such as 2026-01-20"
    """
    if not text:
        return ""
    why = "which is no date as it is read here"
    if _DAY.fullmatch(text):
        try:
            date.fromisoformat(text)
        except ValueError:
            why = "and there is no such day"
        else:
            return ""
    return f"calibrated on {text[:40]!r}, {why}: write year, month and day, such as 2026-01-20"


def check_edit(name: str, old: Instrument | None, new: Instrument) -> None:
    """Refuse what is new of an instrument and cannot be used.

    Parameters
    ----------
    name : str
        Its name on the shelf, for the message.
    old : Instrument or None
        As it was, whose faults may stay; None where it is new.
    new : Instrument
        As it is to be.

    Raises
    ------
    CaseError
        Nothing asks for an accuracy that is new, or the day of calibration is none.
    InputError
        A new statement on its accuracy cannot be read.
    """
    check_plain(new, where=f"instrument {name!r}")
    told = day_told(new.calibrated)
    if told and (old is None or old.calibrated != new.calibrated):
        raise CaseError(f"instrument {name!r}: {told}")
    for measured, statement in new.statements.items():
        if old is not None and old.statements.get(measured) == statement:
            continue
        _check_measured(name, measured)
        with told_at(_place(name, measured)):
            _check_statement(measured, statement)


def check_name(name: str, where: str = "") -> None:
    """Refuse a name that an instrument of a shelf cannot have.

    Parameters
    ----------
    name : str
        The name.
    where : str
        What stands before the message.

    Raises
    ------
    CaseError
        It is too long, or holds what is no letter, digit, blank, stop, hyphen or underscore.
    """
    if not _NAME.fullmatch(name):
        raise CaseError(
            f"{where}instrument name {name[:80]!r} cannot be used: "
            "take up to 60 letters, digits, spaces, '.', '-' or '_', with a letter or digit first and last"
        )


def _place(instrument: str, measured: str) -> str:
    return f"instrument {instrument!r}, accuracy of {measured}"


def _check_measured(instrument: str, measured: str) -> None:
    told = not_asked(measured)
    if told:
        raise CaseError(f"instrument {instrument!r}: {told}")


def _check_statement(measured: str, statement: str) -> None:
    if measured == BANDWIDTH:
        parse_quantity(statement, "Hz")
    elif statement:
        parse_accuracy(statement)
