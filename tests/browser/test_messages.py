"""Follow-ups, messages sent with the phone's own apps, and a push notification in a real browser."""

import json
from datetime import timedelta
from urllib.parse import unquote

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.clock import today
from shopapi.core.tenancy import in_shop
from shopapi.notices.models import Notice, NoticeTemplate
from shopapi.reminders.models import FollowUp
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.phone import Phone
from tests.factories.work import a_customer, a_job, a_request, an_offer, path_of
from tests.site import LiveSite


def test_follow_up_is_dropped_and_reopened_and_a_message_recorded_offline(
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
            due_on=today("America/Boise") - timedelta(days=1),
            facts={"job": "J-1001", "machine": "tiller", "customer": "Winnie Stroud", "on": "2026-05-01"},
        )
    phone = new_phone(live_site.base_url)
    phone.open()
    phone.sign_in(OWNER)
    phone.list_item("no progress").click()
    phone.expect_text("No progress on J-1001, tiller of Winnie Stroud")
    assert (
        phone.page.get_by_role("link", name="Call Winnie Stroud", exact=True).get_attribute("href") == "tel:5550142210"
    )
    phone.context.set_offline(True)
    begin_outside(phone, "Message", "sms:5550142210?body=")
    phone.press("Yes, sent")
    phone.press("Dismiss")
    expect(phone.page.get_by_text("No progress")).to_have_count(0)
    phone.press("Undo")
    phone.list_item("no progress").click()
    phone.press("Remind me in a week")
    expect(phone.page.get_by_text("No progress")).to_have_count(0)
    phone.open(f"/customers/{customer}")
    begin_outside(phone, "Text message from this phone", "sms:5550142210?body=")
    phone.press("I sent it")
    phone.expect_text("Sent")
    phone.context.set_offline(False)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        row.refresh_from_db()
        assert (row.state, row.until) == ("open", today("America/Boise") + timedelta(days=7))
        from_today, from_customer = Notice.objects.order_by("id")
        for notice, about in ((from_today, job), (from_customer, customer)):
            assert (notice.state, notice.address, notice.about_id) == ("sent", "+15550142210", about)


def begin_outside(phone: Phone, words: str, address: str) -> None:
    """Press a link into a program of the phone; that takes over there, and this browser has none."""
    link = phone.page.get_by_role("link", name=words)
    assert (link.get_attribute("href") or "").startswith(address)
    link.evaluate("link => { link.addEventListener('click', event => event.preventDefault()); link.click() }")


def test_message_template_is_edited_and_reset_offline(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(OWNER)
    phone.open("/messages")
    phone.press("Message wording")
    phone.expect_text("A machine is ready")
    found = accessibility_violations(phone.page, "words of the messages")
    phone.page.locator("a[href='/wordings/machine_ready/sms']").click()
    phone.expect_heading("A machine is ready")
    phone.context.set_offline(True)
    phone.fill("Message", "Come and fetch {machne}. ")
    phone.press("Save")
    phone.expect_text("“{machne}” can’t be used in this message")
    found += accessibility_violations(phone.page, "a wording with a wrong field")
    phone.fill("Message", "Come and fetch your . We are open.")
    phone.page.get_by_label("Message", exact=True).evaluate("box => box.setSelectionRange(20, 20)")
    phone.press("Machine", exact=True)
    phone.press("Shop name")
    phone.expect_text("Come and fetch your garden tractorKettle Ford Small Engine. We are open.")
    phone.fill("Message", "Come and fetch your {machine}. {shop}")
    phone.press("Save")
    phone.expect_text("Saved. The next message uses it.")
    own = phone.list_item("Come and fetch your garden tractor. Kettle Ford Small Engine")
    expect(own).to_contain_text("Your wording")
    own.click()
    phone.press("Restore original")
    expect(phone.page.get_by_text("Your wording")).to_have_count(0)
    phone.press("Undo")
    expect(own).to_contain_text("Your wording")
    phone.context.set_offline(False)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        template = NoticeTemplate.objects.get()
    assert (template.key, template.channel) == ("machine_ready", "sms")
    assert template.body == "Come and fetch your {machine}. {shop}"
    assert found == []


def test_request_is_sent_by_hand_from_the_log_online(live_site: LiveSite, shop: Actor, new_phone: NewPhone) -> None:
    job = a_job(shop)
    link = a_request(shop, an_offer(shop, job), channel="sms", address="(555) 014-2210", name="Winnie Stroud")
    phone = new_phone(live_site.base_url)
    phone.sign_in(OWNER)
    phone.open(f"/jobs/{job}")
    phone.expect_text("You send it")
    # The secret link is named, and stands nowhere.
    phone.expect_text("Please answer here: (link)")
    secret = path_of(shop, link)
    assert secret not in phone.page.content()
    went: list[str] = []
    cdp = phone.context.new_cdp_session(phone.page)
    cdp.on("Page.frameRequestedNavigation", lambda event: went.append(event["url"]))
    cdp.send("Page.enable")
    write = phone.page.get_by_role("button", name="Text message from this phone")
    phone.context.set_offline(True)
    write.click()
    phone.expect_text("No signal. The link needs signal")
    assert went == []
    phone.context.set_offline(False)
    with phone.page.expect_response("**/api/v1/notices/*/text"):
        write.click()
    expect(phone.page.get_by_text("Getting the link")).to_have_count(0)
    assert len(went) == 1
    assert went[0].startswith("sms:+15550142210?body=")
    assert secret in unquote(went[0])
    phone.press("I sent it")
    phone.expect_text("Noted as sent")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert Notice.objects.get().state == "sent"


SHOWN = """async () => {
    const worker = await navigator.serviceWorker.ready
    const [shown] = await worker.getNotifications()
    return shown && [shown.title, shown.body, shown.data]
}"""


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
        lambda event: found.extend(one["registrationId"] for one in event["registrations"]),
    )
    cdp.send("ServiceWorker.enable")
    for _ in range(300):
        if found:
            break
        phone.page.wait_for_timeout(100)
    payload = {"title": "Your clock still runs", "body": "Since 8:05", "tag": "t", "about_kind": "time_entry"}
    shown = None
    # A message delivered while Chromium starts the worker may be lost; the tag keeps repetitions one notification.
    for tries in range(300):
        if tries % 30 == 0:
            message = {"origin": live_site.base_url, "registrationId": found[-1], "data": json.dumps(payload)}
            cdp.send("ServiceWorker.deliverPushMessage", message)
        shown = phone.page.evaluate(SHOWN)
        if shown:
            break
        phone.page.wait_for_timeout(100)
    assert shown == ["Your clock still runs", "Since 8:05", "/my-time"]
