from django.db import migrations

from shopapi.accounts.migrations._functions import SESSION_FUNCTION, SESSION_OF_FUNCTION


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0009_invitations"),
    ]

    operations = [
        migrations.RunSQL(SESSION_OF_FUNCTION, "DROP FUNCTION session_of(uuid, text, timestamptz)", elidable=False),
        migrations.RunSQL("DROP FUNCTION session_stands_for(uuid, text)", SESSION_FUNCTION, elidable=False),
    ]
