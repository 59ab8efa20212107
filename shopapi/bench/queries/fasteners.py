"""Reads of a job's fasteners."""

from uuid import UUID

from shopapi.bench.models import Fastener, FastenerMove
from shopapi.bench.rules.fasteners import FastenerMoveKind
from shopapi.bench.rules.ledger import Ledger, LedgerFastener, LedgerMove, draw_up_ledger
from shopapi.core.actor import Actor
from shopapi.core.money import plain_decimal


def ledger_of(actor: Actor, job_id: UUID) -> tuple[Ledger, dict[str, Fastener]]:
    """The ledger of a job's fasteners, and the fasteners by id."""
    rows = Fastener.objects.filter(shop=actor.shop_id, step__job=job_id).select_related("step")
    found = {str(row.id): row for row in rows.order_by("step__position", "step_id", "id")}
    moves = FastenerMove.objects.filter(shop=actor.shop_id, fastener__step__job=job_id).order_by("created_at", "id")
    return draw_up_ledger([_as_ledger(row) for row in found.values()], map(_move, moves)), found


def _as_ledger(row: Fastener) -> LedgerFastener:
    return LedgerFastener(
        id=str(row.id),
        thread=row.thread,
        count=row.count,
        length=row.length,
        grade=row.grade,
        head=row.head,
        loosened=row.step.loosened,
        torque_critical=row.torque_critical,
    )


def _move(row: FastenerMove) -> LedgerMove:
    at = None if row.at_id is None else str(row.at_id)
    torque = "" if row.torque is None else f"{plain_decimal(row.torque)} {row.torque_unit}"
    return LedgerMove(str(row.fastener_id), FastenerMoveKind(row.kind), row.count, at, torque)


def torque_open_words(actor: Actor, job_id: UUID) -> list[str]:
    """Where torque-critical fasteners of a job are not back or not tightened: one text a fastener, "M8 25, head"."""
    ledger, fasteners = ledger_of(actor, job_id)
    return [_named(fasteners[each]) for each in ledger.torque_open]


def _named(row: Fastener) -> str:
    size = " ".join(filter(None, (row.thread, row.length)))
    return ", ".join(filter(None, (size, row.place or row.step.what or row.step.place)))
