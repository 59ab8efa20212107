"""`benchmark api`: a list, a row and a new row on REST, beside a bare Django view that runs the same SQL.

Sixteen clients ask a web server of this benchmark's own over kept connections, the API and the bare view in turns, so
that both meet the same machine. The ratio is the bare view's requests per second by the API's: 1.0 would be no cost.
"""

import http.client
import json
import re
import tempfile
import time
from collections.abc import Callable, Collection, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from statistics import median
from uuid import UUID

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapi.accounts.rules import FirstShop
from shopapi.accounts.services.tokens import make_token
from shopapi.benchmarks.bare import FRESH
from shopapi.benchmarks.own_site import serve_site
from shopapi.benchmarks.recorder import PASSWORD, Recorder
from shopapi.benchmarks.web import percentile
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.quotes.services.shop import open_shop

# An id in a statement, with its dashes or without.
ID = re.compile("(?<![0-9a-f])[0-9a-f]{8}(-?[0-9a-f]{4}){4}[0-9a-f]{8}(?![0-9a-f])")
CLIENTS = 16
REQUESTS = 1_600
ROUNDS = 5
CUSTOMERS = 1_000


@dataclass(frozen=True)
class Call:
    """One request: its method, path, body and headers, made anew for each sending."""

    method: str
    path: str
    body: bytes | None
    headers: Mapping[str, str]


def measure_api(figures: Recorder, environment: Mapping[str, str] | None = None) -> None:
    """Requests per second and the 95th percentile of response times, and what the API adds to plain Django."""
    shop = open_shop(
        data=FirstShop(
            shop_name="Benchmark",
            zone="America/Chicago",
            currency="USD",
            name="Ada",
            email=f"ada-{uuid7()}@benchmark.example",
            password=PASSWORD,
        )
    )
    member_id = shop.member_id or uuid7()
    key = make_token(actor=shop, member_id=member_id, label="Benchmark")
    ids = _add_customers(shop.shop_id)
    calls = _calls(key, ids[0])
    with tempfile.TemporaryDirectory() as folder, serve_site(Path(folder), environment, _statements(calls)) as port:
        for name, call in calls.items():
            _compare(figures, port, name, call)


def _add_customers(shop_id: UUID) -> list[UUID]:
    with in_shop(shop_id):
        made = Customer.objects.bulk_create(
            [Customer(id=uuid7(), shop_id=shop_id, name=f"Customer {n}", notes="Gate code") for n in range(CUSTOMERS)]
        )
    return [customer.id for customer in made]


def _calls(key: str, customer_id: UUID) -> dict[str, Callable[[], Call]]:
    signed = {"Authorization": f"Token {key}"}

    def create() -> Call:
        body = json.dumps({"id": str(uuid7()), "name": "Ida Marlow"}).encode()
        sent = {"Content-Type": "application/json", "Idempotency-Key": str(uuid7())}
        return Call("POST", "/api/v1/customers", body, signed | sent)

    return {
        "list": lambda: Call("GET", "/api/v1/customers?limit=50", None, signed),
        "detail": lambda: Call("GET", f"/api/v1/customers/{customer_id}", None, signed),
        "create": create,
    }


def _statements(calls: Mapping[str, Callable[[], Call]]) -> dict[str, list[tuple[str, bool]]]:
    """The SQL that each call runs, with marks for the ids that are new each time, and which statement answers."""
    found = {}
    for name, call in calls.items():
        _captured(call())
        texts, others = _captured(call()), _captured(call())
        seen = {_plain(one[0]) for text in others for one in ID.finditer(text)}
        texts = [_with_marks(text, seen) for text in texts]
        last = max(n for n, text in enumerate(texts) if "customers_customer" in text)
        found[name] = [(text, n == last) for n, text in enumerate(texts)]
    return found


def _captured(call: Call) -> list[str]:
    """The statements of one request, without those that begin and end its transaction."""
    client = Client(SERVER_NAME="localhost")
    with CaptureQueriesContext(connection) as captured:
        answer = client.generic(
            call.method, call.path, call.body or b"", content_type="application/json", headers=dict(call.headers)
        )
    if answer.status_code not in {200, 201}:
        raise RuntimeError(f"{call.path} answered {answer.status_code}: {answer.content[:300]!r}")
    texts = [str(query["sql"]) for query in captured.captured_queries]
    return [text for text in texts if text.partition(";")[0] not in {"BEGIN", "COMMIT", "ROLLBACK"}]


def _with_marks(text: str, seen: Collection[str]) -> str:
    """A statement with a mark for each id that another request of the same kind did not have."""
    return ID.sub(lambda one: one[0] if _plain(one[0]) in seen else FRESH % _plain(one[0]), text)


def _plain(row_id: str) -> str:
    return row_id.replace("-", "")


def _compare(figures: Recorder, port: int, name: str, call: Callable[[], Call]) -> None:
    one = call()
    bare = Call(one.method, f"/api/bare/{name}", b"{}" if one.body else None, one.headers)
    sides: dict[str, Callable[[], Call]] = {"api": call, "bare": lambda: bare}
    rates: dict[str, list[float]] = {side: [] for side in sides}
    times: dict[str, list[float]] = {side: [] for side in sides}
    for made in sides.values():
        _load(port, made, REQUESTS // 4)
    for _ in range(ROUNDS):
        for side, made in sides.items():
            took, each = _load(port, made, REQUESTS)
            rates[side].append(REQUESTS / took)
            times[side].append(percentile(each, 95) * 1000)
    for side in sides:
        figures.add(f"{name}.{side}.rate", rates[side], "requests/s")
        figures.add(f"{name}.{side}.p95", times[side], "ms")
    figures.ratio(f"{name}.bare_per_api", median(a / b for a, b in zip(rates["bare"], rates["api"], strict=True)))


def _load(port: int, call: Callable[[], Call], requests: int) -> tuple[float, list[float]]:
    """Send so many requests by all clients; returns the time for all and that of each, in seconds."""
    numbers = count(1)

    def client() -> list[float]:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        each = []
        while next(numbers) <= requests:
            one = call()
            began = time.perf_counter()
            connection.request(one.method, one.path, one.body, dict(one.headers))
            answer = connection.getresponse()
            content = answer.read()
            each.append(time.perf_counter() - began)
            if answer.status not in {200, 201}:
                raise RuntimeError(f"{one.path} answered {answer.status}: {content[:300]!r}")
        connection.close()
        return each

    began = time.perf_counter()
    with ThreadPoolExecutor(CLIENTS) as pool:
        found = [each for done in [pool.submit(client) for _ in range(CLIENTS)] for each in done.result()]
    return time.perf_counter() - began, found
