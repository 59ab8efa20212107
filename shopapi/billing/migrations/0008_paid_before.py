from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("billing", "0007_hour_cost"),
    ]

    operations = [
        migrations.AddField(
            model_name="invoice",
            name="paid_before_minor",
            field=models.BigIntegerField(null=True),
        ),
    ]
