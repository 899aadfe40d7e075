"""Bags: as RFC 8493 has them, and every file of them accounted for."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import bagit  # type: ignore[import-untyped]  # the library has no types
import pytest

from coldpin.casefile.bag import check_bag, make_bag
from coldpin.errors import CaseError


@pytest.fixture
def bag(tmp_path: Path) -> Path:
    """A bag of two files."""
    folder = tmp_path / "kept"
    (folder / "below").mkdir(parents=True)
    (folder / "a.txt").write_bytes(b"first\n")
    (folder / "below" / "b é.txt").write_bytes(b"second\n")
    make_bag(folder, {"Bagging-Date": "2026-05-30"})
    return folder


@pytest.mark.published("RFC 8493, 2.1.1 (declaration), 2.1.3 (payload manifest), 2.2.1 (tag manifest), 2.2.2 (Oxum)")
def test_a_bag_is_as_the_rfc_has_it(bag: Path) -> None:
    """Declaration of version 1.0, each payload file with its sha256, each other file in the tag manifest."""
    declared = (bag / "bagit.txt").read_bytes()
    manifest = (bag / "manifest-sha256.txt").read_text(encoding="utf-8").splitlines()
    tags = (bag / "tagmanifest-sha256.txt").read_text(encoding="utf-8").splitlines()

    assert declared == b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
    assert sorted(line.split(None, 1)[1] for line in manifest) == ["data/a.txt", "data/below/b é.txt"]
    assert sorted(line.split(None, 1)[1] for line in tags) == ["bag-info.txt", "bagit.txt", "manifest-sha256.txt"]
    for line in (*manifest, *tags):
        digest, name = line.split(None, 1)
        assert hashlib.sha256((bag / name).read_bytes()).hexdigest() == digest
    info = (bag / "bag-info.txt").read_text(encoding="utf-8")
    assert "Payload-Oxum: 13.2" in info
    assert "Bagging-Date: 2026-05-30" in info


@pytest.mark.independent("the library bagit validates what was rewritten after it")
def test_the_library_validates_it(bag: Path) -> None:
    """Version 1.0 with our tag manifest is valid to it."""
    assert bagit.Bag(str(bag)).validate()
    assert check_bag(bag) == ()


@pytest.mark.parametrize(
    "name", ["data/a.txt", "data/below/b é.txt", "bag-info.txt", "bagit.txt", "manifest-sha256.txt"]
)
def test_a_changed_file_is_named(bag: Path, name: str) -> None:
    """One byte more, and the check says which file."""
    (bag / name).write_bytes((bag / name).read_bytes() + b"\n")

    told = check_bag(bag)

    assert name in {problem.where for problem in told}
    assert all("was changed since the bundle was made" in problem.what for problem in told if problem.where == name)


def test_a_missing_file_is_named(bag: Path) -> None:
    """What the manifest lists and is not there."""
    (bag / "data" / "a.txt").unlink()

    assert ("data/a.txt", "is missing") in {(problem.where, problem.what) for problem in check_bag(bag)}


@pytest.mark.parametrize("name", ["data/new.txt", "new.txt"])
def test_an_added_file_is_named(bag: Path, name: str) -> None:
    """In the payload or beside it."""
    (bag / name).write_bytes(b"x")

    assert any(problem.where == name and "added" in problem.what for problem in check_bag(bag))


def test_a_manifest_that_leads_out_of_the_bag_is_told(bag: Path) -> None:
    """No file outside is looked at."""
    manifest = bag / "manifest-sha256.txt"
    manifest.write_text(manifest.read_text(encoding="utf-8") + f"{'0' * 64}  ../../x\n", encoding="utf-8")

    assert check_bag(bag)


@pytest.mark.parametrize("name", ["bagit.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt"])
def test_what_is_no_bag_is_refused(bag: Path, name: str) -> None:
    """Without its manifests nothing can be checked."""
    (bag / name).unlink()

    with pytest.raises(CaseError, match=name):
        check_bag(bag)


def test_a_bag_that_wants_to_fetch_is_refused(bag: Path) -> None:
    """Nothing is fetched from anywhere."""
    (bag / "fetch.txt").write_text("http://x.invalid/a 1 data/z\n", encoding="utf-8")

    with pytest.raises(CaseError, match="fetched from elsewhere"):
        check_bag(bag)


@pytest.mark.parametrize("declared", ["BagIt-Version: 7.0\nTag-File-Character-Encoding: UTF-8\n", "nothing", ""])
def test_an_unknown_declaration_is_told(bag: Path, declared: str) -> None:
    """A version that is not known, or none."""
    (bag / "bagit.txt").write_text(declared, encoding="utf-8")

    assert check_bag(bag)


def mended(bag: Path) -> None:
    """Let the manifest of the tag files agree with them again, as whoever tampers would."""
    names = [line.split(None, 1)[1] for line in (bag / "tagmanifest-sha256.txt").read_text("utf-8").splitlines()]
    lines = [f"{hashlib.sha256((bag / name).read_bytes()).hexdigest()} {name}\n" for name in names]
    (bag / "tagmanifest-sha256.txt").write_text("".join(lines), encoding="utf-8")


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("bagit.txt", lambda data: data.replace(b"1.0", b"7.0")),
        ("bagit.txt", lambda data: data.replace(b"UTF-8", b"UTF-16")),
        ("bagit.txt", lambda data: data.replace(b"UTF-8", b"no such thing")),
        ("bagit.txt", lambda data: b"\xef\xbb\xbf" + data),
        ("bagit.txt", lambda data: data.replace(b"BagIt-Version: 1.0\n", b"")),
        ("manifest-sha256.txt", lambda data: data.split(b"\n", 1)[1]),
        ("manifest-sha256.txt", lambda data: data[:0]),
        ("manifest-sha256.txt", lambda data: data + data.replace(b"a.txt", b"A.TXT")),
        ("manifest-sha256.txt", lambda data: data.replace(b"data/a.txt", b"data/../../a.txt")),
        ("manifest-sha256.txt", lambda data: data.replace(b"data/a.txt", b"/etc/hostname")),
        ("manifest-sha256.txt", lambda data: data.replace(b"data/a.txt", b"data\\a.txt")),
        ("manifest-sha256.txt", lambda data: data + b"\xff\xfe data/z\n"),
        ("manifest-sha256.txt", lambda data: b"0" * 10 + data[10:]),
        ("bag-info.txt", lambda data: data.replace(b"13.2", b"13.1")),
        ("bag-info.txt", lambda data: data.replace(b"13.2", b"12.2")),
    ],
)
def test_whoever_mends_the_tag_manifest_too_is_found(bag: Path, name: str, change: Callable[[bytes], bytes]) -> None:
    """Other versions and codings, lines gone, added or leading elsewhere, wrong totals: told, never a fault of ours."""
    before = (bag / name).read_bytes()
    (bag / name).write_bytes(change(before))
    assert (bag / name).read_bytes() != before
    mended(bag)

    assert check_bag(bag)


def test_a_file_that_the_tag_manifest_no_longer_names_is_told(bag: Path) -> None:
    """A line gone from it would leave a file without any hash."""
    path = bag / "tagmanifest-sha256.txt"
    kept = [line for line in path.read_text("utf-8").splitlines(keepends=True) if "bag-info.txt" not in line]
    path.write_text("".join(kept), encoding="utf-8")
    (bag / "bag-info.txt").write_bytes((bag / "bag-info.txt").read_bytes() + b"Contact-Name: somebody\n")

    assert any(problem.where == "bag-info.txt" for problem in check_bag(bag))


def test_a_folder_of_further_tag_files_is_told(bag: Path) -> None:
    """RFC 8493 lets bags have them; ours have none, and nothing of them is read."""
    (bag / "extra").mkdir()
    (bag / "extra" / "x.txt").write_bytes(b"x")

    assert any(problem.where == "extra" for problem in check_bag(bag))


def test_a_name_that_manifests_write_in_two_ways_is_refused(tmp_path: Path) -> None:
    """Per cent signs are escaped since 1.0 and were not before."""
    (tmp_path / "kept").mkdir()
    (tmp_path / "kept" / "50%.txt").write_bytes(b"x")

    with pytest.raises(CaseError, match="rename it"):
        make_bag(tmp_path / "kept", {})
