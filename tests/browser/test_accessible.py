"""Every screen against axe-core: WCAG 2.2 A and AA, contrast 7:1, targets of 44 px, no sideways scroll."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from shopapi.config.demo.story import Story
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.phone import Phone
from tests.site import LiveSite

# Sticky bars cover what lies under them until it is scrolled to; a target is measured uncovered.
UNSTICK = """() => {
    for (const bar of document.querySelectorAll('.dock, .strip')) bar.style.position = 'static'
}"""
RUN = """async () => {
    axe.configure({ checks: [
        { id: 'target-size', options: { minSize: 44 } },
        { id: 'target-offset', options: { minOffset: 44 } },
    ] })
    const found = await axe.run(document, {
        runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
        rules: { 'color-contrast-enhanced': { enabled: true }, 'target-size': { enabled: true } },
    })
    return found.violations.flatMap(({ id, nodes }) =>
        nodes.map(({ html }) => `${id}: ${html.slice(0, 160)}`))
}"""
SIDEWAYS = "() => document.documentElement.scrollWidth > innerWidth"

MODES = {
    "light": {"color_scheme": "light"},
    "dark": {"color_scheme": "dark"},
    "double text": {"color_scheme": "light"},
    "320 px": {"color_scheme": "light", "width": 320},
    "forced colors": {"forced_colors": "active"},
}


@pytest.mark.parametrize("mode", MODES)
def test_every_screen_is_accessible(
    mode: str, live_site: LiveSite, demo_shop: Story, new_phone: NewPhone, axe_source: str
) -> None:
    phone = new_phone(live_site.base_url, **MODES[mode])
    phone.open()
    found = _faults(phone.page, axe_source, "sign in")
    phone.sign_in(OWNER)
    if mode == "double text":
        phone.open("/settings")
        phone.pick("Double")
    for path in _paths(phone):
        phone.open(path)
        found += _faults(phone.page, axe_source, path)
    found += _owners_faults(phone, axe_source)
    assert found == []


def _faults(page: Page, axe_source: str, where: str) -> list[str]:
    page.evaluate(UNSTICK)
    page.evaluate(f"{axe_source};0")
    faults: list[Any] = page.evaluate(RUN)
    if page.evaluate(SIDEWAYS):
        faults.append("scrolls sideways")
    return [f"{where}: {fault}" for fault in faults]


def _paths(phone: Phone) -> list[str]:
    """Every screen there is, on rows the demo shop has."""
    rows = phone.page.evaluate(ROWS)
    job, customer, machine = rows["job"], rows["customer"], rows["machine"]
    draft, offered, decided = rows["draft"], rows["offered"], rows["decided"]
    kinds = ("labor", "part", "travel", "fee", "supplies", "discount")
    return [
        "/",
        "/find",
        "/new-job",
        f"/new-job?customer={customer}",
        *(f"/customers/{customer}{leaf}" for leaf in ("", "/edit", "/site", "/machine")),
        f"/sites/{rows['site']}",
        *(f"/machines/{machine}{leaf}" for leaf in ("", "/edit", "/hours")),
        *(f"/jobs/{job}{leaf}" for leaf in ("", "/edit", "/stage", "/complaint", "/finding")),
        f"/findings/{rows['finding']}",
        *(f"/quotes/{draft}{leaf}" for leaf in ("", "/terms", "/offer")),
        *(f"/quotes/{draft}/add/{kind}" for kind in kinds),
        f"/quotes/{draft}/lines/{rows['line']}",
        f"/quotes/{offered}",
        f"/quotes/{offered}/told",
        f"/quotes/{decided}",
        "/queue",
        "/settings",
        "/prices",
        "/shop",
        "/nowhere",
    ]


def _owners_faults(phone: Phone, axe_source: str) -> list[str]:
    """The owner's own screens, from the lines to the hand-back."""
    phone.open(f"/quotes/{phone.page.evaluate(ROWS)['offered']}")
    phone.press("Show it to the owner")
    phone.press("Yes to everything")
    faults = _faults(phone.page, axe_source, "the owner's lines")
    phone.press("Go on to sign")
    phone.heading("Your name and signature")
    faults += _faults(phone.page, axe_source, "the owner's signature")
    phone.press("Back to the lines")
    phone.press("Hand the phone back undecided")
    phone.heading("Thank you")
    return faults + _faults(phone.page, axe_source, "the hand-back")


ROWS = """async () => {
    const [{ name }] = await indexedDB.databases()
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
    }
}"""


def test_reduced_motion_moves_nothing(live_site: LiveSite, new_phone: NewPhone) -> None:
    phone = new_phone(live_site.base_url, reduced_motion="reduce")
    phone.open()
    moving = phone.page.evaluate("() => getComputedStyle(document.querySelector('.told')).animationName")
    assert moving == "none"
    expect(phone.page.get_by_label("Email")).to_be_visible()
