"""Measured with no signal: a gauge, a reading outside its limit, and the finding that it becomes."""

from playwright.sync_api import expect

from shopapi.bench.models import Gauge, Reading
from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Finding
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.factories import work
from tests.site import LiveSite


def test_a_reading_without_signal(live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str) -> None:
    job = work.a_job(shop, customer_id=work.a_customer(shop, name="Winnie Stroud"))
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    phone.open(f"/jobs/{job}")
    phone.context.set_offline(True)
    # Two presses from the job to the reading; the first time a gauge is added.
    phone.press("Bench")
    phone.press("Measure")
    phone.press("Add a gauge")
    phone.fill("Name", "Caliper")
    phone.page.get_by_label("Unit", exact=True).select_option("mm")
    phone.press("Save gauge")
    phone.expect_text("Enter how sure it is, more than zero")
    phone.fill("Sure to ±", "0.02")
    phone.press("Save gauge")
    phone.page.get_by_label("Gauge", exact=True).select_option(label="Caliper")
    phone.fill("What you measure", "Coil air gap")
    phone.fill("At least, mm", "0.30")
    phone.fill("At most, mm", "0.20")
    phone.fill("Reading, mm", "0.29")
    phone.press("Save reading")
    phone.expect_text("The upper limit is below the lower one")
    phone.fill("At least, mm", "0.20")
    phone.fill("At most, mm", "0.30")
    # Said before anything is measured, then decided while it is typed.
    phone.expect_text("too coarse for this limit (2.5 to 1")
    verdict = phone.page.locator(".verdict.big")
    expect(verdict).to_have_text("Cannot say")
    phone.expect_text("it could be 0.31 mm. A gauge sure to ±0.01 mm would settle it.")
    assert not accessibility_violations(phone.page, "a reading typed")
    phone.press("Save reading")
    phone.expect_heading("0.29 mm")
    phone.press("Measure again")
    phone.fill("Reading, mm", "0.33")
    expect(verdict).to_have_text("Outside")
    phone.press("Save reading")
    phone.expect_heading("0.33 mm")
    expect(phone.page.locator(".drift-chart circle")).to_have_count(2)
    phone.press("Make it a finding")
    phone.expect_text("Finding added")
    assert not accessibility_violations(phone.page, "a reading")
    phone.context.set_offline(False)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert Gauge.objects.get().uncertainty == "0.02"
        first, second = Reading.objects.order_by("taken_at")
        assert (first.verdict, second.verdict, second.repeat_of_id) == ("cannot_say", "outside", first.id)
        finding = Finding.objects.get()
        assert finding.words == "Coil air gap: 0.33 mm, limit between 0.2 and 0.3 mm"
    phone.close()
