"""Starts servers that are killed: reads lines ``SHELF PORT`` and answers each with the number of a process that serves.

All is imported once, and each server is a fork of this process: so that many can be killed in little time.
"""

from __future__ import annotations

import os
import signal
import sys

import uvicorn

from coldpin.web.app import create_app


def main() -> None:
    """Start servers until nobody asks for more."""
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for those that were killed
    for line in sys.stdin:
        shelf, port = line.rstrip("\n").split("\t")
        number = os.fork()
        if not number:
            signal.signal(signal.SIGCHLD, signal.SIG_DFL)
            uvicorn.run(create_app(shelf), host="127.0.0.1", port=int(port), log_level="warning")
            os._exit(0)
        print(number, flush=True)


if __name__ == "__main__":
    main()
