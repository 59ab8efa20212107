"""What quotes do when an app below them changes something."""

from shopapi.core.actor import Actor
from shopapi.parts.models import PartNeed
from shopapi.parts.services.needs import set_above_agreed
from shopapi.quotes.queries.part_prices import price_now


def part_priced(*, actor: Actor, need: PartNeed) -> None:
    """Keep whether a part whose cost or price is another now is dearer than the customer agreed to."""
    price = price_now(actor, need)
    above = price is not None and need.agreed_minor is not None and price > need.agreed_minor
    set_above_agreed(need=need, above=above)
