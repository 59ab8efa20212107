"""Every screen of a phone is stored on it."""

from shopapi.demo.scenario import Scenario
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.screens import screen_paths, show_screen, two_stops_today
from tests.flaky_proxy import FlakyProxy


def test_every_screen_opens_without_a_signal(proxy: FlakyProxy, demo_shop: Scenario, new_phone: NewPhone) -> None:
    two_stops_today()
    phone = new_phone(proxy.url)
    phone.sign_in(OWNER)
    phone.wait_for_offline_app()
    paths = [path for _, path in screen_paths(phone)]
    proxy.refuse()
    # Nothing that was loaded while there was a signal is left, but what the service worker keeps.
    phone.context.new_cdp_session(phone.page).send("Network.clearBrowserCache")
    phone.open()
    for path in paths:
        show_screen(phone, path)
