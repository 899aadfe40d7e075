"""Large files: filed beside the page with progress and stop, whatever ends in the middle, and nothing left half."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from coldpin.casefile import open_case
from coldpin.casefile.arrivals import COMING, FILING, arrivals, find_arrival, new_arrival
from coldpin.casefile.storage import TEMPORARY, Unfinished
from coldpin.web.app import create_app
from coldpin.web.standing import Standings
from tests.web.test_evidence import CASE, JSON, TWO_VOLTAGES
from tests.workbench.quay import capture_text, make_case, make_shelf

PATIENCE = 60.0
"""Seconds after which a test gives up."""

NAME = "skerrow-16"
STEPS = {"who": "Ines", "condition.load": "steps"}


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """A shelf with one case that nothing happened to yet."""
    folder = make_shelf(tmp_path / "shelf")
    make_case(folder)
    return folder


@pytest.fixture
def client(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[TestClient]:
    """A writer to whose server everything is large; nothing is assessed meanwhile."""
    monkeypatch.setattr(Standings, "of", None)
    monkeypatch.setattr("coldpin.web.filing.LARGE", 1)
    with TestClient(create_app(shelf), base_url="http://127.0.0.1", follow_redirects=False) as writer:
        yield writer


def over(client: TestClient, token: str) -> Mapping[str, Any]:
    """What became of a filing, once it is over."""
    end = time.monotonic() + PATIENCE
    while not (found := client.get(f"{CASE}/add/{token}/filing.json").json())["place"]:
        assert time.monotonic() < end
        time.sleep(0.02)
    return dict(found)


def begun(client: TestClient, name: str, content: bytes, **fields: str) -> str:
    """Bring a capture that is filed beside the page; return the name of its arrival."""
    answer = client.post(
        f"{CASE}/record/pilot%20capture", data={**STEPS, **fields}, files={"file": (name, content)}, headers=JSON
    )
    assert answer.status_code == 202, answer.text
    assert answer.headers["location"] == f"{CASE}/add/{answer.json()['token']}/filing"
    return str(answer.json()["token"])


def lying(shelf: Path) -> dict[str, list[str]]:
    """What lies in the case: entries, evidence and dialects, what waits, what is half written."""
    case = shelf / NAME
    return {
        "entries": sorted(path.name for path in (case / "entries").glob("*")),
        "evidence": sorted(path.name for path in (case / "evidence").glob("[!.]*")),
        "dialects": sorted(path.name for path in (case / "dialects").glob("*")),
        "waits": [name for one in arrivals(case) for name in one.names()],
        "half": [path.name for path in shelf.rglob(f"{TEMPORARY}*")],
    }


def test_two_large_captures_at_once_are_both_filed_and_lead_to_their_entries(client: TestClient, shelf: Path) -> None:
    """While one is under way its page shows the work, with a link to look again; then the browser is led on."""
    tokens = [begun(client, f"steps {number}.csv", capture_text() + b"\n" * number) for number in (1, 2)]
    page = client.get(f"{CASE}/add/{tokens[1]}/filing")
    assert page.status_code == 200
    assert "Reading and filing steps 2.csv" in page.text
    assert f'<a href="{CASE}/add/{tokens[1]}/filing">Look again</a>' in page.text
    for token in tokens:
        found = over(client, token)
        (entry,) = found["recorded"]["entries"]
        assert (found["work"]["course"], found["work"]["fraction"]) == ("done", 1.0)
        led = client.get(f"{CASE}/add/{token}/filing")
        assert (led.status_code, led.headers["location"]) == (303, f"{CASE}/evidence#entry-{entry['id']}")
        assert open_case(shelf / NAME).find_entry(entry["id"]).conditions == {"load": "steps"}
    assert len(lying(shelf)["entries"]) == 2
    assert lying(shelf)["waits"] == lying(shelf)["half"] == []


def test_what_cannot_be_read_waits_with_what_was_typed_and_is_filed_once_it_is_said_how(
    client: TestClient, shelf: Path
) -> None:
    """The refusal stands above the question; the answer is filed beside the page as well."""
    token = begun(client, "two.csv", TWO_VOLTAGES.encode())
    found = over(client, token)
    assert found["place"] == f"{CASE}/add/{token}"
    assert "2 columns can be the voltage" in found["work"]["message"]
    asked = client.get(found["place"])
    assert '<p class="problem" role="alert">' in asked.text
    assert asked.text.count("2 columns can be the voltage") == 2
    fields = {**STEPS, "file": "two.csv", "shows": "pilot capture", "choice.voltage": "CH1"}
    told = client.post(f"{CASE}/add/{token}", data=fields, headers=JSON)
    assert told.status_code == 202
    (entry,) = over(client, token)["recorded"]["entries"]
    assert lying(shelf)["entries"] == [f"{entry['id']}.json"]


def file_half(case: Path, token: str, progress: Callable[[float], None], **_: object) -> None:
    """Stands for filing: copies the evidence and comes no further."""
    arrival = find_arrival(case, token)
    with arrival.held(FILING), Unfinished(case / "entries") as entry:
        open_case(case).file_evidence(arrival.file(arrival.names()[0]), "capture")
        entry.write(b"half")
        progress(0.5)
        while True:
            time.sleep(0.01)


def test_a_filing_that_is_stopped_leaves_what_was_brought_and_nothing_else(
    client: TestClient, shelf: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is not put away while it is filed; stopped in the middle, it waits, and is filed when somebody says so."""
    with monkeypatch.context() as slowly:
        slowly.setattr("coldpin.web.filing.file_waiting", file_half)
        token = begun(client, "steps.csv", capture_text())
    end = time.monotonic() + PATIENCE
    while (work := client.get(f"{CASE}/add/{token}/filing.json").json()["work"])["fraction"] != 0.5:
        assert time.monotonic() < end
        time.sleep(0.02)
    assert client.post(f"{CASE}/add/{token}/away", data={}, headers=JSON).status_code == 409
    assert "It is being filed" in client.get(f"{CASE}/add/{token}").text
    assert (len(lying(shelf)["evidence"]), len(lying(shelf)["half"])) == (1, 1)
    stopped = client.post(f"/under-way/{work['id']}/stop", headers={"hx-request": "true"})
    assert stopped.headers["hx-redirect"] == f"{CASE}/add/{token}/filing"
    assert over(client, token)["place"] == f"{CASE}/add/{token}"
    page = client.get(f"{CASE}/add/{token}").text
    assert "Filing was stopped" in page
    fields = {**STEPS, "file": "steps.csv", "shows": "pilot capture"}
    assert client.post(f"{CASE}/add/{token}", data=fields, headers=JSON).status_code == 202
    (entry,) = over(client, token)["recorded"]["entries"]
    found = lying(shelf)
    assert found["entries"] == [f"{entry['id']}.json"]
    assert found["evidence"] == [entry["evidence"]["file"]]
    assert found["waits"] == found["half"] == []


def test_a_server_that_starts_clears_what_one_that_was_killed_was_still_taking_in(shelf: Path) -> None:
    """What is whole waits, what another server is taking in is left to it."""
    case = shelf / NAME
    gone, living, whole = (new_arrival(case) for _ in range(3))
    for arrival in (gone, living, whole):
        with arrival.held(COMING), arrival.new_file("steps.csv") as file:
            file.write(b"t,v")
    whole.arrived()
    with living.held(COMING), TestClient(create_app(shelf), base_url="http://127.0.0.1"):
        pass
    assert lying(shelf)["waits"] == ["steps.csv"]
    assert lying(shelf)["half"] == [living.folder.name]


@pytest.mark.skipif(sys.platform == "win32", reason="needs POSIX processes")
def test_filing_that_is_killed_at_any_write_leaves_nothing_half(shelf: Path) -> None:
    """Before each change of the disk in turn: what was brought waits still or its entry stands, never both or less."""
    command = [sys.executable, "-m", "tests.web.killed_filing", str(shelf / NAME)]
    told = subprocess.run(command, capture_output=True, text=True, timeout=5 * PATIENCE, check=False)
    assert told.returncode == 0, told.stderr
    after = [json.loads(line) for line in told.stdout.splitlines()]
    killed, (last,) = after[:-1], after[-1:]
    assert last == {"killed": False, "entries": 1, "evidence": 1, "dialects": 1, "waits": 0, "half": []}
    waiting = {"killed": True, "entries": 0, "evidence": 0, "dialects": 0, "waits": 1, "half": []}
    filed = {"killed": True, "entries": 1, "evidence": 1, "dialects": 1, "waits": 0, "half": []}
    assert [one for one in killed if one not in (waiting, filed)] == []
    assert waiting in killed
    assert filed in killed
