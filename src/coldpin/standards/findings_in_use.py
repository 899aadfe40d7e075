"""Findings on which no protective function hangs: where they speak against a use, and why those that do not do not."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.errors import InputError
from coldpin.records.finding import Limit
from coldpin.records.use import UseAnswer
from coldpin.standards.book import Book
from coldpin.standards.table import Row
from coldpin.standards.uses import Terms, read_terms

SECTION = "use-finding."


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingInUse:
    """A finding, or all of a check, and where it speaks against a use when it is beyond.

    ``answer`` is the mildest that it allows where it bears, None where it bears on no use. ``when`` are circumstances
    of which one set must hold, none for everywhere. Where all functions of ``settled_by`` are shown it counts nothing.
    ``says`` is why, ``contains`` what a unit would have.
    """

    of: str
    answer: UseAnswer | None
    when: tuple[Terms, ...]
    settled_by: tuple[str, ...]
    says: str
    contains: str
    limit: Limit


def findings_in_use(book: Book) -> tuple[FindingInUse, ...]:
    """Return where findings speak against a use on which no function hangs.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of FindingInUse
        In the order of the table.

    Raises
    ------
    InputError
        A word of the table is none of its kind.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> rows = {row.of: row for row in findings_in_use(load_book())}
    >>> rows["construction.anchorage"].answer.value, rows["markings.responsible"].answer
    ('advised against', None)

    Sources
    -------
    ``use-finding.*``, judgement.
    """
    return tuple(
        FindingInUse(
            of=row.limit.id.removeprefix(SECTION),
            answer=_answer(row),
            when=tuple(read_terms(row, line) for line in row.words("when")),
            settled_by=row.words("settled_by"),
            says=row.word("says"),
            contains=row.word("contains"),
            limit=row.limit,
        )
        for row in book.under(SECTION)
    )


def _answer(row: Row) -> UseAnswer | None:
    word = row.word("answer")
    if not word:
        return None
    if word not in set(UseAnswer):
        known = ", ".join(UseAnswer)
        raise InputError(f"table {row.table}, entry {row.limit.id!r}: answer {word!r} is none of {known}")
    return UseAnswer(word)
