"""Every endpoint has a permission per method and an entry in the OpenAPI document."""

from collections.abc import Iterator
from pathlib import Path

from django.core.management import call_command
from django.urls import URLPattern, URLResolver, get_resolver

from shopapi.accounts.rules import Permission
from shopapi.core.http.views import ShopView
from tests.structure.source_tree import ROOT

# Endpoints without authentication.
PUBLIC = {
    "api/v1/session",
    # Behind a mailed link, or to ask for one.
    "api/v1/session/passkey",
    "api/v1/session/passkey/options",
    "api/v1/session/reset",
    "api/v1/session/reset/password",
    "api/v1/session/address/confirm",
    "api/v1/shops",
    "api/v1/openapi.json",
    "api/docs",
    "join/<str:secret>",
    "ask/<str:token>",
    "ask/<str:token>/question",
    "ask/<str:token>/asked",
    "ask/<str:token>/quote.pdf",
    "ask/<str:token>/pictures/<uuid:picture_id>/<picture_size:size>",
    "ticket/<str:token>",
    "bill/<str:token>",
    "calendar/<uuid:shop_id>/<str:secret>.ics",
    "livez",
    "readyz",
    "workz",
    # Behind a token of its own.
    "metrics",
    "share",
    r"^(?!api/|ask/|join/|ticket/|bill/|admin/|static/|assets/|sw\.js)",
}
METHODS = ("get", "post", "put", "patch", "delete")


def routes() -> Iterator[tuple[str, URLPattern]]:
    """Each route with its full path, without the admin's."""
    return _walk("", get_resolver().url_patterns)


def _walk(before: str, patterns: list[URLPattern | URLResolver]) -> Iterator[tuple[str, URLPattern]]:
    for pattern in patterns:
        path = before + str(pattern.pattern)
        if isinstance(pattern, URLPattern):
            yield path, pattern
        elif path != "admin/":
            yield from _walk(path, pattern.url_patterns)


def test_every_non_public_endpoint_has_a_permission_per_method() -> None:
    guarded = 0
    for path, pattern in routes():
        view = getattr(pattern.callback, "cls", None)
        if path in PUBLIC:
            continue
        assert view is not None, path
        assert issubclass(view, ShopView), path
        methods = {method.upper() for method in METHODS if hasattr(view, method)}
        assert methods == set(view.needs), path
        assert set(view.needs.values()) <= set(Permission), path
        guarded += 1
    assert guarded > 40


def test_public_list_has_no_stale_entry() -> None:
    assert {path for path, _ in routes()} >= PUBLIC


def test_openapi_file_is_up_to_date(tmp_path: Path) -> None:
    fresh = tmp_path / "openapi.json"
    call_command("spectacular", format="openapi-json", file=str(fresh), validate=True, fail_on_warn=True)
    kept = ROOT / "pwa" / "openapi" / "openapi.json"
    command = "manage.py spectacular --format openapi-json --file pwa/openapi/openapi.json"
    assert fresh.read_text() == kept.read_text(), f"Run `{command}`."
