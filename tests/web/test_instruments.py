"""The page of the instruments: what is refused in words, what a program sends and gets, two tabs at one instrument."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from coldpin.casefile import open_shelf
from coldpin.web.app import create_app
from coldpin.workbench import record
from tests.workbench.quay import make_case, make_shelf

PROGRAM = {"accept": "application/json"}
TONGS = {"name": "tongs", "title": "current clamp", "kind": "clamp"}


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """A shelf whose meter was read in one case."""
    made = make_shelf(tmp_path / "shelf")
    record(make_case(made), shows="earth resistance", who="Ines", readings=("52 mΩ",), instrument="meter")
    return made


@pytest.fixture
def client(shelf: Path) -> Iterator[TestClient]:
    """A program that reads and edits it."""
    with TestClient(create_app(shelf), base_url="http://127.0.0.1") as reader:
        yield reader


def change(client: TestClient, page: dict[str, Any], **more: str) -> tuple[int, dict[str, Any]]:
    """Send the form of an instrument as a page showed it, with what is changed."""
    held = page["one"]["instrument"]
    form = {"seen": page["seen"], "title": held["name"]} | {name: held[name] for name in ("kind", "serial", "note")}
    stated = {"measured": list(held["statements"]), "stated": list(held["statements"].values())}
    answer = client.post("/instruments/meter", data={**form, **stated, **more}, headers=PROGRAM)
    return answer.status_code, answer.json()


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"statements": "Ohms: 1 %"}, "did you mean 'resistance'? Known: bandwidth, capacitance, current, "),
        ({"measured": "DC voltage", "stated": "1 %"}, "did you mean 'voltage'?"),
        ({"measured": "", "stated": "1 %"}, "choose what it is the accuracy of"),
        ({"measured": ["voltage", "voltage"], "stated": ["1 %", "2 %"]}, "accuracy of 'voltage' stands twice"),
        ({"calibrated": "2026-13-45"}, "there is no such day: write year, month and day, such as 2026-01-20"),
        ({"calibrated": "20.1.2026"}, "write year, month and day, such as 2026-01-20"),
        ({"calibrated": "2999-01-01"}, "is yet to come: today is "),
    ],
)
def test_what_cannot_be_used_of_an_instrument_is_refused_in_one_message(
    client: TestClient, shelf: Path, sent: dict[str, Any], told: str
) -> None:
    """And nothing is written."""
    held = (shelf / "shelf.toml").read_bytes()
    answer = client.post("/instruments", data=TONGS | sent, headers=PROGRAM)
    assert (answer.status_code, answer.json()["error"].count(told)) == (422, 1)
    assert (shelf / "shelf.toml").read_bytes() == held


def test_a_name_typed_with_capitals_is_the_one_that_is_asked_for(client: TestClient, shelf: Path) -> None:
    """As the page itself writes it."""
    assert client.post("/instruments", data=TONGS | {"statements": "Current: 2 %"}, headers=PROGRAM).status_code == 201
    assert dict(open_shelf(shelf).instrument("tongs").statements) == {"current": "2 %"}


def test_what_the_file_holds_is_said_and_can_be_put_right(client: TestClient, shelf: Path) -> None:
    """The day as words, the name among the choices; left as they are they stay, and another thing is changed."""
    path = shelf / "shelf.toml"
    old = path.read_text(encoding="utf-8")
    dated = old.replace('\nkind = "multimeter"', '\nkind = "multimeter"\ncalibrated = "20.1.2026"')
    path.write_text(dated.replace("\nresistance =", "\nOhms ="), encoding="utf-8")
    told = [one["what"] for one in client.get("/instruments.json").json()["problems"]]
    assert [said.partition(" '")[0] for said in told] == ["instrument", "instrument"]
    assert "did you mean 'resistance'?" in told[0]
    assert "'20.1.2026'" in told[1]
    shown = client.get("/instruments/meter").text
    assert 'name="calibrated" autocomplete="off" value="20.1.2026"' in shown
    assert "<option selected>Ohms</option>" in shown

    page = client.get("/instruments/meter.json").json()
    status, made = change(client, page, note="lent", calibrated="20.1.2026")
    assert (status, made["instrument"]["note"], made["instrument"]["calibrated"]) == (200, "lent", "20.1.2026")
    assert "Ohms" in made["instrument"]["statements"]


def test_two_tabs_at_one_instrument_keep_both_or_the_second_is_told(client: TestClient, shelf: Path) -> None:
    """Both forms were opened before either was sent."""
    page = client.get("/instruments/meter.json").json()
    assert change(client, page, serial="7")[0] == 200
    assert change(client, page, note="lent")[0] == 200
    status, told = change(client, page, serial="8")
    assert (status, "is '7' by now, so that '8' was not written" in told["error"]) == (409, True)
    held = open_shelf(shelf).instrument("meter")
    assert (held.serial, held.note) == ("7", "lent")


def test_the_page_of_an_instrument_says_what_a_change_affects(client: TestClient) -> None:
    """Its twin too; of one that nothing was read with it says so."""
    page = client.get("/instruments/meter.json").json()
    assert [(use["case"], use["entries"]) for use in page["uses"]] == [("skerrow-16", 1)]
    assert "What was issued stays as it was issued." in client.get("/instruments/meter").text
    assert "no finding is moved" in client.get("/instruments/scope").text
    assert client.get("/instruments/nothing").status_code == 404
    status, told = change(client, page, stated="1 %", measured="voltage")
    assert (status, "under a new name" in told["error"]) == (422, True)


def test_the_question_of_a_reading_beyond_its_range_stays_with_it(client: TestClient, shelf: Path) -> None:
    """On its row, on its page and in both twins, until the entry is corrected; other rows ask nothing."""
    form = TONGS | {"name": "milliohm", "measured": "resistance", "stated": "0.5 % + 2 digits on 2 Ω, resolution 1 mΩ"}
    client.post("/instruments", data=form, headers=PROGRAM)
    case = "/case/skerrow-16"
    reading = {"who": "Ines", "reading": "110 Ω", "instrument": "milliohm"}
    made = client.post(f"{case}/record/earth%20resistance", data=reading, headers=PROGRAM).json()
    (entry,) = (one["id"] for one in made["entries"])

    def asked() -> dict[str, int]:
        days = client.get(f"{case}/evidence.json").json()["days"].values()
        return {line["entry"]["id"]: len(line["questions"]) for lines in days for line in lines if line["questions"]}

    assert asked() == {entry: 2}
    page = client.get(f"{case}/entry/{entry}.json").json()
    assert list(page["line"]["questions"]) == made["remarks"]
    assert "is beyond 2 Ω, the range" in page["line"]["questions"][1]
    for place in (f"{case}/evidence", f"{case}/entry/{entry}"):
        assert client.get(place).text.count('<p class="notice">Question: ') == 2
    put_right = {"who": "Ines", "reason": "wrong prefix", "reading": "110 mΩ", "instrument": "milliohm"}
    assert client.post(f"{case}/entry/{entry}/correct", data=put_right, headers=PROGRAM).status_code == 201
    assert asked() == {}
