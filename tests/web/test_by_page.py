"""Where a message names a command, the page names what it has itself."""

from __future__ import annotations

import ast
import inspect
import re
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient

from coldpin.casefile import description, shelf
from coldpin.checks import plug_practice
from coldpin.conclusion import next_test
from coldpin.records.vocabulary import VOCABULARY
from coldpin.report import simulator_sheet
from coldpin.web.app import create_app
from coldpin.web.remedies import COMMANDS, by_page
from coldpin.workbench import bench_plan, observing, replies, same_recording
from tests.web.page_words import said_elsewhere

COMMAND = re.compile(r"coldpin [a-z]+")
MODULES = (
    next_test,
    bench_plan,
    observing,
    replies,
    same_recording,
    description,
    plug_practice,
    shelf,
    simulator_sheet,
)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_that_is_replaced_stands_in_a_message(command: str) -> None:
    """A message that is worded anew takes its line here along."""
    texts = [text for module in MODULES for text in constants(module)]
    assert any(command in text.replace("\n", " ") for text in texts)
    assert not COMMAND.search(by_page(command))


def test_a_message_without_command_stays() -> None:
    """What the page has no button for is told as it is."""
    assert by_page("fetch it again: 'coldpin demo'") == "fetch it again: 'coldpin demo'"


def test_a_word_behind_the_name_of_the_file_that_heads_nothing_there_is_of_the_sentence() -> None:
    """A place is named once."""
    told = by_page("Under [claims] in case.toml, with its unit")
    assert told == "Under 'What is claimed' on the page Described, with its unit"


def constants(module: ModuleType) -> list[str]:
    """Return all texts in the source of a module."""
    tree = ast.parse(inspect.getsource(module))
    return [one.value for one in ast.walk(tree) if isinstance(one, ast.Constant) and isinstance(one.value, str)]


PROGRAM = {"accept": "application/json"}
CASE = "/case/skerrow-16"
UNIT = {
    "make": "Pellwick",
    "model": "10",
    "charging_mode": "2",
    "build": "portable",
    "cable": "attached",
    "electronics": "unknown",
}
READING = {"who": "Ines", "reading": "52 mΩ"}


@pytest.fixture(scope="module")
def client(quay: Path) -> Iterator[TestClient]:
    """A hand at the shelf of all tests of the page, that gets everything wrong."""
    with TestClient(create_app(quay), base_url="http://127.0.0.1") as reader:
        yield reader


REFUSED = [
    ("/new", {"make": "Pellwick"}),
    ("/new", UNIT | {"plug": "Schuco"}),
    ("/new", UNIT | {"rated_current": "sixteen"}),
    (f"{CASE}/record/earth%20resistance", {}),
    (f"{CASE}/record/earth%20resistance", READING | {"instrument": "the blue one"}),
    (f"{CASE}/record/earth%20resistance", READING | {"condition.lenght": "5 m"}),
    (f"{CASE}/record/earth%20resistance", READING | {"reading": "-51 mΩ ± 1 mΩ"}),
    (f"{CASE}/record/shutter%20of%20the%20socket-outlet", {"who": "Ines", "answer": "perhaps"}),
    (f"{CASE}/record/shutter%20of%20the%20socket-outlet", {"who": "Ines"}),
    (f"{CASE}/record/wiring%20map", {"who": "Ines"}),
    (f"{CASE}/record/remark", {"who": "Ines"}),
    (f"{CASE}/record/pilot%20capture", {"who": "Ines"}),
    (f"{CASE}/record/board%20drawing", {"who": "Ines"}),
    (f"{CASE}/described", {"key": "claims.plug", "old": "CEE 7/4", "new": "Schuco"}),
    (f"{CASE}/described", {"key": "claims.rated_current", "old": "16 A", "new": "sixteen"}),
    (f"{CASE}/described", {"key": "unit.edition", "old": "", "new": "iec-9"}),
    (f"{CASE}/described", {"key": "colour", "old": "", "new": "red"}),
    (f"{CASE}/plan/tick", {"line": "x.y", "who": ""}),
    (f"{CASE}/report/notice", {}),
    (f"{CASE}/uses", {"field": "name", "value": ""}),
]
"""Forms with what cannot be taken in them: empty, misspelt, of another kind."""


@pytest.mark.parametrize(("place", "typed"), REFUSED)
def test_a_refusal_is_in_the_words_of_the_page(client: TestClient, place: str, typed: dict[str, str]) -> None:
    """To a program and to a browser: no command, no option, no file, no table of a file."""
    told = client.post(place, data=typed, headers=PROGRAM)
    assert told.status_code in (404, 409, 422), told.text
    assert said_elsewhere(told.json()["error"]) == []
    shown = client.post(place, data=typed, headers={"accept": "text/html", "hx-request": "true"})
    assert shown.status_code == told.status_code
    assert said_elsewhere(shown.text) == []


@pytest.mark.parametrize(
    ("name", "content", "shows"),
    [
        ("pilot.csv", b"Time (ms);Pilot\n0;a\n1;b\n", "pilot capture"),
        ("pilot.csv", b"0,12\n1,13\n2,12\n", "pilot capture"),
        ("pilot.wav", b"RIFF\0\0\0\0WAVE", "pilot capture"),
        ("log.csv", b"0,0,299.5\n1,0,299.5\n2,150,300.1\n", "charging log"),
        ("log.csv", b"Time (s),Power\n0,3.6\n1,3.5\n", "charging log"),
        ("board.geojson", b"{}", "board drawing"),
    ],
)
def test_a_file_that_cannot_be_read_is_asked_about_in_the_words_of_the_page(
    client: TestClient, name: str, content: bytes, shows: str
) -> None:
    """Whatever its reader would have at the command line is a field of the form here."""
    place = f"{CASE}/record/{quote(shows)}"
    told = client.post(place, data={"who": "Ines"}, files={"file": (name, content)}, headers=PROGRAM)
    assert told.status_code == 422
    assert said_elsewhere(told.json()["error"]) == []


def test_what_is_said_back_is_in_the_words_of_the_page(client: TestClient) -> None:
    """Of the form of every word, and of a reading without an instrument, or by one that states nothing of it."""
    for word in VOCABULARY:
        shown = client.post(f"{CASE}/record/{quote(word)}/understood", data={"reading": "1 V"})
        assert (shown.status_code, said_elsewhere(shown.text)) == (200, []), word
    for instrument in ("", "scope"):
        typed = READING | {"instrument": instrument}
        shown = client.post(f"{CASE}/record/earth%20resistance/understood", data=typed)
        assert "Remark: " in shown.text
        assert said_elsewhere(shown.text) == []


@pytest.mark.parametrize("place", ["/new", f"{CASE}/described", f"{CASE}/record/earth%20resistance", "/instruments"])
def test_the_helps_of_forms_are_in_the_words_of_the_page(client: TestClient, place: str) -> None:
    """Their hints, and what is told beside them; Described may say once whose fields these are."""
    text = client.get(place).text.replace('<span class="ref">case.toml</span>', "")
    assert said_elsewhere(text) == []


def test_a_plug_is_chosen_in_the_description_by_what_it_is_called(client: TestClient) -> None:
    """As on the form of a new case."""
    text = client.get(f"{CASE}/described").text
    assert '<option value="CEE 7/4" selected>CEE 7/4 plug (Schuko, type F), 250 V</option>' in text
    assert '<option value="">not said</option>' in text


@pytest.mark.parametrize(
    ("by_hand", "on_page"),
    [
        ("the pilot: --voltage 'A 1', --voltage CH2; or", "the pilot: choose 'voltage' 'A 1' or CH2; or"),
        ("a second one can be named with --output. With", "a second one can be named under 'output'. With"),
        ("add: --voltage 'A 1' --output CH2", "choose 'voltage' 'A 1' and 'output' CH2"),
        (
            "say --date-order dmy (3 April), --date-order mdy (4 March)",
            "say 'date order' dmy (3 April) or mdy (4 March)",
        ),
        (
            "9 columns: --voltage a, --voltage b, --voltage c and 6 more",
            "9 columns: choose 'voltage' a, b or c and 6 more",
        ),
    ],
)
def test_what_can_be_chosen_is_said_as_the_choices_of_a_form(by_hand: str, on_page: str) -> None:
    """The field once, with its values, where the command line says each option in full."""
    assert by_page(by_hand) == on_page
