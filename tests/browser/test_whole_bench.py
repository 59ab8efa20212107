"""One machine from make-safe to release on two phones that take turns, each without a signal while it works."""

from uuid import UUID

from playwright.sync_api import expect

from shopapi.bench.models import CautionSeen, Check, FastenerMove, Reading, RemovalStep, RunTest
from shopapi.bench.queries.fasteners import ledger_of
from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Finding, Job, SafetyItem
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.browser.test_run_tests import count_starts, try_safety_switches
from tests.browser.test_teardown import ONLINE, put_back, take_apart
from tests.factories import work
from tests.site import LiveSite


def test_from_make_safe_to_release(live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str) -> None:
    customer = work.a_customer(shop, name="Winnie Stroud")
    machine = work.a_machine(shop, customer, kind="garden tractor", make="Hartvale", model="GT 18")
    job = work.a_job(shop, customer_id=customer, machine_id=machine)
    work.a_complaint(shop, job, words="Sometimes it does not start")
    mechanic, owner = new_phone(live_site.base_url), new_phone(live_site.base_url)
    for phone, who in ((mechanic, MECHANIC), (owner, OWNER)):
        phone.context.add_init_script(axe_source)
        phone.sign_in(who)
        phone.wait_for_offline_app()

    bench, stage = f"/jobs/{job}/bench", f"/jobs/{job}/stage"
    look_over(mechanic, job)
    hand_on(mechanic, owner, bench, "1 bad")
    measure(owner, job)
    note_bypass(owner, job)
    move_to(owner, job, "Repair")
    hand_on(owner, mechanic, stage, "Now: Repair")
    take_apart(mechanic, job)
    hand_on(mechanic, owner, f"/jobs/{job}/put-back", "Connecting rod")
    put_back(owner, job)
    move_to(owner, job, "Testing")
    hand_on(owner, mechanic, stage, "Now: Testing")
    release(mechanic, job)
    hand_on(mechanic, owner, stage, "Now: Ready")
    with in_shop(shop.shop_id):
        assert Job.objects.get().stage == "ready"
        assert Check.objects.filter(result="bad").exists()
        assert Reading.objects.get().verdict == "outside"
        assert SafetyItem.objects.get().repaired
        assert {finding.rank for finding in Finding.objects.all()} >= {"safety"}
        assert not RemovalStep.objects.filter(back_at=None).exists()
        assert FastenerMove.objects.exists()
        assert ledger_of(shop, job)[0].places == ()
        assert RunTest.objects.get(kind="starts").good == 12
        assert CautionSeen.objects.exists()
    for phone in (mechanic, owner):
        phone.close()


def hand_on(giver: Phone, taker: Phone, path: str, words: str) -> None:
    """The giver's phone finds its signal and sends; the taker's goes on once it shows `words` at `path`."""
    for phone in (giver, taker):
        phone.context.set_offline(False)
        phone.page.evaluate(ONLINE)
        phone.wait_until_sent()
    taker.open(path)
    taker.expect_text(words)


def begin(phone: Phone, path: str) -> None:
    phone.open(path)
    phone.context.set_offline(True)


def look_over(phone: Phone, job: UUID) -> None:
    begin(phone, f"/jobs/{job}/bench")
    phone.press("Checks")
    phone.press("Check-in, chipper")
    phone.press("Remove item 9")
    phone.press("Save list")
    phone.fill("What you see", "Bar bent")
    phone.page.locator(".check-answers").get_by_role("button", name="Bad", exact=True).click()
    phone.expect_text("2 of 8")


def measure(phone: Phone, job: UUID) -> None:
    begin(phone, f"/jobs/{job}/bench")
    phone.press("Measure")
    phone.press("Add a gauge")
    phone.fill("Name", "Caliper")
    phone.page.get_by_label("Unit", exact=True).select_option("mm")
    phone.fill("Sure to ±", "0.02")
    phone.press("Save gauge")
    phone.page.get_by_label("Gauge", exact=True).select_option(label="Caliper")
    phone.fill("What you measure", "Coil air gap")
    phone.fill("At least, mm", "0.20")
    phone.fill("At most, mm", "0.60")
    phone.fill("Reading, mm", "0.75")
    phone.press("Save reading")
    phone.expect_heading("0.75 mm")


def note_bypass(phone: Phone, job: UUID) -> None:
    phone.open(f"/jobs/{job}/safety-item")
    phone.page.get_by_label("Which one", exact=True).select_option("seat_switch")
    phone.choose_option("Bypassed")
    phone.press("Save")
    phone.expect_heading("Winnie Stroud")


def move_to(phone: Phone, job: UUID, stage: str) -> None:
    phone.open(f"/jobs/{job}/stage")
    phone.press(stage)
    phone.expect_heading("Winnie Stroud")


def release(phone: Phone, job: UUID) -> None:
    """Tested, refused as long as the switch is bypassed, repaired and tried, released."""
    begin(phone, f"/jobs/{job}/tests")
    phone.press("I have read this")
    # It is kept before the next page loads.
    expect(phone.page.get_by_role("button", name="I have read this")).to_have_count(0)
    try_safety_switches(phone, job)
    count_starts(phone, job)
    phone.open(f"/jobs/{job}/stage")
    phone.expect_text("Before this job can be ready")
    expect(phone.page.get_by_role("button", name="Ready")).to_have_count(0)
    phone.press("Seat switch")
    phone.press("Repaired and tried")
    phone.fill("How many times tried", "3")
    phone.fill("What you saw", "The engine stops each time")
    phone.press("It works")
    phone.expect_text("Recorded as repaired")
    phone.open(f"/jobs/{job}/stage")
    phone.press("Ready")
    phone.expect_heading("Winnie Stroud")
