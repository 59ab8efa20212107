"""Every screen measured at every text size: values cut off, numbers broken, targets covered or too small; its title."""

from playwright.sync_api import expect

from shopapi.demo.scenario import Scenario
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.measure import Ruler
from tests.browser.screens import screen_paths, shop_rows, show_screen, two_stops_today
from tests.site import LiveSite

# On a phone these addresses show what the route table names as `narrow`: the plan, the week's report.
SHOWN_ELSEWHERE = {"/board", "/week"}


def test_no_screen_cuts_off_a_value_or_shares_its_title(
    live_site: LiveSite, demo_shop: Scenario, new_phone: NewPhone
) -> None:
    two_stops_today()
    phone = new_phone(live_site.base_url)
    phone.sign_in(OWNER)
    ruler = Ruler(phone.page)
    found = []
    titled: dict[str, list[str]] = {}
    for _, path in screen_paths(phone):
        show_screen(phone, path)
        if path not in SHOWN_ELSEWHERE:
            titled.setdefault(phone.page.title(), []).append(path)
        found += ruler.faults(path)
        ruler.reset()
    assert found == [], found
    assert [paths for paths in titled.values() if len(paths) > 1] == []
    about = f"/customers/{shop_rows(phone)['customer']}"
    assert sorted(title for title, [path] in titled.items() if path.startswith(about)) == [
        "Edit customer · Lowfield Parish Council · Drawbar",
        "Lowfield Parish Council · Drawbar",
        "New machine · Lowfield Parish Council · Drawbar",
        "New place · Lowfield Parish Council · Drawbar",
        "Statement · Lowfield Parish Council · Drawbar",
    ]


# A stepper as the app draws it, and enough below it to scroll.
STEPPER = """() => {
    document.querySelector('main').insertAdjacentHTML('beforeend', `
        <div class="stepper"><div>
            <button class="button" aria-label="Less">−</button>
            <div class="field"><label for="hours">Hours</label><input id="hours" inputmode="decimal"></div>
            <button class="button" aria-label="More">+</button>
        </div></div>
        ${'<p style="height: 7rem"></p><button class="button">Key</button>'.repeat(12)}`)
}"""
# As it once was: the number has what its buttons leave.
NARROW_STEPPER = """
    .stepper > div { grid-template-columns: 4.5rem minmax(0, 1fr) 4.5rem !important }
    .stepper > div > .field { grid-column: auto !important; order: 0 !important }
"""
# A bar that the focus does not make way for.
COVERING_BAR = """
    :root { scroll-padding: 0 !important }
    .dock { height: 40vh; position: fixed !important; inset: auto 0 0 }
"""
ADD_STYLE = """(css) => {
    const sheet = new CSSStyleSheet()
    sheet.replaceSync(css)
    document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet]
}"""


def test_ruler_finds_the_former_stepper_and_a_covered_button(live_site: LiveSite, new_phone: NewPhone) -> None:
    # HTML is planted, which our pages refuse.
    phone = new_phone(live_site.base_url, bypass_csp=True)
    phone.open()
    expect(phone.page.get_by_label("Email")).to_be_visible()
    phone.page.evaluate(STEPPER)
    ruler = Ruler(phone.page)
    assert ruler.faults("planted") == []

    phone.page.evaluate(ADD_STYLE, NARROW_STEPPER)
    faults = ruler.faults("planted")
    assert {fault.split(",")[0] for fault in faults} == {"125 %", "150 %", "Large", "Double", "320 px"}
    assert any(fault.startswith("Large") and "Hours" in fault and "12.75 needs" in fault for fault in faults)

    phone.page.evaluate(ADD_STYLE, COVERING_BAR)
    assert any(fault.endswith("covered while it has the focus") for fault in ruler.faults("planted"))
