from django.db import migrations


class Migration(migrations.Migration):
    """A new name for the index that the sweep of the outbox reads; it is not rebuilt."""

    dependencies = [("core", "0005_outbox_failed_at")]

    operations = [migrations.RenameIndex("Outbox", new_name="outbox_pending", old_name="outbox_owed")]
