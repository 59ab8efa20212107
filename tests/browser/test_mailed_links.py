"""A forgotten password is set anew, and an address changed, by links in mails."""

import re
from collections.abc import Iterator

import pytest
from django.conf import settings
from playwright.sync_api import expect

from shopapi.accounts.tasks import send_mail
from shopapi.core.actor import Actor
from shopapi.core.models import Outbox
from shopapi.core.tenancy import in_shop
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import OWNER, NewPhone
from tests.notices.post import Mailbox, mail_server, smtp_settings
from tests.site import LiveSite

FRESH, NEW = "four slow mowers", "ines@larkspur.example"


@pytest.fixture
def mailbox(live_site: LiveSite, monkeypatch: pytest.MonkeyPatch) -> Iterator[Mailbox]:
    """A mail server that the site knows; the mails themselves are sent from here."""
    with mail_server() as box:
        monkeypatch.setattr(settings, "SMTP", smtp_settings(box.port))
        given = {"DRAWBAR_SMTP_URL": f"smtp://127.0.0.1:{box.port}", "DRAWBAR_MAIL_FROM": "shop@bench.example"}
        live_site.environment.update(given)
        live_site.restart()
        yield box
        for name in given:
            del live_site.environment[name]
        live_site.restart()


def page_of_mail(shop: Actor, mailbox: Mailbox, address: str) -> str:
    """The path of the link in the newest mail to this address, once what waits has been sent."""
    with in_shop(shop.shop_id):
        waiting = list(Outbox.objects.filter(task="accounts.send_mail", done_at=None).order_by("id"))
    for row in waiting:
        send_mail(str(shop.shop_id), str(row.id))
    text = str(next(mail for mail in reversed(mailbox.taken) if mail["To"] == address).get_content())
    found = re.search(r"http://localhost:8000(/[\w-]+#[\w-]{43})", text)
    assert found is not None, text
    return found[1]


def test_forgotten_password_and_new_address(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str, mailbox: Mailbox
) -> None:
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.open()
    phone.press("Forgot your password?")
    phone.expect_heading("Forgot your password?")
    assert accessibility_violations(phone.page, "a forgotten password") == []
    phone.press("Send the link")
    expect(phone.page.get_by_label("Email", exact=True)).to_be_focused()
    phone.fill("Email", OWNER)
    phone.press("Send the link")
    phone.expect_text("If that address signs in here, a link is on its way.")

    # The link may be opened where somebody is signed in as well.
    other = new_phone(live_site.base_url)
    other.context.add_init_script(axe_source)
    other.sign_in(OWNER)
    asked: list[str] = []
    other.page.on("request", lambda request: asked.append(request.url))
    path = page_of_mail(shop, mailbox, OWNER)
    other.open(path)
    other.expect_heading("Set a new password")
    assert accessibility_violations(other.page, "a new password") == []
    other.fill("New password", "owner@demo.exam")
    other.press("Set the password")
    other.expect_text("This password is too much like the email address.")
    other.fill("New password", FRESH)
    other.press("Set the password")
    other.expect_text("Password set. Sign in with it.")
    assert [url for url in asked if path.split("#")[1] in url and "#" not in url] == []
    phone.sign_in(OWNER, FRESH)

    phone.open("/security")
    phone.list_item("Change email").click()
    phone.expect_heading("Change email")
    phone.fill("New email", NEW)
    phone.fill("Your password", "not this one")
    phone.press("Send a link there")
    phone.expect_text("That isn't your current password.")
    phone.fill("Your password", FRESH)
    phone.press("Send a link there")
    phone.expect_text("Open the link in the mail we sent there.")
    third = new_phone(live_site.base_url)
    third.context.add_init_script(axe_source)
    third.open(page_of_mail(shop, mailbox, NEW))
    third.expect_heading("Confirm your email")
    assert accessibility_violations(third.page, "a new address") == []
    third.press("Confirm")
    third.expect_text("Confirmed. From now on sign in with the new email.")
    third.sign_in(NEW, FRESH)
