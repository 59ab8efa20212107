"""`benchmark web`: response times of the running server, alone and beside 200 slow clients."""

import http.client
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from statistics import quantiles
from urllib.parse import urlsplit

from django.conf import settings

from shopapi.benchmarks.recorder import Recorder

SLOW_SOCKETS = 200
REQUESTS = 100
# The first bytes of a slow client: one stops inside its headers, the other inside its body.
SLOW_HEADERS = b"GET /livez HTTP/1.1\r\nHost: localhost\r\nX-Slow: "
SLOW_BODY = b"POST /api/v1/sync/push HTTP/1.1\r\nHost: localhost\r\nContent-Length: 900000\r\n\r\n{"


def measure_web(figures: Recorder) -> None:
    """Time `/livez` and `/readyz` (asks the database) on the server at DRAWBAR_ORIGIN."""
    address = urlsplit(settings.ORIGIN)
    host, port = address.hostname or "localhost", address.port or 80
    for path in ("/livez", "/readyz"):
        name = path.strip("/")
        alone = answer_times(host, port, path, REQUESTS)
        with slow_clients(host, port, SLOW_SOCKETS):
            beside = answer_times(host, port, path, REQUESTS)
        for label, times in (("alone", alone), ("beside_slow", beside)):
            figures.add(f"{name}.{label}.p50", [percentile(times, 50) * 1000], "ms")
            figures.add(f"{name}.{label}.p95", [percentile(times, 95) * 1000], "ms")
        figures.ratio(f"{name}.p95_beside_slow_per_alone", percentile(beside, 95) / percentile(alone, 95))


def percentile(values: list[float], percent: int) -> float:
    return quantiles(values, n=100, method="inclusive")[percent - 1]


def answer_times(host: str, port: int, path: str, requests: int) -> list[float]:
    """Response times of so many requests in seconds, each on its own connection.

    Raises:
        RuntimeError: an answer was not 200.
        TimeoutError: none came within 30 s.
    """
    times = []
    for _ in range(requests):
        began = time.perf_counter()
        connection = http.client.HTTPConnection(host, port, timeout=30)
        try:
            connection.request("GET", path)
            answer = connection.getresponse()
            answer.read()
        finally:
            connection.close()
        if answer.status != 200:
            raise RuntimeError(f"{path} answered {answer.status}.")
        times.append(time.perf_counter() - began)
    return times


@contextmanager
def slow_clients(host: str, port: int, sockets: int) -> Iterator[list[socket.socket]]:
    """Keep so many requests open that send a byte a second, half in their headers and half in their body."""
    held = []
    for number in range(sockets):
        client = socket.create_connection((host, port), timeout=10)
        client.sendall(SLOW_BODY if number % 2 else SLOW_HEADERS)
        held.append(client)
    done = threading.Event()
    dripping = threading.Thread(target=_drip, args=(held, done))
    dripping.start()
    try:
        yield held
    finally:
        done.set()
        dripping.join()
        for client in held:
            client.close()


def _drip(clients: list[socket.socket], done: threading.Event) -> None:
    for second in count():
        if done.wait(1):
            return
        for client in clients:
            try:
                client.sendall(b"%d" % (second % 10))
            except OSError:
                continue  # The server has closed this one.
