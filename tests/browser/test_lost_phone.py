"""What a lost phone still held reaches the owner, who puts it in place or leaves it out."""

from playwright.sync_api import expect

from shopapi.accounts.models import Device
from shopapi.accounts.services import revoke_device
from shopapi.core.actor import Actor
from shopapi.core.shape import Target
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from tests.browser.axe import faults
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.line import Line
from tests.site import LiveSite


def test_what_a_signed_off_phone_wrote_is_put_in_place_by_the_owner(
    live_site: LiveSite, line: Line, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    owner = new_phone(live_site.base_url)
    owner.context.add_init_script(axe_source)
    owner.sign_in(OWNER)
    lost = new_phone(line.url)
    lost.sign_in(MECHANIC)
    lost.take_in(owner="Ada Brightwater", phone="555 014 1111", kind="chipper", make="", model="", words="Eats belts")
    lost.all_sent()
    line.refuse()
    lost.open("/find")
    lost.fill("Name, phone, serial or job number", "brightwater")
    lost.row("Ada Brightwater").first.click()
    lost.press("Change", exact=True)
    lost.fill("Name on the bill", "Ada Brightwater-Moss")
    lost.press("Save customer")
    with in_shop(shop.shop_id):
        device = Device.objects.get(letter="B")
    revoke_device(actor=shop, data=Target(id=device.id))
    line.open()
    lost.page.evaluate("dispatchEvent(new Event('online'))")

    expect(owner.queue_line()).to_have_text("1 thing needs you", timeout=90_000)
    owner.open("/queue")
    owner.row("Customer changed").click()
    owner.heading("Please look at this")
    owner.says("This device was signed off by the owner.")
    expect(owner.page.locator(".facts dd")).to_have_text(["Ada Brightwater-Moss"])
    assert faults(owner.page, "a held change") == []
    owner.press("Put it in place now")
    owner.all_sent()
    with in_shop(shop.shop_id):
        assert Customer.objects.get().name == "Ada Brightwater-Moss"
