"""Closing a day at the desk: what was taken is counted against what is there, then the books of the day are closed."""

from playwright.sync_api import expect

from shopapi.billing.models import PeriodClose
from shopapi.billing.services.payments import record_payment
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from tests.browser.conftest import OWNER, NewPhone
from tests.factories import bills
from tests.factories.work import do
from tests.site import LiveSite


def test_a_day_is_counted_and_closed_at_the_desk(live_site: LiveSite, shop: Actor, new_desk: NewPhone) -> None:
    job = bills.an_agreed_job(shop)
    for method, minor in (("cash", 12_000), ("card", 4_250)):
        entry = {"job_id": job, "kind": "payment", "method": method, "amount_minor": minor}
        do(shop, record_payment, id=uuid7(), paid_at=now(), **entry)
    laptop = new_desk(live_site.base_url)
    laptop.sign_in(OWNER)
    laptop.page.goto(f"{live_site.base_url}/books")
    laptop.page.get_by_role("link", name="Close a day").click()
    laptop.expect_heading("Close a day")
    laptop.expect_text("$120.00")
    laptop.page.get_by_label("In the drawer, without the float").fill("118")
    laptop.expect_text("$2.00 too little")
    card = laptop.page.get_by_role("region", name="Card")
    card.get_by_label("Counted").fill("42.50")
    expect(card.get_by_text("As expected")).to_be_visible()

    laptop.press("Close the day")
    laptop.expect_text("Write what explains the difference, or that it is not known.")
    laptop.page.get_by_label("What explains the difference").fill("Not known")
    laptop.press("Close the day")
    laptop.expect_text("Cash $2.00 too little · Not known")
    laptop.wait_until_sent()
    with in_shop(shop.shop_id):
        closed = PeriodClose.objects.get()
    assert closed.counted == [
        {"method": "cash", "expected_minor": 12_000, "counted_minor": 11_800},
        {"method": "card", "expected_minor": 4_250, "counted_minor": 4_250},
    ]
    assert closed.note == "Not known"
