"""Send the deliveries of a webhook, one after another, each at least once.

One worker sends for a webhook at a time: it holds a lease that is longer than the task may run. It reads, sends outside
of any transaction, then stores the answer. A worker that dies in between leaves the delivery waiting: it is sent again
with the same id and the same body.
"""

from dataclasses import dataclass
from datetime import timedelta
from uuid import UUID

from django.conf import settings
from django.db.models import Q, QuerySet

from shopapi.accounts.queries import members, shop_of
from shopapi.accounts.rules import Role
from shopapi.accounts.services.sealing import opened
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.feed import lock_shop
from shopapi.core.outbound import NotSent, post
from shopapi.core.tenancy import in_shop
from shopapi.notices.queries import is_set_up
from shopapi.notices.rules.notice import Channel
from shopapi.notices.services.notices import post_notice
from shopapi.webhooks import queries
from shopapi.webhooks.models import Webhook, WebhookDelivery, WebhookProgress
from shopapi.webhooks.rules.signature import headers_of
from shopapi.webhooks.rules.webhook import (
    FAILING_DAYS,
    DeliveryFault,
    DeliveryState,
    WebhookState,
    body_of,
    fault_of,
    is_given_up,
    next_wait,
)
from shopapi.webhooks.services.collecting import schedule, set_state

# Longer than the hard limit of the task, so that no worker is still sending when the lease ends.
LEASE = timedelta(seconds=100)
# The task begins no further attempt after this long.
BUDGET = timedelta(seconds=45)


@dataclass(frozen=True)
class DeliveryAttempt:
    """A delivery to send now."""

    delivery_id: UUID
    url: str
    body: bytes
    secrets: tuple[str, ...]


@dataclass(frozen=True)
class DeliveryAnswer:
    """What came of an attempt: the HTTP status, if there was an answer, and why it does not count as taken."""

    status: int | None
    fault: DeliveryFault | None


def send_due(*, actor: Actor, webhook_id: UUID) -> bool:
    """Send what is due for a webhook; False where another worker does so already. Sends outside of transactions."""
    if not _take_lease(actor, webhook_id):
        return False
    until = now() + BUDGET
    try:
        while now() < until and (attempt := _next_attempt(actor, webhook_id)) is not None:
            answer = send(attempt)
            with in_shop(actor.shop_id):
                lock_shop(actor.shop_id)
                store_answer(actor=actor, attempt=attempt, answer=answer)
    finally:
        with in_shop(actor.shop_id):
            _progress(actor, webhook_id).update(leased_until=None)
    return True


def schedule_rest(*, actor: Actor, webhook_id: UUID) -> None:
    """Schedule what a webhook has left to send, for when it is due. The caller has opened the transaction."""
    webhook = queries.webhooks(actor).filter(id=webhook_id).first()
    left = queries.deliveries(actor).filter(webhook=webhook_id, state=DeliveryState.WAITING).order_by("next_at").first()
    if webhook is not None and left is not None:
        schedule(webhook, left.next_at)


def send(attempt: DeliveryAttempt) -> DeliveryAnswer:
    """Send one delivery, outside of any transaction."""
    if not attempt.secrets:
        return DeliveryAnswer(None, "no_secret")
    timestamp = int(now().timestamp())
    headers = headers_of(attempt.secrets, str(attempt.delivery_id), timestamp, attempt.body)
    try:
        status = post(attempt.url, attempt.body, headers, loopback=settings.WEBHOOK_LOOPBACK)
    except NotSent as failed:
        return DeliveryAnswer(None, failed.code)
    return DeliveryAnswer(status, fault_of(status))


def store_answer(*, actor: Actor, attempt: DeliveryAttempt, answer: DeliveryAnswer) -> None:
    """Store what came of an attempt; turns the webhook off where it ends. The caller holds the shop's write lock."""
    delivery = queries.deliveries(actor).select_for_update().filter(id=attempt.delivery_id).first()
    if delivery is None or delivery.state != DeliveryState.WAITING:
        return
    delivery.tries, delivery.tried_at = delivery.tries + 1, now()
    delivery.status, delivery.fault = answer.status, answer.fault
    wait = None if answer.fault is None else next_wait(delivery.tries)
    if answer.fault is None:
        delivery.state = DeliveryState.DELIVERED
    elif wait is None:
        delivery.state = DeliveryState.FAILED
    delivery.next_at = None if wait is None else now() + wait
    delivery.save(update_fields=["tries", "tried_at", "status", "fault", "state", "next_at"])
    progress = _progress(actor, delivery.webhook_id).select_for_update().get()
    if answer.fault is None:
        progress.failing_since, progress.delivered_at = None, now()
    elif progress.failing_since is None:
        progress.failing_since = now()
    progress.save(update_fields=["failing_since", "delivered_at"])
    if progress.failing_since is not None and is_given_up(progress.failing_since, now(), answer.status):
        webhook = queries.webhooks(actor).select_for_update().get(id=delivery.webhook_id)
        if webhook.state == WebhookState.ON:
            set_state(actor, webhook, WebhookState.FAILING)
            _tell_owners(actor, webhook)


def _take_lease(actor: Actor, webhook_id: UUID) -> bool:
    with in_shop(actor.shop_id):
        free = Q(leased_until=None) | Q(leased_until__lt=now())
        return _progress(actor, webhook_id).filter(free).update(leased_until=now() + LEASE) == 1


def _progress(actor: Actor, webhook_id: UUID) -> QuerySet[WebhookProgress]:
    return WebhookProgress.objects.filter(shop=actor.shop_id, webhook=webhook_id)


def _next_attempt(actor: Actor, webhook_id: UUID) -> DeliveryAttempt | None:
    with in_shop(actor.shop_id):
        webhook = queries.webhooks(actor).filter(id=webhook_id, state=WebhookState.ON).first()
        delivery = queries.due_deliveries(actor, webhook_id, now()).first()
        if webhook is None or delivery is None:
            return None
        return DeliveryAttempt(delivery.id, webhook.url, _body(delivery), _secrets(webhook))


def _body(delivery: WebhookDelivery) -> bytes:
    return body_of(
        kind=delivery.type,
        at=delivery.created_at,
        shop_id=delivery.shop_id,
        cursor=delivery.cursor,
        changes=delivery.changes,
    )


def _secrets(webhook: Webhook) -> tuple[str, ...]:
    former = webhook.former_until is not None and webhook.former_until > now()
    stored = (webhook.secret, *((webhook.former_secret,) if former else ()))
    return tuple(secret for one in stored if (secret := opened(one, use="webhooks.secret")) is not None)


def _tell_owners(actor: Actor, webhook: Webhook) -> None:
    """A message to every owner, over the channels that this server has."""
    for owner in members(actor).filter(role=Role.OWNER, active=True).select_related("user"):
        for channel, address in ((Channel.PUSH, str(owner.id)), (Channel.EMAIL, owner.user.email)):
            if is_set_up(channel):
                post_notice(
                    actor=actor,
                    channel=channel,
                    address=address,
                    name=owner.name,
                    template="webhook_off",
                    values={
                        "program": webhook.label or webhook.url,
                        "days": str(FAILING_DAYS),
                        "shop": shop_of(actor).name,
                    },
                    about=("webhook", webhook.id),
                    dedupe_key=f"webhook_off:{channel}:{owner.id.hex[:12]}:{webhook.id.hex}:{int(now().timestamp())}",
                )
