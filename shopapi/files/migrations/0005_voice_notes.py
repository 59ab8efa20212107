from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("files", "0004_about_the_bench"),
    ]

    operations = [
        migrations.AddField(
            model_name="attachment",
            name="drawn_from_id",
            field=models.UUIDField(null=True),
        ),
        migrations.AddField(
            model_name="attachment",
            name="media",
            field=models.CharField(
                choices=[("picture", "picture"), ("voice", "voice")], default="picture", max_length=10
            ),
        ),
        migrations.AddField(
            model_name="attachment",
            name="seconds",
            field=models.PositiveSmallIntegerField(null=True),
        ),
    ]
