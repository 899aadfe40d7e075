"""A small shelf for the page, made once: a filled case, an empty one, and one that cannot be read."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.workbench.quay import fill, make_case, make_shelf


@pytest.fixture(scope="session")
def quay(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shelf."""
    place = tmp_path_factory.mktemp("web")
    shelf = make_shelf(place / "shelf")
    fill(make_case(shelf), place)
    make_case(shelf, "empty & new", "Not begun")
    broken = make_case(shelf, "broken")
    (broken / "case.toml").write_text("title = [", encoding="utf-8")
    return shelf
