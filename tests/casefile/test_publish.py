"""Issues: numbered, frozen, each saying what changed; nothing private, nothing twice."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from coldpin.casefile import Case
from coldpin.casefile.changes import FIRST
from coldpin.errors import CaseError
from coldpin.records.assessment import Assessment
from coldpin.records.entry import Entry, EntryKind, EvidenceFile
from coldpin.records.finding import Outcome
from coldpin.records.plain import from_json, to_json

FILES = {"report.html": b"<p>Skerrow 16</p>", "report.pdf": b"%PDF-1.7 \xff"}
DAY = "2026-03-14"
REMARK: dict[str, Any] = {"kind": EntryKind.OBSERVATION, "shows": "remark"}


@pytest.fixture
def changed(assessment: Assessment) -> Assessment:
    finding = dataclasses.replace(assessment.findings[0], outcome=Outcome.BEYOND)
    return dataclasses.replace(assessment, findings=(finding,))


def test_an_issue_holds_the_reports_the_record_and_their_hashes(case: Case, assessment: Assessment) -> None:
    """Everything a reader needs to see that it is whole."""
    issue = case.publish(assessment, FILES, issued_on=DAY)

    assert (issue.number, issue.issued_on, issue.changes) == ("01", DAY, (FIRST,))
    assert issue.folder == case.folder / "issued" / "01"
    contents = {path.name: path.read_bytes() for path in issue.folder.iterdir()}
    assert sorted(contents) == ["assessment.json", "changes.json", "manifest.json", "report.html", "report.pdf"]
    assert contents["report.pdf"] == FILES["report.pdf"]
    assert to_json(from_json(Assessment, contents["assessment.json"], where="x")) == to_json(assessment)
    assert json.loads(contents["changes.json"]) == {
        "schema": "coldpin.changes/1",
        "since": None,
        "changes": ["This is the first issue."],
    }
    manifest = json.loads(contents.pop("manifest.json"))
    assert manifest["schema"] == "coldpin.issue/1"
    assert {file["name"]: file["sha256"] for file in manifest["files"]} == {
        name: hashlib.sha256(data).hexdigest() for name, data in contents.items()
    }
    assert all(path.stat().st_mode & 0o222 == 0 for path in issue.folder.iterdir())


def test_the_next_issue_says_what_changed(case: Case, assessment: Assessment, changed: Assessment) -> None:
    """Before publishing, for the report to print, and in the issue; the first stays as it was."""
    first = case.publish(assessment, FILES, issued_on=DAY)
    before = {path.name: path.read_bytes() for path in first.folder.iterdir()}
    said = case.changes_since_last_issue(changed)

    second = case.publish(changed, FILES, issued_on="2026-04-01")

    assert second.number == "02"
    assert said == second.changes == ("Resistance of the earth conductor: outcome was within, is now beyond.",)
    assert case.issues() == (first, second)
    assert case.check_issues() == ()
    assert {path.name: path.read_bytes() for path in first.folder.iterdir()} == before


def test_the_same_is_not_published_twice(case: Case, assessment: Assessment) -> None:
    """Another day is nothing new; another file, version or finding is."""
    case.publish(assessment, {"report.html": b"x"}, issued_on=DAY)
    later = dataclasses.replace(assessment, assessed_on="2026-04-01")

    with pytest.raises(CaseError, match="issue 01 says the same already: there is nothing new to publish"):
        case.publish(later, {"report.html": b"y"}, issued_on="2026-04-01")
    assert len(case.issues()) == 1
    assert case.publish(later, FILES, issued_on="2026-04-01").number == "02"
    newer = dataclasses.replace(later, program_version="0.2.0")
    assert case.publish(newer, FILES, issued_on="2026-04-01").number == "03"


def test_the_number_printed_in_the_reports_is_the_number_of_the_issue(case: Case, assessment: Assessment) -> None:
    """Where another issue came in between, they are to be made again."""
    with pytest.raises(CaseError, match="printed as issue 02, but the next is 01: make them again"):
        case.publish(assessment, FILES, issued_on=DAY, number=2)
    assert case.publish(assessment, FILES, issued_on=DAY, number=1).number == "01"


@pytest.mark.parametrize(
    ("files", "day", "told"),
    [
        ({"../report.html": b"x"}, DAY, "cannot be a file of an issue"),
        ({"manifest.json": b"{}"}, DAY, "cannot be a file of an issue"),
        ({"report.html": b""}, DAY, "'report.html' is empty"),
        ({"assessment.json": b"{}"}, DAY, "is not what the assessment says"),
        (FILES, "14.3.2026", "day of issue '14.3.2026' is not a date"),
    ],
)
def test_what_is_no_issue_is_refused(
    case: Case, assessment: Assessment, files: dict[str, bytes], day: str, told: str
) -> None:
    """Nothing is left behind."""
    with pytest.raises(CaseError, match=told):
        case.publish(assessment, files, issued_on=day)
    assert list((case.folder / "issued").iterdir()) == []


def test_the_record_may_be_given_as_a_file_if_it_is_the_same(case: Case, assessment: Assessment) -> None:
    """Some callers have it written already."""
    files = FILES | {"assessment.json": to_json(assessment).encode()}

    assert case.publish(assessment, files, issued_on=DAY).number == "01"


def test_a_private_entry_is_not_published(case: Case, assessment: Assessment, make: Callable[..., Entry]) -> None:
    """Not as an entry of the assessment."""
    order = case.append(make(**REMARK, note="order 4711-0815", private=True))

    with pytest.raises(CaseError, match=f"entry {order.id} is private and would be published"):
        case.publish(dataclasses.replace(assessment, entries=(order,)), FILES, issued_on=DAY)
    slipped = dataclasses.replace(order, private=False)
    with pytest.raises(CaseError, match=f"entry {order.id} is private and would be published"):
        case.publish(dataclasses.replace(assessment, entries=(slipped,)), FILES, issued_on=DAY)
    assert case.issues() == ()


@pytest.mark.parametrize(
    "leak",
    [
        {"style.css": b"{ order 4711-0815 }"},
        {"report.html": b"<p>bought with order &#52;711-0815</p>"},
        {"report.html": b"<p>bought</p>", "notes.json": b'{"a": ["order 4711-0815"]}'},
    ],
    ids=["style", "page", "json"],
)
def test_the_words_of_a_private_entry_are_found_in_what_is_published(
    case: Case, assessment: Assessment, make: Callable[..., Entry], leak: dict[str, bytes]
) -> None:
    """By whatever way they came there."""
    order = case.append(make(**REMARK, note="paid in cash\norder 4711-0815", private=True))

    with pytest.raises(CaseError, match=f"shows 'order 4711-0815' of the private entry {order.id}"):
        case.publish(assessment, leak, issued_on=DAY)
    assert case.issues() == ()
    case.publish(assessment, {"report.html": b"<p>bought</p>"}, issued_on=DAY)


def test_the_names_of_private_files_and_entries_are_found_too(
    case: Case, assessment: Assessment, make: Callable[..., Entry], tmp_path: Path
) -> None:
    """In the assessment itself."""
    letter = tmp_path / "letter from the seller.pdf"
    letter.write_bytes(b"%PDF-")
    samples = tmp_path / "samples of the seller.dat"
    samples.write_bytes(b"1,0,3")
    beside = case.file_evidence(samples, "document")
    filed = dataclasses.replace(case.file_evidence(letter, "document"), companion=beside)
    order = case.append(make(kind="evidence", shows="document", evidence=filed, private=True))
    for secret in (order.id, filed.original_name, filed.file, beside.original_name, beside.file):
        shown = dataclasses.replace(assessment, limits_of_the_work=(f"see {secret}.",))
        with pytest.raises(CaseError, match=r"assessment\.json shows"):
            case.publish(shown, FILES, issued_on=DAY)


def test_words_that_are_public_elsewhere_are_no_secret(
    case: Case, assessment: Assessment, make: Callable[..., Entry]
) -> None:
    """A private remark that names the seller does not hide the seller."""
    case.append(make(**REMARK, note="quayside stall", private=True))
    case.append(make(**REMARK, note="short", private=True))
    page = {"report.html": b"<p>bought at the quayside stall, short cable</p>"}

    assert case.publish(assessment, page, issued_on=DAY).number == "01"


def test_what_was_changed_after_publishing_is_told(case: Case, assessment: Assessment, changed: Assessment) -> None:
    """A file, a manifest, an addition, a loss: each is seen."""
    first = case.publish(assessment, FILES, issued_on=DAY)
    case.publish(changed, FILES, issued_on=DAY)
    report, manifest = first.folder / "report.html", first.folder / "manifest.json"
    for path in (report, manifest):
        path.chmod(0o644)
    original = report.read_bytes(), manifest.read_bytes()

    report.write_bytes(b"<p>All is well</p>")
    (problem,) = case.check_issues()
    assert (problem.where, problem.what) == (
        "issued/01/report.html",
        "was changed since it was published: put the original back",
    )
    # Whoever also mends the manifest is seen by the next issue's.
    old, new = (hashlib.sha256(data).hexdigest().encode() for data in (original[0], b"<p>All is well</p>"))
    manifest.write_bytes(original[1].replace(old, new))
    (problem,) = case.check_issues()
    assert problem.where == "issued/02"
    assert "issue 01, which came before it, was changed since" in problem.what

    report.write_bytes(original[0])
    manifest.write_bytes(original[1])
    (first.folder / "praise.html").write_bytes(b"x")
    (problem,) = case.check_issues()
    assert (problem.where, problem.what) == ("issued/01/praise.html", "was added after publishing: take it out")

    (first.folder / "praise.html").unlink()
    report.unlink()
    (problem,) = case.check_issues()
    assert problem.where == "issued/01"
    assert "report.html is not there" in problem.what


HEAD = '"number": "01", "issued_on": "", "title": "", "program_version": ""'


@pytest.mark.parametrize(
    ("manifest", "told"),
    [
        ("{", "not JSON"),
        ('{"schema": "coldpin.issue/9"}', "is missing"),
        (f'{{"schema": "coldpin.issue/9", {HEAD}, "files": []}}', "this program reads 'coldpin.issue/1'"),
        (
            f'{{"schema": "coldpin.issue/1", {HEAD}, "files": [{{"name": "../x", "size": 1, "sha256": ""}}]}}',
            "which is no plain file name",
        ),
        (f'{{"schema": "coldpin.issue/1", {HEAD}, "files": [], "previous": "../.."}}', "is no number of an issue"),
    ],
    ids=["broken", "keys missing", "later", "traversal", "traversal back"],
)
def test_a_manifest_from_elsewhere_is_read_with_care(
    case: Case, assessment: Assessment, manifest: str, told: str
) -> None:
    """It is told, leads nowhere, and does not stop the next issue."""
    first = case.publish(assessment, FILES, issued_on=DAY)
    path = first.folder / "manifest.json"
    path.chmod(0o644)
    path.write_text(manifest, encoding="utf-8")

    problems = case.check_issues()

    assert any(told in problem.what for problem in problems)
    later = dataclasses.replace(assessment, edition="sae")
    assert case.publish(later, FILES, issued_on=DAY).number == "02"


def test_an_issue_that_cannot_be_read_back_does_not_stop_the_next(case: Case, assessment: Assessment) -> None:
    """The changes say so."""
    first = case.publish(assessment, FILES, issued_on=DAY)
    (first.folder / "assessment.json").chmod(0o644)
    (first.folder / "assessment.json").write_bytes(b"{}")

    second = case.publish(assessment, FILES, issued_on=DAY)

    assert second.changes[0].startswith("Issue 01 cannot be compared with this one: issued/01/assessment.json: ")


def test_numbers_go_on_after_the_hundredth(case: Case, assessment: Assessment) -> None:
    """Sorted as numbers, not as words; other names in the folder are no issues."""
    for name in ("99", "100", "draft"):
        (case.folder / "issued" / name).mkdir()

    with pytest.raises(CaseError, match=r"manifest\.json is not there"):
        case.publish(assessment, FILES, issued_on=DAY)
    (case.folder / "issued" / "100" / "manifest.json").write_bytes(b"{}")
    assert case.publish(assessment, FILES, issued_on=DAY).number == "101"


def test_two_who_publish_at_once_get_two_numbers(case: Case, assessment: Assessment, tmp_path: Path) -> None:
    """The lock lets one after the other; neither issue is lost."""
    script = (
        "import sys\n"
        "from pathlib import Path\n"
        "from coldpin.casefile import open_case\n"
        "from coldpin.records.assessment import Assessment\n"
        "from coldpin.records.plain import from_json\n"
        "case, path = open_case(sys.argv[1]), Path(sys.argv[2])\n"
        "assessment = from_json(Assessment, path.read_bytes(), where='test')\n"
        "print(case.publish(assessment, {'report.html': b'x'}, issued_on='2026-03-14').number)\n"
    )
    hands = []
    for edition in ("iec-2", "iec-3", "sae"):
        path = tmp_path / f"{edition}.json"
        path.write_text(to_json(dataclasses.replace(assessment, edition=edition)), encoding="utf-8")
        command = [sys.executable, "-c", script, str(case.folder), str(path)]
        hands.append(subprocess.Popen(command, stdout=subprocess.PIPE, text=True))

    numbers = sorted(hand.communicate(timeout=60)[0].strip() for hand in hands)

    assert numbers == ["01", "02", "03"]
    assert case.check_issues() == ()
    assert all(hand.returncode == 0 for hand in hands)


def test_drafts_can_be_made_again(case: Case) -> None:
    """A draft replaces the earlier draft; only plain names."""
    case.write_report("report.html", b"one")
    path = case.write_report("report.html", b"two")

    assert path.read_bytes() == b"two"
    for name in ("../x", "a/b", "", ".hidden", "a\0"):
        with pytest.raises(CaseError, match="is not a plain file name"):
            case.write_report(name, b"x")


def test_addresses_of_private_entries_count_as_their_words(
    case: Case, assessment: Assessment, make: Callable[..., Entry]
) -> None:
    """A video that is not public."""
    video = EvidenceFile(media="video", address="https://example.org/unlisted")
    case.append(make(kind="evidence", shows="video", evidence=video, private=True))

    with pytest.raises(CaseError, match=r"shows 'https://example\.org/unlisted'"):
        case.publish(assessment, {"report.html": b'<a href="https://example.org/unlisted">'}, issued_on=DAY)
