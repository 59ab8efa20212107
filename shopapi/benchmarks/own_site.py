"""A web server of a benchmark's own."""

import json
import os
import socket
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from shopapi.benchmarks.bare import STATEMENTS
from shopapi.launch.processes import web
from shopapi.launch.supervisor import Child


@contextmanager
def serve_site(
    folder: Path, environment: Mapping[str, str] | None, statements: dict[str, list[tuple[str, bool]]]
) -> Iterator[int]:
    """A web server with the product's site and the bare views; yields its port."""
    file = folder / "statements.json"
    file.write_text(json.dumps(statements), encoding="utf-8")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    origin = f"http://localhost:{port}"
    served = {**(environment or os.environ), "DRAWBAR_ORIGIN": origin, STATEMENTS: str(file)}
    service = web(served, "127.0.0.1", port, origin, first_page="/livez")
    command = [part.replace("shopapi.config.wsgi", "shopapi.benchmarks.api_site") for part in service.command]
    child = Child(replace(service, command=command), logs=folder, run=folder)
    try:
        child.wait_ready()
        yield port
    finally:
        child.stop()
