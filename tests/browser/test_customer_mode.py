"""Customer mode: the phone in the customer's hand shows the offer and nothing else of the shop."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import OWNER, NewPhone
from tests.site import LiveSite


def test_customer_holding_the_phone_sees_only_the_quote(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(OWNER)
    phone.open_job(
        customer="Odell Varga", phone="555 014 8080", kind="tiller", make="Fenlark", model="T5", words="Will not turn"
    )
    phone.press("Start a quote")
    phone.expect_heading("Quote")
    phone.press("Part", exact=True)
    phone.fill("What the part is", "Drive belt")
    phone.page.locator(".more > summary").click()
    phone.fill("Your cost, each", "20.00")
    expect(phone.page.get_by_label("Price, each")).to_have_value("29.00")
    phone.expect_text("From your cost of $20.00 with markup")
    phone.press("Add to quote")
    phone.expect_heading("Quote")
    phone.press("Show the customer")
    phone.press("Hand over the phone")
    phone.expect_heading("Quote from Kettle Ford Small Engine")
    for path in ("/", "/queue", "/prices"):
        phone.open(path)
        phone.expect_heading("Quote from Kettle Ford Small Engine")
        assert phone.page.get_by_text("20.00").count() == 0
        assert phone.page.locator("a:not(.skip-link)").count() == 0
    phone.press("No to Drive belt")
    phone.press("Continue and decline all")
    phone.fill("Your name", "Odell Varga")
    phone.press("I decline everything")
    phone.expect_heading("Thank you")
    phone.expect_text("Nothing will be done without your OK.")
    assert accessibility_violations(phone.page, "giving the phone back") == []
