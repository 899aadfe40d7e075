"""A photograph of a board made ready to measure in: its scale, how sure that is, and what heights do to it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from coldpin.capture.photo import Photo, read_photo
from coldpin.capture.video_still import parse_time_code, read_still
from coldpin.casefile.storage import write_over
from coldpin.errors import InputError
from coldpin.insulation.calibration import fit_plane
from coldpin.insulation.card_calibration import CardCalibration, CardLying, calibrate_by_card
from coldpin.insulation.known_lengths import calibrate_by_hand, parse_length, parse_rectangle
from coldpin.insulation.photo_reading import PhotoFacts, read_plane
from coldpin.quantity import Quantity, parse_quantity
from coldpin.records.board import Calibration
from coldpin.records.photo import PhotoCard, PhotoReading


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoChoices:
    """What a person says of a photograph; each text as written, empty where nothing is said.

    ``at`` is the time code of a still, ``still`` the file it is written to. ``bar_along`` and ``bar_across`` are the
    bars of the card by calliper. ``face_above`` is how far the face that is measured lies above the card. ``pitch`` and
    ``rectangle`` give a scale without a card, ``gaps`` are known by calliper. ``pick_u_px`` is the standard uncertainty
    of each coordinate to be picked [px].
    """

    at: str = ""
    still: Path | None = None
    bar_along: str = ""
    bar_across: str = ""
    face_above: str = ""
    camera_height: str = ""
    pitch: str = ""
    rectangle: str = ""
    gaps: Sequence[str] = field(default_factory=tuple)
    pick_u_px: float | None = None


def look_at_photo(path: Path | str, choices: PhotoChoices | None = None) -> PhotoReading:
    """Calibrate a photograph by its scale card, or by lengths that were pointed out in it.

    Parameters
    ----------
    path : Path or str
        A picture, or a video with the time code of a still.
    choices : PhotoChoices or None
        What a person says of it.

    Returns
    -------
    PhotoReading
        The scale, ready for a board's file, with tilt, lens, blur, heights, gaps and remarks.

    Raises
    ------
    CaptureError
        The file cannot be read.
    StorageError
        The disk refuses the still.
    InputError
        There is no scale, the picture is mirrored or blurred, the card does not lie flat, or a text cannot be read.
    MissingExtra
        The library that looks at pictures is not installed.
    """
    said = choices or PhotoChoices()
    at_s = parse_time_code(said.at) if said.at else None
    lengths = [parse_length(text) for text in said.gaps]
    camera_height = _size(said.camera_height, "the height of the lens")
    if said.pick_u_px is not None and not 0.0 < said.pick_u_px < math.inf:
        raise InputError(
            f"picking to {said.pick_u_px:g} px is no uncertainty: say how well corners are picked, such as 1"
        )
    photo = read_photo(path) if at_s is None else _still(path, at_s, said.still)
    height_mm = None if camera_height is None else camera_height.value
    if said.pitch or said.rectangle:
        calibration = _by_hand(photo, said, height_mm)
        plane, card = fit_plane(calibration), None
        remarks = plane.remarks
    else:
        by_card = _by_card(photo, said, height_mm)
        calibration, plane, remarks = by_card.calibration, by_card.plane, by_card.remarks
        card = _card(by_card)
    facts = PhotoFacts(
        name=photo.name,
        sha256=photo.sha256,
        size_px=photo.size_px,
        at_s=at_s,
        focal_px=photo.focal_px,
        lens_mm=height_mm,
        card=card,
    )
    return read_plane(facts, calibration, plane, lengths, remarks=(*photo.remarks, *remarks))


def _still(path: Path | str, at_s: float, target: Path | None) -> Photo:
    still = read_still(path, at_s)
    if target is not None:
        write_over(target, still.png, what="the still")
        return still.photo
    kept = "the still itself was not kept: write it with --still, so that there is a picture to draw on and to file"
    return replace(still.photo, remarks=(*still.photo.remarks, kept))


def _by_card(photo: Photo, said: PhotoChoices, height_mm: float | None) -> CardCalibration:
    above = _length(said.face_above)
    return calibrate_by_card(
        photo.grey,
        CardLying(
            along=_size(said.bar_along, "the long bar of the card"),
            across=_size(said.bar_across, "the short bar of the card"),
            face_above_mm=None if above is None else above.value,
        ),
        pick_u_px=said.pick_u_px,
        focal_px=photo.focal_px,
        camera_height_mm=height_mm,
        picture=photo.sha256,
    )


def _by_hand(photo: Photo, said: PhotoChoices, height_mm: float | None) -> Calibration:
    if said.pitch and said.rectangle:
        raise InputError("--pitch and --rectangle both give the scale: say one, and the other as --gap to check it")
    known = parse_length(said.pitch) if said.pitch else parse_rectangle(said.rectangle)
    return calibrate_by_hand(
        known,
        size_px=photo.size_px,
        pick_u_px=said.pick_u_px,
        camera_height_mm=height_mm,
        picture=photo.sha256,
    )


def _card(by_card: CardCalibration) -> PhotoCard:
    found = by_card.found
    return PhotoCard(
        name=found.card.name,
        marks=found.marks,
        corners=len(found.picture_px),
        square_px=found.square_px,
        blur_px=max(found.blur_px),
        blur_mm=by_card.blur_mm,
    )


def _size(text: str, what: str) -> Quantity | None:
    found = _length(text)
    if found is not None and not 0.0 < found.value < math.inf:
        raise InputError(f"{what} is {text!r}: it must be above 0")
    return found


def _length(text: str) -> Quantity | None:
    return parse_quantity(text, "mm") if text else None
