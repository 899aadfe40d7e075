"""Making a case: its folder, its class, what is claimed of the specimen."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from coldpin.casefile import Case, create_case, create_shelf
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
from coldpin.workbench.claims import check_claims


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
        The folder exists, a claim cannot be read, or a word is not one of those allowed.
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
