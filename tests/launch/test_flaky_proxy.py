"""The failures of the flaky proxy."""

import http.client
import http.server
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.flaky_proxy import FlakyProxy

ANSWER = b"x" * 5000


class Answering(http.server.BaseHTTPRequestHandler):
    """Answers every GET; counts requests in the server's `seen`."""

    def do_GET(self) -> None:
        self.server.seen.append(self.path)  # type: ignore[attr-defined] # `seen` is added by the test
        self.send_response(200)
        self.send_header("Content-Length", str(len(ANSWER)))
        self.end_headers()
        self.wfile.write(ANSWER)

    def log_message(self, *_: object) -> None:
        pass


class Patient(http.server.ThreadingHTTPServer):
    """A server that does not log lost connections."""

    def handle_error(self, *_: object) -> None:
        pass


@pytest.fixture
def seen() -> list[str]:
    return []


@pytest.fixture
def relay(seen: list[str]) -> Iterator[FlakyProxy]:
    with Patient(("127.0.0.1", 0), Answering) as server:
        server.seen = seen  # type: ignore[attr-defined] # `seen` is added by the test
        serving = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
        serving.start()
        line = FlakyProxy(server.server_port)
        yield line
        line.close()
        server.shutdown()
        serving.join()


def ask(proxy: FlakyProxy, path: str = "/", seconds: float = 5) -> bytes:
    connection = http.client.HTTPConnection("127.0.0.1", proxy.port, timeout=seconds)
    try:
        connection.request("GET", path)
        return connection.getresponse().read()
    finally:
        connection.close()


def test_open_proxy_forwards(relay: FlakyProxy) -> None:
    assert ask(relay) == ANSWER


def test_delayed_proxy_forwards_late(relay: FlakyProxy) -> None:
    relay.open(delay=0.1)
    start = time.monotonic()
    assert ask(relay) == ANSWER
    # Once for the question, once or more for the answer.
    assert time.monotonic() - start >= 0.2


def test_thin_line_is_shared(relay: FlakyProxy) -> None:
    relay.open(bytes_per_second=20_000)
    start = time.monotonic()
    with ThreadPoolExecutor(2) as pool:
        assert list(pool.map(lambda _: ask(relay), range(2))) == [ANSWER, ANSWER]
    assert time.monotonic() - start >= 2 * len(ANSWER) / 20_000
    assert relay.carried["down"] >= 2 * len(ANSWER)


def test_refusing_proxy_reopens_on_the_same_port(relay: FlakyProxy, seen: list[str]) -> None:
    relay.refuse()
    with pytest.raises(ConnectionRefusedError):
        ask(relay, "/refused")
    relay.open()
    assert ask(relay, "/again") == ANSWER
    assert seen == ["/again"]


def test_silent_proxy_accepts_and_sends_nothing(relay: FlakyProxy, seen: list[str]) -> None:
    relay.silence()
    with pytest.raises(TimeoutError):
        ask(relay, "/silent", seconds=0.3)
    assert seen == []


def test_request_with_lost_response_reached_the_server(relay: FlakyProxy, seen: list[str]) -> None:
    relay.cut_after(1000)
    with pytest.raises((ConnectionError, http.client.IncompleteRead)):
        ask(relay, "/lost")
    assert seen == ["/lost"]
    with pytest.raises(ConnectionRefusedError):
        ask(relay)


def test_cut_request_does_not_reach_the_server(relay: FlakyProxy, seen: list[str]) -> None:
    relay.cut_after(10, "up")
    with pytest.raises((ConnectionError, http.client.RemoteDisconnected)):
        ask(relay, "/cut")
    assert seen == []
