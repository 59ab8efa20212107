"""A new job with the keyboard alone."""

from playwright.sync_api import Page, expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from tests.browser.conftest import MECHANIC, NewPhone
from tests.site import LiveSite

MOST_TABS = 40
# The name of what has the focus; whether it can be seen to have it; whether a bar lies over it.
FOCUSED = """() => {
    const at = document.activeElement
    const label = at.labels?.[0]?.textContent ?? at.getAttribute('aria-label') ?? at.textContent
    const ring = [at, at.closest('.field'), at.closest('.option')].some(
        (each) => each && getComputedStyle(each).outlineStyle !== 'none',
    )
    const { left, top, width, height } = at.getBoundingClientRect()
    const seen = document.elementFromPoint(left + width / 2, top + Math.min(height, 40) / 2)
    const clear = at.contains(seen) || at.closest('.field')?.contains(seen) === true
    return { words: label.trim(), ring, clear, heading: at.matches('h1, body') }
}"""


def test_new_job_needs_no_pointer(live_site: LiveSite, shop: Actor, new_phone: NewPhone) -> None:
    phone = new_phone(live_site.base_url, has_touch=False, is_mobile=False)
    page = phone.page
    phone.open()
    _tab_to(page, "Email")
    page.keyboard.type(MECHANIC)
    _tab_to(page, "Password")
    page.keyboard.type("drawbar-demo")
    page.keyboard.press("Enter")
    phone.wait_until_sent()

    _tab_to(page, "New")
    page.keyboard.press("Enter")
    phone.expect_heading("New job")
    for label, words in (
        ("Customer’s name or phone", "Wim Aarden"),
        ("Phone", "555 014 4242"),
        ("Type of machine", "mower"),
        ("Make", "Hartvale"),
        ("Model", "M 20"),
        ("In the customer’s words", "Stops when it is hot"),
    ):
        _tab_to(page, label)
        page.keyboard.type(words)
    _tab_to(page, "Open the job")
    page.keyboard.press("Enter")
    phone.expect_heading("Wim Aarden")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        job = Job.objects.get()
        assert (job.customer.name, job.machine.make, job.machine.model) == ("Wim Aarden", "Hartvale", "M 20")


def test_refused_form_puts_the_focus_on_what_is_missing(live_site: LiveSite, shop: Actor, new_phone: NewPhone) -> None:
    phone = new_phone(live_site.base_url)
    phone.sign_in(MECHANIC)
    phone.open("/new-job")
    phone.fill("Customer’s name or phone", "Wim Aarden")
    phone.press("Open the job")
    expect(phone.page.get_by_label("Type of machine", exact=True)).to_be_focused()
    phone.expect_text("Pick the machine, or enter what it is")
    phone.page.reload()
    expect(phone.page.get_by_label("Customer’s name or phone", exact=True)).to_have_value("Wim Aarden")


def _tab_to(page: Page, words: str) -> None:
    """Tab until this has the focus; on the way the focus must be in sight and uncovered each time."""
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        focused = page.evaluate(FOCUSED)
        # Tab leads to no heading: the app has put the focus there itself, as the screen was drawn.
        if focused["heading"]:
            continue
        assert focused["ring"], f"{focused['words']}: the focus is not to be seen"
        assert focused["clear"], f"{focused['words']}: something lies over the focus"
        if focused["words"].startswith(words):
            return
    raise AssertionError(f"{words} is not reached with Tab")
