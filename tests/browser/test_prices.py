"""The form of the price book, with and without signal, and what others see of it."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.factories import work
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite


def test_a_price_changed_without_signal_is_quoted_at_once_and_reaches_the_others(
    proxy: FlakyProxy, shop: Actor, new_phone: NewPhone
) -> None:
    before = work.prices_of(shop)
    job = work.a_job(shop)
    phone, other = new_phone(proxy.url), new_phone(proxy.url)
    other.sign_in(MECHANIC)
    phone.sign_in(OWNER)
    phone.wait_for_offline_app()
    proxy.refuse()

    phone.open("/prices")
    price = phone.page.get_by_label("Per hour", exact=True).first
    expect(price).to_have_value("95.00")
    price.fill("a lot")
    phone.press("Save prices")
    expect(price).to_have_attribute("aria-invalid", "true")
    price.fill("120.00")
    phone.press("Save prices")
    expect(phone.queue_status()).to_contain_text("to send")
    assert work.prices_of(shop) == before

    phone.open(f"/jobs/{job}")
    phone.press("Start a quote")
    phone.press("Labor", exact=True)
    phone.fill("What will be done", "Set the blade brake")
    phone.press("Add to quote")
    phone.expect_heading("Quote")
    expect(phone.list_item("Set the blade brake")).to_contain_text("$120.00")

    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_until_sent()
    kept = work.prices_of(shop)
    assert kept["labor_rates"][0]["minor_per_hour"] == 12_000
    assert kept | {"labor_rates": before["labor_rates"]} == before
    other.open("/prices")
    other.expect_text("120.00")
    expect(other.page.get_by_role("button", name="Save prices")).to_have_count(0)


def test_a_new_shop_enters_its_tax_and_sees_it_on_an_example_bill(
    live_site: LiveSite, new_shop: Actor, new_phone: NewPhone
) -> None:
    phone = new_phone(live_site.base_url)
    phone.sign_in(OWNER)
    phone.open("/prices?of=tax_profiles")
    phone.expect_heading("Tax")
    bill = phone.page.get_by_role("region", name="Example bill")
    expect(bill).to_contain_text("$191.00")
    phone.press("On parts, not on labor")
    expect(bill).to_contain_text("Fill in every figure above")
    phone.press("Save prices")
    rate = phone.page.get_by_label("Rate in percent", exact=True)
    expect(rate).to_be_focused()
    rate.fill("6")
    expect(bill).to_contain_text("Sales tax 6")
    expect(bill).to_contain_text("$194.36")
    phone.press("Add a tax rate")
    phone.page.get_by_label("Name on the quote", exact=True).nth(1).fill("County tax")
    rate.nth(1).fill("1.25")
    expect(bill).to_contain_text("$195.06")
    phone.press("Remove the last tax rate")
    phone.press("Save prices")
    phone.expect_text("Prices saved")
    phone.wait_until_sent()
    (profile,) = work.prices_of(new_shop)["tax_profiles"]
    assert [(rate["label"], rate["percent"]) for rate in profile["rates"]] == [("Sales tax", "6")]
    assert (profile["labor"], profile["part"]) == ("never_when_separate", True)
