"""What the server will not take stays in sight, in plain words, with what can be done about it."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from tests.browser.axe import faults
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.line import Line
from tests.site import LiveSite


def test_refused_change_is_told_tried_again_let_go_and_brought_back(
    live_site: LiveSite, line: Line, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    office, van = new_phone(live_site.base_url), new_phone(line.url)
    van.context.add_init_script(axe_source)
    office.sign_in(OWNER)
    office.take_in(
        owner="Odell Varga", phone="555 014 8080", kind="tiller", make="Fenlark", model="T5", words="Will not turn"
    )
    office.all_sent()
    van.sign_in(MECHANIC)
    van.row("Odell Varga").click()
    van.heading("Odell Varga")
    line.refuse()
    _move(van, "Repair")
    _move(office, "Cancelled")
    office.all_sent()
    line.open()
    van.page.evaluate("dispatchEvent(new Event('online'))")

    expect(van.queue_line()).to_have_text("1 thing needs you")
    van.queue_line().click()
    van.heading("To send")
    refused = van.page.get_by_role("region", name="Not taken")
    expect(refused.locator(".row")).to_contain_text("Stage changed")
    expect(refused.locator(".row")).to_contain_text("Because:")
    assert faults(van.page, "a refused change") == []
    van.press("Try again")
    expect(van.queue_line()).to_have_text("1 thing needs you")
    van.press("Let it go")
    van.all_sent()
    van.press("Bring it back")
    expect(van.queue_line()).to_have_text("1 thing needs you")
    van.press("Let it go")
    van.all_sent()
    van.open()
    van.says("No open jobs")


def _move(phone: Phone, stage: str) -> None:
    phone.press("Change stage")
    phone.heading("Change stage")
    phone.press(stage)
    phone.heading("Odell Varga")
