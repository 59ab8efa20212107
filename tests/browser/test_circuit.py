"""An intermittent no-start is narrowed down without a signal: tries are tapped, faults ranked, the next test named."""

import re

from playwright.sync_api import expect

from shopapi.bench.models import Circuit, CircuitObservation
from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.browser.phone import Phone
from tests.factories import work
from tests.site import LiveSite


def tap(phone: Phone, words: str, times: int) -> None:
    """Tap an answer once for every try; its label then shows the count."""
    for _ in range(times):
        phone.page.get_by_role("button", name=re.compile(f"^{words}( ×|$)")).click()


def heaviest(phone: Phone) -> str:
    section = phone.page.get_by_role("region", name="What explains it")
    return section.get_by_role("listitem").first.inner_text()


def test_an_intermittent_no_start(live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str) -> None:
    job = work.a_job(shop, customer_id=work.a_customer(shop, name="Winnie Stroud"))
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    phone.open(f"/jobs/{job}/bench")
    phone.context.set_offline(True)
    narrow_down(phone)
    change_the_circuit(phone)
    phone.context.set_offline(False)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        [circuit] = Circuit.objects.all()
        assert circuit.wiring["crank"][0]["contacts"][-1] == {"part": "part_18", "control": "seat", "closed": True}
        seen = [row.observation and row.observation["yes"] for row in CircuitObservation.objects.order_by("id")]
        assert seen == [2, 1, None]
    phone.close()


def narrow_down(phone: Phone) -> None:
    phone.press("Start and kill circuit")
    phone.expect_text("This machine has no circuit yet")
    phone.press("Gear drive")
    phone.expect_text("Nothing observed yet")

    # Two of five tries crank: some part loses contact now and then.
    phone.press("Record this test")
    assert not accessibility_violations(phone.page, "what was seen")
    tap(phone, "Cranks", 2)
    tap(phone, "No crank", 3)
    phone.press("Save: Cranks 2 of 5")
    phone.expect_text("now and then")
    assert "now and then" in heaviest(phone)
    assert not accessibility_violations(phone.page, "the search")

    # The plug at the solenoid has lost contact when it is measured by itself: that explains all of it.
    phone.press("Record something else")
    phone.choose_option("Continuity of a part")
    phone.page.get_by_label("Part", exact=True).select_option("Plug at the solenoid")
    phone.choose_option("Shaken")
    tap(phone, "Continuity", 1)
    tap(phone, "Open", 3)
    phone.press("Save: Continuity 1 of 4")
    phone.expect_text("Plug at the solenoid: loses contact now and then")
    assert heaviest(phone).startswith("Plug at the solenoid: loses contact now and then")
    share = re.search(r"(\d+)%", heaviest(phone))
    assert share
    assert int(share[1]) > 80

    phone.expect_text("Enough to act on")

    # A mistake is withdrawn, and the ranking follows.
    phone.page.get_by_role("region", name="Observed").locator("summary").first.click()
    phone.press("That was a mistake")
    phone.expect_text("Observation withdrawn")
    expect(phone.page.get_by_role("region", name="Observed").get_by_role("listitem")).to_have_count(1)


def change_the_circuit(phone: Phone) -> None:
    """A few taps: a seat switch joins the crank chain."""
    phone.press("Change the circuit")
    phone.press("Way 1")
    phone.press("New part")
    phone.fill("Name", "Seat switch, start contacts")
    phone.page.get_by_label("Closed", exact=True).select_option("When seated")
    phone.press("Save")
    phone.expect_text("Seat switch, start contacts")
    assert not accessibility_violations(phone.page, "a way of the circuit")
