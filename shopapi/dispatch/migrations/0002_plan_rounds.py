from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("dispatch", "0001_first"),
    ]

    operations = [
        migrations.AddField(
            model_name="planrequest",
            name="rounds",
            field=models.PositiveIntegerField(null=True),
        ),
    ]
