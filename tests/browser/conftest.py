"""Fixtures: phones, a shop for them, the demo shop, and axe-core."""

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserType, Playwright, ViewportSize, expect

from shopapi.accounts.rules import FirstShop, NewInvitation
from shopapi.accounts.services.invitations import join_at_once
from shopapi.core import clock
from shopapi.core.actor import Actor
from shopapi.core.ids import uuid7
from shopapi.core.schema import parse
from shopapi.demo.loader import load_scenario
from shopapi.demo.scenario import Scenario, read_scenario
from shopapi.launch.programs_for_tests import FIREFOX
from shopapi.quotes.services.shop import open_first_shop
from tests.browser.handset import Handset
from tests.browser.phone import PASSWORD, Phone
from tests.factories import work
from tests.site import LiveSite

ROOT = Path(__file__).resolve().parents[2]
OWNER = "owner@demo.example"
MECHANIC = "mechanic@demo.example"

NewPhone = Callable[..., Phone]

# A machine under load is slow, not wrong; a test that passes never waits this long.
expect.set_options(timeout=30_000)


@pytest.fixture(scope="session", autouse=True)
def _app(built_app: Path) -> None:
    """Every test here opens the built app."""


@pytest.fixture
def new_phone(browser: Browser) -> Iterator[NewPhone]:
    """Creates phones: `new_phone(url, color_scheme="dark")`."""
    phones: list[Phone] = []

    def make(url: str, **options: Any) -> Phone:
        size: ViewportSize = {"width": options.pop("width", 360), "height": options.pop("height", 740)}
        settings: dict[str, Any] = {
            "locale": "en-US",
            "timezone_id": "America/Boise",
            "has_touch": True,
            "is_mobile": True,
        }
        phone = Phone(browser.new_context(viewport=size, **(settings | options)), url)
        phones.append(phone)
        return phone

    yield make
    for phone in phones:
        phone.close()


@pytest.fixture(scope="session")
def firefox(playwright: Playwright) -> Iterator[Browser]:
    """Firefox as Debian packages it, driven over WebDriver BiDi (https://www.w3.org/TR/webdriver-bidi/)."""
    found = FIREFOX.find()
    if not found:
        pytest.fail(FIREFOX.missing())
    browser = playwright.firefox.launch(channel="moz-firefox", executable_path=found[0])
    yield browser
    browser.close()


@pytest.fixture
def new_phone_in_firefox(firefox: Browser) -> Iterator[NewPhone]:
    """Creates phones whose browser is Firefox."""
    phones: list[Phone] = []

    def make(url: str, **options: Any) -> Phone:
        # This engine has no emulation of a phone but its size.
        size: ViewportSize = {"width": 360, "height": 740}
        context = firefox.new_context(viewport=size, locale="en-US", timezone_id="America/Boise", **options)
        phones.append(Phone(context, url))
        return phones[-1]

    yield make
    for phone in phones:
        phone.close()


@pytest.fixture(params=["new_phone", "new_phone_in_firefox"], ids=["in_chromium", "in_firefox"])
def new_phone_of_each(request: pytest.FixtureRequest) -> NewPhone:
    """Creates phones; the test runs once in each of these engines."""
    made: NewPhone = request.getfixturevalue(request.param)
    return made


@pytest.fixture
def handset(browser_type: BrowserType, browser_type_launch_args: dict[str, Any], tmp_path: Path) -> Iterator[Handset]:
    handset = Handset(browser_type, browser_type_launch_args, tmp_path / "profile")
    yield handset
    handset.close()


@pytest.fixture
def new_desk(new_phone: NewPhone) -> NewPhone:
    """Creates laptops, which have the desk's layout, a keyboard and a pointer."""
    return partial(new_phone, width=1280, height=800, has_touch=False, is_mobile=False)


@pytest.fixture(scope="session")
def story() -> Scenario:
    return read_scenario(ROOT / "fixtures" / "demo")


@pytest.fixture
def new_shop(live_site: LiveSite) -> Actor:
    """A shop with an owner, as it is opened: nothing in it is entered."""
    opening = {
        "shop_name": "Kettle Ford Small Engine",
        "zone": "America/Boise",
        "currency": "USD",
        "name": "Ines Okafor",
        "email": OWNER,
        "password": PASSWORD,
    }
    return open_first_shop(data=parse(FirstShop, opening))


@pytest.fixture
def shop(new_shop: Actor) -> Actor:
    """A shop with an owner, a mechanic and a price book, and nothing else."""
    mechanic = {
        "id": str(uuid7()),
        "name": "Bram Aldous",
        "email": MECHANIC,
        "role": "mechanic",
    }
    join_at_once(actor=new_shop, data=parse(NewInvitation, mechanic), password=PASSWORD)
    work.save_prices(new_shop, BOOK)
    return new_shop


@pytest.fixture
def demo_shop(live_site: LiveSite, story: Scenario) -> Scenario:
    """The invented demo shop with its two seasons of work."""
    load_scenario(story, today=clock.today(story.opening.shop["zone"]))
    return story


@pytest.fixture(scope="session")
def axe_source() -> str:
    return (ROOT / "pwa" / "node_modules" / "axe-core" / "axe.min.js").read_text()


BOOK = {
    "currency": "USD",
    "minor_digits": 2,
    "rounding": "half_up",
    "labor_rates": [
        {"key": "bench", "label": "Bench", "minor_per_hour": 9500, "member_id": None, "work": None},
    ],
    "labor_minimum_minor": 0,
    "diagnosis_fee_minor": 6000,
    "credit_diagnosis": True,
    "part_bands": [
        {"up_to_minor": 5000, "markup_percent": "45"},
        {"up_to_minor": None, "markup_percent": "30"},
    ],
    "supplies": {"percent": "5", "of": ["labor"], "floor_minor": 200, "cap_minor": 2000},
    "travel": {
        "mode": "distance",
        "minor_per_unit": 135,
        "unit": "mi",
        "free_units": "4",
        "minimum_minor": 1000,
        "zones": [],
    },
    "deposit": {"percent": "0", "of": "parts", "from_total_minor": 0, "rounding_to_minor": 100},
    "tolerance_percent": "10",
    "terms": "An offer for the work as written. We ask before we do more.",
    "valid_days": 14,
    "tax_profiles": [
        {
            "key": "first",
            "label": "Sales tax as entered",
            "from_on": "2020-01-01",
            "until_on": None,
            "inclusive": False,
            "per": "invoice",
            "rounding": "half_up",
            "rates": [{"key": "state", "label": "State", "percent": "6"}],
            "labor": "never_when_separate",
            "part": True,
            "supplies": True,
            "travel": False,
            "fee": False,
            "lumped": False,
        }
    ],
}
