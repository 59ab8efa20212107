"""The resources of webhooks."""

from shopapi.accounts.rules import Permission
from shopapi.core.resources import Resource
from shopapi.webhooks import queries
from shopapi.webhooks.models import Webhook, WebhookDelivery
from shopapi.webhooks.rules.webhook import (
    DELIVERY_TRANSITIONS,
    WEBHOOK_TRANSITIONS,
    WebhookDeliveryRow,
    WebhookRow,
)
from shopapi.webhooks.services import webhooks

RESOURCES = (
    Resource(
        "webhook",
        Webhook,
        WebhookRow,
        reads=Permission.EDIT_SHOP,
        synced=False,
        # The secret is made by the server, so this needs a connection.
        queued=False,
        rows=queries.webhooks_with_progress,
        show=queries.show_webhook,
        commands=(
            webhooks.add_webhook,
            webhooks.change_webhook,
            webhooks.turn_on_webhook,
            webhooks.turn_off_webhook,
            webhooks.test_webhook,
            webhooks.remove_webhook,
        ),
        transitions={"state": WEBHOOK_TRANSITIONS},
        columns=("url", "label", "state", "created_at"),
        column_filters=("state",),
        hidden=("secret", "former_secret"),
    ),
    Resource(
        "webhook_delivery",
        WebhookDelivery,
        WebhookDeliveryRow,
        reads=Permission.EDIT_SHOP,
        filters=("webhook_id", "state"),
        synced=False,
        queued=False,
        # Each change makes one: in the change list it would be a change again.
        in_change_list=False,
        show=queries.show_delivery,
        commands=(webhooks.redeliver_webhook_delivery,),
        transitions={"state": DELIVERY_TRANSITIONS},
        columns=("created_at", "webhook", "type", "state", "tries", "status", "fault"),
        column_filters=("state", "type"),
    ),
)
