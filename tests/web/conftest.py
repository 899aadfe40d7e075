"""A small shelf for the page, made once: a filled case, an empty one, one that cannot be read; a server."""

from __future__ import annotations

import multiprocessing
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI

from coldpin.web import works
from coldpin.web.app import create_app
from coldpin.workbench.drafting import assessment_of
from tests.web.drawn_board import file_board
from tests.web.serving import serving
from tests.web.yard import NAME as YARD
from tests.web.yard import make_yard
from tests.workbench.quay import fill, make_case, make_shelf

Once = Callable[[str, Callable[[Path], object]], Path]


@pytest.fixture(scope="session", autouse=True)
def helpers_at_once() -> Iterator[None]:
    """Fork the second process of each server from one that has loaded all, which takes seconds, once for a worker."""
    multiprocessing.set_forkserver_preload(["coldpin.web.app"])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(works, "START", multiprocessing.get_context("forkserver"))
        yield


def make_quay(place: Path) -> None:
    """Fill the shelf, and have its cases assessed: that is in their caches."""
    shelf = make_shelf(place / "shelf")
    case = make_case(shelf)
    fill(case, place)
    file_board(case, place)
    new = make_case(shelf, "empty & new", "Not begun")
    broken = make_case(shelf, "broken")
    (broken / "case.toml").write_text("title = [", encoding="utf-8")
    for one in (case, new):
        assessment_of(one)


@pytest.fixture(scope="session")
def quay(made_once: Once, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shelf; each worker has its own, as an instrument is put on it."""
    return Path(shutil.copytree(made_once("quay", make_quay) / "shelf", tmp_path_factory.mktemp("web") / "shelf"))


@pytest.fixture(scope="package")
def address(quay: Path) -> Iterator[str]:
    """Where a server shows the shelf."""
    with serving(quay) as found:
        yield found


def make_filled(place: Path) -> None:
    """A shelf with the filled case alone."""
    shelf = make_shelf(place / "shelf")
    case = make_case(shelf)
    fill(case, place)
    assessment_of(case)


@pytest.fixture(scope="module")
def filled(made_once: Once, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shelf with the filled case alone, assessed, for the tests of a module to change."""
    return Path(shutil.copytree(made_once("filled", make_filled) / "shelf", tmp_path_factory.mktemp("own") / "shelf"))


@pytest.fixture(scope="session")
def yard(made_once: Once, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shelf with a lead that was heated and charged through; its assessment is in the case's cache."""

    def make(place: Path) -> None:
        assessment_of(make_yard(place) / YARD)

    return Path(shutil.copytree(made_once("yard", make) / "shelf", tmp_path_factory.mktemp("yard") / "shelf"))


@pytest.fixture(scope="package")
def yard_app(yard: Path) -> FastAPI:
    """The application that shows it, asked by tests with and without a browser."""
    return create_app(yard)


@pytest.fixture(scope="package")
def yard_address(yard_app: FastAPI) -> Iterator[str]:
    """Where a server shows it."""
    with serving(yard_app) as found:
        yield found
