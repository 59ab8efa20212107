"""Page object of the app: one browser at phone size, used by the text on its screen."""

import math
import re
from typing import Any

from playwright.sync_api import BrowserContext, ConsoleMessage, Locator, Page, expect

PASSWORD = "drawbar-demo"
# What a new phone shows until it has all records of its shop.
COMING = "Older records are still coming"
# Whether its database has seen a whole snapshot.
HAS_ALL_RECORDS = """async () => {
    const name = (await indexedDB.databases()).map((each) => each.name).find((each) => each.startsWith('drawbar:'))
    if (name === undefined) return false
    const open = indexedDB.open(name)
    const db = await new Promise((done) => { open.onsuccess = () => done(open.result) })
    const kept = db.transaction('meta').objectStore('meta').get('generation')
    await new Promise((done) => { kept.onsuccess = done })
    db.close()
    return kept.result !== undefined
}"""

# Lets what was just pressed come into the queue: transactions of one database that write run one after the other.
SAVES_DONE = """async () => {
    const pause = () => new Promise((done) => setTimeout(done, 20))
    for (let turn = 0; turn < 3; turn++) {
        await pause()
        const found = (await indexedDB.databases()).map((each) => each.name).find((each) => each.startsWith('drawbar:'))
        if (found === undefined) return
        const open = indexedDB.open(found)
        const db = await new Promise((done) => { open.onsuccess = () => done(open.result) })
        const kept = db.transaction(db.objectStoreNames).objectStore('outbox').count()
        await new Promise((done) => { kept.onsuccess = done })
        db.close()
    }
    await pause()
}"""

# What the page's content policy refused, on the console of every engine that reports it.
REFUSED_BY_POLICY = re.compile(r"Content.Security.Policy|TrustedHTML|TrustedScript", re.IGNORECASE)


class Phone:
    """One browser context with its own storage, at phone size, on one address."""

    def __init__(self, context: BrowserContext, url: str) -> None:
        self.context = context
        self.url = url
        self.page: Page = context.new_page()
        self.page_errors: list[str] = []
        self.page.on("pageerror", lambda error: self.page_errors.append(str(error)))
        # Where a test breaks the policy on purpose, it says so.
        self.breaks_policy = False
        self.policy_violations: list[str] = []
        self.context.on("console", self._note_violation)

    def _note_violation(self, message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"} and REFUSED_BY_POLICY.search(message.text):
            self.policy_violations.append(message.text)

    def open(self, path: str = "/") -> None:
        self.page.goto(self.url + path)
        # At a desk, a list and its open item have one each.
        heading = self.page.get_by_role("heading", level=1).first
        expect(heading).to_be_visible()
        # That of the app while it starts, and while the code of the screen is on its way.
        expect(self.page.locator(".page-content[aria-busy=true]")).to_have_count(0)
        expect(heading).to_be_visible()

    def sign_in(self, email: str, password: str = PASSWORD) -> None:
        self.open()
        self.fill("Email", email)
        self.fill("Password", password)
        self.press("Sign in")
        self.wait_until_sent()
        self.wait_for_all_records()

    def wait_for_all_records(self) -> None:
        """Wait until this phone has every record of its shop; open work comes first."""
        self.page.wait_for_function(HAS_ALL_RECORDS, timeout=60_000)
        expect(self.page.get_by_text(COMING)).to_have_count(0)

    def wait_for_offline_app(self) -> None:
        """Wait until the service worker has cached the app: from here on it starts without a network.

        A page that is loaded before its service worker is ready is not controlled by it, hence the reload.
        """
        self.page.evaluate("async () => { await navigator.serviceWorker.ready }")
        self.page.reload()
        self.page.wait_for_function("() => navigator.serviceWorker.controller !== null")

    def press(self, words: str, *, exact: bool = False) -> None:
        """Press the first button or link with this label."""
        button = self.page.get_by_role("button", name=words, exact=exact)
        link = self.page.get_by_role("link", name=words, exact=exact)
        button.or_(link).first.click()

    def press_and_hold(self, words: str) -> None:
        """Hold the button with this label down until it disappears."""
        button = self.page.get_by_role("button", name=words)
        box = button.bounding_box()
        assert box is not None
        self.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        self.page.mouse.down()
        expect(button).to_have_count(0, timeout=20_000)
        self.page.mouse.up()

    def choose_option(self, words: str) -> None:
        """Choose the radio button or checkbox with this label."""
        self.page.locator("label.option").filter(has_text=words).first.click()

    def open_more(self) -> None:
        """Open the row of a form that holds the rest of its fields."""
        self.page.locator("details.more > summary").click()

    def fill(self, label: str, text: str) -> None:
        self.page.get_by_label(label, exact=True).fill(text)

    def expect_heading(self, words: str) -> None:
        """Wait until the screen has this heading."""
        expect(self.page.get_by_role("heading", level=1, name=words, exact=True)).to_be_visible()

    def expect_text(self, words: str, *, seconds: float = 30) -> None:
        expect(self.page.get_by_text(words).first).to_be_visible(timeout=seconds * 1000)

    def wait_for(self, script: str, *, tries: int = 300) -> Any:
        """The value of the script once it is truthy; unlike `wait_for_function` it awaits promises."""
        for _ in range(tries):
            if found := self.page.evaluate(script):
                return found
            self.page.wait_for_timeout(100)
        raise AssertionError(f"never truthy: {script}")

    def list_item(self, words: str) -> Locator:
        return self.page.locator(".list-item").filter(has_text=words)

    def queue_status(self) -> Locator:
        return self.page.locator(".sync-status")

    def wait_until_sent(self, *, seconds: float = 30) -> None:
        self.page.evaluate(SAVES_DONE)
        expect(self.queue_status()).to_have_text("Sent", timeout=seconds * 1000)

    def total_cents(self) -> int:
        """The running total in the dock, in cents."""
        text = self.page.locator(".running-total strong").inner_text()
        return int(re.sub(r"\D", "", text))

    def draw_signature(self) -> None:
        canvas = self.page.locator("canvas")
        canvas.scroll_into_view_if_needed()
        box = canvas.bounding_box()
        assert box is not None
        mouse = self.page.mouse
        mouse.move(box["x"] + 30, box["y"] + 90)
        mouse.down()
        for step in range(1, 30):
            mouse.move(box["x"] + 30 + 7 * step, box["y"] + 90 + 40 * math.sin(step / 2))
        mouse.up()

    def open_job(self, *, customer: str, phone: str, kind: str, make: str, model: str, words: str) -> None:
        """Open a job for a new customer with a new machine; ends on the job's screen."""
        self.open("/new-job")
        self.fill("Customer’s name or phone", customer)
        self.fill("Phone", phone)
        self.fill("Type of machine", kind)
        self.fill("Make", make)
        self.fill("Model", model)
        self.fill("In the customer’s words", words)
        self.press("Open the job")
        self.expect_heading(customer)

    def open_stored_job(self, customer: str, words: str) -> str:
        """Open a job that has been sent, on a phone that starts without a network from then on; returns its path."""
        self.open_job(customer=customer, phone="", kind="tiller", make="", model="", words=words)
        self.wait_until_sent()
        self.wait_for_offline_app()
        return self.page.url.removeprefix(self.url)

    def add_complaint(self, words: str) -> None:
        """Add to the complaint of the job shown; ends on its screen."""
        self.press("Add to the complaint")
        self.fill("In the customer’s words", words)
        self.press("Save")
        self.expect_text(words)

    def close(self) -> None:
        self.context.close()
        assert not self.page_errors, self.page_errors
        assert self.breaks_policy or not self.policy_violations, self.policy_violations
