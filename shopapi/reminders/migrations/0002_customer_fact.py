from django.db import migrations

RENAME = """
    UPDATE reminders_followup
    SET facts = facts - 'owner' || jsonb_build_object('customer', facts -> 'owner')
    WHERE facts ? 'owner'
"""


class Migration(migrations.Migration):
    """The fact that says whose machine it is has the name that its placeholder has in every sentence."""

    dependencies = [("reminders", "0001_first")]

    operations = [migrations.RunSQL(RENAME, migrations.RunSQL.noop, elidable=True)]
