"""Closing and opening of periods, and the refusal of what would change a closed one."""

from datetime import date

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.billing.models import PeriodClose
from shopapi.billing.queries.closing import closed_through
from shopapi.billing.rules.closing import PeriodClosing, closing_faults, refuse_closed
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import today
from shopapi.core.commands import command
from shopapi.core.errors import refuse_faults
from shopapi.core.rows import refuse_known_id
from shopapi.core.schema import to_json


@command(needs=Permission.KEEP_BOOKS, creates_row=True)
def close_period(*, actor: Actor, data: PeriodClosing) -> PeriodClose:
    """Close the books up to a day, or open days again with a reason."""
    refuse_known_id(PeriodClose, data.id)
    before = closed_through(actor)
    refuse_faults(closing_faults(data, closed_through=before, today=today(shop_of(actor).zone)))
    figures = data.model_dump() | {"counted": [to_json(each) for each in data.counted]}
    closed = PeriodClose.objects.create(shop_id=actor.shop_id, member_id=actor.member_id, **figures)
    opens = before is not None and data.closed_through < before
    record(
        actor,
        "period opened again" if opens else "period closed",
        ("period_close", closed.id),
        closed_through=data.closed_through,
        before=before,
        note=data.note,
        counted=figures["counted"],
    )
    return closed


def require_open(actor: Actor, day: date, *, field: str) -> None:
    """Raise Conflict `period_closed` if the books are closed for a day."""
    refuse_closed(day, closed_through(actor), field=field)


def is_open(actor: Actor, day: date) -> bool:
    """Whether a day can still be entered in the books."""
    closed = closed_through(actor)
    return closed is None or day > closed
