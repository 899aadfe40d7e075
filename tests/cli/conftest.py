"""The wheel installed elsewhere, and the demo that it made, for the examples of the help."""

from __future__ import annotations

from tests.installed import elsewhere

__all__ = ["elsewhere"]
