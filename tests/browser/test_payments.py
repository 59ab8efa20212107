"""Money taken on the spot without a signal; two phones that take the rest of the same bill."""

from io import BytesIO
from uuid import UUID

from pypdf import PdfReader

from shopapi.billing.models import Invoice, Payment
from shopapi.core.actor import Actor
from shopapi.core.models import Issue
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import Quote
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.factories import bills, work
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite


def test_the_agreed_deposit_is_taken_without_signal(
    proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    job, quote, deposit = _agreed_job(shop)
    phone = new_phone(proxy.url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    phone.open(f"/quotes/{quote}")
    phone.expect_text(f"Take the deposit of {_dollars(deposit)}")

    proxy.refuse()
    phone.press(f"Take the deposit of {_dollars(deposit)}")
    phone.expect_heading("Take a payment")
    found = accessibility_violations(phone.page, "take a payment")
    _take(phone, deposit)
    phone.expect_text("Deposit · Cash")
    found += accessibility_violations(phone.page, "receipt")
    _back_in_signal(proxy, phone)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        taken = Payment.objects.get()
        assert (taken.kind, taken.method, taken.amount_minor, taken.job_id) == ("deposit", "cash", deposit, job)
    assert found == []


def test_two_phones_take_the_rest_and_the_office_keeps_one_as_credit(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    job = bills.an_agreed_job(shop)
    rest = _billed(shop, job)
    phone, office = new_phone(proxy.url), new_phone(live_site.base_url)
    office.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    office.sign_in(OWNER)
    phone.wait_for_offline_app()
    for each in (phone, office):
        each.open(f"/jobs/{job}")
        each.expect_text(f"Take {_dollars(rest)}")
    proxy.refuse()
    for each in (phone, office):
        each.press(f"Take {_dollars(rest)}")
        each.expect_heading("Take a payment")
        _take(each, rest)
    office.wait_until_sent()
    _back_in_signal(proxy, phone)

    office.open(f"/jobs/{job}/money")
    office.expect_text(f"Paid {_dollars(rest)} too much", seconds=60)
    with in_shop(shop.shop_id):
        assert list(Payment.objects.values_list("amount_minor", flat=True)) == [rest, rest]
        assert _open_issues() == 1
    office.press("Keep as credit")
    office.expect_text("Kept as the customer’s credit")
    office.wait_until_sent()
    assert accessibility_violations(office.page, "money of a job") == []
    with in_shop(shop.shop_id):
        assert _open_issues() == 0


def test_a_receipt_is_made_as_a_pdf_and_opened(live_site: LiveSite, shop: Actor, new_phone: NewPhone) -> None:
    live_site.start_worker()
    job = bills.an_agreed_job(shop)
    rest = _billed(shop, job)
    phone = new_phone(live_site.base_url)
    phone.sign_in(MECHANIC)
    phone.open(f"/jobs/{job}")
    phone.press(f"Take {_dollars(rest)}")
    _take(phone, rest)
    phone.press("Make a PDF receipt")
    link = phone.page.get_by_role("link", name="Open the PDF receipt")
    link.wait_for(timeout=60_000)
    answer = phone.page.request.get(phone.url + str(link.get_attribute("href")))
    assert (answer.status, answer.headers["content-type"]) == (200, "application/pdf")
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(answer.body())).pages).split())
    for words in ("Receipt", _dollars(rest), "Winnie Stroud", "Still open $0.00"):
        assert words in text, (words, text)
    phone.close()


def _open_issues() -> int:
    return Issue.objects.filter(entity_kind="payment", state="open").count()


def _back_in_signal(proxy: FlakyProxy, phone: Phone) -> None:
    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")


def _agreed_job(shop: Actor) -> tuple[UUID, UUID, int]:
    """A job with an agreed quote of which half is due as a deposit, in minor units."""
    deposit = {"percent": "50", "of": "total", "from_total_minor": 0, "rounding_to_minor": 1}
    job = work.a_job(shop)
    quote = work.an_offer(shop, job, basis=work.a_basis(shop) | {"deposit": deposit})
    work.a_decision(shop, quote)
    with in_shop(shop.shop_id):
        totals = Quote.objects.get(id=quote).totals
    assert totals is not None
    return job, quote, totals["deposit_minor"]


def _billed(shop: Actor, job: UUID) -> int:
    """Issue an invoice of a job; returns its total in minor units."""
    invoice = bills.an_issued_invoice(shop, job)
    with in_shop(shop.shop_id):
        totals = Invoice.objects.get(id=invoice).totals
    assert totals is not None
    return int(totals["total_minor"])


def _take(phone: Phone, minor: int) -> None:
    """Save the form; ends on the receipt."""
    phone.press(f"Take {_dollars(minor)}")
    phone.expect_heading(_dollars(minor))


def _dollars(minor: int) -> str:
    return f"${minor / 100:,.2f}"
