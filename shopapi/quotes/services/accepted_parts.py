"""The parts on accepted lines become parts that the job needs."""

from decimal import Decimal

from shopapi.core.actor import Actor
from shopapi.jobs.rules import Decision
from shopapi.parts.rules.accepted import AcceptedPart
from shopapi.parts.services.accepted import need_accepted_parts
from shopapi.quotes import queries
from shopapi.quotes.models import Line, Quote
from shopapi.quotes.rules.prices import part_price


def need_parts_of(actor: Actor, quote: Quote) -> None:
    """Make what the job needs follow a decided quote. The caller holds the transaction."""
    basis = queries.basis_of(quote)
    lines = Line.objects.filter(shop=actor.shop_id, quote=quote, kind="part", decided=Decision.ACCEPTED)
    accepted = [
        AcceptedPart(
            line_id=line.id,
            number=line.part_number or "",
            description=line.words,
            quantity=Decimal(1) if line.quantity is None else line.quantity,
            finding_id=line.finding_id,
            cost_minor=line.unit_cost_minor,
            agreed_minor=part_price(basis, queries.rule_line(line)),
            core_minor=line.core_minor or 0,
        )
        for line in lines.order_by("position", "id")
    ]
    former, before = [], quote.replaces
    while before is not None:
        former.append(before.id)
        before = before.replaces
    former_lines = set(Line.objects.filter(shop=actor.shop_id, quote__in=former).values_list("id", flat=True))
    need_accepted_parts(actor=actor, job_id=quote.job_id, accepted=accepted, former_lines=former_lines)
