"""A new case on the page: by a form, by a program, refused in words."""

from __future__ import annotations

from collections.abc import Iterator
from html import unescape
from pathlib import Path
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient

from coldpin.casefile import open_case
from coldpin.web.app import create_app
from coldpin.workbench.cases import new_case

FORM = {
    "make": "Skerrow",
    "model": "16",
    "charging_mode": "2",
    "build": "portable",
    "cable": "attached",
    "electronics": "in a box in the cable",
    "plug": "CEE 7/4",
    "serial": "2538-00417",
    "tester": "Ines",
}


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """A reader of an empty shelf."""
    with TestClient(create_app(tmp_path), base_url="http://127.0.0.1", follow_redirects=False) as reader:
        yield reader


def test_an_empty_shelf_leads_to_the_first_case(client: TestClient, tmp_path: Path) -> None:
    """A form without script is sent on to the case; what was written stands in case.toml."""
    assert 'href="/new"' in client.get("/").text
    assert "IEC 60309 plug, 16 A" in client.get("/new").text
    answer = client.post("/new", data=FORM)
    assert (answer.status_code, answer.headers["location"]) == (303, "/case/skerrow-16")
    made = open_case(tmp_path / "skerrow-16").description()
    assert (made.specimen.serial, made.claims.plug, made.tester) == ("2538-00417", "CEE 7/4", "Ines")
    assert "Skerrow 16" in client.get("/").text


def test_what_many_checks_wait_for_is_asked_with_an_example(client: TestClient, tmp_path: Path) -> None:
    """Print of the cable, its size and the country of use go into the rows that Described edits."""
    form = unescape(client.get("/new").text)
    for example in ("EV-CABLE 3G2.5 + 2X0.5 450/750 V", "2.5 mm²", "DK"):
        assert f'placeholder="{example}"' in form
    typed = {"cable_print": " EV-CABLE 3G2.5 ", "cross_section": "2.5 mm²", "country": " dk"}
    client.post("/new", data=FORM | typed)
    claims = open_case(tmp_path / "skerrow-16").description().claims
    assert (claims.cable_print, claims.cross_section, claims.country) == ("EV-CABLE 3G2.5", "2.5 mm²", "DK")
    described = unescape(client.get("/case/skerrow-16/described").text)
    for row in ("Print on the cable", "Cross-section of the power conductors", "Country of use"):
        assert f">{row}</label>" in described
        assert f">{row}</label>" in form


def test_a_program_is_told_what_was_made(client: TestClient) -> None:
    """Its folder, and the claims that checks wait for."""
    answer = client.post("/new", data=FORM, headers={"accept": "application/json"})
    assert answer.status_code == 201
    told = {"name": "skerrow-16", "title": "Skerrow 16", "not_given": ["declared_current", "rated_current"]}
    assert answer.json().items() >= told.items()
    again = client.post("/new", data=FORM, headers={"accept": "application/json"})
    assert again.json()["name"] == "skerrow-16-2"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"make": " "}, "make and model"),
        ({"build": "floating"}, "portable, fixed"),
        ({"charging_mode": "4"}, "knows 1, 2 and 3"),
        ({"plug": "CEE 7/44"}, "did you mean"),
        ({"name": "../out"}, "small letters, digits and hyphens"),
        ({"rated_current": "16 furlongs"}, "16 furlongs"),
        ({"cross_section": "2.5"}, "has no unit"),
        ({"country": "Denmark"}, "two letters of ISO 3166-1, such as DK"),
    ],
)
def test_what_cannot_be_used_is_said_and_makes_nothing(
    client: TestClient, tmp_path: Path, change: dict[str, str], said: str
) -> None:
    """Beside what was typed, where a script asks."""
    answer = client.post("/new", data=FORM | change, headers={"hx-request": "true"})
    assert 400 <= answer.status_code < 500
    assert said in answer.text
    assert not any(one.is_dir() for one in tmp_path.iterdir())


@pytest.mark.parametrize("name", ["skerrow.svg", "skerrow.csv", "skerrow.html", "skerrow 2.5"])
def test_a_case_called_like_another_file_has_its_page(client: TestClient, tmp_path: Path, name: str) -> None:
    """Of all endings only that of a record takes the place of a page, and `new` refuses it."""
    new_case(tmp_path / name, make="Skerrow", model="16", charging_mode=2, build="portable", cable="attached")
    assert "Skerrow 16" in client.get(f"/case/{quote(name)}").text
    assert client.get(f"/case/{quote(name)}.json").json()["name"] == name
