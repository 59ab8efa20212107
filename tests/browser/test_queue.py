"""What the server refuses stays visible, in plain words, with what can be done about it."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.sync.models import LoggedCommand
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite


def test_rejected_change_is_shown_retried_discarded_and_restored(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    office, van = new_phone(live_site.base_url), new_phone(proxy.url)
    van.context.add_init_script(axe_source)
    office.sign_in(OWNER)
    office.open_job(
        customer="Odell Varga", phone="555 014 8080", kind="tiller", make="Fenlark", model="T5", words="Will not turn"
    )
    office.wait_until_sent()
    van.sign_in(MECHANIC)
    van.list_item("Odell Varga").click()
    van.expect_heading("Odell Varga")
    proxy.refuse()
    _move(van, "Repair")
    _move(office, "Cancelled")
    office.wait_until_sent()
    proxy.open()
    van.page.evaluate("dispatchEvent(new Event('online'))")

    expect(van.queue_status()).to_have_text("1 needs you")
    proxy.refuse()
    van.press("Add to the complaint")
    van.fill("In the customer’s words", "It also smokes")
    van.press("Save")
    # What needs a person hides nothing of what is unsent.
    expect(van.queue_status()).to_have_accessible_name("1 needs you, 1 to send")
    proxy.open()
    expect(van.queue_status()).to_have_text("1 needs you", timeout=40_000)
    van.queue_status().click()
    van.expect_heading("To send")
    refused = van.page.get_by_role("region", name="Rejected")
    expect(refused.locator(".list-item")).to_contain_text("Stage changed")
    expect(refused.locator(".list-item")).to_contain_text("Reason:")
    assert accessibility_violations(van.page, "a refused change") == []
    van.press("Try again")
    expect(van.queue_status()).to_have_text("1 needs you")
    van.press("Discard")
    van.wait_until_sent()
    van.press("Undo")
    expect(van.queue_status()).to_have_text("1 needs you")
    van.press("Discard")
    van.wait_until_sent()
    van.open()
    van.expect_text("No open jobs")


def test_long_offline_queue_is_sent_soon_after_the_connection_returns(
    proxy: FlakyProxy, shop: Actor, new_phone: NewPhone
) -> None:
    phone = new_phone(proxy.url)
    phone.sign_in(MECHANIC)
    phone.open_job(customer="Odell Varga", phone="", kind="tiller", make="", model="", words="Will not turn")
    phone.wait_until_sent()
    # The browser has no event for the connection's return, as on a phone with a weak signal.
    phone.page.evaluate("() => addEventListener('online', () => { window.wentOnline = true })")
    proxy.refuse()
    for at in range(8):
        phone.press("Add to the complaint")
        phone.fill("In the customer’s words", f"Words without a signal, {at}")
        phone.press("Save")
        phone.expect_heading("Odell Varga")
    expect(phone.queue_status()).to_have_text("8 to send")
    phone.queue_status().click()
    phone.expect_text("Last contact with the server")
    expect(phone.page.get_by_text("Last contact with the server now")).to_have_count(0)
    proxy.open()
    # 30 seconds at most between two tries, and the time that sending takes.
    phone.wait_until_sent(seconds=40)
    assert phone.page.evaluate("() => window.wentOnline") is None
    phone.expect_text("Last contact with the server now")


def test_cleared_storage_is_shown_until_a_person_has_checked_it(
    proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    """Scenario 29: the phone goes on as a new device whose numbers begin at 1, and uses no id twice."""
    phone = new_phone(proxy.url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.open_job(customer="Odell Varga", phone="", kind="tiller", make="", model="", words="Will not turn")
    phone.wait_until_sent()
    phone.wait_for_offline_app()
    proxy.refuse()
    phone.press("Add to the complaint")
    phone.fill("In the customer’s words", "It also smokes")
    phone.press("Save")
    expect(phone.queue_status()).to_have_text("1 to send")
    phone.page.close()
    # As a browser does that is short of room.
    phone.page = phone.context.new_page()
    cdp = phone.context.new_cdp_session(phone.page)
    cdp.send("Storage.clearDataForOrigin", {"origin": proxy.url, "storageTypes": "indexeddb"})

    # Without a signal it goes on waiting for its rows.
    phone.page.goto(phone.url)
    phone.expect_text("1 item may be lost")
    proxy.open()
    phone.open()
    expect(phone.queue_status()).to_have_text("1 item may be lost")
    phone.queue_status().click()
    phone.expect_text("The server does not have what is listed.")
    lost = phone.page.get_by_role("region", name="May be lost")
    expect(lost.locator(".list-item")).to_contain_text("Odell Varga")
    assert accessibility_violations(phone.page, "what may be lost") == []
    phone.press("I checked these")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        (former,) = LoggedCommand.objects.values_list("device", flat=True).distinct()
        sent_before = set(LoggedCommand.objects.values_list("id", flat=True))
    phone.open()
    phone.list_item("Odell Varga").click()
    for words in ("It also smokes", "It leaks"):
        phone.press("Add to the complaint")
        phone.fill("In the customer’s words", words)
        phone.press("Save")
        phone.expect_text(words)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        sent_after = LoggedCommand.objects.exclude(id__in=sent_before).order_by("no")
        assert [one.no for one in sent_after] == [1, 2]
        assert {one.status for one in sent_after} == {"applied"}
        assert former not in {one.device_id for one in sent_after}


def _move(phone: Phone, stage: str) -> None:
    phone.press("Change stage")
    phone.expect_heading("Change stage")
    phone.press(stage)
    phone.expect_heading("Odell Varga")
