"""Compiling once: machine code is kept until a line of what it was made from changes."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numba

_MADE_FROM = (
    "_vectors.py",
    "compiled.py",
    "kernel.py",
    "_kernel_levels.py",
    "_kernel_search.py",
    "kernel_spans.py",
    "_kernel_sums.py",
)

inner = numba.njit(nogil=True)
"""Compiled on its own, for what is seldom needed."""

hot = numba.njit(nogil=True, inline="always")
"""Written out where it is used, since a call takes as long as its work; used in one place, or compiling lasts."""


def _folder(function: Callable[..., Any]) -> Path:
    """Return the folder for code made from these sources, and from constants with these values, wherever they stand."""
    here = Path(__file__).parent
    texts = hashlib.blake2b(digest_size=8)
    for name in _MADE_FROM:
        texts.update((here / name).read_bytes())
    texts.update(repr(sorted(_constants(function).items())).encode())
    beside = here / "__pycache__"
    if not os.access(beside if beside.exists() else here, os.W_OK):
        beside = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "coldpin"
    return beside / f"compiled-{texts.hexdigest()}"


def _constants(function: Callable[..., Any]) -> dict[str, object]:
    """Return the constants that a function and those it calls were written with, by module and name."""
    found: dict[str, object] = {}
    waiting, seen = [function], {function}
    while waiting:
        one = waiting.pop()
        for name, value in one.__globals__.items():
            called = getattr(value, "py_func", None)
            if name.strip("_").isupper():
                found[f"{one.__module__}.{name}"] = value
            elif called is not None and called not in seen:
                seen.add(called)
                waiting.append(called)
    return found


def is_kept() -> bool:
    """Whether code compiled from the sources as they are now is there.

    Returns
    -------
    bool
        False before the first use.
    """
    from coldpin.pilot.stream import kernel, kernel_spans

    functions = (kernel._take.py_func, kernel_spans._fold.py_func)
    return all(any(_folder(function).rglob("*.nbc")) for function in functions)


def kept(function: Callable[..., Any]) -> Any:
    """Compile a function, when it is first called, without holding the interpreter; keep the result if possible.

    Parameters
    ----------
    function : callable
        The function.

    Returns
    -------
    callable
        The compiled one.
    """
    config: Any = numba.config
    before = config.CACHE_DIR
    try:
        config.CACHE_DIR = str(_folder(function))
        return numba.njit(nogil=True, cache=True)(function)
    except (RuntimeError, OSError):
        # nowhere to keep it
        return numba.njit(nogil=True)(function)
    finally:
        config.CACHE_DIR = before
