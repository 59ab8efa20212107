"""One phone takes a machine apart without a signal, another puts it back; every fastener is accounted for."""

from playwright.sync_api import expect

from shopapi.bench.models import FastenerMove, RemovalStep
from shopapi.bench.queries.fasteners import ledger_of
from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.factories import work
from tests.site import LiveSite

ONLINE = "dispatchEvent(new Event('online'))"


def count(phone: Phone, size: str, by: int) -> None:
    """Press a size that is offered, then plus as often as needed."""
    phone.press(size, exact=True)
    for _ in range(by - 1):
        phone.press(f"One {size} more", exact=True)


def take_apart(first: Phone, job: object) -> None:
    """Without a signal: a belt, its cover that came off later, a connecting rod with a torque."""
    first.open(f"/jobs/{job}")
    first.context.set_offline(True)
    first.press("Bench")
    first.press("Take apart")
    first.expect_heading("Step 1")
    first.press("Next step")
    first.expect_text("Take a photo or say what comes off")
    first.fill("What comes off", "Deck belt")
    first.open_more()
    first.page.get_by_label("What it is", exact=True).select_option("A belt")
    first.press("Next step")
    first.expect_heading("Step 2")
    first.fill("What comes off", "Belt cover")
    first.open_more()
    first.page.get_by_label("What it is", exact=True).select_option("A cover")
    count(first, "M8 × 25", 3)
    first.press("Next step")
    first.expect_heading("Step 3")
    assert accessibility_violations(first.page, "taking apart") == []
    first.fill("What comes off", "Connecting rod")
    first.fill("Another size", "M7x32")
    first.press("Add")
    first.press("One M7 × 32 more")
    first.press("Next step")
    first.expect_heading("Step 4")
    first.list_item("Connecting rod").click()
    first.expect_heading("Connecting rod")
    first.list_item("2 × M7 × 32").click()
    first.fill("Torque", "12")
    first.page.get_by_label("Unit", exact=True).select_option("N·m")
    first.choose_option("Torque-critical")
    first.press("Save")


def put_back(second: Phone, job: object) -> None:
    second.open(f"/jobs/{job}/put-back")
    second.expect_heading("Connecting rod")
    second.context.set_offline(True)
    second.fill("With", "Torque wrench 2")
    second.press("Tightened")
    second.expect_text("2 tightened to 12 N·m, Torque wrench 2")
    second.press("Done")
    # The cover came off last but one, and waits for its belt.
    second.expect_heading("Deck belt")
    expect(second.list_item("Belt cover")).to_contain_text("Moved after Deck belt: a belt goes on before a cover")
    assert accessibility_violations(second.page, "putting back") == []
    second.press("Done")
    second.expect_heading("Belt cover")
    second.press("One M8 × 25 less")
    second.press("Done")
    second.press("Check the fasteners")
    second.expect_text("1 open")
    assert accessibility_violations(second.page, "the ledger") == []
    second.list_item("Belt cover").click()
    second.press("Save")
    second.expect_text("Every fastener is accounted for")


def test_apart_on_one_phone_and_back_on_another(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    job = work.a_job(shop, customer_id=work.a_customer(shop, name="Winnie Stroud"))
    with in_shop(shop.shop_id):
        Job.objects.filter(id=job).update(stage="repair")
    first, second = new_phone(live_site.base_url), new_phone(live_site.base_url)
    for phone, who in ((first, MECHANIC), (second, OWNER)):
        phone.context.add_init_script(axe_source)
        phone.sign_in(who)
        phone.wait_for_offline_app()

    take_apart(first, job)
    first.context.set_offline(False)
    first.page.evaluate(ONLINE)
    first.wait_until_sent()

    second.open("/")
    second.wait_until_sent()
    put_back(second, job)
    second.context.set_offline(False)
    second.page.evaluate(ONLINE)
    second.wait_until_sent()

    first.open(f"/jobs/{job}/put-back")
    first.expect_text("Everything is back")
    with in_shop(shop.shop_id):
        assert not RemovalStep.objects.filter(back_at=None).exists()
        assert FastenerMove.objects.count() == 4
        ledger, _ = ledger_of(shop, job)
        assert (ledger.places, ledger.torque_open, [line.open for line in ledger.sizes]) == ((), (), [0, 0])
