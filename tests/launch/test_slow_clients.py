"""Slow clients do not delay others and are disconnected after a time limit."""

import http.client
import json
import socket
import time
from contextlib import ExitStack, suppress
from pathlib import Path
from types import SimpleNamespace

import pytest

from shopapi.benchmarks.web import SLOW_BODY, answer_times, slow_clients
from shopapi.config.web_worker import (
    HEADER_SECONDS,
    LEAST_BYTES_PER_SECOND,
    STALLED_SECONDS,
    UPLOAD_TYPE,
    is_part_of_upload,
    is_too_slow,
)
from tests.site import LiveSite


def test_others_are_answered_beside_200_slow_clients(live_site: LiveSite) -> None:
    with slow_clients("localhost", live_site.port, 200):
        # Seconds that no busy machine needs for this, and that a server without free threads never keeps to.
        assert max(answer_times("localhost", live_site.port, "/readyz", 20)) < 5


def test_slow_request_is_disconnected(live_site: LiveSite) -> None:
    with socket.create_connection(("localhost", live_site.port)) as client:
        client.settimeout(HEADER_SECONDS + 30)
        client.sendall(b"GET /livez HTTP/1.1\r\nHost: local")
        began = time.monotonic()
        assert client.recv(100) == b""
        assert HEADER_SECONDS - 2 < time.monotonic() - began < HEADER_SECONDS + 20


def test_stop_does_not_wait_for_slow_clients(live_site: LiveSite) -> None:
    with slow_clients("localhost", live_site.port, 20):
        began = time.monotonic()
        live_site.restart()
        assert time.monotonic() - began < 30
    assert max(answer_times("localhost", live_site.port, "/livez", 5)) < 5


def test_open_request_is_answered_while_the_server_stops(live_site: LiveSite) -> None:
    """A request whose body is still arriving when the server is asked to stop is read and answered."""
    body = json.dumps({"email": "nobody@drawbar.example", "password": "not the password"}).encode()
    head = f"POST /api/v1/session HTTP/1.1\r\nHost: localhost:{live_site.port}\r\nContent-Type: application/json\r\n"
    with socket.create_connection(("localhost", live_site.port)) as client:
        client.settimeout(30)
        client.sendall(f"{head}Content-Length: {len(body)}\r\n\r\n".encode() + body[:10])
        time.sleep(0.5)
        live_site.ask_to_stop()
        time.sleep(0.5)
        client.sendall(body[10:])
        assert client.recv(20).startswith(b"HTTP/1.1 4")
    live_site.restart()


def test_pipelined_and_kept_alive_requests_are_answered_in_order(live_site: LiveSite) -> None:
    connection = http.client.HTTPConnection("localhost", live_site.port, timeout=10)
    for path, status in (("/livez", 200), ("/api/v1/nothing", 404), ("/livez", 200)):
        connection.request("GET", path)
        answer = connection.getresponse()
        assert (answer.status, bool(answer.read())) == (status, True)
    connection.close()
    with socket.create_connection(("localhost", live_site.port)) as client:
        client.settimeout(10)
        request = f"GET /livez HTTP/1.1\r\nHost: localhost:{live_site.port}\r\n\r\n".encode()
        client.sendall(request * 3)
        received = b""
        while received.count(b"alive\n") < 3:
            part = client.recv(4096)
            assert part, received
            received += part


def test_too_large_a_body_is_refused(live_site: LiveSite) -> None:
    with socket.create_connection(("localhost", live_site.port)) as client:
        client.settimeout(10)
        client.sendall(SLOW_BODY.replace(b"900000", b"900000000"))
        assert client.recv(100).startswith(b"HTTP/1.1 413 ")


def test_unread_responses_do_not_delay_others(built_app: Path, live_site: LiveSite) -> None:
    """Each of 20 clients asks for a large file a hundred times at once, and never reads."""
    largest = max((built_app / "assets").iterdir(), key=lambda path: path.stat().st_size).name
    request = f"GET /assets/{largest} HTTP/1.1\r\nHost: localhost:{live_site.port}\r\n\r\n".encode()
    with ExitStack() as clients:
        for _ in range(20):
            client = clients.enter_context(socket.socket())
            client.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            client.connect(("127.0.0.1", live_site.port))
            client.sendall(request * 100)
        time.sleep(2)
        assert max(answer_times("localhost", live_site.port, "/livez", 20)) < 5


def test_unread_response_is_dropped(built_app: Path, live_site: LiveSite) -> None:
    """The responses exceed the socket's buffers: the rest waits for the client, which does not read."""
    largest = max((built_app / "assets").iterdir(), key=lambda path: path.stat().st_size)
    request = f"GET /assets/{largest.name} HTTP/1.1\r\nHost: localhost:{live_site.port}\r\n\r\n".encode()
    asked = 50
    with socket.socket() as client:
        client.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        client.settimeout(20)
        client.connect(("127.0.0.1", live_site.port))
        client.sendall(request * asked)
        time.sleep(STALLED_SECONDS + 10)
        received = 0
        with suppress(ConnectionResetError):
            while part := client.recv(1 << 16):
                received += len(part)
        assert received < asked * largest.stat().st_size


def test_two_lengths_in_one_request_are_refused(live_site: LiveSite) -> None:
    head = f"POST /api/v1/session HTTP/1.1\r\nHost: localhost:{live_site.port}\r\n"
    with socket.create_connection(("localhost", live_site.port)) as client:
        client.settimeout(10)
        client.sendall(f"{head}Content-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n".encode())
        assert client.recv(100).startswith(b"HTTP/1.1 400 ")


@pytest.mark.parametrize(
    ("method", "path"), [("DELETE", "/api/v1/session"), ("POST", "/api/v1/uploads/"), ("PATCH", "/api/v1/session")]
)
def test_partial_body_of_a_cut_request_runs_only_for_uploads(method: str, path: str) -> None:
    request = SimpleNamespace(
        headers_finished=True,
        body_bytes_received=1,
        command=method,
        path=path,
        headers={"CONTENT_TYPE": UPLOAD_TYPE},
    )
    assert not is_part_of_upload(request)
    request.command, request.path = "PATCH", "/api/v1/uploads/0190"
    assert is_part_of_upload(request)


# Body bytes None: the headers have not ended yet.
ARRIVALS = [
    (HEADER_SECONDS, None, "on time"),
    (HEADER_SECONDS + 0.1, None, "too slow"),
    # 9.6 kbit/s is the rate of GSM circuit-switched data (3GPP TS 22.002, from memory): 1 MB takes 14 minutes.
    (1_000_000 / 1200, 1_000_000, "on time"),
    (60, 60, "too slow"),
    (HEADER_SECONDS + 10, 10 * LEAST_BYTES_PER_SECOND, "on time"),
]


@pytest.mark.parametrize(("seconds", "body_bytes", "expected"), ARRIVALS)
def test_is_too_slow(seconds: float, body_bytes: int | None, expected: str) -> None:
    slow = is_too_slow(seconds, headers_done=body_bytes is not None, body_bytes=body_bytes or 0)
    assert slow == (expected == "too slow")
