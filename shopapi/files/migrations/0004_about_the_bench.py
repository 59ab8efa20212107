from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("files", "0003_choices"),
    ]

    operations = [
        migrations.AlterField(
            model_name="attachment",
            name="about_kind",
            field=models.CharField(
                choices=[
                    ("finding", "finding"),
                    ("machine", "machine"),
                    ("job", "job"),
                    ("stop", "stop"),
                    ("part", "part"),
                    ("check", "check"),
                    ("reading", "reading"),
                    ("removal_step", "removal_step"),
                    ("safety_item", "safety_item"),
                ],
                max_length=20,
            ),
        ),
    ]
