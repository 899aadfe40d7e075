"""Files that wait to be filed: each under a plain name in a folder of its own, read by nobody, gone when filed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.casefile import open_case
from coldpin.casefile.arrivals import arrivals, arrived_name, find_arrival, new_arrival
from coldpin.errors import CaseError, UnknownName
from coldpin.web.standing import mark_of
from tests.workbench.quay import make_case, make_shelf


def put(case: Path, *files: tuple[str, bytes]) -> str:
    """Let files arrive; return under what name they wait."""
    arrival = new_arrival(case)
    for name, content in files:
        with arrival.new_file(name) as file:
            file.write(content)
    return arrival.arrived().token


@given(name=st.text())
def test_any_name_becomes_one_of_a_file_in_this_folder(name: str) -> None:
    """No stroke, no leading dot, no control character, not empty, short enough for every file system."""
    kept = arrived_name(name)
    assert kept == Path(kept).name
    assert kept not in ("", ".", "..")
    assert not kept.startswith(".")
    assert kept.isprintable() or not any(ord(letter) < 0x20 for letter in kept)
    assert len(kept.encode()) <= 150
    assert arrived_name(kept) == kept


def test_what_arrives_waits_and_says_what_was_said_of_it(tmp_path: Path) -> None:
    """Two of one name are both there; with the last file the whole of it goes."""
    token = put(tmp_path, ("steps.csv", b"1"), ("steps.csv", b"2"), (".hidden", b"3"))
    arrival = find_arrival(tmp_path, token)
    assert arrival.names() == ("hidden", "steps-2.csv", "steps.csv")
    assert arrival.file("steps-2.csv").read_bytes() == b"2"
    assert arrival.said() == {}
    arrival.say({"who": ("Ines",), "reading": ("1 V", "2 V")})
    assert arrival.said() == {"who": ("Ines",), "reading": ("1 V", "2 V")}
    arrival.drop("steps.csv", "hidden")
    assert [one.token for one in arrivals(tmp_path)] == [token]
    arrival.drop("steps-2.csv")
    assert arrivals(tmp_path) == ()
    assert not arrival.folder.exists()


@pytest.mark.parametrize("name", ["../said.json", "steps.csv/..", "nothing", ""])
def test_only_what_arrived_is_given_out(tmp_path: Path, name: str) -> None:
    """A name is looked up among those there are, never joined to a path."""
    arrival = find_arrival(tmp_path, put(tmp_path, ("steps.csv", b"1")))
    with pytest.raises(UnknownName, match=r"steps\.csv"):
        arrival.file(name)


@pytest.mark.parametrize("token", ["", "..", "0123456789abcdef", "files"])
def test_what_does_not_wait_is_told(tmp_path: Path, token: str) -> None:
    """It was filed or put away."""
    put(tmp_path, ("steps.csv", b"1"))
    with pytest.raises(UnknownName, match="they were filed or put away"):
        find_arrival(tmp_path, token)


def test_what_was_said_must_be_ours(tmp_path: Path) -> None:
    """A file that somebody wrote there by hand is refused with what to do."""
    arrival = find_arrival(tmp_path, put(tmp_path, ("steps.csv", b"1")))
    (arrival.folder / "said.json").write_text('{"who": "Ines"}', encoding="utf-8")
    with pytest.raises(CaseError, match="put them away and bring them again"):
        arrival.said()


def test_an_assessment_does_not_see_what_waits(tmp_path: Path) -> None:
    """A case is as it was until something is filed."""
    case = make_case(make_shelf(tmp_path / "shelf"))
    before = mark_of(case)
    put(case, ("steps.csv", b"1"))
    assert mark_of(case) == before


def test_a_link_in_the_place_of_arrivals_is_not_followed(tmp_path: Path) -> None:
    """Neither to write nor to read."""
    case, elsewhere = tmp_path / "case", tmp_path / "elsewhere"
    (case / "cache").mkdir(parents=True)
    elsewhere.mkdir()
    (case / "cache" / "arrived").symlink_to(elsewhere)
    with pytest.raises(CaseError):
        new_arrival(case)
    assert arrivals(case) == ()
    assert list(elsewhere.iterdir()) == []


def test_a_link_among_what_arrived_leads_nowhere(tmp_path: Path) -> None:
    """A case that somebody sent may hold one; what it leads to is none of its files."""
    arrival = find_arrival(tmp_path, put(tmp_path, ("steps.csv", b"1")))
    secret = tmp_path / "secret.txt"
    secret.write_text("not of the case", encoding="utf-8")
    (arrival.place / "picture.png").symlink_to(secret)
    assert arrival.names() == ("steps.csv",)
    with pytest.raises(UnknownName):
        arrival.file("picture.png")
    arrival.file("steps.csv").unlink()
    assert arrivals(tmp_path) == ()


def test_what_a_stopped_server_left_is_not_taken_for_whole(tmp_path: Path) -> None:
    """It does not wait, and is cleared a day later; what waits stays."""
    folder = make_case(make_shelf(tmp_path / "shelf"))
    token = put(folder, ("whole.csv", b"1"))
    half = new_arrival(folder)
    with half.new_file("half.csv") as file:
        file.write(b"1")
    assert [one.token for one in arrivals(folder)] == [token]
    case = open_case(folder)
    case.clear_leftovers(now=datetime.now(UTC))
    assert half.folder.is_dir()
    case.clear_leftovers(now=datetime.now(UTC) + timedelta(days=2))
    assert not half.folder.exists()
    assert [one.token for one in arrivals(folder)] == [token]
