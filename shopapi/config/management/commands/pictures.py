"""`pictures`: take the README's screenshots from a running demo shop."""

import shutil
from argparse import ArgumentParser
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal
from urllib.error import URLError
from urllib.request import urlopen

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from shopapi.demo.scenario import Scenario, read_scenario
from shopapi.demo.signatures import sign
from shopapi.quotes.rules.schemas import BOX

if TYPE_CHECKING:
    # Only developers have it.
    from playwright.sync_api import ViewportSize

SIGNER = "Ruth Amberley"
PHONE: "ViewportSize" = {"width": 360, "height": 740}
TABLET: "ViewportSize" = {"width": 768, "height": 1024}
DESK: "ViewportSize" = {"width": 1280, "height": 800}
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")
QUIET = ("--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking")
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
# Wait before a screenshot until fonts are loaded and nothing is being fetched.
SETTLED = "() => document.fonts.status === 'loaded'"


class Command(BaseCommand):
    help = "Take the README's pictures again (phone, tablet, desk), from the demo shop of a running `up`."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--folder", type=Path, default=settings.ROOT / "pwa" / "pictures", help="where they go (pwa/pictures)"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            from playwright.sync_api import sync_playwright  # noqa: PLC0415 only developers have it
        except ImportError:
            raise CommandError("Playwright is missing: run python3 manage.py test once.", returncode=2) from None
        _require(settings.ORIGIN)
        folder: Path = options["folder"]
        story = read_scenario(settings.ROOT / "fixtures" / "demo")
        folder.mkdir(parents=True, exist_ok=True)
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=_browser(), args=list(QUIET))
            for scheme in SCHEMES:
                for size, walk in ((PHONE, _walk_phone), (TABLET, _walk_tablet), (DESK, _walk_desk)):
                    handheld = size is not DESK
                    device = browser.new_context(
                        viewport=size, color_scheme=scheme, is_mobile=handheld, has_touch=handheld, locale="en-US"
                    )
                    page = device.new_page()

                    def take(name: str, page: Any = page, scheme: str = scheme) -> None:
                        page.wait_for_function(SETTLED)
                        page.wait_for_timeout(200)
                        page.screenshot(path=folder / f"{name}-{scheme}.png")
                        self.stdout.write(str(folder / f"{name}-{scheme}.png"))

                    _sign_in(page, story)
                    walk(page, take)
                    device.close()
            browser.close()


def _require(origin: str) -> None:
    try:
        urlopen(f"{origin}/livez", timeout=5).close()  # noqa: S310 the origin is checked by the settings
    except (URLError, OSError):
        words = f"Nothing answers at {origin}: start python3 manage.py up in another window, with the demo shop."
        raise CommandError(words, returncode=2) from None


def _browser() -> str:
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        raise CommandError("No Chromium here: run python3 manage.py test once, it installs one.", returncode=2)
    return found


def _sign_in(page: Any, story: Scenario) -> None:
    page.goto(settings.ORIGIN)
    page.get_by_label("Email", exact=True).fill(story.opening.members[0].email)
    page.get_by_label("Password", exact=True).fill(story.opening.password)
    page.get_by_role("button", name="Sign in").click()


def _walk_tablet(page: Any, take: Callable[[str], None]) -> None:
    """Today and a job, in two columns."""
    page.locator(".list-item").first.wait_for()
    take("tablet-today")
    _open_job(page, "Gus Penhallow")
    take("tablet-job")


def _walk_desk(page: Any, take: Callable[[str], None]) -> None:
    """The office: Today, the jobs with one open beside them, the planning board and the week."""
    page.get_by_role("heading", name="On customers").wait_for()
    take("desk-today")
    page.goto(f"{settings.ORIGIN}/jobs")
    page.get_by_role("row").filter(has_text="Gus Penhallow").first.click()
    page.locator(".desk-item").get_by_role("heading", level=1).wait_for()
    take("desk-jobs")
    page.goto(f"{settings.ORIGIN}/board")
    page.locator(".board").first.wait_for()
    take("desk-board")
    page.goto(f"{settings.ORIGIN}/week")
    page.get_by_role("heading", level=1).first.wait_for()
    take("desk-week")


def _walk_phone(page: Any, take: Callable[[str], None]) -> None:
    """From Today to the signature. What is written on the way stays on the phone: it ends without a signal."""
    page.locator(".list-item").first.wait_for()
    take("today")
    page.get_by_role("link", name="New", exact=True).click()
    page.get_by_label("Customer’s name or phone", exact=True).fill("adey")  # noqa: RUF001 as the screen writes it
    take("new-job")
    page.get_by_role("link", name="Today").click()
    _open_job(page, "Gus Penhallow")
    take("job")
    page.get_by_role("link", name="Continue the quote").click()
    take("quote")
    _open_job(page, "Ilse Kessler")
    page.get_by_role("link", name="View the quote").click()
    take("decided")
    page.context.set_offline(True)
    _open_job(page, "Northgate")
    page.get_by_role("link", name="Add to the complaint").click()
    page.get_by_label("In the customer’s words", exact=True).fill("Runs rough again since yesterday")  # noqa: RUF001
    page.get_by_role("button", name="Save").click()
    page.locator(".sync-status").click()
    take("queue")
    _open_job(page, "Northgate")
    page.get_by_role("link", name="View the quote").click()
    page.get_by_role("button", name="Show the customer").click()
    page.locator(".decision-buttons").nth(0).get_by_role("button", name="Yes").click()
    page.locator(".decision-buttons").nth(1).get_by_role("button", name="No").click()
    page.evaluate("scrollTo(0, 320)")
    take("customer")
    page.get_by_role("button", name="Yes to everything").click()
    page.get_by_role("button", name="Continue to sign").click()
    page.get_by_label("Your name", exact=True).fill(SIGNER)
    _ink(page, SIGNER)
    take("signature")


def _open_job(page: Any, customer: str) -> None:
    """The open job of a customer, by way of Today or the list of jobs."""
    while page.locator(".top-bar a.place").count():
        page.locator(".top-bar a.place").click()
    page.locator(".list-item").filter(has_text=customer).first.click()
    page.get_by_text("What the customer says", exact=True).wait_for()


def _ink(page: Any, name: str) -> None:
    box = page.locator("canvas").bounding_box()
    for stroke in sign(name):
        points = [(box["x"] + x / BOX * box["width"], box["y"] + y / BOX * box["height"]) for x, y, *_ in stroke]
        page.mouse.move(*points[0])
        page.mouse.down()
        for x, y in points:
            page.mouse.move(x, y)
        page.mouse.up()
