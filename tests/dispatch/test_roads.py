"""Travel times from a service, spoken by a server on this machine, and what happens while it says nonsense.

The format is OSRM's table service (project-osrm.org, HTTP API).
"""

import json
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from threading import Thread
from typing import Any

import pytest
from django.core.cache import cache
from pytest_django import Settings

from shopapi.dispatch.rules.travel import Habits, Place, Position
from shopapi.dispatch.services.roads import roads_between

PLACES = [Place("The yard", Position(40.30, -98.44)), Place("Barn", Position(40.35, -98.44))]
TABLE = {"code": "Ok", "durations": [[0, 600.4], [660, 0]], "distances": [[0, 7000], [7100, 0]]}


class _Tables(HTTPServer):
    """Answers each question with the next of `answers`: (status, body); keeps the paths that were asked."""

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Answering)
        self.answers: list[tuple[int, Any]] = []
        self.asked: list[str] = []


class _Answering(BaseHTTPRequestHandler):
    server: _Tables

    def do_GET(self) -> None:
        self.server.asked.append(self.path)
        status, body = self.server.answers.pop(0)
        self.send_response(status)
        if status == 302:
            self.send_header("Location", "http://127.0.0.1:1/")
        self.end_headers()
        self.wfile.write(body if isinstance(body, bytes) else json.dumps(body).encode())

    def log_message(self, *_: object) -> None:
        """Quiet."""


@pytest.fixture
def tables(settings: Settings) -> Iterator[_Tables]:
    server = _Tables()
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    settings.MATRIX_URL = f"http://127.0.0.1:{server.server_port}"
    cache.clear()
    yield server
    server.shutdown()
    thread.join()
    server.server_close()


def test_the_service_is_asked_once_for_a_pair(tables: _Tables) -> None:
    habits = Habits(trailer=1, per_stop=0)
    tables.answers = [(200, TABLE)]
    first, again = roads_between(habits, PLACES), roads_between(habits, PLACES)
    assert first == again
    roads, source, words = first
    assert (roads.seconds, roads.metres, source, words) == (((0, 601), (660, 0)), ((0, 7000), (7100, 0)), "service", [])
    assert tables.asked == ["/table/v1/driving/-98.440000,40.300000;-98.440000,40.350000?annotations=duration,distance"]


@pytest.mark.parametrize(
    "answer",
    [
        (302, b""),
        (503, b""),
        (200, b"<html>"),
        (200, {"code": "NoTable"}),
        (200, {"code": "Ok", "durations": [[0, 0], [0, 0]], "distances": [[0, 0], [0, 0]]}),
    ],
)
def test_the_rule_stands_in_and_the_plan_says_so(tables: _Tables, answer: tuple[int, Any]) -> None:
    tables.answers = [answer]
    roads, source, words = roads_between(Habits(), PLACES)
    assert source == "fallback"
    assert roads.seconds[0][1] > 300
    assert "own rule" in words[0]


def test_a_service_that_is_gone_is_no_error(settings: Settings) -> None:
    settings.MATRIX_URL = "http://127.0.0.1:9"
    cache.clear()
    assert roads_between(Habits(), PLACES)[1] == "fallback"
