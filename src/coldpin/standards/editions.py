"""Which text a unit is judged by: two editions of IEC 61851-1, or SAE J1772."""

from __future__ import annotations

from enum import StrEnum

from coldpin.errors import UnknownName
from coldpin.records.case import UnitClass


class Edition(StrEnum):
    """The text whose pilot a unit is judged by."""

    IEC_2 = "iec-2"
    IEC_3 = "iec-3"
    SAE = "sae"


_SAE_CONNECTORS = ("type1", "j1772", "saej1772")

_TITLES = {
    Edition.IEC_2: "IEC 61851-1:2010, edition 2.0",
    Edition.IEC_3: "IEC 61851-1:2017, edition 3.0",
    Edition.SAE: "SAE J1772, revisions 2010-01 to 2017-10",
}


def edition_title(edition: Edition) -> str:
    """Return the name of the text, with year and edition.

    Parameters
    ----------
    edition : Edition
        The edition.

    Returns
    -------
    str
        The name as it is cited.

    Examples
    --------
    >>> edition_title(Edition.IEC_3)
    'IEC 61851-1:2017, edition 3.0'
    """
    return _TITLES[edition]


def default_edition(unit: UnitClass) -> Edition:
    """Return the edition a unit is judged by.

    The edition that the case names holds. Where it names none, the vehicle connector decides, because the connector
    is what the lead is sold for: type 1 is the connector of SAE J1772, whose revisions define its pilot; every other
    connector belongs to IEC 62196-2, whose pilot is that of IEC 61851-1, and there the edition in force, 3.0. Mode and
    build do not change this: IEC 62752:2024 for in-cable units takes the pilot of IEC 61851-1:2017 Annex A as well.
    Edition 2.0 is used only where a case asks for it, such as for a plate that claims the 2010 standard.

    Parameters
    ----------
    unit : UnitClass
        The class of the unit, from the case.

    Returns
    -------
    Edition
        The edition.

    Raises
    ------
    UnknownName
        The case names an edition that is not known.

    Examples
    --------
    >>> from coldpin.records.case import Build, Cable
    >>> unit = UnitClass(charging_mode=2, build=Build.PORTABLE, cable=Cable.ATTACHED, connector="type 1")
    >>> default_edition(unit)
    <Edition.SAE: 'sae'>
    """
    named = unit.edition.strip().casefold()
    if named:
        if named not in set(Edition):
            raise UnknownName.among("edition", unit.edition, [edition.value for edition in Edition])
        return Edition(named)
    return Edition.SAE if "".join(unit.connector.casefold().split()) in _SAE_CONNECTORS else Edition.IEC_3
