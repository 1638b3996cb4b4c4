"""The door of the server: whoever connects and does not ask is shown out, and few may stand there."""

from __future__ import annotations

import asyncio
import time

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_S = 5.0  # from connecting, or the first sign of a further question, until all of its headers are there
MOST_WAITING = 64  # connections without a question; browsers open a handful ahead of need


class Door(H11Protocol):
    """HTTP/1.1 on one connection, which is closed when its headers do not come.

    A browser of this computer sends headers in one go. Whoever trickles them would hold a connection for
    ever, and enough of those would leave none for the page.
    """

    _late: asyncio.TimerHandle | None = None
    _since = 0.0

    @property
    def is_waiting(self) -> bool:
        """Whether there is no question to answer."""
        return self.cycle is None or self.cycle.response_complete

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        self._since = time.monotonic()
        super().connection_made(transport)
        self._expect()
        waiting = [one for one in self.connections if isinstance(one, Door) and one.is_waiting]
        if len(waiting) > MOST_WAITING:
            min(waiting, key=lambda one: one._since).show_out()

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        if self.is_waiting:
            self._expect()
        else:
            self._forget()

    def on_response_complete(self) -> None:
        self._since = time.monotonic()
        super().on_response_complete()
        if self.is_waiting and (self.conn.their_state is h11.SEND_BODY or self.conn.trailing_data[0]):
            self._expect()

    def connection_lost(self, exc: Exception | None) -> None:
        self._forget()
        super().connection_lost(exc)

    def show_out(self) -> None:
        """Close the connection, unless it has asked in the meantime."""
        if self.is_waiting and not self.transport.is_closing():
            self.transport.abort()

    def _expect(self) -> None:
        if self._late is None:
            self._late = self.loop.call_later(HEAD_S, self.show_out)

    def _forget(self) -> None:
        if self._late is not None:
            self._late.cancel()
            self._late = None
