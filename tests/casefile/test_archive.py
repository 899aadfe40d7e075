"""Archives: one content gives one file, every changed byte is seen, and what could do harm is refused."""

from __future__ import annotations

import io
import stat
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from coldpin.casefile.archive import SEAL, pack, unpack
from coldpin.errors import CaseError


def write_zip(path: Path, *members: tuple[str | zipfile.ZipInfo, bytes]) -> Path:
    """An archive as anybody may make one."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in members:
            if isinstance(name, zipfile.ZipInfo):
                name.compress_type = zipfile.ZIP_DEFLATED
            packed.writestr(name, data)
    return path


def special(name: str, kind: int) -> zipfile.ZipInfo:
    told = zipfile.ZipInfo(name)
    told.external_attr = (kind | 0o777) << 16
    return told


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a file, a file below and an empty one."""
    made = tmp_path / "kept"
    (made / "below").mkdir(parents=True)
    (made / "a.txt").write_bytes(b"first\n")
    (made / "below" / "b.bin").write_bytes(bytes(range(256)))
    (made / "empty").write_bytes(b"")
    return made


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    """An empty folder to unpack into."""
    made = tmp_path / "desk"
    made.mkdir()
    return made


def test_a_folder_comes_back_as_it_was(folder: Path, desk: Path, tmp_path: Path) -> None:
    """Names and bytes survive, and the seal holds."""
    pack(folder, tmp_path / "kept.zip")

    found = unpack(tmp_path / "kept.zip", desk)

    assert found.sealed is True
    assert found.files == 3
    for path in (p for p in folder.rglob("*") if p.is_file()):
        assert (found.folder / path.relative_to(folder)).read_bytes() == path.read_bytes()


def test_one_content_gives_one_archive(folder: Path, tmp_path: Path) -> None:
    """Neither the clock nor the order on the disk shows."""
    pack(folder, tmp_path / "one.zip")
    (folder / "a.txt").touch()
    pack(folder, tmp_path / "two.zip")

    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()


@pytest.mark.independent("the zip module of Python's standard library reads and tests the archive")
def test_other_programs_read_it(folder: Path, tmp_path: Path) -> None:
    """It is an ordinary zip file."""
    pack(folder, tmp_path / "kept.zip")

    with zipfile.ZipFile(tmp_path / "kept.zip") as packed:
        assert packed.testzip() is None
        assert packed.namelist() == ["kept/a.txt", "kept/below/b.bin", "kept/empty"]
        assert packed.comment.startswith(SEAL)


def test_every_changed_byte_is_seen(folder: Path, tmp_path: Path, proving: bool) -> None:
    """Whichever byte is changed, of a file or of the archive: it is refused, or the seal is broken."""
    pack(folder, tmp_path / "kept.zip")
    whole = (tmp_path / "kept.zip").read_bytes()
    changed = tmp_path / "changed.zip"
    for place in range(len(whole)):
        for flip in (1, 2, 4, 8, 16, 32, 64, 128, 255) if proving else (1 << place % 8,):
            changed.write_bytes(whole[:place] + bytes([whole[place] ^ flip]) + whole[place + 1 :])
            desk = tmp_path / f"desk-{place}-{flip}"
            desk.mkdir()
            try:
                assert unpack(changed, desk).sealed is False, f"byte {place}"
            except CaseError:
                continue


@pytest.mark.parametrize("cut", [1, 30, 64, 84, 200])
def test_a_cut_archive_is_never_taken_for_whole(folder: Path, desk: Path, tmp_path: Path, cut: int) -> None:
    """What ends too early is refused, or its seal is broken."""
    pack(folder, tmp_path / "kept.zip")
    whole = (tmp_path / "kept.zip").read_bytes()
    (tmp_path / "cut.zip").write_bytes(whole[:-cut])

    try:
        sealed = unpack(tmp_path / "cut.zip", desk).sealed
    except CaseError:
        return
    assert sealed is False


def test_what_another_program_packed_anew_has_no_seal(folder: Path, desk: Path, tmp_path: Path) -> None:
    """Then it is not known whether the archive is as it was packed; its manifests still tell of its files."""
    write_zip(tmp_path / "anew.zip", ("kept/a.txt", b"first\n"))

    assert unpack(tmp_path / "anew.zip", desk).sealed is None


@pytest.mark.parametrize(
    ("members", "told"),
    [
        ([("kept/../../x", b"")], "leads out of its folder"),
        ([("/kept/x", b"")], "leads out of its folder"),
        ([("C:/kept/x", b"")], "leads out of its folder"),
        ([("kept\\..\\x", b"")], "leads out of its folder"),
        ([("kept/NUL", b"")], "take for a device"),
        ([("kept/aux.txt", b"")], "take for a device"),
        ([("kept/Com1/a", b"")], "take for a device"),
        ([("con/a", b"")], "take for a device"),
        ([("kept/a.", b"")], "no plain file name"),
        ([("kept/a..", b"")], "no plain file name"),
        ([("kept/a ", b"")], "no plain file name"),
        ([("kept/a:stream", b"")], "leads out of its folder"),
        ([("//server/share/x", b"")], "leads out of its folder"),
        ([(special("kept/x", stat.S_IFCHR), b"")], "a link or another special file"),
        ([("kept/\u212b", b"1"), ("kept/A\u030a", b"2")], "twice"),
        ([("kept/stra\u00dfe", b"1"), ("kept/STRASSE", b"2")], "twice"),
        ([("kept/a//b", b"")], "no plain file name"),
        ([("kept/./b", b"")], "no plain file name"),
        ([("kept/a\u202eb", b"")], "no plain file name"),
        ([("kept/a\nb", b"")], "no plain file name"),
        ([(special("kept/x", stat.S_IFLNK), b"/etc/passwd")], "a link or another special file"),
        ([(special("kept/x", stat.S_IFIFO), b"")], "a link or another special file"),
        ([("kept/x", b"1"), ("kept/X", b"2")], "twice"),
        ([("kept/\u00e9", b"1"), ("kept/e\u0301", b"2")], "twice"),
        ([("kept/x", b"1"), ("kept/x/y", b"2")], "inside what is a file"),
        ([("kept/x", b"1"), ("other/y", b"2")], "one folder and nothing beside it"),
        ([("x", b"1")], "one folder and nothing beside it"),
        ([("kept/" + "x" * 300, b"1")], "characters"),
        ([], "is empty"),
    ],
)
def test_what_could_do_harm_is_refused(
    desk: Path, tmp_path: Path, members: list[tuple[str | zipfile.ZipInfo, bytes]], told: str
) -> None:
    """One message says why, and nothing was unpacked."""
    with pytest.raises(CaseError, match=told) as refused:
        unpack(write_zip(tmp_path / "x.zip", *members), desk)

    assert "\n" not in str(refused.value)
    assert list(desk.iterdir()) == []
    assert not (tmp_path / "x").exists()


def test_the_same_name_twice_is_refused(desk: Path, tmp_path: Path) -> None:
    """Two files of one name: which of them counts would depend on the program."""
    with pytest.warns(UserWarning, match="Duplicate name"):
        path = write_zip(tmp_path / "x.zip", ("kept/x", b"1"), ("kept/x", b"2"))

    with pytest.raises(CaseError, match="twice"):
        unpack(path, desk)


def test_an_archive_made_to_fill_the_disk_is_refused(desk: Path, tmp_path: Path) -> None:
    """A hundred megabytes of nothing in a hundred kilobytes are not unpacked."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        for number in range(4):
            packed.writestr(f"kept/{number}", bytes(25 << 20))
    (tmp_path / "x.zip").write_bytes(held.getvalue())

    with pytest.raises(CaseError, match="made to fill the disk"):
        unpack(tmp_path / "x.zip", desk)

    assert list(desk.iterdir()) == []


def _overlapping(data: bytes) -> bytes:
    """Point the second entry of the directory at the first file."""
    second = data.index(b"PK\1\2", data.index(b"PK\1\2") + 1)
    return data[: second + 42] + struct.pack("<I", 0) + data[second + 46 :]


def _locked(data: bytes) -> bytes:
    central = data.index(b"PK\1\2")
    return data[:6] + b"\1" + data[7 : central + 8] + b"\1" + data[central + 9 :]


def _uncommon(data: bytes) -> bytes:
    central = data.index(b"PK\1\2")
    return data[: central + 10] + struct.pack("<H", 12) + data[central + 12 :]


def _strongly_locked(data: bytes) -> bytes:
    central = data.index(b"PK\1\2")
    return data[:6] + b"\x40" + data[7 : central + 8] + b"\x40" + data[central + 9 :]


def _told_smaller(data: bytes) -> bytes:
    """Let a file claim to unpack to ten bytes, where two thousand come out."""
    central = data.index(b"PK\1\2")
    ten = struct.pack("<I", 10)
    return data[:22] + ten + data[26 : central + 24] + ten + data[central + 28 :]


def _told_larger(data: bytes) -> bytes:
    """Let a file claim to unpack to nearly all that is allowed."""
    central = data.index(b"PK\1\2")
    much = struct.pack("<I", 0xFFFF_FFF0)
    return data[:22] + much + data[26 : central + 24] + much + data[central + 28 :]


def _called_otherwise(data: bytes) -> bytes:
    """Let a file have another name where it stands than in the directory."""
    return data.replace(b"kept/a", b"kept/c", 1)


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (_overlapping, "overlap"),
        (_locked, "password"),
        (_uncommon, "uncommon way"),
        (_strongly_locked, "damaged one"),
        (_told_smaller, "damaged one"),
        (_told_larger, "made to fill the disk"),
        (_called_otherwise, "damaged one"),
    ],
)
def test_what_is_built_in_a_strange_way_is_refused(
    desk: Path, tmp_path: Path, spoil: Callable[[bytes], bytes], told: str
) -> None:
    """Files that share their bytes, locked ones, and ways of packing that nobody needs."""
    path = write_zip(tmp_path / "x.zip", ("kept/a", bytes(2000)), ("kept/b", bytes(2000)))
    path.write_bytes(spoil(path.read_bytes()))

    with pytest.raises(CaseError, match=told):
        unpack(path, desk)


def test_an_archive_inside_is_not_unpacked(desk: Path, tmp_path: Path) -> None:
    """However much is in it: it is a file like others."""
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("much", bytes(100 << 20))

    unpacked = unpack(write_zip(tmp_path / "x.zip", ("kept/inner.zip", inner.getvalue())), desk)

    assert [path.name for path in unpacked.folder.iterdir()] == ["inner.zip"]
    assert sum(path.stat().st_size for path in desk.rglob("*") if path.is_file()) == len(inner.getvalue())


def test_more_files_than_a_case_has_are_refused(desk: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Counted before anything is unpacked."""
    monkeypatch.setattr("coldpin.casefile.archive.MOST_FILES", 20)
    path = write_zip(tmp_path / "x.zip", *((f"kept/{number}", b"") for number in range(21)))

    with pytest.raises(CaseError, match="at most 20 are unpacked"):
        unpack(path, desk)
    assert list(desk.iterdir()) == []


def test_a_folder_called_as_a_device_is_not_packed(tmp_path: Path) -> None:
    """Nobody could unpack it everywhere."""
    (tmp_path / "aux").mkdir()

    with pytest.raises(CaseError, match="rename it"):
        pack(tmp_path / "aux", tmp_path / "x.zip")


@pytest.mark.parametrize("data", [b"", b"PK", b"no archive at all" * 9, b"PK\5\6" + bytes(18)])
def test_what_is_no_archive_is_said_to_be_none(desk: Path, tmp_path: Path, data: bytes) -> None:
    """Any file may be given."""
    (tmp_path / "x.zip").write_bytes(data)

    with pytest.raises(CaseError, match=r"no zip file|is empty"):
        unpack(tmp_path / "x.zip", desk)
