"""A case opened to be assessed: its entries that count, and what it is judged by."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from coldpin.casefile import Effective
from coldpin.errors import InputError
from coldpin.records.case import CaseDescription
from coldpin.records.entry import Entry
from coldpin.records.keeping import Keeping, made_anew
from coldpin.records.vocabulary import VOCABULARY
from coldpin.standards.book import Book, load_book
from coldpin.standards.editions import Edition, default_edition
from coldpin.workbench.privacy import usable_entries
from coldpin.workbench.shelving import Bench, open_bench


def edition_for(description: CaseDescription) -> Edition:
    """Return the edition a case is judged by: its own choice, else that of its class of unit.

    Parameters
    ----------
    description : CaseDescription
        The case.

    Returns
    -------
    Edition
        The edition.

    Raises
    ------
    InputError
        The case names one that is not known.
    """
    chosen = description.unit.edition
    if not chosen:
        return default_edition(description.unit)
    if chosen not in list(Edition):
        raise InputError(
            f"case.toml, unit.edition = {chosen!r}: known editions are {', '.join(Edition)}; "
            "leave it out for the usual one"
        )
    return Edition(chosen)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedCase:
    """A case as it stands and what it is judged by, before any of its captures, logs and boards is read.

    ``usable`` are the entries of ``held`` that count; ``keep`` gives back parts that were made before.
    """

    bench: Bench
    held: Effective
    usable: tuple[Entry, ...]
    description: CaseDescription
    book: Book
    edition: Edition
    keep: Keeping


def open_to_assess(
    folder: Path | str, keep: Keeping = made_anew, *, description: CaseDescription | None = None
) -> OpenedCase:
    """Return a case as it stands and what it is judged by.

    Parameters
    ----------
    folder : Path or str
        The case.
    keep : Keeping, optional
        Gives back parts that were made before.
    description : CaseDescription, optional
        What stands in place of ``case.toml``, to try something on it.

    Returns
    -------
    OpenedCase
        For :func:`assess` and its parts.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    """
    bench = open_bench(folder)
    description = description or bench.case.description()
    held = bench.case.effective()
    return OpenedCase(
        bench=bench,
        held=held,
        usable=usable_entries(held),
        description=description,
        book=load_book().with_own(description.constants),
        edition=edition_for(description),
        keep=keep,
    )


def is_decoded(entry: Entry) -> bool:
    """Say whether an entry is of use only if its file could be read.

    Parameters
    ----------
    entry : Entry
        The entry.

    Returns
    -------
    bool
        True of captures, logs and drawings of boards.
    """
    return VOCABULARY[entry.shows].recorded_as in ("capture", "log", "board")
