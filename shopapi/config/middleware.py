"""Response headers: server time, language, caching, content security policy."""

from collections.abc import Callable, Collection, MutableMapping

from django.http import HttpRequest, HttpResponse

from shopapi.core.clock import arrived_at, now
from shopapi.core.rendering import pick_language, speaking


def tell_time(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Add to every response of the API when its request arrived and when it left, in Unix milliseconds.

    Phones measure the error of their clocks by it.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        received_ms = arrived_at(request.META).timestamp() * 1000
        response = get_response(request)
        if request.path.startswith("/api/"):
            response["Server-Clock"] = f"{received_ms:.0f} {now().timestamp() * 1000:.0f}"
        return response

    return middleware


def speak_language(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Use the first language of `Accept-Language` that has catalogs for the sentences of a response."""

    def middleware(request: HttpRequest) -> HttpResponse:
        with speaking(pick_language(request.headers.get("Accept-Language", ""))):
            return get_response(request)

    return middleware


def never_store(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Forbid caching of responses of the API and the admin: they are private."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if not response.has_header("Cache-Control"):
            response["Cache-Control"] = "no-store"
        return response

    return middleware


# Customers' links and invitations are secrets: no Referer header, no search index, no cache.
LINK_HEADERS = {
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    "Cache-Control": "no-store",
}


def guard_links(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Add these headers to every response below /ask/, /join/, /ticket/ and /bill/, errors included."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if request.path.startswith(("/ask/", "/join/", "/ticket/", "/bill/")):
            for name, value in LINK_HEADERS.items():
                response[name] = value
        if request.path.startswith("/join/"):
            # With no-referrer its form would be sent with the origin "null", which the CSRF check refuses.
            response["Referrer-Policy"] = "same-origin"
        return response

    return middleware


# Features of browsers that a page can be refused (W3C Permissions Policy), as Chromium knows them.
FEATURES = (
    "accelerometer",
    "bluetooth",
    "camera",
    "clipboard-read",
    "clipboard-write",
    "display-capture",
    "geolocation",
    "gyroscope",
    "hid",
    "idle-detection",
    "local-fonts",
    "magnetometer",
    "microphone",
    "midi",
    "payment",
    "publickey-credentials-create",
    "publickey-credentials-get",
    "screen-wake-lock",
    "serial",
    "usb",
    "web-share",
    "xr-spatial-tracking",
)


def permissions_policy(used: Collection[str] = ()) -> str:
    """The header that refuses every feature but these, which the page itself may use and no frame."""
    return ", ".join(f"{name}=({'self' if name in used else ''})" for name in FEATURES)


def refuse_features(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Refuse all features to a page that does not name those it uses."""
    none = permissions_policy()

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Permissions-Policy", none)
        return response

    return middleware


# A worker has the policy of its own file, not of its page. The one that reads codes needs WebAssembly, which our pages
# may not compile.
WORKER_POLICY = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self';"
    " require-trusted-types-for 'script'; trusted-types 'none'"
)


def file_headers(headers: MutableMapping[str, str], path: str, url: str) -> None:
    """For WhiteNoise: files with a hash in their name never change, the others are revalidated each time."""
    headers["Cache-Control"] = "public, max-age=31536000, immutable" if url.startswith("/assets/") else "no-cache"
    if url.startswith("/assets/") and url.endswith(".js"):
        headers["Content-Security-Policy"] = WORKER_POLICY
