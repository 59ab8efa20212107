"""Two people change the same field without seeing each other's change."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite


def test_same_field_changed_on_two_phones_opens_an_issue_on_both_and_is_settled(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    first, second = new_phone(live_site.base_url), new_phone(proxy.url)
    second.context.add_init_script(axe_source)
    first.sign_in(OWNER)
    first.open_job(
        customer="Ada Brightwater",
        phone="555 014 1111",
        kind="chipper",
        make="Fenlark",
        model="C9",
        words="Eats belts",
    )
    first.wait_until_sent()
    second.sign_in(MECHANIC)
    _to_customer(second)
    proxy.refuse()
    _change_phone(second, "555 014 3333")
    _to_customer(first)
    _change_phone(first, "555 014 2222")
    first.wait_until_sent()
    proxy.open()
    second.page.evaluate("dispatchEvent(new Event('online'))")

    for phone in (second, first):
        phone.open("/queue")
        phone.press("Try now")
        expect(phone.queue_status()).to_have_text("1 needs you")
        phone.list_item("Customer edited").click()
        phone.expect_heading("Which one is right?")
        shown = phone.page.locator(".comparison p")
        expect(shown).to_have_text(["555 014 2222", "555 014 3333"])
    assert accessibility_violations(second.page, "two answers") == []
    with in_shop(shop.shop_id):
        assert Customer.objects.get().phone == "555 014 2222"

    # Both answer: the second without a signal, not knowing that the first has.
    proxy.refuse()
    second.press("Keep what’s saved")
    first.press("Use the other entry")
    first.wait_until_sent()
    proxy.open()
    second.page.evaluate("dispatchEvent(new Event('online'))")
    expect(second.queue_status()).to_have_text("1 needs you")
    second.open("/queue")
    refused = second.page.get_by_role("region", name="Rejected")
    expect(refused).to_contain_text("Ines Okafor already settled this and used the other entry.")
    expect(refused.get_by_role("button", name="Try again")).to_have_count(0)
    assert accessibility_violations(second.page, "an answer that came second") == []
    second.press("Discard")
    second.wait_until_sent()
    for phone in (first, second):
        _to_customer(phone)
        expect(phone.page.get_by_role("link", name="Call Ada Brightwater: 555 014 3333")).to_be_visible()
    with in_shop(shop.shop_id):
        assert Customer.objects.get().phone == "555 014 3333"


def _to_customer(phone: Phone) -> None:
    phone.open("/find")
    phone.fill("Name, phone, serial or job number", "brightwater")
    phone.list_item("Ada Brightwater").first.click()
    phone.expect_heading("Ada Brightwater")


def _change_phone(phone: Phone, number: str) -> None:
    phone.press("Edit", exact=True)
    phone.fill("Phone", number)
    phone.press("Save customer")
    phone.expect_heading("Ada Brightwater")
