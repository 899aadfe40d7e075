"""``case.toml`` edited by what a person types, each edit with what it began from: nothing unseen is written over."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coldpin.casefile import Case, open_case
from coldpin.casefile.description import CASE_FILE
from coldpin.casefile.rows import RowChange, place_of
from coldpin.conclusion.scenarios import check_estimate, check_own_severity
from coldpin.conclusion.uses import read_use
from coldpin.errors import CaseError, ConflictError, InputError, UnknownName
from coldpin.records.case import CaseDescription, ConditionOfUse
from coldpin.records.described import Conflict, Described, DescribedField, DescribedList, FieldKind
from coldpin.records.plain import from_plain, to_plain
from coldpin.standards.book import load_book
from coldpin.workbench.claims import check_claims
from coldpin.workbench.clock import now
from coldpin.workbench.describing import as_seen, described, fields_of, heading, list_of
from coldpin.workbench.opening import edition_for
from coldpin.workbench.risk import read_chance


@dataclass(frozen=True, slots=True, kw_only=True)
class RowEdit:
    """One row of a list of ``case.toml``, as it was seen and as it is wanted.

    Parameters
    ----------
    key : str
        Name of the list, such as ``"estimates"``.
    old : str
        The row as the editor saw it, as :class:`~coldpin.records.described.DescribedRow` holds it; empty to add one.
    new : mapping or None
        The row wanted, as a person types its values; None to take it out.
    """

    key: str
    old: str
    new: Mapping[str, str] | None


def edit_case(folder: Path | str, key: str, old: str, new: str, *, who: str = "") -> DescribedField | Conflict:
    """Change one value of ``case.toml`` if it still is what the editor saw.

    Parameters
    ----------
    folder : Path or str
        The case.
    key : str
        Dotted key, such as ``"specimen.serial"``.
    old, new : str
        What the editor saw and what is wanted, as a person types them.
    who : str
        Who edits; the tester of the case where empty.

    Returns
    -------
    DescribedField or Conflict
        The field as it is now; or both values, where the file holds another by now.

    Raises
    ------
    UnknownName
        There is no such key.
    CaseError
        What is wanted cannot be read, or the file would not be valid with it; nothing was changed.
    StorageError
        The disk refused; nothing was changed.
    """
    case = open_case(folder)
    before = case.description()
    field = _found(described(before), key)
    wanted = _read(field, new)
    _refuse(before, _with(before, key, wanted))
    try:
        after = case.edit(key, _read(field, old), wanted, who=who or before.tester, now=now())
    except ConflictError as error:
        held = _found(described(case.description()), key)
        return Conflict(key=key, words=field.words, now=held.text, wanted=new, seen=held.text, told=str(error))
    return _found(described(after), key)


def edit_case_row(
    folder: Path | str, key: str, old: str, new: Mapping[str, str] | None, *, who: str = ""
) -> DescribedList | Conflict:
    """Add, change or take out one row of a list of ``case.toml`` if it still is what the editor saw.

    Parameters
    ----------
    folder : Path or str
        The case.
    key : str
        Name of the list, such as ``"estimates"``.
    old : str
        The row as the editor saw it, as :class:`~coldpin.records.described.DescribedRow` holds it; empty to add one.
    new : mapping or None
        The row wanted, as a person types its values; None to take it out.
    who : str
        Who edits; the tester of the case where empty.

    Returns
    -------
    DescribedList or Conflict
        The list as it is now; or both rows, where the file holds another by now.

    Raises
    ------
    UnknownName
        There is no such list.
    CaseError
        What is wanted cannot be read, or the file would not be valid with it; nothing was changed.
    StorageError
        The disk refused; nothing was changed.
    """
    return edit_case_rows(folder, (RowEdit(key=key, old=old, new=new),), who=who)


def edit_case_rows(folder: Path | str, edits: Sequence[RowEdit], *, who: str = "") -> DescribedList | Conflict:
    """Edit rows of lists of ``case.toml`` that belong together: all of them, if each still is what was seen, or none.

    Parameters
    ----------
    folder : Path or str
        The case.
    edits : sequence of RowEdit
        One or more, done in their order.
    who : str
        Who edits; the tester of the case where empty.

    Returns
    -------
    DescribedList or Conflict
        The list of the last edit as it is now; or both rows, where the file holds another by now.

    Raises
    ------
    UnknownName
        There is no such list.
    CaseError
        What is wanted cannot be read, or the file would not be valid with it; nothing was changed.
    StorageError
        The disk refused; nothing was changed.
    """
    case = open_case(folder)
    before = case.description()
    changes = tuple(_change(edit) for edit in edits)
    wanted = before
    for change in changes:
        if change.new is not None:
            wanted = _with_row(wanted, change.key, change.new, change.old)
    _refuse(before, wanted)
    try:
        after = case.edit_rows(*changes, who=who or before.tester, now=now())
    except ConflictError as error:
        return _conflict(case, changes, str(error))
    last = changes[-1].key
    return list_of(last, to_plain(after)[last])


def _change(edit: RowEdit) -> RowChange:
    fields_of(edit.key)  # refuses a list that there is not
    seen = _seen(edit.old, edit.key) if edit.old else None
    wanted = None if edit.new is None else read_row(edit.key, edit.new, seen)
    return RowChange(key=edit.key, old=seen, new=wanted)


def _conflict(case: Case, changes: Sequence[RowChange], told: str) -> Conflict:
    """Say which of the changes met another row than was seen, and what stands there by now."""
    held = to_plain(case.description())
    changed = (one for one in changes if one.old is not None and place_of(held[one.key], one.old, one.new) is None)
    met = next(changed, changes[0])
    seen = met.old or {}
    name = next(iter(seen), "")
    near = [row for row in held[met.key] if seen and row[name] == seen[name]]
    there = near[0] if len(near) == 1 else None
    return Conflict(
        key=met.key,
        words=heading(met.key),
        now="" if there is None else _typed(met.key, there),
        wanted="" if met.new is None else _typed(met.key, met.new),
        seen="" if there is None else as_seen(there),
        told=told,
    )


def read_row(key: str, typed: Mapping[str, str], seen: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Read a row of a list as a person typed it.

    Parameters
    ----------
    key : str
        Name of the list.
    typed : mapping
        Text of each field; one left out is empty.
    seen : mapping, optional
        The row that it began from: what it holds may stay, whatever it is.

    Returns
    -------
    dict
        Its values.

    Raises
    ------
    UnknownName
        There is no such list or field.
    CaseError
        A field cannot be read.

    Examples
    --------
    >>> read_row("severities", {"scenario": "plug-burns", "severity": "3", "source": "x"})["severity"]
    3
    """
    fields = fields_of(key, seen)
    unknown = [name for name in typed if name not in {field.key for field in fields}]
    if unknown:
        raise UnknownName.among(f"field of {key}", unknown[0], [field.key for field in fields])
    return {field.key: _read(field, typed.get(field.key, "")) for field in fields}


def _seen(text: str, key: str) -> dict[str, Any]:
    try:
        row = json.loads(text)
    except ValueError as error:
        raise CaseError(f"{key}: the row that the edit began from cannot be read: load the page again") from error
    if not isinstance(row, dict):
        raise CaseError(f"{key}: the row that the edit began from is none: load the page again")
    return row


def _found(told: Described, key: str) -> DescribedField:
    by_key = {field.key: field for part in told.parts for field in part.fields}
    if key not in by_key:
        raise UnknownName.among("key", key, by_key)
    return by_key[key]


def _typed(key: str, row: Mapping[str, Any]) -> str:
    fields = fields_of(key, row)
    return "\n".join(f"{field.words}: {', '.join(field.text.splitlines())}" for field in fields if field.text)


def _read(field: DescribedField, text: str) -> Any:
    """Read a field as a person typed it."""
    typed = "\n".join(text.splitlines()).strip()
    match field.kind:
        case FieldKind.LINES:
            return [line.strip() for line in typed.splitlines() if line.strip()]
        case FieldKind.CHANCE:
            return _number(field, typed, read_chance)
        case FieldKind.NUMBER:
            return None if not typed else _number(field, typed, lambda said: float(said.replace("−", "-")))
        case FieldKind.WHOLE:
            return int(_number(field, typed, int))
        case FieldKind.CHOICE:
            if typed not in field.choices and typed != field.text and not field.titles:
                raise CaseError(f"{field.words}: {typed!r} is none of {', '.join(filter(None, field.choices))}")
            return int(typed) if field.choices[-1].isdecimal() and typed.isdecimal() else typed
        case _:
            return typed


def _number(field: DescribedField, typed: str, read: Callable[[str], float]) -> float:
    try:
        return read(typed)
    except InputError as error:
        raise CaseError(f"{field.words}: {error}") from error
    except ValueError as error:
        raise CaseError(f"{field.words}: {typed!r} is no number: write it as 0.3") from error


def _with(held: CaseDescription, key: str, value: Any) -> CaseDescription:
    plain = to_plain(held)
    table, _, name = key.rpartition(".")
    (plain[table] if table else plain)[name] = value
    return from_plain(CaseDescription, plain, where=CASE_FILE)


def _with_row(
    held: CaseDescription, key: str, wanted: Mapping[str, Any], seen: Mapping[str, Any] | None
) -> CaseDescription:
    plain = to_plain(held)
    rows = plain[key]
    if seen is None:
        rows.append(dict(wanted))
    elif (place := place_of(rows, seen, wanted)) is not None:
        rows[place] |= {name: value for name, value in wanted.items() if value != seen.get(name)}
    return from_plain(CaseDescription, plain, where=CASE_FILE)


def _refuse(before: CaseDescription, after: CaseDescription) -> None:
    """Refuse a change after which something could not be used that can be used now."""
    known = set(_unusable(before))
    for told in _unusable(after):
        if told not in known:
            raise CaseError(told)


def _unusable(case: CaseDescription) -> tuple[str, ...]:
    """Say what of a description could not be used by an assessment."""
    book = load_book()
    told: list[str] = []

    def tried(make: Callable[[], object]) -> None:
        try:
            make()
        except InputError as error:
            told.append(str(error))

    def reads(condition: ConditionOfUse) -> Callable[[], object]:
        return lambda: read_use(book, condition)

    tried(lambda: check_claims(case.claims))
    tried(lambda: edition_for(case))
    tried(lambda: book.with_own(case.constants))
    for condition in case.conditions_of_use:
        tried(reads(condition))
    for estimate in case.estimates:
        tried(lambda one=estimate: check_estimate(one))  # type: ignore[misc]  # bound at once
    for severity in case.severities:
        tried(lambda one=severity: check_own_severity(one))  # type: ignore[misc]  # bound at once
    return tuple(told)
