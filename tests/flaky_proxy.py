"""A proxy that fails on purpose: a relay on loopback between a client and a server of this machine.

To a browser a refusing or silent relay looks like a place without signal, in every engine.
"""

import asyncio
import contextlib
import socket
import struct
import threading
from collections.abc import Coroutine
from typing import Literal, TypeVar

T = TypeVar("T")
Way = Literal["up", "down"]


class FlakyProxy:
    """A relay to `port`. It starts open; every change of state holds from the next byte on."""

    def __init__(self, port: int) -> None:
        self._target = port
        self._listener: socket.socket | None = None
        self._relays: set[asyncio.Task[None]] = set()
        self._ends: set[asyncio.StreamWriter] = set()
        self._delay = 0.0
        self._bytes_per_second: float | None = None
        self._free_at: dict[Way, float] = {"up": 0, "down": 0}
        self.carried: dict[Way, int] = {"up": 0, "down": 0}
        """How many bytes were carried each way so far."""
        self._left: dict[Way, int | None] = {"up": None, "down": None}
        self._loop = asyncio.new_event_loop()
        self._flows = asyncio.Event()
        self._thread = threading.Thread(target=self._loop.run_forever, daemon=True)
        self._thread.start()
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port: int = probe.getsockname()[1]
        self.open()

    @property
    def url(self) -> str:
        return f"http://localhost:{self.port}"

    def open(self, *, delay: float = 0, bytes_per_second: float | None = None) -> None:
        """Let everything through, each piece `delay` seconds late, all together at most so many bytes each way."""
        self._do(self._open(delay, bytes_per_second))

    def refuse(self) -> None:
        """Cut what is under way and refuse new connections."""
        self._do(self._refuse())

    def silence(self) -> None:
        """Accept connections and keep them, but let no byte through either way."""
        self._do(self._silence())

    def cut_after(self, count: int, way: Way = "down") -> None:
        """Let `count` more bytes through that way (down: to the client), then refuse until opened again.

        A thin line stays thin.
        """
        self._do(self._cut_after(count, way))

    def close(self) -> None:
        """Refuse, and return when every socket is closed: one left behind would fail some later test."""
        self._do(self._end())
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()
        self._loop.close()

    def _do(self, work: Coroutine[object, object, T]) -> T:
        return asyncio.run_coroutine_threadsafe(work, self._loop).result(10)

    async def _open(self, delay: float, bytes_per_second: float | None = None) -> None:
        self._delay, self._bytes_per_second = delay, bytes_per_second
        self._left = {"up": None, "down": None}
        self._flows.set()
        if self._listener is None:
            self._listener = socket.create_server(("127.0.0.1", self.port), backlog=100)
            self._listener.setblocking(False)
            # Not asyncio's own server: until Python 3.12 it forgets a socket that it accepted just before it is closed.
            self._loop.add_reader(self._listener, self._accept)

    async def _refuse(self) -> None:
        if self._listener is not None:
            self._loop.remove_reader(self._listener)
            self._listener.close()
            self._listener = None
        for end in self._ends:
            # RST instead of FIN: a lost connection has no orderly shutdown.
            _reset_on_close(end.get_extra_info("socket"))
            end.transport.abort()
        self._flows.set()

    async def _end(self) -> None:
        async with asyncio.timeout(8):
            while True:
                await self._refuse()
                if not self._relays:
                    return
                # A relay that is still connecting.
                await asyncio.wait(self._relays, timeout=0.1)

    async def _silence(self) -> None:
        await self._open(0)
        self._flows.clear()

    async def _cut_after(self, count: int, way: Way) -> None:
        await self._open(0, self._bytes_per_second)
        self._left[way] = count

    def _accept(self) -> None:
        if self._listener is None:
            return
        with contextlib.suppress(BlockingIOError, ConnectionAbortedError):
            accepted, _ = self._listener.accept()
            relay = self._loop.create_task(self._relay(accepted))
            self._relays.add(relay)
            relay.add_done_callback(self._relays.discard)

    async def _relay(self, accepted: socket.socket) -> None:
        async with contextlib.AsyncExitStack() as ends:
            client, to_client = self._own(ends, await asyncio.open_connection(sock=accepted))
            try:
                server, to_server = self._own(ends, await asyncio.open_connection("127.0.0.1", self._target))
            except OSError:
                to_client.transport.abort()
                return
            if self._listener is None:
                # Accepted in the moment in which it was refused.
                to_client.transport.abort()
                return
            with contextlib.suppress(OSError, ExceptionGroup):
                async with asyncio.TaskGroup() as pumps:
                    pumps.create_task(self._pump(client, to_server, "up"))
                    pumps.create_task(self._pump(server, to_client, "down"))

    def _own(
        self, ends: contextlib.AsyncExitStack, end: tuple[asyncio.StreamReader, asyncio.StreamWriter]
    ) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
        """An end of a relay, which is closed with `ends` and may be cut until then."""
        _, writer = end
        self._ends.add(writer)
        ends.push_async_callback(self._close_end, writer)
        return end

    async def _close_end(self, writer: asyncio.StreamWriter) -> None:
        writer.close()
        with contextlib.suppress(OSError):
            await writer.wait_closed()
        self._ends.discard(writer)

    async def _pump(self, source: asyncio.StreamReader, sink: asyncio.StreamWriter, way: Way) -> None:
        while piece := await source.read(65536 if self._bytes_per_second is None else 4096):
            await self._flows.wait()
            await asyncio.sleep(self._delay)
            await self._wait_for_line(len(piece), way)
            self.carried[way] += len(piece)
            left = self._left[way]
            if left is not None:
                piece = piece[:left]
                self._left[way] = left - len(piece)
            sink.write(piece)
            await sink.drain()
            if self._left[way] == 0:
                await self._refuse()
        if sink.can_write_eof():
            sink.write_eof()

    async def _wait_for_line(self, count: int, way: Way) -> None:
        """Wait until a thin line has room for so many bytes: pieces of all connections go one after another."""
        if self._bytes_per_second is None:
            return
        instant = self._loop.time()
        self._free_at[way] = max(self._free_at[way], instant) + count / self._bytes_per_second
        await asyncio.sleep(self._free_at[way] - instant)


def _reset_on_close(end: socket.socket) -> None:
    with contextlib.suppress(OSError):
        end.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
