"""What people do with webhooks: add, change, turn on and off, try, remove, make a secret, send again."""

import secrets
from datetime import timedelta
from uuid import UUID

from django.conf import settings

from shopapi.accounts.rules import Permission
from shopapi.accounts.services.sealing import sealed
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.feed import lock_shop
from shopapi.core.outbound import NotSent, check_url
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Target
from shopapi.core.tenancy import in_shop
from shopapi.webhooks import queries
from shopapi.webhooks.models import Webhook, WebhookDelivery, WebhookProgress
from shopapi.webhooks.rules.signature import SECRET_BYTES, shown_secret
from shopapi.webhooks.rules.webhook import (
    FORMER_SECRET_HOURS,
    MOST_WEBHOOKS,
    DeliveryState,
    NewWebhook,
    WebhookChange,
    WebhookFields,
    WebhookState,
)
from shopapi.webhooks.services.collecting import add_delivery, schedule, set_state


@command(needs=Permission.EDIT_SHOP, creates_row=True)
def add_webhook(*, actor: Actor, data: NewWebhook) -> Webhook:
    """Tell another program of changes from now on, once its secret was made (`webhooks/{id}/secret`).

    Deliveries are signed by the specification Standard Webhooks: `webhook-signature` has `v1,` and the base64 of an
    HMAC-SHA256 over `webhook-id`, `webhook-timestamp` and the body, joined by dots. The body has `type`
    (`rows.changed` or `test`), `timestamp` and `data`: `shop_id`, `cursor` (a `since` of the change list) and
    `changes` with `kind`, `id` and `deleted`. Answers from 200 to 299 count as taken; everything else is sent again
    for three days, under the same id.

    Raises Invalid where the address is not https at a public host, or a kind is unknown, and Conflict beyond ten.
    """
    refuse_known_id(Webhook, data.id)
    _check(data)
    if queries.webhooks(actor).count() >= MOST_WEBHOOKS:
        raise Conflict("too_many_webhooks", context={"most": MOST_WEBHOOKS})
    webhook = Webhook.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        url=data.url,
        label=data.label,
        kinds=sorted(set(data.kinds)),
        member_id=actor.member_id,
    )
    WebhookProgress.objects.create(shop_id=actor.shop_id, webhook=webhook, seq=queries.head_seq(actor))
    record(actor, "webhook added", ("webhook", webhook.id), url=webhook.url, kinds=webhook.kinds)
    return webhook


@command(needs=Permission.EDIT_SHOP, rest_name="edit")
def change_webhook(*, actor: Actor, data: WebhookChange) -> Webhook:
    """Change the address, the label or the kinds of a webhook. What waits goes to the new address."""
    webhook = row_for(Webhook, actor, data.id)
    _check(data)
    webhook.url, webhook.label, webhook.kinds = data.url, data.label, sorted(set(data.kinds))
    webhook.save(update_fields=["url", "label", "kinds"])
    record(actor, "webhook changed", ("webhook", webhook.id), url=webhook.url, kinds=webhook.kinds)
    return webhook


@command(needs=Permission.EDIT_SHOP, rest_name="off")
def turn_off_webhook(*, actor: Actor, data: Target) -> Webhook:
    """Send nothing more; what waits has failed. Turned on again it goes on where it was."""
    webhook = row_for(Webhook, actor, data.id)
    if webhook.state != WebhookState.OFF:
        set_state(actor, webhook, WebhookState.OFF)
    return webhook


@command(needs=Permission.EDIT_SHOP, rest_name="on")
def turn_on_webhook(*, actor: Actor, data: Target) -> Webhook:
    """Send again: every row that changed while it was off is told once."""
    webhook = row_for(Webhook, actor, data.id)
    if webhook.state != WebhookState.ON:
        queries.progress_of(webhook).update(failing_since=None)
        set_state(actor, webhook, WebhookState.ON)
    return webhook


@command(needs=Permission.EDIT_SHOP, rest_name="test")
def test_webhook(*, actor: Actor, data: Target) -> Webhook:
    """Send a delivery of type `test` without changes, to try the address. Raises Conflict where nothing is sent."""
    webhook = row_for(Webhook, actor, data.id)
    _require_sending(webhook)
    add_delivery(actor, webhook, kind="test", cursor=queries.place_before(actor, queries.head_seq(actor)), changes=[])
    return webhook


@command(needs=Permission.EDIT_SHOP, deletes_row=True)
def remove_webhook(*, actor: Actor, data: Target) -> Webhook:
    """Remove a webhook with its deliveries."""
    webhook = row_for(Webhook, actor, data.id)
    queries.deliveries(actor).filter(webhook=webhook).delete()
    queries.progress_of(webhook).delete()
    record(actor, "webhook removed", ("webhook", webhook.id), url=webhook.url)
    row_id = webhook.pk
    webhook.delete()
    webhook.pk = row_id
    return webhook


@command(needs=Permission.EDIT_SHOP, rest_name="redeliver")
def redeliver_webhook_delivery(*, actor: Actor, data: Target) -> WebhookDelivery:
    """Send a delivery again, under the same id. Raises Conflict where it is still to be sent, or nothing is sent."""
    delivery = row_for(WebhookDelivery, actor, data.id)
    webhook = row_for(Webhook, actor, delivery.webhook_id, lock=False)
    _require_sending(webhook)
    if delivery.state == DeliveryState.WAITING:
        raise Conflict("delivery_waits")
    delivery.state, delivery.tries, delivery.next_at = DeliveryState.WAITING, 0, now()
    delivery.save(update_fields=["state", "tries", "next_at"])
    schedule(webhook)
    schedule(webhook)
    record(actor, "webhook delivery sent again", ("webhook", webhook.id), delivery=delivery.id)
    return delivery


def make_secret(*, actor: Actor, webhook_id: UUID) -> str:
    """A new secret for a webhook, shown once. The one before signs too for 24 hours. Raises NotFound."""
    actor.require(Permission.EDIT_SHOP)
    actor.require_proof()
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        webhook = row_for(Webhook, actor, webhook_id)
        secret = shown_secret(secrets.token_bytes(SECRET_BYTES))
        if webhook.secret:
            webhook.former_secret = webhook.secret
            webhook.former_until = now() + timedelta(hours=FORMER_SECRET_HOURS)
        webhook.secret = sealed(secret, use="webhooks.secret")
        webhook.save(update_fields=["secret", "former_secret", "former_until"])
        record(actor, "webhook secret made", ("webhook", webhook.id))
    return secret


def _check(data: WebhookFields) -> None:
    try:
        check_url(data.url, loopback=settings.WEBHOOK_LOOPBACK)
    except NotSent as refused:
        code = "webhook_private" if refused.code == "private_address" else "webhook_url"
        raise Invalid("invalid", fields=[FieldError("url", code)]) from None
    unknown = sorted(set(data.kinds) - queries.known_kinds())
    if unknown:
        raise Invalid("invalid", fields=[FieldError("kinds", "unknown_kinds", context={"kinds": ", ".join(unknown)})])


def _require_sending(webhook: Webhook) -> None:
    if not webhook.secret:
        raise Conflict("webhook_without_secret")
    if webhook.state != WebhookState.ON:
        raise Conflict("webhook_is_off")
