import django.db.models.functions.datetime
from django.contrib.postgres.operations import BtreeGistExtension, TrigramExtension
from django.db import migrations, models

import shopapi.core.ids
from shopapi.core.feed import FUNCTIONS
from shopapi.core.tenancy import ShopTable, revoke

# As it was before 0009, which replaces it.
DUE_FUNCTION = """
CREATE FUNCTION outbox_due(most integer, max_attempts integer) RETURNS TABLE (id uuid, shop_id uuid, task varchar)
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH spent AS (
        UPDATE core_outbox SET given_up_at = now()
        WHERE done_at IS NULL AND given_up_at IS NULL AND run_after <= now() AND attempts >= max_attempts
    )
    UPDATE core_outbox o SET attempts = o.attempts + 1,
        run_after = now() + least(3 * 2 ^ o.attempts, 60) * interval '1 second'
    WHERE o.id IN (
        SELECT d.id FROM core_outbox d
        WHERE d.done_at IS NULL AND d.given_up_at IS NULL AND d.run_after <= now() AND d.attempts < max_attempts
        ORDER BY d.run_after LIMIT most FOR UPDATE SKIP LOCKED
    )
    RETURNING o.id, o.shop_id, o.task;
$$;
"""


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        BtreeGistExtension(),
        TrigramExtension(),
        migrations.CreateModel(
            name="Counter",
            fields=[
                (
                    "pk",
                    models.CompositePrimaryKey(
                        "shop_id", "series", blank=True, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("shop_id", models.UUIDField()),
                ("series", models.CharField(max_length=20)),
                ("last", models.PositiveIntegerField(default=0)),
            ],
        ),
        migrations.CreateModel(
            name="Issue",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("shop_id", models.UUIDField()),
                (
                    "kind",
                    models.CharField(choices=[("conflict", "Conflict"), ("held", "Held")], max_length=10),
                ),
                ("command_id", models.UUIDField(null=True)),
                ("name", models.CharField(max_length=40)),
                ("entity_kind", models.CharField(max_length=40)),
                ("entity_id", models.UUIDField(null=True)),
                ("theirs", models.JSONField(default=dict)),
                ("ours", models.JSONField(default=dict)),
                ("words", models.TextField()),
                (
                    "state",
                    models.CharField(
                        choices=[("open", "Open"), ("resolved", "Resolved")], default="open", max_length=10
                    ),
                ),
                ("choice", models.CharField(blank=True, default="", max_length=10)),
                ("member_id", models.UUIDField(null=True)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
            ],
        ),
        migrations.CreateModel(
            name="Receipt",
            fields=[
                (
                    "pk",
                    models.CompositePrimaryKey(
                        "shop_id", "key", blank=True, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("shop_id", models.UUIDField()),
                ("key", models.UUIDField()),
                ("digest", models.CharField(max_length=64)),
                ("status", models.PositiveSmallIntegerField(null=True)),
                ("body", models.JSONField(null=True)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
            ],
        ),
        migrations.CreateModel(
            name="SyncCommit",
            fields=[
                (
                    "pk",
                    models.CompositePrimaryKey(
                        "shop_id", "seq", blank=True, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("shop_id", models.UUIDField()),
                ("seq", models.BigIntegerField()),
                ("token", models.UUIDField()),
                ("transaction", models.BigIntegerField()),
                ("at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
            ],
        ),
        migrations.CreateModel(
            name="SyncHead",
            fields=[
                ("shop_id", models.UUIDField(primary_key=True, serialize=False)),
                ("epoch", models.PositiveIntegerField(default=1)),
                ("seq", models.BigIntegerField(default=0)),
                ("horizon", models.BigIntegerField(default=0)),
                ("safe_at", models.DateTimeField(null=True)),
            ],
        ),
        migrations.CreateModel(
            name="AuditEvent",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("shop_id", models.UUIDField()),
                ("at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("event", models.CharField(max_length=60)),
                ("member_id", models.UUIDField(null=True)),
                ("device_id", models.UUIDField(null=True)),
                ("command_id", models.UUIDField(null=True)),
                ("subject_kind", models.CharField(max_length=40)),
                ("subject_id", models.UUIDField()),
                ("details", models.JSONField(default=dict)),
            ],
            options={
                "indexes": [models.Index(fields=["shop_id", "subject_id", "at"], name="audit_by_subject")],
            },
        ),
        migrations.CreateModel(
            name="Outbox",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("shop_id", models.UUIDField()),
                ("task", models.CharField(max_length=80)),
                ("args", models.JSONField(default=dict)),
                ("run_after", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("attempts", models.PositiveIntegerField(default=0)),
                ("last_error", models.TextField(blank=True, default="")),
                ("done_at", models.DateTimeField(null=True)),
                ("given_up_at", models.DateTimeField(null=True)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("done_at__isnull", True), ("given_up_at__isnull", True)),
                        fields=["run_after"],
                        name="outbox_owed",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SyncChange",
            fields=[
                (
                    "pk",
                    models.CompositePrimaryKey(
                        "shop_id",
                        "kind",
                        "row_id",
                        blank=True,
                        editable=False,
                        primary_key=True,
                        serialize=False,
                    ),
                ),
                ("shop_id", models.UUIDField()),
                ("kind", models.CharField(max_length=40)),
                ("row_id", models.UUIDField()),
                ("seq", models.BigIntegerField()),
                ("dead", models.BooleanField(default=False)),
            ],
            options={
                "indexes": [models.Index(fields=["shop_id", "seq"], name="change_by_seq")],
            },
        ),
        migrations.RunSQL(FUNCTIONS, elidable=False),
        migrations.RunSQL(DUE_FUNCTION, elidable=False),
        ShopTable("SyncHead"),
        ShopTable("SyncCommit"),
        ShopTable("SyncChange"),
        ShopTable("Issue", synced_as="issue"),
        ShopTable("AuditEvent", append_only=True),
        ShopTable("Outbox"),
        ShopTable("Receipt"),
        ShopTable("Counter"),
        # Only the triggers write the change feed; the head's row can be locked by all.
        migrations.RunSQL(revoke("core_synccommit", "INSERT, UPDATE, DELETE"), elidable=False),
        migrations.RunSQL(revoke("core_syncchange", "INSERT, UPDATE, DELETE"), elidable=False),
        migrations.RunSQL(revoke("core_synchead", "INSERT, DELETE"), elidable=False),
    ]
