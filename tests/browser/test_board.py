"""The planning board at the desk: stops moved by keys, checked while they move, sent when asked to."""

from uuid import UUID

import pytest
from playwright.sync_api import Locator, expect

from shopapi.core import clock
from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Stop
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.phone import Phone
from tests.factories import work
from tests.factories.rigs import a_rig, a_run, a_stop, a_yard
from tests.site import LiveSite

DESK = {"width": 1280, "height": 800}
# Whether every rig ends above the foot of the desk, and every block is at least 24 px wide, the least size of a target.
FITS = """() => {
    const lanes = [...document.querySelectorAll('.lane')]
    const foot = document.querySelector('.desk-keys').getBoundingClientRect().top
    const blocks = [...document.querySelectorAll('.lane .block')].map((each) => each.getBoundingClientRect())
    return {
        lanes: lanes.filter((each) => each.getBoundingClientRect().bottom <= foot).length,
        blocks: blocks.filter(({ width }) => width >= 24).length,
        sideways: document.documentElement.scrollWidth > innerWidth,
    }
}"""


@pytest.fixture
def driver(shop: Actor) -> UUID:
    assert shop.member_id is not None
    return shop.member_id


def _stop(shop: Actor, name: str, north: int, **more: object) -> UUID:
    """A visit, some kilometres north of the yard."""
    customer = work.a_customer(shop, name=name)
    site = work.a_site(shop, customer, lat=f"{40.3 + 0.009 * north:.4f}", lon="-98.44")
    return a_stop(shop, work.a_job(shop, customer_id=customer, site_id=site), kind="visit", **more)


def _desk(new_phone: NewPhone, url: str, axe_source: str, **options: str) -> Phone:
    desk = new_phone(url, is_mobile=False, has_touch=False, **options)
    desk.page.set_viewport_size({"width": DESK["width"], "height": DESK["height"]})
    desk.context.add_init_script(axe_source)
    desk.sign_in(OWNER)
    return desk


def _block(desk: Phone, name: str) -> Locator:
    return desk.page.locator(".lane .block", has_text=name)


def _rig_of(desk: Phone, name: str) -> str | None:
    return _block(desk, name).locator("xpath=ancestor::section[1]").get_attribute("aria-label")


def test_a_stop_goes_to_the_other_rig_by_keys_is_checked_undone_and_sent(
    live_site: LiveSite, shop: Actor, driver: UUID, new_phone: NewPhone, axe_source: str
) -> None:
    a_yard(shop)
    day = clock.today("America/Boise").isoformat()
    blue, van = (a_rig(shop, name=name, driver_id=driver) for name in ("Blue truck", "The van"))
    quill, tran = _stop(shop, "Quill", 5), _stop(shop, "Tran", 9)
    run = a_run(shop, blue, quill, tran, day=day)
    desk = _desk(new_phone, live_site.base_url, axe_source)
    desk.open("/board")
    told = desk.page.locator("#board-told")
    expect(_block(desk, "Tran")).to_be_visible()

    _block(desk, "Tran").focus()
    desk.page.keyboard.press("ArrowDown")
    expect(told).to_contain_text("Tran: The van,")
    expect(desk.page.locator(".desk-keys")).to_contain_text("leave out")
    expect(told).to_contain_text("This order works as far as it can be checked here. Back about")
    assert _rig_of(desk, "Tran") == "The van"
    # The keyboard stays with the stop that went to another row.
    expect(_block(desk, "Tran")).to_be_focused()
    desk.page.keyboard.press("u")
    expect(told).to_have_text("Last change undone.")
    assert _rig_of(desk, "Tran") == "Blue truck"

    # Five minutes earlier than it can be reached is told at once.
    desk.page.keyboard.press("ArrowLeft")
    expect(told).to_contain_text("min too late")
    desk.page.keyboard.press("u")
    desk.page.keyboard.press("ArrowDown")
    desk.page.keyboard.press("ArrowRight")
    expect(desk.page.get_by_text("2 changes not sent yet")).to_be_visible()
    assert accessibility_violations(desk.page, "a stop being moved", least_px=24) == []
    with in_shop(shop.shop_id):
        assert Stop.objects.get(id=tran).run_id == run

    # What is not sent yet is still there after the page was closed.
    desk.page.reload()
    expect(desk.page.get_by_text("2 changes not sent yet")).to_be_visible()
    assert _rig_of(desk, "Tran") == "The van"
    desk.press("Send to phones")
    expect(desk.page.get_by_text("Everything is sent")).to_be_visible()
    desk.wait_until_sent()
    with in_shop(shop.shop_id):
        moved = Stop.objects.get(id=tran)
        assert moved.run is not None
        assert (moved.run.rig_id, moved.run.day.isoformat()) == (van, day)
        assert moved.pin_at is not None
        assert moved.pin_at.minute % 5 == 0
        assert Stop.objects.get(id=quill).run_id == run


def test_a_stop_is_dragged_put_on_a_rig_and_opened(
    live_site: LiveSite, shop: Actor, driver: UUID, new_phone: NewPhone, axe_source: str
) -> None:
    a_yard(shop)
    blue = a_rig(shop, name="Blue truck", driver_id=driver)
    a_rig(shop, name="The van", driver_id=driver)
    a_rig(shop, name="Flatbed")
    a_run(shop, blue, _stop(shop, "Quill", 5), day=clock.today("America/Boise").isoformat())
    _stop(shop, "Finch", 7)
    desk = _desk(new_phone, live_site.base_url, axe_source, color_scheme="dark")
    desk.open("/board")
    told = desk.page.locator("#board-told")

    box = _block(desk, "Quill").bounding_box()
    lane = desk.page.get_by_label("The van").locator(".lane").bounding_box()
    assert box is not None
    assert lane is not None
    desk.page.mouse.move(box["x"] + 5, box["y"] + 5)
    desk.page.mouse.down()
    desk.page.mouse.move(lane["x"] + 300, lane["y"] + 20, steps=4)
    # Told and drawn while it is moved, but not made yet.
    expect(told).to_contain_text("Quill: The van,")
    expect(desk.page.locator(".block.dragged")).to_have_count(1)
    expect(desk.page.get_by_text("Everything is sent")).to_be_visible()
    desk.page.mouse.up()
    expect(desk.page.get_by_text("1 change not sent yet")).to_be_visible()
    assert _rig_of(desk, "Quill") == "The van"
    expect(desk.page.get_by_label("Flatbed").locator(".lane.idle")).to_be_visible()

    desk.press("Put on a rig: Finch")
    expect(told).to_contain_text("Finch:")
    assert _rig_of(desk, "Finch") in {"Blue truck", "The van"}
    assert accessibility_violations(desk.page, "dark board", least_px=24) == []
    _block(desk, "Finch").press("Enter")
    expect(desk.page.get_by_role("heading", level=1, name="Finch")).to_be_visible()
    assert _rig_of(desk, "Finch") in {"Blue truck", "The van"}


def test_six_rigs_with_thirty_stops_fit(
    live_site: LiveSite, shop: Actor, driver: UUID, new_phone: NewPhone, axe_source: str
) -> None:
    a_yard(shop)
    day = clock.today("America/Boise").isoformat()
    for number in range(6):
        stops = [_stop(shop, f"Customer {number}{at}", 2 + at, service_minutes=30) for at in range(5)]
        a_run(shop, a_rig(shop, name=f"Rig {number + 1}", driver_id=driver), *stops, day=day)
    desk = _desk(new_phone, live_site.base_url, axe_source)
    desk.open("/board")
    expect(desk.page.locator(".lane .block")).to_have_count(30)
    assert desk.page.evaluate(FITS) == {"lanes": 6, "blocks": 30, "sideways": False}
    assert accessibility_violations(desk.page, "six rigs", least_px=24) == []
