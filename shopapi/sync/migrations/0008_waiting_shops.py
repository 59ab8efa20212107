from django.db import migrations, models

from shopapi.sync.queries import WAITING_FUNCTION


class Migration(migrations.Migration):
    """The periodic task finds the shops in which a command waits without asking every shop."""

    dependencies = [("accounts", "0021_api_keys"), ("sync", "0007_pdf_names")]

    operations = [
        migrations.AddIndex(
            "LoggedCommand",
            models.Index(
                fields=["shop"],
                name="command_held_waiting",
                condition=models.Q(status="held", code__in=["waits_for", "not_back_yet"]),
            ),
        ),
        migrations.RunSQL(WAITING_FUNCTION, "DROP FUNCTION shops_with_waiting_commands()", elidable=False),
    ]
