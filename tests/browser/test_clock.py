"""The clock on real phones: a cut network and a killed browser, and two phones of one member that disagree."""

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, BrowserType, Request, ViewportSize, expect

from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.tenancy import in_shop
from shopapi.labor.models import TimeEntry
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.factories import work
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite

CONTROLLED = "() => navigator.serviceWorker.controller !== null"


@pytest.fixture
def switch_on(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], tmp_path: Path
) -> Callable[[], BrowserContext]:
    """Starts a separate browser with its storage from the last run."""
    size: ViewportSize = {"width": 360, "height": 740}
    return lambda: browser_type.launch_persistent_context(
        tmp_path, **browser_type_launch_args, viewport=size, locale="en-US"
    )


def test_a_clock_survives_a_cut_network_and_a_killed_browser(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, switch_on: Callable[[], BrowserContext]
) -> None:
    phone = Phone(switch_on(), proxy.url)
    phone.sign_in(MECHANIC)
    _open_job(phone)
    phone.wait_until_sent()
    phone.page.reload()
    phone.page.wait_for_function(CONTROLLED)

    proxy.refuse()
    phone.press("Start the clock")
    phone.expect_text("Clock running: Diagnosis")
    phone.press("Undo")
    expect(phone.page.get_by_role("button", name="Start the clock")).to_be_visible()
    phone.press("Start the clock")
    expect(phone.page.get_by_label("Clock of this job", exact=True)).to_contain_text("0:00")
    # The whole browser goes, as when the battery does.
    phone.close()

    phone = Phone(switch_on(), proxy.url)
    phone.open()
    expect(phone.page.get_by_label("Clock", exact=True)).to_contain_text("Diagnosis")
    phone.press("Something else")
    phone.press("Errand")
    phone.expect_text("Clock running: Errand")
    phone.press("Stop", exact=True)
    expect(phone.page.get_by_role("button", name="Start the clock")).to_be_visible()
    with in_shop(shop.shop_id):
        assert not TimeEntry.objects.exists()

    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        found = TimeEntry.objects.order_by("started_at").values_list("kind", "state")
        assert list(found) == [("diagnosis", "replaced"), ("diagnosis", "closed"), ("errand", "closed")]
    phone.close()


def test_two_phones_of_one_member_disagree_and_the_member_settles_it(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone_of_each: NewPhone, axe_source: str
) -> None:
    first, second = new_phone_of_each(live_site.base_url), new_phone_of_each(proxy.url)
    for phone in (first, second):
        phone.context.add_init_script(axe_source)
    first.sign_in(MECHANIC)
    _open_job(first)
    first.wait_until_sent()
    second.sign_in(MECHANIC)
    second.list_item("June Castellan").click()
    # Its code has come.
    expect(second.page.get_by_role("button", name="Start the clock")).to_be_visible()

    proxy.refuse()
    second.press("Start the clock")
    second.expect_text("Clock running: Diagnosis")
    first.press("Something else on this job")
    first.press("Repair")
    first.expect_text("Clock running: Repair")
    first.wait_until_sent()
    proxy.open()
    second.page.evaluate("dispatchEvent(new Event('online'))")
    expect(second.queue_status()).to_have_text("1 needs you")
    second.expect_text("Two of your clocks are running")
    assert accessibility_violations(second.page, "two clocks") == []

    second.open("/queue")
    second.list_item("Clock started").click()
    second.expect_heading("Which one is right?")
    expect(second.page.locator(".comparison h2")).to_have_text(["Clocked on this phone", "Clocked on another phone"])
    assert accessibility_violations(second.page, "settle") == []
    second.press("Keep this one: Repair")
    second.expect_heading("My time")
    second.wait_until_sent()
    with in_shop(shop.shop_id):
        found = TimeEntry.objects.order_by("started_at").values_list("kind", "state")
        assert list(found) == [("diagnosis", "replaced"), ("repair", "open")]


def test_forgotten_clock_opens_a_review_and_is_corrected(live_site: LiveSite, shop: Actor, new_phone: NewPhone) -> None:
    started_at = now() - timedelta(hours=11)
    work.a_clock(shop, None, kind="errand", started_at=started_at)
    phone = new_phone(live_site.base_url)
    phone.sign_in(OWNER)
    phone.expect_text("Running for more than 10 hours")
    phone.press("I stopped at …")
    phone.expect_heading("When did you stop?")
    phone.press("Save")
    phone.expect_text("Enter a date and a time")
    began = phone.page.get_by_label("Start time", exact=True).input_value()
    phone.fill("I stopped at", began)
    phone.press("Save")
    phone.expect_text("This ends before it starts")
    day = phone.page.get_by_label("Start date", exact=True).input_value()
    later = datetime.fromisoformat(f"{day}T{began}") + timedelta(minutes=95)
    phone.fill("I stopped at", f"{later:%H:%M}")
    phone.fill("End date", f"{later:%Y-%m-%d}")
    phone.press("Save")
    phone.expect_heading("My time")
    phone.expect_text("Corrected: Forgot to stop the clock")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        old, new = TimeEntry.objects.order_by("created_at")
        assert (old.state, new.state, new.corrects_id) == ("replaced", "closed", old.id)
        assert new.device_started_at == started_at
        assert new.ended_at is not None
        # The beginning keeps its seconds, the end was typed to the minute.
        assert timedelta(minutes=94) < new.ended_at - started_at <= timedelta(minutes=95)


def test_owner_corrects_another_members_time(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(OWNER)
    phone.open("/my-time")
    phone.page.get_by_label("Whose time").select_option("Bram Aldous")
    phone.expect_heading("Time: Bram Aldous")
    phone.press("Add time")
    phone.expect_heading("Add time")
    phone.page.get_by_label("Type").select_option("Shop time")
    phone.fill("Why the clock wasn’t running", "Phone at home")
    phone.press("Save")
    phone.expect_heading("Time: Bram Aldous")
    assert accessibility_violations(phone.page, "time of another") == []
    phone.list_item("Phone at home").first.click()
    phone.expect_heading("Correct time")
    phone.page.get_by_label("Type").select_option("Errand")
    phone.fill("Reason for the change", "Fetched belts")
    phone.press("Save")
    phone.expect_heading("Time: Bram Aldous")
    phone.expect_text("Corrected: Fetched belts")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        found = TimeEntry.objects.order_by("created_at").values_list("member__name", "kind", "state")
        assert list(found) == [("Bram Aldous", "shop", "replaced"), ("Bram Aldous", "errand", "closed")]


def _open_job(phone: Phone) -> None:
    phone.open_job(
        customer="June Castellan",
        phone="555 014 7070",
        kind="zero-turn mower",
        make="Bexmoor",
        model="ZT 54",
        words="Pulls to the right",
    )


def test_a_push_carries_exchanges_measured_by_the_clocks_of_its_page(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone
) -> None:
    """The worker measures, the page stamps: both by one monotonic clock, so that the server can join the two."""
    phone = new_phone(live_site.base_url)
    pushes: list[dict[str, Any]] = []

    def note(asked: Request) -> None:
        if asked.url.endswith("/sync/push") and asked.post_data_json:
            pushes.append(asked.post_data_json)

    phone.page.context.on("request", note)
    phone.sign_in(MECHANIC)
    phone.press("Something else")
    phone.press("Errand")
    phone.expect_text("Clock running: Errand")
    phone.wait_until_sent()
    push = next(one for one in pushes if any(made["name"] == "start_clock" for made in one["commands"]))
    (made,) = (made for made in push["commands"] if made["name"] == "start_clock")
    last = push["contacts"][-1]
    assert last["session"] == made["session"]
    wall, met = (datetime.fromisoformat(each["wall"]) for each in (made, last))
    by_wall, by_mono = (met - wall) / timedelta(milliseconds=1), last["mono_ms"] - made["mono_ms"]
    assert abs(by_wall - by_mono) < 500
    # Browser and server share this machine's clock.
    off = abs(datetime.fromisoformat(last["server"]) - met) / timedelta(milliseconds=1)
    assert off <= last["within_ms"] + 5
