"""Messages to people, the shop's own templates, opt-outs, and push subscriptions."""

from django.db import models
from django.db.models.functions import Now

from shopapi.accounts.models import Device, Member, ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.core.fields import ERASED, personal
from shopapi.core.languages import ENGLISH, Language
from shopapi.notices.rules.notice import Channel, NoticeState, OptOutChannel, TemplateChannel


class Notice(ShopOwned):
    """One message to one person over one channel. The row is committed before the message is sent.

    `subject_words` and `body_words` are the template at the time the notice was posted, with its fields; `values` fills
    them. A secret link is never stored in `values`: they name its resolver and an id, and it is resolved when the
    message is sent. The subject of the notice is stored as kind and id, since its app is higher than this one.
    """

    channel = models.CharField(max_length=7, choices=choices_of(Channel))
    address = personal(models.CharField(max_length=254))
    name = personal(models.CharField(max_length=120, default="", blank=True), instead=ERASED)
    template = models.CharField(max_length=40)
    subject_words = models.TextField(default="", blank=True)
    body_words = models.TextField()
    values = models.JSONField(default=dict)
    about_kind = models.CharField(max_length=20)
    about_id = models.UUIDField()
    dedupe_key = models.CharField(max_length=120)
    state = models.CharField(max_length=8, default=NoticeState.WAITING, choices=choices_of(NoticeState))
    reason = models.TextField(default="", blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    not_before = models.DateTimeField(db_default=Now())
    sending_since = models.DateTimeField(null=True)
    sent_at = models.DateTimeField(null=True)
    member = ShopForeignKey(Member, related_name="+", null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["shop", "dedupe_key"], name="one_notice_per_key"),
            models.CheckConstraint(
                name="notice_is_sending_since_a_time",
                condition=~models.Q(state="sending") | models.Q(sending_since__isnull=False),
            ),
        )
        indexes = (
            # The messages about one row.
            models.Index(fields=["shop", "about_kind", "about_id"], name="notice_by_subject"),
            # Messages to be sent, and those left `sending` by a worker that died.
            models.Index(
                fields=["shop", "state"],
                name="notice_unfinished",
                condition=models.Q(state__in=["waiting", "sending"]),
            ),
        )

    def __str__(self) -> str:
        return f"{self.template} by {self.channel}"


class NoticeTemplate(ShopOwned):
    """The shop's own words for one kind of message over one channel in one language.

    Without a row the defaults in `rules` apply.
    """

    key = models.CharField(max_length=40)
    language = models.CharField(max_length=2, default=ENGLISH, choices=choices_of(Language))
    channel = models.CharField(max_length=5, choices=choices_of(TemplateChannel))
    subject = models.CharField(max_length=120, default="", blank=True)
    body = models.TextField()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["shop", "key", "channel", "language"], name="one_template_per_kind_channel_and_language"
            ),
        )


class OptOut(ShopOwned):
    """An address that gets no more messages over one channel."""

    channel = models.CharField(max_length=5, choices=choices_of(OptOutChannel))
    address = models.CharField(max_length=254)
    reason = models.TextField(default="", blank=True)
    member = ShopForeignKey(Member, related_name="+", null=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "channel", "address"], name="one_opt_out_per_address"),)


class PushSubscription(ShopOwned):
    """A device that shows push messages, with its encryption keys (RFC 8291)."""

    member = ShopForeignKey(Member, related_name="push_subscriptions")
    device = ShopForeignKey(Device, related_name="push_subscriptions")
    endpoint = models.TextField()
    p256dh = models.CharField(max_length=88)
    auth = models.CharField(max_length=24)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "device"], name="one_push_subscription_per_device"),)
