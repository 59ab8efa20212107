"""From a shop in which nothing is entered to its first quote on offer."""

from playwright.sync_api import expect

from shopapi.accounts.rules import NewInvitation
from shopapi.accounts.services.invitations import join_at_once
from shopapi.core.actor import Actor
from shopapi.core.ids import uuid7
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import PriceBook, Quote
from shopapi.quotes.rules.confirmed import PRICE_PARTS
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import PASSWORD, Phone
from tests.factories import work
from tests.flaky_proxy import FlakyProxy


def quote_labor(phone: Phone, job: object) -> None:
    """A draft with labor of the hours that the form offers; ends on the quote."""
    phone.open(f"/jobs/{job}")
    phone.press("Start a quote")
    phone.press("Labor", exact=True)
    phone.fill("What will be done", "Set the blade brake")
    phone.fill("Hours", "2")
    phone.press("Add to quote")
    phone.expect_heading("Quote")


def test_an_empty_shop_is_led_to_its_first_quote_without_signal(
    proxy: FlakyProxy, new_shop: Actor, new_phone: NewPhone
) -> None:
    job = work.a_job(new_shop)
    phone = new_phone(proxy.url)
    phone.sign_in(OWNER)
    phone.wait_for_offline_app()
    proxy.refuse()

    quote_labor(phone, job)
    assert phone.total_cents() == 18_000
    phone.press("Show the customer")
    phone.expect_heading("Check your prices")
    expect(phone.page.get_by_role("button", name="Hand")).to_have_count(0)
    phone.press("Look at your prices first")
    phone.fill("Per hour", "110.00")
    phone.press("On everything", exact=True)
    phone.fill("Rate in percent", "5")
    phone.press("Use these prices")

    # Back where it was asked, nothing lost: 2 h at 110.00 with 5 %.
    phone.expect_text("$231.00")
    assert phone.page.url.endswith("/offer")
    phone.page.locator(".primary-button").click()
    phone.expect_text("Set the blade brake")

    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    with in_shop(new_shop.shop_id):
        for _ in range(300):
            if Quote.objects.filter(state="offered").exists():
                break
            phone.page.wait_for_timeout(100)
        totals = Quote.objects.get().totals
        assert totals is not None
        assert totals["total_minor"] == 23_100
        assert PriceBook.objects.get().confirmed == list(PRICE_PARTS)


def test_who_may_not_change_prices_is_told_who_does(proxy: FlakyProxy, new_shop: Actor, new_phone: NewPhone) -> None:
    mechanic = {"id": str(uuid7()), "name": "Bram Aldous", "email": MECHANIC, "role": "mechanic"}
    join_at_once(actor=new_shop, data=parse(NewInvitation, mechanic), password=PASSWORD)
    job = work.a_job(new_shop)
    phone = new_phone(proxy.url)
    phone.sign_in(MECHANIC)
    quote_labor(phone, job)
    phone.press("Show the customer")
    phone.expect_text("The shop owner looks at them once")
    expect(phone.page.locator(".primary-button")).to_have_count(0)
    phone.wait_until_sent()
    # The owner confirms them as they are; the mechanic goes on where it stopped.
    work.confirm_prices(new_shop)
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.expect_text("$180.00")
    expect(phone.page.locator(".primary-button")).to_have_count(1)


def test_today_leads_a_new_shop_through_what_is_missing(
    proxy: FlakyProxy, new_shop: Actor, new_phone: NewPhone
) -> None:
    phone = new_phone(proxy.url)
    phone.sign_in(OWNER)
    phone.expect_text("0 of 9 done")
    step = phone.page.locator("main .primary-button b").first
    expect(step).to_have_text("Name and address")
    step.click()
    phone.fill("Address", "4 Mill Road, Weir")
    phone.press("Save shop")
    phone.expect_text("1 of 9 done")
    expect(step).to_have_text("Labor rates")
    step.click()
    phone.expect_heading("Labor rates")
    phone.press("Use these prices")
    expect(step).to_have_text("Tax")
    phone.press("Skip for now: Tax")
    expect(step).to_have_text("Terms and deposit")
    expect(phone.list_item("Tax")).to_have_count(0)
    phone.wait_until_sent()
    # Skipped on one phone, skipped on the other.
    other = new_phone(proxy.url)
    other.sign_in(OWNER)
    other.expect_text("2 of 9 done")
    expect(other.page.locator("main .primary-button b").first).to_have_text("Terms and deposit")
    other.open("/set-up")
    expect(other.list_item("Tax")).to_contain_text("Skipped")
    with in_shop(new_shop.shop_id):
        assert PriceBook.objects.get().confirmed == ["labor_rates"]
