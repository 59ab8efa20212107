"""The fixtures for the site, the proxy and the browser, and the block on network access."""

import http.client
import socket

import pytest
from playwright.sync_api import Error, Page

from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite


def status(port: int, path: str) -> int:
    connection = http.client.HTTPConnection("localhost", port, timeout=10)
    try:
        connection.request("GET", path)
        return connection.getresponse().status
    finally:
        connection.close()


def test_site_restarts_on_its_port_after_a_kill(live_site: LiveSite) -> None:
    assert status(live_site.port, "/readyz") == 200
    live_site.kill()
    # Refused, or reset where the kernel had still taken it for a process that was dying.
    with pytest.raises((ConnectionRefusedError, ConnectionResetError)):
        status(live_site.port, "/readyz")
    live_site.start()
    assert status(live_site.port, "/readyz") == 200


def test_browser_over_a_proxy(live_site: LiveSite, proxy: FlakyProxy, page: Page) -> None:
    ask = "() => fetch('/livez').then((answer) => answer.text())"
    page.goto(f"{proxy.url}/livez")
    proxy.refuse()
    with pytest.raises(Error, match="Failed to fetch"):
        page.evaluate(ask)
    proxy.open()
    assert page.evaluate(ask) == "alive\n"


def test_browser_cannot_reach_the_network(page: Page) -> None:
    with pytest.raises(Error, match="ERR_NAME_NOT_RESOLVED"):
        page.goto("http://drawbar.example/")


def test_python_cannot_reach_the_network() -> None:
    # An address set aside for documentation (RFC 5737).
    with pytest.raises(PermissionError, match=r"192\.0\.2\.1"):
        socket.create_connection(("192.0.2.1", 80), timeout=1)
