import django.contrib.postgres.fields
from django.db import migrations, models

STEPS = ["address", "labor_rates", "tax_profiles", "terms", "part_bands", "yard", "people", "customers", "install"]

SKIP_ALL = f"""
    UPDATE accounts_shop SET skipped_steps = '{{{",".join(STEPS)}}}'
    WHERE EXISTS (SELECT FROM jobs_job WHERE jobs_job.shop_id = accounts_shop.id)
"""  # noqa: S608 the steps are the ones above


class Migration(migrations.Migration):
    """Steps of the first set-up that a shop skipped: all of them, where it has worked without it."""

    dependencies = [("accounts", "0014_ask_customer"), ("jobs", "0001_first")]

    operations = [
        migrations.AddField(
            model_name="shop",
            name="skipped_steps",
            field=django.contrib.postgres.fields.ArrayField(
                base_field=models.CharField(choices=[(step, step) for step in STEPS], max_length=12),
                blank=True,
                db_default=[],
                size=None,
            ),
        ),
        migrations.RunSQL(SKIP_ALL, migrations.RunSQL.noop, elidable=True),
    ]
