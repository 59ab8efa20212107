"""A mail server and an HTTP gateway of this machine, which count what they take and answer as a test sets."""

import asyncio
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session


@dataclass
class Mailbox:
    """aiosmtpd's handler: keeps each mail it takes, and its envelope. `rcpt` and `data` answer in its place."""

    taken: list[EmailMessage] = field(default_factory=list)
    envelopes: list[Envelope] = field(default_factory=list)
    rcpt: str = "250 OK"
    data: Callable[[], str] | str = "250 OK"
    port: int = 0
    cut: bool = False
    stall: float = 0

    async def handle_RCPT(self, server: SMTP, session: Session, envelope: Envelope, address: str, options: Any) -> str:  # noqa: N802
        if self.rcpt.startswith("2"):
            envelope.rcpt_tos.append(address)
        return self.rcpt

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:  # noqa: N802
        message = message_from_bytes(envelope.content or b"", policy=policy.default)  # type: ignore[arg-type] # aiosmtpd leaves open whether the content is text
        self.taken.append(message)
        self.envelopes.append(envelope)
        if self.cut:
            assert isinstance(server.transport, asyncio.Transport)
            server.transport.abort()
        await asyncio.sleep(self.stall)
        return self.data if isinstance(self.data, str) else self.data()


@contextmanager
def mail_server() -> Iterator[Mailbox]:
    """A real SMTP server on a free port."""
    box = Mailbox()
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        box.port = probe.getsockname()[1]
    controller = Controller(box, hostname="127.0.0.1", port=box.port)
    controller.start()
    try:
        yield box
    finally:
        controller.stop()


def smtp_settings(port: int) -> dict[str, Any]:
    return {
        "host": "127.0.0.1",
        "port": port,
        "tls": "never",
        "user": "",
        "password": "",
        "sender": "Bench & Bar <shop@bench.example>",
        "address": "shop@bench.example",
    }


@dataclass
class Gateway:
    """Answers every POST with `status`; 0 cuts the line after reading."""

    url: str = ""
    status: int = 200
    headers: dict[str, str] = field(default_factory=dict)
    asked: list[tuple[str, dict[str, str], bytes]] = field(default_factory=list)


@contextmanager
def http_gateway() -> Iterator[Gateway]:
    gateway = Gateway()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
            gateway.asked.append((self.path, {key.lower(): value for key, value in self.headers.items()}, body))
            if gateway.status == 0:
                self.connection.close()
                return
            self.send_response(gateway.status)
            for name, value in gateway.headers.items():
                self.send_header(name, value)
            self.send_header("Content-Length", "0")
            self.end_headers()

        def log_message(self, *args: Any) -> None:
            pass

        do_GET = do_POST  # noqa: N815

    class Quiet(ThreadingHTTPServer):
        def handle_error(self, *args: Any) -> None:
            """A line that was cut on purpose."""

    server = Quiet(("127.0.0.1", 0), Handler)
    gateway.url = f"http://127.0.0.1:{server.server_address[1]}/send"
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield gateway
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
