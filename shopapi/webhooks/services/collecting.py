"""From the change index to deliveries: each webhook of a shop is told of what changed since it was told last.

A delivery is a row before anything is sent; the position moves on in the same transaction. So no change is forgotten,
whatever dies, and none waits for a writer: the index is fed by triggers.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta

from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.clock import now
from shopapi.core.models import Outbox
from shopapi.core.schema import to_json
from shopapi.webhooks import queries
from shopapi.webhooks.models import Webhook, WebhookDelivery
from shopapi.webhooks.rules.webhook import (
    KEPT_DAYS,
    MOST_CHANGES,
    MOST_WAITING,
    ChangedRow,
    DeliveryState,
    WebhookState,
)


def collect_changes(*, actor: Actor) -> int:
    """Make the deliveries of a shop that are due; returns how many. The caller holds the shop's write lock.

    A webhook with many unfinished deliveries gets no more: its changes stay in the index, each row once.
    """
    made = 0
    for webhook in queries.webhooks(actor).filter(state=WebhookState.ON).exclude(secret="").order_by("id"):
        progress = queries.progress_of(webhook).select_for_update().get()
        waiting = queries.deliveries(actor).filter(webhook=webhook, state=DeliveryState.WAITING).count()
        if waiting >= MOST_WAITING:
            continue
        found = queries.untold(actor, webhook, progress.seq)
        for start in range(0, len(found.changes), MOST_CHANGES):
            part = found.changes[start : start + MOST_CHANGES]
            add_delivery(actor, webhook, kind="rows.changed", cursor=found.cursor, changes=part)
            made += 1
        if found.upto != progress.seq:
            progress.seq = found.upto
            progress.save(update_fields=["seq"])
    return made


def add_delivery(
    actor: Actor, webhook: Webhook, *, kind: str, cursor: str, changes: Sequence[ChangedRow]
) -> WebhookDelivery:
    """A delivery to be sent at once."""
    delivery = WebhookDelivery.objects.create(
        shop_id=actor.shop_id,
        webhook=webhook,
        type=kind,
        cursor=cursor,
        changes=[to_json(change) for change in changes],
        next_at=now(),
    )
    schedule(webhook)
    return delivery


def schedule(webhook: Webhook, at: datetime | None = None) -> None:
    """Let a worker send what is due for a webhook."""
    after_commit("webhooks.send_deliveries", shop_id=webhook.shop_id, at=at, webhook_id=webhook.id)


def set_state(actor: Actor, webhook: Webhook, state: WebhookState) -> None:
    """Turn a webhook on or off. Off: what waits has failed."""
    webhook.state = state
    webhook.save(update_fields=["state"])
    if state != WebhookState.ON:
        waiting = queries.deliveries(actor).filter(webhook=webhook, state=DeliveryState.WAITING)
        waiting.update(state=DeliveryState.FAILED, next_at=None, fault="turned_off")
    record(actor, f"webhook {state}", ("webhook", webhook.id))


def tidy(*, actor: Actor) -> int:
    """Schedule webhooks again whose outbox entry has failed, and forget old deliveries; returns how many of the former.

    The caller holds the shop's write lock.
    """
    finished = queries.deliveries(actor).exclude(state=DeliveryState.WAITING)
    finished.filter(changed_at__lt=now() - timedelta(days=KEPT_DAYS)).delete()
    queries.webhooks(actor).filter(former_until__lt=now()).update(former_secret="", former_until=None)
    pending = Outbox.objects.filter(
        shop_id=actor.shop_id, task="webhooks.send_deliveries", done_at=None, failed_at=None
    )
    known = set(pending.values_list("args__webhook_id", flat=True))
    left = [webhook_id for webhook_id in queries.webhooks_to_send(actor) if str(webhook_id) not in known]
    for webhook in queries.webhooks(actor).filter(id__in=left):
        schedule(webhook)
    return len(left)
