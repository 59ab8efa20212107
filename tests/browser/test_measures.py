"""Weights and lengths in forms: what is typed comes back unchanged after a round trip to the server."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Rig
from shopapi.machines.models import Machine
from tests.browser.conftest import OWNER, NewPhone
from tests.factories import work
from tests.factories.rigs import a_rig, a_yard
from tests.flaky_proxy import FlakyProxy


def test_pounds_inches_and_feet_come_back_as_typed(proxy: FlakyProxy, shop: Actor, new_phone: NewPhone) -> None:
    machine = work.a_machine(shop, work.a_customer(shop))
    a_yard(shop)
    rig = a_rig(shop)
    phone = new_phone(proxy.url)
    phone.sign_in(OWNER)

    sizes = {"Weight (lb)": "900", "Length (in)": "72.25"}
    phone.open(f"/machines/{machine}/edit")
    phone.open_more()
    for label, text in sizes.items():
        phone.fill(label, text)
    phone.press("Save machine")
    phone.expect_heading("Hartvale GT 22 garden tractor")
    phone.wait_until_sent()
    plates = {"Payload (lb)": "1999", "Ramp length (in)": "8 ft", "GCWR (lb)": "7001"}
    phone.open(f"/rigs/{rig}")
    for label, text in plates.items():
        phone.fill(label, text)
    phone.press("Save rig")
    phone.expect_heading("Plan runs")
    phone.wait_until_sent()

    with in_shop(shop.shop_id):
        kept, carries = Machine.objects.get(id=machine), Rig.objects.get(id=rig)
    assert (kept.mass_kg, kept.mass_typed, kept.length_typed) == (408, "900 lb", "72.25 in")
    assert (carries.payload_typed, carries.ramp_length_typed) == ("1999 lb", "8 ft")
    assert (carries.truck or {})["typed"] == {"gcwr_kg": "7001 lb"}
    for path, fields in ((f"/machines/{machine}/edit", sizes), (f"/rigs/{rig}", plates)):
        phone.open(path)
        for label, text in fields.items():
            expect(phone.page.get_by_label(label, exact=True)).to_have_value(text)
    phone.close()
