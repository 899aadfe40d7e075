"""Wait for a coroutine in a thread of its own: after a test in the browser, its loop runs in the tests' thread."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

T = TypeVar("T")


def awaited(work: Coroutine[Any, Any, T]) -> T:
    """What the coroutine returns."""
    with ThreadPoolExecutor(1) as apart:
        return apart.submit(asyncio.run, work).result()
