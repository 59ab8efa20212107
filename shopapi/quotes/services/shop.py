"""The shop and its price book: opening a shop, editing both."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any
from uuid import UUID

from django.db import transaction

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of, shops
from shopapi.accounts.rules import FirstShop, Permission, ShopFields
from shopapi.accounts.services.shops import keep_holidays, make_first_shop, make_shop
from shopapi.core.actor import Actor
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import DomainError, FieldError, Invalid
from shopapi.core.events import publish
from shopapi.core.rows import row_among
from shopapi.core.schema import Edit, parse, to_json
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import PriceBook
from shopapi.quotes.rules import ShopPrices, check_book
from shopapi.quotes.rules.confirmed import PRICE_PARTS, with_confirmed
from shopapi.quotes.rules.schemas import PriceBookFields
from shopapi.quotes.rules.starting_prices import starting_prices
from shopapi.quotes.services.drafts import let_drafts_follow


def open_first_shop(*, data: FirstShop) -> Actor:
    """Open the first shop of an installation with its owner and price book. Raises Conflict if there is one."""
    with transaction.atomic():
        return _with_price_book(make_first_shop(data=data), data.currency)


def open_shop(*, data: FirstShop) -> Actor:
    """Open a shop with its owner and price book; returns the owner's actor."""
    with transaction.atomic():
        return _with_price_book(make_shop(data=data), data.currency)


def _with_price_book(owner: Actor, currency: str) -> Actor:
    with in_shop(owner.shop_id):
        PriceBook.objects.create(id=owner.shop_id, shop_id=owner.shop_id, prices=starting_prices(currency))
        publish("shop_opened", actor=owner)
    return owner


@command(needs=Permission.EDIT_SHOP)
def edit_price_book(*, actor: Actor, data: Edit[PriceBookFields]) -> PriceBook:
    """Edit the prices. They are one field, so an edit of an outdated price book becomes an edit conflict.

    What is confirmed adds up, and drafts follow the parts that are confirmed for the first time.
    """
    return _edit_prices(actor, data)


def _edit_prices(
    actor: Actor, data: Edit[PriceBookFields], *, issue_named_after: tuple[str, UUID] | None = None
) -> PriceBook:
    book = _price_book_for(actor, data.id)
    before = book.confirmed
    base, wanted = dict(data.base), dict(data.set)
    if wanted and base.keys() == wanted.keys():
        parts = edited(book, data).confirmed if "confirmed" in wanted else PRICE_PARTS
        base["confirmed"], wanted["confirmed"] = before, with_confirmed(before, parts)
    if "prices" in base:
        base["prices"] = _completed(base["prices"])
    if "prices" in wanted:
        _check_prices(book, wanted["prices"])
        wanted["prices"] = _say_how_taxes_round(book, wanted["prices"])
    edit_row(
        actor=actor,
        kind="price_book",
        row=book,
        edit=data.model_copy(update={"base": base, "set": wanted}),
        issue_named_after=issue_named_after,
    )
    let_drafts_follow(actor, parse(ShopPrices, book.prices), [part for part in book.confirmed if part not in before])
    return book


def edit_shop_with_book(*, actor: Actor, data: Edit[ShopFields]) -> Shop:
    """The `edit_shop` of apps up to 0.2.0, with the price book as `book`, and `ask_customer` called `ask_owner`."""
    data = data.model_copy(update={"base": _with_new_names(data.base), "set": _with_new_names(data.set)})
    if "book" not in data.set:
        return edit_shop.service(actor=actor, data=data)
    parts = {"base": dict(data.base), "set": dict(data.set)}
    prices = {name: {"prices": fields.pop("book")} if "book" in fields else {} for name, fields in parts.items()}
    edit = Edit[PriceBookFields](id=data.id, **prices)
    if not parts["base"] and not parts["set"]:
        # Then its conflict was about the shop, and phones settle it by that id, also after a restore.
        _edit_prices(actor, edit, issue_named_after=("shop", data.id))
        return shop_of(actor)
    _edit_prices(actor, edit)
    return edit_shop.service(actor=actor, data=data.model_copy(update=parts))


def _with_new_names(fields: dict[str, Any]) -> dict[str, Any]:
    """Fields of apps up to 0.3.0, where `paper_size` was `paper`, and up to 0.2.0, `ask_customer` `ask_owner`."""
    fields = {"paper_size" if key == "paper" else key: value for key, value in fields.items()}
    days = fields.get("follow_ups")
    if not isinstance(days, dict) or "ask_owner" not in days:
        return fields
    return {**fields, "follow_ups": {"ask_customer" if key == "ask_owner" else key: days[key] for key in days}}


def _rename_paper(args: dict[str, Any]) -> dict[str, Any]:
    parts = {name: args[name] for name in ("base", "set") if isinstance(args.get(name), dict)}
    return {**args, **{name: _with_new_names(fields) for name, fields in parts.items()}}


@command(needs=Permission.EDIT_SHOP, formerly={1: edit_shop_with_book}, upgrades={2: _rename_paper})
def edit_shop(*, actor: Actor, data: Edit[ShopFields]) -> Shop:
    """Edit the shop's name and settings."""
    shop = edit_row(actor=actor, kind="shop", row=row_among(shops(actor), data.id), edit=data)
    keep_holidays(shop)
    return shop


def _price_book_for(actor: Actor, book_id: UUID) -> PriceBook:
    """The shop's price book, locked; created with the initial prices where there is none. Raises NotFound."""
    shop = row_among(shops(actor), book_id)
    made = {"id": shop.id, "prices": starting_prices(shop.currency)}
    book, _ = PriceBook.objects.select_for_update().get_or_create(shop=shop, defaults=made)
    book.prices = _completed(book.prices)
    return book


def _completed(prices: Any) -> Any:
    """Prices with defaults for settings that did not exist when they were stored, so that they can be compared."""
    try:
        return to_json(parse(ShopPrices, prices))
    except DomainError:
        return prices


def _say_how_taxes_round(book: PriceBook, prices: dict[str, Any]) -> dict[str, Any]:
    """The prices with `rates_rounded` set in each tax profile that lacks it.

    A profile that the shop already has keeps its value; in a new one each rate is rounded by itself.
    """
    before = {profile["key"]: profile.get("rates_rounded", "together") for profile in book.prices["tax_profiles"]}
    profiles = [{"rates_rounded": before.get(profile["key"], "each"), **profile} for profile in prices["tax_profiles"]]
    return prices | {"tax_profiles": profiles}


def _check_prices(book: PriceBook, prices: object) -> None:
    try:
        parsed = parse(ShopPrices, prices)
        faults: Sequence[FieldError] = check_book(parsed)
    except DomainError as error:
        faults = error.fields
    else:
        if not faults and parsed.currency != book.shop.currency:
            faults = [FieldError("currency", "currency_foreign", message="currency_stays")]
    if faults:
        fields = [replace(fault, field=f"set.prices.{fault.field}") for fault in faults]
        raise Invalid("invalid", message="price_book_invalid", fields=fields)
