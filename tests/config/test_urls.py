"""An address of the API leads to the same view as if every pattern were tried in turn."""

import re

import pytest
from django.urls import Resolver404, URLResolver, path, resolve
from django.urls.resolvers import RoutePattern

from shopapi.config.first_part import FirstPartResolver
from shopapi.config.urls import API
from shopapi.config.views import livez
from shopapi.core.ids import uuid7
from tests.structure.source_tree import ROOT
from tests.structure.test_edge import routes


def test_every_route_of_the_api_is_found_as_by_trying_all() -> None:
    plain = URLResolver(RoutePattern("api/v1/", is_endpoint=False), API)
    found = 0
    for route, _ in routes():
        if not route.startswith("api/v1/") or route == "api/v1/openapi.json":
            continue
        address = route.replace("<uuid:row_id>", str(uuid7()))
        expected, got = plain.resolve(address), resolve(f"/{address}")
        assert (got.func, got.kwargs, got.route, got.view_name) == (
            expected.func,
            expected.kwargs,
            f"api/v1/{expected.route}",
            expected.view_name,
        ), route
        found += 1
    assert found > 300


def test_service_worker_answers_none_of_the_servers_addresses() -> None:
    source = (ROOT / "pwa" / "src" / "sw" / "sw.ts").read_text()
    left = {name for names in re.findall(r"\\/\(([\w|]+)\)", source) for name in names.split("|")}
    # `share` is a screen of the app, and whatever is no address of the server is its shell.
    served = {route.split("/")[0] for route, _ in routes() if not route.startswith("^")} - {"share"}
    assert served | {"admin", "static", "assets"} == left


@pytest.mark.parametrize("address", ["/api/v1/", "/api/v1/nothing", "/api/v1/customers/", "/api/v1/customers/x/y/z"])
def test_unknown_address_is_not_found(address: str) -> None:
    with pytest.raises(Resolver404):
        resolve(address)


@pytest.mark.parametrize("route", ["", "<uuid:row_id>/text", "<str:name>"])
def test_pattern_without_a_fixed_first_part_is_refused(route: str) -> None:
    with pytest.raises(ValueError, match="does not begin with a fixed part"):
        FirstPartResolver("api/", [path(route, livez)]).resolve("api/anything")
