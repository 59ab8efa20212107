"""A page in the back/forward cache does not keep the page after it from syncing.

In WebKit, the engine of every iPhone, and in Chromium with that cache on, which its driver turns off by default.
"""

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import BrowserType, expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.launch.programs_for_tests import WEBKIT
from tests.browser.conftest import MECHANIC
from tests.browser.phone import PASSWORD, Phone
from tests.browser.webkit import WebKit
from tests.site import LiveSite

# Long before the next round by the clock.
SOON_SECONDS = 15
LISTEN = "addEventListener('pageshow', ({ persisted }) => { window.cameBack = persisted })"
ALL_SENT = "return document.querySelector('.sync-status')?.textContent === 'Sent'"


@pytest.fixture
def webkit() -> Iterator[WebKit]:
    found = WEBKIT.find()
    if not found:
        pytest.fail(WEBKIT.missing())
    driver, display = found
    webkit = WebKit(driver, display)
    yield webkit
    webkit.close()


def test_webkit_signs_in_and_sends_from_every_page(webkit: WebKit, live_site: LiveSite, shop: Actor) -> None:
    webkit.open(live_site.base_url)
    webkit.fill("Email", MECHANIC)
    webkit.fill("Password", PASSWORD)
    webkit.press("Sign in")
    webkit.wait_for(ALL_SENT)
    webkit.execute(LISTEN)

    webkit.open(live_site.base_url + "/new-job")
    _open_job(webkit, "June Castellan")
    webkit.wait_for(ALL_SENT, seconds=SOON_SECONDS)
    assert _customers(shop) == {"June Castellan"}

    # The page that was left comes back as it was, and shows what the other one did.
    _back_to_the_first_page(webkit)
    webkit.expect_text("June Castellan")
    webkit.press("New", exact=True)
    _open_job(webkit, "Odell Varga")
    webkit.wait_for(ALL_SENT, seconds=SOON_SECONDS)
    assert _customers(shop) == {"June Castellan", "Odell Varga"}

    # What was typed last is written down as the page goes.
    webkit.open(live_site.base_url + "/new-job")
    webkit.fill("Customer’s name or phone", "Ruth Amsel")
    webkit.open(live_site.base_url)
    webkit.expect_text("1 unfinished")


def test_chromium_sends_from_a_page_that_follows_a_cached_one(
    live_site: LiveSite, shop: Actor, browser_type: BrowserType, browser_type_launch_args: dict[str, Any]
) -> None:
    with browser_type.launch(
        **browser_type_launch_args, ignore_default_args=["--disable-back-forward-cache"]
    ) as browser:
        phone = Phone(browser.new_context(viewport={"width": 360, "height": 740}), live_site.base_url)
        phone.sign_in(MECHANIC)
        phone.page.evaluate(LISTEN)
        _open_job_in_chromium(phone, "June Castellan")
        phone.wait_until_sent(seconds=SOON_SECONDS)
        assert _customers(shop) == {"June Castellan"}

        # Playwright's own `go_back` would wait for a load, and a page out of the cache has none.
        phone.page.evaluate("() => { setTimeout(() => history.back()) }")
        phone.page.wait_for_url(live_site.base_url + "/", wait_until="commit")
        assert phone.page.evaluate("() => window.cameBack") is True
        expect(phone.list_item("June Castellan")).to_be_visible()
        phone.press("New", exact=True)
        _fill_in_job_in_chromium(phone, "Odell Varga")
        phone.wait_until_sent(seconds=SOON_SECONDS)
        assert _customers(shop) == {"June Castellan", "Odell Varga"}
        phone.close()


def _customers(shop: Actor) -> set[str]:
    with in_shop(shop.shop_id):
        return set(Customer.objects.values_list("name", flat=True))


def _open_job(webkit: WebKit, name: str) -> None:
    webkit.fill("Customer’s name or phone", name)
    webkit.fill("Type of machine", "tiller")
    webkit.fill("In the customer’s words", "Will not turn")
    webkit.press("Open the job")
    webkit.wait_for("return document.querySelector('h1')?.innerText === arguments[0]", name)


def _back_to_the_first_page(webkit: WebKit) -> None:
    webkit.back()
    webkit.wait_for("return location.pathname === '/' && document.querySelector('h1') !== null")
    assert webkit.execute("return window.cameBack") is True


def _open_job_in_chromium(phone: Phone, name: str) -> None:
    phone.open("/new-job")
    _fill_in_job_in_chromium(phone, name)


def _fill_in_job_in_chromium(phone: Phone, name: str) -> None:
    phone.fill("Customer’s name or phone", name)
    phone.fill("Type of machine", "tiller")
    phone.fill("In the customer’s words", "Will not turn")
    phone.press("Open the job")
    phone.expect_heading(name)
