from django.db import migrations, models

from shopapi.core.sweeps import DUE_FUNCTION
from shopapi.core.tenancy import ShopTable


class Migration(migrations.Migration):
    """What each periodic task has seen of each shop, so that it goes only where something changed."""

    dependencies = [("core", "0010_retention")]

    operations = [
        migrations.CreateModel(
            name="SweepVisit",
            fields=[
                (
                    "pk",
                    models.CompositePrimaryKey(
                        "shop_id", "task", blank=True, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("shop_id", models.UUIDField()),
                ("task", models.CharField(max_length=80)),
                ("seq", models.BigIntegerField()),
                ("due_at", models.DateTimeField(null=True)),
            ],
        ),
        ShopTable("SweepVisit"),
        migrations.RunSQL(DUE_FUNCTION, "DROP FUNCTION shops_due(text, text[], timestamptz)", elidable=False),
    ]
