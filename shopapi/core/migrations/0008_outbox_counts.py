from django.db import migrations

from shopapi.core.background import COUNTS_FUNCTION


class Migration(migrations.Migration):
    """A function that counts pending and failed rows of the outbox over all shops, for monitoring."""

    dependencies = [("core", "0007_change_list")]

    operations = [migrations.RunSQL(COUNTS_FUNCTION, "DROP FUNCTION outbox_counts()")]
