"""Two people change the same thing without seeing each other's words."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from tests.browser.axe import faults
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.line import Line
from tests.site import LiveSite


def test_same_field_changed_on_two_phones_is_laid_before_both_and_settled(
    live_site: LiveSite, line: Line, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    first, second = new_phone(live_site.base_url), new_phone(line.url)
    second.context.add_init_script(axe_source)
    first.sign_in(OWNER)
    first.take_in(
        owner="Ada Brightwater",
        phone="555 014 1111",
        kind="chipper",
        make="Fenlark",
        model="C9",
        words="Eats belts",
    )
    first.all_sent()
    second.sign_in(MECHANIC)
    _to_customer(second)
    line.refuse()
    _change_phone(second, "555 014 3333")
    _to_customer(first)
    _change_phone(first, "555 014 2222")
    first.all_sent()
    line.open()
    second.page.evaluate("dispatchEvent(new Event('online'))")

    for phone in (second, first):
        phone.open("/queue")
        phone.press("Try now")
        expect(phone.queue_line()).to_have_text("1 thing needs you")
        phone.row("Customer changed").click()
        phone.heading("Which one holds?")
        shown = phone.page.locator(".versus p")
        expect(shown).to_have_text(["555 014 2222", "555 014 3333"])
    assert faults(second.page, "two answers") == []
    with in_shop(shop.shop_id):
        assert Customer.objects.get().phone == "555 014 2222"

    first.press("Take what was written")
    first.all_sent()
    second.open("/queue")
    second.press("Try now")
    second.all_sent()
    for phone in (first, second):
        _to_customer(phone)
        expect(phone.page.get_by_role("link", name="Call 555 014 3333")).to_be_visible()
    with in_shop(shop.shop_id):
        assert Customer.objects.get().phone == "555 014 3333"


def _to_customer(phone: Phone) -> None:
    phone.open("/find")
    phone.fill("Name, phone, serial or job number", "brightwater")
    phone.row("Ada Brightwater").first.click()
    phone.heading("Ada Brightwater")


def _change_phone(phone: Phone, number: str) -> None:
    phone.press("Change", exact=True)
    phone.fill("Phone", number)
    phone.press("Save customer")
    phone.heading("Ada Brightwater")
