"""A service of another program on this machine: answers as it is told, or is slow, silent or endless."""

import json
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Event, Thread
from typing import Any

from shopapi.core.bounded_get import Limits

# Bodies that never come, or never end.
SILENT, DRIPPING = object(), object()


class FakeService(ThreadingHTTPServer):
    """Answers each question with the next of `answers`: (status, body); keeps the paths that were asked."""

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Answering)
        self.over = Event()
        self.answers: list[tuple[int, Any]] = []
        self.asked: list[str] = []

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.server_port}"


class _Answering(BaseHTTPRequestHandler):
    server: FakeService

    def do_GET(self) -> None:
        self.server.asked.append(self.path)
        status, body = self.server.answers.pop(0)
        self.send_response(status)
        if status == 302:
            # To where an answer would be waiting, at another host.
            self.send_header("Location", f"http://localhost:{self.server.server_port}{self.path}")
        self.end_headers()
        if body is SILENT:
            self.server.over.wait(60)
        elif body is DRIPPING:
            with suppress(OSError):
                while not self.server.over.wait(0.01):
                    self.wfile.write(b" ")
        else:
            with suppress(OSError):
                self.wfile.write(body if isinstance(body, bytes) else json.dumps(body).encode())

    def log_message(self, *_: object) -> None:
        """Quiet."""


@contextmanager
def fake_service() -> Iterator[FakeService]:
    server = FakeService()
    thread = Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield server
    finally:
        server.over.set()
        server.shutdown()
        thread.join()
        server.server_close()


def shortened(limits: Limits, body: object) -> Limits:
    """The limits, with the one that this body runs into short enough for a test and the others out of reach."""
    silent, dripping = (0.5 if body is each else 30 for each in (SILENT, DRIPPING))
    return replace(limits, timeout=(10, silent), within_seconds=dripping)
