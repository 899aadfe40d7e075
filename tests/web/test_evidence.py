"""Recording, bringing, correcting on the page: each by the route that the form uses, told back as a record."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient
from PIL import Image

from coldpin.casefile import open_case
from coldpin.casefile.arrivals import arrivals
from coldpin.records.vocabulary import VOCABULARY
from coldpin.web.app import create_app
from coldpin.web.standing import Standings
from tests.checks.bench import pairs
from tests.workbench.quay import capture_text, make_case, make_shelf

JSON = {"accept": "application/json"}
CASE = "/case/skerrow-16"
PICTURE = b"\x89PNG\r\n\x1a\n" + b"\0" * 40
TWO_VOLTAGES = "t,CH1,CH2\ns,V,V\n" + "".join(f"{n * 4e-6:.6f},{12 if n % 9 else -12},0.0\n" for n in range(400))


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shelf with one case that nothing happened to yet."""
    folder = make_shelf(tmp_path_factory.mktemp("evidence") / "shelf")
    make_case(folder)
    return folder


@pytest.fixture(scope="module")
def client(shelf: Path) -> Iterator[TestClient]:
    """A writer; nothing is assessed meanwhile."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Standings, "of", None)
        with TestClient(create_app(shelf), base_url="http://127.0.0.1", follow_redirects=False) as writer:
            yield writer


def entries(shelf: Path) -> dict[str, object]:
    """Every entry of the case, by its id."""
    return {entry.id: entry for entry in open_case(shelf / "skerrow-16").entries().entries}


def written(client: TestClient, word: str, **fields: str | list[str]) -> dict[str, object]:
    """Record something and return its entry."""
    answer = client.post(f"{CASE}/record/{quote(word)}", data={"who": "Ines", **fields}, headers=JSON)
    assert answer.status_code == 201, answer.text
    (entry,) = answer.json()["entries"]
    return dict(entry)


def brought(client: TestClient, *files: tuple[str, bytes], **fields: str) -> dict[str, object]:
    """Bring files without saying what they show; return where they wait."""
    answer = client.post(f"{CASE}/add", data=fields, files=[("file", file) for file in files], headers=JSON)
    assert answer.status_code == 202, answer.text
    return dict(answer.json())


def test_every_word_has_a_form_that_asks_for_what_it_takes(client: TestClient) -> None:
    """Each condition of the vocabulary is a field, each allowed value a choice, each unit shown as people write it."""
    for word, known in VOCABULARY.items():
        answer = client.get(f"{CASE}/record/{quote(word)}")
        assert answer.status_code == 200, word
        text = unescape(answer.text)
        assert all(f'name="condition.{name}"' in text for name in known.conditions), word
        assert all(
            f'value="{value}"' in text or f">{value}</option>" in text
            for values in known.allowed.values()
            for value in values
        )
        assert ('name="reading"' in text) == (known.recorded_as == "readings")
        assert ('name="file"' in text) == (known.recorded_as in ("capture", "log", "board", "note"))


def test_cautions_stand_before_what_is_recorded_live(client: TestClient) -> None:
    """Those of the test it is recorded for, where one is named; beside them, that a tick is no interlock."""
    live = unescape(client.get(f"{CASE}/record/output%20in%20state%20C").text)
    assert live.index("Mains voltage kills. Only for persons trained") < live.index('name="reading"')
    assert "a reminder, not an interlock" in live
    low = client.get(f"{CASE}/record/output%20with%20nothing%20connected?test=live-pins-low")
    assert "Only from an isolated source of extra-low voltage" in low.text
    assert "not an interlock" not in low.text


def test_the_address_fills_the_form(client: TestClient) -> None:
    """Conditions, supply and who, as a plan links to it; the twin holds the same."""
    query = "condition.supply=mains&condition.input=low+impedance&supply_voltage=231+V&then=/evidence"
    text = client.get(f"{CASE}/record/output%20in%20state%20B?{query}").text
    assert 'value="mains" checked' in text
    assert 'value="low impedance" checked' in text
    assert 'value="231 V"' in text
    told = client.get(f"{CASE}/record/output%20in%20state%20B.json?{query}").json()
    assert told["typed"] == {
        "who": ["Ines"],
        "supply_voltage": ["231 V"],
        "then": ["/evidence"],
        "condition.supply": ["mains"],
        "condition.input": ["low impedance"],
    }


def test_words_are_found_by_a_part_of_them(client: TestClient) -> None:
    """By word, else by meaning; nothing found leads to a remark."""
    assert [one["word"] for one in client.get(f"{CASE}/record.json?part=wiring").json()["words"]] == ["wiring map"]
    assert client.get(f"{CASE}/record.json?part=zzz").json()["words"] == []
    assert "record/remark" in client.get(f"{CASE}/record?part=zzz").text


@pytest.mark.hand(
    "0.95 of the limits 0.8 % of 512 mΩ + 2 mΩ; of 0.51 Ω with half of its last digit, 1.96 of both in square"
)
def test_readings_are_said_back_before_they_are_written(client: TestClient, shelf: Path) -> None:
    """With the accuracy of the instrument; what cannot be read is told beside it; nothing is written."""
    before = entries(shelf)
    place = f"{CASE}/record/earth%20resistance/understood"
    told = client.post(place, data={"reading": ["512 mΩ", "0,51 Ω"], "instrument": "meter"}, headers=JSON).json()
    assert [one["means"] for one in told["texts"]] == ["512.0 mΩ ± 5.8 mΩ", "0.5100 Ω ± 0.0089 Ω"]
    assert told["refused"] == ""
    told = client.post(place, data={"reading": ["512 mΩ", "12 V"], "condition.length": "5 m"}, headers=JSON).json()
    assert [bool(one["problem"]) for one in told["texts"]] == [False, True, False]
    assert "reading 2" in told["refused"]
    told = client.post(place, data={"reading": "512 mΩ"}, headers=JSON).json()
    assert told["remark"].startswith("no accuracy is known")
    piece = client.post(place, data={"reading": "> 200 MΩ"}).text
    assert "at least 200 MΩ" in piece
    assert entries(shelf) == before


def test_what_is_written_is_an_entry_and_the_browser_is_led_to_it(client: TestClient, shelf: Path) -> None:
    """A program gets the entry, a form without script is sent on, one with script is told where to go."""
    entry = written(client, "earth resistance", reading=["512 mΩ", "513 mΩ"], instrument="meter", ambient="19 °C")
    kept = open_case(shelf / "skerrow-16").find_entry(str(entry["id"]))
    assert (kept.readings, kept.instrument, kept.ambient, kept.who) == (("512 mΩ", "513 mΩ"), "meter", "19 °C", "Ines")
    plain = client.post(f"{CASE}/record/remark", data={"who": "Ines", "note": "hums"})
    assert plain.status_code == 303
    assert plain.headers["location"].startswith(f"{CASE}/evidence#entry-")
    scripted = client.post(
        f"{CASE}/record/remark", data={"who": "Ines", "note": "hums", "then": ""}, headers={"hx-request": "true"}
    )
    assert scripted.status_code == 204
    assert scripted.headers["hx-redirect"].startswith(f"{CASE}/evidence#entry-")
    answer = client.post(f"{CASE}/record/remark", data={"who": "Ines", "note": "x", "then": "//elsewhere.example"})
    assert answer.headers["location"].startswith(f"{CASE}/evidence#")


@pytest.mark.parametrize(
    ("word", "fields", "status", "message"),
    [
        ("earth resistance", {"reading": "12 V"}, 422, "reading 1"),
        ("earth resistance", {}, 422, "no reading is given"),
        ("earth resistance", {"reading": "1 Ω", "instrument": "tongs"}, 422, "is not on the shelf"),
        ("earth resistance", {"reading": "1 Ω", "colour": "red"}, 422, "field 'colour' is not one of this form"),
        ("earth resistance", {"reading": "1 Ω", "who": ""}, 422, "nobody is named"),
        ("earth resistance", {"reading": "1 Ω", "made": "yesterday"}, 422, "is not a date and time"),
        ("pilot capture", {}, 422, "must be a file"),
        ("no such word", {}, 404, "unknown word"),
        ("wiring map", {"pair.L > Q": "joined"}, 404, "unknown pair"),
    ],
)
def test_what_cannot_be_used_is_refused_and_nothing_is_written(
    client: TestClient, shelf: Path, word: str, fields: dict[str, str], status: int, message: str
) -> None:
    """One message that says where and what to do."""
    before = entries(shelf)
    answer = client.post(f"{CASE}/record/{quote(word)}", data={"who": "Ines"} | fields, headers=JSON)
    assert answer.status_code == status
    assert message in answer.json()["error"]
    assert entries(shelf) == before


def test_a_correction_strikes_through_and_both_remain(client: TestClient, shelf: Path) -> None:
    """What was emptied is taken out, the rest stays; a second correction is a conflict."""
    entry = written(client, "earth resistance", reading="52 Ω", instrument="meter", **{"condition.length": "5 m"})
    place = f"{CASE}/entry/{entry['id']}"
    assert "What was wrong" in client.get(place).text
    form = {"who": "Piet", "reason": "wrong prefix", "reading": "52 mΩ", "instrument": "meter", "ambient": "19 °C"}
    answer = client.post(f"{place}/correct", data=form, headers=JSON)
    assert answer.status_code == 201
    later = answer.json()
    assert (later["readings"], later["conditions"], later["replaces"]) == (["52 mΩ"], {}, entry["id"])
    text = unescape(client.get(f"{CASE}/evidence").text)
    assert '<del><span class="figure">52 Ω</span></del>' in text
    assert "wrong prefix" in text
    again = client.post(f"{place}/correct", data=form, headers=JSON)
    assert again.status_code == 409
    assert str(later["id"]) in again.json()["error"]
    assert client.post(f"{place}/withdraw", data={"who": "Piet", "reason": "late"}, headers=JSON).status_code == 409
    shown = client.post(f"{place}/correct", data=form, headers={"hx-request": "true"})
    assert shown.status_code == 409
    assert "Piet was first" in shown.text
    assert f"{CASE}/entry/{later['id']}" in shown.text
    assert "<h1>Corrected meanwhile</h1>" in client.post(f"{place}/withdraw", data={"who": "A", "reason": "b"}).text
    none = client.post(f"{CASE}/entry/{later['id']}/correct", data=form, headers=JSON)
    assert none.status_code == 422
    assert "nothing to correct" in none.json()["error"]
    taken = client.post(
        f"{CASE}/entry/{later['id']}/withdraw", data={"who": "Piet", "reason": "not this lead"}, headers=JSON
    )
    assert taken.json()["withdraws"] is True
    row = (
        unescape(client.get(f"{CASE}/evidence").text).split(f'<li id="entry-{taken.json()["id"]}"')[1].split("</li>")[0]
    )
    assert f'Withdraws <a href="#entry-{later["id"]}">entry' in row
    assert "In the place of" not in row
    assert "<dt>Withdraws</dt>" in client.get(f"{CASE}/entry/{taken.json()['id']}").text
    held = open_case(shelf / "skerrow-16").effective()
    assert held.history_of(str(entry["id"])).counts is None
    assert "Its history" in client.get(place).text
    assert client.get(f"{CASE}/entry/20260101").status_code == 404


def test_an_entry_is_made_private_and_stays_so(client: TestClient, shelf: Path) -> None:
    """By a correction that changes nothing else."""
    entry = written(client, "remark", note="order number 7731")
    form = {"who": "Ines", "reason": "names the order", "note": "order number 7731", "private": "yes"}
    made = client.post(f"{CASE}/entry/{entry['id']}/correct", data=form, headers=JSON).json()
    assert made["private"] is True
    assert made["note"] == "order number 7731"


def test_a_file_is_filed_at_once_where_it_is_said_what_it_shows(client: TestClient, shelf: Path) -> None:
    """By the entry's own form: a capture is read, a picture kept as it came, and given out as it came."""
    answer = client.post(
        f"{CASE}/record/pilot%20capture",
        data={"who": "Ines", "condition.load": "steps", "instrument": "scope"},
        files=[("file", ("steps.csv", capture_text()))],
        headers=JSON,
    )
    assert answer.status_code == 201, answer.text
    (entry,) = answer.json()["entries"]
    assert entry["evidence"]["original_name"] == "steps.csv"
    shown = client.post(
        f"{CASE}/record/photograph",
        data={"who": "Ines", "condition.of": "the plug"},
        files=[("file", ("plug.png", PICTURE)), ("file", ("../../plug.png", PICTURE + b"1"))],
        headers=JSON,
    )
    pictures = shown.json()["entries"]
    assert [one["evidence"]["original_name"] for one in pictures] == ["plug-2.png", "plug.png"]
    out = client.get(f"{CASE}/entry/{pictures[1]['id']}/file")
    assert (out.content, out.headers["content-type"]) == (PICTURE, "image/png")
    assert "sandbox" in out.headers["content-security-policy"]
    kept = client.get(f"{CASE}/entry/{entry['id']}/file")
    assert kept.headers["content-disposition"].startswith("attachment")
    assert kept.content == capture_text()
    assert arrivals(shelf / "skerrow-16") == ()


def test_files_are_held_until_somebody_says_what_they_show(client: TestClient, shelf: Path) -> None:
    """Each with what it seems to be; pictures go together, a capture that may be read in two ways asks first."""
    held = brought(
        client, ("a.png", PICTURE), ("b.jpg", b"\xff\xd8\xff\xe0" + b"\0" * 40), ("two.csv", TWO_VOLTAGES.encode())
    )
    place = f"{CASE}/add/{held['token']}"
    told = client.get(f"{place}.json?file=two.csv").json()
    assert [one["proposed"] for one in told["files"]] == ["photograph", "photograph", "pilot capture"]
    assert "2 columns can be the voltage" in told["asks"]
    assert told["file"]["rows"][0] == "t,CH1,CH2"
    assert told["file"]["columns"] == ["t", "CH1", "CH2"]
    text = unescape(client.get(f"{place}?file=two.csv").text)
    assert "'voltage' CH1" in text
    assert "--voltage" not in text
    assert client.get(f"{place}/file?file=a.png").content == PICTURE

    both = client.post(f"{place}/pictures", data={"who": "Ines"}, headers=JSON)
    assert [one["shows"] for one in both.json()["entries"]] == ["photograph", "photograph"]
    assert both.headers["location"] == place

    form = {"file": "two.csv", "shows": "pilot capture", "who": "Ines", "condition.load": "steps"}
    refused = client.post(place, data=form, headers=JSON)
    assert refused.status_code == 422
    said = form | {"choice.voltage": "CH1", "choice.output": "CH2"}
    tried = client.post(f"{place}/tried", data=said, headers=JSON).json()
    assert tried["asks"] == ""
    assert ["voltage column", "CH1"] in tried["read"]
    filed = client.post(place, data=said | {"instrument": "scope", "forget": "yes"}, headers=JSON)
    assert filed.status_code == 201, filed.text
    assert filed.headers["location"].startswith(f"{CASE}/evidence#entry-")
    assert "CH1" not in "".join(path.read_text() for path in (shelf / "dialects").glob("scope*"))
    assert client.get(place).status_code == 404


def test_a_file_that_asks_is_held_by_a_form_and_dropped_by_a_program(client: TestClient, shelf: Path) -> None:
    """A form says ``hold`` and is led to the question with what was typed; a program gets the message alone."""
    place, file = f"{CASE}/record/pilot%20capture", [("file", ("two.csv", TWO_VOLTAGES.encode()))]
    alone = client.post(place, data={"who": "Ines"}, files=file, headers=JSON)
    assert alone.status_code == 422
    assert arrivals(shelf / "skerrow-16") == ()
    asked = client.post(place, data={"who": "Ines", "hold": "yes", "condition.load": "steps"}, files=file)
    assert asked.status_code == 303
    told = client.get(f"{asked.headers['location']}.json").json()
    assert (told["word"], told["typed"]["condition.load"]) == ("pilot capture", ["steps"])
    away = client.post(f"{asked.headers['location']}/away", data={"file": "two.csv"}, headers=JSON)
    assert away.json()["files"] == []
    assert arrivals(shelf / "skerrow-16") == ()


@pytest.mark.parametrize(
    "name", ["../evil.txt", "..\\evil.txt", "/etc/evil.txt", ".", "..", "con\0trol.txt", "x" * 400]
)
def test_no_name_of_a_file_leads_out_of_the_case(client: TestClient, shelf: Path, name: str) -> None:
    """Whatever it is called, it lies where arrivals lie, under a plain name."""
    held = brought(client, (name, b"words"))
    (found,) = arrivals(shelf / "skerrow-16")
    assert [path.parent.name for path in found.place.iterdir()] == ["files"]
    assert client.post(f"{CASE}/add/{held['token']}/away", headers=JSON).status_code == 200
    assert not list(shelf.parent.rglob("evil*"))


def test_what_does_not_wait_is_not_found(client: TestClient) -> None:
    """Neither by a token of another form nor by a path in its place."""
    for token in ("0" * 16, "x", "files"):
        assert client.get(f"{CASE}/add/{token}").status_code == 404, token
        assert client.post(f"{CASE}/add/{token}/away", headers=JSON).status_code == 404, token
    assert client.post(f"{CASE}/add", data={"who": "Ines"}, headers=JSON).status_code == 422


def test_an_address_is_evidence_too(client: TestClient) -> None:
    """A video elsewhere, with its time code."""
    entry = written(client, "video", address="https://example.org/v", time_code="03:12", **{"condition.of": "arc"})
    assert entry["evidence"] == {
        **json.loads(json.dumps(entry["evidence"])),
        "address": "https://example.org/v",
        "time_code": "03:12",
    }


def test_the_evidence_is_sieved_by_words(client: TestClient) -> None:
    """All words, in any order, in what an entry holds."""
    written(client, "remark", note="the box hums")
    written(client, "opened", note="with two screws")
    whole = client.get(f"{CASE}/evidence.json").json()
    some = client.get(f"{CASE}/evidence.json?words=hums remark").json()
    assert 0 < sum(map(len, some["days"].values())) < sum(map(len, whole["days"].values()))
    assert all("hums" in line["entry"]["note"] for day in some["days"].values() for line in day)
    assert whole["recent"][0] == "opened"


def test_readings_are_a_table(client: TestClient) -> None:
    """One row each, corrected ones struck through, private ones left out; the same as a file for other programs."""
    written(client, "wiring map", **{f"pair.{pair}": found for pair, found in pairs().items()})
    written(client, "refusal with no earth in the supply", answer="yes", private="yes")
    wrong = written(client, "earth resistance", reading="53 Ω", instrument="meter")
    right = {"who": "Piet", "reason": "wrong prefix", "reading": "53 mΩ", "instrument": "meter"}
    assert client.post(f"{CASE}/entry/{wrong['id']}/correct", data=right, headers=JSON).status_code == 201
    told = client.get(f"{CASE}/readings.json").json()
    assert {row["counts"] for row in told["rows"]} == {True, False}
    some = client.get(f"{CASE}/readings.json?shows=wiring map").json()["rows"]
    assert len(some) == len(pairs())
    text = client.get(f"{CASE}/readings").text
    assert "<del>53 Ω</del>" in text
    assert "refusal with no earth in the supply" not in text
    table = client.get(f"{CASE}/readings.csv")
    assert table.headers["content-disposition"] == "attachment; filename*=UTF-8''skerrow-16-readings.csv"
    assert table.text.count("\r\n") == len(told["rows"]) + 1
    assert client.get(f"{CASE}/readings?shows=nothing").status_code == 404


def test_the_way_a_file_was_read_is_shown_and_forgotten(client: TestClient, shelf: Path) -> None:
    """It stands with its instrument; forgotten, what was filed keeps its own."""
    form = {"who": "Ines", "condition.load": "steps", "instrument": "scope"}
    filed = [("file", ("read.csv", capture_text()))]
    assert client.post(f"{CASE}/record/pilot%20capture", data=form, files=filed, headers=JSON).status_code == 201
    assert "How its captures are read" in client.get("/instruments").text
    place = "/instruments/scope/forget"
    done = client.post(place, data={"what": "captures"}, headers=JSON)
    assert (done.status_code, done.json()["captures"]) == (200, [])
    assert not (shelf / "dialects" / "scope.json").exists()
    assert list((shelf / "skerrow-16" / "dialects").glob("*.json"))
    assert client.post(place, data={"what": "captures"}, headers=JSON).status_code == 422
    assert client.post("/instruments/tongs/forget", data={"what": "logs"}, headers=JSON).status_code == 404


def test_a_picture_is_shown_in_small_and_upright(client: TestClient) -> None:
    """Turned as the camera says, without what it wrote into the file; what is no picture comes as it is."""
    image, out, out_exif = Image.new("RGB", (1600, 800), "white"), io.BytesIO(), Image.Exif()
    out_exif[0x0112] = 6
    image.save(out, "JPEG", exif=out_exif)
    answer = client.post(
        f"{CASE}/record/photograph",
        data={"who": "Ines"},
        files=[("file", ("turned.jpg", out.getvalue())), ("file", ("broken.png", PICTURE + b"b"))],
        headers=JSON,
    )
    broken, turned = answer.json()["entries"]
    small = client.get(f"{CASE}/entry/{turned['id']}/small")
    with Image.open(io.BytesIO(small.content)) as seen:
        assert (seen.format, seen.size) == ("JPEG", (240, 480))
        assert dict(seen.getexif()) == {}
    assert client.get(f"{CASE}/entry/{broken['id']}/small").content == PICTURE + b"b"
    assert client.get(f"{CASE}/entry/none/small").status_code == 404


def test_how_the_files_of_an_instrument_were_read_is_tried_first(client: TestClient) -> None:
    """Said once for the first of its captures, it needs no saying for the next."""
    form = {"who": "Ines", "instrument": "scope", "choice.voltage": "CH1", "choice.output": "CH2"}
    first = client.post(
        f"{CASE}/record/pilot%20capture", data=form, files=[("file", ("a.csv", TWO_VOLTAGES.encode()))], headers=JSON
    )
    assert first.status_code == 201, first.text
    held = brought(client, ("b.csv", (TWO_VOLTAGES + "0.001600,12,0.0\n").encode()))
    place, asked = f"{CASE}/add/{held['token']}/tried", {"file": "b.csv", "shows": "pilot capture"}
    assert "2 columns" in client.post(place, data=asked, headers=JSON).json()["asks"]
    told = client.post(place, data=asked | {"instrument": "scope"}, headers=JSON).json()
    assert ["output column", "CH2"] in told["read"]
    client.post(f"{CASE}/add/{held['token']}/away")


def test_what_was_recorded_last_is_at_the_top_and_earlier_days_are_folded(client: TestClient) -> None:
    """One order throughout; a sieve folds nothing away."""
    written(client, "remark", note="the plug was warm", made="2026-03-14 10:20")
    written(client, "remark", note="the plug was hot", made="2026-03-14 10:40")
    told = client.get(f"{CASE}/evidence.json").json()
    made = [line["entry"]["made"] for lines in told["days"].values() for line in lines]
    assert made == sorted(made, reverse=True)
    text = client.get(f"{CASE}/evidence").text
    shown = re.findall(r'<li id="entry-([^"]+)"', text)
    assert shown == [line["entry"]["id"] for lines in told["days"].values() for line in lines]
    folds = re.findall(r'<details class="day"( open)?>', text)
    assert (len(folds), folds.count(" open"), folds[0]) == (len(told["days"]), 1, " open")
    assert len(folds) > 1
    sieved = client.get(f"{CASE}/evidence", params={"words": "ines"}).text
    assert "" not in re.findall(r'<details class="day"( open)?>', sieved)


def test_a_log_says_in_its_row_that_its_first_stamp_dates_it(client: TestClient) -> None:
    """Its form says so before, its row and its page after, under the day of the stamp."""
    form = client.get(f"{CASE}/record/charging%20log").text
    assert "When; by the first stamp of the file where left empty" in form
    log = b"Time,Power (W)\n2026-05-02T07:30:00Z,5\n2026-05-02T07:31:00Z,6\n"
    answer = client.post(
        f"{CASE}/record/charging%20log", data={"who": "Ines"}, files={"file": ("log.csv", log)}, headers=JSON
    )
    (entry,) = answer.json()["entries"]
    listed = client.get(f"{CASE}/evidence.json").json()
    assert entry["id"] in [line["entry"]["id"] for line in listed["days"]["2026-05-02"]]
    assert "07:30 by its first stamp" in client.get(f"{CASE}/evidence").text
    page = client.get(f"{CASE}/entry/{entry['id']}").text
    assert "by its first stamp" in page
    assert "When, where that was wrong; else as it is" in page


def test_a_recording_filed_twice_is_asked_about_in_its_row(client: TestClient) -> None:
    """Under another name and in another format; the link leads to the first, which asks nothing."""
    rows = [f"2026-05-03T07:{n:02d}:00Z" for n in range(9)]
    one = "Time,Power (W)\n" + "".join(f"{t},{n % 4}\n" for n, t in enumerate(rows))
    other = "Zeit;Leistung (W)\n" + "".join(f"{t};{n % 4},0\n" for n, t in enumerate(rows))
    filed = []
    for name, text in (("log.csv", one), ("export.csv", other)):
        file = {"file": (name, text.encode())}
        answer = client.post(f"{CASE}/record/charging%20log", data={"who": "Ines"}, files=file, headers=JSON)
        filed.append(answer.json()["entries"][0]["id"])
    assert any("the same recording?" in one for one in answer.json()["remarks"])
    told = client.get(f"{CASE}/evidence").text.split(f'<li id="entry-{filed[1]}"')[1].split("</li>")[0]
    assert f'The same recording as <a href="#entry-{filed[0]}">' in told
    lines = client.get(f"{CASE}/evidence.json").json()["days"]["2026-05-03"]
    assert {line["entry"]["id"]: line["same_as"] for line in lines} == {filed[0]: "", filed[1]: filed[0]}
    assert "The same recording as" in client.get(f"{CASE}/entry/{filed[1]}").text
