"""A reverse proxy to the site that can serve a newer version of the app and response pushes with 503."""

import threading
from contextlib import closing, suppress
from http.client import HTTPConnection
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

HOP_BY_HOP_HEADERS = {"connection", "keep-alive", "transfer-encoding", "content-length"}
CONDITIONAL_HEADERS = {"if-none-match", "if-modified-since"}


class UpdateProxy:
    """Forwards every request to `port`.

    `newer`: serve a service worker that differs, as a newer build would. `busy`: response 503 to pushes.
    """

    def __init__(self, port: int) -> None:
        self.newer = False
        self.busy = False
        proxy = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def handle(self) -> None:
                # A browser may close the connection at any time.
                with suppress(ConnectionError):
                    super().handle()

            def do_GET(self) -> None:
                proxy._forward(self, port)

            def do_POST(self) -> None:
                proxy._forward(self, port)

            def do_DELETE(self) -> None:
                proxy._forward(self, port)

            def log_message(self, *args: Any) -> None:
                pass

        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self._server.daemon_threads = True
        self.url = f"http://localhost:{self._server.server_port}"
        threading.Thread(target=self._server.serve_forever, daemon=True).start()

    def close(self) -> None:
        self._server.shutdown()
        self._server.server_close()

    def _forward(self, request: BaseHTTPRequestHandler, port: int) -> None:
        body = request.rfile.read(int(request.headers.get("Content-Length") or 0))
        if self.busy and request.path.endswith("/sync/push"):
            _respond(request, 503, {"Retry-After": "1", "Content-Type": "application/problem+json"}, b"{}")
            return
        left_out = HOP_BY_HOP_HEADERS | CONDITIONAL_HEADERS
        headers = {name: value for name, value in request.headers.items() if name.lower() not in left_out}
        headers["Accept-Encoding"] = "identity"
        with closing(HTTPConnection("127.0.0.1", port, timeout=30)) as upstream:
            upstream.request(request.command, request.path, body or None, headers)
            response = upstream.getresponse()
            content = response.read()
        if self.newer and request.path == "/sw.js":
            content += b"\n// a newer version"
        response_headers = {
            name: value for name, value in response.getheaders() if name.lower() not in HOP_BY_HOP_HEADERS
        }
        _respond(request, response.status, response_headers, content)


def _respond(request: BaseHTTPRequestHandler, status: int, headers: dict[str, str], content: bytes) -> None:
    request.send_response_only(status)
    for name, value in headers.items():
        request.send_header(name, value)
    if status not in (204, 304):
        request.send_header("Content-Length", str(len(content)))
    request.end_headers()
    request.wfile.write(content)
