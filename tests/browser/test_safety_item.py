"""Safety devices on a phone without signal: a guard missing at check-in, left; a seat switch, repaired and tried."""

from io import BytesIO
from typing import Any

from playwright.sync_api import expect
from pypdf import PdfReader

from shopapi.accounts.queries import system_actor
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Printout
from shopapi.dispatch.services.hand_overs import hand_over
from shopapi.dispatch.services.printouts import make_printout, print_hand_over
from shopapi.documents.services.storage import read_document
from shopapi.jobs.models import Job, SafetyAcknowledgement, SafetyItem
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.browser.phone import Phone
from tests.factories import work
from tests.factories.rigs import a_stop
from tests.factories.work import INK
from tests.site import LiveSite

LOST = (
    "Guards keep hands and feet away from moving parts, the chute turns thrown stones down."
    " Without them that protection is gone."
)


def signed(shop: Actor, **fields: Any) -> Any:
    ink = {"id": uuid7(), "strokes": INK, "width": 300, "height": 150}
    return work.do(
        shop, hand_over, id=uuid7(), at=now(), signer_name="Winnie Stroud", signature=ink, **fields
    ).id  # fmt: skip


def a_phone(live_site: LiveSite, new_phone: NewPhone, axe_source: str) -> Phone:
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    return phone


def sheet_of(shop: Actor, hand_over_id: Any) -> str:
    printout_id = uuid7()
    work.do(shop, print_hand_over, id=printout_id, hand_over_id=hand_over_id)
    with in_shop(shop.shop_id):
        make_printout(actor=system_actor(shop.shop_id), printout_id=printout_id)
        document = Printout.objects.get(id=printout_id).document
        pages = PdfReader(BytesIO(read_document(actor=shop, document=document))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_a_guard_missing_at_check_in_is_left_and_printed(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    customer = work.a_customer(shop, name="Winnie Stroud")
    machine = work.a_machine(shop, customer)
    site = work.a_site(shop, customer)
    job = work.a_job(shop, customer_id=customer, machine_id=machine, site_id=site)
    pickup = a_stop(shop, job)
    signed(shop, stop_id=pickup, condition=[{"part": "guards", "state": "missing", "note": "Chute gone"}])
    with in_shop(shop.shop_id):
        Job.objects.filter(id=job).update(stage="testing")
    phone = a_phone(live_site, new_phone, axe_source)
    phone.open(f"/jobs/{job}/stage")
    expect(phone.page.get_by_role("button", name="Ready")).to_have_count(0)
    phone.context.set_offline(True)
    phone.press("Guards and chute: missing. Chute gone")
    phone.expect_heading("Guards and chute")
    assert not accessibility_violations(phone.page, "a safety item")
    phone.press("Record a search for the part")
    phone.fill("Where you asked", "Hartvale dealer")
    phone.press("Save")
    phone.expect_text("Enter what they said")
    phone.fill("What they said", "No longer made")
    phone.press("Save")
    phone.expect_text("Hartvale dealer")
    phone.press("The customer knows and wants it left")
    assert phone.page.get_by_label("What protection is missing", exact=True).input_value() == LOST
    phone.choose_option("On the phone")
    phone.press("Save")
    phone.expect_heading("Winnie Stroud")
    expect(phone.page.get_by_role("heading", name="Before this job can be ready")).to_have_count(0)
    phone.open(f"/jobs/{job}/stage")
    phone.press("Ready")
    phone.context.set_offline(False)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert Job.objects.get(id=job).stage == "ready"
        item = SafetyItem.objects.get()
        assert [one["where"] for one in item.part_search] == ["Hartvale dealer"]
        assert [told["item_id"] for told in SafetyAcknowledgement.objects.get().items] == [str(item.id)]
    text = sheet_of(shop, signed(shop, stop_id=a_stop(shop, job, kind="return")))
    assert f"Guards and chute: missing. Chute gone [Guards and chute (missing)]: {LOST}" in text
    assert "We recommended the repair. Told: Winnie Stroud, on the phone," in text
    # The next visit offers it again; one tap takes it up.
    again = work.a_job(shop, customer_id=customer, machine_id=machine, site_id=site)
    phone.open(f"/jobs/{again}")
    phone.page.get_by_role("button", name="Guards and chute: missing").click()
    phone.expect_text("Before this job can be ready")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        taken = SafetyItem.objects.get(job=again)
        assert (taken.device, taken.condition) == ("guards_and_chute", "missing")
        assert taken.finding.again_of_id == item.finding_id


def test_a_seat_switch_is_recorded_repaired_and_tried_without_signal(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    job = work.a_job(shop, customer_id=work.a_customer(shop, name="Winnie Stroud"))
    with in_shop(shop.shop_id):
        Job.objects.filter(id=job).update(stage="testing")
    phone = a_phone(live_site, new_phone, axe_source)
    phone.open(f"/jobs/{job}")
    phone.context.set_offline(True)
    phone.press("Safety device")
    phone.press("Save")
    phone.expect_text("Choose the device, or enter what it is called")
    phone.page.get_by_label("Which one", exact=True).select_option("seat_switch")
    phone.choose_option("Not working")
    assert not accessibility_violations(phone.page, "a new safety item")
    phone.press("Save")
    phone.expect_text("Before this job can be ready")
    phone.press("Seat switch: not working")
    phone.press("Repaired and tried")
    phone.press("It works")
    phone.expect_text("Enter how many times, 1 to 1000")
    phone.fill("How many times tried", "3")
    phone.fill("What you saw", "Engine stops each time")
    phone.press("It works")
    phone.expect_text("Recorded as repaired")
    expect(phone.page.get_by_role("heading", name="Before this job can be ready")).to_have_count(0)
    phone.press("Undo")
    phone.expect_text("Before this job can be ready")
    phone.open(f"/jobs/{job}/stage")
    phone.press("Seat switch: not working")
    phone.press("Repaired and tried")
    phone.fill("How many times tried", "3")
    phone.fill("What you saw", "Engine stops each time")
    phone.press("It works")
    phone.expect_text("Recorded as repaired")
    phone.open(f"/jobs/{job}/stage")
    phone.press("Ready")
    phone.context.set_offline(False)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert Job.objects.get(id=job).stage == "ready"
        item = SafetyItem.objects.get()
        assert (item.repaired, [trial["works"] for trial in item.trials]) == (True, [True, False, True])
