"""Two tabs of one phone: one of them sends, both save, and both take an update without losing what is unsent."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Complaint
from shopapi.sync.models import LoggedCommand
from tests.browser.conftest import MECHANIC, NewPhone
from tests.browser.phone import Phone
from tests.browser.update_proxy import UpdateProxy
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite

NEWER_WAITS = "async () => (await navigator.serviceWorker.getRegistration())?.waiting != null"
WORDS = ("It stalls", "It smokes", "It squeals", "It leaks", "It pulls", "It rattles")
# Who may send, and who waits for it: a lock of the browser that all tabs ask for.
SENDERS = """async () => {
    const { held, pending } = await navigator.locks.query()
    const mine = (locks) => locks.filter(({ name }) => name.startsWith('sync ')).map(({ clientId }) => clientId)
    return { held: mine(held), pending: mine(pending) }
}"""
TWO_ASK = f"async () => {{ const found = await ({SENDERS})(); return found.pending.length === 1 && found }}"


@pytest.fixture
def update_proxy(live_site: LiveSite) -> Iterator[UpdateProxy]:
    update_proxy = UpdateProxy(live_site.port)
    yield update_proxy
    update_proxy.close()


def assert_all_arrived_once(shop: Actor, count: int) -> None:
    with in_shop(shop.shop_id):
        assert sorted(Complaint.objects.values_list("words", flat=True)) == sorted(WORDS[:count])
        logged = LoggedCommand.objects.order_by("device", "no").values_list("device", "no", "status")
        assert {status for *_, status in logged} == {"applied"}
        (device,) = {device for device, *_ in logged}
        assert [no for _, no, _ in logged] == list(range(1, len(logged) + 1)), device


def test_two_tabs_save_in_turn_and_one_of_them_sends(proxy: FlakyProxy, shop: Actor, new_phone: NewPhone) -> None:
    """Scenario 26: each tab shows what the other saved; when the sending one is closed, the other takes over."""
    first = new_phone(proxy.url)
    first.sign_in(MECHANIC)
    path = first.open_stored_job("June Castellan", WORDS[0])
    second = Phone(first.context, first.url)
    second.open(path)
    senders = first.wait_for(TWO_ASK)
    assert len(senders["held"]) == 1

    proxy.refuse()
    for nth, words in enumerate(WORDS[1:]):
        saving, watching = (first, second) if nth % 2 else (second, first)
        saving.add_complaint(words)
        watching.expect_text(words)
    for tab in (first, second):
        expect(tab.queue_status()).to_have_text(f"{len(WORDS) - 1} to send")
    first.page.close()
    assert second.wait_for(f"async () => (await ({SENDERS})()).held.length === 1")
    (sender,) = second.page.evaluate(SENDERS)["held"]
    assert sender in senders["pending"]
    proxy.open()
    second.page.evaluate("dispatchEvent(new Event('online'))")
    second.wait_until_sent(seconds=60)
    assert_all_arrived_once(shop, len(WORDS))


def test_update_with_unsent_work_in_two_tabs_loses_nothing(
    update_proxy: UpdateProxy, shop: Actor, new_phone: NewPhone
) -> None:
    """Scenario 25: neither tab takes the update while something is unsent; then one press reloads both."""
    first = new_phone(update_proxy.url)
    first.sign_in(MECHANIC)
    path = first.open_stored_job("June Castellan", WORDS[0])
    second = Phone(first.context, first.url)
    second.open(path)
    update_proxy.busy = True
    first.add_complaint(WORDS[1])
    second.add_complaint(WORDS[2])
    update_proxy.newer = True
    first.page.evaluate("async () => { await (await navigator.serviceWorker.ready).update() }")
    first.wait_for(NEWER_WAITS)
    for tab in (first, second):
        tab.open()
        tab.expect_text("Available once everything is sent")
        expect(tab.page.get_by_role("button", name="Update now")).to_have_count(0)

    update_proxy.busy = False
    first.open("/queue")
    first.press("Try now")
    for tab in (first, second):
        tab.wait_until_sent(seconds=60)
    second.page.evaluate("() => { window.isOldPage = true }")
    first.open()
    first.expect_text("Update available")
    first.page.wait_for_load_state("networkidle")
    first.press("Update now")
    expect(first.page.get_by_text("Update available")).to_have_count(0)
    second.page.wait_for_function("() => window.isOldPage === undefined", timeout=60_000)
    for tab in (first, second):
        tab.open(path)
        for words in WORDS[:3]:
            tab.expect_text(words)
        assert not tab.page.evaluate(NEWER_WAITS)
    assert_all_arrived_once(shop, 3)
