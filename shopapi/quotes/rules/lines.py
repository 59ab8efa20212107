"""Quote lines and discounts as entered, before any calculation.

Twin: `pwa/src/domain/quotes/lines.ts`.
"""

from typing import Annotated, Literal
from uuid import UUID

from pydantic import AfterValidator
from typing_extensions import TypeAliasType

from shopapi.accounts.rules import Permission
from shopapi.core.enums import values_of
from shopapi.core.schema import DecimalText, Schema, SeenWith, Text
from shopapi.jobs.rules import FindingRank
from shopapi.quotes.rules.price_book import Distance, Key, Percent, Price, at_most, not_blank, within

LineKind = TypeAliasType("LineKind", Literal["labor", "part", "travel", "fee", "supplies", "discount"])
LINE_KINDS: tuple[LineKind, ...] = values_of(LineKind)
RANKS = tuple(FindingRank)


class QuoteLine(Schema):
    """One line. Which figures it may carry depends on its kind (`FIGURES`); the others stay None.

    words         what the customer reads
    included      what the price covers and what not, as the customer reads it
    found         the finding that this line repairs, as the customer reads it
    work          the kind of work of labor ("repair" unless said otherwise), or "diagnosis" on a fee
    operation     the name of the work ("carburetor clean"), to match clocked hours; not shown to the customer
    hours         labor hours; priced at the rate named, else the member's, the work's, the standard
    part_number   the number of a part, to order it by; not shown to the customer
    quantity      pieces or measure of a part, fee or supplies; None is one
    unit_cost_minor   what the shop pays for one; hidden from members who may not see costs
    unit_price_minor  a set price for one, instead of cost and mark-up
    core_minor    refundable charge for the old part, for each
    distance      travel, in the book's unit
    fixed_minor   a set price for the whole line, instead of any other
    discount_...  off this line, either way; on a discount line: off the quote
    later_minor   the amount of this line if the work is done later; after its discount, with its core charge
    taxed         overrides what the tax profile says of this kind
    belongs_to_id the line whose work this one is part of: both are one question to the customer (`question_of`)
    apart         a question of its own all the same, with a warning
    agreed        agreed before the quote or spent already: always counts, is never asked
    """

    id: UUID
    position: Annotated[int, within(0, 100_000, "position_out_of_range")]
    kind: LineKind
    rank: FindingRank
    words: Annotated[Text, at_most(2000), AfterValidator(not_blank)]
    included: Annotated[Text, at_most(2000)] = ""
    found: Annotated[Text, at_most(2000)] = ""
    work: Key | None = None
    operation: Annotated[Text, at_most(60), AfterValidator(not_blank)] | None = None
    part_number: Annotated[Text, at_most(60), AfterValidator(not_blank)] | None = None
    hours: Annotated[DecimalText, within(0, 1000, "hours_out_of_range")] | None = None
    rate_key: Key | None = None
    member_id: UUID | None = None
    quantity: Annotated[DecimalText, within(0, 10_000, "quantity_out_of_range")] | None = None
    unit_cost_minor: Annotated[Price | None, SeenWith(Permission.SEE_COST, instead=None)] = None
    unit_price_minor: Price | None = None
    core_minor: Price | None = None
    distance: Distance | None = None
    zone_key: Key | None = None
    fixed_minor: Price | None = None
    discount_percent: Percent | None = None
    discount_minor: Price | None = None
    later_minor: Price | None = None
    taxed: bool | None = None
    belongs_to_id: UUID | None = None
    apart: bool | None = None
    agreed: bool | None = None


def is_asked(line: QuoteLine) -> bool:
    """Whether the customer says yes or no to a line; the others always count."""
    return line.kind != "discount" and not line.agreed


def question_of(line: QuoteLine) -> UUID:
    """What names the question that a line is part of: lines of the same are accepted or declined together."""
    return line.id if line.apart or line.belongs_to_id is None else line.belongs_to_id


_DISCOUNT = frozenset({"discount_percent", "discount_minor"})
_WORK = frozenset({"belongs_to_id", "apart"})
_EVERY_PRICE = _DISCOUNT | {"later_minor", "taxed"}
FIGURES: dict[LineKind, frozenset[str]] = {
    "labor": _EVERY_PRICE | _WORK | {"work", "operation", "hours", "rate_key", "member_id", "fixed_minor"},
    "part": _EVERY_PRICE | _WORK | {"part_number", "quantity", "unit_cost_minor", "unit_price_minor", "core_minor"},
    "travel": _EVERY_PRICE | {"agreed", "distance", "zone_key", "fixed_minor"},
    "fee": _EVERY_PRICE | {"agreed", "work", "quantity", "unit_price_minor", "fixed_minor"},
    "supplies": _EVERY_PRICE | {"quantity", "unit_price_minor", "fixed_minor"},
    "discount": _DISCOUNT,
}
"""The figures that a line of each kind may have."""

ALL_FIGURES = frozenset().union(*FIGURES.values())


class Discount(Schema):
    """A discount on the whole quote: a percentage or an amount, not both."""

    percent: Percent | None = None
    minor: Price | None = None
