from django.db import migrations

from shopapi.core.background import OVERDUE_FUNCTION


class Migration(migrations.Migration):
    dependencies = [("core", "0001_first")]

    operations = [
        migrations.RunSQL(OVERDUE_FUNCTION, "DROP FUNCTION outbox_overdue()", elidable=False),
    ]
