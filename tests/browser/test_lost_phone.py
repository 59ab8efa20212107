"""A lost phone is signed out remotely by the owner: it uploads what is unsent, says so, and erases the shop."""

from playwright.sync_api import expect

from shopapi.accounts.models import Device
from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite

DATABASES = "async () => (await indexedDB.databases()).map(({ name }) => name)"


def sign_off_phone_b(owner: Phone) -> None:
    owner.open("/members")
    owner.list_item("Bram Aldous").click()
    owner.press("Remove phone B")
    owner.expect_text("Phone B removed")


def rename_brightwater(phone: Phone) -> None:
    phone.open("/find")
    phone.fill("Name, phone, serial or job number", "brightwater")
    phone.list_item("Ada Brightwater").first.click()
    phone.press("Edit", exact=True)
    phone.fill("Billing name", "Ada Brightwater-Moss")
    phone.press("Save customer")


def test_signed_off_phone_uploads_its_queue_and_erases_the_shop(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    owner = new_phone(live_site.base_url)
    owner.context.add_init_script(axe_source)
    owner.sign_in(OWNER)
    lost = new_phone(proxy.url)
    lost.context.add_init_script(axe_source)
    lost.sign_in(MECHANIC)
    lost.wait_for_offline_app()
    lost.open_job(
        customer="Ada Brightwater", phone="555 014 1111", kind="chipper", make="", model="", words="Eats belts"
    )
    lost.wait_until_sent()
    proxy.refuse()
    rename_brightwater(lost)
    sign_off_phone_b(owner)
    with in_shop(shop.shop_id):
        assert Device.objects.get(letter="B").revoked_at is not None
    proxy.open()
    lost.page.evaluate("dispatchEvent(new Event('online'))")

    # Online it uploads its queue, says so, and has no data of the shop any more.
    lost.expect_heading("Sign in")
    lost.expect_text("The shop owner removed this phone.")
    assert lost.wait_for(f"async () => (await ({DATABASES})()).length === 0")
    assert accessibility_violations(lost.page, "a phone that was signed off") == []
    assert lost.page.evaluate("async () => (await fetch('/api/v1/customers')).status") == 401
    # Opened later without a signal, it still says so and shows nothing.
    proxy.refuse()
    lost.page.reload()
    lost.expect_heading("Sign in")
    lost.expect_text("The shop owner removed this phone.")
    assert lost.page.evaluate(DATABASES) == []

    owner.open("/")
    expect(owner.queue_status()).to_have_text("1 needs you", timeout=90_000)
    owner.open("/queue")
    owner.list_item("Customer edited").click()
    owner.expect_heading("Please check this")
    owner.expect_text("This phone was removed by the shop owner.")
    expect(owner.page.locator(".description-list dd")).to_have_text(["Bram Aldous", "Ada Brightwater-Moss"])
    assert accessibility_violations(owner.page, "a held change") == []
    owner.press("Apply it")
    owner.wait_until_sent()
    with in_shop(shop.shop_id):
        assert Customer.objects.get().name == "Ada Brightwater-Moss"

    # A member can sign in on it as on a new phone.
    proxy.open()
    lost.sign_in(MECHANIC)
    lost.open("/find")
    lost.fill("Name, phone, serial or job number", "brightwater")
    expect(lost.list_item("Ada Brightwater-Moss").first).to_be_visible()


def test_signed_off_phone_that_cannot_send_shows_only_its_queue(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    owner = new_phone(live_site.base_url)
    owner.sign_in(OWNER)
    lost = new_phone(proxy.url)
    lost.context.add_init_script(axe_source)
    lost.sign_in(MECHANIC)
    lost.wait_for_offline_app()
    lost.open_job(
        customer="Ada Brightwater", phone="555 014 1111", kind="chipper", make="", model="", words="Eats belts"
    )
    lost.wait_until_sent()
    # It hears of it with nothing unsent, but cannot be told more before the next entry is written.
    lost.page.route("**/api/v1/sync/push", lambda route: route.abort())
    rename_brightwater(lost)
    sign_off_phone_b(owner)
    lost.page.evaluate(
        """async (name) => {
            const names = (await indexedDB.databases()).map(({ name }) => name)
            const database = names.find((name) => name.startsWith('drawbar:'))
            const db = await new Promise((done) => {
                const asked = indexedDB.open(database)
                asked.onsuccess = () => done(asked.result)
            })
            const tx = db.transaction(['meta', 'base'], 'readwrite')
            const read = tx.objectStore('meta').get('device')
            read.onsuccess = () => {
                tx.objectStore('meta').put({ ...read.result, retired: true }, 'device')
                tx.objectStore('base').clear()
            }
            await new Promise((done) => { tx.oncomplete = done })
            db.close()
        }""",
        None,
    )
    proxy.refuse()
    lost.page.reload()
    lost.expect_heading("Phone removed")
    lost.expect_text("1 entry not sent yet.")
    assert accessibility_violations(lost.page, "a signed-off phone with something unsent") == []
    lost.page.goto(f"{proxy.url}/find")
    lost.expect_heading("Phone removed")
    expect(lost.page.get_by_text("Ada Brightwater")).to_have_count(0)
    lost.page.unroute("**/api/v1/sync/push")
    proxy.open()
    lost.press("Send now")
    lost.expect_heading("Sign in")
    assert lost.wait_for(f"async () => (await ({DATABASES})()).length === 0")
    expect(owner.queue_status()).to_have_text("1 needs you", timeout=90_000)
