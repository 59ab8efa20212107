"""The story the project is for, once through every layer."""

from io import BytesIO

from playwright.sync_api import expect
from pypdf import PdfReader

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.labor.models import TimeEntry
from shopapi.quotes.models import Approval, Line, Quote
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.line import Line as PhoneLine
from tests.site import LiveSite


def test_quote_written_decided_and_signed_without_signal_is_the_same_everywhere(
    live_site: LiveSite, line: PhoneLine, shop: Actor, new_phone: NewPhone
) -> None:
    live_site.start_worker()
    phone = new_phone(line.url)
    phone.sign_in(MECHANIC)

    line.refuse()
    phone.take_in(
        owner="Marlow Teague",
        phone="555 014 9001",
        kind="garden tractor",
        make="Thornfield",
        model="GT 48",
        words="Cranks but will not catch, smells of fuel",
    )
    _find_fault(phone)
    phone.press("Start a quote")
    _write_lines(phone)
    whole = phone.total()
    # Labor 0.75 h x 95.00 = 71.25; parts 2 x 36.10 = 72.20; supplies 5 % of 71.25 = 3.56; travel
    # (18 - 4) mi x 1.35 = 18.90; tax 6 % of (72.20 + 3.56) = 4.55. Reckoned by hand.
    assert whole == 7125 + 7220 + 356 + 1890 + 455

    phone.press("Show it to the owner")
    phone.press("Hand over the phone")
    agreed = _decide_and_sign(phone)
    assert agreed == whole - 1890
    phone.press("I have the phone back")
    phone.heading("Thank you")
    phone.hold("I have the phone back")
    phone.heading("Marlow Teague")
    _start_the_repair(phone)
    expect(phone.queue_line()).to_contain_text("waiting for signal")
    with in_shop(shop.shop_id):
        assert not Quote.objects.exists()

    line.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.all_sent()
    number = _server_holds_it(shop, whole, agreed)
    with in_shop(shop.shop_id):
        clocked = TimeEntry.objects.select_related("job").get()
        assert (clocked.job.stage, clocked.kind, clocked.ended_at) == ("repair", "repair", None)
        assert clocked.line_id == Line.objects.get(kind="labor").id

    phone.press("See the quote")
    phone.heading("Quote")
    expect(phone.page.locator(".plate")).to_have_text(number)
    phone.says("The paper is ready.", seconds=60)
    _paper_says(phone, number, agreed)

    second = new_phone(live_site.base_url)
    second.sign_in(OWNER)
    second.press("Find")
    second.fill("Name, phone, serial or job number", "teague")
    second.row("Marlow Teague").last.click()
    second.heading("Marlow Teague")
    second.press("See the quote")
    expect(second.page.locator(".plate")).to_have_text(number)
    expect(second.page.locator(".sums .grand dd").last).to_have_text(_dollars(agreed))
    expect(second.page.get_by_role("img", name="Signature of Marlow Teague")).to_be_visible()
    second.says("signed on this glass")


def _find_fault(phone: Phone) -> None:
    phone.press("Write down a finding")
    phone.fill("What you found", "Blade brake does not hold")
    phone.fill("What happens if it stays", "The blades keep turning after the lever is let go.")
    phone.pick("Safety")
    phone.press("Save finding")
    phone.heading("Marlow Teague")


def _write_lines(phone: Phone) -> None:
    phone.heading("Quote")
    phone.press("Quote “Blade brake does not hold”")
    phone.fill("What will be done", "Fit a new brake band and set it by the book")
    phone.press("A quarter hour less")
    phone.press("Put it on the quote")
    phone.heading("Quote")
    phone.press("Part", exact=True)
    phone.fill("What the part is", "Brake band")
    phone.press("One more")
    phone.fill("Price of one", "36.10")
    phone.press("Put it on the quote")
    phone.heading("Quote")
    phone.press("Travel", exact=True)
    phone.fill("Where to and what for", "Out to the farm and back")
    phone.fill("Distance there and back, in miles", "18")
    phone.press("Put it on the quote")
    phone.heading("Quote")
    expect(phone.page.locator(".row")).to_have_count(3)


def _decide_and_sign(phone: Phone) -> int:
    """The owner's part: yes, yes, no, name and ink. Gives what they agreed to, in cents."""
    phone.heading("Offer from Kettle Ford Small Engine")
    expect(phone.page.locator(".strip")).to_have_count(0)
    phone.press("Yes to Fit a new brake band")
    phone.press("Yes to Brake band")
    phone.press("No to Out to the farm")
    agreed = phone.total()
    phone.press("Go on to sign")
    phone.fill("Your name", "Marlow Teague")
    phone.sign_on_glass()
    phone.press("I say yes to")
    phone.heading("Thank you")
    phone.page.reload()
    phone.heading("Thank you")
    return agreed


def _start_the_repair(phone: Phone) -> None:
    """What was agreed begins with one press; what is said of it stays on its screen."""
    phone.press("Start the repair")
    phone.says("Job in repair, clock started")
    phone.press("Change stage")
    phone.heading("Change stage")
    expect(phone.page.locator(".told")).to_be_empty()
    phone.press("Back")
    phone.heading("Marlow Teague")


def _server_holds_it(shop: Actor, whole: int, agreed: int) -> str:
    """The quote's number, once everything on the server equals what the phone showed."""
    with in_shop(shop.shop_id):
        quote = Quote.objects.get()
        approval = Approval.objects.get()
        lines = {line.words: line.decided for line in Line.objects.all()}
        assert quote.number is not None
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


def _paper_says(phone: Phone, number: str, agreed: int) -> None:
    link = phone.page.get_by_role("link", name="Open the paper").get_attribute("href")
    answer = phone.page.request.get(phone.url + str(link))
    assert answer.headers["content-type"] == "application/pdf"
    text = "".join(page.extract_text() for page in PdfReader(BytesIO(answer.body())).pages)
    assert number in text
    assert _dollars(agreed) in text


def _dollars(cents: int) -> str:
    return f"${cents / 100:,.2f}"
