"""The instruments of a shelf: listed with how their files were read, put there, refused in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from coldpin.errors import CaseError, ConflictError, InputError
from coldpin.workbench.instruments import add_instrument, list_instruments
from tests.workbench.quay import INSTRUMENTS, fill, make_case, make_shelf


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """A shelf with two instruments."""
    return make_shelf(tmp_path / "shelf")


def test_instruments_are_listed_with_how_their_files_were_read(shelf: Path, tmp_path: Path) -> None:
    """Nothing before the first capture; then the way it was read, for the instrument it came from alone."""
    before = list_instruments(shelf)
    assert {one.name: one.instrument for one in before.instruments} == INSTRUMENTS
    assert [(one.captures, one.logs) for one in before.instruments] == [((), ())] * len(INSTRUMENTS)
    fill(make_case(shelf), tmp_path)
    ways = {one.name: dict(one.captures) for one in list_instruments(shelf).instruments}
    assert {"voltage column", "time column"} <= set(ways["scope"])
    assert ways["meter"] == {}


def test_a_way_that_cannot_be_read_is_told_and_hides_no_instrument(shelf: Path, tmp_path: Path) -> None:
    """The others are listed all the same."""
    fill(make_case(shelf), tmp_path)
    (shelf / "dialects" / "scope.json").write_text("{", encoding="utf-8")
    listed = list_instruments(shelf)
    assert [one.name for one in listed.instruments] == list(INSTRUMENTS)
    assert [problem.where for problem in listed.problems] == ["dialect of scope"]


def test_an_instrument_is_put_on_the_shelf(shelf: Path) -> None:
    """As it was given; one of the same name stays, and what cannot be read leaves the file as it was."""
    made = add_instrument(
        shelf, "tongs", title="current clamp", kind="clamp", statements={"current": "2 % + 5 digits, resolution 0.01 A"}
    )
    assert list_instruments(shelf).instruments[-1] == made
    held = (shelf / "shelf.toml").read_bytes()
    with pytest.raises(ConflictError, match="is 'current clamp' already"):
        add_instrument(shelf, "tongs", title="another", kind="clamp")
    with pytest.raises(InputError, match="nonsense"):
        add_instrument(shelf, "second", title="second clamp", kind="clamp", statements={"current": "2 % + nonsense"})
    with pytest.raises(CaseError, match="needs a name in words and a kind"):
        add_instrument(shelf, "third", title=" ", kind="clamp")
    assert (shelf / "shelf.toml").read_bytes() == held
