"""A machine tested before release on a phone without signal: taps, a reading, safety switches, counted starts."""

import re
from uuid import UUID

from playwright.sync_api import expect

from shopapi.bench.models import CautionSeen, RunTest
from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.browser.phone import Phone
from tests.factories import work
from tests.site import LiveSite


def test_tested_without_signal(live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str) -> None:
    customer = work.a_customer(shop, name="Winnie Stroud")
    machine = work.a_machine(shop, customer, kind="garden tractor")
    job = work.a_job(shop, customer_id=customer, machine_id=machine)
    work.a_complaint(shop, job, words="Sometimes it does not start")
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    phone.open(f"/jobs/{job}/bench")
    phone.context.set_offline(True)
    phone.press("Testing")
    tap_and_read(phone)
    try_safety_switches(phone, job)
    count_starts(phone, job)
    phone.context.set_offline(False)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        kept = {(row.kind, row.item): row for row in RunTest.objects.filter(job_id=job)}
        assert (kept["starts", ""].tries, kept["starts", ""].good) == (12, 12)
        assert f"{kept['charge_voltage', ''].value:.1f}" == "14.2"
        assert kept["interlock", "reverse_override"].seen == "stops"
        assert kept["interlock", "start_pto_on"].seen == "no_crank"
        assert {row.code for row in CautionSeen.objects.filter(job_id=job)} == {"running_engine"}
    phone.close()


def tap_and_read(phone: Phone) -> None:
    phone.expect_text("Not tested")
    assert not accessibility_violations(phone.page, "tests")
    phone.press("I have read this")
    expect(phone.page.get_by_role("button", name="I have read this")).to_have_count(0)
    phone.page.get_by_role("button", name="Passed", exact=True).first.click()
    phone.expect_text("1 of 8")
    # The next test on the list is the main action.
    phone.page.get_by_role("link", name="Charging voltage Next test").click()
    phone.expect_text("13.5 to 15 V")
    phone.fill("Reading, V", "12.9")
    phone.press("Save")
    phone.expect_text("Choose passed, failed or not done")
    phone.expect_text("That is outside the figure above")
    phone.fill("Reading, V", "14.2")
    phone.choose_option("Passed")
    phone.press("Save")
    phone.expect_text("14.2 V, Passed")


def try_safety_switches(phone: Phone, job: UUID) -> None:
    phone.open(f"/jobs/{job}/interlocks")
    assert not accessibility_violations(phone.page, "interlocks")
    for button in phone.page.get_by_role("button", name=re.compile("^As expected")).all()[:7]:
        button.click()
    phone.page.get_by_role("button", name="Not as expected").last.click()
    phone.expect_text("A safety switch doesn’t do its job")


def count_starts(phone: Phone, job: UUID) -> None:
    phone.open(f"/jobs/{job}/starts")
    assert not accessibility_violations(phone.page, "starts")
    for _ in range(12):
        phone.press("Good start")
    phone.expect_text("A fault in 1 of 5 starts would have been missed 7% of the time.")
    phone.press("Failed start")
    phone.expect_text("12 of 13 good")
    phone.press("Undo the last")
    phone.press("Save the count")
    phone.expect_text("Counted starts 12 of 12 good")
