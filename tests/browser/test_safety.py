"""A job with an open safety finding cannot be ready until the customer's acknowledgement is recorded."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job, SafetyAcknowledgement
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.factories import work
from tests.site import LiveSite


def test_the_customer_knows(live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str) -> None:
    job = work.a_job(shop, customer_id=work.a_customer(shop, name="Winnie Stroud"))
    words, consequence = "Seat switch sticks", "The blades run on when you stand up"
    work.a_finding(shop, job, words=words, consequence=consequence, rank="safety")
    with in_shop(shop.shop_id):
        Job.objects.filter(id=job).update(stage="testing")
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    phone.open(f"/jobs/{job}/stage")
    phone.expect_text("Before this job can be ready")
    expect(phone.page.get_by_role("button", name="Ready")).to_have_count(0)
    phone.context.set_offline(True)
    phone.press(words)
    phone.press("The customer knows and wants it left")
    assert not accessibility_violations(phone.page, "what the customer knows")
    assert phone.page.get_by_label("What protection is missing", exact=True).input_value() == consequence
    phone.press("Save")
    phone.expect_text("Choose how you told them")
    phone.choose_option("On the phone")
    phone.press("Save")
    phone.expect_heading("Winnie Stroud")
    expect(phone.page.get_by_role("heading", name="Before this job can be ready")).to_have_count(0)
    phone.press(words)
    phone.expect_text("Winnie Stroud, on the phone")
    phone.open(f"/jobs/{job}/stage")
    phone.press("Ready")
    phone.context.set_offline(False)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert Job.objects.get(id=job).stage == "ready"
        kept = SafetyAcknowledgement.objects.get()
        assert (kept.finding_words, kept.how, kept.acknowledged_by_name) == (words, "call", "Winnie Stroud")
    phone.close()
