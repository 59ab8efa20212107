"""Reads of webhooks: rows, and the changes of which one has to be told."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import connection
from django.db.models import OuterRef, QuerySet, Subquery

from shopapi.core.actor import Actor
from shopapi.core.models import SyncChange, SyncCommit, SyncHead
from shopapi.core.resources import all_resources
from shopapi.core.schema import parse, to_json
from shopapi.sync.rules.cursor import Cursor
from shopapi.webhooks.models import Webhook, WebhookDelivery, WebhookProgress
from shopapi.webhooks.rules.webhook import ChangedRow, DeliveryState, WebhookDeliveryRow, WebhookRow, WebhookState

MOST_CHANGES_AT_ONCE = 1000

# The shops with a webhook that has not been told of the newest commit; runs as the owner of the tables, so it returns
# nothing else.
BEHIND_FUNCTION = """
CREATE FUNCTION shops_with_webhooks_behind() RETURNS TABLE (id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT DISTINCT w.shop_id FROM webhooks_webhook w
    JOIN webhooks_webhookprogress p ON p.shop_id = w.shop_id AND p.webhook_id = w.id
    JOIN core_synchead h ON h.shop_id = w.shop_id
    WHERE w.state = 'on' AND w.secret <> '' AND p.seq < h.seq;
$$;
"""


def shops_behind() -> list[UUID]:
    """The shops that have changes of which a webhook has not been told."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT id FROM shops_with_webhooks_behind()")
        return [row[0] for row in cursor.fetchall()]


def known_kinds() -> set[str]:
    """The kinds of rows of which a webhook may be told."""
    return {resource.kind for resource in all_resources() if resource.in_feed}


def webhooks(actor: Actor) -> QuerySet[Webhook]:
    return Webhook.objects.filter(shop=actor.shop_id)


def webhooks_with_progress(actor: Actor) -> QuerySet[Webhook]:
    """The webhooks with `failing_since` and `delivered_at` of their progress."""
    progress = WebhookProgress.objects.filter(shop=actor.shop_id, webhook=OuterRef("pk"))
    found = {name: Subquery(progress.values(name)[:1]) for name in ("failing_since", "delivered_at")}
    return webhooks(actor).annotate(**found)


def progress_of(webhook: Webhook) -> QuerySet[WebhookProgress]:
    return WebhookProgress.objects.filter(shop=webhook.shop_id, webhook=webhook)


def deliveries(actor: Actor) -> QuerySet[WebhookDelivery]:
    return WebhookDelivery.objects.filter(shop=actor.shop_id)


def due_deliveries(actor: Actor, webhook_id: UUID, at: datetime) -> QuerySet[WebhookDelivery]:
    """What has to be sent to a webhook by now, the longest due first."""
    waiting = deliveries(actor).filter(webhook=webhook_id, state=DeliveryState.WAITING, next_at__lte=at)
    return waiting.order_by("next_at", "id")


def webhooks_to_send(actor: Actor) -> list[UUID]:
    """The webhooks with unfinished deliveries."""
    found = deliveries(actor).filter(state=DeliveryState.WAITING).values_list("webhook", flat=True)
    return list(found.distinct().order_by("webhook"))


@dataclass(frozen=True)
class Untold:
    """Changes of which a webhook has not been told: the place before them, up to which commit they go, and they."""

    cursor: str
    upto: int
    changes: list[ChangedRow]


def head_seq(actor: Actor) -> int:
    return SyncHead.objects.get(shop_id=actor.shop_id).seq


def place_before(actor: Actor, seq: int) -> str:
    """The place in the change list after commit `seq`, for a key of any rights: it makes no claim of what was seen."""
    head = SyncHead.objects.get(shop_id=actor.shop_id)
    token = SyncCommit.objects.filter(shop_id=actor.shop_id, seq=seq).values_list("token", flat=True).first()
    return str(Cursor(head.epoch, seq, str(token or ""), ""))


def untold(actor: Actor, webhook: Webhook, seq: int) -> Untold:
    """The changes after commit `seq` of the kinds of a webhook, in order: whole commits, at most about a thousand."""
    kinds = webhook.kinds or sorted(known_kinds())
    following = SyncChange.objects.filter(shop_id=actor.shop_id, kind__in=kinds, seq__gt=seq)
    following = following.order_by("seq", "kind", "row_id")
    found = list(following[: MOST_CHANGES_AT_ONCE + 1])
    upto = head_seq(actor)
    if len(found) > MOST_CHANGES_AT_ONCE:
        cut = found[-1].seq
        found = [change for change in found if change.seq < cut] or list(following.filter(seq=cut))
        upto = found[-1].seq
    changes = [ChangedRow(kind=change.kind, id=change.row_id, deleted=change.dead) for change in found]
    return Untold(place_before(actor, seq), upto, changes)


def show_webhook(actor: Actor, webhook: Webhook) -> WebhookRow:
    read: Any = webhook
    if not hasattr(webhook, "failing_since"):
        read = webhooks_with_progress(actor).filter(id=webhook.id).first()
    return WebhookRow(
        id=webhook.id,
        created_at=webhook.created_at,
        changed_at=webhook.changed_at,
        url=webhook.url,
        label=webhook.label,
        kinds=webhook.kinds,
        state=WebhookState(webhook.state),
        ready=webhook.secret != "",
        former_until=webhook.former_until,
        # A webhook that was just removed has none.
        failing_since=read.failing_since if read else None,
        delivered_at=read.delivered_at if read else None,
    )


def show_delivery(_: Actor, delivery: WebhookDelivery) -> WebhookDeliveryRow:
    names = WebhookDeliveryRow.model_fields
    return parse(WebhookDeliveryRow, {name: to_json(getattr(delivery, name)) for name in names})
