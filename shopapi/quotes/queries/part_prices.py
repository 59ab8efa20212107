"""What a part that a job needs costs the customer now."""

from shopapi.core.actor import Actor
from shopapi.jobs.rules import FindingRank
from shopapi.parts.models import PartNeed
from shopapi.quotes.models import Line
from shopapi.quotes.queries import basis_of, prices_of_shop
from shopapi.quotes.rules.lines import QuoteLine
from shopapi.quotes.rules.prices import part_price


def price_now(actor: Actor, need: PartNeed) -> int | None:
    """The price of one in minor units, by its line's prices or the shop's; None where there is neither price nor cost.

    Twin: `priceNow` in `pwa/src/store/partNeeds.ts`.
    """
    lines = Line.objects.filter(shop=actor.shop_id).select_related("quote")
    line = None if need.line_id is None else lines.filter(id=need.line_id).first()
    part = QuoteLine(
        id=need.id,
        position=0,
        kind="part",
        rank=FindingRank.NEEDED,
        words=need.description,
        unit_price_minor=need.price_minor,
        unit_cost_minor=need.cost_minor,
    )
    return part_price(prices_of_shop(actor) if line is None else basis_of(line.quote), part)
