from django.db import migrations


class Migration(migrations.Migration):
    """What is wrong with an entry by itself has the name that its type has."""

    dependencies = [("labor", "0004_clocks")]

    operations = [migrations.RenameField("TimeEntry", "doubt", "anomaly")]
