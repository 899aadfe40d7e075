"""Making a case: its folder, its class, what is claimed of the specimen."""

from __future__ import annotations

import itertools
import os
import re
import unicodedata
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from coldpin.casefile import Case, create_case, create_shelf, open_shelf
from coldpin.errors import CaseError
from coldpin.records.case import (
    CASE_FORMAT,
    Build,
    Cable,
    CaseDescription,
    Claims,
    Electronics,
    Specimen,
    UnitClass,
)
from coldpin.standards.book import load_book
from coldpin.workbench.claims import check_claims

TWIN = ".json"
"""What the address of a page ends in where its record is asked for; a case of such a name has no page of its own."""


def new_case(
    folder: Path | str,
    *,
    make: str,
    model: str,
    charging_mode: int,
    build: Build | str,
    cable: Cable | str,
    electronics: Electronics | str = Electronics.UNKNOWN,
    phases: int = 1,
    connector: str = "type 2",
    title: str = "",
    tester: str = "",
    question: str = "",
    claims: Claims | None = None,
    specimen: Specimen | None = None,
) -> Case:
    """Make the folder of a case; its class picks standards, limits and checks.

    The folder around it becomes a shelf where it is none yet: ``shelf.toml`` is where instruments are written down.

    Parameters
    ----------
    folder : Path or str
        Where; it must not exist yet.
    make, model : str
        As marked on the specimen.
    charging_mode : int
        1, 2 or 3 of IEC 61851-1. [1]
    build : Build or str
        "portable" or "fixed".
    cable : Cable or str
        "attached" or "detachable".
    electronics : Electronics or str
        Where they sit, so far as can be told from outside.
    phases : int
        1 or 3. [1]
    connector : str
        "type 1" or "type 2".
    title : str
        Of the case; make and model where empty.
    tester : str
        Who tests.
    question : str
        What the case is to answer.
    claims : Claims, optional
        What plate, papers and listing say.
    specimen : Specimen, optional
        More on the specimen than make and model.

    Returns
    -------
    Case
        The new case.

    Raises
    ------
    UnknownName
        The plug is not in the table.
    CaseError
        The folder exists, its name leaves it no page, a claim cannot be read, or a word is not one of those allowed.
    StorageError
        The disk refused.
    """
    try:
        unit = UnitClass(
            charging_mode=charging_mode,
            build=Build(build),
            cable=Cable(cable),
            electronics=Electronics(electronics),
            phases=phases,
            connector=connector,
        )
    except ValueError as error:
        allowed = "; ".join(
            f"{kind.__name__.lower()}: {', '.join(word.value for word in kind)}" for kind in (Build, Cable, Electronics)
        )
        raise CaseError(f"class of the unit: {error}. Allowed: {allowed}") from error
    if charging_mode not in (1, 2, 3):
        raise CaseError(f"charging mode {charging_mode}: IEC 61851-1 knows 1, 2 and 3 for alternating current")
    if phases not in (1, 3):
        raise CaseError(f"{phases} phases: write 1 or 3")
    check_claims(claims or Claims())
    name = Path(folder).absolute().name
    if name.casefold().endswith(TWIN):
        raise CaseError(
            f"the folder cannot be called {name!r}: on the page of the shelf an address that ends in "
            f"'{TWIN}' is the record of another page: choose a name without it"
        )
    made = create_case(
        folder,
        CaseDescription(
            format=CASE_FORMAT,
            title=title or f"{make} {model}",
            specimen=specimen or Specimen(make=make, model=model),
            unit=unit,
            claims=claims or Claims(),
            tester=tester,
            question=question,
        ),
    )
    with suppress(CaseError):  # it is a shelf already
        create_shelf(made.folder.parent, made.folder.parent.name)
    return made


CLAIMS_ASKED = ("plug", "declared_current", "rated_current")
"""The claims on which the first checks hang; a case without them is asked for them."""

LONGEST_NAME = 60
"""Ours: a folder's name that is still read at a glance, with room for a number behind it."""


def new_case_on_shelf(shelf: Path | str, *, name: str = "", make: str, model: str, **given: Any) -> Case:
    """Make a case on a shelf, in a folder named after make and model where it is given no name.

    Parameters
    ----------
    shelf : Path or str
        The shelf's folder.
    name : str
        The folder's name: small letters, digits and hyphens; made of make and model where empty, with a number behind
        it where there is one already.
    make, model : str
        As marked on the specimen.
    **given
        As :func:`new_case` takes it.

    Returns
    -------
    Case
        The new case.

    Raises
    ------
    UnknownName
        The plug is not in the table.
    CaseError
        The shelf is none, the name cannot be used or is taken, or a word is not one of those allowed.
    StorageError
        The disk refused.
    """
    place = open_shelf(shelf).folder
    if not make.strip() or not model.strip():
        raise CaseError("a case needs make and model, as marked on the specimen: write 'unmarked' where nothing is")
    if name and name != folder_name(name):
        raise CaseError(f"the folder cannot be called {name[:LONGEST_NAME]!r}: use small letters, digits and hyphens")
    if name and os.path.lexists(place / name):
        raise CaseError(f"there is a folder {name!r} on this shelf already: choose another name")
    wanted = name or folder_name(f"{make} {model}")
    free = (one for one in _numbered(wanted) if not os.path.lexists(place / one))
    return new_case(place / next(free), make=make.strip(), model=model.strip(), **given)


def plug_words() -> tuple[tuple[str, str], ...]:
    """Return the plugs that a claim may name, each with what the table calls it.

    Returns
    -------
    tuple of tuple of str and str
        Word and title, in the order of the table.

    Examples
    --------
    >>> dict(plug_words())["CEE 7/4"]
    'CEE 7/4 plug (Schuko, type F), 250 V'
    """
    return tuple((row.words("words")[0], row.limit.title) for row in load_book().under("plug."))


def folder_name(words: str) -> str:
    """Return a name for a folder that every system takes, made of words as they are marked.

    Parameters
    ----------
    words : str
        Such as make and model.

    Returns
    -------
    str
        Small letters, digits and hyphens; "case" where nothing of it is left.

    Examples
    --------
    >>> folder_name("Skerrow 16"), folder_name("Føhn & Söhne  EV/32 A"), folder_name("充电")
    ('skerrow-16', 'f-hn-sohne-ev-32-a', 'case')
    """
    letters = "".join(one for one in unicodedata.normalize("NFKD", words) if not unicodedata.combining(one))
    kept = re.sub(r"[^a-z0-9]+", "-", letters.casefold())
    return kept.strip("-")[:LONGEST_NAME].strip("-") or "case"


def _numbered(name: str) -> Iterator[str]:
    yield name
    for number in itertools.count(2):
        yield f"{name}-{number}"
