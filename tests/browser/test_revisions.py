"""A signed quote stands while a revision of it is with the customer."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.labor.models import TimeEntry
from shopapi.quotes.models import Approval, Line, Quote
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
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


def test_the_customer_sees_what_changed_and_their_answers_to_what_did_not(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    first = work.an_offer(shop, work.a_job(shop))
    work.a_decision(shop, first, accept=1)
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(OWNER)
    phone.open(f"/quotes/{first}")
    phone.press("Write a revision")
    phone.expect_text("2 items haven’t changed")
    phone.list_item("Fit new brushes").last.click()
    phone.fill("Hours", "2")
    phone.press("Save the line")
    phone.expect_text("Changed, was $135.00")
    phone.press("Show the customer")
    phone.press("Hand over the phone")
    phone.expect_text("Not changed. Answered no on")
    no = phone.page.get_by_role("button", name="No to Brush set")
    expect(no).to_have_attribute("aria-pressed", "true")
    assert accessibility_violations(phone.page, "a revision with the customer") == []
    phone.expect_text("1 item still needs an answer")
    phone.press("Yes to Fit new brushes")
    phone.press("Continue to sign")
    phone.fill("Your name", "Winnie Stroud")
    phone.press("I can’t sign on a screen")
    phone.press("I approve $180.00")
    phone.press_and_hold("I have the phone back")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        approval = Approval.objects.exclude(quote=first).get()
        assert approval.matches
        assert (len(approval.accepted_ids), len(approval.declined_ids)) == (1, 1)
        assert Quote.objects.get(id=first).state == "replaced"
