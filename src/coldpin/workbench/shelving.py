"""Which shelf a case stands on, and what the shelf lends it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo
from pathlib import Path

from coldpin.casefile import Case, Shelf, open_case
from coldpin.casefile import open_shelf as open_shelf
from coldpin.casefile.instrument_checks import instrument_problems, statement_problems
from coldpin.errors import InputError
from coldpin.records.assessment import Problem
from coldpin.records.dialect import Dialect
from coldpin.records.instrument import Instrument
from coldpin.workbench.clock import at_bench, zone_named

SHELF_FILE = "shelf.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A case with the instruments and remembered dialects of its shelf, if it stands on one.

    ``unread`` is true where ``shelf.toml``, or a statement on an instrument's accuracy, cannot be read.
    """

    case: Case
    shelf: Shelf | None
    instruments: Mapping[str, Instrument]
    problems: tuple[Problem, ...] = ()
    unread: bool = False

    def zone(self) -> tzinfo | None:
        """Return the time zone of the bench, as its shelf states it.

        Returns
        -------
        tzinfo or None
            None where it states none: that of this machine.

        Raises
        ------
        InputError
            This machine knows no such zone.
        """
        return None if self.shelf is None else zone_named(self.shelf.description().time_zone, where=SHELF_FILE)

    def remembered(self, instrument: str, *, log: bool = False) -> Dialect | None:
        """Return how captures of an instrument, or its logs, were read before.

        Parameters
        ----------
        instrument : str
            Its name on the shelf, may be empty.
        log : bool
            True for its logs, which are remembered apart from its captures.

        Returns
        -------
        Dialect or None
            None where nothing is remembered.
        """
        return self.shelf.remembered(instrument, log=log) if self.shelf and instrument else None


def at_bench_of(folder: Path | str, text: str) -> datetime | str | None:
    """Read when something was made at the bench of a case, as :func:`coldpin.workbench.clock.at_bench`.

    Parameters
    ----------
    folder : Path or str
        The case's folder.
    text : str
        ISO 8601, with zone or without; empty for now.

    Returns
    -------
    datetime or str or None
        With zone; None where nothing is said, and what is no date and time as it is.

    Raises
    ------
    CaseError
        The folder is not a case.
    InputError
        Its shelf states a time zone that this machine does not know.
    """
    return at_bench(text, open_bench(folder).zone()) if text else None


def open_bench(folder: Path | str) -> Bench:
    """Open a case and the shelf around it.

    Parameters
    ----------
    folder : Path or str
        The case's folder.

    Returns
    -------
    Bench
        A shelf that cannot be read, and what of its instruments cannot, is told under ``problems``; the case opens all
        the same.

    Raises
    ------
    CaseError
        The folder is not a case.
    """
    case = open_case(folder)
    around = case.folder.resolve().parent
    if not (around / SHELF_FILE).exists():
        return Bench(case=case, shelf=None, instruments={})
    try:
        shelf = open_shelf(around)
        instruments = shelf.instruments()
        return Bench(
            case=case,
            shelf=shelf,
            instruments=instruments,
            problems=instrument_problems(instruments),
            unread=bool(statement_problems(instruments)),
        )
    except InputError as error:
        told = Problem(where=SHELF_FILE, what=str(error))
        return Bench(case=case, shelf=None, instruments={}, problems=(told,), unread=True)


def shelf_problems(folder: Path | str) -> tuple[Problem, ...]:
    """Say what of the shelf around a case cannot be used: readings lose the accuracy of their instrument by it.

    Parameters
    ----------
    folder : Path or str
        The case's folder.

    Returns
    -------
    tuple of Problem
        Empty where the shelf can be read, or there is none.

    Raises
    ------
    CaseError
        The folder is not a case.
    """
    return open_bench(folder).problems
