"""More work, from a finding to the customer's answer on their own phone."""

import re
from uuid import UUID

from django.core.files.base import ContentFile
from django.core.files.storage import storages
from playwright.sync_api import Browser, Page, ViewportSize, expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.files.models import Attachment
from shopapi.files.queries import picture_key
from shopapi.labor.models import WorkHistory
from shopapi.quotes.models import Approval, ApprovalLink, CustomerQuestion
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.browser.qr_decoder import decode_qr
from tests.factories import work
from tests.files.sample_pictures import encode, sample_image
from tests.site import LiveSite

SIZE: ViewportSize = {"width": 360, "height": 740}
BORDER = 4
MODULES = "() => document.querySelector('svg.qr-code').lastElementChild.getAttribute('d')"


def a_finding_with_a_picture(shop: Actor) -> tuple[UUID, UUID]:
    job = work.a_job(shop)
    work.a_decision(shop, work.an_offer(shop, job))
    finding = work.a_finding(
        shop, job, words="The spindle bearing is loose", consequence="The blade may come off", rank="safety"
    )
    picture = work.a_picture(shop, finding, caption="The bearing from below")
    with in_shop(shop.shop_id):
        row = Attachment.objects.get(id=picture)
        for small in (False, True):
            storages["pictures"].save(picture_key(row, small=small), ContentFile(encode(sample_image(), "JPEG")))
        Attachment.objects.filter(id=picture).update(state="ready", width=64, height=48)
    return job, finding


def test_added_work_from_a_finding_to_the_customers_answer(
    live_site: LiveSite, shop: Actor, new_phone_of_each: NewPhone, browser: Browser, axe_source: str
) -> None:
    _, finding = a_finding_with_a_picture(shop)
    with in_shop(shop.shop_id):
        times = list(range(56, 65))
        WorkHistory.objects.create(
            shop_id=shop.shop_id, operation="spindle bearing", machine_kind="garden tractor", minutes=times, reworked=0
        )
    first, second = new_phone_of_each(live_site.base_url), new_phone_of_each(live_site.base_url, color_scheme="dark")
    first.context.add_init_script(axe_source)
    first.sign_in(MECHANIC)
    second.sign_in(OWNER)
    ask_with_no_signal(first, finding)
    with in_shop(shop.shop_id):
        link = ApprovalLink.objects.get()
    url = live_site.base_url + work.path_of(shop, link.id)
    dark = {(int(x) - BORDER, int(y) - BORDER) for x, y in re.findall(r"M(\d+) (\d+)h", first.page.evaluate(MODULES))}
    assert decode_qr(dark) == url

    context = browser.new_context(viewport=SIZE, java_script_enabled=False, is_mobile=True, has_touch=True)
    page = context.new_page()
    page.goto(url)
    read_and_count(page)
    shown = context.request.get(live_site.base_url + str(page.locator(".picture img").get_attribute("src")))
    assert (shown.status, shown.headers["content-type"]) == (200, "image/jpeg")
    post_question(page, second)
    with in_shop(shop.shop_id):
        assert CustomerQuestion.objects.get().answered_at is not None
    answer(page)
    page.get_by_role("link", name="Check again").click()
    live_site.start_worker()
    for _ in range(120):
        page.reload()
        if page.get_by_role("link", name="Save a copy (PDF)").count():
            break
        page.wait_for_timeout(500)
    copy = context.request.get(f"{url}/quote.pdf")
    assert (copy.status, copy.body()[:5]) == (200, b"%PDF-")
    assert context.cookies() == []
    # Nor does any log of the site know the secret.
    secret = url.rsplit("/", 1)[1]
    assert [name for name in ("web", "worker") if secret in live_site.log(name)] == []
    context.close()

    for phone in (first, second):
        phone.open(f"/quotes/{link.quote_id}")
        phone.expect_text("Winnie Stroud")
        phone.expect_text("Answered")
    with in_shop(shop.shop_id):
        approval = Approval.objects.get(link=link)
        assert (approval.how, approval.matches, len(approval.accepted_ids)) == ("link", True, 2)


def ask_with_no_signal(phone: Phone, finding: UUID) -> None:
    """Two presses from the finding to the offer; the request waits for the signal, then shows its code."""
    phone.wait_for_offline_app()
    phone.open(f"/findings/{finding}")
    phone.press("Ask to add work")
    phone.expect_heading("Ask to add work")
    expect(phone.page.get_by_label("Hours of labor")).to_have_value("1")
    phone.expect_text("Usually 1 h")
    phone.expect_text("Filled in from your finished jobs: spindle bearing")
    phone.fill("Hours of labor", "")
    phone.press("Quote this and ask")
    phone.expect_text("Enter hours, parts or both")
    phone.fill("Parts", "abc")
    phone.press("Quote this and ask")
    phone.expect_text("Enter an amount, or leave blank")
    phone.fill("What will be done", "Fit a new spindle bearing")
    phone.fill("Hours of labor", "1")
    phone.fill("Parts", "18.50")
    phone.fill("Price if done later", "18")
    phone.press("Quote this and ask")
    phone.expect_text("Less than the parts alone")
    phone.fill("Price if done later", "240")
    found = accessibility_violations(phone.page, "asking for more")
    phone.context.set_offline(True)
    phone.press("Quote this and ask")
    phone.expect_text("The customer says yes or no to each line")
    found += accessibility_violations(phone.page, "ways to ask")
    phone.press("Show a code to scan")
    phone.expect_text("Waiting to send")
    found += accessibility_violations(phone.page, "a request that waits")
    phone.context.set_offline(False)
    phone.expect_text("Let the customer scan this", seconds=60)
    phone.open(f"/findings/{finding}")
    phone.press("See what was sent")
    phone.expect_text("Not opened yet")
    phone.list_item("Code to scan").click()
    phone.expect_text("Let the customer scan this")
    found += accessibility_violations(phone.page, "a code to scan")
    assert found == []


def read_and_count(page: Page) -> None:
    """What the customer sees without script, and what one yes comes to."""
    # Labor and parts are one question, and come to 240.00 then.
    for words in (
        "We found The spindle bearing is loose",
        "If it isn’t fixed: The blade may come off",
        "If done later: $240.00",
        "and tax are added to these prices",
        "Safety",
    ):
        expect(page.get_by_text(words).first).to_be_visible()
    expect(page.get_by_alt_text("The bearing from below")).to_be_visible()
    assert page.get_by_role("radio", checked=True).count() == 0
    page.get_by_text("What’s in it").click()
    expect(page.get_by_text("Labor, 1\u00a0h at $95.00: $95.00")).to_be_visible()
    page.get_by_role("button", name="Review my answer").click()
    expect(page.get_by_role("alert")).to_contain_text("1 still needs an answer")
    page.get_by_role("radio", name="Yes").check()
    page.get_by_role("button", name="Update total").click()
    # An hour at 95.00, parts at 18.50, 5 % of 95.00 as supplies; parts and supplies are taxed at 6 %: 1.395, so 1.40.
    expect(page.locator("tr.total td")).to_have_text("$119.65")


def post_question(page: Page, phone: Phone) -> None:
    """The customer asks; somebody of the shop sees it, calls and says so."""
    page.get_by_role("link", name="Ask a question first").click()
    page.get_by_label("What do you want to know?").fill("Can I see the old one?")
    page.get_by_role("button", name="Send the question").click()
    expect(page.get_by_role("heading", name="We got your question")).to_be_visible()
    phone.open("/")
    phone.list_item("Can I see the old one?").click()
    phone.press("I called them")
    expect(phone.page.get_by_text("Can I see the old one?")).to_have_count(0)
    phone.wait_until_sent()
    page.get_by_role("link", name="Back to the quote").click()


def answer(page: Page) -> None:
    """Yes to the one work, and a name."""
    page.get_by_role("radio", name="Yes").check()
    page.get_by_role("button", name="Review my answer").click()
    page.get_by_role("button", name="Send my answer").click()
    expect(page.get_by_role("alert")).to_contain_text("Write your name")
    page.get_by_label("Your name").fill("Winnie Stroud")
    page.get_by_role("button", name="Send my answer").click()
    expect(page.get_by_role("heading", name="Thank you. Your answer is saved.")).to_be_visible()


def test_the_customers_pages_are_accessible_and_count_by_themselves(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    job, finding = a_finding_with_a_picture(shop)
    found = []
    for scheme in ("light", "dark"):
        quote = work.a_draft(shop, job, kind="added")
        line = work.labor(
            words="Fit a new bearing", included="If it isn’t fixed: The blade may come off", rank="safety"
        )
        work.do(shop, put_quote_line, quote_id=quote, finding_id=finding, **line)
        work.do(shop, put_quote_line, quote_id=quote, **work.part(rank="advised"))
        work.do(shop, offer_quote, **work.offer_of(shop, quote))
        path = work.path_of(shop, work.a_request(shop, quote))
        phone = new_phone(live_site.base_url, color_scheme=scheme)
        phone.context.add_init_script(axe_source)
        phone.open(path)
        page = phone.page
        found += at(page, "Quote for added work", f"{scheme}, the request")
        page.get_by_role("radio", name="Yes").first.check()
        expect(page.locator("tr.total td")).to_have_text("$135.00")
        page.get_by_role("radio", name="No").nth(1).check()
        phone.press("Ask a question first")
        found += at(page, "Ask a question", f"{scheme}, a question")
        phone.press("Back to the quote")
        phone.press("Review my answer")
        expect(page.get_by_role("alert")).to_be_visible()
        found += at(page, "Quote for added work", f"{scheme}, lines without an answer")
        page.get_by_role("radio", name="Yes").first.check()
        page.get_by_role("radio", name="No").nth(1).check()
        phone.press("Review my answer")
        found += at(page, "Is this your answer?", f"{scheme}, the answer")
        page.get_by_label("Your name").fill("Winnie Stroud")
        phone.press("Send my answer")
        found += at(page, "Thank you. Your answer is saved.", f"{scheme}, thanks")
        phone.open("/ask/nothing")
        found += at(page, "This link leads nowhere", f"{scheme}, nowhere")
    assert found == []


def at(page: Page, heading: str, where: str) -> list[str]:
    """What is wrong with a page, once it is there with its style sheet."""
    expect(page.get_by_role("heading", level=1, name=heading, exact=True)).to_be_visible()
    page.wait_for_load_state()
    return accessibility_violations(page, where)
