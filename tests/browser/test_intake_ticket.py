"""A whole intake without a signal: everything that can be taken down, then the ticket as PDF and as a message."""

import re
from decimal import Decimal
from io import BytesIO
from uuid import UUID

from playwright.sync_api import FilePayload, expect
from pypdf import PdfReader

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.files.models import Attachment
from shopapi.jobs.models import Job
from shopapi.machines.models import MeterReading
from shopapi.notices.models import Notice
from shopapi.quotes.models import IntakeTerms
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.browser.phone import Phone
from tests.files.sample_pictures import encode, sample_image
from tests.site import LiveSite


def test_an_intake_without_a_signal_and_its_ticket(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    live_site.start_worker()
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.open("/new-job")
    phone.wait_for_offline_app()
    phone.context.set_offline(True)

    _fill_in(phone)
    assert accessibility_violations(phone.page, "intake") == []
    phone.press("Open the job")
    phone.expect_heading("Otis Quill")
    phone.expect_text("Down, losing money")
    phone.expect_text("due Thu, Dec 24")
    expect(phone.page.get_by_role("link", name="Call Otis Quill, second phone")).to_have_attribute(
        "href", "tel:2085557001"
    )
    phone.press("Ticket", exact=True)
    phone.expect_text("Accepted by Otis Quill")
    # He wants mail, so that is the main act. Nothing is sent without a signal.
    phone.press("Email the ticket")
    phone.expect_text("Making the PDF.")
    assert accessibility_violations(phone.page, "ticket") == []

    phone.context.set_offline(False)
    phone.wait_until_sent()
    ticket = phone.page.get_by_role("link", name="Open the ticket")
    expect(ticket).to_be_visible()
    answer = phone.context.request.get(f"{live_site.base_url}{ticket.get_attribute('href')}")
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(answer.body())).pages).split())
    for words in ("serial 0042-B", "Hour meter 412.5 h", "Down, losing money", "208 555 7001", "$60.00", "Otis Quill"):
        assert words in text, (words, text)
    machine_id = _stored_on(shop)
    # The machine's screen shows the picture by its name.
    phone.open(f"/machines/{machine_id}")
    expect(phone.page.get_by_role("img", name="Plate")).to_be_visible()
    phone.close()


def _fill_in(phone: Phone) -> None:
    """What is needed first, then all that More holds for a new customer's machine."""
    phone.fill("Customer’s name or phone", "Otis Quill")
    phone.fill("Phone", "208 555 7000")
    phone.fill("Type of machine", "Mower")
    phone.fill("In the customer’s words", "Will not start")
    # What is needed first: name, phone, type, make, model, complaint.
    assert phone.page.locator("main input:visible:not([type=radio]), main textarea:visible").count() == 6
    phone.open_more()
    phone.choose_option("Down, losing money")
    phone.fill("Needed by", "2026-12-24")
    phone.fill("Hour meter now", "412.5")
    phone.fill("Serial number", "0042-B")
    picture: FilePayload = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": encode(sample_image(), "JPEG")}
    phone.page.get_by_label("Choose photos").set_input_files(picture)
    phone.expect_text("Photo saved on this phone")
    phone.fill("Second phone", "208 555 7001")
    phone.page.get_by_role("textbox", name="Email").fill("otis@quill.example")
    phone.choose_option("Email")
    phone.choose_option("Diagnosis fee $60.00")
    expect(phone.page.get_by_label("Accepted by")).to_have_value("Otis Quill")


def _stored_on(shop: Actor) -> UUID:
    """The machine; what was taken down is stored where it belongs."""
    with in_shop(shop.shop_id):
        job = Job.objects.select_related("customer").get()
        assert (job.urgency, job.arrives_by, job.customer.contact_by) == ("down", "drop_off", "email")
        assert MeterReading.objects.get(machine=job.machine_id).hours == Decimal("412.5")
        plate = Attachment.objects.get(about_kind="machine", about_id=job.machine_id)
        assert plate.caption == "Plate"
        assert IntakeTerms.objects.get(job=job).diagnosis_fee_minor == 6000
        notice = Notice.objects.get(template="machine_received")
        assert (notice.address, notice.state) == ("otis@quill.example", "by_hand")
        assert re.search(r"\{link\}", notice.body_words)
        return job.machine_id
