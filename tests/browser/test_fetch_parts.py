"""Parts fetched on the way: a stop at a supplier added from its order, driven and ticked off with the signal cut."""

from playwright.sync_api import expect

from shopapi.accounts.models import Member
from shopapi.core import clock
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Run, Stop
from shopapi.parts.models import PartArrival, PartOrder
from shopapi.parts.services.orders import add_part_order, add_part_order_line, note_part_order_sent
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.factories import work
from tests.factories.rigs import a_rig, a_run, a_yard
from tests.factories.work import do, made
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite


def test_parts_are_fetched_on_the_way_without_signal(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    _an_order_and_a_run(shop)
    phone = new_phone(proxy.url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    phone.open("/orders")
    phone.press("Oakline Supply")
    phone.wait_for("() => document.body.textContent.includes('Fetch on my run today')")

    proxy.refuse()
    phone.press("Fetch on my run today")
    phone.expect_text("Stop at Oakline Supply added")
    phone.press("Fetch on the road")
    phone.expect_text("12 Mill Road")
    phone.expect_text("2 × Deck belt")
    assert accessibility_violations(phone.page, "the stop at a supplier") == []
    phone.press("Arrived")
    phone.page.get_by_text("2 × Deck belt").click()
    phone.press("Got all 2")
    phone.expect_text("Deck belt: got it")
    expect(phone.page.get_by_text("3 × Idler")).to_be_visible()
    phone.press("Left")
    phone.expect_text("1 line not fetched: still open on the order")
    with in_shop(shop.shop_id):
        assert not Stop.objects.exists()

    proxy.open()
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        stop = Stop.objects.get()
        assert (stop.kind, stop.state, stop.run_id) == ("fetch", "left", Run.objects.get().id)
        assert [arrival.order_line.description for arrival in PartArrival.objects.all()] == ["Deck belt"]
        assert PartOrder.objects.get().state == "sent"


def _an_order_and_a_run(shop: Actor) -> None:
    """An order that was sent, of two parts, and the mechanic's run of today."""
    a_yard(shop)
    place = {"lat": "40.3400", "lon": "-98.4000", "address": "12 Mill Road"}
    supplier = work.a_supplier(shop, name="Oakline Supply", **place)
    order = made(shop, add_part_order, id=uuid7(), supplier_id=supplier, mark="B-1")
    for position, (description, quantity) in enumerate((("Deck belt", "2"), ("Idler", "3"))):
        line = {"description": description, "quantity": quantity, "position": position}
        made(shop, add_part_order_line, id=uuid7(), order_id=order, **line)
    do(shop, note_part_order_sent, id=order, how="counter", sent_at=now())
    with in_shop(shop.shop_id):
        driver = Member.objects.get(user__email=MECHANIC).id
    a_run(shop, a_rig(shop, driver_id=driver), day=clock.today("America/Boise").isoformat())
