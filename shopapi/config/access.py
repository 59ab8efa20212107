"""The access log: one line a request, with nothing of its path, query, body or headers."""

import logging
import time
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from shopapi.config import metrics
from shopapi.core.actor import Actor
from shopapi.core.http.request_ids import HEADER, current_request_id, request_id_of

log = logging.getLogger("shopapi.access")
# Asked every few seconds by machines; a line only when they fail.
PROBES = {"livez", "readyz", "workz", "metrics"}
FILE = "file"


def log_requests(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Give every request an id (the caller's own, if it has one), answer with it, log and count the request."""

    def middleware(request: HttpRequest) -> HttpResponse:
        began = time.perf_counter()
        # It stays until the thread's next request: Django logs a refusal after its middleware.
        current_request_id.set(request_id_of(request.headers.get(HEADER)))
        response = get_response(request)
        response[HEADER] = current_request_id.get()
        seconds = time.perf_counter() - began
        route = _route(request)
        method = request.method if request.method in metrics.METHODS else "OTHER"
        metrics.count_request(method, route, response.status_code, seconds)
        if route not in PROBES or response.status_code >= 400:
            log.info("request", extra={"fields": _fields(request, route, response.status_code, seconds)})
        return response

    return middleware


def _fields(request: HttpRequest, route: str, status: int, seconds: float) -> dict[str, object]:
    # Django REST framework puts the actor here; a page for customers has none.
    actor = getattr(request, "auth", None)
    known = actor if isinstance(actor, Actor) else None
    return {
        "method": request.method,
        "route": route,
        "status": status,
        "ms": round(seconds * 1000, 1),
        "shop_id": str(known.shop_id) if known else None,
        "member_id": str(known.member_id) if known and known.member_id else None,
        "user_id": _user_id(request),
    }


def _route(request: HttpRequest) -> str:
    """The name of the route: never the path, which holds ids and secrets of links."""
    match = request.resolver_match
    if match is None:
        # WhiteNoise answered, or nothing has this address.
        return FILE
    return match.view_name or match.route


def _user_id(request: HttpRequest) -> str | None:
    # The cached one alone: asking for `request.user` would read the session.
    user = getattr(request, "_cached_user", None)
    return None if user is None or user.pk is None else str(user.pk)
