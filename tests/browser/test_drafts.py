"""Unfinished forms survive a killed browser and are listed on the Today screen."""

import re
import time

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC
from tests.browser.handset import Handset
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite

WORDS = "Belt frayed at the idler"


def test_form_draft_survives_a_killed_browser_and_is_discarded_or_saved(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, handset: Handset, axe_source: str
) -> None:
    phone = handset.start(proxy.url)
    phone.sign_in(MECHANIC)
    phone.open_job(customer="Odell Varga", phone="", kind="tiller", make="", model="", words="Will not turn")
    phone.wait_until_sent()
    phone.wait_for_offline_app()
    proxy.refuse()
    phone.press("Add a finding")
    phone.fill("What you found", WORDS)
    # What was typed is written down within a second.
    time.sleep(1)
    handset.kill()

    phone = handset.start(proxy.url)
    phone.context.add_init_script(axe_source)
    phone.open()
    begun = phone.page.get_by_role("region", name="1 unfinished").locator(".list-item")
    expect(begun).to_contain_text(re.compile(r"Finding, \d?\d:\d\d [AP]MOdell Varga"))
    assert accessibility_violations(phone.page, "an unfinished form") == []
    phone.press("Discard")
    expect(phone.page.get_by_text("1 unfinished")).to_have_count(0)
    phone.press("Undo")
    begun.click()
    expect(phone.page.get_by_label("What you found", exact=True)).to_have_value(WORDS)
    phone.choose_option("Needed")
    phone.press("Save finding")
    phone.expect_heading("Odell Varga")
    phone.expect_text(WORDS)
    phone.open()
    expect(phone.page.get_by_text("1 unfinished")).to_have_count(0)


def test_sign_out_warns_of_an_unfinished_form_and_clears_it(live_site: LiveSite, shop: Actor, handset: Handset) -> None:
    phone = handset.start(live_site.base_url)
    phone.sign_in(MECHANIC)
    phone.press("New", exact=True)
    phone.fill("Customer’s name or phone", "Odell Varga")
    phone.open("/settings")
    phone.press("Sign out")
    phone.expect_text("1 form is not finished")
    phone.press("Sign out anyway")
    phone.expect_heading("Sign in")
    phone.sign_in(MECHANIC)
    expect(phone.page.get_by_text("1 unfinished")).to_have_count(0)
    phone.press("New", exact=True)
    expect(phone.page.get_by_label("Customer’s name or phone", exact=True)).to_have_value("")
