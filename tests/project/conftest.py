"""The wheel installed elsewhere, and the demo that it made."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.installed import Elsewhere, demo_elsewhere


@pytest.fixture(scope="session")
def elsewhere(made_once: Callable[[str, Callable[[Path], object]], Path]) -> Elsewhere:
    """A fresh environment that holds the wheel, and what came of the demo there."""
    return demo_elsewhere(made_once)
