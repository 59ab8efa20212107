"""A machine comes back: what is still under warranty, the comeback in one tap without a signal, and what it cost."""

from uuid import UUID

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.factories import bills, work
from tests.factories.hours import finish
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite


def test_a_machine_comes_back_under_warranty(
    proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    first, machine = _billed_job(shop)
    phone = new_phone(proxy.url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    # The invoice of December 8: its first line for 90 days, its second for 50 h, of which no reading tells.
    phone.open(f"/machines/{machine}")
    phone.expect_text("Until Mar 8, 2027")
    phone.expect_text("Not known: no meter reading when it was billed")
    found = accessibility_violations(phone.page, "machine under warranty")

    proxy.refuse()
    phone.press("New job")
    phone.expect_text("Is it a comeback?")
    phone.expect_text("Until Mar 8, 2027")
    phone.choose_option("Comeback of job J-1001")
    phone.fill("In the customer’s words", "The brushes spark again")
    found += accessibility_violations(phone.page, "new job of a known machine")
    phone.press("Open the job")
    expect(phone.page.get_by_role("heading", name="Comeback of job J-1001")).to_be_visible()
    phone.press("Not a comeback")
    phone.expect_text("No longer a comeback")
    phone.press("Comeback of job J-1001")
    expect(phone.page.get_by_role("heading", name="Comeback of job J-1001")).to_be_visible()
    found += accessibility_violations(phone.page, "job that came back")
    # A mechanic sees no costs.
    assert phone.page.get_by_text("What the comeback has cost").count() == 0

    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert [row.comeback_of_id for row in Job.objects.order_by("opened_at")] == [None, first]
    phone.open(f"/jobs/{first}")
    expect(phone.page.get_by_role("heading", name="Comebacks")).to_be_visible()
    assert found == []


def test_the_owner_reads_what_comebacks_cost(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    first, machine = _billed_job(shop)
    with in_shop(shop.shop_id):
        customer = Job.objects.get(id=first).customer_id
    back = work.a_job(shop, customer_id=customer, machine_id=machine, comeback_of_id=first)
    work.a_clock(shop, back)
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(OWNER)
    phone.open("/money-reports/comebacks")
    phone.expect_text("1 against 1 finished job")
    found = accessibility_violations(phone.page, "comebacks")
    phone.page.locator("summary").filter(has_text="No named work").click()
    behind = phone.page.locator("details[open] a.list-item")
    expect(behind).to_contain_text("under warranty")
    behind.click()
    expect(phone.page.get_by_role("heading", name="Comeback of job J-1001")).to_be_visible()
    phone.open("/money-reports/quoted-billed")
    phone.expect_text("billed as quoted")
    found += accessibility_violations(phone.page, "quoted against billed")
    phone.page.locator("summary").filter(has_text="J-1001").click()
    phone.page.locator("details[open] a.list-item").filter(has_text="Invoice").first.click()
    phone.expect_text("Fit new brushes")
    assert found == []


def _billed_job(shop: Actor) -> tuple[UUID, UUID]:
    """A finished job with an issued invoice: labor under warranty by days, parts by hours of a meter nobody read."""
    job = bills.an_agreed_job(shop)
    bills.an_issued_invoice(shop, job, lines=[work.labor(warranty_days=90), work.part(warranty_hours="50")])
    finish(shop, job)
    with in_shop(shop.shop_id):
        machine: UUID = Job.objects.get(id=job).machine_id
    return job, machine
