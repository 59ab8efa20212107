"""A phone on a run: QR tags by camera, its position, breakdowns, map tiles."""

import re
import threading
from collections.abc import Callable, Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from io import BytesIO
from pathlib import Path
from uuid import UUID

import pytest
import segno
from django.db import connections
from PIL import Image
from playwright.sync_api import Browser, ViewportSize, expect

from shopapi.accounts.models import Member
from shopapi.core import clock
from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import PlanRequest, Rig, Run, Stop
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.conftest import QUIET_CHROMIUM
from tests.factories import work
from tests.factories.rigs import a_rig, a_run, a_stop, a_yard
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite

# Everything that the app stores on the phone.
KEPT = """async () => {
    const found = await Promise.all((await caches.keys()).map(async (name) => (await caches.open(name)).keys()))
    return found.flat().map(({ url }) => url)
}"""


@pytest.fixture
def seen(tmp_path: Path) -> Path:
    """The film of a fake camera in Chromium: a sequence of JPEG pictures."""
    film = tmp_path / "seen.mjpeg"
    film.write_bytes(_picture(None))
    return film


class Tiles:
    """A service of map tiles on this machine, and a site that names it."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.asked: list[str] = []
        self.gone = False
        tiles = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                tiles.asked.append(self.path)
                self.send_response(404 if tiles.gone else 200)
                self.send_header("Content-Type", "image/png")
                self.end_headers()
                if not tiles.gone:
                    tile = BytesIO()
                    Image.new("RGB", (256, 256), (210, 214, 190)).save(tile, "PNG")
                    self.wfile.write(tile.getvalue())

            def log_message(self, *args: object) -> None:
                pass

        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        threading.Thread(target=self._server.serve_forever, daemon=True).start()
        monkeypatch.setenv("DRAWBAR_TILES_URL", f"http://127.0.0.1:{self._server.server_port}/{{z}}/{{x}}/{{y}}.png")
        monkeypatch.setenv("DRAWBAR_TILES_CREDIT", "Tiles by nobody")
        self.site = LiveSite(folder, connections["owner"].settings_dict["NAME"])
        self.site.start()

    def close(self) -> None:
        self.site.stop()
        self._server.shutdown()
        self._server.server_close()


@pytest.fixture
def tiles(committed_db: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Tiles]:
    tiles = Tiles(tmp_path, monkeypatch)
    yield tiles
    tiles.close()


@pytest.fixture
def phone(launch_browser: Callable[..., Browser], proxy: FlakyProxy, seen: Path) -> Iterator[Phone]:
    """A phone with a camera, whose owner has not yet allowed anything."""
    camera = ("--use-fake-device-for-media-stream", f"--use-file-for-fake-video-capture={seen}")
    browser = launch_browser(args=[*QUIET_CHROMIUM, *camera])
    size: ViewportSize = {"width": 360, "height": 740}
    phone = Phone(browser.new_context(viewport=size, locale="en-US", has_touch=True, is_mobile=True), proxy.url)
    yield phone
    phone.close()
    browser.close()


def test_a_tag_is_scanned_with_no_signal_and_typed_with_no_camera(
    proxy: FlakyProxy, shop: Actor, phone: Phone, seen: Path, axe_source: str
) -> None:
    customer = work.a_customer(shop)
    machine = work.a_machine(shop, customer, tag="Hook 7")
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    assert "BarcodeDetector" not in phone.page.evaluate("Object.getOwnPropertyNames(globalThis)")
    kept = phone.page.evaluate(KEPT)
    assert [url for url in kept if url.endswith(".wasm")]
    (reader,) = [url for url in kept if "/assets/reader-" in url]
    # Only the worker may compile WebAssembly, and it makes no other requests.
    policies = [phone.page.request.get(url).headers["content-security-policy"] for url in (proxy.url, reader)]
    assert ["wasm-unsafe-eval" in policy for policy in policies] == [False, True]
    assert all("connect-src 'self'" in policy for policy in policies)
    proxy.refuse()

    phone.open("/tag")
    phone.press("Scan it")
    phone.expect_text("Can’t use the camera.")
    phone.fill("What the tag says", "hook-7")
    phone.press("Open the machine")
    phone.expect_heading("Hartvale GT 22 garden tractor")

    phone.context.grant_permissions(["camera"])
    seen.write_bytes(_picture(f"{proxy.url}/machines/{UUID(int=7)}"))
    phone.open("/tag")
    phone.press("Scan it")
    phone.expect_text(f"No machine on this phone has the tag “{UUID(int=7)}”", seconds=40)

    seen.write_bytes(_picture(None))
    phone.press("Scan it")
    phone.expect_text("Point the camera at the tag")
    expect(phone.page.get_by_role("button", name="Stop scanning")).to_be_visible()
    assert accessibility_violations(phone.page, "Machine tag, looking") == []
    phone.press("Stop scanning")
    expect(phone.page.locator("video")).to_have_count(0)

    seen.write_bytes(_picture(f"{proxy.url}/machines/{machine}"))
    phone.press("Scan it")
    expect(phone.page.get_by_role("heading", level=1, name="Hartvale GT 22")).to_be_visible(timeout=40_000)


def test_position_is_read_from_the_phone_or_asked_for(proxy: FlakyProxy, shop: Actor, phone: Phone) -> None:
    site = work.a_site(shop, work.a_customer(shop), lat=None, lon=None)
    phone.sign_in(MECHANIC)
    phone.open(f"/sites/{site}")
    phone.press("Use my location")
    phone.expect_text("Can’t get this phone’s location.")
    expect(phone.page.get_by_label("Position", exact=True)).to_have_value("")

    phone.context.grant_permissions(["geolocation"])
    phone.context.set_geolocation({"latitude": 40.312345, "longitude": -98.441234})
    phone.press("Use my location")
    expect(phone.page.get_by_label("Position", exact=True)).to_have_value("40.312345, -98.441234")
    expect(phone.page.get_by_text("Can’t get this phone’s location.")).to_have_count(0)
    phone.press("Save")
    phone.expect_heading("Winnie Stroud")
    phone.wait_until_sent()


def _picture(words: str | None) -> bytes:
    """A tag in somebody's hand: askew, not white, not sharp. Without words the hand is empty."""
    picture = Image.new("RGB", (640, 480), (146, 138, 120))
    if words is not None:
        code = BytesIO()
        segno.make(words, error="m", micro=False).save(code, kind="png", scale=7, border=4, dark="#222", light="#ddc")
        tag = Image.open(code).convert("RGBA").rotate(9, expand=True, resample=Image.Resampling.BICUBIC)
        picture.paste(tag, (150, 60), tag)
    written = BytesIO()
    picture.save(written, "JPEG", quality=70)
    return written.getvalue()


def test_breakdown_reported_offline_reaches_the_shop(
    proxy: FlakyProxy, shop: Actor, new_phone_of_each: NewPhone, axe_source: str
) -> None:
    with in_shop(shop.shop_id):
        driver = Member.objects.get(user__email=MECHANIC).id
    a_yard(shop)
    rig = a_rig(shop, driver_id=driver)
    done, ahead = (a_stop(shop, _job(shop, name)) for name in ("June Castellan", "Abel Fenn"))
    run = a_run(shop, rig, done, ahead, day=clock.today("America/Boise"))
    phone = new_phone_of_each(proxy.url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    proxy.refuse()
    phone.press("Open the run")
    phone.press("Start the run")
    phone.press("Next stop")
    phone.expect_heading("June Castellan")
    phone.press("Arrived")
    phone.press("Left", exact=True)
    phone.expect_heading("Run: Blue truck")
    phone.press("Broken down")
    phone.expect_heading("Broken down")
    phone.expect_text("Get off the road first")
    assert accessibility_violations(phone.page, "Broken down") == []
    phone.fill("What happened", "Wheel bearing, right rear")
    phone.fill("Where it is", "Mill Road, by the bridge")
    phone.press("Save what happened")
    phone.expect_heading("Run: Blue truck")
    # Over on this phone at once: nobody is sent on to a stop that the rig cannot reach.
    expect(phone.page.get_by_role("button", name="Next stop")).to_have_count(0)
    with in_shop(shop.shop_id):
        assert Rig.objects.get().out_at is None

    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert (Rig.objects.get().out_note, Run.objects.get(id=run).state) == ("Wheel bearing, right rear", "done")
        stops = {stop.id: stop for stop in Stop.objects.all()}
        states = {stop_id: (stop.state, stop.run_id) for stop_id, stop in stops.items()}
        (aboard,) = stops.keys() - {done, ahead}
    assert states == {done: ("left", run), ahead: ("asked", None), aboard: ("asked", None)}
    # What was fetched is on the deck: it is to be fetched from there.
    stop = stops[aboard]
    assert (stop.job_id, stop.from_rig_id, stop.place) == (stops[done].job_id, rig, "Mill Road, by the bridge")

    _office_reads_and_repairs(new_phone_of_each(proxy.url), aboard)
    with in_shop(shop.shop_id):
        assert Rig.objects.get().out_at is None


def _office_reads_and_repairs(office: Phone, aboard: UUID) -> None:
    office.sign_in(OWNER)
    office.open(f"/stops/{aboard}")
    office.expect_text("On the deck of Blue truck, broken down")
    office.expect_text("Mill Road, by the bridge")
    office.open("/plan")
    office.expect_text("Wheel bearing, right rear")
    expect(office.list_item("Abel Fenn")).to_be_visible()
    office.press("Back in service")
    expect(office.page.get_by_role("button", name="Back in service")).to_have_count(0)
    office.wait_until_sent()


def test_one_press_is_an_urgent_call_and_one_takes_a_breakdown_back(
    proxy: FlakyProxy, shop: Actor, new_phone: NewPhone
) -> None:
    with in_shop(shop.shop_id):
        driver = Member.objects.get(user__email=MECHANIC).id
    a_yard(shop)
    first, second = (a_stop(shop, _job(shop, name)) for name in ("June Castellan", "Abel Fenn"))
    a_run(shop, a_rig(shop, driver_id=driver), first, second, day=clock.today("America/Boise"))
    _job(shop, "Marlow Teague")
    phone = new_phone(proxy.url)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    proxy.refuse()
    phone.press("Open the run")
    phone.press("Start the run")
    phone.press("Broken down")
    phone.expect_heading("Broken down")
    phone.press("Undo", exact=True)
    phone.expect_heading("Run: Blue truck")
    expect(phone.page.locator("ol.stop-list > li")).to_have_count(2)
    phone.press("Next stop")
    phone.expect_heading("June Castellan")

    phone.open("/road")
    phone.press("Urgent call")
    phone.fill("Whose machine", "Teague")
    expect(phone.page.get_by_role("button", name="Pick it up today")).to_have_count(1)
    phone.press("Pick it up today")
    phone.expect_text("First today")

    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert (Rig.objects.get().out_at, Run.objects.get(state="driving").driver_id) == (None, driver)
        on = {stop.id: (stop.state, stop.run and stop.run.state) for stop in Stop.objects.filter(priority="usual")}
        assert on == {first: ("driving", "driving"), second: ("planned", "driving")}
        urgent = Stop.objects.get(priority="first")
        assert (urgent.kind, urgent.promised_on) == ("pickup", clock.today("America/Boise"))
        causes = PlanRequest.objects.order_by("created_at").values_list("cause", flat=True)
        assert list(causes) == ["breakdown", "urgent"]


def test_map_tiles_are_drawn_while_they_load(shop: Actor, new_phone: NewPhone, tiles: Tiles, axe_source: str) -> None:
    a_yard(shop)
    stop = a_stop(shop, _job(shop, "June Castellan"))
    run = a_run(shop, a_rig(shop), stop, day=clock.today("America/Boise"))
    phone = new_phone(tiles.site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(OWNER)
    phone.open(f"/runs/{run}")
    phone.expect_text("Tiles by nobody")
    first = phone.page.locator(".location-map image").first
    expect(first).to_be_attached()
    # Shown, not refused by the page's own policy.
    loaded = "image => new Promise(done => Object.assign(new Image(), {onload: () => done(true),"
    assert first.evaluate(f"{loaded} onerror: () => done(false), src: image.getAttribute('href')}}))")
    assert tiles.asked
    assert all(re.fullmatch(r"/\d+/\d+/\d+\.png", path) for path in tiles.asked)
    assert accessibility_violations(phone.page, "A run on tiles") == []

    tiles.gone = True
    phone.page.reload()
    phone.expect_text("Tiles by nobody")
    expect(phone.page.locator(".location-map image")).to_have_count(0)
    expect(phone.page.locator(".location-map polyline").last).to_be_visible()


def _job(shop: Actor, name: str) -> UUID:
    customer = work.a_customer(shop, name=name)
    return work.a_job(shop, customer_id=customer, site_id=work.a_site(shop, customer))
