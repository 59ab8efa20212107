"""Members: one joins by an invitation link, leaves, and is taken back."""

import re
from urllib.parse import unquote, urlsplit

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import PASSWORD as DEMO_PASSWORD
from tests.site import LiveSite

EMAIL, OWN_PASSWORD, PASSWORD = "ivo@larkspur.example", "oil before sunrise", "grease and patience"


def test_person_joins_by_a_link_with_their_own_password(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    owner = new_phone(live_site.base_url)
    owner.context.add_init_script(axe_source)
    owner.sign_in(OWNER)
    owner.open("/more")
    owner.list_item("People and phones").click()
    owner.press("Add a person")
    owner.expect_heading("Add a person")
    owner.press("Invite", exact=True)
    expect(owner.page.get_by_label("Name", exact=True)).to_be_focused()
    owner.fill("Name", "Ivo Marsh")
    owner.fill("Email, to sign in with", OWNER)
    owner.press("Invite", exact=True)
    owner.expect_text("Ines Okafor already signs in with this address.")
    owner.fill("Email, to sign in with", EMAIL)
    owner.press("Invite", exact=True)
    owner.expect_text("Ivo Marsh is invited. Pass the link on")
    owner.expect_heading("Ivo Marsh")
    expect(owner.page.get_by_role("img", name="Invitation code")).to_be_visible()
    assert accessibility_violations(owner.page, "an invitation") == []
    link = unquote(owner.page.get_by_role("link", name="Email").get_attribute("href") or "").rsplit(" ", 1)[1]
    owner.press("Make a new link")
    owner.expect_text("The old one no longer works")
    fresh = owner.page.get_by_role("link", name="Email")
    expect(fresh).not_to_have_attribute("href", re.compile(re.escape(link.rsplit("/", 1)[1])))
    newest = unquote(fresh.get_attribute("href") or "").rsplit(" ", 1)[1]
    owner.open("/members")
    expect(owner.list_item("Ivo Marsh")).to_contain_text("Invited")

    lost = new_phone(live_site.base_url)
    lost.context.add_init_script(axe_source)
    lost.open(urlsplit(link).path)
    lost.expect_heading("This invitation does not work any more")
    lost.open(urlsplit(newest).path)
    lost.expect_heading("Join Kettle Ford Small Engine")
    assert accessibility_violations(lost.page, "the page behind an invitation") == []
    lost.fill("Choose a password", OWN_PASSWORD)
    lost.fill("Repeat the password", "another password")
    lost.press("Join the shop")
    lost.expect_text("These two are not the same.")
    lost.fill("Choose a password", OWN_PASSWORD)
    lost.fill("Repeat the password", OWN_PASSWORD)
    lost.press("Join the shop")
    lost.expect_text("No open jobs")
    lost.wait_until_sent()
    owner.open("/members")
    expect(owner.list_item("Ivo Marsh")).to_contain_text("1 phone")


def test_membership_ends_and_is_resumed(live_site: LiveSite, shop: Actor, new_phone: NewPhone) -> None:
    owner = new_phone(live_site.base_url)
    owner.sign_in(OWNER)
    owner.open("/members")
    owner.list_item("Bram Aldous").click()
    owner.press("End access")
    owner.expect_text("Bram Aldous is no longer signed in anywhere")
    second = new_phone(live_site.base_url)
    second.open()
    second.fill("Email", MECHANIC)
    second.fill("Password", DEMO_PASSWORD)
    second.press("Sign in")
    second.expect_text("The shop owner removed this phone.")
    owner.press("Undo")
    owner.expect_text("Undone")
    second.fill("Email", MECHANIC)
    second.fill("Password", DEMO_PASSWORD)
    second.press("Sign in")
    second.expect_text("No open jobs")

    # Without a signal nothing is pretended.
    owner.context.set_offline(True)
    owner.press("End access")
    owner.expect_text("No signal. Nothing was changed. Try again.")


def test_a_member_changes_their_password(live_site: LiveSite, shop: Actor, new_phone: NewPhone) -> None:
    phone = new_phone(live_site.base_url)
    phone.sign_in(MECHANIC)
    phone.open("/security")
    phone.list_item("Change password").click()
    phone.fill("Current password", "not the first one")
    phone.fill("New password", PASSWORD)
    phone.press("Change password")
    phone.expect_text("That isn't your current password.")
    phone.fill("Current password", DEMO_PASSWORD)
    phone.press("Change password")
    phone.expect_text("Password changed.")
