"""What was measured on several specimens, side by side with its uncertainty and never averaged."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import combinations

from coldpin.errors import UnitError
from coldpin.quantity import Quantity, in_unit
from coldpin.quantity.compatibility import normalised_error
from coldpin.records.assessment import Assessment
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from coldpin.records.together import Unlike, ValueAgreement, ValueTogether
from coldpin.standards.book import Book
from coldpin.standards.several_specimens import difference_limit


def values_together(held: Sequence[Assessment], book: Book) -> tuple[ValueTogether, ...]:
    """Lay what was measured on two specimens or more side by side.

    Parameters
    ----------
    held : sequence of Assessment
        The assessments, in the order of the specimens.
    book : Book
        The constants.

    Returns
    -------
    tuple of ValueTogether
        In the order of the first that has each.
    """
    by_id = [{finding.id: finding for finding in one.findings if finding.quantity is not None} for one in held]
    rows = []
    for name in in_order(by_id):
        each = tuple(findings.get(name) for findings in by_id)
        measured = [one for one in each if one is not None and one.quantity is not None and one.quantity.u != 0.0]
        if len(measured) > 1:  # what is exact was stated, not measured
            row = _value(name, each, book)
            rows.append(replace(row, instruments=_in_common(row, each, held), unlike=_conditions(each, held)))
    return tuple(rows)


def _value(name: str, each: Sequence[Finding | None], book: Book) -> ValueTogether:
    told = [one for one in each if one is not None and one.quantity is not None]
    unit = told[0].quantity.unit if told[0].quantity is not None else ""
    limits = {one.limit for one in told}
    row = ValueTogether(
        id=name,
        title=told[0].title,
        unit=unit,
        values=tuple(None if one is None else one.quantity for one in each),
        agreement=ValueAgreement.UNKNOWN,
        limit=next(iter(limits)) if len(limits) == 1 else None,
    )
    try:
        values = tuple(None if one is None else _converted(one.quantity, unit) for one in each)
    except UnitError:
        return replace(row, why="not given in units of one kind")
    row = replace(row, values=values)
    unlike = unlike_conditions(each)
    if any(remark.startswith("not taken") for remark in unlike):
        return replace(row, why=unlike[0])
    apart = farthest_apart(values)
    if apart is None:
        return replace(row, why="the uncertainty of one of them is not known")
    pair, difference = apart
    most = difference_limit(book).maximum or 0.0
    one, other = (values[number - 1] for number in pair)
    shows_from = most * math.hypot(*((value.expanded or 0.0) if value is not None else 0.0 for value in (one, other)))
    finite = difference if math.isfinite(difference) else None
    row = replace(row, apart=pair, difference=finite, shows_from=shows_from, agreement=ValueAgreement.AGREE)
    if difference <= most:
        return row
    if any(one.worst_of > 1 for one in told):
        return replace(
            row,
            agreement=ValueAgreement.UNKNOWN,
            why="each is the worst of several readings or runs, which scatter by more than one of them is uncertain",
        )
    return replace(row, agreement=ValueAgreement.DIFFER)


def _in_common(row: ValueTogether, each: Sequence[Finding | None], held: Sequence[Assessment]) -> tuple[str, ...]:
    """Return the instruments with which both of the two farthest apart were measured, one of a name and one alike."""
    if not row.apart:
        return ()
    used = []
    for number in row.apart:
        shelf = dict(held[number - 1].instruments)
        names = dict.fromkeys(entry.instrument for entry in _behind(each[number - 1], held[number - 1]))
        used.append({name: shelf[name] for name in names if name in shelf})
    return tuple(name for name, instrument in used[0].items() if used[1].get(name) == instrument)


def _conditions(each: Sequence[Finding | None], held: Sequence[Assessment]) -> tuple[Unlike, ...]:
    """Return the conditions that were written down for each value, and not alike."""
    stated: list[dict[str, str] | None] = []
    for finding, assessment in zip(each, held, strict=True):
        told: dict[str, list[str]] = {}
        for entry in _behind(finding, assessment):
            for name, value in entry.conditions.items():
                told.setdefault(f"{entry.shows}, {name}", []).append(" ".join(value.split()))
        stated.append({name: "; ".join(sorted(set(values))) for name, values in told.items()} if finding else None)
    told_of = [one for one in stated if one is not None]
    return tuple(
        Unlike(what=name, said=tuple("" if one is None else one[name] for one in stated))
        for name in in_order(told_of)
        if all(name in one for one in told_of) and len({one[name] for one in told_of}) > 1
    )


def _behind(finding: Finding | None, assessment: Assessment) -> list[Entry]:
    wanted = set() if finding is None else set(finding.evidence)
    return [entry for entry in assessment.entries if entry.id in wanted and not entry.private]


def _converted(quantity: Quantity | None, unit: str) -> Quantity | None:
    return quantity if quantity is None or quantity.unit == unit else in_unit(quantity, unit)


def farthest_apart(values: Sequence[Quantity | None]) -> tuple[tuple[int, int], float] | None:
    """Return the two values that lie farthest apart for their uncertainty, and their normalised difference.

    Parameters
    ----------
    values : sequence of Quantity or None
        One of each specimen in one unit, None where it was not measured.

    Returns
    -------
    tuple or None
        Numbers of two specimens and |E_n| [1]; None where an uncertainty is not known, so that another pair may differ
        more, or fewer than two were measured.

    Raises
    ------
    UnitError
        The units differ.
    """
    known = [(number, value) for number, value in enumerate(values, start=1) if value is not None]
    pairs = []
    for (one, first), (other, second) in combinations(known, 2):
        difference = normalised_error(first, second)
        if difference is None:
            return None
        pairs.append(((one, other), difference))
    return max(pairs, key=lambda pair: pair[1], default=None)


def in_order(ids: Iterable[Iterable[str]]) -> tuple[str, ...]:
    """Return ids in the order of the first that has each, so that rows stand as in a report.

    Parameters
    ----------
    ids : iterable of iterable of str
        Those of each specimen.

    Returns
    -------
    tuple of str
        Each once.

    Examples
    --------
    >>> in_order([("b", "a"), ("a", "c")])
    ('b', 'a', 'c')
    """
    return tuple(dict.fromkeys(name for one in ids for name in one))


def unlike_conditions(each: Sequence[Finding | None]) -> tuple[str, ...]:
    """Say what was not the same when the specimens were tested for one thing.

    Parameters
    ----------
    each : sequence of Finding or None
        The finding of each specimen.

    Returns
    -------
    tuple of str
        Another supply first, then another limit.
    """
    told = [one for one in each if one is not None and one.outcome is not Outcome.NOT_TESTED]
    remarks = []
    if len({one.supply for one in told}) > 1:
        fed = "; ".join(
            f"specimen {number} on {one.supply or 'the mains'}"
            for number, one in enumerate(each, start=1)
            if one is not None and one in told
        )
        remarks.append(f"not taken on one supply: {fed}")
    limits = [one.limit for one in told if one.limit is not None]
    if len({(limit.id, limit.minimum, limit.nominal, limit.maximum) for limit in limits}) > 1:
        remarks.append("not judged by one limit")
    return tuple(remarks)
