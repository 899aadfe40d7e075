"""What the tests of captures share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

Write = Callable[..., Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """A function that writes text or bytes to a file named pilot.csv, or otherwise, and returns its path."""

    def put(content: str | bytes, name: str = "pilot.csv", *, encoding: str = "utf-8") -> Path:
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode(encoding))
        return path

    return put
