"""The wheel installed elsewhere, and the demo that it made, for the documents."""

from __future__ import annotations

from tests.installed import elsewhere

__all__ = ["elsewhere"]
