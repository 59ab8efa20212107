"""The address of every screen in the table of routes, on rows that the demo shop has."""

import re

from playwright.sync_api import expect

from shopapi.accounts.queries import every_shop, system_actor
from shopapi.core import clock
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Run, Stop
from shopapi.dispatch.services.stops import move_stop
from tests.browser.phone import Phone
from tests.factories.work import do
from tests.structure.source_tree import ROOT

# As a press on a link does, without reloading the app.
NAVIGATE = "path => { history.pushState(null, '', path); dispatchEvent(new PopStateEvent('popstate')) }"

AFTER_PAINT = "() => new Promise((done) => requestAnimationFrame(() => setTimeout(() => setTimeout(done))))"
# The name and the address of each screen in the table of routes.
ROUTE = re.compile(r"^  '?([\w-]+)'?: \[\s*'([^'?]+)", re.MULTILINE)
# Shown while nobody is signed in, or of rows that the demo shop has not.
ELSEWHERE = {"sign-in", "first-shop", "issue", "request", "run-breakdown", "picture", "picture-draw"}
ELSEWHERE |= {"removal-step", "removal-step-fastener", "fastener", "fastener-move"}
ELSEWHERE |= {"circuit", "circuit-way", "circuit-part", "circuit-seen"}
ELSEWHERE |= {"sheet", "sheet-edit", "sheet-limit", "sheet-add", "sheet-entry", "limit"}
ELSEWHERE |= {"reading", "check", "gauge", "check-list"}
ELSEWHERE |= {f"safety-item{act}" for act in ("", "-edit", "-repair", "-reopen", "-search")}
ELSEWHERE |= {"webhook", "webhook-edit", "api-key"}
# The rows of a screen that are not, or not only, the first one of its kind.
ROWS_OF: dict[str, tuple[str, ...]] = {
    "quote-record-decision": ("offered",),
    "quote-ask": ("offered",),
    "stop-hand-over-record": ("over",),
    "new-part": ("job",),
    "part-order": ("part-order", "draft-order"),
    "part-order-send": ("draft-order",),
    "part-order-add": ("draft-order",),
    "part-order-line": ("order-line", "draft-order-line"),
    "part-arrival": ("order-line",),
    "invoice": ("invoice", "draft-invoice"),
    "invoice-add": ("draft-invoice",),
    "invoice-line": ("draft-invoice",),
    "fit-from-stock": ("part",),
    "stock-move": ("catalog-part",),
    "stock-transfer": ("catalog-part",),
    "stock-count": ("catalog-part",),
    "statement": ("customer",),
}
# The line of a quote, or of what else has lines.
LINE_OF = {"invoice-line": "draft-invoice-line"}
# Screens that show nothing without one of their query parameters.
ASKED_FOR = {"new-part-return": "?line=order-line"}
WORDS = {
    "calculator": ("conversion", "fastener_torque", "battery"),
    "job-test": ("charge_voltage",),
    "quote-add": ("labor", "part", "travel", "fee", "supplies", "discount"),
    "money-report": ("takings", "margin", "parts", "outcomes", "comebacks", "quoted-billed"),
    "report": ("week", "quoted", "rounding", "held", "pay"),
}


def two_stops_today() -> None:
    """Move two of tomorrow's stops onto the van's run of today."""
    [shop_id] = every_shop()
    actor = system_actor(shop_id)
    with in_shop(actor.shop_id):
        run = Run.objects.get(rig__name="The van", day=clock.today("America/Chicago"))
        asked = list(Stop.objects.filter(state="asked").order_by("id").values_list("id", flat=True)[:2])
    for stop_id in asked:
        do(actor, move_stop, id=stop_id, run_id=run.id)


def screen_paths(phone: Phone) -> list[tuple[str, str]]:
    """The name and address of every screen; the phone is signed in to the demo shop."""
    rows = shop_rows(phone)
    table = ROUTE.findall((ROOT / "pwa" / "src" / "ui" / "screens" / "routes.ts").read_text(encoding="utf-8"))
    assert len(table) > 60
    return [(name, path) for name, pattern in table if name not in ELSEWHERE for path in _filled(name, pattern, rows)]


def shop_rows(phone: Phone) -> dict[str, str]:
    """Ids of rows of the demo shop, read from the phone's database."""
    rows: dict[str, str] = phone.page.evaluate(ROWS)
    return rows


def show_screen(phone: Phone, path: str) -> None:
    """Show a screen without reloading the app; some are loaded when they are first shown."""
    phone.page.evaluate(NAVIGATE, path)
    phone.page.evaluate(AFTER_PAINT)
    expect(phone.page.locator(".page-content[aria-busy=true]"), path).to_have_count(0)
    expect(phone.page.locator("main h1"), path).to_be_visible()
    # What follows a drawing of the screen, such as its title.
    phone.page.evaluate(AFTER_PAINT)
    expect(phone.page.get_by_text("Couldn’t read this from the phone"), path).to_have_count(0)
    expect(phone.page.get_by_text("Not on this phone"), path).to_have_count(1 if path == "/nowhere" else 0)


def _filled(name: str, pattern: str, rows: dict[str, str]) -> list[str]:
    """The addresses of a screen: `:id` is a row of the resource it begins with, other values are rows or words."""
    resource = max((kind for kind in rows if f"{name}-".startswith(f"{kind}-")), key=len, default="")
    line = rows[LINE_OF.get(name, "line")]
    asked = re.sub(r"=([\w-]+)", lambda found: f"={rows[found[1]]}", ASKED_FOR.get(name, ""))
    filled = []
    for kind in ROWS_OF.get(name, (resource,)):
        path = pattern.replace(":id", rows.get(kind, "")).replace(":lineId", line) + asked
        path = re.sub(r":\w+\((\w+)[^)]*\)", r"\1", path)
        filled += [re.sub(r":\w+$", word, path) for word in WORDS.get(name, ("",))]
    return filled


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
    const sent = find('part_order', ({ state }) => state === 'sent' || state === 'confirmed')
    const unsent = find('part_order', ({ state }) => state === 'draft')
    const billed = find('invoice', ({ state }) => state === 'draft')
    const issued = find('invoice', ({ id, state, job_id }) => state === 'issued' && records.some(({ kind, row }) =>
        kind === 'payment' && row.job_id === job_id && row.kind === 'deposit'))
    const toCome = find('part_order_line', ({ order_id, answer }) => order_id === sent.id && answer === 'back_ordered')
    return {
        quote: draft.id,
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
        part: find('part_need').id,
        over: find('hand_over').stop_id,
        wording: 'approval_request',
        'part-order': sent.id,
        'draft-order': unsent.id,
        'order-line': toCome.id,
        'draft-order-line': find('part_order_line', ({ order_id }) => order_id === unsent.id).id,
        'part-return': find('part_return', ({ state }) => state === 'sent').id,
        supplier: find('supplier').id,
        'catalog-part': find('catalog_part').id,
        'stock-place': find('stock_place').id,
        invoice: issued.id,
        'draft-invoice': billed.id,
        'draft-invoice-line': find('invoice_line', ({ invoice_id }) => invoice_id === billed.id).id,
        payment: find('payment', ({ job_id }) => job_id === issued.job_id).id,
    }
}"""
