"""What the owner of the demo shop sets first: the shop's fields and its price book."""

import json
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import ShopFields
from shopapi.core.actor import Actor
from shopapi.core.schema import Edit, parse, to_json
from shopapi.core.tenancy import in_shop
from shopapi.quotes.queries import prices_of_shop
from shopapi.quotes.rules import ShopPrices
from shopapi.quotes.rules.schemas import PriceBookFields
from shopapi.quotes.services.shop import edit_price_book, edit_shop


def book_of(content: dict[str, Any], members: dict[str, UUID], moved: timedelta) -> ShopPrices:
    """The scenario's price book, with members by id and the dates of its tax profiles shifted."""
    book = json.loads(json.dumps(content))
    for rate in book["labor_rates"]:
        if rate["member_id"] is not None:
            rate["member_id"] = str(members[rate["member_id"]])
    for profile in book["tax_profiles"]:
        for key in ("from_on", "until_on"):
            if profile[key] is not None:
                profile[key] = (date.fromisoformat(profile[key]) + moved).isoformat()
    return parse(ShopPrices, book)


def set_up_shop(actor: Actor, values: dict[str, Any], prices: ShopPrices) -> None:
    """The owner's first edits of the shop and of its price book."""
    with in_shop(actor.shop_id):
        shop = shop_of(actor)
        base = {key: to_json(getattr(shop, key)) for key in values}
        first = {"prices": to_json(prices_of_shop(actor))}
    edit_shop(actor=actor, data=Edit[ShopFields](id=actor.shop_id, base=base, set=values))
    changed = {"prices": to_json(prices)}
    edit_price_book(actor=actor, data=Edit[PriceBookFields](id=actor.shop_id, base=first, set=changed))
