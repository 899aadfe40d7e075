"""A case on a shelf: its folder is named after what is marked, and never leads elsewhere."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.casefile import open_shelf
from coldpin.errors import CaseError
from coldpin.workbench.cases import LONGEST_NAME, folder_name, new_case, new_case_on_shelf

KIND: dict[str, Any] = {"charging_mode": 2, "build": "portable", "cable": "attached"}


def test_a_second_piece_of_one_model_gets_a_number(tmp_path: Path) -> None:
    """An empty folder is shelf enough; titles are what is marked."""
    names = [new_case_on_shelf(tmp_path, make=" Skerrow ", model="16", **KIND).folder.name for _ in range(3)]
    assert names == ["skerrow-16", "skerrow-16-2", "skerrow-16-3"]
    held = open_shelf(tmp_path).cases().cases
    assert {case.description().title for case in held} == {"Skerrow 16"}


def test_a_name_of_ones_own_is_kept_or_refused(tmp_path: Path) -> None:
    """Never changed behind the back of who gave it."""
    assert new_case_on_shelf(tmp_path, name="harbour", make="Skerrow", model="16", **KIND).folder.name == "harbour"
    with pytest.raises(CaseError, match="there is a folder 'harbour' on this shelf already: choose another name"):
        new_case_on_shelf(tmp_path, name="harbour", make="Skerrow", model="16", **KIND)
    for name in ("../harbour", "Harbour", "har bour", "a/b", "-a", "..", "harbour.json"):
        with pytest.raises(CaseError, match="use small letters, digits and hyphens"):
            new_case_on_shelf(tmp_path, name=name, make="Skerrow", model="16", **KIND)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["harbour", "shelf.toml"]


@pytest.mark.parametrize("name", ["skerrow.json", "Skerrow 2.5.JSON"])
def test_a_name_that_leaves_a_case_no_page_is_refused(tmp_path: Path, name: str) -> None:
    """Its address would be that of another page's record; nothing is made."""
    with pytest.raises(CaseError, match=r"cannot be called .*'\.json' is the record of another page: choose a name"):
        new_case(tmp_path / name, make="Skerrow", model="16", **KIND)
    assert list(tmp_path.iterdir()) == []


def test_what_is_not_marked_is_asked_for(tmp_path: Path) -> None:
    """A specimen without a plate is said to have none."""
    with pytest.raises(CaseError, match="write 'unmarked' where nothing is"):
        new_case_on_shelf(tmp_path, make="Skerrow", model="  ", **KIND)
    assert list(tmp_path.iterdir()) == []


@given(st.text(max_size=200))
def test_whatever_is_marked_makes_a_plain_name(words: str) -> None:
    """Letters, digits, hyphens; not empty, not long, and a name of itself."""
    name = folder_name(words)
    assert 1 <= len(name) <= LONGEST_NAME
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert folder_name(name) == name
