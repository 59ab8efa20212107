"""A check list walked with no signal: every item in one tap, a bad one becomes a finding in one more."""

from playwright.sync_api import expect

from shopapi.bench.models import Check, CheckList
from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Finding
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.factories import work
from tests.site import LiveSite


def test_a_check_list_without_signal(live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str) -> None:
    job = work.a_job(shop, customer_id=work.a_customer(shop, name="Winnie Stroud"))
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    phone.open(f"/jobs/{job}")
    phone.context.set_offline(True)
    # Two presses from the job to the checks; the first time a list is made from an example.
    phone.press("Bench")
    phone.press("Checks")
    phone.press("Check-in, chipper")
    phone.press("Remove item 9")
    phone.press("Save list")
    phone.expect_text("1 of 8")
    assert not accessibility_violations(phone.page, "a check list")
    answers = phone.page.locator(".check-answers")
    for position, result in enumerate(["Fine", "Bad", "Worn", "Not looked at", "Fine", "Fine", "Fine", "Fine"], 1):
        expect(phone.page.locator(".check-item")).to_contain_text(f"{position} of 8")
        if result == "Bad":
            phone.fill("What you see", "Bar bent")
        # A tap right after the last is a double tap of a glove and answers nothing.
        phone.page.wait_for_timeout(400)
        answers.get_by_role("button", name=result, exact=True).click()
    phone.expect_text("1 bad, 1 worn")
    phone.press("Make it a finding")
    phone.expect_text("Finding added")
    assert not accessibility_violations(phone.page, "a walked check list")
    phone.press("Back to the bench")
    phone.expect_text("8 done, 1 bad")
    phone.context.set_offline(False)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert CheckList.objects.get().name == "Check-in, chipper"
        finding = Finding.objects.get()
        assert (finding.words, finding.rank) == ("Feed stop bar or stop switch works: Bar bent", "safety")
        bad = Check.objects.filter(result="bad").order_by("created_at", "id")
        assert [check.finding_id for check in bad] == [None, finding.id]
        assert Check.objects.count() == 9
    phone.close()
