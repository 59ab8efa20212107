"""Hours on a phone: what the shop's own history says while quoting with no signal, and the reports."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from tests.browser.conftest import OWNER, NewPhone
from tests.factories import work
from tests.factories.hours import a_history
from tests.site import LiveSite


def test_hours_to_quote_come_from_the_shops_own_history_with_no_signal(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone
) -> None:
    a_history(shop.shop_id)
    a_history(shop.shop_id, operation="belt change", minutes=[20, 30])
    quote = work.a_draft(shop, work.a_job(shop))
    phone = new_phone(live_site.base_url)
    phone.sign_in(OWNER)
    phone.keep_app()
    phone.all_sent()
    phone.context.set_offline(True)
    phone.page.evaluate(
        "path => { history.pushState(null, '', path); dispatchEvent(new PopStateEvent('popstate')) }",
        f"/quotes/{quote}/add/labor",
    )
    phone.press("carburetor clean")
    # Nine jobs of 30 to 120 minutes, the middle one 60: the first and the last hold 8 of 10.
    phone.says("Usually 1 h")
    phone.says("Filled in from your finished jobs: carburetor clean")
    phone.says("0.5 to 2 h in 8 of 10")
    phone.says("9 jobs on this kind of machine")
    phone.fill("Hours", "3")
    phone.press("Take 1 h")
    expect(phone.page.get_by_label("Hours", exact=True)).to_have_value("1")
    phone.fill("Name of the work", "Belt change")
    phone.says("Too few to say between what and what: 2 jobs")
    phone.fill("Name of the work", "Never done")
    phone.says("No finished job has hours under this name yet")
    assert phone.faults == []
