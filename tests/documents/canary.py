"""A local listener that detects requests made while a PDF is rendered."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

SVG = 'xmlns="http://www.w3.org/2000/svg" width="9" height="9"'


@dataclass
class Canary:
    url: str
    asked: list[str] = field(default_factory=list)

    def traps(self, file: str) -> list[str]:
        """Markup that makes an unrestricted renderer fetch `url` or read `file`."""
        return [
            f'<link rel="attachment" href="file://{file}">',
            f'<link rel="stylesheet" href="{self.url}/sheet.css">',
            f'<a rel="attachment" href="file://{file}">x</a>',
            f'<img src="{self.url}/image" alt="x">',
            f'<img src="file://{file}" alt="x">',
            f'<style>@import url("{self.url}/import.css");</style>',
            f'<style>@font-face {{ font-family: T; src: url("{self.url}/font") }}</style>',
            f'<style>p::before {{ content: url("{self.url}/content") }}</style>',
            f'<svg {SVG}><image href="{self.url}/svg" width="9" height="9"/></svg>',
            f'<p style="border: 9px solid; border-image: url({self.url}/border) 1">x</p>',
            f'<object data="{self.url}/object"></object>',
            f'<embed src="{self.url}/embed">',
            f'<p style="list-style: url({self.url}/list); display: list-item">x</p>',
            f'<p style="background: url(file://{file})">x</p>',
        ]


@contextmanager
def canary() -> Iterator[Canary]:
    """A listener on loopback that records every requested path."""

    class Listener(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            heard.asked.append(self.path)
            self.send_error(404)

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Listener)
    heard = Canary(f"http://127.0.0.1:{server.server_port}")
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield heard
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
