"""Which text a unit is judged by."""

from __future__ import annotations

import pytest

from coldpin.errors import UnknownName
from coldpin.records.case import Build, Cable, UnitClass
from coldpin.standards import Edition, default_edition, edition_title


def unit(connector: str = "type 2", edition: str = "", mode: int = 2, build: Build = Build.PORTABLE) -> UnitClass:
    """A unit with an attached cable."""
    return UnitClass(charging_mode=mode, build=build, cable=Cable.ATTACHED, connector=connector, edition=edition)


@pytest.mark.parametrize("connector", ["type 1", "Type 1", "TYPE1", "J1772", "SAE J1772"])
def test_type_1_is_judged_by_sae(connector: str) -> None:
    """The connector of SAE J1772 brings its text."""
    assert default_edition(unit(connector)) is Edition.SAE


@pytest.mark.published("scope of IEC 62752:2024: pilot function to IEC 61851-1:2017 Annex A")
@pytest.mark.parametrize(("mode", "build"), [(2, Build.PORTABLE), (3, Build.FIXED), (3, Build.PORTABLE)])
def test_everything_else_is_judged_by_the_edition_in_force(mode: int, build: Build) -> None:
    """In-cable units and wall units of type 2 have the same pilot, that of edition 3."""
    assert default_edition(unit(mode=mode, build=build)) is Edition.IEC_3


def test_the_case_has_the_last_word() -> None:
    """What the case names holds, whatever the connector."""
    assert default_edition(unit("type 1", edition="iec-2")) is Edition.IEC_2
    assert default_edition(unit("type 2", edition=" SAE ")) is Edition.SAE


def test_an_unknown_edition_lists_those_known() -> None:
    """A misspelt edition is an error."""
    with pytest.raises(UnknownName, match=r"unknown edition 'iec 3'; did you mean 'iec-3'\? Known: iec-2, iec-3, sae"):
        default_edition(unit(edition="iec 3"))


def test_each_edition_has_its_title() -> None:
    """Year and edition are in the name that is cited."""
    assert {edition_title(edition) for edition in Edition} == {
        "IEC 61851-1:2010, edition 2.0",
        "IEC 61851-1:2017, edition 3.0",
        "SAE J1772, revisions 2010-01 to 2017-10",
    }
