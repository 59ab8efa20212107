from django.db import migrations


class Migration(migrations.Migration):
    """The size of a shop's sheets is called so."""

    dependencies = [("accounts", "0015_skipped_steps")]

    operations = [migrations.RenameField("Shop", "paper", "paper_size")]
