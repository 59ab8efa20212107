"""One phone and two members, and a sign-in that has ended: whoever wrote it, it is sent as theirs or not at all."""

from playwright.sync_api import expect

from shopapi.accounts.models import Member
from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Complaint
from shopapi.sync.models import LoggedCommand
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import PASSWORD
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite


def senders(shop: Actor) -> dict[str, str]:
    """Who added each complaint, by its words, according to the log of commands."""
    with in_shop(shop.shop_id):
        names = dict(Member.objects.values_list("id", "user__email"))
        logged = LoggedCommand.objects.filter(name="add_complaint", status="applied")
        return {one.args["words"]: names[one.member_id] for one in logged}


def test_what_one_member_has_unsent_is_never_sent_by_another(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone
) -> None:
    """Scenario 34: it stays on the phone, out of sight, and goes when its writer signs in again."""
    phone = new_phone(proxy.url)
    phone.sign_in(MECHANIC)
    path = phone.open_stored_job("Odell Varga", "Will not turn")
    proxy.refuse()
    phone.add_complaint("It also smokes")
    expect(phone.queue_status()).to_have_text("1 to send")
    phone.open("/settings")
    phone.press("Sign out")
    phone.expect_text("1 item isn’t sent yet.")
    phone.press("Sign out anyway")
    phone.expect_heading("Sign in")

    proxy.open()
    phone.sign_in(OWNER)
    phone.open(path)
    expect(phone.page.get_by_text("It also smokes")).to_have_count(0)
    phone.add_complaint("It leaks oil")
    phone.wait_until_sent()
    assert senders(shop) == {"Will not turn": MECHANIC, "It leaks oil": OWNER}
    phone.open("/settings")
    phone.press("Sign out")
    phone.expect_heading("Sign in")

    phone.sign_in(MECHANIC)
    phone.open(path)
    for words in ("It also smokes", "It leaks oil"):
        phone.expect_text(words)
    assert senders(shop) == {"Will not turn": MECHANIC, "It leaks oil": OWNER, "It also smokes": MECHANIC}


def test_sign_in_whose_answer_is_lost_is_repeated_and_the_queue_goes_once(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone
) -> None:
    """Scenario 35: the session has ended, the server accepts the password, and its answer never arrives."""
    phone = new_phone(proxy.url)
    phone.sign_in(MECHANIC)
    path = phone.open_stored_job("Odell Varga", "Will not turn")
    proxy.refuse()
    phone.add_complaint("It also smokes")
    # As after thirty days: the browser has no session any more.
    phone.context.clear_cookies(name="session")
    proxy.open()
    phone.open("/queue")
    phone.page.locator("a.primary-button", has_text="Sign in").click()
    phone.expect_heading("Sign in")
    phone.fill("Email", MECHANIC)
    phone.fill("Password", PASSWORD)
    proxy.cut_after(20)
    phone.press("Sign in")
    phone.expect_text("No signal")
    with in_shop(shop.shop_id):
        assert Complaint.objects.count() == 1
    proxy.open()
    phone.press("Sign in")
    phone.wait_until_sent(seconds=60)
    phone.open(path)
    phone.expect_text("It also smokes")
    assert senders(shop) == {"Will not turn": MECHANIC, "It also smokes": MECHANIC}
    with in_shop(shop.shop_id):
        assert Complaint.objects.count() == 2
        assert LoggedCommand.objects.values("device").distinct().count() == 1
