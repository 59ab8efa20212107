"""Every screen against axe-core: WCAG 2.2 A and AA, contrast 7:1, targets of 44 px, no horizontal scroll."""

import re
from typing import Any

from playwright.sync_api import FilePayload, expect

from shopapi.accounts.queries import every_shop, system_actor
from shopapi.core import clock
from shopapi.core.tenancy import in_shop
from shopapi.demo.scenario import Scenario
from shopapi.dispatch.models import Run, Stop
from shopapi.dispatch.services.stops import move_stop
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.phone import Phone
from tests.factories.work import do
from tests.files.sample_pictures import encode, sample_image
from tests.site import LiveSite
from tests.structure.source_tree import ROOT

# As a press on a link does, without reloading the app.
NAVIGATE = "path => { history.pushState(null, '', path); dispatchEvent(new PopStateEvent('popstate')) }"
MODES: dict[str, dict[str, Any]] = {
    "light": {"color_scheme": "light"},
    "dark": {"color_scheme": "dark"},
    "double text": {"color_scheme": "light"},
    "320 px": {"color_scheme": "light", "width": 320},
    "forced colors": {"forced_colors": "active"},
}


def test_every_screen_is_accessible(
    live_site: LiveSite, demo_shop: Scenario, new_phone: NewPhone, axe_source: str
) -> None:
    _two_stops_today()
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
            phone.page.evaluate(NAVIGATE, path)
            # Some screens are loaded when they are first shown.
            expect(phone.page.locator("main h1")).to_be_visible()
            expect(phone.page.get_by_text("Not on this phone")).to_have_count(1 if path == "/nowhere" else 0)
            found += accessibility_violations(phone.page, f"{mode}, {path}")
        found += _picture_violations(phone, mode)
        found += _customer_mode_violations(phone, mode)
    assert found == []


def _two_stops_today() -> None:
    """Two of tomorrow's stops moved onto the van's run of today."""
    [shop_id] = every_shop()
    actor = system_actor(shop_id)
    with in_shop(actor.shop_id):
        run = Run.objects.get(rig__name="The van", day=clock.today("America/Chicago"))
        asked = list(Stop.objects.filter(state="asked").order_by("id").values_list("id", flat=True)[:2])
    for stop_id in asked:
        do(actor, move_stop, id=stop_id, run_id=run.id)


def _paths(phone: Phone) -> list[str]:
    """Every screen of the table of routes, on rows the demo shop has; quotes also in their later states."""
    rows = phone.page.evaluate(ROWS)
    table = ROUTE.findall((ROOT / "pwa" / "src" / "ui" / "screens" / "routes.ts").read_text(encoding="utf-8"))
    assert len(table) > 60
    screens = [path for name, pattern in table if name not in ELSEWHERE for path in _filled(name, pattern, rows)]
    more = [f"/new-job?customer={rows['customer']}", f"/quotes/{rows['offered']}", f"/quotes/{rows['decided']}"]
    return [*screens, *more, "/nowhere"]


# The name and the address of each screen in the table of routes.
ROUTE = re.compile(r"^  '?([\w-]+)'?: \['([^'?]+)", re.MULTILINE)
# Shown while nobody is signed in, or of rows that the demo shop has not; the picture is taken below.
ELSEWHERE = {"sign-in", "first-shop", "issue", "request", "run-breakdown", "picture"}
# The row of a screen that is not the first one of its kind.
ROW_OF = {"quote": "draft", "quote-record-decision": "offered", "quote-ask": "offered", "stop-hand-over-record": "over"}
WORDS = {
    "quote-add": ("labor", "part", "travel", "fee", "supplies", "discount"),
    "report": ("week", "quoted", "rounding", "held", "pay"),
    "job-stop": ("pickup",),
    "wording": ("email",),
}


def _filled(name: str, pattern: str, rows: dict[str, str]) -> list[str]:
    """The addresses of a screen: `:id` is the row of the resource it begins with, other values are rows or words."""
    resource = name.split("-", maxsplit=1)[0]
    row = (
        "approval_request" if name == "wording" else rows.get(ROW_OF.get(name) or ROW_OF.get(resource) or resource, "")
    )
    path = pattern.replace(":id", row).replace(":lineId", rows["line"])
    return [re.sub(r":\w+(\(.+\))?$", word, path) for word in WORDS.get(name, ("",))]


def _picture_violations(phone: Phone, mode: str) -> list[str]:
    """A machine's pictures, and one of them large."""
    phone.page.evaluate(NAVIGATE, f"/machines/{phone.page.evaluate(ROWS)['machine']}")
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
    phone.open(f"/quotes/{phone.page.evaluate(ROWS)['offered']}")
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


ROWS = """async () => {
    const name = (await indexedDB.databases()).map((each) => each.name).find((each) => each.startsWith('drawbar:'))
    const open = indexedDB.open(name)
    const db = await new Promise((done) => { open.onsuccess = () => done(open.result) })
    const all = db.transaction('base').objectStore('base').getAll()
    const records = await new Promise((done) => { all.onsuccess = () => done(all.result) })
    db.close()
    const find = (kind, fits = () => true) =>
        records.find((each) => each.kind === kind && fits(each.row))?.row
    const draft = find('quote', ({ state, id }) =>
        state === 'draft' && records.some(({ kind, row }) => kind === 'quote_line' && row.quote_id === id))
    return {
        draft: draft.id,
        job: draft.job_id,
        finding: find('finding', ({ job_id }) => job_id === draft.job_id).id,
        line: find('quote_line', ({ quote_id }) => quote_id === draft.id).id,
        offered: find('quote', ({ state }) => state === 'offered').id,
        decided: find('quote', ({ state }) => state === 'decided').id,
        customer: find('site').customer_id,
        site: find('site').id,
        machine: find('meter_reading').machine_id,
        time: find('time_entry', ({ kind }) => kind === 'rework').id,
        run: find('run', ({ state }) => state === 'planned').id,
        rig: find('rig').id,
        stop: find('stop', ({ state }) => state === 'planned').id,
        member: find('member').id,
        over: find('hand_over').stop_id,
    }
}"""


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
    phone.page.evaluate(PLANT)
    found = {fault.split(": ")[1] for fault in accessibility_violations(phone.page, "planted")}
    assert found == {"color-contrast-enhanced", "target-size", "button-name", "scrolls horizontally"}


def test_reduced_motion_moves_nothing(live_site: LiveSite, new_phone: NewPhone) -> None:
    phone = new_phone(live_site.base_url, reduced_motion="reduce")
    phone.open()
    moving = phone.page.evaluate("() => getComputedStyle(document.querySelector('.toast')).animationName")
    assert moving == "none"
    expect(phone.page.get_by_label("Email")).to_be_visible()
