"""Headers of clocks, caches and policies: what is hashed is kept for ever, what is private is never kept."""

from collections.abc import Callable, MutableMapping

from django.http import HttpRequest, HttpResponse

from shopapi.core.clock import arrived_at, now
from shopapi.core.rendering import language, pick_language


def tell_time(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Every answer of the API says when its request arrived and when it left, in milliseconds since 1970.

    Phones measure by it how far their clocks are wrong.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        received_ms = arrived_at(request.META).timestamp() * 1000
        response = get_response(request)
        if request.path.startswith("/api/"):
            response["Server-Clock"] = f"{received_ms:.0f} {now().timestamp() * 1000:.0f}"
        return response

    return middleware


def speak_language(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Sentences of an answer are in the first language of `Accept-Language` that there are catalogs of."""

    def middleware(request: HttpRequest) -> HttpResponse:
        before = language.set(pick_language(request.headers.get("Accept-Language", "")))
        try:
            return get_response(request)
        finally:
            language.reset(before)

    return middleware


def never_store(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Answers of the API and the admin are nobody else's: no cache keeps them."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if not response.has_header("Cache-Control"):
            response["Cache-Control"] = "no-store"
        return response

    return middleware


# A customer's link is a secret, and so is an invitation: it goes to no other page as the one before, into no index, and
# into no cache.
LINK_HEADERS = {
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    "Cache-Control": "no-store",
}


def guard_links(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Every answer below /ask/ and /join/, errors too, keeps its address to itself."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if request.path.startswith(("/ask/", "/join/")):
            for name, value in LINK_HEADERS.items():
                response[name] = value
        if request.path.startswith("/join/"):
            # Without a referrer its form would come from the origin "null", which the check against forgery refuses.
            response["Referrer-Policy"] = "same-origin"
        return response

    return middleware


# A worker keeps the policy that came with its own file, not that of its page. One of them reads codes by WebAssembly,
# which no page of ours may compile.
WORKER_POLICY = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'"


def file_headers(headers: MutableMapping[str, str], path: str, url: str) -> None:
    """For WhiteNoise: files with a hash in their name never change, the others are asked for anew each time."""
    headers["Cache-Control"] = "public, max-age=31536000, immutable" if url.startswith("/assets/") else "no-cache"
    if url.startswith("/assets/") and url.endswith(".js"):
        headers["Content-Security-Policy"] = WORKER_POLICY
