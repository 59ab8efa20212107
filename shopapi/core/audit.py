"""The audit trail: one event per change, in the same transaction."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from uuid import UUID

from shopapi.core.actor import Actor
from shopapi.core.models import AuditEvent
from shopapi.core.rows import insert_rows
from shopapi.core.schema import to_json


def record(actor: Actor, event: str, subject: tuple[str, UUID], **details: object) -> None:
    """Record that `actor` did `event` ("quote offered") to `subject` (kind, id). Details become JSON.

    Stamps among the details stay as the device's clock showed them; `clock` says how far it was wrong. Of a held
    command, the actor is the member who gave it; `settled_by` says who settled it.
    """
    kind, row_id = subject
    if actor.skew_ms:
        details["clock"] = clock_words(actor.skew_ms)
    if actor.settled_by is not None:
        details["settled_by"] = actor.settled_by
    made = AuditEvent(
        shop_id=actor.shop_id,
        event=event,
        member_id=actor.member_id,
        device_id=actor.device_id,
        command_id=actor.command_id,
        subject_kind=kind,
        subject_id=row_id,
        details=to_json(details),
    )
    together = _together.get()
    if together is None:
        made.save(force_insert=True)
    else:
        together.append(made)


_together: ContextVar[list[AuditEvent] | None] = ContextVar("audit_events_together", default=None)


@contextmanager
def recorded_together() -> Iterator[None]:
    """Write the events that are recorded inside in one statement at its end; none if it raises."""
    events: list[AuditEvent] = []
    outer = _together.set(events)
    try:
        yield
    finally:
        _together.reset(outer)
    insert_rows(events)


def clock_words(skew_ms: int) -> str:
    """The text that says by how much times were adjusted for a device whose clock was ahead by `skew_ms`.

    >>> clock_words(-7_140_000)
    'adjusted by 1 h 59 min: phone clock was behind'
    """
    minutes, seconds = divmod(round(abs(skew_ms) / 1000), 60)
    hours, minutes = divmod(minutes, 60)
    parts = [f"{amount} {unit}" for amount, unit in ((hours, "h"), (minutes, "min"), (seconds, "s")) if amount]
    return (
        f"adjusted by {' '.join(parts) or 'less than a second'}: phone clock was {'ahead' if skew_ms > 0 else 'behind'}"
    )
