from typing import Any

from django.db import migrations, models
from django.db.models import F, Q

from shopapi.accounts.migrations._functions import LEFT_FUNCTION


def end_the_inactive(apps: Any, schema_editor: Any) -> None:
    """Nothing has ended a membership until now, but an operator may have by hand."""
    members = apps.get_model("accounts", "Member").objects.using(schema_editor.connection.alias)
    members.filter(active=False).update(ended_at=F("changed_at"))


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0004_quiet_hours_and_follow_ups"),
    ]

    operations = [
        migrations.AddField(
            model_name="member",
            name="ended_at",
            field=models.DateTimeField(null=True),
        ),
        migrations.RunPython(end_the_inactive, migrations.RunPython.noop, elidable=True),
        migrations.AddConstraint(
            model_name="member",
            constraint=models.CheckConstraint(
                condition=Q(active=True, ended_at=None) | Q(active=False, ended_at__isnull=False),
                name="active_until_ended",
            ),
        ),
        migrations.RunSQL(LEFT_FUNCTION, "DROP FUNCTION membership_left_by(uuid)", elidable=False),
    ]
