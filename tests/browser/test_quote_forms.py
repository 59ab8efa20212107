"""Lines of a quote and the clock's list in few taps: what is needed first, earlier parts and work offered."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.labor.models import TimeEntry
from shopapi.quotes.models import Line
from shopapi.quotes.services.drafts import put_quote_line
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.phone import Phone
from tests.factories import work
from tests.flaky_proxy import FlakyProxy

FOUND = ("The drive belt slips", "The spindle is worn", "The plug is fouled")
PARTS = (("Drive belt", 2900, "BR-6100"), ("Spindle assembly", 8424, "SP-20"), ("Spark plug", 620, None))


class Counted:
    """Presses and fills on a phone, counted."""

    def __init__(self, phone: Phone) -> None:
        self.phone, self.taps, self.fields = phone, 0, 0

    def press(self, words: str, *, exact: bool = False) -> None:
        self.taps += 1
        self.phone.press(words, exact=exact)

    def take(self, words: str) -> None:
        self.taps += 1
        self.phone.page.locator(".used-before button").filter(has_text=words).first.click()

    def fill(self, label: str, text: str) -> None:
        self.fields += 1
        self.phone.fill(label, text)


def test_a_quote_of_seven_lines_takes_few_taps_and_fields_without_signal(
    proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    earlier = work.a_draft(shop, work.a_job(shop))
    for at, (words, price, number) in enumerate(PARTS):
        line = work.part(position=at, words=words, unit_cost_minor=None, unit_price_minor=price, part_number=number)
        work.do(shop, put_quote_line, quote_id=earlier, **line)
    job = work.a_job(shop)
    for words in FOUND:
        work.a_finding(shop, job, words=words)
    phone = new_phone(proxy.url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(OWNER)
    phone.wait_for_offline_app()
    proxy.refuse()
    phone.open(f"/jobs/{job}")
    phone.press("Start a quote")
    phone.expect_heading("Quote")

    hand = Counted(phone)
    for words in FOUND:
        hand.press(f"Quote “{words}”")
        hand.press("Add to quote")
        phone.expect_heading("Quote")
    for work_words, typed, (part, price, _) in zip(FOUND, ("driv", "spin", "spark"), PARTS, strict=True):
        hand.press(f"+ Part for “{work_words}”")
        hand.fill("What the part is", typed)
        if part == "Drive belt":
            expect(phone.page.locator(".used-before .serial")).to_have_text("BR-6100")
            assert accessibility_violations(phone.page, "a part with earlier ones") == []
        hand.take(part)
        expect(phone.page.get_by_label("Price, each")).to_have_value(f"{price / 100:.2f}")
        hand.press("Add to quote")
        phone.expect_heading("Quote")
    hand.press("Travel", exact=True)
    hand.fill("Where to and what for", "Out and back")
    hand.fill("Round trip, miles", "18")
    hand.press("Add to quote")
    phone.expect_text("Out and back")
    assert (hand.taps, hand.fields) == (17, 5)

    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        lines = Line.objects.filter(quote__job=job).order_by("position")
        assert [line.words for line in lines] == [*FOUND, *(part for part, _, _ in PARTS), "Out and back"]
        belt = lines[3]
        assert (belt.unit_price_minor, belt.part_number, belt.belongs_to_id) == (2900, "BR-6100", lines[0].id)


def test_another_part_follows_at_once_and_an_error_under_more_opens_it(
    proxy: FlakyProxy, shop: Actor, new_phone: NewPhone
) -> None:
    quote = work.a_draft(shop, work.a_job(shop))
    phone = new_phone(proxy.url)
    phone.sign_in(OWNER)
    phone.open(f"/quotes/{quote}/add/part")
    phone.fill("What the part is", "Blade")
    phone.page.locator(".more > summary").click()
    phone.fill("Core charge, each", "much")
    phone.page.locator(".more > summary").click()
    phone.fill("Price, each", "24")
    phone.press("Add another")
    expect(phone.page.get_by_label("Core charge, each")).to_be_focused()
    phone.fill("Core charge, each", "")
    phone.press("Add another")
    expect(phone.page.get_by_label("What the part is")).to_have_value("")
    phone.fill("What the part is", "Blade bolt")
    phone.fill("Price, each", "3")
    phone.press("Add to quote")
    phone.expect_heading("Quote")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert list(Line.objects.order_by("position").values_list("words", "unit_price_minor")) == [
            ("Blade", 2400),
            ("Blade bolt", 300),
        ]


def test_the_clock_lists_what_was_worked_on_last_and_one_tap_starts_it(
    proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    first, second = work.a_job(shop), work.a_job(shop)
    for job in (first, second):
        work.a_clock(shop, job)
    phone = new_phone(proxy.url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(OWNER)
    phone.open("/clock")
    rows = phone.page.locator("section").filter(has_text="Last worked on").locator(".list-item")
    expect(rows).to_have_count(2)
    assert accessibility_violations(phone.page, "the clock's list") == []
    phone.fill("Search jobs", "nothing like it")
    phone.expect_text("No open job matches")
    phone.fill("Search jobs", "")
    rows.nth(1).click()
    # The other clock was running before: only the job's screen says that this one is.
    phone.page.wait_for_url(f"**/jobs/{first}")
    phone.expect_text("Running for")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert list(TimeEntry.objects.filter(ended_at=None).values_list("job_id", flat=True)) == [first]
