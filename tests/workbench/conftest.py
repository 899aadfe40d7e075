"""The demonstration shelf, made once for all tests that look into it."""

from __future__ import annotations

import pytest

from coldpin.workbench.demo import DemoResult, make_demo


@pytest.fixture(scope="session")
def progress() -> list[float]:
    """What the demo said of its progress."""
    return []


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory, progress: list[float]) -> DemoResult:
    """The demo; whoever publishes or changes a case of it works on a copy."""
    return make_demo(tmp_path_factory.mktemp("demo") / "demo-shelf", progress.append)
