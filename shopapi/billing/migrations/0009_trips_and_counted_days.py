from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("billing", "0008_paid_before"),
    ]

    operations = [
        migrations.AddField(
            model_name="invoiceline",
            name="stop_id",
            field=models.UUIDField(null=True),
        ),
        migrations.AddField(
            model_name="periodclose",
            name="counted",
            field=models.JSONField(blank=True, default=list),
        ),
    ]
