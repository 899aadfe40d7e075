"""What a bundle hands on: nothing private in any file of it, and results that stay what they were."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from coldpin.capture.bare_picture import is_picture
from coldpin.casefile import open_case
from coldpin.casefile.archive import unpack
from coldpin.casefile.camera_marks import camera_marks
from coldpin.casefile.private import read_mapping
from coldpin.errors import CaseError, MissingExtra
from coldpin.records.bundle import Bundle, Recomputed
from coldpin.records.case import Letter
from coldpin.records.entry import EvidenceFile
from coldpin.records.withheld import WithheldText
from coldpin.workbench import add_evidence, assess, bundle, check_bundle, correct, publish, record
from coldpin.workbench.public_files import CLOSED, VIDEO, in_files, public_file, public_picture
from tests.pdf_reading import page_texts
from tests.workbench.quay import at, capture_text, fill, make_case, make_shelf
from tests.workbench.test_withholding import (
    MAIL,
    ORDER,
    OWNER,
    PLACE,
    SECRETS,
    SERIAL,
    VEHICLE,
    hostile_photograph,
    hostile_png,
    withhold,
)

DONOR = "Nightingale_Pier-12"
WITHHELD = (
    WithheldText(placeholder="[address 1, withheld]", text=PLACE, what="address", found="named"),
    WithheldText(placeholder="[order number 1, withheld]", text=ORDER, what="order number", found="named"),
)


def hostile_case(table: Path) -> Path:
    """A case with something private in every kind of public thing: texts, names, heads, pictures, a drawing, a log."""
    case = make_case(make_shelf(table / "shelf"))
    fill(case, table)
    withhold(case, address=PLACE, name=OWNER, serial=SERIAL)
    described = open_case(case)
    letter = Letter(
        to="seller", name=OWNER, sent="2026-05-03", deadline="2026-05-20", answered="2026-05-09", answer=MAIL
    )
    described.edit("letters", (), (letter,), who="Ines", now=at(20))
    shelf = case.parent / "shelf.toml"
    said = shelf.read_text(encoding="utf-8")
    shelf.write_text(said.replace('kind = "multimeter"', f'kind = "multimeter"\nnote = "lent by {OWNER}"'), "utf-8")
    noted = record(
        case,
        shows="purchase",
        who="Ines",
        note=f"Bought for {OWNER}.",
        conditions={"seller": f"a shop at {PLACE}", "price": "74 EUR"},
        made=at(21),
        now=at(21),
    )
    correct(case, noted.id, who="Ines", reason=f"order number {ORDER} was missing", note=f"car {VEHICLE}", now=at(22))
    headed = table / f"{ORDER}.csv"
    headed.write_bytes(f"# order number {ORDER}, {PLACE}\n# car {VEHICLE}\n".encode() + capture_text(20.0))
    file(case, headed, "pilot capture", 23, instrument="scope", conditions={"load": "steps"})
    page = table / "page.html"
    page.write_text(f"<p>74 EUR, ask {MAIL.replace('@', '&#64;')} at <b>Nightingale</b>&nbsp;Pier 12</p>", "utf-8")
    file(case, page, "listing snapshot", 24)
    seller = table / f"shop at {DONOR}.txt"
    seller.write_text(f"Invoice no. {ORDER}\n{OWNER}\n{PLACE.upper()}\n", "utf-8")
    file(case, seller, "listing snapshot", 25)
    file(case, hostile_photograph(table / f"{SERIAL}.jpg"), "photograph", 26)
    file(case, hostile_png(table / "b.png"), "photograph", 27)
    file(case, written(table / "c.heic", b"\0\0\0\x18ftypheic" + OWNER.encode()), "photograph", 28)
    file(case, written(table / "d.mp4", b"\0\0\0\x18ftypmp42" + PLACE.encode()), "video", 29)
    file(case, written(table / "e.pdf", b"%PDF-1.7\n" + MAIL.encode()), "document", 30)
    return case


def written(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


def file(case: Path, path: Path, shows: str, minutes: float, **around: object) -> None:
    add_evidence(case, path, shows=shows, who="Ines", made=at(minutes), now=at(minutes), **around)  # type: ignore[arg-type]  # as given


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The hostile case."""
    return hostile_case(tmp_path_factory.mktemp("quay"))


@pytest.fixture(scope="module")
def packed(case: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Bundle]:
    """Its bundle, and what it says of itself."""
    made = bundle(case, tmp_path_factory.mktemp("bundle") / "skerrow.zip", on="2026-05-30")
    return made.path, made.about


def test_nothing_private_is_in_any_byte_of_a_bundle(packed: tuple[Path, Bundle], tmp_path: Path) -> None:
    """Neither in a file nor in its name nor on a page of the PDF, in whatever coding."""
    folder = unpack(packed[0], tmp_path).folder
    files = [path for path in folder.rglob("*") if path.is_file()]
    read = "".join("".join(page_texts(path)) for path in files if path.suffix == ".pdf")
    held = b"\n".join((*(path.read_bytes() for path in files), *(str(path).encode() for path in files), read.encode()))

    for secret in (*SECRETS, PLACE.upper(), DONOR, MAIL.replace("@", "&#64;")):
        for coding in ("utf-8", "utf-16-le", "utf-16-be"):
            assert secret.encode(coding) not in held, secret
    assert b"QUAY-KESTREL" not in held
    assert all(camera_marks(path.read_bytes()) == "" for path in files if is_picture(path))


def test_what_is_withheld_changed_or_left_out_is_said(packed: tuple[Path, Bundle]) -> None:
    """By what it is and how it was found, file by file, without saying it."""
    about = packed[1]
    changed = {line.split(": ")[0]: line.split(": ", 1)[1] for line in about.changed}
    left_out = {line.split("-")[0]: line for line in about.left_out}

    assert "[address 1, withheld]: named in private.toml" in about.withheld
    assert "[order number 1, withheld]: known by its form" in about.withheld
    assert "[vehicle identity 1, withheld]: known by its form" in about.withheld
    assert "[e-mail address 1, withheld]: known by its form" in about.withheld
    assert "camera wrote" in changed["photo-01.jpg"]
    assert "a program wrote" in changed["photo-02.jpg"]
    assert sum("withheld in it: [address 1" in line for line in changed.values()) == 2
    assert VIDEO in left_out["d"]
    assert CLOSED in left_out["e"]
    assert "JPEG, PNG, TIFF or WebP" in left_out["c"]
    assert "page" in left_out  # the address is written across two elements, where a text cannot be exchanged


def test_withholding_moves_no_result(case: Path, packed: tuple[Path, Bundle], tmp_path: Path) -> None:
    """The record of the bundle finds and concludes what that of the case does, and computes to itself."""
    checked = check_bundle(packed[0])
    inside = json.loads(
        (unpack(packed[0], tmp_path).folder / "data/skerrow-16/report/assessment.json").read_text(encoding="utf-8")
    )
    whole = assess(case)

    assert checked.outcome is Recomputed.EQUAL
    assert checked.problems == ()
    assert [(one["id"], one["outcome"]) for one in inside["findings"]] == [
        (one.id, one.outcome.value) for one in whole.findings
    ]
    assert [one["quantity"]["value"] for one in inside["findings"] if one["quantity"]] == [
        one.quantity.value for one in whole.findings if one.quantity is not None
    ]
    assert len(inside["pilot"]) == len(whole.pilot) == 2
    assert [one["state"] for one in inside["functions"]] == [one.state.value for one in whole.functions]


def test_the_mapping_stays_at_home_and_ties_both(case: Path, packed: tuple[Path, Bundle], tmp_path: Path) -> None:
    """Which file of the case each changed one is made from; the evidence of the case is untouched."""
    folder = unpack(packed[0], tmp_path).folder / "data/skerrow-16"
    mapping = read_mapping(case)

    assert not (folder / "private").exists()
    assert not (folder / "private.toml").exists()
    assert {one.name for one in mapping.photographs} == {"photo-01.jpg", "photo-02.jpg"}
    for one in mapping.files:
        if not one.original.startswith(("c-", "d-", "e-", "page")):
            assert one.original_sha256 == EvidenceHash.of(case / "evidence" / one.original)
            if (folder / "evidence" / one.file).exists():
                assert one.sha256 == EvidenceHash.of(folder / "evidence" / one.file)
    assert open_case(case).check_evidence() == ()


class EvidenceHash:
    """The sha256 of a file."""

    @staticmethod
    def of(path: Path) -> str:
        import hashlib

        return hashlib.sha256(path.read_bytes()).hexdigest()


def test_an_issue_and_a_bundle_have_the_same_placeholders(case: Path, packed: tuple[Path, Bundle]) -> None:
    """So that a reader of both knows that it is the same order, and the same photograph."""
    before = read_mapping(case)
    issue = publish(case, on="2026-05-30")
    after = read_mapping(case)

    assert packed[1].withheld
    assert after.texts[: len(before.texts)] == before.texts
    assert after.photographs == before.photographs
    assert after.files == before.files
    assert {path.name for path in issue.folder.glob("photo-*")} == {one.name for one in before.photographs}
    assert any("JPEG, PNG, TIFF or WebP" in remark for remark in issue.remarks)


def test_a_text_that_results_rest_on_is_refused(tmp_path: Path) -> None:
    """Withheld, it would make the copy come to something else."""
    case = make_case(make_shelf(tmp_path / "shelf"))
    fill(case, tmp_path)
    withhold(case, word="510 mΩ")

    with pytest.raises(CaseError, match=r"'readings' of entry .*, which results rest on"):
        bundle(case, tmp_path / "x.zip")
    assert not (tmp_path / "x.zip").exists()


def test_a_picture_is_handed_on_as_it_came_only_where_nothing_stands_beside_its_pixels(tmp_path: Path) -> None:
    """Trailers, profiles, small pictures and comments count; a plain one keeps its bytes."""
    plain = tmp_path / "plain.jpg"
    Image.new("RGB", (300, 200), (9, 9, 9)).save(plain)
    behind = written(tmp_path / "behind.jpg", plain.read_bytes() + SERIAL.encode())
    profile = tmp_path / "profile.png"
    Image.new("RGB", (300, 200)).save(profile, icc_profile=b"\0" * 128 + OWNER.encode())
    whole = plain.read_bytes()
    small = written(tmp_path / "small.jpg", whole[:4] + b"\0\x13" + whole[6:18] + b"\1\1" + b"\7\7\7" + whole[20:])
    tiff = tmp_path / "a.tiff"
    Image.new("RGB", (300, 200), (9, 9, 9)).save(tiff, tiffinfo={305: OWNER})

    assert public_picture(plain).data is None
    assert public_picture(plain).changed == ""
    for path in (behind, profile, small, tiff):
        made = public_picture(path)
        assert made.changed, path.name
        assert made.data is not None
        assert camera_marks(made.data) == ""
        assert OWNER.encode() not in made.data
        assert SERIAL.encode() not in made.data


def test_without_the_library_a_marked_picture_is_left_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It says what to install; one with nothing beside its pixels needs no library."""

    def missing(*_: object) -> bytes:
        raise MissingExtra("photographs need the extra: pip install 'coldpin[photo]'")

    monkeypatch.setattr("coldpin.workbench.public_files.bare_picture", missing)
    plain = tmp_path / "plain.png"
    Image.new("RGB", (300, 200), (9, 9, 9)).save(plain)

    assert "coldpin[photo]" in public_picture(hostile_photograph(tmp_path / "a.jpg")).why
    assert public_picture(plain).why == ""


def test_sound_is_no_picture(tmp_path: Path) -> None:
    """Both begin with the same four letters."""
    assert not is_picture(written(tmp_path / "a.wav", b"RIFF\x24\0\0\0WAVEfmt "))
    assert is_picture(written(tmp_path / "a.webp", b"RIFF\x24\0\0\0WEBPVP8 "))


def of(media: str, data: bytes) -> EvidenceFile:
    return EvidenceFile(media=media, file="x", original_name="x", size=len(data))


def test_a_drawing_names_the_picture_that_is_handed_on(tmp_path: Path) -> None:
    """Numbers stay to the last digit, texts are exchanged, and the hash of its picture follows the picture."""
    drawn = {"picture": "a" * 64, "properties": {"note": f"held at {PLACE}"}, "coordinates": [[0.1 + 0.2, 12]]}
    data = json.dumps(drawn).encode()
    made = public_file(written(tmp_path / "b.geojson", data), of("board", data), WITHHELD, {"a" * 64: "b" * 64})
    assert made.data is not None
    plain = json.loads(made.data)

    assert plain["picture"] == "b" * 64
    assert plain["properties"]["note"] == "held at [address-1-withheld]"
    assert plain["coordinates"] == [[0.1 + 0.2, 12]]
    assert made.changed == "withheld in it: [address 1, withheld]; it names the picture as that is handed on"
    assert public_file(tmp_path / "b.geojson", of("board", data), (), {}).data is None


def test_columns_of_numbers_are_left_as_they_are(tmp_path: Path) -> None:
    """A text of figures is taken out of lines with words, and no figure of a measurement is touched."""
    texts = (WithheldText(placeholder="[number 1, withheld]", text="3.2503", what="number", found="named"),)
    data = b"# receipt 3.2503; sampled\r\ntime,voltage\r\n1e-3,3.2503\r\n"
    made = public_file(written(tmp_path / "a.csv", data), of("capture", data), texts, {})

    assert made.data == b"# receipt [number-1-withheld]; sampled\r\ntime,voltage\r\n1e-3,3.2503\r\n"
    assert in_files(texts)("a 3.2503") == "a [number-1-withheld]"


@pytest.mark.parametrize("coding", ["utf-8", "utf-16-le", "latin-1", "utf-32-le"])
def test_an_archive_of_arrays_that_holds_a_text_is_left_out(tmp_path: Path, coding: str) -> None:
    """It is packed inside, and found all the same; one without it is handed on as it came."""
    held = io.BytesIO()
    np.savez_compressed(held, v=np.arange(9.0), about=np.frombuffer(PLACE.encode(coding), dtype=np.uint8))
    free = io.BytesIO()
    np.savez_compressed(free, v=np.arange(9.0))

    found = public_file(written(tmp_path / "a.npz", held.getvalue()), of("capture", held.getvalue()), WITHHELD, {})
    none = public_file(written(tmp_path / "b.npz", free.getvalue()), of("capture", free.getvalue()), WITHHELD, {})

    assert found.why == "it holds address, and a file of this form is not written anew"
    assert (none.why, none.data) == ("", None)


def test_the_folder_of_a_case_is_named_without_what_is_private(tmp_path: Path) -> None:
    """The first thing that anybody sees of a bundle."""
    case = make_case(make_shelf(tmp_path / "shelf"), name="nightingale_pier_12")
    withhold(case, address=PLACE)
    made = bundle(case, tmp_path / "x.zip")

    with zipfile.ZipFile(made.path) as archive:
        assert not any("nightingale" in name.lower() for name in archive.namelist())
    assert made.about.case == "address_1_withheld"
    assert check_bundle(made.path).outcome is Recomputed.EQUAL


def test_an_archive_that_unpacks_too_far_is_not_looked_through(tmp_path: Path) -> None:
    """It is refused by what its members state; a damaged one is told as one."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        for number in range(3):
            packed.writestr(f"{number}.npy", bytes(25 << 20))
    bomb = held.getvalue()
    held = io.BytesIO()
    np.savez_compressed(held, v=np.sin(np.arange(900.0)))
    damaged = held.getvalue()[:300] + b"\xff" * 40 + held.getvalue()[340:]

    for data, told in ((bomb, "unpacks to more than is looked through"), (damaged, "is a damaged archive")):
        with pytest.raises(CaseError, match=told):
            public_file(written(tmp_path / f"{len(data)}.npz", data), of("capture", data), WITHHELD, {})
