"""Amounts on a narrow phone are never wrapped and never cause horizontal scroll."""

from typing import Any
from uuid import UUID

from playwright.sync_api import Page

from shopapi.accounts.rules import FirstShop
from shopapi.core.actor import Actor
from shopapi.core.ids import uuid7
from shopapi.core.schema import parse
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from shopapi.quotes.services.shop import edit_shop, open_first_shop
from tests.browser.conftest import OWNER, NewPhone
from tests.browser.phone import PASSWORD, Phone
from tests.factories import work
from tests.factories.work import do
from tests.site import LiveSite

MOST = 999_999_999
# Each amount as a range of its text: its lines are the different heights of what it covers.
BROKEN = r"""() => {
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT)
  const found = { seen: 0, broken: [], aside: document.documentElement.scrollWidth - innerWidth }
  while (walker.nextNode()) {
    const node = walker.currentNode
    for (const { 0: amount, index } of node.data.matchAll(/CHF[-\s]?[\d.,'’]*\d/g)) {
      const range = document.createRange()
      range.setStart(node, index)
      range.setEnd(node, index + amount.length)
      const tops = [...range.getClientRects()].map(({ top }) => Math.round(top))
      if (tops.length) found.seen++
      if (new Set(tops).size > 1) found.broken.push(`${amount} in ${node.data}`)
    }
  }
  return found
}"""


def test_no_amount_is_broken_on_a_narrow_phone(live_site: LiveSite, new_phone: NewPhone) -> None:
    owner = a_swiss_shop()
    job, draft, offered = wide_quotes(owner)
    phone = new_phone(live_site.base_url, width=320)
    phone.sign_in(OWNER)
    for path in (f"/quotes/{draft}", f"/quotes/{draft}/offer", f"/quotes/{offered}", f"/jobs/{job}"):
        phone.open(path)
        whole(phone.page, path)
    phone.open(f"/quotes/{offered}")
    show_to_customer(phone)
    whole(phone.page, "the customer's view")


def a_swiss_shop() -> Actor:
    """A shop that writes CHF 9'999'999.99: four letters more than a dollar's amount, and marks of thousands."""
    opening = {
        "shop_name": "Mühlebach Gartengeräte",
        "zone": "Europe/Zurich",
        "currency": "CHF",
        "name": "Rea Zgraggen",
    }
    owner = open_first_shop(data=parse(FirstShop, {**opening, "email": OWNER, "password": PASSWORD}))
    rates = [{"key": "mwst", "label": "MWST", "percent": "8.1"}]
    prices = work.prices_of(owner)
    work.save_prices(owner, {"tax_profiles": [prices["tax_profiles"][0] | {"rates": rates}]})
    do(owner, edit_shop, id=owner.shop_id, base={"locale": "en-US"}, set={"locale": "de-CH"})
    return owner


def wide_quotes(owner: Actor) -> tuple[UUID, UUID, UUID]:
    """A job, its draft, and an offer on another job, with the largest amounts in every place."""
    basis = work.prices_of(owner) | {"rules_version": 3}
    fee: dict[str, Any] = {"kind": "fee", "rank": "needed", "fixed_minor": MOST, "later_minor": MOST}
    part = {"kind": "part", "rank": "safety", "unit_price_minor": MOST, "core_minor": 1_234_567, "quantity": "1"}
    off = {"kind": "discount", "rank": "advised", "discount_minor": 123_456_789}
    job, other = work.a_job(owner), work.a_job(owner)
    quotes = []
    for of in (job, other):
        quotes.append(work.a_draft(owner, of, basis=basis))
        for at, line in enumerate((fee, part, fee | {"discount_minor": 123_456_789}, off)):
            named = {"id": uuid7(), "quote_id": quotes[-1], "position": at, "words": f"Line {at}, with a large amount"}
            do(owner, put_quote_line, **named, **line)
    do(owner, offer_quote, **work.offer_of(owner, quotes[1]))
    return job, quotes[0], quotes[1]


def show_to_customer(phone: Phone) -> None:
    phone.press("Show the customer")
    phone.expect_text("You’re approving")
    for yes in phone.page.get_by_role("button", name="Yes to").all():
        yes.click()


def whole(page: Page, where: str) -> None:
    page.wait_for_function("() => /CHF/.test(document.body.innerText)")
    found = page.evaluate(BROKEN)
    assert found["seen"], where
    assert (where, found["broken"], found["aside"]) == (where, [], 0)
