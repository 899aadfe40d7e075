"""Outlines proposed on a photograph: shown over it, and written as features of a drawing that nobody has confirmed."""

from __future__ import annotations

import difflib
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.board_adding import add_features, render_features
from coldpin.capture.board_file import parse_board, plain_feature, read_bytes
from coldpin.capture.photo import Photo, read_colours, read_photo
from coldpin.casefile.storage import write_over
from coldpin.errors import InputError
from coldpin.insulation.outline_proposing import ProposingChoices, propose_outline
from coldpin.records.board import Face, Role
from coldpin.records.outline import OutlineReading, OutlineToTake, Point, ProposedOutline
from coldpin.records.outline_proposal import OutlineProposal
from coldpin.report.figures.outline import draw_outlines

MOST_OUTLINES = 50
"""Ours: outlines of one call; each is to be looked at."""

MOST_CORNERS = 500
"""Ours: corners of one outline drawn by hand."""

CONFIRM = (
    "look at every side of each outline, put right what is wrong in the drawing, then take its property proposed out; "
    "until then the drawing decides nothing"
)

_NEAR = 0.75
"""Ours: how alike a word and a role are for a slip of the pen. [1]"""

_PLACES = 2
"""Corners and their uncertainty are printed to a hundredth of a pixel."""

EXAMPLE = "412,300 = slot"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PointedOut:
    """A place in a picture, and what is there; ``points_px``: array of shape (n, 2), one inside, or the corners."""

    points_px: NDArray[np.float64]
    role: Role | None = None
    net: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlineFiles:
    """Where outlines are written: ``show`` the picture to look at, ``features`` alone, ``add_to`` a drawing."""

    show: Path
    features: Path | None = None
    add_to: Path | None = None


def parse_place(text: str) -> PointedOut:
    """Read what is pointed out in a picture.

    Parameters
    ----------
    text : str
        A point inside it, or its corners in order, in pixels; then, as far as it is known, a role or a net, and after
        a comma a name: "412,300 = slot, slot 2", "88,120 = mains L".

    Returns
    -------
    PointedOut
        The place.

    Raises
    ------
    InputError
        It is not written so.

    Examples
    --------
    >>> found = parse_place("88,120 = mains L, relay pin 3")
    >>> found.role, found.net, found.name
    (<Role.CONDUCTOR: 'conductor'>, 'mains L', 'relay pin 3')
    """
    points, equals, said = text.partition("=")
    what, _, name = (" ".join(part.split()) for part in said.partition(","))
    if equals and not what:
        raise InputError(f"{text!r} says nothing after the sign: write a role or a net, as {EXAMPLE!r}")
    places = _points(points, text)
    if what.casefold() == Role.CONDUCTOR:
        raise InputError(f"{text!r}: a conductor is on a net: write that, as '88,120 = mains L'")
    if not what or what.casefold() in set(Role):
        return PointedOut(points_px=places, role=Role(what.casefold()) if what else None, name=name)
    near = difflib.get_close_matches(what.casefold(), list(Role), n=1, cutoff=_NEAR)
    if near:
        raise InputError(f"{text!r}: {what!r} is no role; did you mean {str(near[0])!r}?")
    return PointedOut(points_px=places, role=Role.CONDUCTOR, net=what, name=name)


def _points(points: str, text: str) -> NDArray[np.float64]:
    found = []
    for point in points.split():
        halves = point.split(",")
        try:
            place = [float(half) for half in halves]
        except ValueError:
            place = []
        if len(place) != 2 or not all(map(math.isfinite, place)):
            raise InputError(f"{text!r}: {point!r} is no point: write x,y in pixels, as {EXAMPLE!r}")
        found.append(place)
    if not found:
        raise InputError(f"{text!r} has no point: write one inside the shape, or its corners, as {EXAMPLE!r}")
    if len(found) > MOST_CORNERS:
        raise InputError(f"an outline of {len(found)} corners is given; at most {MOST_CORNERS} are taken: give fewer")
    return np.array(found)


def propose_outlines(
    picture: Path | str,
    at: Sequence[str],
    files: OutlineFiles,
    *,
    choices: ProposingChoices | None = None,
    face: Face | None = None,
) -> OutlineReading:
    """Propose outlines on a photograph, show them over it, and write them as features that nobody has confirmed.

    Nothing is written before all of it was found.

    Parameters
    ----------
    picture : Path or str
        The photograph.
    at : sequence of str
        What is pointed out, as :func:`parse_place` reads it.
    files : OutlineFiles
        Where the picture to look at is written, and the features.
    choices : ProposingChoices, optional
        How outlines are looked for.
    face : Face, optional
        The face that the photograph shows, for a drawing of both.

    Returns
    -------
    OutlineReading
        The outlines, with what is odd about each.

    Raises
    ------
    CaptureError
        The photograph or the drawing cannot be read, or the drawing would be none with these shapes.
    StorageError
        The disk refuses a file.
    InputError
        Nothing is found at a point, the drawing is not over this photograph, a text cannot be read, or a file would be
        written over another.
    MissingExtra
        The library that looks at pictures is not installed.
    """
    places = [parse_place(text) for text in at]
    if not 0 < len(places) <= MOST_OUTLINES:
        raise InputError(f"{len(places)} places are pointed out: give 1 to {MOST_OUTLINES}, as --at {EXAMPLE!r}")
    _require_files(Path(picture), files)
    if files.features is not None or files.add_to is not None:
        _require_roles(places, at)
    photo, pixels = read_photo(picture), read_colours(picture)
    drawing = b"" if files.add_to is None else _drawing(files.add_to, photo)
    found = [
        (place, _proposal(pixels, place, choices or ProposingChoices(), text))
        for place, text in zip(places, at, strict=True)
    ]
    features = [
        proposal.proposed(place.name, place.role, net=place.net, face=face)
        for place, proposal in found
        if place.role is not None
    ]
    outlines = tuple(_outline(number, *one, face) for number, one in enumerate(found, start=1))
    written = {files.show: (draw_outlines(pixels, outlines), "the picture of the outlines")}
    if files.features is not None:
        written[files.features] = (render_features(features), "the features")
    if files.add_to is not None:
        written[files.add_to] = (add_features(drawing, features, where=files.add_to.name), "the drawing")
    for path, (data, what) in written.items():
        write_over(path, data, what=what)
    return OutlineReading(
        schema="coldpin.outline/1",
        picture=photo.name,
        sha256=photo.sha256,
        width_px=photo.size_px[0],
        height_px=photo.size_px[1],
        outlines=outlines,
        shown=str(files.show),
        confirm=CONFIRM,
        remarks=photo.remarks,
    )


def propose_one(
    picture: Path | str, at: str, *, choices: ProposingChoices | None = None, face: Face | None = None
) -> OutlineToTake:
    """Propose one outline on a photograph for a drawing that is open; nothing is written.

    Parameters
    ----------
    picture : Path or str
        The photograph; while it stays as it is it is decoded once for many outlines.
    at : str
        What is pointed out, as :func:`parse_place` reads it, with its role or net.
    choices : ProposingChoices, optional
        How it is looked for.
    face : Face, optional
        The face that the photograph shows, for a drawing of both.

    Returns
    -------
    OutlineToTake
        The outline with what is odd about it, and the feature that it becomes when somebody who has looked takes it.

    Raises
    ------
    CaptureError
        The photograph cannot be read.
    InputError
        Nothing is found there, the text cannot be read, or does not say what is there.
    MissingExtra
        The library that looks at pictures is not installed.
    """
    state = Path(picture).stat()
    return propose_on(_colours(str(picture), state.st_mtime_ns, state.st_size), at, choices=choices, face=face)


def propose_on(
    pixels: NDArray[np.uint8], at: str, *, choices: ProposingChoices | None = None, face: Face | None = None
) -> OutlineToTake:
    """Propose one outline on a picture that is decoded already, as :func:`propose_one` does.

    Parameters
    ----------
    pixels : NDArray[np.uint8]
        Array of shape (height, width, 3): red, green, blue.
    at : str
        What is pointed out, as :func:`parse_place` reads it, with its role or net.
    choices : ProposingChoices, optional
        How it is looked for.
    face : Face, optional
        The face that the picture shows, for a drawing of both.

    Returns
    -------
    OutlineToTake
        The outline with what is odd about it, and the feature that it becomes when somebody who has looked takes it.

    Raises
    ------
    InputError
        Nothing is found there, the text cannot be read, or does not say what is there.
    MissingExtra
        The library that looks at pictures is not installed.
    """
    place = parse_place(at)
    _require_roles((place,), (at,))
    assert place.role is not None
    proposal = _proposal(pixels, place, choices or ProposingChoices(), at)
    taken = proposal.confirmed(place.name, place.role, net=place.net, face=face)
    return OutlineToTake(outline=_outline(1, place, proposal, face), feature=plain_feature(taken))


@lru_cache(maxsize=2)
def _colours(path: str, _changed_ns: int, _size: int) -> NDArray[np.uint8]:
    """Decode a photograph once for all that is pointed out in it: some 40 MB each."""
    return read_colours(path)


def _require_files(picture: Path, files: OutlineFiles) -> None:
    """Refuse to write over the photograph, or over a drawing that holds more than features."""
    written = [path for path in (files.show, files.features, files.add_to) if path is not None]
    for number, path in enumerate(written):
        if _is_one(path, picture):
            raise InputError(f"{path} is the photograph itself: give another name, it is evidence")
        if any(_is_one(path, other) for other in written[:number]):
            raise InputError(f"{path} is given twice: give each file a name of its own")
    if files.show.suffix.casefold() != ".png":
        raise InputError(f"the picture to look at is written as PNG: name it so, not {files.show.name!r}")
    if files.features is not None and files.features.is_file() and b'"scale"' in read_bytes(files.features):
        raise InputError(f"{files.features} is a drawing with a scale: say --add-to to add the features to it")


def _is_one(path: Path, other: Path) -> bool:
    try:
        return path.samefile(other)
    except OSError:
        return path.absolute() == other.absolute()


def _require_roles(places: Sequence[PointedOut], at: Sequence[str]) -> None:
    for place, text in zip(places, at, strict=True):
        if place.role is None:
            raise InputError(
                f"{text!r} does not say what is there, and a feature has a role: write it after the point, as "
                f"{EXAMPLE!r} ({', '.join(role for role in Role if role is not Role.CONDUCTOR)}), or a net, as "
                "'88,120 = mains L'"
            )


def _drawing(path: Path, photo: Photo) -> bytes:
    """Return the bytes of a drawing that was made over a photograph."""
    data = read_bytes(path)
    calibration = parse_board(data, where=path.name).board.calibration
    if calibration is None:
        raise InputError(f"{path.name} is drawn in millimetres, and outlines are in pixels of a photograph")
    if calibration.picture != photo.sha256:
        over = f"the picture {calibration.picture[:_SHORT]}…" if calibration.picture else "a picture it does not name"
        raise InputError(
            f"{path.name} is drawn over {over}, and {photo.name} is {photo.sha256[:_SHORT]}…: give the photograph that "
            "its member scale.picture names, so that the pixels are the same"
        )
    return data


_SHORT = 12
"""Of a hash, to tell two apart."""


def _proposal(pixels: NDArray[np.uint8], place: PointedOut, choices: ProposingChoices, text: str) -> OutlineProposal:
    # what stands on a board, or is printed on it, is no hole in it
    filled = choices.filled or place.role not in (None, Role.CONDUCTOR, Role.FLOATING)
    try:
        return propose_outline(pixels, place.points_px, replace(choices, filled=filled))
    except InputError as error:
        raise InputError(f"at {text!r}: {error}") from error


def _outline(number: int, place: PointedOut, proposal: OutlineProposal, face: Face | None) -> ProposedOutline:
    said = place.net or (place.role.value if place.role else "")
    label = f"{said}, {place.name}" if said and place.name else said or "not said what it is"
    return ProposedOutline(
        number=number,
        label=label,
        role=place.role,
        net=place.net,
        name=place.name,
        face=face,
        at_px=_corners(place.points_px),
        outline_px=_corners(proposal.outline_px),
        openings_px=tuple(map(_corners, proposal.openings_px)),
        corner_u_px=tuple(None if math.isnan(u) else round(float(u), _PLACES) for u in proposal.corner_u_px),
        pick_u_px=None if proposal.worst_u_px is None else round(proposal.worst_u_px, _PLACES),
        proposed=True,
        made_by=proposal.made_by,
        remarks=proposal.remarks,
    )


def _corners(corners: NDArray[np.float64]) -> tuple[Point, ...]:
    return tuple((round(float(x), _PLACES), round(float(y), _PLACES)) for x, y in corners)
