"""What is private is found nowhere in what is published: texts, photographs, names of files; the mapping stays home."""

from __future__ import annotations

import io
import re
import struct
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, PngImagePlugin

import coldpin.capture.photo as photo_module
from coldpin.capture.bare_picture import bare_picture, is_picture
from coldpin.casefile import open_case
from coldpin.casefile.private import read_mapping, read_private
from coldpin.errors import CaseError, MissingExtra
from coldpin.records.case import Letter
from coldpin.records.entry import Entry
from coldpin.records.withheld import PrivateDescription, ToWithhold, WithheldMapping
from coldpin.workbench import add_evidence, publish, record
from coldpin.workbench.public_files import _bytes_of, _parts_of
from coldpin.workbench.replies import NOBODY_ASKED
from coldpin.workbench.withholding import NOTE, folded, how_found, may_show, still_there, withheld_texts, without
from tests.pdf_reading import page_texts
from tests.report.sample import SAMPLE
from tests.workbench.quay import at, make_case, make_shelf

OWNER, SERIAL, PLACE = "Zebulon Quartermain", "CAMSER-0077-XYZ", "Nightingale Pier 12"
VEHICLE, ORDER, MAIL = "WVWZZZ1JZ3W386752", "40-771-2296", "zebulon@example.org"
SECRETS = (OWNER, SERIAL, PLACE, VEHICLE, ORDER, MAIL)


def hostile_photograph(path: Path) -> Path:
    """A photograph with place, serial number and owner wherever in its file something can stand beside the pixels."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x013B], exif[0x0112] = OWNER, SERIAL, OWNER, 6
    exif.get_ifd(0x8769).update({0xA431: SERIAL, 0x9286: PLACE.encode(), 0x927C: SERIAL.encode() * 9})
    exif.get_ifd(0x8825).update({1: "N", 2: (54.0, 12.0, 33.21), 3: "E", 4: (11.0, 5.0, 7.89)})
    xmp = f"<x:xmpmeta xmlns:x='adobe:ns:meta/'>{OWNER} {PLACE}</x:xmpmeta>".encode()
    held = io.BytesIO()
    picture = Image.new("RGB", (400, 300), (180, 60, 30))
    picture.paste((20, 90, 200), (0, 0, 200, 300))
    picture.save(
        held, format="JPEG", exif=exif, comment=PLACE.encode(), xmp=xmp, icc_profile=b"\0" * 128 + OWNER.encode()
    )
    behind = b"\xff\xd8" + SERIAL.encode() + struct.pack(">I", 7) + PLACE.encode("utf-16-le")
    path.write_bytes(held.getvalue() + behind)
    return path


def hostile_png(path: Path) -> Path:
    """The same with the text chunks of a PNG."""
    told = PngImagePlugin.PngInfo()
    told.add_text("Author", OWNER)
    told.add_itxt("Comment", PLACE)
    Image.new("RGB", (300, 300), (5, 5, 5)).save(path, pnginfo=told)
    return path


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A case on a shelf."""
    return make_case(make_shelf(tmp_path / "shelf"))


def note(case: Path, text: str, minutes: float = 1, *, private: bool = False) -> Entry:
    return record(case, shows="remark", who="Ines", note=text, made=at(minutes), now=at(minutes), private=private)


def photograph(case: Path, path: Path, minutes: float = 2, *, private: bool = False) -> Entry:
    added = add_evidence(case, path, shows="photograph", who="Ines", made=at(minutes), now=at(minutes), private=private)
    return added.entry


def withhold(case: Path, **texts: str) -> None:
    rows = "".join(f'[[withhold]]\ntext = "{text}"\nwhat = "{what}"\n' for what, text in texts.items())
    (case / "private.toml").write_text(f'format = "coldpin.private/1"\n{rows}', encoding="utf-8")


def everything(folder: Path) -> bytes:
    """Every published byte, and the text of the PDF beside it."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    read = "".join("".join(page_texts(path)) for path in files if path.suffix == ".pdf")
    return b"\n".join(path.read_bytes() for path in files) + read.encode()


def test_a_bare_picture_has_nothing_but_its_pixels(tmp_path: Path) -> None:
    """Neither tag nor comment nor what stands behind the end; it is turned upright, and looks as it did."""
    data = bare_picture(hostile_photograph(tmp_path / "IMG_0001.jpg"))
    with Image.open(io.BytesIO(data)) as shown:
        assert shown.size == (300, 400)  # 6: turned a quarter
        assert dict(shown.getexif()) == {}
        assert {"exif", "comment", "icc_profile", "xmp"}.isdisjoint(shown.info)
        top, bottom = shown.getpixel((150, 50)), shown.getpixel((150, 350))
    assert isinstance(top, tuple)
    assert isinstance(bottom, tuple)
    assert top == pytest.approx((20, 90, 200), abs=8)
    assert bottom == pytest.approx((180, 60, 30), abs=8)
    for secret in SECRETS:
        for coding in ("utf-8", "utf-16-le"):
            assert secret.encode(coding) not in data
    assert OWNER.encode() not in bare_picture(hostile_png(tmp_path / "a.png"))
    assert data == bare_picture(tmp_path / "IMG_0001.jpg")  # made again it is the same


def test_published_photographs_are_bare_and_their_names_tell_nothing(case: Path, tmp_path: Path) -> None:
    """The original stays in the case to the byte; the issue has the pixels, and the mapping knows which is which."""
    path = hostile_photograph(tmp_path / f"{SERIAL}.jpg")
    kept = photograph(case, path)
    issue = publish(case, on="2026-05-30")

    published = everything(issue.folder)
    assert b"photo-01.jpg" in published
    for secret in (OWNER, SERIAL, PLACE):
        assert secret.encode() not in published
        assert secret.encode("utf-16-le") not in published
    (mapped,) = read_mapping(case).photographs
    assert (mapped.name, mapped.entry, mapped.original_name) == ("photo-01.jpg", kept.id, f"{SERIAL}.jpg")
    assert kept.evidence is not None
    assert open_case(case).evidence_path(kept.evidence).read_bytes() == path.read_bytes()
    assert NOTE in (issue.folder / "assessment.json").read_text(encoding="utf-8")


def test_a_private_photograph_is_not_published(case: Path, tmp_path: Path) -> None:
    """Neither it nor a name for it."""
    photograph(case, hostile_photograph(tmp_path / "a.jpg"), private=True)
    issue = publish(case, on="2026-05-30")

    assert not list(issue.folder.glob("photo-*"))
    assert read_mapping(case).photographs == ()


def test_without_the_library_a_photograph_is_left_out_with_a_remark(
    case: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What cannot be made bare is not published as it is."""
    photograph(case, hostile_photograph(tmp_path / "a.jpg"))

    def missing(*_: object) -> object:
        raise MissingExtra("photographs need the extra: pip install 'coldpin[photo]'")

    monkeypatch.setattr("coldpin.workbench.withholding.bare_picture", missing)
    issue = publish(case, on="2026-05-30")

    assert any("is left out: photographs need the extra" in remark for remark in issue.remarks)
    assert not list(issue.folder.glob("photo-*"))
    assert photo_module.PICTURES


def test_a_broken_photograph_is_left_out(case: Path, tmp_path: Path) -> None:
    """It looks like one by its head and cannot be decoded: told, and everything else is published."""
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(hostile_photograph(tmp_path / "a.jpg").read_bytes()[:600])
    photograph(case, broken)
    issue = publish(case, on="2026-05-30")

    assert is_picture(broken)
    assert any("is left out, it cannot be read" in remark for remark in issue.remarks)


def test_texts_are_withheld_wherever_they_stand(case: Path) -> None:
    """Named by a person or known by their form; each leaves a placeholder, in record, page and PDF."""
    withhold(case, address=PLACE, name=OWNER)
    note(case, f"From {OWNER}, {PLACE.upper()}; order number {ORDER}; car {VEHICLE}.")
    note(case, f"He writes from {MAIL}, tel. +45 12 34 56 78, at 54.20922, 11.08553.", 2)
    issue = publish(case, on="2026-05-30")

    published = everything(issue.folder)
    for secret in (*SECRETS, PLACE.upper(), "+45 12 34 56 78", "54.20922"):
        if secret != SERIAL:
            assert secret.encode() not in published, secret
    page = (issue.folder / "report.html").read_text(encoding="utf-8")
    for what in ("address 1", "name 1", "order number 1", "vehicle identity 1", "e-mail address 1", "place 1"):
        assert f"[{what}, withheld]" in page
    found = {one.text: one.found for one in read_mapping(case).texts}
    assert found[OWNER] == "named in private.toml"
    assert found[VEHICLE] == "known by its form"
    assert not list(issue.folder.glob("*withheld*"))


def test_the_same_text_has_the_same_placeholder_in_every_issue(case: Path) -> None:
    """A reader of two issues sees that it is the same one, and changes tell of no false change."""
    note(case, f"order number {ORDER}")
    publish(case, on="2026-05-30")
    note(case, "order number 11-222-3333", 2)
    second = publish(case, on="2026-06-30")

    told = {one.text: one.placeholder for one in read_mapping(case).texts}
    assert told[ORDER] == "[order number 1, withheld]"
    assert told["11-222-3333"] == "[order number 2, withheld]"
    assert ORDER.encode() not in everything(second.folder)


LOOK_ALIKE = (
    "in order 5 of the steps, 12.0000 V",
    "sha256 0123456789abcdef0123456789abcdef",
    "measured 3.2503, see below",
    "IEC 62752:2024 and 2.5 mm²",
    "ABCDEFGHJKLMNPRST",
)


def test_what_only_looks_alike_is_left(case: Path) -> None:
    """Numbers of a bench are no places, a hash is no vehicle."""
    for minutes, text in enumerate(LOOK_ALIKE, start=1):
        note(case, text, minutes)
    issue = publish(case, on="2026-05-30")

    assert read_mapping(case).texts == ()
    published = (issue.folder / "assessment.json").read_text(encoding="utf-8")
    assert [text for text in LOOK_ALIKE if text not in published] == []


def test_a_text_that_the_record_is_made_of_is_refused(case: Path) -> None:
    """It is said, and nothing is published."""
    withhold(case, word="observation")
    note(case, "nothing")

    with pytest.raises(CaseError, match="part of what the record is made of"):
        publish(case, on="2026-05-30")
    assert open_case(case).issues() == ()
    (case / "private.toml").write_text('format = "coldpin.private/1"\n[[withhold]]\ntext = "ab"\n', encoding="utf-8")
    with pytest.raises(CaseError, match="fewer than 3 characters"):
        read_private(case)


def test_what_still_shows_is_found() -> None:
    """The last look is at the bytes, whatever the record said."""
    private = PrivateDescription(format="coldpin.private/1", withhold=(ToWithhold(text="Pier 12", what="address"),))
    texts = withheld_texts(SAMPLE, private, WithheldMapping())
    shown = ("report.html shows what stands for [address 1, withheld]",)

    assert without(SAMPLE, ()) is SAMPLE
    assert still_there({"report.html": b"at pier_12."}, texts) == shown
    assert still_there({"report.html": b"at pier 123"}, texts) == ()


def test_publishing_asks_for_the_right_of_reply_and_refuses_nothing(case: Path) -> None:
    """Nobody asked; asked and still in time; answered: the issue comes out each time, with a remark or none."""
    note(case, "a")
    first = publish(case, on="2026-05-30")
    letter = Letter(to="seller", name="Quayside Bargains", sent="2026-06-01", deadline="2026-06-15")
    open_case(case).edit("letters", (), (letter,), who="Ines", now=at(5))
    second = publish(case, on="2026-06-10")
    third_letter = Letter(
        to="seller",
        name="Quayside Bargains",
        sent="2026-06-01",
        deadline="2026-06-15",
        answered="2026-06-14",
        answer="No.",
    )
    open_case(case).edit("letters", (letter,), (third_letter,), who="Ines", now=at(6))
    third = publish(case, on="2026-06-20")

    assert first.remarks == (NOBODY_ASKED,)
    assert second.remarks == (
        "the seller Quayside Bargains was given until 2026-06-15 to reply, and this issue is of 2026-06-10",
    )
    assert third.remarks == ()
    page = (third.folder / "report.html").read_text(encoding="utf-8")
    assert "Right of reply" in page
    assert "“No.”" in page


@pytest.mark.independent("every letter there is, as the library of patterns takes it where case is not looked at")
def test_no_letter_that_counts_as_one_of_ascii_is_missed() -> None:
    """The quick look takes each for the same letter as the thorough one."""
    letters = "".join(map(chr, range(sys.maxunicode + 1)))
    alike = [
        (letter, one) for one in "abcdefghijklmnopqrstuvwxyz" for letter in re.findall(one, letters, re.IGNORECASE)
    ]

    assert len(alike) > 52
    assert [pair for pair in alike if folded(pair[0]) != pair[1]] == []


SECRET_TEXTS = st.text(alphabet="aKsi\u017f\u212a\u0130\u0131\u00e9\u00df\u1e9e -_9.", min_size=1, max_size=8).filter(
    str.strip
)
CODINGS = ("utf-8", "latin-1", "utf-16-le", "utf-16-be", "utf-32-le")


@given(SECRET_TEXTS, st.data())
def test_the_quick_look_misses_nothing_that_the_thorough_one_finds(text: str, data: st.DataObject) -> None:
    """Texts in any case, among others or in bytes of any coding; what shows nothing of it is seldom looked at twice."""
    case = getattr(text, data.draw(st.sampled_from(["strip", "upper", "lower", "swapcase", "casefold"])))
    read = data.draw(SECRET_TEXTS) + data.draw(st.sampled_from(["", " ", "_"])) + case() + data.draw(SECRET_TEXTS)
    if how_found(text).search(read):
        assert may_show(folded(read), text)
    for coding in CODINGS:
        held = read.encode(coding, "ignore")
        if _bytes_of(text).search(held):
            assert any(part in held.lower() for part in _parts_of(text))
    assert not may_show(folded("volts and time"), "Quartermain")
