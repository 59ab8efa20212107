"""A phone in a test: a browser of its own, used by the words on its screen."""

import math
import re
from typing import Any

from playwright.sync_api import BrowserContext, Locator, Page, expect

PASSWORD = "drawbar-demo"


class Phone:
    """One signed-in browser, at phone size, on one address."""

    def __init__(self, context: BrowserContext, url: str) -> None:
        self.context = context
        self.url = url
        self.page: Page = context.new_page()
        self.faults: list[str] = []
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))

    def open(self, path: str = "/") -> None:
        self.page.goto(self.url + path)
        expect(self.page.get_by_role("heading", level=1)).to_be_visible()

    def sign_in(self, email: str, password: str = PASSWORD) -> None:
        self.open()
        self.fill("Email", email)
        self.fill("Password", password)
        self.press("Sign in")
        self.all_sent()

    def keep_app(self) -> None:
        """Wait until the app is on the phone: from here on it starts with no signal.

        A page that is loaded before its worker is ready stays without it.
        """
        self.page.evaluate("async () => { await navigator.serviceWorker.ready }")
        self.page.reload()
        self.page.wait_for_function("() => navigator.serviceWorker.controller !== null")

    def press(self, words: str, *, exact: bool = False) -> None:
        """Press the button or link that says this."""
        button = self.page.get_by_role("button", name=words, exact=exact)
        link = self.page.get_by_role("link", name=words, exact=exact)
        button.or_(link).first.click()

    def hold(self, words: str) -> None:
        """Keep the button that says this pressed until it has done what it does."""
        button = self.page.get_by_role("button", name=words)
        box = button.bounding_box()
        assert box is not None
        self.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        self.page.mouse.down()
        expect(button).to_have_count(0, timeout=20_000)
        self.page.mouse.up()

    def pick(self, words: str) -> None:
        """Pick one of a few."""
        self.page.locator("label.pick").filter(has_text=words).first.click()

    def fill(self, label: str, text: str) -> None:
        self.page.get_by_label(label, exact=True).fill(text)

    def heading(self, words: str) -> None:
        """Wait until the screen is the one that says this on top."""
        expect(self.page.get_by_role("heading", level=1, name=words, exact=True)).to_be_visible()

    def says(self, words: str, *, seconds: float = 30) -> None:
        expect(self.page.get_by_text(words).first).to_be_visible(timeout=seconds * 1000)

    def until(self, script: str, *, tries: int = 300) -> Any:
        """What the page answers, once that is anything: `wait_for_function` takes a promise itself for an answer."""
        for _ in range(tries):
            if found := self.page.evaluate(script):
                return found
            self.page.wait_for_timeout(100)
        raise AssertionError(f"never: {script}")

    def row(self, words: str) -> Locator:
        return self.page.locator(".row").filter(has_text=words)

    def queue_line(self) -> Locator:
        return self.page.locator(".strip a").last

    def all_sent(self, *, seconds: float = 30) -> None:
        expect(self.queue_line()).to_have_text("All sent", timeout=seconds * 1000)

    def total(self) -> int:
        """The sum in the dock, in cents."""
        text = self.page.locator(".tally strong").inner_text()
        return int(re.sub(r"\D", "", text))

    def sign_on_glass(self) -> None:
        glass = self.page.locator("canvas")
        glass.scroll_into_view_if_needed()
        box = glass.bounding_box()
        assert box is not None
        mouse = self.page.mouse
        mouse.move(box["x"] + 30, box["y"] + 90)
        mouse.down()
        for step in range(1, 30):
            mouse.move(box["x"] + 30 + 7 * step, box["y"] + 90 + 40 * math.sin(step / 2))
        mouse.up()

    def take_in(self, *, owner: str, phone: str, kind: str, make: str, model: str, words: str) -> None:
        """Write down a new owner with a new machine and what is wrong with it; ends on the job."""
        self.open("/new-job")
        self.fill("Owner’s name or phone", owner)
        self.fill("Phone", phone)
        self.fill("What it is", kind)
        self.fill("Make", make)
        self.fill("Model", model)
        self.fill("In the owner’s words", words)
        self.press("Open the job")
        self.heading(owner)

    def close(self) -> None:
        self.context.close()
        assert not self.faults
