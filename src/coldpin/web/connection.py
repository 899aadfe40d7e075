"""A connection that is given up where no whole request comes over it: who only holds it open keeps nobody out."""

from __future__ import annotations

import asyncio
from typing import Any, ClassVar

from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_PATIENCE = 10.0
"""Ours: the head of a request is a few hundred bytes; one that has not come after so long is not coming. [s]"""


class Connection(H11Protocol):
    """One connection, as the server speaks over it; it is closed where a request is begun and not finished.

    Once the head is whole, :mod:`coldpin.web.trust` waits for the body, and the server for the next request.
    """

    patience: ClassVar[float] = HEAD_PATIENCE
    _due: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]  # as the server has it
        """Begin to wait for a head.

        Parameters
        ----------
        transport : asyncio.Transport
            What it goes over.
        """
        super().connection_made(transport)
        self._watch()

    def data_received(self, data: bytes) -> None:
        """Take what came, and see whether a request is whole.

        Parameters
        ----------
        data : bytes
            What came.
        """
        super().data_received(data)
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait for nothing more.

        Parameters
        ----------
        exc : Exception or None
            Why it ended.
        """
        self._forget()
        super().connection_lost(exc)

    def _watch(self) -> None:
        cycle: Any = self.cycle
        if cycle is not None and not cycle.response_complete:
            self._forget()
        elif self._due is None:
            self._due = self.loop.call_later(self.patience, self._give_up)

    def _forget(self) -> None:
        if self._due is not None:
            self._due.cancel()
            self._due = None

    def _give_up(self) -> None:
        self._due = None
        if not self.transport.is_closing():
            self.transport.abort()
