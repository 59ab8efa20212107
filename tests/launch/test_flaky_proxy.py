"""The flaky proxy fails in the ways that tests rely on."""

import http.client
import http.server
import threading
import time
from collections.abc import Iterator

import pytest

from tests.flaky_proxy import FlakyProxy

ANSWER = b"x" * 5000


class Answering(http.server.BaseHTTPRequestHandler):
    """Answers every GET; counts in the server's `seen` what reached it."""

    def do_GET(self) -> None:
        self.server.seen.append(self.path)  # type: ignore[attr-defined]
        self.send_response(200)
        self.send_header("Content-Length", str(len(ANSWER)))
        self.end_headers()
        self.wfile.write(ANSWER)

    def log_message(self, *_: object) -> None:
        pass


class Patient(http.server.ThreadingHTTPServer):
    """A server that takes a lost connection in silence: losing them is the point here."""

    def handle_error(self, *_: object) -> None:
        pass


@pytest.fixture
def seen() -> list[str]:
    return []


@pytest.fixture
def relay(seen: list[str]) -> Iterator[FlakyProxy]:
    with Patient(("127.0.0.1", 0), Answering) as server:
        server.seen = seen  # type: ignore[attr-defined]
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


def test_open_line_carries(relay: FlakyProxy) -> None:
    assert ask(relay) == ANSWER


def test_delayed_line_carries_late(relay: FlakyProxy) -> None:
    relay.open(delay=0.1)
    start = time.monotonic()
    assert ask(relay) == ANSWER
    # Once for the question, once or more for the answer.
    assert time.monotonic() - start >= 0.2


def test_refused_line_comes_back_on_the_same_port(relay: FlakyProxy, seen: list[str]) -> None:
    relay.refuse()
    with pytest.raises(ConnectionRefusedError):
        ask(relay, "/refused")
    relay.open()
    assert ask(relay, "/again") == ANSWER
    assert seen == ["/again"]


def test_silent_line_accepts_and_says_nothing(relay: FlakyProxy, seen: list[str]) -> None:
    relay.silence()
    with pytest.raises(TimeoutError):
        ask(relay, "/silent", seconds=0.3)
    assert seen == []


def test_lost_answer_has_reached_the_server(relay: FlakyProxy, seen: list[str]) -> None:
    relay.cut_after(1000)
    with pytest.raises((ConnectionError, http.client.IncompleteRead)):
        ask(relay, "/lost")
    assert seen == ["/lost"]
    with pytest.raises(ConnectionRefusedError):
        ask(relay)


def test_question_cut_on_its_way_does_not_reach_the_server(relay: FlakyProxy, seen: list[str]) -> None:
    relay.cut_after(10, "up")
    with pytest.raises((ConnectionError, http.client.RemoteDisconnected)):
        ask(relay, "/cut")
    assert seen == []
