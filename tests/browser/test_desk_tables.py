"""The jobs at a laptop of 1280x800: sorted, filtered, moved through by keys, opened, saved as CSV."""

import csv
import io
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from shopapi.demo.scenario import Scenario
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.phone import Phone
from tests.site import LiveSite

ROWS = ".table tbody tr[aria-rowindex]"
TEXT_OF_COLUMN = """(name) => {
    const at = [...document.querySelectorAll('.table th')].findIndex((each) => each.textContent === name)
    return [...document.querySelectorAll('.table tbody tr[aria-rowindex]')].map((row) => row.cells[at].textContent)
}"""
FOCUSED_ROW = "() => document.activeElement.closest('tr')?.getAttribute('aria-rowindex') ?? null"


@pytest.fixture
def desk(live_site: LiveSite, demo_shop: Scenario, new_desk: NewPhone) -> Phone:
    laptop = new_desk(live_site.base_url)
    laptop.sign_in(OWNER)
    laptop.page.get_by_role("navigation", name="Places").get_by_role("link", name="Jobs").click()
    expect(_view(laptop.page, "Open")).to_have_attribute("aria-pressed", "true")
    return laptop


def _view(page: Page, name: str) -> Locator:
    return page.get_by_role("group", name="Views").get_by_role("button", name=name)


def _column(page: Page, name: str) -> list[str]:
    found: list[str] = page.evaluate(TEXT_OF_COLUMN, name)
    return found


def test_jobs_are_sorted_filtered_and_viewed(desk: Phone) -> None:
    page = desk.page
    jobs = _column(page, "Job")
    assert len(jobs) > 10
    expect(_view(page, "Open")).to_have_text(f"Open {len(jobs)}")
    page.get_by_role("button", name="Customer", exact=True).click()
    expect(page.get_by_role("columnheader", name="Customer")).to_have_attribute("aria-sort", "ascending")
    customers = _column(page, "Customer")
    assert [name.casefold()[0] for name in customers] == sorted(name.casefold()[0] for name in customers)
    _view(page, "Late").click()
    late = _column(page, "Due")
    assert late
    assert all("late" in due for due in late)
    _view(page, "All").click()
    # More jobs than the screen has rows: those out of sight are not in the document.
    count = int(_view(page, "All").inner_text().split()[1])
    expect(page.get_by_role("grid")).to_have_attribute("aria-rowcount", str(count + 1))
    assert page.locator(ROWS).count() < count
    page.get_by_role("searchbox", name="Filter").fill(f"{jobs[0]} {jobs[0]}")
    expect(page.locator(ROWS)).to_have_count(1)


def test_keys_move_select_and_open(desk: Phone) -> None:
    page = desk.page
    page.keyboard.press("j")
    page.keyboard.press("ArrowDown")
    expect(page.locator(f"{ROWS}:focus")).to_have_attribute("aria-rowindex", "3")
    page.keyboard.press("x")
    expect(page.locator(f"{ROWS}:focus")).to_have_attribute("aria-selected", "true")
    customer = page.locator(f"{ROWS}:focus td").nth(2).inner_text()
    page.keyboard.press("Enter")
    heading = page.get_by_role("region", name="Open item").get_by_role("heading", level=1)
    expect(heading).to_have_text(customer)
    expect(heading).to_be_focused()
    expect(page.locator(f"{ROWS}[aria-current]")).to_have_attribute("aria-rowindex", "3")
    page.keyboard.press("Escape")
    expect(page.locator(f"{ROWS}:focus")).to_have_attribute("aria-rowindex", "3")
    page.keyboard.press("End")
    expect(page.locator(f"{ROWS}:focus")).to_have_attribute("aria-rowindex", str(page.locator(ROWS).count() + 1))
    # The row with the focus stays in the document when the wheel moves it out of sight.
    page.keyboard.press("Home")
    expect(page.locator(f"{ROWS}:focus")).to_have_attribute("aria-rowindex", "2")
    _view(page, "All").click()
    page.keyboard.press("j")
    page.locator(".table-scroll").evaluate("(box) => { box.scrollTop = box.scrollHeight }")
    page.wait_for_timeout(200)
    assert page.evaluate(FOCUSED_ROW) is not None


def test_csv_holds_what_is_selected(desk: Phone) -> None:
    page = desk.page
    for row in (0, 1):
        page.locator(ROWS).nth(row).get_by_role("checkbox").check()
    with page.expect_download() as download:
        page.get_by_role("button", name="CSV").click()
    content = Path(download.value.path()).read_bytes()
    assert content.startswith(b"\xef\xbb\xbf")
    head, *rows = csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""))
    assert head == ["Job", "Customer", "Machine", "Stage", "Waiting on", "Due", "Hours left"]
    assert [row[0] for row in rows] == _column(page, "Job")[:2]
    # A day is written as ISO 8601, however it is shown.
    assert all(len(row[5]) == len("2026-11-29") for row in rows)


def test_a_view_is_saved_for_the_next_visit(desk: Phone) -> None:
    page = desk.page
    page.get_by_role("searchbox", name="Filter").fill("zt")
    page.get_by_role("button", name="Save view").click()
    page.keyboard.type("Zero turns")
    page.keyboard.press("Enter")
    expect(_view(page, "Zero turns").first).to_have_attribute("aria-pressed", "true")
    page.reload()
    _view(page, "Zero turns").click()
    expect(page.get_by_role("searchbox", name="Filter")).to_have_value("zt")
    _view(page, "Delete").click()
    expect(_view(page, "Zero turns")).to_have_count(0)


def test_larger_text_has_the_phones_layout(desk: Phone) -> None:
    desk.open("/settings")
    desk.choose_option("Double")
    expect(desk.page.locator(".desk")).to_have_count(0)
    expect(desk.page.get_by_role("heading", level=1)).to_have_count(1)
