import django.contrib.postgres.fields
from django.db import migrations, models

from shopapi.accounts.migrations._functions import LEFT_FUNCTION, SESSION_FUNCTION


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0005_ended_memberships"),
    ]

    operations = [
        migrations.AddField(
            model_name="device",
            name="sign_ins",
            field=django.contrib.postgres.fields.ArrayField(
                base_field=models.CharField(max_length=64), default=list, size=None
            ),
        ),
        migrations.RunSQL(SESSION_FUNCTION, "DROP FUNCTION session_stands_for(uuid, text)", elidable=False),
        migrations.RunSQL("DROP FUNCTION membership_left_by(uuid)", LEFT_FUNCTION, elidable=False),
        migrations.RunSQL("DROP FUNCTION memberships_of(uuid)", elidable=False),
    ]
