"""Calculators without a signal: from the job in three presses, and what was typed is still there after a restart."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite


def test_calculators_work_without_a_signal_and_keep_what_was_typed(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    phone = new_phone(proxy.url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.open_job(customer="Odell Varga", phone="", kind="tiller", make="", model="", words="Will not turn")
    phone.wait_until_sent()
    phone.wait_for_offline_app()
    proxy.refuse()

    # Three presses from the job.
    phone.press("Bench")
    phone.press("Calculators")
    phone.press("Fastener torque check")
    phone.page.get_by_label("Thread").select_option("M8x1.25")
    phone.page.get_by_label("Unit: Torque").select_option("lbf.in")
    phone.fill("Torque", "25")
    result = phone.page.locator(".calculation")
    expect(result).to_contain_text("Too low")
    phone.expect_text("25 N·m would fit")
    phone.page.get_by_label("Unit: Torque").select_option("N.m")
    expect(result).to_contain_text("Plausible")
    # The grades are those of the thread.
    phone.page.get_by_label("Thread").select_option("3/8-16")
    grades = phone.page.get_by_label("Grade on the head").locator("option")
    expect(grades).to_have_text(["Grade 2", "Grade 5", "Grade 8"])
    assert accessibility_violations(phone.page, "fastener torque") == []

    phone.page.reload()
    expect(phone.page.get_by_label("Torque", exact=True)).to_have_value("25")

    phone.press("Back")
    phone.press("Units")
    phone.page.get_by_label("Unit: Value").select_option("lbf.ft")
    phone.fill("Value", "7.5")
    expect(result.locator(".main-figure")).to_have_text("10.17N·m")
    expect(result).to_contain_text("lbf·in90")
    phone.fill("Value", "seven")
    phone.expect_text("Enter a plain number, such as 12.5")
    phone.press("Clear")
    expect(phone.page.get_by_label("Value", exact=True)).to_have_value("")
    phone.press("Undo")
    expect(phone.page.get_by_label("Value", exact=True)).to_have_value("seven")

    # Back from a calculator that was opened on a job leads to that job's bench.
    phone.press("Back")
    phone.press("Back")
    phone.expect_heading("Bench")


def test_a_result_becomes_the_figure_of_a_reading(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone
) -> None:
    phone = new_phone(proxy.url)
    phone.sign_in(MECHANIC)
    phone.open_job(customer="Odell Varga", phone="", kind="tiller", make="", model="", words="Will not turn")
    phone.wait_until_sent()
    phone.wait_for_offline_app()
    proxy.refuse()
    phone.press("Bench")
    phone.press("Measure", exact=True)
    phone.fill("What you measure", "Cover bolts")
    phone.press("Calculate it")
    expect(phone.page.locator(".list-item", has_text="Two-stroke mix")).to_have_count(0)
    phone.press("Units")
    phone.page.get_by_label("Unit: Value").select_option("lbf.ft")
    phone.fill("Value", "7.5")
    phone.press("Use 10.17 N·m")
    expect(phone.page.get_by_label("Reading, N·m", exact=True)).to_have_value("10.17")
    expect(phone.page.get_by_label("What you measure", exact=True)).to_have_value("Cover bolts")
    phone.fill("Reading, N·m", "10.2")
    phone.page.reload()
    expect(phone.page.get_by_label("Reading, N·m", exact=True)).to_have_value("10.2")
