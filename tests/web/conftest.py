"""A small shelf for the page, made once: a filled case, an empty one, one that cannot be read; a server."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI

from coldpin.web.app import create_app
from coldpin.workbench.drafting import assessment_of
from tests.web.drawn_board import file_board
from tests.web.serving import serving
from tests.web.yard import NAME as YARD
from tests.web.yard import make_yard
from tests.workbench.quay import fill, make_case, make_shelf


@pytest.fixture(scope="session")
def quay(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shelf."""
    place = tmp_path_factory.mktemp("web")
    shelf = make_shelf(place / "shelf")
    case = make_case(shelf)
    fill(case, place)
    file_board(case, place)
    make_case(shelf, "empty & new", "Not begun")
    broken = make_case(shelf, "broken")
    (broken / "case.toml").write_text("title = [", encoding="utf-8")
    return shelf


@pytest.fixture(scope="package")
def address(quay: Path) -> Iterator[str]:
    """Where a server shows the shelf."""
    with serving(quay) as found:
        yield found


@pytest.fixture(scope="session")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shelf with a lead that was heated and charged through; its assessment is in the case's cache."""
    shelf = make_yard(tmp_path_factory.mktemp("yard"))
    assessment_of(shelf / YARD)
    return shelf


@pytest.fixture(scope="package")
def yard_app(yard: Path) -> FastAPI:
    """The application that shows it, asked by tests with and without a browser."""
    return create_app(yard)


@pytest.fixture(scope="package")
def yard_address(yard_app: FastAPI) -> Iterator[str]:
    """Where a server shows it."""
    with serving(yard_app) as found:
        yield found
