"""A quote written, decided and signed without a signal, checked in every layer from phone to PDF."""

from io import BytesIO

from playwright.sync_api import expect
from pypdf import PdfReader

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.labor.models import TimeEntry
from shopapi.quotes.models import Approval, Line, Quote
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite


def test_quote_written_decided_and_signed_without_signal_is_the_same_everywhere(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone_of_each: NewPhone
) -> None:
    live_site.start_worker()
    phone = new_phone_of_each(proxy.url)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()

    proxy.refuse()
    phone.open_job(
        customer="Marlow Teague",
        phone="555 014 9001",
        kind="garden tractor",
        make="Thornfield",
        model="GT 48",
        words="Cranks but will not catch, smells of fuel",
    )
    _find_fault(phone)
    phone.press("Start a quote")
    _write_lines(phone)
    whole = phone.total_cents()
    # Labor 0.75 h x 95.00 = 71.25; parts 2 x 36.10 = 72.20; supplies 5 % of 71.25 = 3.56; travel
    # (18 - 4) mi x 1.35 = 18.90; tax 6 % of (72.20 + 3.56) = 4.55. Calculated by hand.
    assert whole == 7125 + 7220 + 356 + 1890 + 455

    phone.press("Show the customer")
    phone.press("Hand over the phone")
    agreed = _decide_and_sign(phone)
    assert agreed == whole - 1890
    phone.press("I have the phone back")
    phone.expect_heading("Thank you")
    phone.press_and_hold("I have the phone back")
    phone.expect_heading("Marlow Teague")
    _start_the_repair(phone)
    expect(phone.queue_status()).to_contain_text("to send")
    with in_shop(shop.shop_id):
        assert not Quote.objects.exists()

    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_until_sent()
    number = _expect_on_server(shop, whole, agreed)
    with in_shop(shop.shop_id):
        clocked = TimeEntry.objects.select_related("job").get()
        assert (clocked.job.stage, clocked.kind, clocked.ended_at) == ("repair", "repair", None)
        assert clocked.line_id == Line.objects.get(kind="labor").id

    phone.press("View the quote")
    phone.expect_heading("Quote")
    expect(phone.page.locator(".badge")).to_have_text(number)
    phone.expect_text("PDF ready.", seconds=60)
    _expect_pdf(phone, number, agreed)

    second = new_phone_of_each(live_site.base_url)
    second.sign_in(OWNER)
    second.press("Find", exact=True)
    second.fill("Name, phone, serial or job number", "teague")
    second.list_item("Marlow Teague").last.click()
    second.expect_heading("Marlow Teague")
    second.press("View the quote")
    expect(second.page.locator(".badge")).to_have_text(number)
    expect(second.page.locator(".totals .grand-total dd").last).to_have_text(_dollars(agreed))
    expect(second.page.get_by_role("img", name="Signature of Marlow Teague")).to_be_visible()
    second.expect_text("signed on this phone")


def _find_fault(phone: Phone) -> None:
    phone.press("Add a finding")
    phone.fill("What you found", "Blade brake does not hold")
    phone.fill("What happens if it isn’t fixed", "The blades keep turning after the lever is let go.")
    phone.choose_option("Safety")
    phone.press("Save finding")
    phone.expect_heading("Marlow Teague")


def _write_lines(phone: Phone) -> None:
    phone.expect_heading("Quote")
    phone.press("Quote “Blade brake does not hold”")
    phone.fill("What will be done", "Fit a new brake band and set it by the book")
    phone.press("A quarter hour less")
    phone.press("Add to quote")
    phone.expect_heading("Quote")
    phone.press("Part", exact=True)
    phone.fill("What the part is", "Brake band")
    phone.press("One more")
    phone.fill("Price, each", "36.10")
    phone.press("Add to quote")
    phone.expect_heading("Quote")
    phone.press("Travel", exact=True)
    phone.fill("Where to and what for", "Out to the farm and back")
    phone.fill("Round trip, miles", "18")
    phone.press("Add to quote")
    phone.expect_heading("Quote")
    expect(phone.page.locator(".list-item")).to_have_count(3)


def _decide_and_sign(phone: Phone) -> int:
    """The customer's part: yes, yes, no, name and ink. Gives what they agreed to, in cents."""
    phone.expect_heading("Quote from Kettle Ford Small Engine")
    expect(phone.page.locator(".top-bar")).to_have_count(0)
    phone.press("Yes to Fit a new brake band")
    phone.press("Yes to Brake band")
    phone.press("No to Out to the farm")
    agreed = phone.total_cents()
    phone.press("Continue to sign")
    phone.fill("Your name", "Marlow Teague")
    phone.draw_signature()
    phone.press("I approve")
    phone.expect_heading("Thank you")
    phone.page.reload()
    phone.expect_heading("Thank you")
    return agreed


def _start_the_repair(phone: Phone) -> None:
    """What was agreed begins with one press; what is said of it stays on its screen."""
    phone.press("Start the repair")
    phone.expect_text("Job in repair, clock started")
    phone.press("Change stage")
    phone.expect_heading("Change stage")
    expect(phone.page.locator(".toast")).to_be_empty()
    phone.press("Back")
    phone.expect_heading("Marlow Teague")


def _expect_on_server(shop: Actor, whole: int, agreed: int) -> str:
    """The quote's number, once everything on the server equals what the phone showed."""
    with in_shop(shop.shop_id):
        quote = Quote.objects.get()
        approval = Approval.objects.get()
        lines = {line.words: line.decided for line in Line.objects.all()}
        assert quote.number is not None
        assert quote.totals is not None
        assert (quote.state, quote.totals["total_minor"]) == ("decided", whole)
        assert (approval.matches, approval.how, approval.accepted_total_minor) == (True, "glass", agreed)
        assert approval.digest == quote.offer_digest
        assert approval.signature is not None
        assert len(approval.signature.strokes[0]) > 5
        assert lines == {
            "Fit a new brake band and set it by the book": "accepted",
            "Brake band": "accepted",
            "Out to the farm and back": "declined",
        }
        return str(quote.number)


def _expect_pdf(phone: Phone, number: str, agreed: int) -> None:
    link = phone.page.get_by_role("link", name="Open PDF").get_attribute("href")
    answer = phone.page.request.get(phone.url + str(link))
    assert answer.headers["content-type"] == "application/pdf"
    text = "".join(page.extract_text() for page in PdfReader(BytesIO(answer.body())).pages)
    assert number in text
    assert _dollars(agreed) in text


def _dollars(cents: int) -> str:
    return f"${cents / 100:,.2f}"
