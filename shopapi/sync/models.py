"""The log of commands: which device sent what, and the outcome."""

from django.db import models
from django.db.models.functions import Now

from shopapi.accounts.models import Device, Member, ShopForeignKey, ShopOwned
from shopapi.sync.rules.outcomes import CommandStatus, HeldReason, took_effect


class LoggedCommand(ShopOwned):
    """One command under its id and the device's number. Never deleted: repetitions are answered from here.

    The arguments of an old one are deleted but for the row's id (`services/retention.py`).


    `waits_for`: the id of a row that must exist, or of a command that must be applied, before this one runs again.
    `row_id`: the row it created or changed; `number`: that row's number; `after`: the command that changed it last
    before this one. `earlier`: the outcome before a restore, as sent by the phone.
    """

    device = ShopForeignKey(Device, related_name="commands")
    no = models.BigIntegerField()
    member = ShopForeignKey(Member, related_name="+")
    name = models.CharField(max_length=40)
    v = models.PositiveSmallIntegerField(default=1)
    args = models.JSONField()
    digest = models.CharField(max_length=64)
    wall = models.DateTimeField()
    mono_ms = models.BigIntegerField(default=0)
    session = models.CharField(max_length=120, default="", blank=True)
    skew_ms = models.BigIntegerField(default=0)
    or_skew_ms = models.BigIntegerField(null=True)
    received_at = models.DateTimeField(db_default=Now())
    status = models.CharField(max_length=9, choices=[(s.value, s.value) for s in CommandStatus])
    code = models.CharField(max_length=60, null=True)
    words = models.TextField(null=True)
    fields = models.JSONField(default=list)
    waits_for = models.UUIDField(null=True)
    row_id = models.UUIDField(null=True)
    carried_out_at = models.DateTimeField(null=True)
    after = models.UUIDField(null=True)
    number = models.CharField(max_length=20, null=True)
    earlier = models.JSONField(null=True)
    seq = models.BigIntegerField(null=True)

    @property
    def took_effect(self) -> bool:
        """Whether it wrote rows: it was applied, with or without need for review."""
        return took_effect(self.status, self.code)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "device", "no"], name="one_command_per_device_number"),)
        # The history of a row; commands that wait for something.
        indexes = (
            models.Index(fields=["shop", "row_id", "seq"], name="command_by_row"),
            models.Index(
                fields=["shop", "waits_for"],
                name="command_waiting",
                condition=models.Q(waits_for__isnull=False),
            ),
            # Over all shops.
            models.Index(
                fields=["shop"],
                name="command_held_waiting",
                condition=models.Q(
                    status=CommandStatus.HELD.value, code__in=[HeldReason.WAITING.value, HeldReason.NOT_BACK.value]
                ),
            ),
        )
