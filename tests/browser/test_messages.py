"""What is to be come back to, messages from the phone's own programs, and a push shown by a real browser."""

import json
from datetime import timedelta

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.tenancy import in_shop
from shopapi.notices.models import Notice
from shopapi.reminders.models import FollowUp
from tests.browser.conftest import OWNER, NewPhone
from tests.factories.work import a_customer, a_job
from tests.site import LiveSite


def test_a_follow_up_is_dropped_and_taken_back_and_a_message_noted_without_a_signal(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone
) -> None:
    customer = a_customer(shop)
    job = a_job(shop, customer_id=customer)
    with in_shop(shop.shop_id):
        row = FollowUp.objects.create(
            shop_id=shop.shop_id,
            kind="job_still",
            about_kind="job",
            about_id=job,
            job_id=job,
            customer_id=customer,
            due_on=now().date() - timedelta(days=1),
            facts={"job": "J-1001", "machine": "tiller", "owner": "Winnie Stroud", "on": "2026-05-01"},
        )
    phone = new_phone(live_site.base_url)
    phone.open()
    phone.sign_in(OWNER)
    phone.says("Nothing has moved on J-1001, tiller of Winnie Stroud")
    assert phone.page.get_by_role("link", name="Call").get_attribute("href") == "tel:5550142210"
    phone.context.set_offline(True)
    phone.press("Drop")
    expect(phone.page.get_by_text("Nothing has moved")).to_have_count(0)
    phone.press("Undo")
    phone.says("Nothing has moved")
    phone.press("In a week")
    expect(phone.page.get_by_text("Nothing has moved")).to_have_count(0)
    phone.open(f"/customers/{customer}")
    link = phone.page.get_by_role("link", name="Text message from this phone")
    assert (link.get_attribute("href") or "").startswith("sms:5550142210?body=")
    # The phone's own program takes over here; this browser has none.
    link.evaluate("link => { link.addEventListener('click', event => event.preventDefault()); link.click() }")
    phone.press("I sent it")
    phone.says("Sent")
    phone.context.set_offline(False)
    phone.all_sent()
    with in_shop(shop.shop_id):
        row.refresh_from_db()
        assert (row.state, row.until) == ("open", now().date() + timedelta(days=7))
        (notice,) = Notice.objects.all()
        assert (notice.state, notice.address, notice.about_id) == ("sent", "+15550142210", customer)


def test_a_push_is_shown_by_the_service_worker(live_site: LiveSite, shop: Actor, new_phone: NewPhone) -> None:
    """Chromium hands the message to our worker as its push service would (CDP ServiceWorker.deliverPushMessage)."""
    phone = new_phone(live_site.base_url)
    phone.context.grant_permissions(["notifications"], origin=live_site.base_url)
    phone.open()
    phone.sign_in(OWNER)
    phone.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    cdp = phone.context.new_cdp_session(phone.page)
    found: list[str] = []
    cdp.on(
        "ServiceWorker.workerRegistrationUpdated",
        lambda told: found.extend(one["registrationId"] for one in told["registrations"]),
    )
    cdp.send("ServiceWorker.enable")
    phone.page.wait_for_timeout(300)
    told = {"title": "Your clock still runs", "body": "Since 8:05", "tag": "t", "about_kind": "time_entry"}
    cdp.send(
        "ServiceWorker.deliverPushMessage",
        {"origin": live_site.base_url, "registrationId": found[0], "data": json.dumps(told)},
    )
    shown = phone.page.wait_for_function(
        "navigator.serviceWorker.ready.then(r => r.getNotifications())"
        ".then(all => all[0] && [all[0].title, all[0].body, all[0].data])"
    )
    assert shown.json_value() == ["Your clock still runs", "Since 8:05", "/my-time"]
