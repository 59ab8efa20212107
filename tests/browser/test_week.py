"""The week of who works on what at the desk: days by keys, a day's entries beside, doubtful time in words."""

import re
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from playwright.sync_api import expect

from shopapi.core import clock
from shopapi.core.actor import Actor
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import OWNER, NewPhone
from tests.factories import work
from tests.factories.hours import an_entry
from tests.site import LiveSite

ZONE = "America/Boise"


def test_a_week_by_keys_with_a_running_clock_and_time_to_sort_out(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    today = clock.today(ZONE)
    first = today - timedelta(days=today.weekday())

    def at(hour: int, minute: int = 0) -> datetime:
        return datetime(first.year, first.month, first.day, hour, minute, tzinfo=ZoneInfo(ZONE)) - timedelta(days=7)

    job = work.a_job(shop, customer_id=work.a_customer(shop, name="Quill"))
    an_entry(shop, at(8), at(10, 30), job=job, kind="repair")
    an_entry(shop, at(10, 30), at(11), kind="travel")
    an_entry(shop, at(13), at(14), job=job, kind="repair", state="disputed")
    an_entry(shop, at(13, 30), at(14, 30), kind="shop", state="disputed")
    an_entry(shop, clock.now() - timedelta(minutes=1), None, kind="shop")
    for scheme in ("light", "dark"):
        desk = new_phone(live_site.base_url, is_mobile=False, has_touch=False, color_scheme=scheme)
        desk.page.set_viewport_size({"width": 1280, "height": 800})
        desk.context.add_init_script(axe_source)
        desk.sign_in(OWNER)
        desk.open("/week")
        expect(desk.page.locator(".week-day").filter(has_text="so far")).to_have_count(1)
        expect(desk.page.get_by_text("Repair")).to_have_count(0)
        desk.page.keyboard.press("[")
        monday = desk.page.locator(".week-day").first
        # 2.5 h of repair and half an hour of driving; what is in dispute is in no sum.
        day = first - timedelta(days=7)
        said = (
            f"3:00, 2 entries to sort out, Ines Okafor, {day:%a, %b} {day.day}, Repair J-\\d+ Quill 2:30, Travel 0:30"
        )
        expect(monday).to_have_accessible_name(re.compile(f"^{said}$"))
        expect(desk.page.get_by_text("Two clocks ran at once: Repair")).to_have_count(1)
        desk.page.locator(".week-day[aria-pressed=true]").focus()
        expect(desk.page.locator(".desk-keys")).to_contain_text("person below")
        for key in ("ArrowRight", "ArrowRight", "ArrowLeft", "ArrowLeft"):
            desk.page.keyboard.press(key)
        expect(monday).to_be_focused()
        assert accessibility_violations(desk.page, f"week, {scheme}", least_px=24) == []
        desk.page.keyboard.press("Enter")
        entries = desk.page.locator("section[aria-labelledby=week-day]")
        expect(entries.get_by_role("heading")).to_be_focused()
        expect(entries.get_by_role("link", name="8:00 AM – 10:30 AM")).to_have_count(1)
        entries.get_by_role("link", name="1:00 PM – 2:00 PM").click()
        expect(desk.page.get_by_role("region", name="Open item").get_by_role("heading", level=1)).to_be_visible()
        desk.page.keyboard.press("Escape")
        desk.page.keyboard.press("ArrowDown")
        assert desk.page_errors == []
