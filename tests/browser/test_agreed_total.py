"""A job shows what was agreed, warns of work beyond it, and lists what was declined before."""

from datetime import timedelta

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Finding
from shopapi.labor.services.corrections import add_entry
from shopapi.quotes.services.decisions import decide_quote
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.factories import work
from tests.site import LiveSite


def test_work_beyond_what_was_agreed(live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str) -> None:
    customer = work.a_customer(shop)
    machine = work.a_machine(shop, customer)
    earlier = work.a_job(shop, customer_id=customer, machine_id=machine)
    finding = work.a_finding(shop, earlier, words="Deck drive belt is cracked", consequence="It will snap in the grass")
    quote_id = work.a_draft(shop, earlier)
    work.do(shop, put_quote_line, quote_id=quote_id, finding_id=finding, **work.labor(words="Fit a new belt"))
    work.do(shop, offer_quote, **work.offer_of(shop, quote_id))
    work.do(shop, decide_quote, **work.decision_on(shop, quote_id, accept=0))
    job = work.a_job(shop, customer_id=customer, machine_id=machine)
    work.a_decision(shop, work.an_offer(shop, job), accept=1)
    start = now() - timedelta(hours=5)
    span = {"started_at": start, "ended_at": start + timedelta(hours=2)}
    work.do(shop, add_entry, id=uuid7(), kind="repair", job_id=job, reason="Noted afterwards", **span)

    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.open(f"/jobs/{job}")
    # The line of an hour and a half was agreed; two hours were clocked for no line, at the 95.00 of the shop.
    phone.expect_text("Approved by the customer")
    phone.expect_text("$135.00")
    phone.expect_text("This work is $190.00 over what was approved (before tax).")
    phone.expect_text("It will snap in the grass")
    assert not accessibility_violations(phone.page, "a job beyond what was agreed")
    phone.press("Add “Deck drive belt is cracked” to this job")
    phone.expect_text("Added to this job")
    expect(phone.page.get_by_role("heading", name="Declined last time")).to_have_count(0)
    phone.press("Undo")
    expect(phone.page.get_by_role("heading", name="Declined last time")).to_be_visible()
    phone.press("Add “Deck drive belt is cracked” to this job")
    phone.expect_text("Added to this job")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert Finding.objects.get(job=job).again_of_id == finding
    phone.press("Ask to add work")
    phone.expect_heading("Added work")
