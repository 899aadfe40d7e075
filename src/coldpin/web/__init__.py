"""The page at the bench: a thin face over the workbench, on this machine alone unless told otherwise."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from pathlib import Path

from coldpin.errors import MissingExtra

INSTALL = "the page is an optional part: install it with: pip install 'coldpin[page]'"

LOOPBACK = "127.0.0.1"
"""The address that this machine alone can reach."""

CROWD = 1000
"""Ours: so many connections are served at once; more are told to come again, before the system refuses them."""

FAREWELL = 5
"""Ours: at the end so long is waited for answers that are on their way. [s]"""


def serve(
    shelf: Path | str,
    *,
    port: int,
    host: str = LOOPBACK,
    token: str = "",
    listening: Callable[[str], None] | None = None,
) -> None:
    """Show a shelf in the browser until interrupted.

    Parameters
    ----------
    shelf : Path or str
        The shelf's folder.
    port : int
        On which to listen. [1]
    host : str
        The address to listen at; this machine alone can reach the usual one.
    token : str
        What a browser must bring from elsewhere; made where left out and ``host`` is not of this machine alone.
    listening : callable, optional
        Told the address to open, before the first page is asked for.

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
        from coldpin.web.connection import Connection
        from coldpin.web.trust import Trusted
    except ModuleNotFoundError as error:
        if (error.name or "").split(".")[0] in ("fastapi", "uvicorn", "starlette", "python_multipart"):
            raise MissingExtra(INSTALL) from error
        raise
    named = f"[{host}]" if ":" in host else host
    alone = host in (LOOPBACK, "localhost", "::1")
    held = token or ("" if alone else secrets.token_urlsafe(24))
    app = create_app(shelf, trusted=Trusted() if alone and not token else Trusted(hosts=(), token=held))
    if listening:
        listening(f"http://{named}:{port}/" + (f"?token={held}" if held else ""))
    uvicorn.run(
        app,
        host=host,
        port=port,
        log_level="warning",
        http=Connection,
        server_header=False,
        limit_concurrency=CROWD,
        timeout_graceful_shutdown=FAREWELL,
    )
