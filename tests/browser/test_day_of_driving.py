"""A whole day of a run in real browsers.

Planned by a worker, driven without a network, replanned after a no-show, handed over with signatures, and the same on
every device.
"""

from datetime import date
from io import BytesIO
from uuid import UUID

from PIL import Image
from playwright.sync_api import expect

from shopapi.accounts.models import Member
from shopapi.core import clock
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import HandOver, PlanRequest, Run, Stop
from shopapi.dispatch.services.stops import pin_stop
from shopapi.files.models import Attachment
from shopapi.jobs.models import Job
from shopapi.jobs.services import acknowledge_finding, move_job
from shopapi.labor.models import TimeEntry
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.factories import work
from tests.factories.rigs import a_rig, a_stop, a_yard
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite


def test_day_is_planned_driven_replanned_and_signed_offline_and_synced(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    live_site.start_worker()
    # Each test begins in the morning there: only the rest of the same day can be planned again.
    day = clock.today("America/Boise")
    jobs = _three_jobs(shop)
    office = new_phone(live_site.base_url)
    office.context.add_init_script(axe_source)
    office.sign_in(OWNER)
    _ask_for_pickup(office, jobs["Abel Fenn"], day)
    _plan(office, day)

    phone = new_phone(proxy.url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    phone.press("Open the run")
    phone.expect_heading("Run: Blue truck")
    expect(phone.page.locator("ol.stop-list > li")).to_have_count(3)
    expect(phone.page.get_by_role("img", name="Map of the run")).to_be_visible()

    proxy.refuse()
    phone.press("Start the run")
    phone.expect_text("Next stop")
    _bring_back(phone)
    _nobody_home(phone)
    with in_shop(shop.shop_id):
        assert not HandOver.objects.exists()

    _back(proxy, phone)
    _take_the_rest_anew(phone)
    proxy.refuse()
    _order_by_hand(phone)
    _fetch(phone)
    _only_look(phone)
    phone.press("Back at the yard")
    phone.expect_text("The run is over")

    _back(proxy, phone)
    _expect_on_server(shop, jobs)
    _expect_on_other_phone(office, jobs)


def _back(proxy: FlakyProxy, phone: Phone) -> None:
    """The signal is back, and everything is sent."""
    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_until_sent()


def _three_jobs(shop: Actor) -> dict[str, UUID]:
    """Two machines to fetch, one that is ready to go back with a finding that can hurt someone left open."""
    places = {"June Castellan": 0.02, "Marlow Teague": 0.05, "Abel Fenn": 0.08}
    jobs = {}
    for name, north in places.items():
        customer = work.a_customer(shop, name=name, phone="(555) 014-2210")
        site = work.a_site(
            shop,
            customer,
            label="Farm",
            lat=f"{40.3 + north:.3f}",
            access_notes="Gate code 4417. The dog is loud and means nothing by it.",
        )
        machine = work.a_machine(shop, customer, mass_kg=250, length_cm=180, width_cm=110)
        work.a_reading(shop, machine)
        jobs[name] = work.a_job(shop, customer_id=customer, machine_id=machine, site_id=site)
    back = jobs["June Castellan"]
    words, lost = "Blade brake is worn", "The blades keep turning"
    finding = work.a_finding(shop, back, words=words, consequence=lost, rank="safety")
    evidence = {"acknowledged_by_name": "June Castellan", "how": "call", "acknowledged_at": now()}
    about = {"finding_id": finding, "finding_words": words, "protection_lost": lost}
    work.do(shop, acknowledge_finding, id=uuid7(), **about, **evidence)
    for stage in ("repair", "testing", "ready"):
        work.do(shop, move_job, id=back, stage=stage)
    a_yard(shop)
    with in_shop(shop.shop_id):
        driver = Member.objects.get(user__email=MECHANIC).id
    a_rig(shop, driver_id=driver)
    first = a_stop(shop, back, kind="return")
    second = a_stop(shop, jobs["Marlow Teague"])
    # The one that goes back stands in front of whatever is fetched.
    work.do(shop, pin_stop, id=second, after_id=first)
    return jobs


def _ask_for_pickup(phone: Phone, job: UUID, day: date) -> None:
    phone.open(f"/jobs/{job}")
    phone.press("Pick it up")
    phone.expect_heading("Pick it up")
    phone.page.get_by_label("Day", exact=True).fill(day.isoformat())
    phone.press("Request this stop")
    phone.expect_text("Fill in day, from and to")
    phone.fill("From", "07:00")
    phone.fill("To", "16:00")
    phone.choose_option("Ramp")
    phone.page.locator("button.primary-button").click()
    phone.expect_heading("Abel Fenn")
    phone.expect_text("Not planned yet")


def _plan(phone: Phone, day: date) -> None:
    phone.open("/road")
    phone.press("Plan runs")
    phone.expect_heading("Plan runs")
    phone.page.get_by_label("Day", exact=True).select_option(day.isoformat())
    phone.page.locator("button.primary-button").click()
    expect(phone.page.get_by_text("Use this plan")).to_be_visible(timeout=60_000)
    phone.expect_text("Best possible plan for what was entered.")
    assert accessibility_violations(phone.page, "a plan") == []
    phone.press("Use this plan")
    phone.wait_until_sent()


def _bring_back(phone: Phone) -> None:
    phone.list_item("June Castellan").click()
    phone.expect_heading("June Castellan")
    phone.expect_text("Gate code 4417")
    expect(phone.page.get_by_role("link", name="Directions")).to_have_attribute("href", "geo:40.32,-98.441")
    phone.press("Tell them when")
    phone.expect_heading("Tell them when")
    phone.press("I told them")
    phone.expect_text("Promised:")
    phone.press("Arrived")
    phone.press("Hand over the machine")
    phone.expect_heading("Photos")
    phone.press("Next", exact=True)
    phone.expect_heading("Hour meter")
    phone.fill("Hours on the meter", "600")
    phone.press("Next", exact=True)
    phone.expect_text("Lower than the last reading (612.4 h")
    phone.fill("Hours on the meter", "613.5")
    phone.press("Next", exact=True)
    phone.expect_heading("Left with the customer")
    assert accessibility_violations(phone.page, "Left with the customer") == []
    phone.choose_option("Brake set, key out")
    phone.press("Next", exact=True)
    phone.expect_heading("Turn the phone around")
    assert accessibility_violations(phone.page, "Turn the phone around") == []
    phone.press("Give it to the customer")
    phone.expect_heading("Unrepaired safety items")
    assert accessibility_violations(phone.page, "Unrepaired safety items") == []
    phone.press("Next", exact=True)
    phone.expect_text("Please read this one and check it")
    phone.choose_option("I have read this")
    phone.press("Next", exact=True)
    phone.expect_heading("Name and signature")
    assert accessibility_violations(phone.page, "Name and signature") == []
    phone.press("Sign", exact=True)
    phone.expect_text("Please enter your name")
    # Whatever the customer types for an address, this is all they reach; what they wrote stays.
    phone.fill("Your name", "June Castellan")
    phone.open("/find")
    phone.expect_heading("Name and signature")
    expect(phone.page.get_by_label("Your name")).to_have_value("June Castellan")
    expect(phone.page.locator(".top-bar")).to_have_count(0)
    _sign(phone)
    phone.expect_heading("June Castellan")
    phone.press("Starts the travel clock")
    phone.expect_heading("Run: Blue truck")


def _sign(phone: Phone) -> None:
    """The customer signs, and the member takes the phone back."""
    phone.draw_signature()
    phone.press("Sign", exact=True)
    phone.expect_heading("Thank you")
    phone.press_and_hold("I have the phone back")


def _nobody_home(phone: Phone) -> None:
    phone.list_item("Abel Fenn").click()
    phone.expect_heading("Abel Fenn")
    phone.press("Arrived")
    # Pressed too early: one tap takes it back, the travel clock with it.
    phone.press("Undo")
    phone.press("Stops the travel clock")
    phone.press("Nobody home")
    phone.expect_heading("Run: Blue truck")


def _fetch(phone: Phone) -> None:
    phone.list_item("Marlow Teague").click()
    phone.press("Arrived")
    phone.press("Hand over the machine")
    phone.expect_heading("Photos")
    with phone.page.expect_file_chooser() as asked:
        phone.page.locator("label.button.file-button").filter(has_text="Front").click()
    asked.value.set_files({"name": "front.jpg", "mimeType": "image/jpeg", "buffer": _photo()})
    phone.expect_text("Front: 1 photo")
    phone.press("Next", exact=True)
    phone.expect_heading("Condition")
    assert accessibility_violations(phone.page, "Condition") == []
    phone.page.locator("fieldset").filter(has_text="Mower deck").get_by_text("Damaged").click()
    phone.fill("Mower deck: notes", "Left edge is bent")
    phone.press("Next", exact=True)
    phone.fill("Hours on the meter", "618")
    phone.press("Next", exact=True)
    phone.expect_heading("Included with it")
    assert accessibility_violations(phone.page, "Included with it") == []
    phone.fill("Keys", "1, on the seat")
    phone.choose_option("It runs")
    phone.press("Next", exact=True)
    phone.expect_heading("Ready to haul")
    assert accessibility_violations(phone.page, "Ready to haul") == []
    phone.choose_option("Key out")
    phone.fill("Tie-downs used", "4")
    phone.press("Next", exact=True)
    phone.press("Give it to the customer")
    phone.expect_heading("Name and signature")
    phone.press("Give the phone back unsigned")
    phone.expect_text("Nothing was signed.")
    phone.press("Back to what I’m signing")
    phone.fill("Your name", "Marlow Teague")
    _sign(phone)
    phone.expect_heading("Marlow Teague")
    phone.press("Starts the travel clock")
    phone.expect_heading("Run: Blue truck")


def _take_the_rest_anew(phone: Phone) -> None:
    """The no-show has asked for it by itself: the one who was not at home has another turn at the end."""
    phone.expect_text("The rest of the day, re-planned", seconds=60)
    assert accessibility_violations(phone.page, "The rest of the day") == []
    phone.press("Use this plan")
    expect(phone.page.get_by_text("The rest of the day, re-planned")).to_have_count(0)
    phone.wait_until_sent()
    # June was brought back, Abel was not at home; before the rig are Marlow and Abel once more.
    expect(phone.page.locator("ol.stop-list > li")).to_have_count(4)


def _order_by_hand(phone: Phone) -> None:
    """With no signal the order is one's own, checked on the phone alone."""
    phone.page.get_by_role("button", name="↑ Up").first.click()
    phone.expect_text("This order, checked on the phone")
    phone.press("Undo")


def _only_look(phone: Phone) -> None:
    phone.press("Next stop")
    phone.expect_heading("Abel Fenn")
    phone.press("Arrived")
    phone.press("Left", exact=True)
    phone.expect_heading("Run: Blue truck")


def _expect_on_server(shop: Actor, jobs: dict[str, UUID]) -> None:
    with in_shop(shop.shop_id):
        run = Run.objects.get()
        plans = list(PlanRequest.objects.order_by("created_at").values_list("cause", "from_now", "state"))
        assert (run.state, plans) == ("done", [("asked", False, "done"), ("no_show", True, "done")])
        stops = list(Stop.objects.order_by("created_at").values_list("kind", "state", "failure"))
        assert sorted(stops) == sorted(
            [
                ("return", "left", ""),
                ("pickup", "left", ""),
                ("pickup", "failed", "nobody_home"),
                ("pickup", "left", ""),
            ]
        )
        back, fetched = HandOver.objects.order_by("created_at")
        assert (back.matches, back.signer_name, back.acknowledged) == (True, "June Castellan", ["Blade brake is worn"])
        assert back.reading is not None
        assert (fetched.matches, fetched.made_safe) == (True, ["key_out", "4 tie-downs on it"])
        assert fetched.condition == [{"part": "deck", "state": "damaged", "note": "Left edge is bent"}]
        assert fetched.signature is not None
        assert Job.objects.get(id=jobs["June Castellan"]).stage == "returned"
        assert Attachment.objects.get().caption == "Front"
        # Out to the first, on from each stop that was left; the last one home.
        times = TimeEntry.objects.values_list("kind", "state")
        assert set(times) == {("travel", "closed"), ("travel", "replaced")}


def _expect_on_other_phone(phone: Phone, jobs: dict[str, UUID]) -> None:
    phone.open(f"/jobs/{jobs['Marlow Teague']}")
    phone.list_item("Done").click()
    phone.list_item("Marlow Teague").first.click()
    phone.expect_heading("Hand-over record")
    phone.expect_text("Matches what was signed")
    expect(phone.page.get_by_role("img", name="Signature of Marlow Teague")).to_be_visible()
    phone.press("Make signed sheet")
    expect(phone.page.get_by_role("link", name="Open signed sheet")).to_be_visible(timeout=60_000)


def _photo() -> bytes:
    photo = BytesIO()
    Image.new("RGB", (640, 480), "green").save(photo, "JPEG")
    return photo.getvalue()
