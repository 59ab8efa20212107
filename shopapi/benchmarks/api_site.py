"""The product's site with the bare views beside it, as `benchmark api` runs it in a web server of its own."""

from collections.abc import Callable, Iterable
from functools import cache
from typing import Any

from django.conf import settings
from django.core.handlers.wsgi import WSGIHandler
from django.core.wsgi import get_wsgi_application


def application(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
    """The site as a WSGI application."""
    return _site()(environ, start_response)


@cache
def _site() -> WSGIHandler:
    # Not on import: a process that only reads this module keeps the addresses of the product.
    settings.ROOT_URLCONF = "shopapi.benchmarks.bare"
    return get_wsgi_application()
