"""The page at the bench: a thin, read-only face over the workbench, on this machine alone."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from coldpin.errors import MissingExtra

INSTALL = "the page is an optional part: install it with: pip install 'coldpin[page]'"


def serve(shelf: Path | str, *, port: int, listening: Callable[[], None] | None = None) -> None:
    """Show a shelf in the browser until interrupted.

    Parameters
    ----------
    shelf : Path or str
        The shelf's folder.
    port : int
        On which to listen, on the loopback address alone. [1]
    listening : callable, optional
        Called when the shelf was found, before the first page is asked for.

    Raises
    ------
    MissingExtra
        FastAPI or uvicorn is not installed.
    CaseError
        The folder is not a shelf.
    """
    try:
        import uvicorn

        from coldpin.web.app import create_app
    except ModuleNotFoundError as error:
        if (error.name or "").split(".")[0] in ("fastapi", "uvicorn", "starlette"):
            raise MissingExtra(INSTALL) from error
        raise
    app = create_app(shelf)
    if listening:
        listening()
    uvicorn.run(app, host="127.0.0.1", port=port, log_level="warning")
