from django.db import migrations, models


class Migration(migrations.Migration):
    """A new name for a field; its column and the index stay as they are."""

    dependencies = [("core", "0004_choices")]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.RemoveIndex("Outbox", "outbox_owed"),
                migrations.AlterField(
                    "Outbox", "given_up_at", models.DateTimeField(null=True, db_column="given_up_at")
                ),
                migrations.RenameField("Outbox", "given_up_at", "failed_at"),
                migrations.AddIndex(
                    "Outbox",
                    models.Index(
                        fields=["run_after"],
                        name="outbox_owed",
                        condition=models.Q(done_at__isnull=True, failed_at__isnull=True),
                    ),
                ),
            ]
        )
    ]
