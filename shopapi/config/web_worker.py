"""Gunicorn's worker for slow clients: a request takes a thread only once all of it has arrived.

Gunicorn keeps the processes (start, stop, replacement of a dead one); Waitress reads requests and sends answers in one
loop a process, so a client that sends a byte a second costs a socket and nothing else. Its threads run Django.
"""

import os
import resource
import time
from typing import Any
from weakref import WeakKeyDictionary

from gunicorn.workers.base import Worker
from waitress import wasyncore
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser, ParsingError
from waitress.server import create_server
from waitress.task import WSGITask

from shopapi.core.clock import ARRIVED, now

HEADER_SECONDS = 20.0
"""How long the first line and the headers of a request may take to arrive."""
LEAST_BYTES_PER_SECOND = 500
"""The minimum average bytes per second of a body after the headers' time. The slowest mobile networks are faster."""
UPLOADS = "/api/v1/uploads/"
UPLOAD_TYPE = "application/offset+octet-stream"
# Longer than a proxy in front keeps its own idle connections (Caddy: 120 s): it must not send into a closing one.
IDLE_SECONDS = 130
STALLED_SECONDS = 30.0
"""How long a client may leave its answer unread."""
MOST_BYTES = 4 * 1024 * 1024
MOST_HEADER_BYTES = 32 * 1024
MOST_SOCKETS = 4096
# The database, log files, static files and the pipes of the process itself.
OTHER_FILES = 64
# How long a stopping worker waits for a request that is still arriving.
ARRIVING_SECONDS = 2.0


def is_too_slow(seconds: float, *, headers_done: bool, body_bytes: int) -> bool:
    """Whether a request that began to arrive so many seconds ago should be given up.

    >>> is_too_slow(25, headers_done=False, body_bytes=0), is_too_slow(25, headers_done=True, body_bytes=5_000)
    (True, False)
    """
    allowed = HEADER_SECONDS + (body_bytes / LEAST_BYTES_PER_SECOND if headers_done else 0)
    return seconds > allowed


class ArrivingRequest(HTTPRequestParser):  # type: ignore[misc] # waitress has no types
    """A request with the time of its first byte, by which phones measure their clocks."""

    def __init__(self, adj: Any) -> None:
        super().__init__(adj)
        self.arrived = now().timestamp()

    def parse_header(self, header_plus: bytes) -> None:
        """Read the headers; refuse two lengths in one request (RFC 9112, 6.1): a proxy may have used the other one."""
        super().parse_header(header_plus)
        if self.chunked and "CONTENT_LENGTH" in self.headers:
            raise ParsingError("Content-Length and Transfer-Encoding in one request")


class ArrivedTask(WSGITask):  # type: ignore[misc] # waitress has no types
    """Runs Django with the time of the first byte in the environment."""

    def get_environment(self) -> dict[str, Any]:
        environment: dict[str, Any] = super().get_environment()
        environment[ARRIVED] = self.request.arrived
        return environment


class ClientConnection(HTTPChannel):  # type: ignore[misc] # waitress has no types
    """One client's connection; the bytes of an upload that was cut off still reach the application.

    tus 1.0.0, "PATCH": a server keeps as much of what it received as it can. Other requests run only if complete.
    """

    parser_class = ArrivingRequest
    task_class = ArrivedTask
    # What is still arriving, and what came behind a request that is not answered yet.
    request: Any = None
    behind = b""

    def received(self, data: bytes) -> bool:
        """Read one request at a time: answers to many, left unread, would keep a thread waiting to write them."""
        with self.requests_lock:
            if self.will_close or self.close_when_flushed:
                return False
            data, self.behind = self.behind + data, b""
            while data and not self.requests:
                if self.request is None:
                    self.request = self.parser_class(self.adj)
                used = self.request.received(data)
                data = data[used:]
                if self.request.expect_continue and self.request.headers_finished and not self.sent_continue:
                    self.send_continue()
                if self.request.completed:
                    self._take(self.request)
            self.behind = data
        return True

    def _take(self, request: ArrivingRequest) -> None:
        self.request, self.sent_continue = None, False
        if not request.empty:
            self.requests.append(request)
            self.server.add_task(self)

    def writable(self) -> bool:
        """Also when the next request lies here already and the answer before it is gone."""
        return bool(super().writable() or self._may_go_on())

    def handle_write(self) -> None:
        super().handle_write()
        if self.connected and self._may_go_on():
            self.received(b"")

    def _may_go_on(self) -> bool:
        return bool(self.behind) and not self.requests and not self.total_outbufs_len

    def is_unread(self) -> bool:
        """Whether an answer waits for the client: here, or in front of its next request."""
        return bool(self.total_outbufs_len or self._may_go_on())

    def handle_close(self) -> None:
        request, self.request = self.request, None
        if request is not None and is_part_of_upload(request):
            self.server.add_task(CutUpload(self, request))
        super().handle_close()


def is_part_of_upload(request: Any) -> bool:
    """Whether a request that has not come to its end brought bytes of an upload."""
    return bool(
        request.headers_finished
        and request.body_bytes_received > 0
        and request.command == "PATCH"
        and request.path.startswith(UPLOADS)
        and request.headers.get("CONTENT_TYPE") == UPLOAD_TYPE
    )


class CutUpload:
    """A request that ended before its body did, as a task of Waitress's threads. Its response is discarded."""

    def __init__(self, channel: ClientConnection, request: Any) -> None:
        self.channel = channel
        self.request = request

    def service(self) -> None:
        """Run the application on the bytes that came."""
        environ = ArrivedTask(self.channel, self.request).get_environment()
        answer = self.channel.server.application(environ, lambda *_: None)
        try:
            for _ in answer:
                pass
        finally:
            getattr(answer, "close", lambda: None)()
            self.request.close()

    def cancel(self) -> None:
        """The server is stopping: the phone sends these bytes again."""
        self.request.close()


class BufferedWorker(Worker):
    """A process of the web server: one loop that reads and sends, and `--threads` threads that run the application."""

    def run(self) -> None:
        """Serve until gunicorn asks this process to stop, then finish the current requests."""
        sockets: dict[int, Any] = {}
        server = create_server(
            self.wsgi,
            map=sockets,
            sockets=[listener.sock for listener in self.sockets],  # type: ignore[attr-defined] # gunicorn's wrappers
            threads=self.cfg.threads,
            connection_limit=_raise_socket_limit() - OTHER_FILES,
            asyncore_use_poll=True,
            channel_timeout=IDLE_SECONDS,
            cleanup_interval=10,
            max_request_header_size=MOST_HEADER_BYTES,
            max_request_body_size=MOST_BYTES,
            # Django counts the proxies itself (DRAWBAR_PROXIES), and ignores what clients forge.
            clear_untrusted_proxy_headers=False,
            # Of an answer that is not read at once, what is more than this waits in a file.
            outbuf_overflow=256 * 1024,
            ident=None,
        )
        listeners = [one for one in sockets.values() if one.accepting]
        for listener in listeners:
            listener.channel_class = ClientConnection
        began: WeakKeyDictionary[Any, float] = WeakKeyDictionary()
        while self.alive and self._has_parent():
            self.notify()
            wasyncore.loop(timeout=1.0, use_poll=True, map=sockets, count=1)
            _close_slow(_channels(sockets), began)
        for listener in listeners:
            listener.close()
        self._finish(sockets)
        server.task_dispatcher.shutdown(timeout=1)

    def _finish(self, sockets: dict[int, Any]) -> None:
        """Answer what has arrived, for at most gunicorn's graceful time-out."""
        stopped = time.monotonic()
        while (waited := time.monotonic() - stopped) < self.cfg.graceful_timeout:
            self.notify()
            channels = _channels(sockets)
            if not any(
                channel.requests or channel.total_outbufs_len or (channel.request and waited < ARRIVING_SECONDS)
                for channel in channels
            ):
                return
            wasyncore.loop(timeout=0.1, use_poll=True, map=sockets, count=1)

    def _has_parent(self) -> bool:
        """False once the parent process is gone, which would have stopped this one."""
        return bool(self.ppid == os.getppid())


def _channels(sockets: dict[int, Any]) -> list[Any]:
    return [one for one in list(sockets.values()) if isinstance(one, ClientConnection)]


def _close_slow(channels: list[Any], began: WeakKeyDictionary[Any, float]) -> None:
    instant = time.monotonic()
    for channel in channels:
        # Waitress stamps its connections with `time.time`.
        if channel.is_unread() and time.time() - channel.last_activity > STALLED_SECONDS:  # noqa: TID251
            channel.will_close = True
            continue
        # A new connection that has sent nothing is as slow as one that sends half a line.
        arriving = channel.request or (channel if channel.last_activity == channel.creation_time else None)
        if arriving is None:
            continue
        seconds = instant - began.setdefault(arriving, instant)
        headers_done = arriving is not channel and arriving.headers_finished
        body_bytes = arriving.body_bytes_received if headers_done else 0
        if is_too_slow(seconds, headers_done=headers_done, body_bytes=body_bytes):
            channel.will_close = True


def _raise_socket_limit() -> int:
    """Let the process open as many sockets as the machine allows, up to a bound; returns the limit."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = MOST_SOCKETS if hard == resource.RLIM_INFINITY else min(hard, MOST_SOCKETS)
    if soft == resource.RLIM_INFINITY or soft >= wanted:
        return wanted
    resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))
    return wanted
