"""The photograph of the other face is put under a drawing, mirrored and straight, and says how well it lies."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.errors import InputError, UnknownName
from coldpin.workbench.drawing_sheets import new_sheet, open_sheet, save_drawing
from coldpin.workbench.other_faces import laid_colours, read_other_face
from tests.web.drawn_board import (
    BELOW,
    SHARED,
    SIZE,
    BoardCase,
    as_bytes,
    drawing,
    file_other,
    in_other,
    laid_under,
    make_board_case,
)
from tests.workbench.quay import at


@pytest.fixture(scope="module")
def boards(tmp_path_factory: pytest.TempPathFactory) -> BoardCase:
    """A case with photographs of both faces, and a drawing over the first."""
    place = tmp_path_factory.mktemp("faces")
    made = make_board_case(place)
    file_other(made.case, place)
    return made


def test_it_is_seen_where_it_lies_under_the_first(boards: BoardCase) -> None:
    """Its copper to a pixel; whatever is drawn so far, nothing too."""
    found = laid_colours(boards.case, as_bytes({**laid_under(drawing()), "features": []}))
    assert found.shape == (SIZE[1], SIZE[0], 3)
    left, top, right, bottom = BELOW
    rows, columns = np.nonzero(found[65:335, 65:535, 2] > 100)
    edges = (columns.min() + 65, rows.min() + 65, columns.max() + 65, rows.max() + 65)
    assert edges == pytest.approx((left, top, right, bottom), abs=1.5)


def test_a_sheet_says_what_may_lie_under_it_and_how_it_does(boards: BoardCase) -> None:
    """The photographs beside its own; how well it lies, filed with the drawing."""
    sheet = open_sheet(boards.case, boards.drawing)
    assert ([one.called for one in sheet.others], sheet.laid) == (["bottom"], None)
    assert [one.called for one in new_sheet(boards.case, boards.photograph).others] == ["bottom"]
    plain = laid_under(drawing())
    made = save_drawing(boards.case, as_bytes(plain), who="Ines", before=boards.drawing, now=at(9))
    laid = open_sheet(boards.case, made.entry.id).laid
    assert laid is not None
    assert (laid.marks, laid.remarks) == (5, ())
    assert laid.u_mm is not None
    assert laid.within_mm is not None
    assert 0.02 < laid.u_mm < laid.within_mm < 0.4
    assert laid.u_px == pytest.approx(laid.u_mm / 0.1, rel=0.02)


def test_what_marks_cannot_show_and_what_they_contradict_is_told() -> None:
    """Three no tilt; as many as the fit needs no mistake; one that is elsewhere."""
    three, two = (" ".join(read_other_face(as_bytes(laid_under(drawing(), SHARED[:n]))).remarks) for n in (3, 2))
    assert "do not show how the other picture was tilted" in three
    assert "would not be seen" in two
    wrong = laid_under(drawing())
    wrong["other_face"]["marks"][4]["px"] = (in_other(SHARED[4:]) + 12.0)[0].tolist()
    assert "is each the same place on both faces?" in " ".join(read_other_face(as_bytes(wrong)).remarks)
    unknown = laid_under(drawing())
    del unknown["scale"]["pick_u_px"]
    told = read_other_face(as_bytes(unknown))
    assert (told.u_mm, told.u_px, told.within_mm) == (None, None, None)
    assert "picked is not stated" in " ".join(told.remarks)


def test_what_is_not_there_is_told(boards: BoardCase) -> None:
    """No other face, a photograph that is not filed, a picture of unknown size."""
    with pytest.raises(InputError, match="no photograph of the other face is laid under this drawing"):
        read_other_face(as_bytes(drawing()))
    strange = laid_under(drawing())
    strange["other_face"]["picture"] = "0" * 64
    with pytest.raises(UnknownName, match="photograph"):
        laid_colours(boards.case, as_bytes(strange))
    unsized = laid_under(drawing())
    del unsized["scale"]["picture_size_px"]
    with pytest.raises(InputError, match="size of the picture that is drawn over"):
        laid_colours(boards.case, as_bytes(unsized))
