"""A whole day on the road in real browsers.

Planned by a real worker, driven with the network cut, planned anew after a no-show, handed over with ink, seen
everywhere.
"""

from datetime import date
from io import BytesIO
from uuid import UUID

from PIL import Image
from playwright.sync_api import expect

from shopapi.accounts.models import Member
from shopapi.accounts.queries import shop_of
from shopapi.core import clock
from shopapi.core.actor import Actor
from shopapi.core.shape import Edit
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import HandOver, PlanRequest, Run, Stop
from shopapi.dispatch.services.stops import pin_stop
from shopapi.files.models import Attachment
from shopapi.jobs.models import Job
from shopapi.jobs.services import move_job
from shopapi.labor.models import TimeEntry
from shopapi.quotes.services.writing import edit_shop
from tests.browser.axe import faults
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.factories import work
from tests.factories.rigs import a_rig, a_stop, a_yard
from tests.line import Line
from tests.site import LiveSite


def test_a_day_is_planned_driven_planned_anew_and_signed_for_with_the_network_cut_and_seen_everywhere(
    live_site: LiveSite, line: Line, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    live_site.start_worker()
    day = _early_in_the_day(shop)
    jobs = _three_jobs(shop)
    office = new_phone(live_site.base_url)
    office.context.add_init_script(axe_source)
    office.sign_in(OWNER)
    _ask_for_pickup(office, jobs["Abel Fenn"], day)
    _plan(office, day)

    phone = new_phone(line.url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.keep_app()
    phone.press("Open the run")
    phone.heading("Run of Blue truck")
    expect(phone.page.locator("ol.run > li")).to_have_count(3)
    expect(phone.page.get_by_role("img", name="Drawing of the run")).to_be_visible()

    line.refuse()
    phone.press("Start the run")
    phone.says("Next stop")
    _bring_back(phone)
    _nobody_home(phone)
    with in_shop(shop.shop_id):
        assert not HandOver.objects.exists()

    _back(line, phone)
    _take_the_rest_anew(phone)
    line.refuse()
    _order_by_hand(phone)
    _fetch(phone)
    _only_look(phone)
    phone.press("Home again")
    phone.says("The run is over")

    _back(line, phone)
    _server_holds_it(shop, jobs)
    _seen_elsewhere(office, jobs)


def _early_in_the_day(shop: Actor) -> date:
    """Moves the shop to where it is five in the morning: only the rest of the same day can be planned anew."""
    ahead = 5 - clock.now().hour
    # Named the other way round: Etc/GMT+7 lies west (IANA tz database).
    zone = f"Etc/GMT{-(ahead if ahead >= -12 else ahead + 24):+d}".replace("+0", "")
    with in_shop(shop.shop_id):
        kept = shop_of(shop).zone
    edit_shop(actor=shop, data=Edit(id=shop.shop_id, base={"zone": kept}, set={"zone": zone}))
    return clock.today(zone)


def _back(line: Line, phone: Phone) -> None:
    """There is a signal again, and everything is sent."""
    line.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.all_sent()


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
    work.a_finding(shop, back, words="Blade brake is worn", consequence="The blades keep turning", rank="safety")
    for stage in ("repair", "proving", "ready"):
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
    phone.press("Fetch it")
    phone.heading("Fetch it")
    phone.page.get_by_label("Day", exact=True).fill(day.isoformat())
    phone.press("Ask for it")
    phone.says("Give day, from and to")
    phone.fill("From", "07:00")
    phone.fill("To", "16:00")
    phone.pick("Ramp")
    phone.page.locator("button.slab").click()
    phone.heading("Abel Fenn")
    phone.says("Not planned yet")


def _plan(phone: Phone, day: date) -> None:
    phone.press("Today")
    phone.press("Plan runs")
    phone.heading("Plan runs")
    phone.page.get_by_label("Day", exact=True).select_option(day.isoformat())
    phone.page.locator("button.slab").click()
    expect(phone.page.get_by_text("Take this plan")).to_be_visible(timeout=60_000)
    phone.says("No better plan exists for what was entered.")
    assert faults(phone.page, "a plan") == []
    phone.press("Take this plan")
    phone.all_sent()


def _bring_back(phone: Phone) -> None:
    phone.row("June Castellan").click()
    phone.heading("June Castellan")
    phone.says("Gate code 4417")
    expect(phone.page.get_by_role("link", name="Way there")).to_have_attribute("href", "geo:40.32,-98.441")
    phone.press("On my way")
    phone.heading("On my way")
    phone.press("I told them")
    phone.says("Told:")
    phone.press("Arrived")
    phone.press("Hand over the machine")
    phone.heading("Pictures of it")
    phone.press("Go on")
    phone.heading("Hour meter")
    phone.fill("Hours on the meter", "600")
    phone.press("Go on")
    phone.says("That is lower than the 612.4 h")
    phone.fill("Hours on the meter", "613.5")
    phone.press("Go on")
    phone.heading("As it is left")
    assert faults(phone.page, "As it is left") == []
    phone.pick("Brake set, key out")
    phone.press("Go on")
    phone.heading("Turn the phone round")
    assert faults(phone.page, "Turn the phone round") == []
    phone.press("Give it to the owner")
    phone.heading("Open, and able to hurt someone")
    assert faults(phone.page, "Open, and able to hurt someone") == []
    phone.press("Go on")
    phone.says("Please read this one and tick it")
    phone.pick("I have read this")
    phone.press("Go on")
    phone.heading("Name and signature")
    assert faults(phone.page, "Name and signature") == []
    phone.press("I sign this")
    phone.says("Please write your name")
    # Whatever the owner types for an address, this is all they reach; what they wrote stays.
    phone.fill("Your name", "June Castellan")
    phone.open("/find")
    phone.heading("Name and signature")
    expect(phone.page.get_by_label("Your name")).to_have_value("June Castellan")
    expect(phone.page.locator(".strip")).to_have_count(0)
    _sign(phone)
    phone.heading("June Castellan")
    phone.press("The travel clock begins")
    phone.heading("Run of Blue truck")


def _sign(phone: Phone) -> None:
    """The owner signs, and the member takes the phone back."""
    phone.sign_on_glass()
    phone.press("I sign this")
    phone.heading("Thank you")
    phone.hold("I have the phone back")


def _nobody_home(phone: Phone) -> None:
    phone.row("Abel Fenn").click()
    phone.heading("Abel Fenn")
    phone.press("Arrived")
    # Pressed too early: one tap takes it back, the travel clock with it.
    phone.press("Undo")
    phone.press("The travel clock ends")
    phone.press("Nobody home")
    phone.heading("Run of Blue truck")


def _fetch(phone: Phone) -> None:
    phone.row("Marlow Teague").click()
    phone.press("Arrived")
    phone.press("Hand over the machine")
    phone.heading("Pictures of it")
    with phone.page.expect_file_chooser() as asked:
        phone.page.locator("label.key.file").filter(has_text="Front").click()
    asked.value.set_files({"name": "front.jpg", "mimeType": "image/jpeg", "buffer": _photo()})
    phone.says("Front: 1 picture")
    phone.press("Go on")
    phone.heading("How it is")
    assert faults(phone.page, "How it is") == []
    phone.page.locator("fieldset").filter(has_text="Mower deck").get_by_text("Broken").click()
    phone.fill("Mower deck: what is to be seen", "Left edge is bent")
    phone.press("Go on")
    phone.fill("Hours on the meter", "618")
    phone.press("Go on")
    phone.heading("What comes with it")
    assert faults(phone.page, "What comes with it") == []
    phone.fill("Keys", "1, on the seat")
    phone.pick("It runs")
    phone.press("Go on")
    phone.heading("Made ready for the road")
    assert faults(phone.page, "Made ready for the road") == []
    phone.pick("Key out")
    phone.fill("Straps or chains on it", "4")
    phone.press("Go on")
    phone.press("Give it to the owner")
    phone.heading("Name and signature")
    phone.press("Hand the phone back unsigned")
    phone.says("Nothing was signed.")
    phone.press("Back to what I sign")
    phone.fill("Your name", "Marlow Teague")
    _sign(phone)
    phone.heading("Marlow Teague")
    phone.press("The travel clock begins")
    phone.heading("Run of Blue truck")


def _take_the_rest_anew(phone: Phone) -> None:
    """The no-show has asked for it by itself: the one who was not at home has another turn at the end."""
    phone.says("The rest of the day, planned anew", seconds=60)
    assert faults(phone.page, "The rest of the day") == []
    phone.press("Take this plan")
    expect(phone.page.get_by_text("The rest of the day, planned anew")).to_have_count(0)
    phone.all_sent()
    # June was brought back, Abel was not at home; before the rig are Marlow and Abel once more.
    expect(phone.page.locator("ol.run > li")).to_have_count(4)


def _order_by_hand(phone: Phone) -> None:
    """With no signal the order is one's own, checked on the phone alone."""
    phone.page.get_by_role("button", name="↑ Up").first.click()
    phone.says("This order, checked on the phone")
    phone.press("Undo")


def _only_look(phone: Phone) -> None:
    phone.press("Next stop")
    phone.heading("Abel Fenn")
    phone.press("Arrived")
    phone.press("Left", exact=True)
    phone.heading("Run of Blue truck")


def _server_holds_it(shop: Actor, jobs: dict[str, UUID]) -> None:
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


def _seen_elsewhere(phone: Phone, jobs: dict[str, UUID]) -> None:
    phone.open(f"/jobs/{jobs['Marlow Teague']}")
    phone.row("Done").click()
    phone.row("Marlow Teague").first.click()
    phone.heading("What was handed over")
    phone.says("Signed for exactly this")
    expect(phone.page.get_by_role("img", name="Signature of Marlow Teague")).to_be_visible()
    phone.press("Make the signed sheet")
    expect(phone.page.get_by_role("link", name="Open the signed sheet")).to_be_visible(timeout=60_000)


def _photo() -> bytes:
    photo = BytesIO()
    Image.new("RGB", (640, 480), "green").save(photo, "JPEG")
    return photo.getvalue()
