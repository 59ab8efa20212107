"""The log of commands: what was asked, by which device, and what became of it."""

from django.db import models
from django.db.models.functions import Now

from shopapi.accounts.models import Device, Member, ShopOwned, WithinShop
from shopapi.sync.rules import Status


class LoggedCommand(ShopOwned):
    """One command under its own id and the device's number. Never deleted: a repetition is answered from here.

    `waits_for` is the id of a row that some earlier command was to make; once it exists the command runs again.
    """

    device = WithinShop(Device, related_name="commands")
    no = models.BigIntegerField()
    member = WithinShop(Member, related_name="+")
    name = models.CharField(max_length=40)
    v = models.PositiveSmallIntegerField(default=1)
    args = models.JSONField()
    digest = models.CharField(max_length=64)
    wall = models.DateTimeField()
    mono_ms = models.BigIntegerField(default=0)
    session = models.CharField(max_length=120, default="", blank=True)
    skew_ms = models.BigIntegerField(default=0)
    received_at = models.DateTimeField(db_default=Now())
    status = models.CharField(max_length=9, choices=[(s.value, s.value) for s in Status])
    code = models.CharField(max_length=60, null=True)
    words = models.TextField(null=True)
    fields = models.JSONField(default=list)
    waits_for = models.UUIDField(null=True)
    seq = models.BigIntegerField(null=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "device", "no"], name="one_command_per_device_number"),)
        # Commands that wait for a row to appear.
        indexes = (
            models.Index(
                fields=["shop", "waits_for"],
                name="command_waiting",
                condition=models.Q(waits_for__isnull=False),
            ),
        )
