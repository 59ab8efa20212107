"""The installed app: starting without a network, and updating to a new version."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import expect

from shopapi.core.actor import Actor
from tests.browser.conftest import MECHANIC, NewPhone
from tests.browser.phone import Phone
from tests.browser.update_proxy import UpdateProxy
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite

NEWER_WAITS = "async () => (await navigator.serviceWorker.getRegistration())?.waiting != null"


@pytest.fixture
def update_proxy(live_site: LiveSite) -> Iterator[UpdateProxy]:
    update_proxy = UpdateProxy(live_site.port)
    yield update_proxy
    update_proxy.close()


def test_app_starts_and_works_with_no_signal(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone
) -> None:
    phone = new_phone(proxy.url)
    phone.sign_in(MECHANIC)
    _open_job(phone)
    phone.wait_until_sent()
    phone.wait_for_offline_app()
    phone.page.close()

    proxy.refuse()
    phone.page = phone.context.new_page()
    phone.open()
    phone.list_item("June Castellan").click()
    phone.expect_heading("June Castellan")
    phone.open("/find")
    phone.fill("Name, phone, serial or job number", "castelan")
    expect(phone.list_item("June Castellan").first).to_be_visible()
    phone.list_item("June Castellan").last.click()
    phone.press("Add to the complaint")
    phone.fill("In the customer’s words", "It also pulls to the left")
    phone.press("Save")
    phone.expect_text("It also pulls to the left")
    expect(phone.queue_status()).to_have_text("1 to send")
    phone.page.reload()
    phone.expect_text("It also pulls to the left")


def test_new_version_waits_for_unsent_work_and_for_a_person(
    update_proxy: UpdateProxy, shop: Actor, new_phone: NewPhone
) -> None:
    phone = new_phone(update_proxy.url)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    update_proxy.busy = True
    _open_job(phone)
    update_proxy.newer = True
    phone.page.evaluate("async () => { await (await navigator.serviceWorker.ready).update() }")
    phone.wait_for(NEWER_WAITS)

    phone.open()
    phone.expect_text("Update available")
    phone.expect_text("Available once everything is sent")
    expect(phone.page.get_by_role("button", name="Update now")).to_have_count(0)
    phone.page.reload()
    phone.expect_text("Update available")
    assert phone.page.evaluate(NEWER_WAITS)

    update_proxy.busy = False
    phone.open("/queue")
    phone.press("Try now")
    phone.wait_until_sent()
    phone.open()
    phone.expect_text("Update available")
    # A person reads before pressing; by then the page has all it asked for.
    phone.page.wait_for_load_state("networkidle")
    phone.press("Update now")
    # A browser lets the old worker finish what it has in hand first.
    expect(phone.page.get_by_text("Update available")).to_have_count(0)
    phone.list_item("June Castellan").click()
    phone.expect_text("Pulls to the right")
    assert not phone.page.evaluate(NEWER_WAITS)


def _open_job(phone: Phone) -> None:
    phone.open_job(
        customer="June Castellan",
        phone="555 014 7070",
        kind="zero-turn mower",
        make="Bexmoor",
        model="ZT 54",
        words="Pulls to the right",
    )
