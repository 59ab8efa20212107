"""No quote leaves with prices that nobody confirmed."""

from importlib import import_module
from types import SimpleNamespace
from typing import Any
from uuid import UUID

import pytest
from django.apps import apps as django_apps
from django.db import connections

from shopapi.accounts.rules import FirstShop
from shopapi.core.actor import Actor
from shopapi.core.errors import Conflict, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import Line, PriceBook, Quote
from shopapi.quotes.rules.confirmed import PRICE_PARTS, unconfirmed, with_confirmed
from shopapi.quotes.rules.starting_prices import starting_prices
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from shopapi.quotes.services.shop import edit_price_book, open_shop
from tests.factories import work
from tests.factories.crews import PASSWORD, open_crew
from tests.factories.work import do
from tests.quotes.test_price_book import pull_rows

STARTING = starting_prices("USD")


@pytest.fixture
def owner(db: None) -> Actor:
    """The owner of a shop in which nothing is entered."""
    opening = {"shop_name": "Weir", "zone": "America/Chicago", "name": "Ada", "email": "ada@weir.example"}
    return open_shop(data=FirstShop(**opening, password=PASSWORD))


def a_quote(actor: Actor) -> UUID:
    """A draft with an hour and a half of labor at 90.00 and a part of 40.00 with 40 %: 191.00."""
    quote = work.a_draft(actor, work.a_job(actor))
    line = {"quote_id": quote, "position": 0, "kind": "labor", "rank": "needed", "words": "Sharpen", "hours": "1.5"}
    do(actor, put_quote_line, id=uuid7(), **line)
    part = {"quote_id": quote, "position": 1, "kind": "part", "rank": "needed", "words": "Blade", "quantity": "1"}
    do(actor, put_quote_line, id=uuid7(), **part, unit_cost_minor=4000)
    return quote


def total_of(actor: Actor, quote_id: UUID) -> int:
    with in_shop(actor.shop_id):
        totals: dict[str, Any] | None = Quote.objects.get(id=quote_id).totals
    assert totals is not None
    return int(totals["total_minor"])


def confirmed(actor: Actor) -> list[str]:
    with in_shop(actor.shop_id):
        return PriceBook.objects.get().confirmed


def edit(actor: Actor, prices: dict[str, Any] | None = None, *parts: str, seen: dict[str, Any] = STARTING) -> None:
    """Edit the prices, confirm parts of them, or both."""
    base: dict[str, Any] = {}
    wanted: dict[str, Any] = {}
    if prices is not None:
        base["prices"], wanted["prices"] = seen, prices
    if parts:
        base["confirmed"], wanted["confirmed"] = [], list(parts)
    do(actor, edit_price_book, id=actor.shop_id, base=base, set=wanted)


def test_confirmations_add_up_in_their_order() -> None:
    assert with_confirmed(["terms"], ["labor_rates"]) == ["labor_rates", "terms"]
    assert [fault.field for fault in unconfirmed(["terms", "labor_rates"])] == ["part_bands", "tax_profiles"]
    assert unconfirmed(PRICE_PARTS) == []


def test_a_quote_of_a_new_shop_is_offered_once_each_part_of_its_prices_is_confirmed(owner: Actor) -> None:
    quote = a_quote(owner)
    assert confirmed(owner) == []
    for at, part in enumerate(PRICE_PARTS):
        with pytest.raises(Conflict) as refused:
            do(owner, offer_quote, **work.offer_of(owner, quote))
        assert refused.value.code == "prices_unconfirmed"
        assert [(fault.field, fault.code) for fault in refused.value.fields] == [
            (each, "unconfirmed") for each in PRICE_PARTS[at:]
        ]
        edit(owner, None, part)
    assert do(owner, offer_quote, **work.offer_of(owner, quote)).state == "offered"


def test_an_edit_that_says_nothing_of_it_confirms_every_part(owner: Actor) -> None:
    edit(owner, STARTING | {"terms": "At pickup."})
    assert confirmed(owner) == list(PRICE_PARTS)


def test_prices_saved_as_they_are_are_confirmed_without_a_conflict(owner: Actor) -> None:
    edit(owner, STARTING, "terms")
    edit(owner, STARTING, "labor_rates")
    edit(owner, STARTING, "terms")
    assert confirmed(owner) == ["labor_rates", "terms"]
    with in_shop(owner.shop_id):
        assert not Issue.objects.exists()


@pytest.mark.parametrize("wrong", [["prices"], "terms", None, [1]])
def test_a_part_that_there_is_not_is_refused(owner: Actor, wrong: object) -> None:
    with pytest.raises(Invalid):
        do(owner, edit_price_book, id=owner.shop_id, base={"confirmed": []}, set={"confirmed": wrong})
    assert confirmed(owner) == []


def test_fields_seen_and_wanted_must_be_the_same(owner: Actor) -> None:
    for wanted in ({"confirmed": ["terms"]}, {}):
        with pytest.raises(Invalid) as refused:
            do(owner, edit_price_book, id=owner.shop_id, base={}, set=wanted)
        assert refused.value.code == "base_mismatch"
    assert confirmed(owner) == []


def test_a_draft_follows_what_is_confirmed_for_the_first_time_and_keeps_the_rest(owner: Actor) -> None:
    quote = a_quote(owner)
    rate = STARTING["labor_rates"][0] | {"minor_per_hour": 12_000}
    tax = STARTING["tax_profiles"][0] | {"key": "tax", "rates": [{"key": "s", "label": "State", "percent": "10"}]}
    wanted = STARTING | {
        "labor_rates": [rate],
        "part_bands": [{"up_to_minor": None, "markup_percent": "50"}],
        "tax_profiles": [tax],
        "diagnosis_fee_minor": 5000,
    }
    edit(owner, wanted, "labor_rates", "tax_profiles")
    with in_shop(owner.shop_id):
        assert Quote.objects.get(id=quote).basis["diagnosis_fee_minor"] == 0
    # 1.5 h at 120.00 and the part still with 40 %, with 10 % on both.
    assert total_of(owner, quote) == (18_000 + 5600) * 110 // 100
    edit(owner, None, "part_bands", "terms")
    assert total_of(owner, quote) == (18_000 + 6000) * 110 // 100
    with in_shop(owner.shop_id):
        assert Line.objects.get(quote=quote, kind="part").asked_unit_minor == 6000
    # What is changed later is for new quotes.
    now = work.prices_of(owner)
    edit(owner, now | {"labor_rates": [rate | {"minor_per_hour": 20_000}]}, seen=now)
    assert do(owner, offer_quote, **work.offer_of(owner, quote)).totals["total_minor"] == (18_000 + 6000) * 110 // 100


def test_shops_that_offered_a_quote_or_edited_their_prices_have_confirmed_them(committed_db: None) -> None:
    quoted, edited, untouched = (open_crew(name) for name in ("First", "Second", "Third"))
    work.an_offer(quoted.owner, work.a_job(quoted.owner))
    work.save_prices(edited.owner, {"terms": "At pickup."})
    for crew in (quoted, edited, untouched):
        with in_shop(crew.shop_id):
            PriceBook.objects.update(confirmed=[])
    step = import_module("shopapi.quotes.migrations.0014_confirmed_prices").confirm_what_was_used
    step(django_apps, SimpleNamespace(connection=connections["owner"]))
    assert [confirmed(crew.owner) for crew in (quoted, edited, untouched)] == [[*PRICE_PARTS], [*PRICE_PARTS], []]
    # Phones fetch each with the new field, also the one that is as it was.
    (pulled,) = pull_rows(untouched.owner, "price_book")
    assert pulled["confirmed"] == []
