"""What a person or a file may say stays text on every page: walked over a shelf whose every word tries to be more."""

from __future__ import annotations

import re
import time
from collections import Counter
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import urljoin, urlsplit

import pytest
import tomlkit
from fastapi.testclient import TestClient

from coldpin.casefile import create_shelf
from coldpin.records.instrument import Instrument
from coldpin.web.app import create_app
from coldpin.web.trust import POLICY
from coldpin.workbench import add_evidence, record
from coldpin.workbench.entries import correct
from tests.checks.bench import pairs
from tests.web.test_pages import PATIENCE
from tests.workbench.quay import at, capture_text, make_case

NOT_YET = 503
FOE = """x"'`><b data-foe=1>{{7*191}}${7*191}<!--</script><script data-foe src=//foe.example></script>"""
"""Ends an attribute, a tag, a script, a template; asks for a script of elsewhere."""

ADDRESS = "javascript:alert('foe')//<b data-foe>"
FOLDER = """foe "'&lt;<b data-foe> #?%+;=ü"""
FILE = """steps "'><img data-foe src=x onerror=x>.csv"""
WHERE_ADDRESSES_STAND = ("href", "src", "action", "formaction", "data", "srcset", "poster", "hx-get", "hx-post")
SHOWN = 5
"""So many pages at least show what was said, or the test would say nothing."""
EMPTY_ELEMENTS = ("meta", "link", "input", "img", "br", "hr", "source", "col")


def fill_with_foes(case: Path) -> None:
    """Let everything that a person writes into ``case.toml`` be hostile."""
    path = case / "case.toml"
    told = tomlkit.parse(path.read_text(encoding="utf-8"))
    told["title"] = told["tester"] = told["question"] = FOE
    specimen = told["specimen"]
    for key in ("description", "serial", "batch", "marked_firmware", "seller", "where_now"):
        specimen[key] = FOE
    claims = told["claims"]
    claims["words"] = [FOE, ADDRESS]
    claims["standards_claimed"] = [FOE]
    claims["cable_print"] = FOE
    told["quoted_claims"] = [{"words": FOE, "where": "listing", "address": "https://foe.example/<b data-foe>"}]
    told["conditions_of_use"] = [{"name": FOE, "place": FOE, "device": FOE}]
    told["opinions"] = [{"text": FOE, "who": FOE, "use": FOE}]
    told["alternatives"] = [{"name": FOE, "price": "10 EUR", "claims": [FOE]}]
    told["assumptions"] = [FOE]
    path.write_text(tomlkit.dumps(told), encoding="utf-8")


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shelf where nobody means well."""
    table = tmp_path_factory.mktemp("hostile")
    made = create_shelf(table / "shelf", FOE)
    statements = {"voltage": "1 % + 0.05 V"}
    told = Instrument(name=FOE, kind=FOE, maker=FOE, model=FOE, serial=FOE, statements=statements, note=FOE)
    made.add_instrument("scope", told)
    path = made.folder / "shelf.toml"
    by_hand = tomlkit.parse(path.read_text(encoding="utf-8"))
    by_hand["instruments"]["scope"]["statements"][FOE] = ""
    path.write_text(tomlkit.dumps(by_hand), encoding="utf-8")
    case = make_case(made.folder, FOLDER, FOE)
    file = table / FILE
    file.write_bytes(capture_text())
    words: Any = {"who": FOE, "note": FOE}
    record(case, shows="wiring map", pairs=pairs(), made=at(0), now=at(1), **words)
    first = record(case, shows="remark", made=at(2), now=at(3), **words)
    correct(case, first.id, who=FOE, reason=FOE, note=FOE + FOE, now=at(4))
    load = {"load": "steps"}
    add_evidence(case, file, shows="pilot capture", conditions=load, instrument="scope", made=at(5), now=at(6), **words)
    add_evidence(case, None, shows="video", address=ADDRESS, made=at(7), now=at(8), **words)
    (case / "entries" / f"{FOE.replace('/', '')}.json").write_text(FOE, encoding="utf-8")
    fill_with_foes(case)
    broken = make_case(made.folder, f"{FOLDER} broken")
    (broken / "case.toml").write_text(FOE, encoding="utf-8")
    refused = make_case(made.folder, f"{FOLDER} refused") / "case.toml"
    constant = {"id": FOE, "source": FOE, "nominal": 1.0, "note": FOE}
    told_there = tomlkit.parse(refused.read_text(encoding="utf-8"))
    told_there["constants"] = [constant]
    refused.write_text(tomlkit.dumps(told_there), encoding="utf-8")
    return made.folder


@pytest.fixture(scope="module")
def client(shelf: Path) -> Iterator[TestClient]:
    """A reader of it."""
    with TestClient(create_app(shelf), base_url="http://127.0.0.1", follow_redirects=False) as reader:
        end = time.monotonic() + PATIENCE
        while under_way(reader):
            assert time.monotonic() < end
            time.sleep(0.05)
        yield reader


def under_way(reader: TestClient) -> list[str]:
    """The cases that are being assessed."""
    cases = reader.get("/shelf.json").json()["cases"]
    return [one["name"] for one in cases if one["work"] and one["work"]["course"] in ("waiting", "running")]


class Page(HTMLParser):
    """What a browser would make of a page: its elements and its addresses."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.foes: list[str] = []
        self.addresses: list[str] = []
        self.scripts: list[str | None] = []
        self.text = ""
        self.open: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep what is of interest."""
        held = dict(attrs)
        if any(name.startswith(("data-foe", "on", "style", "srcdoc")) for name in held):
            self.foes.append(self.get_starttag_text() or tag)
        self.addresses += [text or "" for name, text in attrs if name in WHERE_ADDRESSES_STAND]
        if tag == "script":
            self.scripts.append(held.get("src"))
        if tag not in EMPTY_ELEMENTS:
            self.open.append(tag)

    def handle_data(self, data: str) -> None:
        """Keep what is read."""
        self.text += data


def walk(client: TestClient, most_alike: int) -> Iterator[tuple[str, Page]]:
    """Every page that a link leads to, from the shelf on, and what it holds; of those alike so many at most."""
    due, seen = ["/", "/instruments", "/compare", "/nothing", "/case/%3Cb%20data-foe%3E"], set[str]()
    alike: Counter[str] = Counter()
    while due:
        address = due.pop(0)
        kind = re.sub(r"(/case)/[^/]+(/[a-z-]+)?(/[^?]+)?", r"\1\2", address.partition("?")[0])
        if address in seen or alike[kind] >= most_alike:
            continue
        seen.add(address)
        alike[kind] += 1
        answer = client.get(address)
        assert answer.status_code < 500 or answer.status_code == NOT_YET, address
        if not answer.headers.get("content-type", "").startswith("text/html"):
            continue
        if answer.headers["content-security-policy"] != POLICY:  # a report, which is a document by itself
            assert "script-src" not in answer.headers["content-security-policy"], address
            assert "default-src 'none'" in answer.headers["content-security-policy"], address
            assert FOE not in answer.text, address
            continue
        page = Page(answer.text)
        yield address, page
        for one in page.addresses:
            split = urlsplit(urljoin(f"http://127.0.0.1{address}", one))
            if split.netloc == "127.0.0.1":
                due.append(split.path + (f"?{split.query}" if split.query else ""))


def test_whatever_is_said_stays_text(client: TestClient, proving: bool) -> None:
    """No element, attribute, script or address of elsewhere comes of it, and it is read as it was said."""
    read = 0
    for address, page in walk(client, 1000 if proving else 4):
        assert page.foes == [], address
        assert all(source and source.startswith("/static/") for source in page.scripts), address
        for one in page.addresses:
            assert one == "" or (one[0] in "/#?" and not one.startswith(("//", "/\\"))), (address, one)
        assert "1337" not in page.text, f"{address}: a template was made of what was said"
        read += FOE in page.text
    assert read >= SHOWN


def test_what_is_told_of_it_as_json_is_no_page(client: TestClient) -> None:
    """A browser that is led to a twin shows text, and guesses nothing."""
    for address in ("/shelf.json", "/instruments.json", "/nothing.json", "/case/%3Cb%20data-foe%3E.json"):
        answer = client.get(address)
        assert answer.headers["content-type"].startswith("application/json")
        assert answer.headers["x-content-type-options"] == "nosniff"


def test_the_shelf_leads_to_a_case_whatever_its_folder_is_called(client: TestClient) -> None:
    """Its address is what the file system has, written as an address."""
    names = [case["name"] for case in client.get("/shelf.json").json()["cases"]]
    assert names == [FOLDER, f"{FOLDER} refused"]
    link = next(one for one in Page(client.get("/").text).addresses if one.startswith("/case/"))
    assert client.get(link).status_code == 200
    again = client.post(f"{link}/assess", headers={"accept": "application/json"})
    assert (again.status_code, again.headers["location"]) == (202, link)
    assert re.fullmatch(r"[!-~]+", link)
