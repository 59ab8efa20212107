"""Tables that no resource owns: the change feed, the issues for people to settle, the audit trail, the outbox.

They have `shop_id` as a plain column, since `core` is below `accounts` and has no Shop.
"""

from django.db import models
from django.db.models.functions import Now

from shopapi.core.enums import IssueChoice, IssueKind, IssueState, choices_of
from shopapi.core.ids import uuid7


class SyncHead(models.Model):
    """One row per shop: the counter of its commits. Every writer locks it first, so commit order is counter order.

    `epoch` rises when an operator restores a backup; below `horizon` tombstones and commits are deleted.
    """

    shop_id = models.UUIDField(primary_key=True)
    epoch = models.PositiveIntegerField(default=1)
    seq = models.BigIntegerField(default=0)
    horizon = models.BigIntegerField(default=0)


class SyncCommit(models.Model):
    """One committed transaction of a shop. Its random token exposes a cursor from another history."""

    pk = models.CompositePrimaryKey("shop_id", "seq")
    shop_id = models.UUIDField()
    seq = models.BigIntegerField()
    token = models.UUIDField()
    transaction = models.BigIntegerField()
    at = models.DateTimeField(db_default=Now())


class SyncChange(models.Model):
    """The last change of every row ever synced. Written by triggers only; the application may not write here."""

    pk = models.CompositePrimaryKey("shop_id", "kind", "row_id")
    shop_id = models.UUIDField()
    kind = models.CharField(max_length=40)
    row_id = models.UUIDField()
    seq = models.BigIntegerField()
    dead = models.BooleanField(default=False)

    class Meta:
        # A pull reads what follows a cursor, in commit order.
        indexes = (models.Index(fields=["shop_id", "seq"], name="change_by_seq"),)


class Issue(models.Model):
    """A conflict between two people or devices, or a fact that could not be applied: a person settles it.

    `theirs` is what the server holds, `ours` what the command wanted; neither is thrown away.
    """

    Kind = IssueKind
    State = IssueState

    id = models.UUIDField(primary_key=True, default=uuid7)
    shop_id = models.UUIDField()
    kind = models.CharField(max_length=10, choices=choices_of(IssueKind))
    command_id = models.UUIDField(null=True)
    name = models.CharField(max_length=40)
    entity_kind = models.CharField(max_length=40)
    entity_id = models.UUIDField(null=True)
    theirs = models.JSONField(default=dict)
    ours = models.JSONField(default=dict)
    words = models.TextField()
    state = models.CharField(max_length=10, choices=choices_of(IssueState), default=IssueState.OPEN)
    choice = models.CharField(max_length=10, default="", blank=True, choices=choices_of(IssueChoice))
    member_id = models.UUIDField(null=True)
    created_at = models.DateTimeField(db_default=Now())
    changed_at = models.DateTimeField(db_default=Now())


class AuditEvent(models.Model):
    """Who did what to which row, when. Append-only: the application may not change or delete one."""

    append_only = True

    id = models.UUIDField(primary_key=True, default=uuid7)
    shop_id = models.UUIDField()
    at = models.DateTimeField(db_default=Now())
    event = models.CharField(max_length=60)
    member_id = models.UUIDField(null=True)
    device_id = models.UUIDField(null=True)
    command_id = models.UUIDField(null=True)
    subject_kind = models.CharField(max_length=40)
    subject_id = models.UUIDField()
    details = models.JSONField(default=dict)
    # Its place in the shop's chain (`core.audit_chain`), all written by a trigger; an erasure deletes the salt.
    no = models.BigIntegerField(null=True)
    salt = models.UUIDField(null=True)
    details_digest = models.CharField(max_length=64, default="", db_default="")
    digest = models.CharField(max_length=64, default="", db_default="")

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop_id", "no"], name="one_event_per_place_in_the_chain"),)
        # The history of one row, newest last.
        indexes = (models.Index(fields=["shop_id", "subject_id", "at"], name="audit_by_subject"),)


class AuditHead(models.Model):
    """The end of a shop's chain of audit events, and what the first kept one continues; written by a trigger alone."""

    append_only = True

    shop_id = models.UUIDField(primary_key=True)
    no = models.BigIntegerField()
    digest = models.CharField(max_length=64)
    first_no = models.BigIntegerField()
    before_first = models.CharField(max_length=64)


class Outbox(models.Model):
    """A task to run after a committed transaction. It is marked done in the transaction of its effect, or failed."""

    id = models.UUIDField(primary_key=True, default=uuid7)
    shop_id = models.UUIDField()
    task = models.CharField(max_length=80)
    args = models.JSONField(default=dict)
    run_after = models.DateTimeField(db_default=Now())
    # How often a worker executed it, and how often one was woken for it.
    attempts = models.PositiveIntegerField(default=0)
    wake_ups = models.PositiveIntegerField(default=0, db_default=0)
    last_error = models.TextField(default="", blank=True)
    done_at = models.DateTimeField(null=True)
    failed_at = models.DateTimeField(null=True, db_column="given_up_at")
    created_at = models.DateTimeField(db_default=Now())

    class Meta:
        # The sweep reads pending rows only.
        indexes = (
            models.Index(
                fields=["run_after"],
                name="outbox_pending",
                condition=models.Q(done_at__isnull=True, failed_at__isnull=True),
            ),
        )


class Receipt(models.Model):
    """The recorded answer to one REST write, by its Idempotency-Key: a retry gets it back and does nothing more."""

    pk = models.CompositePrimaryKey("shop_id", "key")
    shop_id = models.UUIDField()
    key = models.UUIDField()
    digest = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField(null=True)
    body = models.JSONField(null=True)
    created_at = models.DateTimeField(db_default=Now())


class Counter(models.Model):
    """The last number given out in a series of a shop ("job", "quote"). No gaps: a rollback gives it back."""

    pk = models.CompositePrimaryKey("shop_id", "series")
    shop_id = models.UUIDField()
    series = models.CharField(max_length=20)
    last = models.PositiveIntegerField(default=0)


class SweepVisit(models.Model):
    """The last visit of a periodic task to a shop: the newest commit it has seen, and when it is due without one."""

    pk = models.CompositePrimaryKey("shop_id", "task")
    shop_id = models.UUIDField()
    task = models.CharField(max_length=80)
    seq = models.BigIntegerField()
    due_at = models.DateTimeField(null=True)
