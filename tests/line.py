"""A line that fails on purpose: a relay on loopback between a client and a server of this machine.

To the browser a refused or silent relay is what a valley without signal is to a phone, in every engine alike.
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


class Line:
    """A relay to `port`. It starts open; every change of state holds from the next byte on."""

    def __init__(self, port: int) -> None:
        self._target = port
        self._listener: asyncio.Server | None = None
        self._ends: set[asyncio.StreamWriter] = set()
        self._delay = 0.0
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

    def open(self, *, delay: float = 0) -> None:
        """Let everything through, each piece `delay` seconds late."""
        self._do(self._open(delay))

    def refuse(self) -> None:
        """Cut what is under way and refuse new connections."""
        self._do(self._refuse())

    def silence(self) -> None:
        """Accept connections and keep them, but let no byte through either way."""
        self._do(self._silence())

    def cut_after(self, count: int, way: Way = "down") -> None:
        """Let `count` more bytes through that way (down: to the client), then refuse until opened again."""
        self._do(self._cut_after(count, way))

    def close(self) -> None:
        self.refuse()
        self._do(self._see_all_off())
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()
        self._loop.close()

    def _do(self, work: Coroutine[object, object, T]) -> T:
        return asyncio.run_coroutine_threadsafe(work, self._loop).result(10)

    async def _open(self, delay: float) -> None:
        self._delay = delay
        self._left = {"up": None, "down": None}
        self._flows.set()
        if self._listener is None:
            self._listener = await asyncio.start_server(self._carry, "127.0.0.1", self.port)

    async def _refuse(self) -> None:
        if self._listener is not None:
            self._listener.close()
            self._listener = None
        for end in list(self._ends):
            # No orderly goodbye: a lost line says nothing.
            reset = struct.pack("ii", 1, 0)
            with contextlib.suppress(OSError):
                end.get_extra_info("socket").setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, reset)
            end.transport.abort()
        self._flows.set()

    async def _see_all_off(self) -> None:
        """What was cut is gone before the loop is: a socket it leaves behind would fail some later test."""
        # One that is just being accepted makes another task.
        while others := asyncio.all_tasks() - {asyncio.current_task()}:
            ended, _ = await asyncio.wait(others, timeout=5)
            if not ended:
                break
        await asyncio.sleep(0.05)

    async def _silence(self) -> None:
        await self._open(0)
        self._flows.clear()

    async def _cut_after(self, count: int, way: Way) -> None:
        await self._open(0)
        self._left[way] = count

    async def _carry(self, client: asyncio.StreamReader, to_client: asyncio.StreamWriter) -> None:
        if self._listener is None:
            # Accepted in the moment in which it was refused.
            to_client.transport.abort()
            return
        self._ends.add(to_client)
        try:
            server, to_server = await asyncio.open_connection("127.0.0.1", self._target)
            self._ends.add(to_server)
            try:
                await asyncio.gather(self._pump(client, to_server, "up"), self._pump(server, to_client, "down"))
            finally:
                self._ends.discard(to_server)
                to_server.close()
        except OSError:
            to_client.transport.abort()
        finally:
            self._ends.discard(to_client)
            to_client.close()

    async def _pump(self, source: asyncio.StreamReader, sink: asyncio.StreamWriter, way: Way) -> None:
        while piece := await source.read(65536):
            await self._flows.wait()
            await asyncio.sleep(self._delay)
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
