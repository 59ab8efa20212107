"""People of the shop on the owner's phone: one joins, loses a phone, leaves, and is taken back."""

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from tests.browser.conftest import OWNER, NewPhone
from tests.site import LiveSite

EMAIL, FIRST_PASSWORD, PASSWORD = "ivo@larkspur.example", "a first password", "grease and patience"


def test_a_person_joins_loses_a_phone_leaves_and_is_taken_back(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone
) -> None:
    owner = new_phone(live_site.base_url)
    owner.sign_in(OWNER)
    owner.open("/settings")
    owner.row("People and phones").click()
    owner.press("Add a person")
    owner.heading("Add a person")
    owner.press("Add", exact=True)
    expect(owner.page.get_by_label("Name", exact=True)).to_be_focused()
    owner.fill("Name", "Ivo Marsh")
    owner.fill("Email, to sign in with", OWNER)
    owner.fill("First password", FIRST_PASSWORD)
    owner.press("Add", exact=True)
    owner.says("This address signs in somebody already; take another.")
    owner.fill("Email, to sign in with", EMAIL)
    owner.press("Add", exact=True)
    owner.says("Ivo Marsh can sign in now")

    lost = new_phone(live_site.base_url)
    lost.sign_in(EMAIL, FIRST_PASSWORD)
    lost.says("No open jobs")
    lost.all_sent()
    lost.open("/settings")
    lost.row("Change password").click()
    lost.fill("Password until now", "not the first one")
    lost.fill("New password", PASSWORD)
    lost.press("Change it")
    lost.says("This is not your password until now.")
    lost.fill("Password until now", FIRST_PASSWORD)
    lost.press("Change it")
    lost.says("Password changed.")

    owner.row("Ivo Marsh").click()
    owner.press("Sign off phone B")
    owner.says("Phone B is signed off")
    expect(owner.page.locator(".facts").last).to_contain_text("signed off")

    owner.press("End the membership")
    owner.says("Ivo Marsh is no longer signed in anywhere")
    second = new_phone(live_site.base_url)
    second.open()
    second.fill("Email", EMAIL)
    second.fill("Password", PASSWORD)
    second.press("Sign in")
    second.says("Your membership has ended. Ask the owner of the shop.")
    owner.press("Undo")
    owner.says("Undone")
    second.press("Sign in")
    second.says("No open jobs")

    # Without a signal nothing is pretended.
    owner.context.set_offline(True)
    owner.press("End the membership")
    owner.says("This needs a signal. Nothing was changed; try again.")
