"""What the content policy of each page refuses, and that no page needs what it refuses."""

import pytest
from playwright.sync_api import expect

from shopapi.core.actor import Actor
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.phone import REFUSED_BY_POLICY
from tests.factories import work
from tests.site import LiveSite

# The name of the error, or what happened instead.
WRITES_TEXT = """() => {
    try { document.createElement('p').innerHTML = '<b>bold</b>'; return 'written' } catch (error) { return error.name }
}"""
STARTS_A_SCRIPT = """(url) => { try { new Worker(url); return 'started' } catch (error) { return error.name } }"""
MAKES_A_POLICY = """() => {
    try { trustedTypes.createPolicy('mine', {}); return 'made' } catch (error) { return error.name }
}"""


def test_text_does_not_become_html_or_script_in_the_app(live_site: LiveSite, shop: Actor, new_phone: NewPhone) -> None:
    phone = new_phone(live_site.base_url)
    phone.sign_in(OWNER)
    phone.wait_for_offline_app()
    assert phone.policy_violations == []
    page, phone.breaks_policy = phone.page, True
    # It is noticed, so that a test fails where a page does it by itself.
    with page.expect_console_message(lambda message: bool(REFUSED_BY_POLICY.search(message.text))):
        assert page.evaluate(WRITES_TEXT) == "TypeError"
    for url in ("/api/v1/session", "data:text/javascript,1", "https://other.example/assets/a.js"):
        assert page.evaluate(STARTS_A_SCRIPT, url) == "TypeError"
    assert page.evaluate(MAKES_A_POLICY) == "TypeError"
    assert phone.policy_violations


@pytest.mark.parametrize("path", ["/api/docs", "/admin/customers/customer/", "/ask/nothing", "/join/nothing"])
def test_pages_besides_the_app_keep_to_their_policy(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, path: str
) -> None:
    work.a_customer(shop, name="Greta Sandoval")
    phone = new_phone(live_site.base_url)
    phone.sign_in(OWNER)
    phone.page.goto(live_site.base_url + path)
    if path == "/api/docs":
        # What it shows of our text is HTML that it was given as text.
        expect(phone.page.locator(".info .renderedMarkdown code").first).to_be_visible(timeout=60_000)
        expect(phone.page.locator("#operations-api_keys-list_api_keys")).to_be_visible(timeout=60_000)
    if path.endswith("/customer/"):
        phone.page.get_by_role("link", name="Greta Sandoval").click()
        phone.expect_text("Greta Sandoval")
    assert phone.policy_violations == []
    if path != "/api/docs":
        phone.breaks_policy = True
        assert phone.page.evaluate(WRITES_TEXT) == "TypeError"
