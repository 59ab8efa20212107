"""Headers of caches and policies: what is hashed is kept for ever, what is private is never kept."""

from collections.abc import Callable, MutableMapping

from django.http import HttpRequest, HttpResponse


def never_store(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Answers of the API and the admin are nobody else's: no cache keeps them."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if not response.has_header("Cache-Control"):
            response["Cache-Control"] = "no-store"
        return response

    return middleware


# An owner's link is a secret: it goes to no other page as the one before, into no index, and into no cache.
LINK_HEADERS = {
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    "Cache-Control": "no-store",
}


def guard_links(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Every answer below /ask/, errors too, keeps its address to itself."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if request.path.startswith("/ask/"):
            for name, value in LINK_HEADERS.items():
                response[name] = value
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
