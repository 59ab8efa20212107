"""Webhooks, how far each has been told of changes, and its deliveries."""

from django.contrib.postgres.fields import ArrayField
from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.webhooks.rules.webhook import DeliveryFault, DeliveryState, DeliveryType, WebhookState


class Webhook(ShopOwned):
    """An address of another program. Its secrets are stored encrypted with the server's key and never shown again.

    `kinds`: of which kinds of rows it is told; empty: of all. `former_secret`: signs too until `former_until`.
    """

    url = models.CharField(max_length=2000)
    label = models.CharField(max_length=120, default="", blank=True)
    kinds = ArrayField(models.CharField(max_length=40), default=list, blank=True)
    state = models.CharField(max_length=7, default=WebhookState.ON, choices=choices_of(WebhookState))
    secret = models.TextField(default="", blank=True)
    former_secret = models.TextField(default="", blank=True)
    former_until = models.DateTimeField(null=True)
    member = ShopForeignKey(Member, related_name="+", null=True)

    def __str__(self) -> str:
        return self.label or self.url


class WebhookProgress(ShopOwned):
    """How far a webhook has been told: apart from it, so that its own progress is no change of which it is told.

    `seq`: the commit up to which deliveries were made. `leased_until`: until then one worker sends for it.
    """

    webhook = ShopForeignKey(Webhook, related_name="progress")
    seq = models.BigIntegerField()
    leased_until = models.DateTimeField(null=True)
    failing_since = models.DateTimeField(null=True)
    delivered_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "webhook"], name="one_progress_per_webhook"),)


class WebhookDelivery(ShopOwned):
    """One message to a webhook; its id is that of every attempt. The answer's body is not kept."""

    webhook = ShopForeignKey(Webhook, related_name="deliveries")
    type = models.CharField(max_length=20, choices=choices_of(DeliveryType))
    changes = models.JSONField(default=list)
    cursor = models.CharField(max_length=120)
    state = models.CharField(max_length=9, default=DeliveryState.WAITING, choices=choices_of(DeliveryState))
    tries = models.PositiveSmallIntegerField(default=0)
    next_at = models.DateTimeField(null=True)
    status = models.PositiveSmallIntegerField(null=True)
    fault = models.CharField(max_length=20, null=True, choices=choices_of(DeliveryFault))
    tried_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="delivery_waits_for_a_time",
                condition=models.Q(state="waiting", next_at__isnull=False)
                | (~models.Q(state="waiting") & models.Q(next_at=None)),
            ),
        )
        # What a webhook has to be sent, and its list.
        indexes = (models.Index(fields=["shop", "webhook", "state", "next_at"], name="delivery_due"),)
