"""Reports, and suggested hours from the shop's own history while quoting without a signal."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from tests.browser.conftest import OWNER, NewPhone
from tests.factories import work
from tests.factories.hours import a_history
from tests.site import LiveSite


def test_suggested_hours_come_from_the_shops_history_offline(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone
) -> None:
    a_history(shop.shop_id)
    a_history(shop.shop_id, operation="belt change", minutes=[20, 30])
    quote = work.a_draft(shop, work.a_job(shop))
    phone = new_phone(live_site.base_url)
    phone.sign_in(OWNER)
    phone.wait_for_offline_app()
    phone.wait_until_sent()
    phone.context.set_offline(True)
    phone.page.evaluate(
        "path => { history.pushState(null, '', path); dispatchEvent(new PopStateEvent('popstate')) }",
        f"/quotes/{quote}/add/labor",
    )
    phone.page.locator(".more > summary").click()
    phone.press("carburetor clean")
    # Nine jobs of 30 to 120 minutes, the middle one 60: the first and the last hold 8 of 10.
    phone.expect_text("Usually 1 h")
    phone.expect_text("Filled in from your finished jobs: carburetor clean")
    phone.expect_text("8 of 10 took 0.5 to 2 h")
    phone.expect_text("9 jobs on this type of machine")
    phone.fill("Hours", "3")
    phone.press("Use 1 h")
    expect(phone.page.get_by_label("Hours", exact=True)).to_have_value("1")
    phone.fill("Job type", "Belt change")
    phone.expect_text("Only 2 jobs so far, no range yet")
    phone.fill("Job type", "Never done")
    phone.expect_text("No finished job has hours under this name yet")
    assert phone.page_errors == []
