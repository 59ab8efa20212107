from django.db import migrations


class Migration(migrations.Migration):
    """An odd meter reading is an anomaly; the arrival that a customer was notified of, and when, are called so."""

    dependencies = [("dispatch", "0008_choices")]

    operations = [
        migrations.RenameField("HandOver", "meter_doubt", "meter_anomaly"),
        migrations.RenameField("Stop", "told_from", "notified_from"),
        migrations.RenameField("Stop", "told_to", "notified_to"),
        migrations.RenameField("Stop", "told_at", "notified_at"),
    ]
