"""A telephone number typed at intake finds its customer first, and is kept as the number of a new one."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from tests.browser.conftest import MECHANIC, NewPhone
from tests.factories import work
from tests.site import LiveSite


def test_a_number_at_intake(live_site: LiveSite, shop: Actor, new_phone: NewPhone) -> None:
    work.a_customer(shop, name="Aldous", phone="(208) 555-01342")
    work.a_customer(shop, name="Winnie Stroud", phone="(208) 555-0134")
    phone = new_phone(live_site.base_url)
    phone.sign_in(MECHANIC)
    phone.open("/new-job")
    phone.fill("Customer’s name or phone", "208-555-0134")
    expect(phone.page.get_by_label("Known customers").get_by_role("button").first).to_contain_text("Winnie Stroud")
    phone.fill("Customer’s name or phone", "208 555 7000")
    phone.fill("Type of machine", "Mower")
    phone.fill("In the customer’s words", "Will not start")
    phone.press("Open the job")
    phone.expect_text("Enter the customer’s name, or pick one")
    phone.fill("Customer’s name", "Otis Quill")
    phone.press("Open the job")
    phone.expect_heading("Otis Quill")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        made = Customer.objects.get(name="Otis Quill")
        assert (made.phone, made.phone_digits) == ("208 555 7000", "2085557000")
    phone.close()
