from django.db import migrations, models

from shopapi.core.audit_chain import FUNCTIONS, LINK_EARLIER
from shopapi.core.tenancy import ShopTable, revoke

TRIGGER = "CREATE TRIGGER chain BEFORE INSERT ON core_auditevent FOR EACH ROW EXECUTE FUNCTION audit_link()"


class Migration(migrations.Migration):
    """Each audit event continues the one before it; events of before are linked in the order of their time."""

    dependencies = [("core", "0011_sweep_visits")]

    operations = [
        migrations.CreateModel(
            "AuditHead",
            [
                ("shop_id", models.UUIDField(primary_key=True, serialize=False)),
                ("no", models.BigIntegerField()),
                ("digest", models.CharField(max_length=64)),
                ("first_no", models.BigIntegerField()),
                ("before_first", models.CharField(max_length=64)),
            ],
        ),
        ShopTable("AuditHead", append_only=True),
        migrations.AddField("AuditEvent", "no", models.BigIntegerField(null=True)),
        migrations.AddField("AuditEvent", "salt", models.UUIDField(null=True)),
        migrations.AddField("AuditEvent", "details_digest", models.CharField(max_length=64, default="", db_default="")),
        migrations.AddField("AuditEvent", "digest", models.CharField(max_length=64, default="", db_default="")),
        # Not reversible: the version before is gone back to by a backup.
        migrations.RunSQL(FUNCTIONS),
        # What the events say does not change, so that no program has to read them again.
        migrations.RunSQL("ALTER TABLE core_auditevent DISABLE TRIGGER feed"),
        migrations.RunSQL(LINK_EARLIER),
        migrations.RunSQL("ALTER TABLE core_auditevent ENABLE TRIGGER feed"),
        migrations.RunSQL(TRIGGER),
        migrations.RunSQL(revoke("core_audithead", "INSERT")),
        migrations.AddConstraint(
            "AuditEvent",
            models.UniqueConstraint(fields=["shop_id", "no"], name="one_event_per_place_in_the_chain"),
        ),
    ]
