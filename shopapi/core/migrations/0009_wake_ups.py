from django.db import migrations, models

from shopapi.core.background import DUE_FUNCTION

# What was counted so far were wake-ups.
MOVE = "UPDATE core_outbox SET wake_ups = attempts, attempts = 0 WHERE done_at IS NULL AND given_up_at IS NULL"


class Migration(migrations.Migration):
    """Wake-ups and executions are counted apart: only executions make a row fail."""

    dependencies = [("core", "0008_outbox_counts")]

    operations = [
        migrations.AddField("Outbox", "wake_ups", models.PositiveIntegerField(default=0, db_default=0)),
        migrations.RunSQL(MOVE, migrations.RunSQL.noop),
        # Not reversible: the version before is gone back to by a backup.
        migrations.RunSQL(DUE_FUNCTION),
    ]
