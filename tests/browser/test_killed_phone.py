"""The browser is killed between a save and its push: what was shown as saved is there afterwards, and arrives once.

Two kills at random instants; `DRAWBAR_KILLS=20` kills as often.
"""

import os
import random
import time
from collections.abc import Collection

from playwright.sync_api import Route, expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Complaint
from shopapi.sync.models import LoggedCommand
from tests.browser.conftest import MECHANIC
from tests.browser.handset import Handset
from tests.browser.phone import Phone
from tests.flaky_proxy import FlakyProxy

KILLS = int(os.environ.get("DRAWBAR_KILLS", "2"))
# Notes how durable each write to the queue was asked to be: a kill leaves the system's buffers, a power cut does not.
NOTE_DURABILITY = """() => {
    const begin = IDBDatabase.prototype.transaction
    window.durability = []
    IDBDatabase.prototype.transaction = function (stores, mode, options) {
        if (mode === 'readwrite' && [stores].flat().includes('outbox')) window.durability.push(options?.durability)
        return begin.call(this, stores, mode, options)
    }
}"""


def type_complaint(phone: Phone, words: str) -> None:
    phone.press("Add to the complaint")
    phone.fill("In the customer’s words", words)


def lose_answer(route: Route) -> None:
    """The request arrives, and its answer never does."""
    route.fetch()
    route.abort()


def words_in_database(shop: Actor) -> list[str]:
    with in_shop(shop.shop_id):
        return sorted(Complaint.objects.values_list("words", flat=True))


def wait_until_arrived(phone: Phone, shop: Actor, words: str) -> None:
    """Wait in the browser, which meanwhile calls `lose_answer`."""
    for _ in range(300):
        if words in words_in_database(shop):
            return
        phone.page.wait_for_timeout(100)
    raise AssertionError("it did not arrive in time")


def start(handset: Handset, proxy: FlakyProxy) -> tuple[Phone, str]:
    """A phone with a job that is sent, and the path of the job."""
    phone = handset.start(proxy.url)
    phone.sign_in(MECHANIC)
    phone.open_job(customer="Odell Varga", phone="", kind="tiller", make="", model="", words="Will not turn")
    phone.wait_until_sent()
    phone.wait_for_offline_app()
    return phone, phone.page.url.removeprefix(proxy.url)


def start_again(handset: Handset, proxy: FlakyProxy, path: str, saved: Collection[str]) -> Phone:
    """The phone after a kill: its job is there with all that was saved."""
    assert handset.context is not None
    cookies = [{**cookie} for cookie in handset.context.cookies()]
    handset.kill()
    phone = handset.start(proxy.url)
    # Chromium writes cookies to disk every half a minute: without them it would ask for the password again.
    phone.context.add_cookies(cookies)  # type: ignore[arg-type] # what it gives is what it takes
    phone.open(path)
    for words in saved:
        phone.expect_text(words)
    return phone


def assert_all_arrives_once(phone: Phone, proxy: FlakyProxy, shop: Actor, saved: Collection[str]) -> None:
    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_until_sent(seconds=60)
    arrived = words_in_database(shop)
    assert set(saved) <= set(arrived)
    assert len(arrived) == len(set(arrived))
    with in_shop(shop.shop_id):
        logged = LoggedCommand.objects.order_by("no").values_list("no", "device")
        assert len({device for _, device in logged}) == 1
        assert [no for no, _ in logged] == list(range(1, len(logged) + 1))


def test_entries_outlive_a_browser_killed_between_save_and_push(
    proxy: FlakyProxy, shop: Actor, handset: Handset
) -> None:
    """Scenario 27: killed after the save, and killed after a push whose answer was lost."""
    phone, path = start(handset, proxy)
    proxy.refuse()
    phone.page.evaluate(NOTE_DURABILITY)
    type_complaint(phone, "It smokes")
    phone.press("Save")
    phone.expect_heading("Odell Varga")
    phone.expect_text("It smokes")
    assert set(phone.page.evaluate("() => window.durability")) == {"strict"}

    phone = start_again(handset, proxy, path, ["It smokes"])
    expect(phone.queue_status()).to_have_text("1 to send")
    phone.context.route("**/api/v1/sync/push", lose_answer)
    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    wait_until_arrived(phone, shop, "It smokes")
    proxy.refuse()
    type_complaint(phone, "It leaks")
    phone.press("Save")
    phone.expect_heading("Odell Varga")
    phone.expect_text("It leaks")

    saved = ["It smokes", "It leaks"]
    phone = start_again(handset, proxy, path, saved)
    expect(phone.queue_status()).to_have_text("2 to send")
    assert_all_arrives_once(phone, proxy, shop, saved)


def test_entries_shown_as_saved_outlive_kills_at_random_instants(
    proxy: FlakyProxy, shop: Actor, handset: Handset
) -> None:
    """Scenario 27: some are killed before they are saved; none that the job's screen has shown is lost."""
    phone, path = start(handset, proxy)
    proxy.refuse()
    draw, saved = random.Random(27), ["Will not turn"]  # noqa: S311
    for nth in range(KILLS):
        type_complaint(phone, f"Saved or not {nth}")
        phone.press("Save")
        time.sleep(draw.uniform(0, 0.2))
        on_job = phone.page.get_by_role("heading", level=1, name="Odell Varga", exact=True).count()
        if on_job and phone.page.get_by_text(f"Saved or not {nth}").count():
            saved.append(f"Saved or not {nth}")
        phone = start_again(handset, proxy, path, saved)
    assert_all_arrives_once(phone, proxy, shop, saved)
