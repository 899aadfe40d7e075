"""Starts servers that are killed: reads lines ``SHELF PORT`` and answers each with the number of a process that serves.

All is imported and built once, and each server is a fork of this process: so that many can be killed in little time.
What works beside the pages is no part of a fork, and nothing is assessed in it.
"""

from __future__ import annotations

import os
import signal
import sys

import uvicorn
from fastapi import FastAPI

from coldpin.web.app import create_app


def main() -> None:
    """Start servers until nobody asks for more."""
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for those that were killed
    built: dict[str, FastAPI] = {}
    for line in sys.stdin:
        shelf, port = line.rstrip("\n").split("\t")
        app = built.setdefault(shelf, built.get(shelf) or create_app(shelf))
        number = os.fork()
        if not number:
            signal.signal(signal.SIGCHLD, signal.SIG_DFL)
            uvicorn.run(app, host="127.0.0.1", port=int(port), log_level="warning")
            os._exit(0)
        print(number, flush=True)


if __name__ == "__main__":
    main()
