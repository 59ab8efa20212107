from django.db import migrations

from shopapi.core.feed import RETENTION_FUNCTIONS

DROP = """
DROP FUNCTION feed_forget(uuid, timestamptz, integer);
DROP FUNCTION audit_forget(uuid, timestamptz, integer);
"""


class Migration(migrations.Migration):
    """Functions that delete old commits, removals and audit events, which the application may not change."""

    dependencies = [("core", "0009_wake_ups")]

    operations = [migrations.RunSQL(RETENTION_FUNCTIONS, DROP)]
