"""Labor and parts of one work are one question, what is spent is none, and the deposit is in sight."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import Approval, Line
from shopapi.quotes.services.drafts import put_quote_line
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.browser.phone import Phone
from tests.factories import work
from tests.site import LiveSite


def test_a_work_is_asked_once_and_what_was_driven_is_not(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    deposit = {"percent": "50", "of": "total", "from_total_minor": 0, "rounding_to_minor": 1}
    basis = work.a_basis(shop)
    basis |= {"deposit": deposit, "rules_version": 3, "travel": basis["travel"] | {"minor_per_unit": 135}}
    quote = work.a_draft(shop, work.a_job(shop), basis=basis)
    work.do(shop, put_quote_line, quote_id=quote, **work.labor())
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.open(f"/quotes/{quote}")
    write_the_rest(phone)
    found = accessibility_violations(phone.page, "a quote with a work")

    phone.press("Show the customer")
    phone.press("Hand over the phone")
    phone.expect_heading("Quote from Kettle Ford Small Engine")
    expect(phone.page.get_by_role("button", name="Yes to ")).to_have_count(1)
    phone.press("No to Fit new brushes")
    driven = phone.total_cents()
    assert driven == 1350
    phone.expect_text("Deposit due $6.75")
    phone.press("Continue and decline all")
    phone.expect_text("I decline, and pay the $13.50 agreed before")
    phone.press("Back to the items")
    phone.press("Yes to Fit new brushes")
    phone.page.get_by_text("What’s in it").click()
    phone.expect_text("Brush set, 1 at $28.00 each: $28.00")
    found += accessibility_violations(phone.page, "a work to decide")
    agreed = phone.total_cents()
    phone.press("Continue to sign")
    phone.fill("Your name", "Winnie Stroud")
    phone.draw_signature()
    expect(phone.page.locator(".totals").get_by_text("Deposit due")).to_be_visible()
    phone.press("I approve")
    phone.expect_heading("Thank you")
    phone.expect_text("Deposit due")
    assert found == []
    phone.press_and_hold("I have the phone back")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert set(Line.objects.values_list("decided", flat=True)) == {"accepted"}
        approval = Approval.objects.get()
        assert (approval.matches, approval.accepted_total_minor) == (True, agreed)


def write_the_rest(phone: Phone) -> None:
    """A part of the same work, asked apart at first, and ten miles driven."""
    phone.list_item("Fit new brushes").click()
    phone.press("A part for the same work")
    phone.expect_heading("Add part")
    phone.page.locator(".more > summary").click()
    phone.fill("What the part is", "Brush set")
    phone.fill("Price, each", "28.00")
    phone.choose_option("A yes or no of its own")
    phone.press("Add to quote")
    phone.expect_text("Asked apart from “Fit new brushes”")
    phone.list_item("Brush set").click()
    phone.expect_heading("Edit part")
    phone.page.locator(".more > summary").click()
    phone.choose_option("One yes or no with that work")
    phone.press("Save the line")
    phone.expect_text("$163.00")
    phone.press("Travel", exact=True)
    phone.fill("Where to and what for", "Out to the farm and back")
    phone.fill("Round trip, miles", "10")
    phone.choose_option("Not asked")
    phone.press("Add to quote")
    phone.expect_text("Agreed before, not asked again")
