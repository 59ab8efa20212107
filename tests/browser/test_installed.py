"""The app on the phone itself: starting with no signal, and changing to a new version."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import expect

from shopapi.core.actor import Actor
from tests.browser.conftest import MECHANIC, NewPhone
from tests.browser.front import Front
from tests.browser.phone import Phone
from tests.line import Line
from tests.site import LiveSite

NEWER_WAITS = "async () => (await navigator.serviceWorker.getRegistration())?.waiting != null"


@pytest.fixture
def front(live_site: LiveSite) -> Iterator[Front]:
    front = Front(live_site.port)
    yield front
    front.close()


def test_app_starts_and_works_with_no_signal(live_site: LiveSite, line: Line, shop: Actor, new_phone: NewPhone) -> None:
    phone = new_phone(line.url)
    phone.sign_in(MECHANIC)
    _take_in(phone)
    phone.all_sent()
    phone.keep_app()
    phone.page.close()

    line.refuse()
    phone.page = phone.context.new_page()
    phone.open()
    phone.row("June Castellan").click()
    phone.heading("June Castellan")
    phone.open("/find")
    phone.fill("Name, phone, serial or job number", "castelan")
    expect(phone.row("June Castellan").first).to_be_visible()
    phone.row("June Castellan").last.click()
    phone.press("Add words of the owner")
    phone.fill("In the owner’s words", "It also pulls to the left")
    phone.press("Save")
    phone.says("It also pulls to the left")
    expect(phone.queue_line()).to_have_text("1 thing waiting for signal")
    phone.page.reload()
    phone.says("It also pulls to the left")


def test_new_version_waits_for_unsent_work_and_for_a_person(front: Front, shop: Actor, new_phone: NewPhone) -> None:
    phone = new_phone(front.url)
    phone.sign_in(MECHANIC)
    phone.keep_app()
    front.busy = True
    _take_in(phone)
    front.newer = True
    phone.page.evaluate("async () => { await (await navigator.serviceWorker.ready).update() }")
    phone.until(NEWER_WAITS)

    phone.open()
    phone.says("A new version is here")
    phone.says("It can be used once everything is sent")
    expect(phone.page.get_by_role("button", name="Use it now")).to_have_count(0)
    phone.page.reload()
    phone.says("A new version is here")
    assert phone.page.evaluate(NEWER_WAITS)

    front.busy = False
    phone.open("/queue")
    phone.press("Try now")
    phone.all_sent()
    phone.open()
    phone.says("A new version is here")
    # A person reads before pressing; by then the page has all it asked for.
    phone.page.wait_for_load_state("networkidle")
    phone.press("Use it now")
    # A browser lets the old worker finish what it has in hand first.
    expect(phone.page.get_by_text("A new version is here")).to_have_count(0)
    phone.row("June Castellan").click()
    phone.says("Pulls to the right")
    assert not phone.page.evaluate(NEWER_WAITS)


def _take_in(phone: Phone) -> None:
    phone.take_in(
        owner="June Castellan",
        phone="555 014 7070",
        kind="zero-turn mower",
        make="Bexmoor",
        model="ZT 54",
        words="Pulls to the right",
    )
