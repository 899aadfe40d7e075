"""One instrument of ``shelf.toml`` edited: what two people change of it is kept, every comment stays."""

from __future__ import annotations

import dataclasses
import re

import tomlkit
from tomlkit.exceptions import TOMLKitError

from coldpin.casefile.untrusted import decode_text
from coldpin.errors import CaseError, ConflictError
from coldpin.records.instrument import Instrument

_PLAIN = tuple(one.name for one in dataclasses.fields(Instrument) if one.name != "statements")
_QUOTED = re.compile(r"\"\"\".*?\"\"\"|'''.*?'''|\"(?:\\.|[^\"\\])*\"|'[^']*'", re.DOTALL)
_BARE_LINE_END = re.compile(r"(?<!\r)\n")


def merge_instrument(held: Instrument, old: Instrument, new: Instrument, *, where: str) -> Instrument:
    """Return an instrument as the file holds it, with what an editor changed of what they saw.

    Parameters
    ----------
    held : Instrument
        As it is now.
    old : Instrument
        As the editor saw it.
    new : Instrument
        As the editor wants it.
    where : str
        The file and the instrument, for a message.

    Returns
    -------
    Instrument
        What another editor changed elsewhere of it holds too.

    Raises
    ------
    ConflictError
        The file holds another value by now of what is to be changed; it stays, and both are in the message.

    Examples
    --------
    >>> seen = Instrument(name="meter", kind="multimeter")
    >>> meanwhile = dataclasses.replace(seen, serial="7")
    >>> merge_instrument(meanwhile, seen, dataclasses.replace(seen, note="lent"), where="shelf.toml").serial
    '7'
    """

    def chosen(what: str, now: str, before: str, wanted: str) -> str:
        if before == wanted or now == wanted:
            return now
        if now == before:
            return wanted
        raise ConflictError(
            f"{where}: {what} was {before!r} when the edit began and is {now!r} by now, so that {wanted!r} was not "
            "written, nor what was changed with it: load the page again and look at both"
        )

    plain = {name: chosen(name, *(getattr(one, name) for one in (held, old, new))) for name in _PLAIN}
    names = dict.fromkeys((*held.statements, *old.statements, *new.statements))
    stated = {
        name: chosen(f"accuracy of {name}", *(one.statements.get(name, "") for one in (held, old, new)))
        for name in names
    }
    return dataclasses.replace(held, **plain, statements={name: said for name, said in stated.items() if said})


def with_edited(data: bytes, name: str, held: Instrument, wanted: Instrument, *, where: str) -> bytes:
    """Return ``shelf.toml`` with one instrument changed, all else as it was.

    Parameters
    ----------
    data : bytes
        The file, known to be TOML that holds the instrument.
    name : str
        Its name on the shelf.
    held : Instrument
        As it is there.
    wanted : Instrument
        As it is to be.
    where : str
        The file, for a message.

    Returns
    -------
    bytes
        The new file; whether it says what it should is for the caller to look at.

    Raises
    ------
    CaseError
        A comment would be lost, or the instrument is written in a way that cannot be changed in its place.
    """
    text = decode_text(data, where=where)
    try:
        document = tomlkit.parse(text)
        if tomlkit.dumps(document) != text:
            raise CaseError(by_hand(where, name, "other lines would be moved"))
        _change(document["instruments"][name], held, wanted)
        changed = tomlkit.dumps(document)
    except (TOMLKitError, KeyError, TypeError, ValueError, AttributeError) as error:
        raise CaseError(by_hand(where, name, str(error))) from error
    if _comments(changed) < _comments(text):
        raise CaseError(by_hand(where, name, "a comment beside it would be lost"))
    if _BARE_LINE_END.search(text) is None:
        changed = _BARE_LINE_END.sub("\r\n", changed)
    return changed.encode()


def by_hand(where: str, name: str, why: str) -> str:
    """Say that an instrument has to be changed in the file, which is named.

    Parameters
    ----------
    where : str
        The file.
    name : str
        The instrument.
    why : str
        What keeps it from being changed here.

    Returns
    -------
    str
        The message.
    """
    return f"instrument {name!r} cannot be changed in its place ({why}): edit {where} by hand"


def _change(table: tomlkit.items.Table, held: Instrument, wanted: Instrument) -> None:
    for field in _PLAIN:
        if getattr(held, field) != getattr(wanted, field):
            table[field] = getattr(wanted, field)
    if "statements" not in table and wanted.statements:
        table["statements"] = tomlkit.table()
    stated = table.get("statements", {})
    for measured in [one for one in stated if one not in wanted.statements]:
        del stated[measured]
    for measured, said in wanted.statements.items():
        if stated.get(measured) != said:
            stated[measured] = said


def _comments(text: str) -> int:
    return _QUOTED.sub("", text).count("#")
