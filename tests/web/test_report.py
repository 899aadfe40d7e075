"""The report on the page: its draft, what would go public, publishing once, everything that is taken along."""

from __future__ import annotations

import csv
import io
import time
import zipfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from urllib.parse import quote

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # it ships no types
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, expect

from coldpin.casefile import Case
from coldpin.casefile.private import write_private
from coldpin.errors import ConflictError
from coldpin.records.assessment import Assessment
from coldpin.records.plain import from_json
from coldpin.records.withheld import PRIVATE_FORMAT, PrivateDescription, ToWithhold
from coldpin.web.app import create_app
from coldpin.web.desk import Desk
from coldpin.web.pages.bundle_check import BundlePage
from coldpin.web.pages.report import ReportPage
from coldpin.web.reporting import Reports, _Issuing
from coldpin.web.works import Course, Work
from coldpin.workbench import record
from coldpin.workbench.publishing import publish
from tests.checks.bench import pairs
from tests.pdf_reading import page_texts
from tests.web.serving import serving
from tests.workbench.quay import SECRET, at, make_case, make_shelf

PATIENCE = 240.0
"""Seconds after which a test gives up: a small report is made in some."""
MADE = 240_000
"""Milliseconds after which a test gives up waiting for a report."""
NAME = 'a & "b" <i>'
PLACE = f"/case/{quote(NAME, safe='')}/report"
BERTH = "Nightingale Pier 12"
PROGRAM = {"accept": "application/json"}


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small case of a name that means something to a browser, with a text that must not be published."""
    made = make_case(make_shelf(tmp_path_factory.mktemp("report") / "shelf"), NAME)
    record(made, shows="wiring map", who="Ines", pairs=pairs(), made=at(0), now=at(1))
    readings = ("510 mΩ", "512 mΩ")
    record(made, shows="earth resistance", who="Ines", readings=readings, instrument="meter", made=at(2), now=at(3))
    record(made, shows="purchase", who="Ines", note=SECRET, private=True, made=at(8), now=at(9))
    record(made, shows="opened", who="Ines", note=f"opened at {BERTH}, looks unsafe", made=at(10), now=at(11))
    wanted = PrivateDescription(format=PRIVATE_FORMAT, withhold=(ToWithhold(text=BERTH, what="address"),))
    write_private(made, wanted)
    return made


@pytest.fixture(scope="module")
def client(case: Path) -> Iterator[TestClient]:
    """A reader of its pages."""
    with TestClient(create_app(case.parent), base_url="http://127.0.0.1") as reader:
        yield reader


def page_of(reader: TestClient) -> ReportPage:
    """The record of the page."""
    return from_json(ReportPage, reader.get(f"{PLACE}.json").text, where="report")


def settled(reader: TestClient) -> ReportPage:
    """The record of the page when nothing is under way any more."""
    end = time.monotonic() + PATIENCE
    while True:
        page = page_of(reader)
        under_way = [work for work in (page.work, page.publishing, page.packing) if work and not work.course.ended]
        if not under_way:
            return page
        assert time.monotonic() < end, "the report is not made"
        time.sleep(0.05)


def drafted(reader: TestClient) -> ReportPage:
    """The page with a draft of the case as it stands."""
    if not page_of(reader).fresh:
        reader.post(f"{PLACE}/draft", headers=PROGRAM)
    return settled(reader)


def test_looking_at_the_page_makes_nothing(client: TestClient) -> None:
    """Nothing is begun by reading; the page says what there is to do."""
    page = page_of(client)
    assert (page.draft, page.work, page.issues) == (None, None, ())
    assert "Make the draft" in client.get(PLACE).text


def test_a_file_that_is_not_made_yet_is_begun_and_keeps_nobody_waiting(client: TestClient) -> None:
    """When to ask again, then the file; meanwhile every page answers."""
    asked = client.get(f"{PLACE}/file/report.html", headers=PROGRAM)
    assert (asked.status_code, asked.headers["retry-after"]) == (503, "1")
    assert client.get("/").status_code == 200
    page = settled(client)
    assert page.fresh
    assert client.get(f"{PLACE}/file/report.html").status_code == 200


def test_what_would_go_public_is_told(client: TestClient, case: Path) -> None:
    """Number, entries shown and kept back, files, what stands for what, words that judge, the right of reply."""
    page = drafted(client)
    draft = page.draft
    assert draft is not None
    assert (draft.number, draft.entries, draft.kept_back, draft.refused) == (1, 3, 1, "")
    assert [file.name for file in draft.files] == [
        *("assessment.json", "report.html", "report.pdf"),
        *("summary.svg", "summary.png"),
    ]
    assert [(one.placeholder, one.text) for one in draft.withheld] == [("[address 1, withheld]", BERTH)]
    assert [(one.word, "[address 1, withheld]" in one.text) for one in draft.judging] == [("unsafe", True)]
    assert draft.replies[0].startswith("nobody was asked to reply before this is published")
    assert draft.changes == ("This is the first issue.",)
    shown = client.get(PLACE).text
    assert "Draft of issue 1" in shown
    assert f"{case.name}" not in shown, "it stands there escaped"


def test_no_file_of_the_draft_shows_what_is_private(client: TestClient) -> None:
    """Neither the private entry nor the withheld text; each file is of its kind and can do nothing."""
    draft = drafted(client).draft
    assert draft is not None
    kinds = {
        "report.html": "text/html; charset=utf-8",
        "report.pdf": "application/pdf",
        "assessment.json": "application/json",
        "summary.svg": "image/svg+xml",
        "summary.png": "image/png",
    }
    for file, kind in kinds.items():
        answer = client.get(f"{PLACE}/file/{file}")
        assert answer.headers["content-type"] == kind
        assert answer.headers["content-disposition"] == f"attachment; filename*=UTF-8''a_b_i-{file}"
        assert answer.headers["x-content-type-options"] == "nosniff"
        looked = client.get(f"{PLACE}/look/{file}?of={draft.digest}")
        assert looked.content == answer.content
        assert looked.headers["content-disposition"].startswith("inline;")
        text = (
            " ".join(page_texts(answer.content)) if file.endswith("pdf") else answer.content.decode("utf-8", "ignore")
        )
        assert SECRET not in text
        assert BERTH not in text
        if file in ("report.html", "summary.svg"):
            policy = looked.headers["content-security-policy"]
            assert "sandbox" in policy
            assert "script-src" not in policy
            assert policy.startswith("default-src 'none'")
    assessment = from_json(Assessment, client.get(f"{PLACE}/file/assessment.json").text, where="record")
    assert assessment.conclusion.headline.text == draft.headline
    assert "Draft" in " ".join(page_texts(client.get(f"{PLACE}/file/report.pdf").content))


def test_the_pages_of_the_pdf_are_pictures(client: TestClient) -> None:
    """As many as it has; one more is not there, nor is one of a draft that is gone."""
    page = drafted(client)
    assert page.draft is not None
    pdf = client.get(f"{PLACE}/file/report.pdf").content
    assert page.pages == len(page_texts(pdf))
    drawn = client.get(f"{PLACE}/page/{page.pages}.png?of={page.draft.digest}")
    assert drawn.content.startswith(b"\x89PNG")
    assert client.get(f"{PLACE}/page/{page.pages + 1}.png", headers=PROGRAM).status_code == 404
    assert client.get(f"{PLACE}/page/0.png", headers=PROGRAM).status_code == 404
    assert client.get(f"{PLACE}/page/1.png?of=gone", headers=PROGRAM).status_code == 409


@pytest.mark.parametrize(
    "address",
    [
        f"{PLACE}/file/case.toml",
        f"{PLACE}/file/..%2f..%2fcase.toml",
        f"{PLACE}/look/%2e%2e%2fprivate.toml",
        f"{PLACE}/notice-nobody.txt",
        f"/case/{quote(NAME, safe='')}/issue/01/report.html",
        f"/case/{quote(NAME, safe='')}/issue/..%2f..%2fentries/report.html",
    ],
)
def test_nothing_but_what_is_made_is_handed_out(client: TestClient, address: str) -> None:
    """No path leads from an address to a file."""
    drafted(client)
    assert client.get(address, headers=PROGRAM).status_code in (404, 422)


def test_readings_and_notices_are_taken_along(client: TestClient) -> None:
    """As a table with its mark, and as drafts with what is missing; nothing private in either."""
    answer = client.get(f"{PLACE}/readings.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert rows[0][0] == "entry"
    assert any("510 mΩ" in row for row in rows)
    assert SECRET not in answer.text
    end = time.monotonic() + PATIENCE
    while (told := client.get(f"{PLACE}/notice-seller.txt")).status_code == 503:
        assert time.monotonic() < end, "the case is not assessed"
        time.sleep(0.1)
    assert told.headers["content-type"] == "text/plain; charset=utf-8"
    form = {"to": "authority", "sender": "Ines <b>", "contact": "ines at the quay"}
    shown = client.post(f"{PLACE}/notice", data=form)
    assert "Ines &lt;b&gt;" in shown.text
    assert client.post(f"{PLACE}/notice", data=form, headers=PROGRAM).json()["to"] == "authority"
    assert client.post(f"{PLACE}/notice", data={"to": "king"}, headers=PROGRAM).status_code == 422


def test_a_bundle_is_packed_and_checks_itself(client: TestClient, case: Path, tmp_path: Path) -> None:
    """Begun by asking, taken when it is there; it holds nothing private and computes to the same."""
    client.post(f"{PLACE}/pack", headers=PROGRAM)
    page = settled(client)
    assert page.bundle is not None
    answer = client.get(f"{PLACE}/bundle.zip")
    assert answer.headers["content-type"] == "application/zip"
    packed = tmp_path / "bundle.zip"
    packed.write_bytes(answer.content)
    with zipfile.ZipFile(packed) as held:
        texts = [held.read(name).decode("utf-8", "ignore") for name in held.namelist()]
    assert not any(SECRET in text or BERTH in text for text in texts)
    sent = client.post("/bundle", files={"file": ("../of ours.zip", answer.content)}, headers=PROGRAM)
    assert sent.status_code == 202
    place = f"/bundle.json?check={sent.json()['id']}"
    end = time.monotonic() + PATIENCE
    while (told := from_json(BundlePage, client.get(place).text, where="bundle")).checked is None:
        assert told.work is not None
        assert not told.work.course.broke_off, told.work.message
        assert time.monotonic() < end, "the bundle is not checked"
        time.sleep(0.05)
    assert (told.checked.sealed, told.checked.differences) == (True, ())
    assert "computed anew, it is equal" in client.get(f"/bundle?check={sent.json()['id']}").text
    client.get("/bundle")
    assert list((case.parent / "cache" / "arrived").glob("*")) == []


def test_what_is_no_bundle_is_told(client: TestClient, case: Path) -> None:
    """By the work that looked into it; nothing at all, and two at once, at once."""
    sent = client.post("/bundle", files={"file": ("x.zip", b"PK nothing")}, headers=PROGRAM)
    place = f"/bundle.json?check={sent.json()['id']}"
    end = time.monotonic() + PATIENCE
    while client.get(place).json()["work"]["course"] != "unfinished":
        assert time.monotonic() < end, "it is not looked into"
        time.sleep(0.05)
    told = client.get(place).json()["work"]["message"]
    assert told.startswith("x.zip")
    assert "arrived" not in told
    assert client.get("/bundle.json?check=4711", headers=PROGRAM).status_code == 404
    two = [("file", ("a.zip", b"1")), ("file", ("b.zip", b"2"))]
    assert client.post("/bundle", files=two, headers=PROGRAM).status_code == 422
    assert client.post("/bundle", data={"file": "none"}, headers=PROGRAM).status_code == 422
    client.get("/bundle")
    assert list((case.parent / "cache" / "arrived").glob("*")) == []


def test_an_issue_is_published_once_whoever_asks_how_often(client: TestClient, case: Path) -> None:
    """Only as it was looked at and confirmed; ten clicks make one issue, and the next needs news."""
    seen = drafted(client).draft
    assert seen is not None
    unsaid = client.post(f"{PLACE}/publish", data={"seen": seen.digest}, headers=PROGRAM)
    assert "say first that you have looked at what goes public" in unsaid.json()["error"]
    other = client.post(f"{PLACE}/publish", data={"seen": "f" * 64, "confirmed": "yes"}, headers=PROGRAM)
    assert other.status_code == 409
    assert not (case / "issued" / "01").exists()

    asked = {"seen": seen.digest, "confirmed": "yes"}
    with ThreadPoolExecutor(max_workers=5) as people:
        sent = list(people.map(lambda _: client.post(f"{PLACE}/publish", data=asked, headers=PROGRAM), range(10)))
    assert {answer.status_code for answer in sent} <= {202, 409}
    assert len({answer.json()["id"] for answer in sent if answer.status_code == 202}) == 1
    page = settled(client)
    assert [issue.number for issue in page.issues] == ["01"]
    assert page.told[0].startswith("Issue 1 of ")
    assert page.told[1].startswith("nobody was asked to reply")
    assert (page.fresh, page.since) == (False, ())
    shown = client.get(PLACE).text
    assert "Nothing has changed since." in shown
    assert "Nobody was asked to reply" in shown
    assert "the letter stands under &#39;To be taken along&#39;" in shown
    for text in ("Draft of issue", "What goes public", "coldpin notification", "Make the draft"):
        assert text not in shown
    again = client.post(f"{PLACE}/publish", data=asked, headers=PROGRAM)
    assert again.status_code == 409
    assert "make the draft anew" in again.json()["error"]

    named = f"/case/{quote(NAME, safe='')}/issue/01"
    frozen = client.get(f"{named}/report.html")
    assert frozen.content == (case / "issued" / "01" / "report.html").read_bytes()
    assert "sandbox" in frozen.headers["content-security-policy"]
    assert BERTH not in frozen.text
    assert client.get(f"{named}/nothing.html", headers=PROGRAM).status_code == 404
    refused = drafted(client).draft
    assert refused is not None
    assert refused.refused == "issue 01 says the same already: there is nothing new to publish"
    assert "Not to be published as it stands" in client.get(PLACE).text
    asked = {"seen": refused.digest, "confirmed": "yes"}
    assert client.post(f"{PLACE}/publish", data=asked, headers=PROGRAM).status_code == 422
    # these go on from the issue, so they are no tests of their own, which might run elsewhere
    what_changed_since_it_was_looked_at_is_not_published(client, case)
    what_changed_since_the_issue_is_told_by_its_files(client, case)


def what_changed_since_it_was_looked_at_is_not_published(client: TestClient, case: Path) -> None:
    """An entry in between: the draft is another, and says what changed since issue 01."""
    old = drafted(client).draft
    assert old is not None
    readings = ("515 mΩ",)
    record(case, shows="earth resistance", who="Ines", readings=readings, instrument="meter", made=at(30), now=at(31))
    assert page_of(client).since == ("1 entry was recorded",), "that draft says the same as issue 1"
    asked = {"seen": old.digest, "confirmed": "yes"}
    assert client.post(f"{PLACE}/publish", data=asked, headers=PROGRAM).status_code == 409
    page = drafted(client)
    assert page.draft is not None
    assert (page.draft.number, page.draft.refused) == (2, "")
    assert page.draft.digest != old.digest
    assert page.draft.changes != ("This is the first issue.",)
    assert len(Case(case).issues()) == 1


def what_changed_since_the_issue_is_told_by_its_files(client: TestClient, case: Path) -> None:
    """Entries by how many, files by name; the way to the next draft stands beside it."""
    seen = drafted(client).draft
    assert seen is not None
    client.post(f"{PLACE}/publish", data={"seen": seen.digest, "confirmed": "yes"}, headers=PROGRAM)
    assert settled(client).since == ()
    record(case, shows="opened", who="Ines", note="closed again", made=at(40), now=at(41))
    text = (case / "case.toml").read_text(encoding="utf-8")
    (case / "case.toml").write_text(f"{text}\n# looked through\n", encoding="utf-8")
    page = page_of(client)
    assert page.told[0].startswith("Issue 2 of ")
    assert page.since == ("1 entry was recorded", "case.toml was changed")
    shown = client.get(PLACE).text
    assert "Since then:" in shown
    assert "Make the draft of the next issue" in shown
    with TestClient(create_app(case.parent), base_url="http://127.0.0.1") as again:
        after = page_of(again)
        assert (after.draft, after.told) == (None, page.told[:1])
        assert after.since == page.since, "a server that began since tells the same from what is on disk"
        publish(case)
        after = page_of(again)
        assert (after.told[0][:10], after.since) == ("Issue 3 of", ()), "published by the command line"


def test_the_report_is_made_looked_at_and_published_in_a_browser(browser: Browser, tmp_path: Path) -> None:
    """Draft with progress and stop, pages of the PDF, the page by itself, a double click, a file taken along."""
    shelf = make_shelf(tmp_path / "shelf")
    record(make_case(shelf), shows="opened", who="Ines", note="with two screws", made=at(0), now=at(1))
    with serving(shelf) as address:
        context = browser.new_context()
        page = context.new_page()
        page.set_default_timeout(15_000)
        page.goto(f"{address}/case/skerrow-16/report")
        page.get_by_role("button", name="Make the draft").click()
        page.get_by_role("button", name="Stop").click()
        page.get_by_role("button", name="Once more").click()
        expect(page.locator("progress")).to_be_visible()
        expect(page.get_by_text("Draft of issue 1")).to_be_visible(timeout=MADE)
        first = page.get_by_role("img", name="Page 1 of the PDF")
        expect(first).to_be_visible()
        assert first.evaluate("i => i.decode().then(() => i.naturalWidth)") > 400
        broken = [rule["id"] for rule in Axe().run(page).response["violations"]]
        assert broken == [], "with a draft on it, the page keeps the rules of access"
        with context.expect_page() as opened:
            page.get_by_role("link", name="Read the page").click()
        expect(opened.value.get_by_role("heading", level=1)).to_contain_text("Skerrow 16")
        opened.value.close()
        with page.expect_download() as taken:
            page.get_by_role("link", name="Report on paper").click()
        assert taken.value.suggested_filename == "skerrow-16-report.pdf"
        assert "Skerrow 16" in page_texts(taken.value.path())[0]

        page.get_by_role("button", name="Publish issue 1").click()
        expect(page.get_by_role("checkbox", name="I have looked at it")).not_to_be_checked()  # the browser asks for it
        page.get_by_role("checkbox", name="I have looked at it").check()
        page.get_by_role("button", name="Publish issue 1").dblclick()
        expect(page.get_by_role("heading", name="Issue 01")).to_be_visible(timeout=MADE)
        expect(page.get_by_text("is published.")).to_be_visible()
        assert [issue.number for issue in Case(shelf / "skerrow-16").issues()] == ["01"]
        context.close()


def test_a_publication_long_over_does_not_stand_in_the_way_of_the_next(tmp_path: Path) -> None:
    """What worked on it is forgotten by then; what is asked for now is told, here that nothing was looked at."""
    shelf = make_shelf(tmp_path / "shelf")
    case = Case(make_case(shelf))
    desk = Desk(shelf=shelf)
    try:
        reports = Reports(desk=desk)
        forgotten = Work(id="forgotten", title="Publishing issue 1", course=Course.DONE)
        reports.issued[case.folder] = _Issuing(work=forgotten, made=[])
        with pytest.raises(ConflictError, match="make the draft anew"):
            reports.publish(case, "0" * 64)
    finally:
        desk.works.close()
