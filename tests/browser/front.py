"""A front to the site that can hand out a newer version of the app, and keep what phones send waiting."""

import threading
from contextlib import closing, suppress
from http.client import HTTPConnection
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

HOP = {"connection", "keep-alive", "transfer-encoding", "content-length"}
CONDITIONS = {"if-none-match", "if-modified-since"}


class Front:
    """Passes every request on to `port`."""

    def __init__(self, port: int) -> None:
        self.newer = False
        self.busy = False
        front = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def handle(self) -> None:
                # A browser hangs up as it likes.
                with suppress(ConnectionError):
                    super().handle()

            def do_GET(self) -> None:
                front._carry(self, port)

            def do_POST(self) -> None:
                front._carry(self, port)

            def do_DELETE(self) -> None:
                front._carry(self, port)

            def log_message(self, *args: Any) -> None:
                pass

        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self._server.daemon_threads = True
        self.url = f"http://localhost:{self._server.server_port}"
        threading.Thread(target=self._server.serve_forever, daemon=True).start()

    def close(self) -> None:
        self._server.shutdown()
        self._server.server_close()

    def _carry(self, asked: BaseHTTPRequestHandler, port: int) -> None:
        body = asked.rfile.read(int(asked.headers.get("Content-Length") or 0))
        if self.busy and asked.path.endswith("/sync/push"):
            _answer(asked, 503, {"Retry-After": "1", "Content-Type": "application/problem+json"}, b"{}")
            return
        left_out = HOP | CONDITIONS
        headers = {name: value for name, value in asked.headers.items() if name.lower() not in left_out}
        headers["Accept-Encoding"] = "identity"
        with closing(HTTPConnection("127.0.0.1", port, timeout=30)) as onward:
            onward.request(asked.command, asked.path, body or None, headers)
            answer = onward.getresponse()
            content = answer.read()
        if self.newer and asked.path == "/sw.js":
            content += b"\n// a newer version"
        kept = {name: value for name, value in answer.getheaders() if name.lower() not in HOP}
        _answer(asked, answer.status, kept, content)


def _answer(asked: BaseHTTPRequestHandler, status: int, headers: dict[str, str], content: bytes) -> None:
    asked.send_response_only(status)
    for name, value in headers.items():
        asked.send_header(name, value)
    if status not in (204, 304):
        asked.send_header("Content-Length", str(len(content)))
    asked.end_headers()
    asked.wfile.write(content)
