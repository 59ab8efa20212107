"""The first shop of a new server is created in the app."""

from playwright.sync_api import expect

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import every_shop
from shopapi.core.tenancy import in_shop
from tests.browser.conftest import NewPhone
from tests.site import LiveSite


def test_first_shop_is_opened_from_the_page_and_only_once(live_site: LiveSite, new_phone: NewPhone) -> None:
    phone = new_phone(live_site.base_url)
    phone.open()
    phone.press("Set up a new shop")
    phone.expect_heading("New shop")
    phone.press("Create shop")
    expect(phone.page.get_by_label("Shop name", exact=True)).to_be_focused()
    phone.fill("Shop name", "Millrace Mower Repair")
    phone.fill("Currency", "usd")
    phone.fill("Your name", "Tove Lindqvist")
    phone.fill("Your email", "tove@millrace.example")
    phone.fill("Password", "under the bench")
    phone.press("Create shop")
    phone.expect_text("No open jobs")
    (shop_id,) = every_shop()
    with in_shop(shop_id):
        shop = Shop.objects.get()
        assert (shop.name, shop.currency, shop.zone) == ("Millrace Mower Repair", "USD", "America/Boise")

    second = new_phone(live_site.base_url)
    second.open()
    expect(second.page.get_by_label("Email", exact=True)).to_be_visible()
    expect(second.page.get_by_role("link", name="Set up a new shop")).to_have_count(0)
