"""Passkeys by Chromium's virtual authenticator, an authenticator app, recovery codes, and the question who is there."""

import base64
import re
from typing import Any

from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from playwright.sync_api import expect

from shopapi.accounts.models import Passkey, User
from shopapi.accounts.queries import PROVED_AT
from shopapi.accounts.rules.totp import hotp, step_of
from shopapi.billing.models import BillingSettings
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.phone import PASSWORD, Phone
from tests.site import LiveSite

# The Chrome DevTools Protocol's domain WebAuthn: a device of its own, which unlocks without asking.
DEVICE = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


def with_authenticator(phone: Phone) -> tuple[Any, str]:
    session = phone.context.new_cdp_session(phone.page)
    session.send("WebAuthn.enable")
    made = session.send("WebAuthn.addVirtualAuthenticator", {"options": DEVICE})
    return session, made["authenticatorId"]


def open_security(phone: Phone) -> None:
    phone.open("/settings")
    phone.list_item("Sign-in and security").click()
    phone.expect_heading("Sign-in and security")


def sign_out(phone: Phone) -> None:
    phone.open("/settings")
    phone.press("Sign out")
    phone.expect_heading("Sign in")


def test_passkey_is_made_signs_in_alone_and_is_removed(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    session, authenticator = with_authenticator(phone)
    phone.sign_in(OWNER)
    open_security(phone)
    phone.press("Add a passkey on this device")
    phone.expect_text("Write these down or print them")
    expect(phone.page.locator(".codes li")).to_have_count(10)
    assert accessibility_violations(phone.page, "sign-in and security") == []
    code = phone.page.locator(".codes li").first.inner_text()
    phone.press("I have kept them")
    kept = session.send("WebAuthn.getCredentials", {"authenticatorId": authenticator})["credentials"]
    assert [one["rpId"] for one in kept] == ["localhost"]
    assert Passkey.objects.get().user == User.objects.get(email=OWNER)

    sign_out(phone)
    phone.press("Use a passkey")
    phone.wait_until_sent()

    other = new_phone(live_site.base_url)
    other.context.add_init_script(axe_source)
    other.open()
    other.fill("Email", OWNER)
    other.fill("Password", PASSWORD)
    other.press("Sign in")
    other.expect_heading("One more step")
    assert accessibility_violations(other.page, "the second step") == []
    other.fill("Code", "0000-0000-0000-0000")
    other.press("Sign in", exact=True)
    other.expect_text("This code is wrong or was used already.")
    other.fill("Code", code)
    other.press("Sign in", exact=True)
    other.wait_until_sent()

    open_security(phone)
    phone.expect_text("9 codes left")
    phone.page.locator("summary").first.click()
    phone.press("Remove")
    phone.expect_text("No passkeys yet")
    assert Passkey.objects.count() == 0


def test_authenticator_app_is_set_up_and_asked_for(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(OWNER)
    open_security(phone)
    phone.press("Set up an app")
    phone.expect_heading("Set up an authenticator app")
    # The first request of the page that is loaded here is a write.
    phone.page.reload()
    phone.expect_heading("Set up an authenticator app")
    expect(phone.page.get_by_role("img", name="Code for the app")).to_be_visible()
    assert accessibility_violations(phone.page, "an authenticator app") == []
    typed = phone.page.locator("p .serial").inner_text().replace(" ", "")
    secret = base64.b32decode(typed + "=" * (-len(typed) % 8))
    phone.fill("Code that the app shows", "12345")
    phone.press("Use this app")
    phone.expect_text("Enter the six digits")
    phone.fill("Code that the app shows", hotp(secret, step_of(now()) - 1))
    phone.press("Use this app")
    phone.expect_text("Write these down or print them")
    phone.press("I have kept them")
    phone.expect_heading("Sign-in and security")

    other = new_phone(live_site.base_url)
    other.open()
    other.fill("Email", OWNER)
    other.fill("Password", PASSWORD)
    other.press("Sign in")
    other.expect_heading("One more step")
    other.fill("Code", hotp(secret, step_of(now()) + 1))
    other.press("Sign in", exact=True)
    other.wait_until_sent()


def test_change_of_factors_asks_again_and_then_goes_on(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    with_authenticator(phone)
    phone.sign_in(OWNER)
    open_security(phone)
    phone.press("Add a passkey on this device")
    phone.press("I have kept them")
    forget_proof()
    phone.press("Make new codes")
    dialog = phone.page.get_by_role("dialog", name="Is it you?")
    expect(dialog).to_be_visible()
    assert accessibility_violations(phone.page, "the question who is there") == []
    phone.fill("Your password", "not this one")
    phone.press("Go on")
    phone.expect_text("That isn't your current password.")
    phone.press("Cancel")
    expect(dialog).to_have_count(0)
    expect(phone.page.locator(".codes li")).to_have_count(0)
    phone.press("Make new codes")
    phone.fill("Your password", PASSWORD)
    phone.press("Go on")
    expect(phone.page.locator(".codes li")).to_have_count(10)
    phone.press("I have kept them")
    forget_proof()
    phone.press("Make new codes")
    dialog.get_by_role("button", name=re.compile("Use a passkey")).click()
    expect(phone.page.locator(".codes li")).to_have_count(10)


def test_change_of_the_bank_account_asks_again_and_is_sent(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone
) -> None:
    phone = new_phone(live_site.base_url)
    phone.sign_in(OWNER)
    forget_proof()
    phone.open("/billing-settings")
    phone.fill("IBAN", "DE89370400440532013000")
    phone.fill("Account holder", "Kettle Ford Small Engine")
    phone.press("Save")
    dialog = phone.page.get_by_role("dialog", name="Is it you?")
    phone.press("Cancel")
    phone.expect_text("Not saved. The bank account and payment page")
    phone.press("Save")
    expect(dialog).to_be_visible()
    phone.fill("Your password", PASSWORD)
    phone.press("Go on")
    expect(dialog).to_have_count(0)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert BillingSettings.objects.get().iban == "DE89370400440532013000"


def test_sessions_are_listed_and_signed_out(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    phone, other = new_phone(live_site.base_url), new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    other.sign_in(OWNER)
    phone.sign_in(OWNER)
    open_security(phone)
    sessions = phone.page.get_by_role("region", name="Where you are signed in")
    expect(sessions.locator("details")).to_have_count(2)
    expect(sessions).to_contain_text("(this one)")
    sessions.locator("details").filter(has_not_text="this one").locator("summary").click()
    assert accessibility_violations(phone.page, "sessions") == []
    # What the other phone has entered stays on it, and is sent after it has signed in again.
    other.wait_for_offline_app()
    other.context.set_offline(True)
    other.open_job(
        customer="Miriam Voss", phone="555 014 8081", kind="tiller", make="Fenlark", model="T5", words="Will not turn"
    )
    phone.press("Sign it out")
    phone.expect_text("Signed out there")
    expect(sessions.locator("details")).to_have_count(1)
    other.context.set_offline(False)
    expect(other.queue_status()).to_contain_text("Sign in to send")
    other.open("/sign-in")
    other.expect_text("Nothing on this phone is lost.")
    other.fill("Email", OWNER)
    other.fill("Password", PASSWORD)
    other.press("Sign in", exact=True)
    other.wait_until_sent()
    with in_shop(shop.shop_id):
        assert Customer.objects.filter(name="Miriam Voss").count() == 1


def forget_proof() -> None:
    """As if the sign-ins of all sessions were longer ago."""
    for session in Session.objects.all():
        kept = SessionStore(session.session_key)
        if kept.pop(PROVED_AT, None) is not None:
            kept.save()
