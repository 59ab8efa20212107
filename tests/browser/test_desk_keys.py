"""The desk by keyboard alone: places, lists, items, acts, search, the list of keys, and what is printed."""

from playwright.sync_api import Page, ViewportSize, expect

from shopapi.demo.scenario import Scenario
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.phone import Phone
from tests.site import LiveSite

DESK: ViewportSize = {"width": 1280, "height": 800}
LEAST_PX = 24
FOCUS = "() => document.activeElement.textContent.trim()"


def test_office_works_by_keyboard_alone(live_site: LiveSite, demo_shop: Scenario, new_phone: NewPhone) -> None:
    desk = _desk_by_keyboard(new_phone, live_site)
    page, keys = desk.page, desk.page.keyboard
    expect(page.get_by_role("heading", name="On customers")).to_be_visible()

    # A place, a row, its item, and back to the row.
    keys.press("g")
    expect(page.get_by_role("contentinfo")).to_contain_text("Go to Jobs")
    keys.press("j")
    row = page.locator("tr:focus")
    # The first row; the first of the grid is its head.
    expect(row).to_have_attribute("aria-rowindex", "2")
    keys.press("j")
    keys.press("ArrowDown")
    keys.press("k")
    keys.press("ArrowDown")
    expect(row).to_have_attribute("aria-rowindex", "4")
    # A job that is worked on: its clock has a key.
    for at in range(5, 25):
        if "Repair" in row.inner_text():
            break
        keys.press("ArrowDown")
        expect(row).to_have_attribute("aria-rowindex", str(at))
    customer = row.locator("td").nth(2).inner_text()
    keys.press("Enter")
    heading = page.locator(".desk-item").get_by_role("heading", level=1, name=customer)
    expect(heading).to_be_focused()
    # An act of the item by its key, undone by key.
    keys.press("c")
    expect(page.get_by_role("button", name="Undo")).to_be_visible()
    expect(page.locator(".desk-top .running-time")).to_be_visible()
    keys.press("u")
    expect(page.locator(".desk-top .running-time")).to_have_count(0)
    keys.press("Escape")
    expect(page.locator(".desk-item")).to_contain_text("Nothing open")
    expect(row).to_contain_text(customer)

    # The list of keys says what works here, and gives the focus back.
    keys.press("?")
    listed = page.get_by_role("dialog", name="All keys")
    expect(listed).to_contain_text("Go to Customers")
    expect(listed.get_by_role("region", name="In a list")).to_contain_text("Move down")
    keys.press("g")
    keys.press("t")
    expect(listed).to_be_visible()
    keys.press("Escape")
    expect(listed).to_have_count(0)
    expect(row).to_contain_text(customer)
    assert desk.page_errors == []


def test_search_finds_rows_and_acts_without_a_signal(
    live_site: LiveSite, demo_shop: Scenario, new_phone: NewPhone
) -> None:
    desk = _desk_by_keyboard(new_phone, live_site)
    page, keys = desk.page, desk.page.keyboard
    desk.context.set_offline(True)
    keys.press("/")
    field = page.get_by_role("combobox")
    expect(field).to_be_focused()
    keys.type("stroud")
    first = page.get_by_role("option").first
    expect(first).to_contain_text("Harrow Lane Orchards")
    expect(first).to_contain_text("contact: Winnie Stroud")
    expect(first.locator("mark")).to_have_text("Stroud")
    expect(first).to_have_attribute("aria-selected", "true")
    keys.press("ArrowDown")
    expect(page.get_by_role("option", selected=True)).to_contain_text("J-")
    keys.press("ArrowUp")
    keys.press("Enter")
    expect(page.locator(".desk-item").get_by_role("heading", level=1)).to_be_focused()
    assert page.evaluate(FOCUS) == "Harrow Lane Orchards"

    # What can be done is found beside rows, with its key; Esc gives the focus back.
    keys.press("/")
    expect(page.get_by_role("option", name="stroud")).to_be_visible()
    expect(page.get_by_role("combobox")).to_be_focused()
    keys.type("add a mach")
    expect(page.get_by_role("option").first).to_have_text("Add a machine A")
    keys.press("Escape")
    assert page.evaluate(FOCUS) == "Harrow Lane Orchards"
    keys.press("/")
    expect(page.get_by_role("combobox")).to_be_focused()
    keys.type("add a mach")
    expect(page.get_by_role("option").first).to_have_text("Add a machine A")
    keys.press("Enter")
    page.wait_for_url("**/machine")
    expect(page.locator(".desk-item").get_by_role("heading", level=1)).to_be_focused()
    assert desk.page_errors == []


def test_single_keys_can_be_turned_off(live_site: LiveSite, demo_shop: Scenario, new_phone: NewPhone) -> None:
    desk = _desk_by_keyboard(new_phone, live_site)
    page, keys = desk.page, desk.page.keyboard
    page.goto(f"{live_site.base_url}/settings")
    group = page.get_by_role("group", name="Single-key shortcuts")
    group.get_by_label("Off").check()
    page.locator(".desk-item h1").focus()
    keys.press("/")
    keys.press("?")
    expect(page.get_by_role("dialog")).to_have_count(0)
    group.get_by_label("On").check()
    page.locator(".desk-item h1").focus()
    keys.press("/")
    expect(page.get_by_role("combobox")).to_be_focused()


def test_today_search_and_keys_are_accessible(
    live_site: LiveSite, demo_shop: Scenario, new_phone: NewPhone, axe_source: str
) -> None:
    found = []
    for scheme in ("light", "dark"):
        desk = _desk(new_phone, color_scheme=scheme, url=live_site.base_url)
        page = desk.page
        page.add_init_script(axe_source)
        desk.sign_in(OWNER)
        expect(page.get_by_role("heading", name="On customers")).to_be_visible()
        found += accessibility_violations(page, f"today, {scheme}", least_px=LEAST_PX)
        page.keyboard.press("?")
        expect(page.get_by_role("dialog", name="All keys")).to_be_visible()
        found += accessibility_violations(page, f"keys, {scheme}", least_px=LEAST_PX)
        page.keyboard.press("Escape")
        page.keyboard.press("/")
        page.keyboard.type("stroud")
        expect(page.get_by_role("option").first).to_be_visible()
        found += accessibility_violations(page, f"search, {scheme}", least_px=LEAST_PX)
    assert found == []


def test_paper_has_what_is_read_and_no_controls(live_site: LiveSite, demo_shop: Scenario, new_phone: NewPhone) -> None:
    desk = _desk(new_phone, color_scheme="dark", url=live_site.base_url)
    page = desk.page
    desk.sign_in(OWNER)
    expect(page.get_by_role("heading", name="On customers")).to_be_visible()
    printed = {"today": _printed(page)}
    page.keyboard.press("/")
    page.keyboard.type("J-1068")
    page.keyboard.press("Enter")
    heading = page.locator(".desk-item").get_by_role("heading", level=1)
    expect(heading).to_be_focused()
    printed["job"] = _printed(page)
    page.keyboard.press("q")
    expect(page.locator(".desk-item").get_by_text("Total with tax").first).to_be_visible()
    printed["quote"] = _printed(page)
    for where, (words, controls, background) in printed.items():
        assert controls == [], where
        assert background == "rgb(255, 255, 255)", where
        assert "Nothing open" not in words, where
    assert "On us" in printed["today"][0]
    assert "Greenmere Golf & Bowls" in printed["job"][0]
    assert "On us" not in printed["job"][0]
    assert "Total with tax" in printed["quote"][0]


def _printed(page: Page) -> tuple[str, list[str], str]:
    """The text on paper, the controls that are on it, and its background."""
    page.emulate_media(media="print")
    # The width of a sheet: what is printed stays the desk, though paper is narrow.
    page.set_viewport_size({"width": 720, "height": 960})
    words = page.evaluate("document.body.innerText")
    controls = page.evaluate(
        """[...document.querySelectorAll('button, .button, input, select, kbd, nav, footer')]
            .filter((each) => each.checkVisibility() && each.innerText.trim() !== '')
            .map((each) => each.outerHTML.slice(0, 120))"""
    )
    background = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    page.set_viewport_size(DESK)
    page.emulate_media(media="screen")
    return words, controls, background


def _desk(new_phone: NewPhone, *, url: str, **options: str) -> Phone:
    desk = new_phone(url, has_touch=False, is_mobile=False, **options)
    desk.page.set_viewport_size(DESK)
    return desk


def _desk_by_keyboard(new_phone: NewPhone, site: LiveSite) -> Phone:
    """A desk that the owner signed in to without the pointer."""
    desk = _desk(new_phone, url=site.base_url)
    desk.open()
    keys = desk.page.keyboard
    desk.page.get_by_label("Email", exact=True).focus()
    keys.type(OWNER)
    keys.press("Tab")
    keys.type("drawbar-demo")
    keys.press("Enter")
    expect(desk.page.locator(".desk-list h1")).to_be_visible()
    desk.wait_until_sent()
    desk.wait_for_all_records()
    return desk
