from django.db import migrations

SWITCH_ON = "UPDATE accounts_shop SET follow_ups = follow_ups || jsonb_build_object('notify_ready', true)"


class Migration(migrations.Migration):
    """Whether the customer gets a message when a machine is ready; written to every shop, so that phones fetch it."""

    dependencies = [("accounts", "0014_ask_customer")]

    operations = [migrations.RunSQL(SWITCH_ON, migrations.RunSQL.noop, elidable=True)]
