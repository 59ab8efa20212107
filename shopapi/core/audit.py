"""The audit trail: one event for each thing done, in the transaction that did it."""

from uuid import UUID

from shopapi.core.actor import Actor
from shopapi.core.models import AuditEvent
from shopapi.core.shape import plain


def record(actor: Actor, event: str, subject: tuple[str, UUID], **details: object) -> None:
    """Note that `actor` did `event` ("quote offered") to `subject` (kind, id). Details become JSON."""
    kind, row_id = subject
    AuditEvent.objects.create(
        shop_id=actor.shop_id,
        event=event,
        member_id=actor.member_id,
        device_id=actor.device_id,
        command_id=actor.command_id,
        subject_kind=kind,
        subject_id=row_id,
        details=plain(details),
    )
