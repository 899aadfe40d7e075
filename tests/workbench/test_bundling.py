"""Bundles: packed, checked, computed again; what is private stays at home, and every change is found."""

from __future__ import annotations

import hashlib
import json
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from coldpin.casefile.archive import pack, unpack
from coldpin.cli import main
from coldpin.errors import CaseError
from coldpin.records.bundle import Recomputed
from coldpin.workbench import assess, bundle, check_bundle
from tests.workbench.quay import SECRET, fill, make_case, make_shelf

REMARK = "# bought under a name that is nobody's business"


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A case with readings, a capture, something private and a comment."""
    table = tmp_path_factory.mktemp("quay")
    made = make_case(make_shelf(table / "shelf"))
    fill(made, table)
    with (made / "case.toml").open("a", encoding="utf-8") as lines:
        lines.write(f"\n{REMARK}\n")
    return made


@pytest.fixture(scope="module")
def packed(case: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Its bundle."""
    return bundle(case, tmp_path_factory.mktemp("bundle") / "skerrow.zip", on="2026-05-30").path


def rebuilt(packed: Path, desk: Path, change: Callable[[Path], None]) -> Path:
    """The bundle unpacked, changed by somebody, and packed anew by another program."""
    (desk / "open").mkdir()
    folder = unpack(packed, desk / "open").folder
    change(folder)
    with zipfile.ZipFile(desk / "anew.zip", "w") as anew:
        for path in sorted(folder.rglob("*")):
            anew.write(path, path.relative_to(folder.parent))
    return desk / "anew.zip"


def test_a_bundle_computes_to_the_same_record(packed: Path) -> None:
    """On the machine of anybody who has this version."""
    checked = check_bundle(packed)

    assert checked.outcome is Recomputed.EQUAL
    assert checked.sealed is True
    assert checked.problems == ()
    assert checked.differences == ()


def test_a_bundle_holds_what_the_task_of_a_reader_needs(packed: Path) -> None:
    """Record, evidence, report in both forms, entries, instruments, program and libraries."""
    with zipfile.ZipFile(packed) as archive:
        names = set(archive.namelist())
        about = json.loads(archive.read("skerrow-16/data/bundle.json"))

    inside = "skerrow-16/data/skerrow-16"
    assert {f"{inside}/report/{name}" for name in ("assessment.json", "report.html", "report.pdf")} <= names
    assert any(name.startswith(f"{inside}/evidence/") for name in names)
    assert {"skerrow-16/data/shelf.toml", f"{inside}/case.toml", "skerrow-16/manifest-sha256.txt"} <= names
    assert about["environment"]["program_version"]
    assert "numpy" in {library["name"] for library in about["environment"]["libraries"]}
    assert not any(".lock" in name or "/cache/" in name for name in names)


def test_nothing_private_is_in_it(case: Path, packed: Path) -> None:
    """No private entry, no comment, no name of a folder or a machine; that something is missing is said."""
    with zipfile.ZipFile(packed) as archive:
        held = b"\n".join(archive.read(name) for name in archive.namelist())
        about = json.loads(archive.read("skerrow-16/data/bundle.json"))

    for secret in (SECRET, "KESTREL", REMARK[2:], str(case.parent), "coldpin-bundle-"):
        assert secret.encode() not in held
    assert about["left_out"] == ["1 of 5 entries are private, or belong to one that is"]


def test_everything_is_in_it_where_asked_for(case: Path, tmp_path: Path) -> None:
    """Private entries and comments too; the record in it is the one of the case itself."""
    made = bundle(case, tmp_path / "all.zip", private=True)

    with zipfile.ZipFile(made.path) as archive:
        held = b"\n".join(archive.read(name) for name in archive.namelist())
    assert SECRET.encode() in held
    assert REMARK.encode() in held
    assert made.assessment == assess(case)
    assert check_bundle(made.path).outcome is Recomputed.EQUAL


def test_the_same_case_gives_the_same_bundle(case: Path, packed: Path, tmp_path: Path) -> None:
    """To the byte, on the same day."""
    again = bundle(case, tmp_path / "again.zip", on="2026-05-30").path

    assert hashlib.sha256(again.read_bytes()).digest() == hashlib.sha256(packed.read_bytes()).digest()


def test_a_bundle_replaces_nothing(case: Path, packed: Path) -> None:
    """A name that is taken stays as it is."""
    before = packed.read_bytes()

    with pytest.raises(CaseError, match="is there already"):
        bundle(case, packed)
    assert packed.read_bytes() == before


def test_any_changed_byte_is_found(packed: Path, tmp_path: Path, proving: bool) -> None:
    """Wherever it lies: the check refuses the archive or tells of it, and computes nothing from it."""
    whole = packed.read_bytes()
    changed = tmp_path / "changed.zip"
    for place in range(7, len(whole), len(whole) // (400 if proving else 25)):
        changed.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
        try:
            checked = check_bundle(changed)
        except CaseError:
            continue
        assert checked.problems, place
        assert checked.outcome is Recomputed.NOT_DONE


def test_a_file_changed_by_somebody_is_named(packed: Path, tmp_path: Path) -> None:
    """Packed anew, so that only the manifests can tell."""

    def change(folder: Path) -> None:
        (capture,) = folder.glob("data/skerrow-16/evidence/*.csv")
        capture.write_bytes(capture.read_bytes().replace(b"5", b"6", 1))

    checked = check_bundle(rebuilt(packed, tmp_path, change))

    (problem,) = checked.problems
    assert problem.where.startswith("data/skerrow-16/evidence/steps")
    assert checked.sealed is None


def _edit_record(folder: Path) -> None:
    """Let the record say something else, with manifests that agree."""
    path = folder / "data/skerrow-16/report/assessment.json"
    record = json.loads(path.read_text(encoding="utf-8"))
    found = next(one for one in record["findings"] if one["id"] == "earth-resistance.value")
    found["quantity"]["value"] *= 1.5
    path.write_text(json.dumps(record), encoding="utf-8")
    _rebag(folder)


def _other_version(folder: Path) -> None:
    path = folder / "data/bundle.json"
    about = json.loads(path.read_text(encoding="utf-8"))
    about["environment"]["program_version"] = "0.0.1"
    path.write_text(json.dumps(about), encoding="utf-8")
    _rebag(folder)


def _rebag(folder: Path) -> None:
    from coldpin.casefile.bag import make_bag

    inside = folder.with_name("inside")
    (folder / "data").rename(inside)
    shutil.rmtree(folder)
    inside.rename(folder)
    make_bag(folder, {})


def test_a_record_that_its_evidence_does_not_bear_out_is_told(packed: Path, tmp_path: Path) -> None:
    """Whoever mends the manifests too is found by computing it again."""
    checked = check_bundle(rebuilt(packed, tmp_path, _edit_record))

    assert checked.outcome is Recomputed.DIFFERS
    assert [found.place for found in checked.differences] == ["findings.earth-resistance.value.quantity.value"]
    assert checked.problems == ()


def test_another_version_is_compared_within_a_hundredth_of_u(packed: Path, tmp_path: Path) -> None:
    """And it is said that wording may differ."""
    checked = check_bundle(rebuilt(packed, tmp_path, _other_version))

    assert checked.outcome is Recomputed.EQUAL
    assert not checked.same_version
    assert any("0.0.1" in remark for remark in checked.remarks)


def test_the_command_tells_differences_by_its_exit_code(
    packed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """0 equal, 3 with differences or changes, 2 for what is refused, with one message and nothing on stdout."""
    spoiled = rebuilt(packed, tmp_path, _edit_record)
    (tmp_path / "none.zip").write_bytes(b"nothing")

    assert main(["check-bundle", str(packed)]) == 0
    assert "equal" in capsys.readouterr().out
    assert main(["check-bundle", str(spoiled), "--json"]) == 3
    assert json.loads(capsys.readouterr().out)["outcome"] == "differs"
    assert main(["check-bundle", str(tmp_path / "none.zip")]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1


@pytest.mark.parametrize("case_name", ["../../x", "", "a/b"])
def test_a_bundle_that_names_a_case_elsewhere_is_refused(packed: Path, tmp_path: Path, case_name: str) -> None:
    """What it says of itself is not trusted either."""

    def change(folder: Path) -> None:
        path = folder / "data/bundle.json"
        about = json.loads(path.read_text(encoding="utf-8"))
        about["case"], about["record"] = case_name, f"{case_name}/report/assessment.json"
        path.write_text(json.dumps(about), encoding="utf-8")
        _rebag(folder)

    with pytest.raises(CaseError, match="no plain name"):
        check_bundle(rebuilt(packed, tmp_path, change))


def test_what_is_no_bundle_is_refused(tmp_path: Path) -> None:
    """An archive of something else."""
    (tmp_path / "else").mkdir()
    (tmp_path / "else" / "a.txt").write_text("x", encoding="utf-8")
    pack(tmp_path / "else", tmp_path / "else.zip")

    with pytest.raises(CaseError, match="coldpin bundle makes one"):
        check_bundle(tmp_path / "else.zip")
