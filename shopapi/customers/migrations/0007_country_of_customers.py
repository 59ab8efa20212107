from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("customers", "0006_change_list"),
    ]

    operations = [
        migrations.AddField(
            model_name="customer",
            name="country",
            field=models.CharField(blank=True, default="", max_length=2),
        ),
    ]
