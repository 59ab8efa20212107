"""A program that receives webhooks: keeps what came, answers as it is told, or takes a message and loses its answer."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Event, Thread

# Answers that are no status: the connection is cut after the message was read; none comes.
LOST, SILENT = -1, -2


@dataclass(frozen=True)
class Message:
    path: str
    headers: dict[str, str]
    body: bytes


@dataclass
class Receiver:
    """`answers`: the statuses of the next answers; then 204."""

    url: str = ""
    answers: list[int] = field(default_factory=list)
    taken: list[Message] = field(default_factory=list)
    over: Event = field(default_factory=Event)


@contextmanager
def receiver() -> Iterator[Receiver]:
    found = Receiver()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            headers = {name.lower(): value for name, value in self.headers.items()}
            found.taken.append(Message(self.path, headers, body))
            status = found.answers.pop(0) if found.answers else 204
            if status == SILENT:
                found.over.wait(60)
            if status < 0:
                self.close_connection = True
                return
            self.send_response(status)
            if 300 <= status < 400:
                self.send_header("Location", f"{found.url}/elsewhere")
            self.send_header("Content-Length", "0")
            self.end_headers()

        def log_message(self, *_: object) -> None:
            """Quiet."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    # The end of the test waits for them.
    server.daemon_threads = False
    found.url = f"http://127.0.0.1:{server.server_port}"
    thread = Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield found
    finally:
        found.over.set()
        server.shutdown()
        server.server_close()
        thread.join()
