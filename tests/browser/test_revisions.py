"""A signed quote stands while a revision of it is with the customer."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.labor.models import TimeEntry
from shopapi.quotes.models import Line, Quote
from tests.browser.conftest import MECHANIC, NewPhone
from tests.factories import work
from tests.site import LiveSite


def test_a_revision_handed_back_undecided_and_taken_back_leaves_what_was_signed(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone
) -> None:
    job = work.a_job(shop)
    first = work.an_offer(shop, job)
    work.a_decision(shop, first, accept=1)
    phone = new_phone(live_site.base_url)
    phone.sign_in(MECHANIC)
    phone.open(f"/quotes/{first}")
    # Labor of 135.00 was agreed; 163.00 was offered.
    phone.expect_text("$135.00")
    expect(phone.page.get_by_text("$163.00")).to_have_count(0)
    phone.press("Write a revision")
    phone.press("Show the customer")
    phone.press("Hand over the phone")
    phone.press("Give the phone back without answering")
    phone.press_and_hold("I have the phone back")
    phone.expect_text("waiting for the customer · Revision 2")
    phone.press("Withdraw quote")
    phone.expect_text("withdrawn · Revision 2")
    phone.press("Back to the job")
    expect(phone.list_item("answered")).to_contain_text("$135.00")
    phone.press("Start the repair")
    phone.expect_text("Job in repair, clock started")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert list(Quote.objects.order_by("revision").values_list("state", flat=True)) == ["decided", "withdrawn"]
        assert TimeEntry.objects.get().line_id == Line.objects.get(quote=first, kind="labor").id
