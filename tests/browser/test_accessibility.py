"""Every screen against axe-core: WCAG 2.2 A and AA, contrast 7:1, targets of 44 px, no horizontal scroll."""

from typing import Any

import pytest
from playwright.sync_api import FilePayload, expect

from shopapi.demo.scenario import Scenario
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.phone import Phone
from tests.browser.screens import NAVIGATE, screen_paths, shop_rows, show_screen, two_stops_today
from tests.files.sample_pictures import encode, sample_image
from tests.site import LiveSite

MODES: dict[str, dict[str, Any]] = {
    "light": {"color_scheme": "light"},
    "dark": {"color_scheme": "dark"},
    "tablet": {"color_scheme": "light", "width": 768},
    "tablet, dark": {"color_scheme": "dark", "width": 768},
    "double text": {"color_scheme": "light"},
    "320 px": {"color_scheme": "light", "width": 320},
    "forced colors": {"forced_colors": "active"},
}


def test_every_screen_is_accessible(
    live_site: LiveSite, demo_shop: Scenario, new_phone: NewPhone, axe_source: str
) -> None:
    two_stops_today()
    found = []
    for mode, options in MODES.items():
        phone = new_phone(live_site.base_url, **options)
        phone.context.add_init_script(axe_source)
        phone.open()
        found += accessibility_violations(phone.page, f"{mode}, sign in")
        phone.sign_in(OWNER)
        if mode == "double text":
            phone.open("/settings")
            phone.choose_option("Double")
        for path in _paths(phone):
            show_screen(phone, path)
            found += accessibility_violations(phone.page, f"{mode}, {path}")
        found += _picture_violations(phone, mode)
        found += _customer_mode_violations(phone, mode)
    assert found == []


# The places of the desk, as `ui/desk/places.ts` lists them.
DESK_PLACES = (
    *("/", "/jobs", "/quotes", "/road", "/customers", "/machines", "/stops", "/money", "/payments", "/orders"),
    *("/hours", "/week", "/catalog", "/more"),
)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_desk_is_accessible(
    live_site: LiveSite, demo_shop: Scenario, new_desk: NewPhone, axe_source: str, scheme: str
) -> None:
    desk = new_desk(live_site.base_url, color_scheme=scheme)
    desk.context.add_init_script(axe_source)
    desk.sign_in(OWNER)
    found = []
    for path in DESK_PLACES:
        desk.page.evaluate(NAVIGATE, path)
        expect(desk.page.locator(".desk-list h1")).to_be_attached()
        found += accessibility_violations(desk.page, path, least_px=24)
        row = desk.page.locator(".table tbody tr").first
        if row.count():
            row.locator("td").nth(2).click()
            expect(desk.page.locator(".desk-item h1")).to_be_visible()
            found += accessibility_violations(desk.page, f"{path}, open", least_px=24)
    assert found == []


def _paths(phone: Phone) -> list[str]:
    """Every screen; quotes also in their later states, and an address without a screen."""
    rows = shop_rows(phone)
    more = [f"/new-job?customer={rows['customer']}", f"/quotes/{rows['offered']}", f"/quotes/{rows['decided']}"]
    return [*(path for _, path in screen_paths(phone)), *more, "/nowhere"]


def _picture_violations(phone: Phone, mode: str) -> list[str]:
    """A machine's pictures, and one of them large."""
    show_screen(phone, f"/machines/{shop_rows(phone)['machine']}")
    picture: FilePayload = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": encode(sample_image(), "JPEG")}
    phone.page.get_by_label("Choose photos").set_input_files(picture)
    phone.expect_text("Photo saved on this phone")
    found = accessibility_violations(phone.page, f"{mode}, a machine's pictures")
    # The other phones' pictures stand in the list before this one, and no worker makes them: none can be seen.
    phone.page.locator(".thumbnail").filter(has=phone.page.locator("img")).last.click()
    expect(phone.page.locator(".picture img")).to_be_visible()
    return found + accessibility_violations(phone.page, f"{mode}, a picture")


def _customer_mode_violations(phone: Phone, mode: str) -> list[str]:
    """The customer's own screens, from the lines to the hand-back."""
    phone.open(f"/quotes/{shop_rows(phone)['offered']}")
    phone.press("Show the customer")
    phone.press("Yes to everything")
    found = accessibility_violations(phone.page, f"{mode}, the customer's lines")
    phone.press("Continue to sign")
    phone.expect_heading("Your name and signature")
    found += accessibility_violations(phone.page, f"{mode}, the customer's signature")
    phone.press("Back to the items")
    phone.press("Give the phone back without answering")
    phone.expect_heading("Thank you")
    return found + accessibility_violations(phone.page, f"{mode}, the hand-back")


# Grey of 5.7:1, which AA allows; two buttons of 30 px side by side, one without a name; content wider than the screen.
PLANT = """() => {
    const main = document.querySelector('main')
    const words = main.appendChild(document.createElement('p'))
    words.textContent = 'Grey words'
    words.style.color = '#666'
    for (const name of ['', 'Named']) {
        const key = main.appendChild(document.createElement('button'))
        key.style.cssText = 'width: 30px; height: 30px; border: 0; padding: 0'
        key.setAttribute('aria-label', name)
    }
    main.appendChild(document.createElement('div')).style.cssText = 'width: 500px; height: 1px'
}"""


def test_checker_finds_planted_faults(live_site: LiveSite, new_phone: NewPhone, axe_source: str) -> None:
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.open()
    # The page that is shown until the server has said who is signed in goes with what is planted in it.
    expect(phone.page.get_by_label("Email", exact=True)).to_be_visible()
    phone.page.evaluate(PLANT)
    found = {fault.split(": ")[1] for fault in accessibility_violations(phone.page, "planted")}
    assert found == {"color-contrast-enhanced", "target-size", "button-name", "scrolls horizontally"}


def test_reduced_motion_moves_nothing(live_site: LiveSite, new_phone: NewPhone) -> None:
    phone = new_phone(live_site.base_url, reduced_motion="reduce")
    phone.open()
    moving = phone.page.evaluate("() => getComputedStyle(document.querySelector('.toast')).animationName")
    assert moving == "none"
    expect(phone.page.get_by_label("Email")).to_be_visible()
